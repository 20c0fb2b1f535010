//! Places that name what is not there, and copies that lie off the cloth.

use super::Looked;
use crate::finding::{Finding, Severity};
use crate::pattern::ClothKind;
use kurbo::Shape as _;

/// A piece may touch the edge of the cloth; beyond this it lies off it, in mm.
const EDGE_TOLERANCE_MM: f64 = 0.01;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Finding> {
    let plan = &looked.garment.plan;
    let mut findings = Vec::new();
    let Some(cloth) = plan.cloths.get(&ClothKind::Cloth) else {
        return findings;
    };
    let extent = cloth.extent().inflate(EDGE_TOLERANCE_MM, EDGE_TOLERANCE_MM);
    for place in &plan.lay {
        let id = &place.piece;
        let Some(piece) = looked.pieces.iter().find(|piece| &piece.altered.id == id) else {
            let what = format!("the lay has a place for “{id}”, which the pattern does not have");
            findings.push(Finding::new(
                Severity::Warning,
                what,
                "take the place out of the lay",
            ));
            continue;
        };
        let Some(path) = &piece.cutting_path else { continue };
        let motion = place.cloth_from_piece(&piece.altered);
        let mut bounds = (motion * path.clone()).bounding_box();
        let opened = piece
            .altered
            .cuttings
            .iter()
            .any(|cutting| cutting.how == crate::pattern::HowCut::OpenedOut);
        if let Some(mirror) = piece.altered.mirror_about_fold().filter(|_| opened) {
            bounds = bounds.union((motion * mirror * path.clone()).bounding_box());
        }
        let over = [
            extent.x0 - bounds.x0,
            extent.y0 - bounds.y0,
            bounds.x1 - extent.x1,
            bounds.y1 - extent.y1,
        ];
        let over = over.into_iter().fold(f64::NEG_INFINITY, f64::max);
        if over > 0.0 {
            let what = format!("“{id}”, copy {}, lies {over:.1} mm off the cloth", place.copy);
            findings.push(
                Finding::new(Severity::Stop, what, "move it onto the cloth")
                    .on(id)
                    .by_mm(over),
            );
        }
        let turned = place.turn_degrees.rem_euclid(360.0);
        if cloth.is_one_way() && turned > f64::EPSILON && turned < 360.0 - f64::EPSILON {
            let what = format!(
                "“{id}”, copy {}, is turned by {turned:.0}° on cloth that has a top",
                place.copy
            );
            findings.push(
                Finding::new(
                    Severity::Stop,
                    what,
                    "turn it back to 0°, with its top to the print's",
                )
                .on(id),
            );
        }
    }
    findings
}
