//! The rules of the lay on the main cloth.

use super::Looked;
use crate::garment::Found;
use crate::lay::{self, Laid};
use crate::pattern::ClothKind;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let plan = &looked.garment.plan;
    let Some(cloth) = plan.cloths.get(&ClothKind::Cloth) else {
        return Vec::new();
    };
    // A cloth is chosen before anything is laid; then only the cloth itself is looked at.
    if plan.lay.is_empty() {
        return Vec::new();
    }
    let laid = Laid {
        cloth,
        parts: looked.parts,
        places: &plan.lay,
        rules: &plan.lay_rules,
    };
    lay::check(&laid).into_iter().map(Found::from).collect()
}
