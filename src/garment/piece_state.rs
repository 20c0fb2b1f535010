//! How far a piece has come, from paper to marked cloth.

use super::{CutState, OpenGarment};
use crate::finding::Severity;
use crate::pattern::{ClothKind, PieceId};
use serde::Serialize;
use std::fmt;

/// How far a piece has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PieceState {
    /// No alteration has touched it.
    AsPrinted,
    /// An alteration has changed it.
    Altered,
    /// Its mate was changed, and it was not.
    Stale,
    /// Every copy has its place on the cloth, and nothing stops the cutting.
    ReadyToCut,
    /// Every copy is cut out.
    Cut,
    /// Every copy is cut out and marked.
    Marked,
}

impl fmt::Display for PieceState {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::AsPrinted => "as printed",
            Self::Altered => "altered",
            Self::Stale => "stale",
            Self::ReadyToCut => "ready to cut",
            Self::Cut => "cut",
            Self::Marked => "marked",
        })
    }
}

/// How far a piece has come; `None` when the pattern has no such piece.
///
/// Cut and marked count over the copies from the main cloth; of a piece that is not cut from it, over those from the
/// first of the others. Stale goes before ready: a piece with a place on the cloth
/// is not ready as long as it, or the garment as a whole (the aim), has a finding that stops the cutting.
#[must_use]
pub fn piece_state(open: &OpenGarment, id: &PieceId) -> Option<PieceState> {
    let evaluated = open.evaluated();
    let piece = evaluated.piece(id)?;
    let cuttings = &piece.altered.cuttings;
    let is_cut_from = |kind: &ClothKind| cuttings.iter().any(|cutting| cutting.cloth == *kind);
    let kind = ClothKind::ALL.into_iter().find(is_cut_from).unwrap_or_default();
    let counted = cuttings.iter().filter(|cutting| cutting.cloth == kind);
    let copies: u32 = counted.map(|cutting| cutting.count).sum();
    let states: Vec<_> = (1..=copies).map(|copy| open.state_on(kind, id, copy)).collect();
    if copies > 0 && states.iter().all(Option::is_some) {
        let marked = states.iter().all(|state| *state == Some(CutState::Marked));
        return Some(if marked { PieceState::Marked } else { PieceState::Cut });
    }
    if evaluated.stale.contains(id) {
        return Some(PieceState::Stale);
    }
    let places = open.plan().lay_on(kind);
    let has_place = |copy: u32| places.iter().any(|place| &place.piece == id && place.copy == copy);
    let findings = open.findings();
    let stopped = findings.iter().any(|finding| {
        let concerns = finding.piece.as_ref().is_none_or(|piece| piece == id);
        finding.severity == Severity::Stop && concerns
    });
    if copies > 0 && (1..=copies).all(has_place) && !stopped {
        return Some(PieceState::ReadyToCut);
    }
    let touched = evaluated.replay.last_touched(id).is_some();
    Some(if touched { PieceState::Altered } else { PieceState::AsPrinted })
}
