//! Cloths that can't be cut as they are written down.

use super::Looked;
use crate::finding::{Finding, Severity};
use crate::garment::Found;
use crate::pattern::ClothKind;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let mut findings = Vec::new();
    for (kind, cloth) in &looked.garment.plan.cloths {
        let of = match kind {
            ClothKind::Cloth => "the cloth",
            ClothKind::Lining => "the lining",
            ClothKind::Interfacing => "the interfacing",
        };
        for fault in cloth.faults() {
            let severity = if fault.stops() { Severity::Stop } else { Severity::Warning };
            let what = format!("{of} “{}”: {fault}", cloth.name);
            let finding = Finding::new(severity, what, fault.remedy());
            let finding = match fault.amount_mm() {
                Some(amount) => finding.by_mm(amount),
                None => finding,
            };
            findings.push(Found::from(finding));
        }
    }
    findings
}
