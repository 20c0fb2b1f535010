//! Alterations that could not be done.

use super::Looked;
use crate::alter::Outcome;
use crate::finding::{Finding, Severity};

pub(super) fn check(looked: &Looked<'_>) -> Vec<Finding> {
    let steps = looked.replay.steps.iter();
    steps
        .filter_map(|step| match &step.outcome {
            Outcome::Failed(error) => Some(Finding::new(
                Severity::Stop,
                format!("alteration {} was left out: {error}", step.id),
                "change the amount, or switch the alteration off",
            )),
            Outcome::NoEffect(why) => Some(Finding::new(
                Severity::Note,
                format!("alteration {} has no effect: {why}", step.id),
                "change the amount, or take the alteration out of the list",
            )),
            Outcome::Applied(_) | Outcome::Off => None,
        })
        .collect()
}
