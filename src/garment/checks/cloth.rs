//! Cloths that can't be cut as they are written down.

use super::Looked;
use crate::cloth::Cloth;
use crate::finding::{Finding, Severity};
use crate::garment::Found;
use crate::geometry::Affine;
use crate::lay::Grain;
use crate::pattern::ClothKind;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let cloths = looked.garment.plan.cloths.iter();
    let of_cloths = cloths.flat_map(|(kind, cloth)| cloth_findings(*kind, cloth));
    of_cloths.chain(too_wide(looked)).map(Found::from).collect()
}

/// Pieces that have no place yet and can have none: wider than the cloth as it lies. Of a piece that is laid the lay's
/// own rules say by how much it lies off.
fn too_wide(looked: &Looked<'_>) -> Vec<Finding> {
    let plan = &looked.garment.plan;
    let Some(cloth) = plan.cloth() else { return Vec::new() };
    let (extent, folded) = (cloth.extent(), cloth.fold().is_some());
    let unlaid = looked
        .parts
        .all()
        .iter()
        .filter(|part| part.count > 0 && plan.lay.iter().all(|place| place.piece != part.piece.id));
    let findings = unlaid.filter_map(|part| {
        let piece = &part.piece;
        let grain = match plan.lay_rules.grain_of(&piece.id) {
            Grain::Warp => 0.0,
            Grain::Weft => FRAC_PI_2,
            Grain::Bias => FRAC_PI_4,
        };
        let along_cloth = Affine::rotate(grain - piece.grainline.direction().atan2());
        let outline = if folded { part.half() } else { part.whole() };
        let needs_mm = outline.moved(along_cloth).bounds().height();
        let off_mm = needs_mm - extent.height();
        if off_mm <= 0.0 {
            return None;
        }
        let lies = if folded { "folded as it lies" } else { "in a single ply" };
        let what = format!(
            "“{}” is {needs_mm:.1} mm wide on its grain, and the {} “{}”, {lies}, only {:.1} mm",
            piece.id,
            plan.on_table.words(),
            cloth.name,
            extent.height()
        );
        let remedy = if folded {
            "lay the cloth flat, take wider cloth, or give the piece a seam"
        } else {
            "take wider cloth, cut it across the grain, or give the piece a seam"
        };
        Some(Finding::new(Severity::Stop, what, remedy).on(&piece.id).by_mm(off_mm))
    });
    findings.collect()
}

/// What keeps a cloth from being cut as it is written down.
#[must_use]
pub fn cloth_findings(kind: ClothKind, cloth: &Cloth) -> Vec<Finding> {
    let findings = cloth.faults().into_iter().map(|fault| {
        let severity = if fault.stops() { Severity::Stop } else { Severity::Warning };
        let what = format!("the {} “{}”: {fault}", kind.words(), cloth.name);
        let finding = Finding::new(severity, what, fault.remedy());
        match fault.amount_mm() {
            Some(amount) => finding.by_mm(amount),
            None => finding,
        }
    });
    findings.collect()
}
