//! Seams whose sides do not meet, walked notch to notch.

use super::Looked;
use super::mates::{Off, Trouble, Why};
use crate::finding::{Finding, Severity};
use crate::garment::Found;
use crate::pattern::NotchId;

pub(super) fn check(_: &Looked<'_>, troubles: &[Trouble<'_>]) -> Vec<Found> {
    let unexplained = troubles.iter().filter(|trouble| matches!(trouble.why, Why::Unexplained));
    unexplained
        .map(|trouble| {
            let [first, second] = &trouble.seam.sides;
            let severity = match trouble.off {
                Off::Length { .. } => Severity::Stop,
                Off::Notch { .. } | Off::Shape { .. } => Severity::Warning,
            };
            let remedy = match &trouble.off {
                Off::Notch { notch, .. } => {
                    format!("sew by the ends of the seam, or move “{notch}” on one piece")
                }
                _ => format!("alter “{}” and “{}” alike", first.piece, second.piece),
            };
            Found::from(placed(trouble, Finding::new(severity, disagreement(trouble), remedy)))
        })
        .collect()
}

/// The finding at its place.
pub(super) fn placed(trouble: &Trouble<'_>, finding: Finding) -> Finding {
    let finding = finding.on(trouble.on).by_mm(trouble.off.amount_mm());
    match trouble.at {
        Some(at) => finding.at(at),
        None => finding,
    }
}

/// What does not agree, in a sentence.
pub(super) fn disagreement(trouble: &Trouble<'_>) -> String {
    let id = &trouble.seam.id;
    let [first, second] = trouble.seam.sides.each_ref().map(|run| &run.piece);
    match &trouble.off {
        Off::Length { lengths_mm: [first_mm, second_mm], stretch: [from, to], stretch_mm } => {
            let whole = format!(
                "the seam “{id}” does not meet: {first_mm:.1} mm on “{first}”, {second_mm:.1} mm on “{second}”"
            );
            if from.is_none() && to.is_none() {
                return whole;
            }
            format!(
                "{whole}; {:.1} mm of it between {} and {}",
                stretch_mm.abs(),
                mark(from.as_ref(), "its beginning"),
                mark(to.as_ref(), "its end")
            )
        }
        Off::Notch { notch, drift_mm } => {
            let (further, nearer) = if *drift_mm > 0.0 { (second, first) } else { (first, second) };
            format!(
                "along the seam “{id}” the notch “{notch}” lies {:.1} mm further on “{further}” than on “{nearer}”",
                drift_mm.abs()
            )
        }
        Off::Shape { off_mm } => {
            format!("the edges “{first}” and “{second}” at the seam “{id}” part by {off_mm:.1} mm")
        }
    }
}

fn mark(notch: Option<&NotchId>, end: &str) -> String {
    notch.map_or_else(|| end.to_owned(), |notch| format!("the notch “{notch}”"))
}
