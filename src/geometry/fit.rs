//! A smooth curve, given as a function, refitted to cubics.
//!
//! Cubics that agree in place and direction at both ends (Hermite) are halved until the points between
//! agree too. The parameter is preserved, so the check measures the true distance from above, the result
//! is the same on every machine, and a curve that is a cubic already comes back as one. A least-squares fit
//! (kurbo's) needs about half as many cubics and some twenty times as long; alterations are replayed at
//! every change of a number, so speed counts here.

use super::{Curve, Segment};
use kurbo::{CubicBez, ParamCurve as _, Point, Vec2};

/// Halvings after which a fit stops: 2¹² pieces of a seam are finer than any cloth.
const DEEPEST: u32 = 12;

/// Fits cubics to `sample`, which gives the place and the derivative by `t` for `t` in 0..=1, within
/// `accuracy` mm. The function must be smooth inside; corners and ends of bands belong between fits.
#[must_use]
pub fn fit_curve(sample: impl Fn(f64) -> (Point, Vec2), accuracy: f64) -> Vec<Segment> {
    let at = |t: f64| (t, sample(t));
    let mut segments = Vec::new();
    fit_between(&at, [at(0.0), at(0.5), at(1.0)], accuracy, DEEPEST, &mut segments);
    segments
}

type Sampled = (f64, (Point, Vec2));

/// Fits between the first and the last sample, the one in the middle being known. A sample may cost the inverse of an
/// arc length, so none is taken twice.
fn fit_between(
    at: &impl Fn(f64) -> Sampled,
    [from, half, to]: [Sampled; 3],
    accuracy: f64,
    depth: u32,
    segments: &mut Vec<Segment>,
) {
    let ((t0, (p0, v0)), (t1, (p1, v1))) = (from, to);
    let third = (t1 - t0) / 3.0;
    let cubic = CubicBez::new(p0, p0 + third * v0, p1 - third * v1, p1);
    let close = |sampled: Sampled, u: f64| sampled.1.0.distance(cubic.eval(u)) <= accuracy;
    let quarter = |u: f64| at(t0 + u * (t1 - t0));
    let (mut first, mut second) = (None, None);
    let fits = depth == 0
        || (close(half, 0.5)
            && close(*first.insert(quarter(0.25)), 0.25)
            && close(*second.insert(quarter(0.75)), 0.75));
    if fits {
        segments.push(Segment::Cubic(cubic));
        return;
    }
    let first = first.unwrap_or_else(|| quarter(0.25));
    fit_between(at, [from, first, half], accuracy, depth - 1, segments);
    let second = second.unwrap_or_else(|| quarter(0.75));
    fit_between(at, [half, second, to], accuracy, depth - 1, segments);
}

/// The image of a curve under a smooth map of the plane, within `accuracy` mm.
///
/// `map` takes a point and a direction there and gives their images (the direction by the map's
/// derivative). A line that stays straight and evenly travelled comes back as a line.
#[must_use]
pub fn map_curve(curve: &Curve, accuracy: f64, map: impl Fn(Point, Vec2) -> (Point, Vec2)) -> Curve {
    let segments: Vec<_> = curve
        .segments()
        .iter()
        .flat_map(|segment| {
            let mapped = fit_curve(|t| map(segment.eval(t), segment.deriv(t)), accuracy);
            straightened(segment, mapped, accuracy)
        })
        .collect();
    // Neighbours share the sampled end points, so the pieces join by construction.
    Curve::new(segments).unwrap_or_else(|_| curve.clone())
}

/// Lines again, where the image of a line is one.
fn straightened(from: &Segment, mapped: Vec<Segment>, accuracy: f64) -> Vec<Segment> {
    let (Segment::Line(_), [Segment::Cubic(only)]) = (from, mapped.as_slice()) else {
        return mapped;
    };
    let chord = only.p3 - only.p0;
    let length = chord.hypot();
    let off = |p: Point| (p - only.p0).cross(chord).abs() / length.max(f64::MIN_POSITIVE);
    let along = |p: Point| (p - only.p0).dot(chord) / length.max(f64::MIN_POSITIVE);
    let forward = along(only.p1) >= -accuracy && along(only.p2) <= length + accuracy;
    if length > accuracy && off(only.p1) <= accuracy && off(only.p2) <= accuracy && forward {
        vec![Segment::line(only.p0, only.p3)]
    } else {
        mapped
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cubic_comes_back_as_one_cubic() {
        let curve = Curve::cubic(
            Point::ORIGIN,
            Point::new(30.0, 50.0),
            Point::new(60.0, 50.0),
            Point::new(90.0, 0.0),
        );
        let same = map_curve(&curve, 1e-6, |p, v| (p, v));
        assert_eq!(same.segments().len(), 1);
        assert!((same.length() - curve.length()).abs() < 1e-9);
    }

    #[test]
    fn a_sine_wave_is_fitted_within_the_accuracy() {
        let sample = |t: f64| {
            let x = 300.0 * t;
            (Point::new(x, 20.0 * (x / 30.0).sin()), 300.0 * Vec2::new(1.0, 20.0 / 30.0 * (x / 30.0).cos()))
        };
        let curve = Curve::new(fit_curve(sample, 1e-4)).unwrap();
        for step in 0..=1000 {
            let (_, off) = curve.nearest(sample(f64::from(step) / 1000.0).0);
            assert!(off < 2e-4, "{off} at {step}");
        }
    }

    #[test]
    fn a_line_that_stays_straight_comes_back_as_a_line() {
        let line = Curve::line(Point::new(0.0, -30.0), Point::new(0.0, 200.0));
        let moved =
            map_curve(&line, 1e-6, |p, v| (Point::new(p.x + 3.0, 2.0 * p.y), Vec2::new(v.x, 2.0 * v.y)));
        assert_eq!(moved.segments(), [Segment::line(Point::new(3.0, -60.0), Point::new(3.0, 400.0))]);
    }
}
