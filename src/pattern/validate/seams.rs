//! Whether the sides of a seam can be walked.

use super::super::fault::{FaultKind, Part, PatternFault};
use super::super::walk::across_dart;
use super::super::{CornerId, EdgeId, EdgeRole, Pattern, Run, Seam};
use super::{fault, names_fault, unknown};
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;

/// Faults of a seam's ease and of both sides.
pub(super) fn check_seam(pattern: &Pattern, seam: &Seam, faults: &mut Vec<PatternFault>) {
    let mut say = |kind| faults.push(fault(None, None, Part::Seam(seam.id.clone()), kind));
    let (least_mm, most_mm) = (seam.ease.least_mm, seam.ease.most_mm);
    if !least_mm.is_finite() || !most_mm.is_finite() {
        say(FaultKind::NotFinite);
    } else if let Some(large) = [least_mm, most_mm].into_iter().find(|mm| mm.abs() > LARGEST_COORDINATE_MM) {
        say(FaultKind::TooLarge(large));
    } else if least_mm > most_mm {
        say(FaultKind::EaseOrder { least_mm, most_mm });
    }
    for run in &seam.sides {
        if let Some(kind) = run_fault(pattern, run) {
            say(kind);
        }
    }
}

/// Walks a side of a seam from corner to corner, darts closed.
fn run_fault(pattern: &Pattern, run: &Run) -> Option<FaultKind> {
    let Some(sized) = pattern.pieces.iter().find(|sized| sized.id == run.piece) else {
        let names = pattern.pieces.iter().map(|sized| sized.id.as_str());
        return Some(unknown("piece", run.piece.as_str(), names));
    };
    let piece = sized.by_size.first()?;
    if run.edges.is_empty() {
        return Some(FaultKind::None("edge on one side of the seam"));
    }
    if piece.corner(&run.from).is_none() {
        let names = piece.edges.iter().map(|edge| edge.from.as_str());
        return Some(unknown("corner", run.from.as_str(), names));
    }
    if let Some(kind) = names_fault("edge", run.edges.iter().map(EdgeId::as_str)) {
        return Some(kind);
    }
    let mut at = &run.from;
    for id in &run.edges {
        let Some(edge) = piece.edge(id) else {
            let names = piece.edges.iter().map(|edge| edge.id.as_str());
            return Some(unknown("edge", id.as_str(), names));
        };
        let unsewn = match edge.role {
            EdgeRole::DartMouth(_) => Some("the mouth of a dart"),
            EdgeRole::Fold => Some("a fold"),
            _ => None,
        };
        if let Some(what) = unsewn {
            let (piece, edge) = (run.piece.clone(), id.clone());
            return Some(FaultKind::NotSewn { piece, edge, what });
        }
        let follows = |corner: &CornerId| edge.from == *corner || edge.to == *corner;
        if !follows(at)
            && let Some(beyond) = across_dart(piece, at)
            && follows(beyond)
        {
            at = beyond;
        }
        if !follows(at) {
            return Some(FaultKind::NotConsecutive {
                piece: run.piece.clone(),
                edge: id.clone(),
                corner: at.to_string(),
            });
        }
        at = if edge.from == *at { &edge.to } else { &edge.from };
    }
    None
}
