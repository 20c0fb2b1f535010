//! A curve whose points are shifted by an amount that depends on where along it they lie.

use super::parallel::join_at_corner;
use super::tolerance::{ARC_LENGTH_MM, FIT_MM, JOIN_MM};
use super::{Curve, Segment, fit_curve};
use kurbo::{Point, Vec2};

/// A place on a curve, as the shift of [`displaced`] sees it.
#[derive(Debug, Clone, Copy)]
pub struct Along {
    /// Arc length from the start of the curve, in mm.
    pub distance: f64,
    /// Where.
    pub at: Point,
    /// Unit vector of travel.
    pub tangent: Vec2,
    /// Signed curvature in 1/mm, positive to the left.
    pub curvature: f64,
}

/// The curve with every point moved by `shift`, which gives the vector and its derivative by arc length. The
/// shift must be smooth between `breaks` (distances along the curve, in mm).
///
/// Where the curve has a corner (a shift along the normal opens it, or folds it over), both sides are cut where they
/// cross or carried on to where they meet, as a parallel is.
#[must_use]
pub fn displaced(curve: &Curve, breaks: &[f64], shift: impl Fn(Along) -> (Vec2, Vec2)) -> Curve {
    let mut runs: Vec<(Point, Vec<Segment>)> = Vec::new();
    let mut passed = 0.0;
    for segment in curve.segments() {
        let mut moved = Vec::new();
        let length = segment.length();
        let mut cuts: Vec<f64> = breaks
            .iter()
            .map(|at| at - passed)
            .filter(|at| *at > ARC_LENGTH_MM && *at < length - ARC_LENGTH_MM)
            .map(|at| segment.parameter_at(at))
            .collect();
        cuts.sort_by(f64::total_cmp);
        cuts.push(1.0);
        let mut from = 0.0;
        for to in cuts {
            let part = segment.subsegment(from, to);
            moved.extend(displaced_part(&part, passed, &shift));
            passed += part.length();
            from = to;
        }
        let gap = |run: &[Segment]| Some(run.last()?.end().distance(moved.first()?.start()));
        match runs.last_mut() {
            Some((_, run)) if gap(run).is_none_or(|gap| gap <= JOIN_MM) => run.extend(moved),
            _ => runs.push((segment.start(), moved)),
        }
    }
    let mut joined: Option<Curve> = None;
    for (corner, run) in runs {
        // Stretches of a run meet within the tolerance of a curve.
        let Ok(run) = Curve::new(run) else { continue };
        joined = match joined {
            None => Some(run),
            Some(before) => {
                let by = before.end().distance(corner).max(run.start().distance(corner));
                Some(join_at_corner(&before, &run, corner, by).unwrap_or(before))
            }
        };
    }
    joined.unwrap_or_else(|| curve.clone())
}

fn displaced_part(part: &Segment, passed: f64, shift: &impl Fn(Along) -> (Vec2, Vec2)) -> Vec<Segment> {
    let at = |t: f64| {
        let along = Along {
            distance: passed + part.subsegment(0.0, t).length(),
            at: part.eval(t),
            tangent: part.tangent(t),
            curvature: part.curvature(t),
        };
        let (by, change) = shift(along);
        (along.at + by, part.deriv(t).hypot() * (along.tangent + change))
    };
    let (start, end) = (at(0.0), at(1.0));
    let (first, last) = (start.0 - part.start(), end.0 - part.end());
    // A part that is moved as a whole stays what it is.
    let middle = at(0.5).0 - part.eval(0.5);
    let quarter = at(0.25).0 - part.eval(0.25);
    if [last, middle, quarter].iter().all(|by| (*by - first).hypot() <= 1e-9) {
        return vec![part.transformed(kurbo::Affine::translate(first))];
    }
    let fitted = fit_curve(at, FIT_MM);
    match (part, fitted.as_slice()) {
        (Segment::Line(_), [Segment::Cubic(c)]) => {
            let chord = c.p3 - c.p0;
            let off = |p: Point| (p - c.p0).cross(chord).abs() / chord.hypot().max(f64::MIN_POSITIVE);
            if off(c.p1) <= FIT_MM && off(c.p2) <= FIT_MM { vec![Segment::line(c.p0, c.p3)] } else { fitted }
        }
        _ => fitted,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_constant_shift_along_the_normal_is_the_parallel() {
        let curve = Curve::cubic(
            Point::ORIGIN,
            Point::new(80.0, 60.0),
            Point::new(160.0, 60.0),
            Point::new(240.0, 0.0),
        );
        let left = |along: Along| {
            let normal = Vec2::new(-along.tangent.y, along.tangent.x);
            (12.0 * normal, -12.0 * along.curvature * along.tangent)
        };
        let moved = displaced(&curve, &[], left);
        let exact = super::super::parallel(&curve, 12.0).unwrap();
        assert!((moved.length() - exact.length()).abs() < 1e-3);
    }

    #[test]
    fn at_a_corner_both_sides_are_carried_on_or_cut() {
        let corner =
            Curve::polyline(&[Point::ORIGIN, Point::new(50.0, 0.0), Point::new(50.0, 50.0)]).unwrap();
        let aside = |by: f64| {
            displaced(&corner, &[], |along| (by * Vec2::new(-along.tangent.y, along.tangent.x), Vec2::ZERO))
        };
        assert!((aside(10.0).length() - 80.0).abs() < 1e-9);
        assert!((aside(-10.0).length() - 120.0).abs() < 1e-9);
        // A bend of a degree opens by less than anyone sees, and is still moved.
        let bend = Point::new(100.0, 50.0 * 1_f64.to_radians().tan());
        let slight = Curve::polyline(&[Point::ORIGIN, Point::new(50.0, 0.0), bend]).unwrap();
        let moved = displaced(&slight, &[], |along| {
            (-5.0 * Vec2::new(-along.tangent.y, along.tangent.x), Vec2::ZERO)
        });
        assert!((moved.start() - Point::new(0.0, -5.0)).hypot() < 1e-9);
        assert!((moved.distance_to(Point::new(50.0, 0.0)) - 5.0).abs() < 1e-3);
    }

    #[test]
    fn a_line_whose_shift_grows_evenly_stays_a_line() {
        let line = Curve::line(Point::ORIGIN, Point::new(100.0, 0.0));
        let moved =
            displaced(&line, &[], |along| (Vec2::new(0.0, 0.1 * along.distance), Vec2::new(0.0, 0.1)));
        assert_eq!(moved.segments().len(), 1);
        assert!((moved.end() - Point::new(100.0, 10.0)).hypot() < 1e-9);
    }
}
