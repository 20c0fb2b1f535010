//! Pieces that cannot be cut: no cutting line, no instruction.

use super::Looked;
use crate::finding::{Finding, Severity};
use crate::garment::Found;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let mut findings = Vec::new();
    for piece in looked.pieces {
        let id = &piece.altered.id;
        if let Err(error) = &piece.cutting {
            let what = format!("“{id}” has no cutting line: {error}");
            findings.push(Finding::new(Severity::Stop, what, "use a narrower allowance there").on(id).into());
        }
        if piece.altered.cuttings.is_empty() {
            let what = format!("“{id}” does not say how many to cut");
            let remedy = "add a line under cutting in the pattern: which cloth, how many, how";
            findings.push(Finding::new(Severity::Warning, what, remedy).on(id).into());
        }
    }
    findings
}
