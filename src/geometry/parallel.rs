//! The curve at a constant distance from another.
//!
//! Lines and arcs stay what they are, exactly. A cubic goes through kurbo's offset (within
//! [`OFFSET_MM`]). Where two segments meet at a corner, the parallels are trimmed to their crossing on the
//! inner side and carried on to their crossing on the outer side.

use super::{CircularArc, Curve, Segment, crossings};
use kurbo::{BezPath, Line, Point, Vec2, offset::offset_cubic};

/// Furthest that the parallel of a cubic may lie from the true one, in mm: a fiftieth of the 0.02 mm that
/// a hem's length is checked to.
pub(super) const OFFSET_MM: f64 = 4e-4;

/// How far past an outer corner the parallels are carried on before they are joined straight, as a multiple
/// of the distance.
const CORNER_REACH: f64 = 6.0;

/// Why there is no parallel at this distance.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ParallelError {
    /// On the inner side the distance reaches the centre of curvature.
    #[error("the line bends with a radius of {radius_mm:.1} mm at ({:.1}, {:.1}); a parallel {distance_mm:.1} mm inside it would fold over itself. Use less than {radius_mm:.1} mm", at.x, at.y)]
    FoldsOver {
        /// Smallest radius met, in mm.
        radius_mm: f64,
        /// Distance asked for, in mm, unsigned.
        distance_mm: f64,
        /// Where it bends so sharply.
        at: Point,
    },
    /// Nothing is left of the line.
    #[error("nothing is left of the line at a distance of {distance_mm:.1} mm")]
    Vanishes {
        /// Distance asked for, in mm.
        distance_mm: f64,
    },
}

/// The parallel of `curve` at `distance` mm; positive lies to the left of travel (y up).
///
/// # Errors
/// [`ParallelError`] when the distance is not smaller than the radius of curvature on the inner side.
pub fn parallel(curve: &Curve, distance: f64) -> Result<Curve, ParallelError> {
    if distance == 0.0 {
        return Ok(curve.clone());
    }
    // Smooth stretches first: at a corner, whole stretches are trimmed against each other, so that a short segment
    // beside it may vanish.
    let mut runs: Vec<(Point, Curve)> = Vec::new();
    for segment in curve.segments() {
        let offset = parallel_of_segment(segment, distance)?;
        match runs.last_mut() {
            Some((_, run)) if run.end().distance(offset.start()) <= super::tolerance::JOIN_MM => {
                let next = offset.with_ends(run.end(), offset.end());
                *run = run.joined(&next).map_err(|error| vanished(&error, distance))?;
            }
            _ => runs.push((segment.start(), offset)),
        }
    }
    let mut runs = runs.into_iter();
    let Some((_, mut joined)) = runs.next() else {
        return Err(ParallelError::Vanishes { distance_mm: distance });
    };
    for (corner, next) in runs {
        joined = join_at_corner(&joined, &next, corner, distance)
            .ok_or(ParallelError::Vanishes { distance_mm: distance })?;
    }
    Ok(joined)
}

fn parallel_of_segment(segment: &Segment, distance: f64) -> Result<Curve, ParallelError> {
    let left = |tangent: Vec2| distance * Vec2::new(-tangent.y, tangent.x);
    match segment {
        Segment::Line(line) => {
            let shift = left(segment.tangent(0.0));
            Ok(Curve::line(line.p0 + shift, line.p1 + shift))
        }
        Segment::Arc(arc) => {
            // Left of a counter-clockwise arc is towards its centre.
            let radius = arc.radius - distance * arc.sweep.signum();
            if radius <= 0.0 {
                return Err(ParallelError::FoldsOver {
                    radius_mm: arc.radius,
                    distance_mm: distance.abs(),
                    at: arc.eval(0.5),
                });
            }
            let offset = Segment::Arc(CircularArc { radius, ..*arc });
            Curve::new(vec![offset]).map_err(|error| vanished(&error, distance))
        }
        Segment::Cubic(cubic) => {
            if let Some((radius_mm, at)) = folding_place(segment, distance) {
                return Err(ParallelError::FoldsOver { radius_mm, distance_mm: distance.abs(), at });
            }
            let mut path = BezPath::new();
            offset_cubic(*cubic, distance, OFFSET_MM, &mut path);
            Curve::from_bezpath(&path).ok_or(ParallelError::Vanishes { distance_mm: distance })
        }
    }
}

/// Segments built from finite ones can only fail to be a curve when nothing is left of them.
fn vanished(_: &super::CurveError, distance: f64) -> ParallelError {
    ParallelError::Vanishes { distance_mm: distance }
}

/// Where a cubic bends to the side of the parallel with a radius of no more than the distance.
fn folding_place(segment: &Segment, distance: f64) -> Option<(f64, Point)> {
    const STEPS: u32 = 64;
    let step = 1.0 / f64::from(STEPS);
    (0..=STEPS)
        .filter_map(|index| {
            let t = f64::from(index) * step;
            let speed = segment.deriv(t).hypot();
            let curvature = segment.curvature(t);
            // Very short handles (a cusp at an end) have no radius worth refusing for.
            (speed > 1e-3 && curvature * distance >= 1.0).then(|| (1.0 / curvature.abs(), segment.eval(t)))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Two lines that were moved by up to `distance` mm from either side of a corner, as one: cut where they cross, carried on
/// to where they meet, or joined straight. `None` when nothing would be left of one.
pub(super) fn join_at_corner(before: &Curve, after: &Curve, corner: Point, distance: f64) -> Option<Curve> {
    // Inner side: the parallels cross; keep what lies outside the crossing.
    if let Some(meeting) =
        crossings(before, after).into_iter().min_by(|a, b| a.on_second.total_cmp(&b.on_second))
    {
        let kept = before.portion(0.0, meeting.on_first)?;
        let rest = after.portion(meeting.on_second, f64::INFINITY)?;
        return kept.joined(&rest.with_ends(kept.end(), rest.end())).ok();
    }
    // Outer side: carry both on, straight, to where they meet.
    let (p, q) = (before.end(), after.start());
    let ahead = Line::new(p, p + before.end_tangent());
    let meeting = ahead.crossing_point(Line::new(q, q + after.start_tangent()));
    let meeting = meeting.filter(|m| m.distance(corner) <= CORNER_REACH * distance.abs());
    let mut segments = before.segments().to_vec();
    match meeting {
        Some(m) => segments.extend([Segment::line(p, m), Segment::line(m, q)]),
        None => segments.push(Segment::line(p, q)),
    }
    segments.extend(after.segments());
    Curve::new(segments).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn left_of_travel_is_positive_for_every_kind_of_segment() {
        let line = parallel(&Curve::line(Point::ORIGIN, Point::new(10.0, 0.0)), 3.0).unwrap();
        assert!((line.start() - Point::new(0.0, 3.0)).hypot() < 1e-12);
        let arc = Curve::arc(Point::ORIGIN, Point::new(100.0, 0.0), 1.0);
        assert!((parallel(&arc, 3.0).unwrap().start() - Point::new(97.0, 0.0)).hypot() < 1e-12);
        let cubic = Curve::cubic(
            Point::ORIGIN,
            Point::new(30.0, 0.0),
            Point::new(60.0, 20.0),
            Point::new(90.0, 20.0),
        );
        assert!((parallel(&cubic, 3.0).unwrap().start() - Point::new(0.0, 3.0)).hypot() < 1e-6);
    }

    #[test]
    fn every_point_of_a_cubics_parallel_is_at_the_distance() {
        let cubic = Curve::cubic(
            Point::ORIGIN,
            Point::new(80.0, 60.0),
            Point::new(160.0, 60.0),
            Point::new(240.0, 0.0),
        );
        for distance in [-40.0, 25.0] {
            let offset = parallel(&cubic, distance).unwrap();
            for step in 1..100 {
                let point = offset.point_at(offset.length() * f64::from(step) / 100.0);
                let (_, off) = cubic.nearest(point);
                assert!((off - distance.abs()).abs() < 1e-3, "{off} at {step} for {distance}");
            }
        }
    }

    #[test]
    fn a_parallel_past_the_centre_of_curvature_is_refused_with_the_radius() {
        let arc = Curve::arc(Point::ORIGIN, Point::new(100.0, 0.0), 1.0);
        assert!(
            matches!(parallel(&arc, 120.0), Err(ParallelError::FoldsOver { radius_mm, .. }) if (radius_mm - 100.0).abs() < 1e-12)
        );
        let tight =
            Curve::cubic(Point::ORIGIN, Point::new(30.0, 0.0), Point::new(30.0, 30.0), Point::new(0.0, 30.0));
        assert!(matches!(parallel(&tight, 40.0), Err(ParallelError::FoldsOver { .. })));
    }

    #[test]
    fn the_parallels_of_a_corner_meet_in_a_corner() {
        let corner =
            Curve::polyline(&[Point::ORIGIN, Point::new(50.0, 0.0), Point::new(50.0, 50.0)]).unwrap();
        let inner = parallel(&corner, 10.0).unwrap();
        assert!((inner.length() - 80.0).abs() < 1e-9);
        let outer = parallel(&corner, -10.0).unwrap();
        assert!((outer.length() - 120.0).abs() < 1e-9);
    }

    #[test]
    fn a_short_stretch_beside_an_inner_corner_may_vanish() {
        // The corner's parallels cross beyond the end of the 2 mm stretch.
        let points = [(0.0, 0.0), (50.0, 0.0), (50.0, 2.0), (50.0, 50.0)].map(Point::from);
        let inner = parallel(&Curve::polyline(&points).unwrap(), 10.0).unwrap();
        assert!((inner.length() - 80.0).abs() < 1e-9);
    }
}
