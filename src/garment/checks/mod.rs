//! Checks: each looks at the altered pieces and says what it found. One file a check.

mod alterations;
mod cloth;
mod cutting;
mod lay;
mod seams;

use super::{EvaluatedPiece, Garment};
use crate::alter::Replay;
use crate::finding::Finding;
use crate::lay::Parts;

/// Everything that a check may look at.
#[derive(Debug, Clone, Copy)]
struct Looked<'a> {
    garment: &'a Garment,
    pieces: &'a [EvaluatedPiece],
    replay: &'a Replay,
    parts: &'a Parts,
}

/// What all checks have to say, gravest first.
pub(super) fn all(
    garment: &Garment,
    pieces: &[EvaluatedPiece],
    replay: &Replay,
    parts: &Parts,
) -> Vec<Finding> {
    let looked = Looked {
        garment,
        pieces,
        replay,
        parts,
    };
    let checks = [
        alterations::check,
        cutting::check,
        seams::check,
        cloth::check,
        lay::check,
    ];
    let mut findings: Vec<_> = checks.into_iter().flat_map(|check| check(&looked)).collect();
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    findings
}
