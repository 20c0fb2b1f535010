//! Few cubics along a smooth line of points.
//!
//! From its start, each cubic reaches as far as it stays close to the points: the directions at its ends are those of
//! the line, the lengths of its arms follow by least squares, and the parameters of the points by Newton's method
//! (P. J. Schneider, “An Algorithm for Automatically Fitting Digitized Curves”, Graphics Gems, 1990). A library's
//! optimal fit was taken before; on points that turn back on themselves it may not end.

use crate::geometry::{CubicBez, Point, Segment, Vec2};
use kurbo::{ParamCurve as _, ParamCurveDeriv as _};

/// Rounds of fitting arms and parameters after each other.
const ROUNDS: usize = 6;

/// Cubics that stay within `accuracy` mm of the points. `tangents` are unit vectors along the line, one a point.
pub(super) fn cubics(points: &[Point], tangents: &[Vec2], accuracy: f64) -> Vec<Segment> {
    let mut cubics = Vec::new();
    let last = points.len().saturating_sub(1);
    let mut from = 0;
    while from < last {
        let fit = |to: usize| fitted(&points[from..=to], tangents[from], tangents[to], accuracy);
        // One step always fits. The furthest that does is looked for by doubling, then by halving.
        let mut best = (from + 1, fit(from + 1).0);
        let (mut step, mut too_far) = (2, last + 1);
        while best.0 < last && best.0 + 1 < too_far {
            let to = (from + step).min(last).min(too_far - 1).max(best.0 + 1);
            match fit(to) {
                (cubic, true) => {
                    best = (to, cubic);
                    step *= 2;
                }
                (_, false) => {
                    too_far = to;
                    step = ((best.0 - from) + (too_far - from)) / 2;
                }
            }
            if too_far <= last {
                step = ((best.0 - from) + (too_far - from)) / 2;
            }
        }
        cubics.push(Segment::Cubic(best.1));
        from = best.0;
    }
    cubics
}

/// The cubic through the first and last point along the tangents there, and whether it stays close.
fn fitted(points: &[Point], start: Vec2, end: Vec2, accuracy: f64) -> (CubicBez, bool) {
    let (first, last) = (points[0], points[points.len() - 1]);
    let mut places = along(points);
    let third = first.distance(last) / 3.0;
    let mut cubic = CubicBez::new(first, first + third * start, last - third * end, last);
    if points.len() <= 2 {
        return (cubic, true);
    }
    for _ in 0..ROUNDS {
        cubic = with_arms(points, &places, start, end);
        let off = points.iter().zip(&places).map(|(point, t)| cubic.eval(*t).distance(*point));
        if off.fold(0.0, f64::max) <= accuracy {
            return (cubic, true);
        }
        for (point, t) in points.iter().zip(&mut places) {
            *t = nearer(&cubic, *point, *t);
        }
    }
    (cubic, false)
}

/// The share of the way at which each point lies, by the chords between them.
fn along(points: &[Point]) -> Vec<f64> {
    let mut way = 0.0;
    let mut places = vec![0.0];
    for pair in points.windows(2) {
        way += pair[0].distance(pair[1]);
        places.push(way);
    }
    places.iter().map(|place| place / way.max(f64::MIN_POSITIVE)).collect()
}

/// The cubic whose arms leave the least squares between it and the points at their places.
fn with_arms(points: &[Point], places: &[f64], start: Vec2, end: Vec2) -> CubicBez {
    let (first, last) = (points[0], points[points.len() - 1]);
    let (mut aa, mut ab, mut bb, mut ax, mut bx) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (point, &t) in points.iter().zip(places) {
        let s = 1.0 - t;
        let (near_first, near_last) = (s * s * (s + 3.0 * t), t * t * (t + 3.0 * s));
        let (a, b) = (3.0 * s * s * t * start, -3.0 * s * t * t * end);
        let off = point.to_vec2() - near_first * first.to_vec2() - near_last * last.to_vec2();
        aa += a.dot(a);
        ab += a.dot(b);
        bb += b.dot(b);
        ax += a.dot(off);
        bx += b.dot(off);
    }
    let determinant = aa * bb - ab * ab;
    let chord = first.distance(last);
    // Arms that run backwards, or further than the way itself, are no fit: a third of the chord is.
    let arm = |of: f64| {
        let arm = of / determinant;
        if (0.01 * chord..=2.0 * chord).contains(&arm) { arm } else { chord / 3.0 }
    };
    let (one, two) = (arm(ax * bb - bx * ab), arm(bx * aa - ax * ab));
    CubicBez::new(first, first + one * start, last - two * end, last)
}

/// A step of Newton's method towards the place on a cubic that is nearest to a point.
fn nearer(cubic: &CubicBez, point: Point, t: f64) -> f64 {
    let off = cubic.eval(t) - point;
    let first = cubic.deriv();
    let (slope, bend) = (first.eval(t).to_vec2(), first.deriv().eval(t).to_vec2());
    let down = slope.hypot2() + off.dot(bend);
    let step = if down.abs() > f64::MIN_POSITIVE { off.dot(slope) / down } else { 0.0 };
    let moved = t - step;
    if moved.is_finite() { moved.clamp(0.0, 1.0) } else { t }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_quarter_of_a_circle_is_one_cubic_or_two() {
        let angles = (0..=60).map(|k| f64::from(k) * std::f64::consts::FRAC_PI_2 / 60.0);
        let (points, tangents): (Vec<Point>, Vec<Vec2>) = angles
            .map(|angle| {
                let out = Vec2::from_angle(angle);
                ((80.0 * out).to_point(), Vec2::new(-out.y, out.x))
            })
            .unzip();
        let found = cubics(&points, &tangents, 0.05);
        assert!(found.len() <= 2, "{}", found.len());
        for segment in &found {
            for k in 0..=20 {
                let off = segment.eval(f64::from(k) / 20.0).to_vec2().hypot() - 80.0;
                assert!(off.abs() < 0.06, "{off}");
            }
        }
    }

    proptest! {
        #[test]
        fn any_points_have_cubics_from_the_first_to_the_last(
            places in proptest::collection::vec((-1e4..1e4_f64, -1e4..1e4_f64, 0.0..6.3_f64), 2..60),
            doubled in any::<bool>(),
        ) {
            let mut points: Vec<Point> = places.iter().map(|(x, y, _)| Point::new(*x, *y)).collect();
            if doubled {
                points[1] = points[0];
            }
            let tangents: Vec<Vec2> = places.iter().map(|(_, _, angle)| Vec2::from_angle(*angle)).collect();
            let found = cubics(&points, &tangents, 0.1);
            prop_assert!(!found.is_empty() && found.len() < points.len());
            prop_assert_eq!(found[0].start(), points[0]);
            prop_assert_eq!(found[found.len() - 1].end(), points[points.len() - 1]);
            for pair in found.windows(2) {
                prop_assert_eq!(pair[0].end(), pair[1].start());
            }
            prop_assert!(found.iter().all(|segment| segment.eval(0.5).is_finite()));
        }
    }
}
