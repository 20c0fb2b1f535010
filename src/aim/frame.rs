//! Coordinates moved to their centroid and scaled to unit size.
//!
//! A homography's unknowns differ by six orders of magnitude in mm and px; in these frames they are all near 1
//! (Hartley, "In defense of the eight-point algorithm", PAMI 1997).

use super::order::centroid;
use crate::geometry::Point;
use glam::{DMat3, DVec3};

/// p ↦ (p − centre)·scale.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    centre: Point,
    /// Frame units per unit.
    pub(super) scale: f64,
}

impl Frame {
    /// The frame in which the points have their centroid at 0 and a mean distance of √2 from it.
    pub(super) fn around(points: &[Point]) -> Self {
        let centre = centroid(points);
        let (mut sum, mut count) = (0.0, 0.0);
        for point in points {
            sum += point.distance(centre);
            count += 1.0;
        }
        let scale = std::f64::consts::SQRT_2 * count / sum;
        Self { centre, scale: if scale.is_finite() && scale > 0.0 { scale } else { 1.0 } }
    }

    /// A point in this frame.
    pub(super) fn enter(&self, point: Point) -> Point {
        ((point - self.centre) * self.scale).to_point()
    }

    /// A point of this frame where it was before.
    pub(super) fn leave(&self, point: Point) -> Point {
        self.centre + point.to_vec2() / self.scale
    }

    /// The frame as a matrix.
    pub(super) fn matrix(&self) -> DMat3 {
        DMat3::from_cols(
            DVec3::new(self.scale, 0.0, 0.0),
            DVec3::new(0.0, self.scale, 0.0),
            DVec3::new(-self.centre.x * self.scale, -self.centre.y * self.scale, 1.0),
        )
    }

    /// The way back, exact in its own right: inverting [`Self::matrix`] would round twice.
    pub(super) fn back(&self) -> DMat3 {
        DMat3::from_cols(
            DVec3::new(self.scale.recip(), 0.0, 0.0),
            DVec3::new(0.0, self.scale.recip(), 0.0),
            DVec3::new(self.centre.x, self.centre.y, 1.0),
        )
    }
}
