//! The allowance of each edge, where a file shows the cutting line around the sew line.

use super::super::drawing::{Group, Part};
use crate::finding::{Finding, Severity};
use crate::geometry::{Curve, Length};
use crate::pattern::{LARGEST_ALLOWANCE_MM, Piece};

/// An allowance that varies by more than this along an edge is told, in mm.
const EVEN_MM: f64 = 0.5;

/// Gives each edge its distance from the cutting line, measured at its middle; at its ends, corners of the
/// cutting line are further away.
pub(super) fn measure(piece: &mut Piece, group: &Group, findings: &mut Vec<Finding>) {
    let cutting: Vec<&Curve> = group
        .strokes
        .iter()
        .filter(|stroke| stroke.part == Some(Part::Outline))
        .map(|stroke| &stroke.curve)
        .collect();
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
