//! Cloths that can't be cut as they are written down.

use super::Looked;
use crate::cloth::Cloth;
use crate::finding::{Finding, Severity};
use crate::garment::Found;
use crate::pattern::ClothKind;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let cloths = looked.garment.plan.cloths.iter();
    cloths.flat_map(|(kind, cloth)| cloth_findings(*kind, cloth)).map(Found::from).collect()
}

/// What keeps a cloth from being cut as it is written down.
#[must_use]
pub fn cloth_findings(kind: ClothKind, cloth: &Cloth) -> Vec<Finding> {
    let of = match kind {
        ClothKind::Cloth => "the cloth",
        ClothKind::Lining => "the lining",
        ClothKind::Interfacing => "the interfacing",
    };
    let findings = cloth.faults().into_iter().map(|fault| {
        let severity = if fault.stops() { Severity::Stop } else { Severity::Warning };
        let what = format!("{of} “{}”: {fault}", cloth.name);
        let finding = Finding::new(severity, what, fault.remedy());
        match fault.amount_mm() {
            Some(amount) => finding.by_mm(amount),
            None => finding,
        }
    });
    findings.collect()
}
