//! The rules of the lay on the main cloth.

use super::Looked;
use crate::garment::{Command, Found, Mend};
use crate::lay::{self, Laid, Rule};
use crate::pattern::ClothKind;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let plan = &looked.garment.plan;
    let Some(cloth) = plan.cloths.get(&ClothKind::Cloth) else {
        return Vec::new();
    };
    let breaches =
        lay::breaches(&Laid { cloth, parts: looked.parts, places: &plan.lay, rules: &plan.lay_rules });
    // Before anything is laid, only how the cloth lies is looked at.
    breaches
        .into_iter()
        .filter(|breach| breach.rule == Rule::Plies || !plan.lay.is_empty())
        .map(|breach| {
            let mend = breach
                .mended
                .map(|mended| Mend { words: mended.words, command: Command::SetPlace(mended.place) });
            Found::mended_by(breach.finding, mend)
        })
        .collect()
}
