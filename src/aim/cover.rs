//! How much of the work the marks hold.
//!
//! Between marks the light is held, beyond them it is extrapolated. Counted in the picture, where a mark's pull is.

use super::hull::{area, hull, shared};
use super::solution::{Aim, corners};
use crate::geometry::Point;

impl Aim {
    /// The part of a work area (an outline on the surface, mm), or of the whole picture, that lies within the marks'
    /// hull, as the picture shows it. Under [`Self::COVER_LEAST`] the light beyond the marks is a guess: with marks
    /// at a quarter of the picture it is three times as far off.
    #[must_use]
    pub fn cover(&self, work: Option<&[Point]>) -> f64 {
        let picks: Vec<Point> = self.marks().iter().map(|mark| mark.picture).collect();
        let whole = hull(&corners(self.picture_size()));
        let seen: Vec<Point> =
            work.unwrap_or_default().iter().filter_map(|&at| self.picture_of(at)).collect();
        let wanted = if work.is_some() { hull(&seen) } else { whole };
        let part = area(&shared(&wanted, &hull(&picks))) / area(&wanted);
        if part.is_finite() { part } else { 0.0 }
    }

    /// The least cover that needs no warning.
    pub const COVER_LEAST: f64 = 0.8;
}
