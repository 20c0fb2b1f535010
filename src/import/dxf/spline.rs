//! B-splines as cubics.
//!
//! Between two knots a B-spline is one polynomial. Of degree three or less, it is the cubic that has the same ends
//! and the same velocities there, exactly. A rational one, or one of higher degree, is cut into short stretches and
//! each replaced by that cubic; the error falls with the fourth power of their number.

use super::sections::Entity;
use crate::geometry::{CubicBez, Point, Segment, Vec2};

/// Stretches between two knots of a spline that is no cubic.
const STRETCHES: u32 = 16;

/// Highest degree that is read.
const HIGHEST_DEGREE: usize = 25;

/// The cubics of a spline, and whether it is closed.
pub(super) fn segments_of(entity: &Entity<'_, '_>) -> Result<(Vec<Segment>, bool), String> {
    let closed = entity.whole(70).unwrap_or(0) & 1 == 1;
    let points: Vec<Point> = entity.reals(10).zip(entity.reals(20)).map(Point::from).collect();
    if points.is_empty() {
        let through: Vec<Point> = entity.reals(11).zip(entity.reals(21)).map(Point::from).collect();
        if through.len() < 2 {
            return Err("has no points".to_owned());
        }
        return Ok((through_points(&through), closed));
    }
    let degree = entity.whole(71).and_then(|degree| usize::try_from(degree).ok());
    let Some(degree) = degree.filter(|degree| (1..=HIGHEST_DEGREE).contains(degree)) else {
        return Err("has a degree that cannot be read".to_owned());
    };
    let knots: Vec<f64> = entity.reals(40).collect();
    if points.len() <= degree || knots.len() != points.len() + degree + 1 {
        return Err(format!(
            "of degree {degree} has {} control points and {} knots, which do not fit",
            points.len(),
            knots.len()
        ));
    }
    if knots.windows(2).any(|pair| pair[0] > pair[1]) {
        return Err("has knots that do not rise".to_owned());
    }
    let weights: Vec<f64> = entity.reals(41).collect();
    let even = weights.windows(2).all(|pair| (pair[0] - pair[1]).abs() <= 1e-12 * pair[0].abs());
    if !weights.is_empty() && (weights.len() != points.len() || weights.iter().any(|weight| *weight <= 0.0)) {
        return Err("has weights that do not fit its points".to_owned());
    }
    let spline = Spline {
        degree,
        knots,
        points: points
            .iter()
            .enumerate()
            .map(|(index, point)| {
                let weight = if even { 1.0 } else { weights[index] };
                [point.x * weight, point.y * weight, weight]
            })
            .collect(),
    };
    let stretches = if degree <= 3 && even { 1 } else { STRETCHES };
    Ok((spline.cubics(stretches), closed))
}

struct Spline {
    degree: usize,
    knots: Vec<f64>,
    /// Times their weight, and the weight.
    points: Vec<[f64; 3]>,
}

impl Spline {
    fn cubics(&self, stretches: u32) -> Vec<Segment> {
        let mut segments = Vec::new();
        for span in self.degree..self.points.len() {
            let (from, to) = (self.knots[span], self.knots[span + 1]);
            let step = (to - from) / f64::from(stretches);
            if step <= 0.0 {
                continue;
            }
            for stretch in 0..stretches {
                let start = from + step * f64::from(stretch);
                let (p0, v0) = self.at(span, start);
                let (p3, v3) = self.at(span, start + step);
                segments.push(Segment::Cubic(CubicBez::new(
                    p0,
                    p0 + v0 * (step / 3.0),
                    p3 - v3 * (step / 3.0),
                    p3,
                )));
            }
        }
        segments
    }

    /// Point and velocity at a parameter of a span (de Boor; the velocity is that of the last two points of the
    /// scheme).
    fn at(&self, span: usize, t: f64) -> (Point, Vec2) {
        let degree = self.degree;
        let mut d: Vec<[f64; 3]> = self.points[span - degree..=span].to_vec();
        let mut velocity = [0.0; 3];
        for round in 1..=degree {
            if round == degree {
                let width = self.knots[span + 1] - self.knots[span];
                for (axis, v) in velocity.iter_mut().enumerate() {
                    *v = span_degree(degree) * (d[degree][axis] - d[degree - 1][axis]) / width;
                }
            }
            for index in (round..=degree).rev() {
                let low = self.knots[index + span - degree];
                let high = self.knots[index + 1 + span - round];
                let part = if high > low { (t - low) / (high - low) } else { 0.0 };
                let before = d[index - 1];
                for (value, before) in d[index].iter_mut().zip(before) {
                    *value = (1.0 - part) * before + part * *value;
                }
            }
        }
        let [x, y, w] = d[degree];
        let point = Point::new(x / w, y / w);
        let slope = Vec2::new(velocity[0] - point.x * velocity[2], velocity[1] - point.y * velocity[2]) / w;
        (point, slope)
    }
}

#[expect(clippy::cast_precision_loss, reason = "a degree is at most 25")]
fn span_degree(degree: usize) -> f64 {
    degree as f64
}

/// A smooth line through points: at each, it runs parallel to the chord of its neighbours.
fn through_points(points: &[Point]) -> Vec<Segment> {
    let last = points.len() - 1;
    let slope = |index: usize| {
        let (before, after) = (points[index.saturating_sub(1)], points[(index + 1).min(last)]);
        (after - before) / if index == 0 || index == last { 1.0 } else { 2.0 }
    };
    let cubic = |index: usize| {
        let (from, to) = (points[index], points[index + 1]);
        Segment::Cubic(CubicBez::new(from, from + slope(index) / 3.0, to - slope(index + 1) / 3.0, to))
    };
    (0..last).map(cubic).collect()
}
