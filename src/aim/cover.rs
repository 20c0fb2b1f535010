//! How much of the work the marks hold.
//!
//! Between marks the light is held, beyond them it is extrapolated. Counted in the picture, where a mark's pull is.

use super::hull::{area, hull, shared};
use super::solution::{Aim, corners};
use crate::geometry::Point;

impl Aim {
    /// The part of a work area (an outline on the surface, mm), or of the whole picture, that lies within the marks'
    /// hull, as the picture shows it. Of work that reaches beyond the light the lit part counts; where none of it is
    /// lit, the whole picture. Under [`Self::COVER_LEAST`] the light beyond the marks is a guess: with marks at a
    /// quarter of the picture it is three times as far off.
    #[must_use]
    pub fn cover(&self, work: Option<&[Point]>) -> f64 {
        let picks: Vec<Point> = self.marks().iter().map(|mark| mark.picture).collect();
        let lit = shared(&hull(work.unwrap_or_default()), &hull(&self.lit_quad()));
        let seen: Vec<Point> = lit.into_iter().filter_map(|at| self.picture_of(at)).collect();
        let mut wanted = hull(&seen);
        if wanted.len() < 3 && work.is_none_or(|work| !work.is_empty()) {
            wanted = hull(&corners(self.picture_size()));
        }
        let part = area(&shared(&wanted, &hull(&picks))) / area(&wanted);
        if part.is_finite() { part } else { 0.0 }
    }

    /// The least cover that needs no warning.
    pub const COVER_LEAST: f64 = 0.8;
}
