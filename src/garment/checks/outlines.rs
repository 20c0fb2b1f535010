//! Seam lines that cross themselves or do not close after alterations.

use crate::finding::{Finding, Severity};
use crate::garment::Found;
use crate::geometry::self_crossing;
use crate::geometry::tolerance::JOIN_MM;
use crate::pattern::Piece;

pub(super) fn of_piece(piece: &Piece) -> Vec<Found> {
    let mut findings = Vec::new();
    let id = &piece.id;
    for (index, edge) in piece.edges.iter().enumerate() {
        let next = &piece.edges[(index + 1) % piece.edges.len()];
        let gap = edge.curve.end().distance(next.curve.start());
        if gap > JOIN_MM || gap.is_nan() {
            let what = format!("the seam line of “{id}” is open by {gap:.2} mm at “{}”", edge.to);
            let finding = Finding::new(Severity::Stop, what, "change the last alteration of this piece");
            findings.push(finding.on(id).at(edge.curve.end()).by_mm(gap).into());
        }
    }
    if let Some(at) = self_crossing(&piece.polygon()) {
        let what = format!("the seam line of “{id}” crosses itself");
        let remedy = "make the last alteration of this piece smaller";
        findings.push(Finding::new(Severity::Stop, what, remedy).on(id).at(at).into());
    }
    findings
}
