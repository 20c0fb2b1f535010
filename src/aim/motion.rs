//! A rigid motion of the plane: how a cloth lies on the surface.
//!
//! Turn and shift only. A scale is left out on purpose: cloth that seems to have grown was stretched or picked
//! wrongly, and a fit that takes it up would cut every later line wrong without a word.
//!
//! The best motion between two sets of points has a closed form in the plane: turn about the weighted centroids by
//! atan2(Σ w·a×b, Σ w·a·b). Source: Schönemann, A generalized solution of the orthogonal Procrustes problem (1966);
//! the form for the plane from memory, and proved by the tests.

use crate::geometry::{Affine, Point, Vec2};

/// A rigid motion, p ↦ R(turn)·p + shift. Named from what to what at each use: `surface_from_cloth`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Motion {
    /// Turn in radians, counter-clockwise.
    pub turn: f64,
    /// Where the origin goes, in mm.
    pub shift: Vec2,
}

impl Motion {
    /// The motion that turns by an angle (radians) and takes `from` to `to`.
    #[must_use]
    pub fn taking(from: Point, to: Point, turn: f64) -> Self {
        Self { turn, shift: to - rotated(from.to_vec2(), turn).to_point() }
    }

    /// Image of a point.
    #[must_use]
    pub fn apply(&self, point: Point) -> Point {
        (rotated(point.to_vec2(), self.turn) + self.shift).to_point()
    }

    /// The motion the other way.
    #[must_use]
    pub fn inverse(&self) -> Self {
        Self { turn: -self.turn, shift: -rotated(self.shift, -self.turn) }
    }

    /// The same as an affine map.
    #[must_use]
    pub fn to_affine(&self) -> Affine {
        Affine::translate(self.shift) * Affine::rotate(self.turn)
    }

    /// The motion that takes `from` to `to` with the least weighted sum of squares, and the centroid of `from`.
    /// `None` for fewer than two points, weights that are not positive, or points that are all in one place.
    pub(super) fn best(from: &[Point], to: &[Point], weights: &[f64]) -> Option<(Self, Point)> {
        let sum: f64 = weights.iter().sum();
        if from.len() < 2 || weights.iter().any(|weight| weight.is_nan() || *weight <= 0.0) {
            return None;
        }
        let mean = |points: &[Point]| {
            let weighed = points.iter().zip(weights);
            (weighed.fold(Vec2::ZERO, |sum, (point, weight)| sum + point.to_vec2() * *weight) / sum)
                .to_point()
        };
        let (centre_from, centre_to) = (mean(from), mean(to));
        let (mut along, mut across) = (0.0, 0.0);
        for ((&a, &b), weight) in from.iter().zip(to).zip(weights) {
            let (a, b) = (a - centre_from, b - centre_to);
            along += weight * a.dot(b);
            across += weight * a.cross(b);
        }
        let turn = across.atan2(along);
        let determined = along.hypot(across) > 0.0 && turn.is_finite();
        determined.then(|| (Self::taking(centre_from, centre_to, turn), centre_from))
    }
}

fn rotated(vector: Vec2, turn: f64) -> Vec2 {
    let (sine, cosine) = turn.sin_cos();
    Vec2::new(cosine * vector.x - sine * vector.y, sine * vector.x + cosine * vector.y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_motion_is_found_again_from_where_it_took_the_points() {
        let motion = Motion { turn: -1.9, shift: Vec2::new(310.0, -44.0) };
        let from = [(0.0, 0.0), (700.0, 30.0), (120.0, 480.0)].map(Point::from);
        let to = from.map(|point| motion.apply(point));
        let (found, _) = Motion::best(&from, &to, &[1.0, 2.0, 0.5]).unwrap();
        for (point, image) in from.iter().zip(to) {
            assert!(found.apply(*point).distance(image) < 1e-9);
            assert!(found.inverse().apply(image).distance(*point) < 1e-9);
            assert!((found.to_affine() * *point).distance(image) < 1e-9);
        }
    }

    #[test]
    fn no_other_turn_leaves_a_smaller_sum_of_squares() {
        let from = [(0.0, 0.0), (700.0, 30.0), (120.0, 480.0)].map(Point::from);
        let to = [(5.0, 1.0), (690.0, 52.0), (101.0, 490.0)].map(Point::from);
        let weights = [1.0, 2.0, 0.5];
        let (best, pivot) = Motion::best(&from, &to, &weights).unwrap();
        let cost = |motion: Motion| -> f64 {
            let pairs = from.iter().zip(&to).zip(&weights);
            pairs.map(|((a, b), weight)| weight * (motion.apply(*a) - *b).hypot2()).sum()
        };
        let least = cost(best);
        for (turn, shift) in
            [(1e-4, (0.0, 0.0)), (-1e-4, (0.0, 0.0)), (0.0, (0.05, 0.0)), (0.0, (0.0, -0.05))]
        {
            let other = Motion::taking(pivot, best.apply(pivot) + Vec2::from(shift), best.turn + turn);
            assert!(cost(other) > least);
        }
    }

    #[test]
    fn points_in_one_place_have_no_turn() {
        let same = [Point::new(3.0, 4.0); 2];
        assert_eq!(Motion::best(&same, &same, &[1.0, 1.0]), None);
        assert_eq!(Motion::best(&same[..1], &same[..1], &[1.0]), None);
    }
}
