//! Checks: each looks at the altered pieces and says what it found. One file a check.

mod alterations;
mod cutting;
mod lay;
mod seams;

use super::{EvaluatedPiece, Garment};
use crate::alter::Replay;
use crate::finding::{Finding, Subject};

/// Everything that a check may look at.
#[derive(Debug, Clone, Copy)]
struct Looked<'a> {
    garment: &'a Garment,
    pieces: &'a [EvaluatedPiece],
    replay: &'a Replay,
}

/// What all checks have to say, gravest first.
pub(super) fn all(garment: &Garment, pieces: &[EvaluatedPiece], replay: &Replay) -> Vec<Finding> {
    let looked = Looked {
        garment,
        pieces,
        replay,
    };
    type Check = fn(&Looked<'_>) -> Vec<Finding>;
    let checks: [(Check, Subject); 4] = [
        (alterations::check, Subject::Alterations),
        (cutting::check, Subject::Alterations),
        (seams::check, Subject::Alterations),
        (lay::check, Subject::Lay),
    ];
    let mut findings: Vec<_> = checks
        .into_iter()
        .flat_map(|(check, subject)| {
            let found = check(&looked).into_iter();
            found.map(move |finding| finding.about(subject))
        })
        .collect();
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    findings
}
