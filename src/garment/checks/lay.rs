//! The rules of the lay on the cloth that is on the table, and of the lays aside.

use super::Looked;
use crate::finding::{Finding, Severity};
use crate::garment::{Command, Found, Mend};
use crate::lay::{self, Laid, Rule};
use crate::pattern::ClothKind;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let plan = &looked.garment.plan;
    let mut found = on_table(looked);
    for (kind, aside) in looked.aside.iter().filter(|(kind, _)| **kind != plan.on_table) {
        found.extend(aside.findings.iter().map(|finding| said_aside(*kind, finding)));
    }
    found
}

/// What is said of a lay that is not on the table: it stops no cutting before it is put there, and its place is not on
/// the board.
fn said_aside(kind: ClothKind, finding: &Finding) -> Found {
    let what = format!("on the {}, which is not on the table, {}", kind.words(), finding.what);
    let remedy = format!("put the {} on the table, and {}", kind.words(), finding.remedy);
    let aside = Finding::new(finding.severity.min(Severity::Warning), what, remedy);
    Found::from(match finding.amount_mm {
        Some(amount) => aside.by_mm(amount),
        None => aside,
    })
}

fn on_table(looked: &Looked<'_>) -> Vec<Found> {
    let plan = &looked.garment.plan;
    let Some(cloth) = plan.cloth() else {
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
