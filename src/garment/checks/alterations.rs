//! Alterations that could not be done.

use super::Looked;
use crate::alter::Outcome;
use crate::finding::{Finding, Severity};
use crate::garment::{Command, Found, Mend};

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let steps = looked.replay.steps.iter();
    steps
        .filter_map(|step| match &step.outcome {
            Outcome::Failed(error) => {
                let what = format!("alteration {} was left out: {error}", step.id);
                let remedy = "change the amount, or switch the alteration off";
                let off = Mend {
                    words: format!("switch alteration {} off", step.id),
                    command: Command::SwitchAlteration(step.id, false),
                };
                let finding = Finding::new(Severity::Stop, what, remedy);
                Some(Found::mended_by(finding, Some(off)))
            }
            Outcome::NoEffect(why) => {
                let what = format!("alteration {} has no effect: {why}", step.id);
                let remedy = "change the amount, or take the alteration out of the list";
                let out = Mend {
                    words: format!("take alteration {} out of the list", step.id),
                    command: Command::RemoveAlteration(step.id),
                };
                let finding = Finding::new(Severity::Note, what, remedy);
                Some(Found::mended_by(finding, Some(out)))
            }
            Outcome::Applied(_) | Outcome::Off => None,
        })
        .collect()
}
