//! A seam line inside its cutting line, and the allowance of each edge.

use super::places::Polygon;
use crate::finding::{Finding, Severity};
use crate::geometry::{Curve, Length, Point};
use crate::pattern::{LARGEST_ALLOWANCE_MM, Piece};

/// An allowance that varies by more than this along an edge is told, in mm.
const EVEN_MM: f64 = 0.5;

/// The widest allowance that two lines of a drawing are taken for, in mm: a deep hem.
const WIDEST_MM: f64 = 80.0;

/// The narrowest, in mm. Closer lines are one line drawn twice.
const NARROWEST_MM: f64 = 2.0;

/// So many widths of allowance has a piece at most: seams, hem, fold.
const WIDTHS: usize = 4;

/// The part of the seam line along which the cutting line runs evenly at least; corners are further away.
const MOSTLY: f64 = 0.75;

/// Places along a seam line at which its distance is taken.
const PLACES: usize = 120;

/// How far a place lies from a curve, if not too far for an allowance, in mm.
pub(super) fn near(curve: &Curve, place: Point) -> Option<f64> {
    let around = curve.bounding_box().inflate(WIDEST_MM, WIDEST_MM);
    around.contains(place).then(|| curve.nearest(place).1)
}

/// Whether one polygon lies inside another at a few widths, as a seam line does in its cutting line.
pub(super) fn runs_evenly_inside(inner: &Polygon, outer: &Polygon) -> bool {
    if !outer.holds(inner) {
        return false;
    }
    let mut away: Vec<f64> = inner.evenly(PLACES).into_iter().map(|place| outer.distance(place)).collect();
    if away.is_empty() || away.iter().any(|mm| *mm > WIDEST_MM) {
        return false;
    }
    away.sort_by(f64::total_cmp);
    let count = away.len();
    if away[count / 2] < NARROWEST_MM {
        return false;
    }
    let mut left = away;
    let mut even = 0;
    for _ in 0..WIDTHS {
        // The window of one width that holds most of what is left.
        let windows = (0..left.len()).map(|from| {
            let to = left.partition_point(|mm| *mm <= left[from] + EVEN_MM);
            (to - from, from)
        });
        let Some((held, from)) = windows.max() else { break };
        even += held;
        left.drain(from..from + held);
    }
    #[expect(clippy::cast_precision_loss, reason = "counts below a thousand")]
    let share = even as f64 / count as f64;
    share >= MOSTLY
}

/// Gives each edge its distance from the cutting line, measured at its middle; at its ends, corners of the
/// cutting line are further away.
pub(super) fn measure(piece: &mut Piece, cutting: &[Curve], findings: &mut Vec<Finding>) {
    let mut uneven: Vec<String> = Vec::new();
    for edge in &mut piece.edges {
        let length = edge.curve.length();
        let away = [0.35, 0.5, 0.65].map(|part| {
            let at = edge.curve.point_at(part * length);
            let distances = cutting.iter().map(|curve| curve.nearest(at).1);
            distances.fold(f64::INFINITY, f64::min)
        });
        if away.iter().any(|mm| *mm > LARGEST_ALLOWANCE_MM) {
            uneven.push(edge.id.to_string());
            continue;
        }
        if (away[0] - away[2]).abs() > EVEN_MM {
            uneven.push(edge.id.to_string());
        }
        let rounded = (away[1] * 100.0).round() / 100.0;
        edge.allowance = Some(Length::from_mm(rounded));
    }
    if !uneven.is_empty() {
        let what = format!(
            "The cutting line does not run evenly along {}; the distance at its middle was taken",
            uneven.join(", ")
        );
        findings.push(Finding::new(Severity::Warning, what, "Set the allowance there").on(&piece.id));
    }
}
