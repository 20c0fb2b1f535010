//! Whether an outline is closed, simple and the right way round.

use super::super::Piece;
use super::super::fault::{FaultKind, Part};
use crate::geometry::tolerance::{FLATTEN_COARSE_MM, JOIN_MM, PARALLEL_SINE};
use crate::geometry::{Curve, Point, Segment, self_crossing};

/// Smallest area of a piece, in mm²: far below any patch.
const SMALLEST_AREA_MM2: f64 = 1.0;

/// Furthest that a fold edge may leave the straight, in mm.
const FOLD_STRAIGHT_MM: f64 = 0.05;

/// A fold edge that is not straight.
pub(super) fn fold_fault(piece: &Piece) -> Option<(Part, FaultKind)> {
    let fold = piece.fold()?;
    let bent = off_straight(&fold.curve);
    (bent > FOLD_STRAIGHT_MM).then(|| (Part::Edge(fold.id.clone()), FaultKind::FoldBent(bent)))
}

/// The first thing wrong with the outline as a shape.
pub(super) fn outline_fault(piece: &Piece) -> Option<(Part, FaultKind)> {
    for (index, edge) in piece.edges.iter().enumerate() {
        let next = &piece.edges[(index + 1) % piece.edges.len()];
        let gap_mm = edge.curve.end().distance(next.curve.start());
        if gap_mm > JOIN_MM {
            let kind = FaultKind::OutlineOpen { at: edge.curve.end(), next: next.id.clone(), gap_mm };
            return Some((Part::Edge(edge.id.clone()), kind));
        }
    }
    let polygon = piece.polygon();
    let area = signed_area(&polygon);
    if area.abs() < SMALLEST_AREA_MM2 {
        return Some((Part::Whole, FaultKind::NoArea(area.abs())));
    }
    let on_edge = |at: Point| {
        let nearest =
            piece.edges.iter().min_by(|a, b| a.curve.distance_to(at).total_cmp(&b.curve.distance_to(at)));
        nearest.map_or(Part::Whole, |edge| Part::Edge(edge.id.clone()))
    };
    if let Some(at) = spike(&polygon) {
        return Some((on_edge(at), FaultKind::DoublesBack(at)));
    }
    if let Some(at) = self_crossing(&polygon) {
        return Some((on_edge(at), FaultKind::CrossesItself(at)));
    }
    (area < 0.0).then_some((Part::Whole, FaultKind::Clockwise))
}

impl Piece {
    /// The seam line as a closed polygon within [`FLATTEN_COARSE_MM`], without repeated points.
    pub(crate) fn polygon(&self) -> Vec<Point> {
        let mut points: Vec<Point> = Vec::new();
        for edge in &self.edges {
            for point in edge.curve.flatten(FLATTEN_COARSE_MM) {
                if points.last().is_none_or(|last| last.distance(point) > JOIN_MM) {
                    points.push(point);
                }
            }
        }
        while points.len() > 1 && points[0].distance(points[points.len() - 1]) <= JOIN_MM {
            points.pop();
        }
        points
    }
}

/// Area of a closed polygon, positive when it runs counter-clockwise (y up).
pub(crate) fn signed_area(polygon: &[Point]) -> f64 {
    let Some(&origin) = polygon.first() else {
        return 0.0;
    };
    let doubled: f64 = polygon.windows(2).map(|pair| (pair[0] - origin).cross(pair[1] - origin)).sum();
    0.5 * doubled
}

/// The first corner of a polygon at which it turns back over itself.
fn spike(polygon: &[Point]) -> Option<Point> {
    let count = polygon.len();
    (0..count).find_map(|index| {
        let at = polygon[index];
        let before = at - polygon[(index + count - 1) % count];
        let after = polygon[(index + 1) % count] - at;
        let lengths = before.hypot() * after.hypot();
        let back = before.dot(after) < 0.0 && before.cross(after).abs() <= PARALLEL_SINE * lengths;
        back.then_some(at)
    })
}

/// Furthest that a curve leaves the line between its ends, in mm.
fn off_straight(curve: &Curve) -> f64 {
    if let [Segment::Line(_)] = curve.segments() {
        return 0.0;
    }
    let chord = curve.end() - curve.start();
    let length = chord.hypot();
    if length <= 0.0 {
        return curve.length();
    }
    curve
        .flatten(FLATTEN_COARSE_MM)
        .iter()
        .map(|point| (*point - curve.start()).cross(chord).abs() / length)
        .fold(0.0, f64::max)
}
