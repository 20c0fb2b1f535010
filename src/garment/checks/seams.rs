//! Seams whose sides do not have the same length.

use super::Looked;
use crate::finding::{Finding, Severity};
use crate::pattern::Run;

/// Difference between mates that nobody sews apart, in mm: 1/16 inch, common practice.
const SEAM_TOLERANCE_MM: f64 = 1.5;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Finding> {
    let seams = looked.garment.pattern.seams.iter();
    seams
        .filter_map(|seam| {
            let [first, second] = &seam.sides;
            let (first_mm, second_mm) = (length(looked, first)?, length(looked, second)?);
            let longer = second_mm - first_mm;
            let (least, most) = (
                seam.ease.least_mm - SEAM_TOLERANCE_MM,
                seam.ease.most_mm + SEAM_TOLERANCE_MM,
            );
            if (least..=most).contains(&longer) {
                return None;
            }
            let what = format!(
                "the seam “{}” does not meet: {:.1} mm on “{}”, {:.1} mm on “{}”",
                seam.id, first_mm, first.piece, second_mm, second.piece
            );
            let remedy = format!("alter “{}” and “{}” alike", first.piece, second.piece);
            let at = looked
                .replay
                .piece(&first.piece)
                .and_then(|piece| piece.corner(&first.from));
            let finding = Finding::new(Severity::Stop, what, remedy)
                .on(&first.piece)
                .by_mm(longer);
            Some(match at {
                Some(at) => finding.at(at),
                None => finding,
            })
        })
        .collect()
}

fn length(looked: &Looked<'_>, run: &Run) -> Option<f64> {
    let piece = looked.replay.piece(&run.piece)?;
    run.edges
        .iter()
        .map(|edge| piece.edge(edge).map(|edge| edge.curve.length()))
        .sum()
}
