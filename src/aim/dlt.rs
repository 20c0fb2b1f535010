//! A first homography from marks, in one linear solve (direct linear transformation).
//!
//! In frames about the centroids, so the third coordinate at the marks' centroid may be set to 1: with all marks
//! in front it is a positive mean of theirs and can't vanish, and the equations need no eigenvector. Four marks
//! are met exactly; with more, the sum of squares that is least is an algebraic one, so `refine` follows.
//!
//! Source: Hartley & Zisserman, Multiple View Geometry, 2nd ed. (2004), 4.1 and 4.4.

use super::frame::Frame;
use crate::geometry::Point;
use nalgebra::{DMatrix, DVector};

/// The map as eight numbers, rows first, in the frames of the picture and the surface; the ninth is 1.
pub(super) type FramedMap = [f64; 8];

/// The map from places to picks, each already in its frame; `None` when the marks do not determine one.
pub(super) fn direct(picks: &[Point], places: &[Point], picture: Frame, surface: Frame) -> Option<FramedMap> {
    let mut rows = DMatrix::zeros(2 * picks.len(), 8);
    let mut targets = DVector::zeros(2 * picks.len());
    for (index, (&pick, &place)) in picks.iter().zip(places).enumerate() {
        let (p, s) = (picture.enter(pick), surface.enter(place));
        let equations = [
            ([s.x, s.y, 1.0, 0.0, 0.0, 0.0, -p.x * s.x, -p.x * s.y], p.x),
            ([0.0, 0.0, 0.0, s.x, s.y, 1.0, -p.y * s.x, -p.y * s.y], p.y),
        ];
        for (half, (coefficients, target)) in equations.into_iter().enumerate() {
            let row = 2 * index + half;
            for (column, coefficient) in coefficients.into_iter().enumerate() {
                rows[(row, column)] = coefficient;
            }
            targets[row] = target;
        }
    }
    let factors = rows.qr();
    let solved = factors.r().solve_upper_triangular(&factors.q().tr_mul(&targets))?;
    let map: FramedMap = solved.as_slice().try_into().ok()?;
    map.iter().all(|entry| entry.is_finite()).then_some(map)
}
