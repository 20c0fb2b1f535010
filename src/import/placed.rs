//! A shape of a file, laid on the table.

use crate::geometry::tolerance::{FIT_MM, JOIN_MM, LARGEST_COORDINATE_MM};
use crate::geometry::{Affine, Curve, CurveError, Point, Segment, Vec2};

/// Cubics approximate an arc to this part of its radius at best: beyond it, f64 has no digits left.
const FINEST: f64 = 1e-9;

/// Why a shape cannot be laid on the table.
pub(super) enum Unplaced {
    /// Off any cloth.
    TooFar,
    /// No curve.
    NoCurve(CurveError),
}

/// Segments under a transform, in mm, y up. Circular arcs stay arcs as long as the transform keeps circles. `None`
/// when nothing is left of them.
pub(super) fn placed(segments: &[Segment], mm_from_user: Affine) -> Result<Option<Curve>, Unplaced> {
    let [a, b, c, d, ..] = mm_from_user.as_coeffs();
    let scale = mm_from_user.determinant().abs().sqrt();
    // The axes stay square and equally long: circles stay circles.
    let similar =
        (a * c + b * d).abs() <= 1e-9 * scale * scale && (a.hypot(b) - c.hypot(d)).abs() <= 1e-9 * scale;
    let mut laid: Vec<Segment> = Vec::new();
    for segment in segments {
        match segment {
            // An arc so flat that its centre is off the cloth is as good as a cubic.
            Segment::Arc(arc) if !similar || arc.radius * scale > 0.5 * LARGEST_COORDINATE_MM => {
                let accuracy = FIT_MM / a.hypot(b).max(c.hypot(d)).max(f64::MIN_POSITIVE);
                let cubics = segment.path_segments(accuracy.max(FINEST * arc.radius));
                laid.extend(cubics.into_iter().map(|cubic| Segment::from(cubic).transformed(mm_from_user)));
            }
            _ => laid.push(segment.transformed(mm_from_user)),
        }
    }
    for segment in &laid {
        let points = match segment {
            Segment::Line(line) => vec![line.p0, line.p1],
            Segment::Cubic(c) => vec![c.p0, c.p1, c.p2, c.p3],
            Segment::Arc(arc) => vec![arc.center, arc.eval(0.0), arc.eval(1.0)],
        };
        if !points.into_iter().all(on_cloth) {
            return Err(Unplaced::TooFar);
        }
    }
    // Neighbours share their ends; only the joins of stretched arcs are rounded.
    laid.retain(|segment| segment.length() > JOIN_MM * 1e-3);
    if laid.is_empty() {
        return Ok(None);
    }
    Curve::new(laid).map(Some).map_err(Unplaced::NoCurve)
}

/// A curve under a scaling, which need not be the same across and up. One that would reach off any cloth is scaled all
/// the same, its arcs as arcs.
pub(super) fn stretched(curve: &Curve, larger: Affine) -> Curve {
    match placed(curve.segments(), larger) {
        Ok(Some(curve)) => curve,
        _ => curve.transformed(larger),
    }
}

/// A direction under a transform, as a unit vector; to the right where the transform leaves nothing of it.
pub(super) fn direction(transform: Affine, along: Vec2) -> Vec2 {
    let turned = transform * along.to_point() - transform * Point::ORIGIN;
    let length = turned.hypot();
    if length.is_finite() && length > 0.0 { turned / length } else { Vec2::new(1.0, 0.0) }
}

/// Whether a point could lie on cloth.
pub(super) fn on_cloth(point: Point) -> bool {
    let near = |x: f64| x.is_finite() && x.abs() <= LARGEST_COORDINATE_MM;
    near(point.x) && near(point.y)
}
