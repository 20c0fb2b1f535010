//! Facings that no longer lie on the edge that they finish.

use super::Looked;
use super::mates::{Off, Trouble, Why, with_mate};
use super::seams::{disagreement, placed};
use crate::alter::{Facing, Record};
use crate::finding::{Finding, Severity};
use crate::garment::{Command, Found, Mend};
use crate::pattern::Run;

pub(super) fn check(looked: &Looked<'_>, troubles: &[Trouble<'_>]) -> Vec<Found> {
    troubles
        .iter()
        .filter_map(|trouble| {
            let Why::Facing { facing, edge } = &trouble.why else {
                return None;
            };
            let what = match &trouble.off {
                Off::Shape { off_mm } => format!(
                    "the facing “{}” is stale: along the seam “{}” it leaves the edge of “{}” by {off_mm:.1} mm",
                    facing.piece, trouble.seam.id, edge.piece
                ),
                _ => format!("the facing “{}” is stale: {}", facing.piece, disagreement(trouble)),
            };
            let remedy = format!(
                "redraft “{}” from the altered edge of “{}”",
                facing.piece, edge.piece
            );
            let finding = placed(trouble, Finding::new(Severity::Stop, what, remedy));
            // A facing that a step has left out is mended by taking it in.
            let last = looked.replay.last_touched(&edge.piece);
            let taken_in = last.and_then(|step| with_mate(looked, step, &facing.piece));
            let mend = taken_in.or_else(|| redrafted(looked, facing));
            Some(Found::mended_by(finding, mend))
        })
        .collect()
}

/// The facing drawn again from what it is sewn to.
fn redrafted(looked: &Looked<'_>, facing: &Run) -> Option<Mend> {
    let piece = looked.piece(&facing.piece)?;
    let record = Record::Facing(Facing::again(&looked.garment.pattern, &piece.altered)?);
    Some(Mend { words: record.words(), command: Command::AddAlteration(record) })
}
