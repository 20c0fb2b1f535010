//! Mates of which only one was altered.

use super::Looked;
use super::mates::{Trouble, Why, with_mate};
use super::seams::{disagreement, placed};
use crate::finding::{Finding, Severity};
use crate::garment::Found;

pub(super) fn check(looked: &Looked<'_>, troubles: &[Trouble<'_>]) -> Vec<Found> {
    troubles
        .iter()
        .filter_map(|trouble| {
            let Why::Stale { step, changed, stale } = &trouble.why else {
                return None;
            };
            let what = format!(
                "“{}” is stale: alteration {step} changed “{}” and not its mate; {}",
                stale.piece,
                changed.piece,
                disagreement(trouble)
            );
            let remedy = format!("alter “{}” as “{}” was altered", stale.piece, changed.piece);
            let finding = placed(trouble, Finding::new(Severity::Stop, what, remedy));
            Some(Found::mended_by(finding, with_mate(looked, *step, &stale.piece)))
        })
        .collect()
}
