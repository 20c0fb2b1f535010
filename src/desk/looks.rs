//! How the board is looked at: which place is in its middle, and how large.

use super::Stop;
use crate::aim::Homography;
use crate::geometry::{Point, Rect, Vec2};
use std::collections::HashMap;

/// A look at a plane: the place in the middle and the scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// What is in the middle, in mm.
    pub centre: Point,
    /// Pixels a millimetre.
    pub px_per_mm: f64,
}

/// Smallest and largest scale, in px a mm.
const SCALE_RANGE: (f64, f64) = (0.02, 40.0);
/// Share of the board that is left free around what is fitted.
const FREE: f64 = 0.08;

impl Look {
    /// The look that shows all of `bounds` (mm) on a board of `size` px.
    #[must_use]
    pub fn fitting(bounds: Rect, size: Vec2) -> Self {
        let (width, height) = (bounds.width().max(1.0), bounds.height().max(1.0));
        let scale = (size.x / width).min(size.y / height) * (1.0 - 2.0 * FREE);
        Self { centre: bounds.center(), px_per_mm: scale.clamp(SCALE_RANGE.0, SCALE_RANGE.1) }
    }

    /// The place at a px of the board (y down).
    #[must_use]
    pub fn place_at(&self, px: Point, size: Vec2) -> Point {
        let off = px - (0.5 * size).to_point();
        self.centre + Vec2::new(off.x, -off.y) / self.px_per_mm
    }

    /// The px of the board at which a place is seen.
    #[must_use]
    pub fn px_of(&self, place: Point, size: Vec2) -> Point {
        let off = (place - self.centre) * self.px_per_mm;
        (0.5 * size).to_point() + Vec2::new(off.x, -off.y)
    }

    /// Moves what is seen by so many px.
    pub fn drag(&mut self, by_px: Vec2) {
        self.centre -= Vec2::new(by_px.x, -by_px.y) / self.px_per_mm;
    }

    /// Scales about the place under a px.
    pub fn zoom(&mut self, factor: f64, about_px: Point, size: Vec2) {
        let fixed = self.place_at(about_px, size);
        self.px_per_mm = (self.px_per_mm * factor).clamp(SCALE_RANGE.0, SCALE_RANGE.1);
        self.centre += fixed - self.place_at(about_px, size);
    }

    /// The look as the map that the renderer takes.
    #[must_use]
    pub fn homography(&self, size: Vec2) -> Option<Homography> {
        Homography::flat_view(self.px_per_mm, self.px_of(Point::ORIGIN, size)).ok()
    }
}

/// The looks that were changed by hand, by stop; everything else is fitted.
#[derive(Debug, Clone, Default)]
pub struct Looks {
    by_stop: HashMap<Stop, Look>,
}

impl Looks {
    /// The look of a stop, fitted to `bounds` where it was not changed by hand.
    #[must_use]
    pub fn of(&self, stop: Stop, bounds: Rect, size: Vec2) -> Look {
        self.by_stop.get(&stop).copied().unwrap_or_else(|| Look::fitting(bounds, size))
    }

    /// Keeps a look that was changed by hand.
    pub fn keep(&mut self, stop: Stop, look: Look) {
        self.by_stop.insert(stop, look);
    }

    /// Fits the stop again.
    pub fn fit(&mut self, stop: Stop) {
        self.by_stop.remove(&stop);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zooming_keeps_the_place_under_the_pointer() {
        let size = Vec2::new(800.0, 600.0);
        let mut look = Look::fitting(Rect::new(0.0, 0.0, 400.0, 1200.0), size);
        let px = Point::new(123.0, 456.0);
        let before = look.place_at(px, size);
        look.zoom(2.5, px, size);
        assert!(look.place_at(px, size).distance(before) < 1e-9);
        assert!(look.px_of(before, size).distance(px) < 1e-9);
    }

    #[test]
    fn the_renderers_map_agrees_with_the_look() {
        let size = Vec2::new(800.0, 600.0);
        let look = Look { centre: Point::new(50.0, -200.0), px_per_mm: 0.7 };
        let place = Point::new(10.0, 33.0);
        let mapped = look.homography(size).unwrap().map(place).unwrap();
        assert!(mapped.distance(look.px_of(place, size)) < 1e-9);
    }
}
