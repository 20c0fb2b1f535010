//! Neckline and armhole raised or lowered.
//!
//! The opening's edges move square to themselves, inwards to lower: by the same amount everywhere, or fully at one
//! corner and fading to nothing at the other (a neckline lowered at the front and left at the shoulder, an
//! armhole lowered at the underarm and left at the shoulder tip). The edges beside it (shoulder, side seam, fold)
//! are cut or carried on to meet it, so a shoulder becomes shorter by what a parallel neckline takes.
//!
//! Front and back are named apart, since a neckline is seldom lowered alike. A facing is not altered here: it is
//! drawn again from the new edge.

use super::draft::{Change, Draft};
use super::place::{edge_named, is_mouth};
use super::reshape::{Profile, moved_out};
use super::{AlterError, Amount, Figure};
use crate::geometry::Length;
use crate::pattern::{CornerId, EdgeId, Piece, PieceId};
use serde::{Deserialize, Serialize};

/// Neckline or armhole raised or lowered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// One part a piece.
    pub parts: Vec<OpeningPart>,
}

/// What becomes of an opening on one piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OpeningPart {
    /// Which piece.
    pub piece: PieceId,
    /// The opening's edges, neighbours of each other.
    pub edges: Vec<EdgeId>,
    /// How far it is lowered, away from the wearer's neck or arm; negative raises it.
    pub lower_by: Length,
    /// Between which corners the amount fades; even all along when absent.
    #[serde(default)]
    pub fade: Option<Fade>,
}

/// An amount that fades between two corners of a run of edges; beyond the full one it stays full.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fade {
    /// Where the amount is full.
    pub full_at: CornerId,
    /// Where it has faded to nothing.
    pub nothing_at: CornerId,
}

impl Opening {
    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let mut change = Change::default();
        for part in &self.parts {
            let earlier = change.pieces.iter().position(|piece| piece.id == part.piece);
            let old = match earlier {
                Some(at) => change.pieces.remove(at),
                None => draft.piece(&part.piece)?.clone(),
            };
            let count = old.edges.len();
            let mut run = Vec::with_capacity(part.edges.len());
            for edge in &part.edges {
                run.push(edge_named(&old, edge)?);
            }
            // In the order of the outline, beginning with the edge whose neighbour before is not of the run.
            let first = run.iter().copied().find(|&at| !run.contains(&((at + count - 1) % count)));
            let first = first.unwrap_or(0);
            run.sort_by_key(|&at| (at + count - first) % count);
            let broken = run.windows(2).any(|pair| (pair[0] + 1) % count != pair[1]);
            if run.is_empty() || broken {
                return Err(AlterError::NotOneRun { piece: old.id.clone() });
            }

            let profile = match &part.fade {
                None => Profile::EVEN,
                Some(fade) => {
                    let full = along_run(&old, &run, &fade.full_at)?;
                    let nothing = along_run(&old, &run, &fade.nothing_at)?;
                    Profile {
                        full,
                        nothing_before: Some(nothing).filter(|&at| at < full),
                        nothing_after: Some(nothing).filter(|&at| at > full),
                    }
                }
            };
            let by = -part.lower_by.mm();
            if by == 0.0 {
                continue;
            }
            let piece = moved_out(&old, &run, by, &profile)?;
            let total = |edges: &[crate::pattern::Edge]| run.iter().map(|&at| edges[at].curve.length()).sum();
            change.figures.push(Figure {
                name: "length of the opening",
                piece: Some(piece.id.clone()),
                before: Some(Amount::Mm(total(&old.edges))),
                after: Amount::Mm(total(&piece.edges)),
            });
            change.pieces.push(piece);
        }
        Ok(change)
    }
}

/// Distance of a corner from the start of a run of neighbouring edges.
fn along_run(piece: &Piece, run: &[usize], corner: &CornerId) -> Result<f64, AlterError> {
    let mut passed = 0.0;
    for &at in run {
        let edge = &piece.edges[at];
        if &edge.from == corner {
            return Ok(passed);
        }
        if !is_mouth(&edge.role) {
            passed += edge.curve.length();
        }
        if &edge.to == corner {
            return Ok(passed);
        }
    }
    Err(AlterError::UnknownCorner { piece: piece.id.clone(), corner: corner.clone() })
}
