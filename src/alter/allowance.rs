//! Allowances changed: for the garment, along edges, at corners; and cloth left at a place for now.
//!
//! Widths keep the unit that was typed: 5/8 in is 15.875 mm, not 15. The seam line does not move; only the
//! cutting line, which is derived from it, does.

use super::draft::{Change, Draft};
use super::place::{edge_from, edge_named};
use super::{AlterError, CornerShape, MarginAt, MarginZone};
use crate::geometry::Length;
use crate::pattern::{CornerId, EdgeId, PieceId};
use serde::{Deserialize, Serialize};

/// A change of the allowances.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Allowance {
    /// Of the whole garment, where edges name none of their own.
    Garment {
        /// Of seams and openings; as the pattern says when absent.
        #[serde(default)]
        seam: Option<Length>,
        /// Of hems; as the pattern says when absent.
        #[serde(default)]
        hem: Option<Length>,
    },
    /// Of some edges of a piece.
    Edges {
        /// Which piece.
        piece: PieceId,
        /// Which edges.
        edges: Vec<EdgeId>,
        /// The width.
        width: Length,
    },
    /// How the allowances end at a corner.
    Corner {
        /// Which piece.
        piece: PieceId,
        /// Which corner.
        corner: CornerId,
        /// How.
        shape: CornerShape,
    },
    /// Cloth left untrimmed until the piece is sewn and checked.
    Margin(MarginZone),
}

impl Allowance {
    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let mut change = Change::default();
        let mut allowances = draft.allowances.clone();
        match self {
            Self::Garment { seam, hem } => {
                for (width, slot) in [(seam, &mut allowances.seam), (hem, &mut allowances.hem)] {
                    if let Some(width) = width {
                        not_below_nothing("the allowance", width, 0.0)?;
                        slot.clone_from(width);
                    }
                }
                change.allowances = Some(allowances);
            }
            Self::Edges { piece, edges, width } => {
                not_below_nothing("the allowance", width, 0.0)?;
                let mut altered = draft.piece(piece)?.clone();
                for edge in edges {
                    let at = edge_named(&altered, edge)?;
                    altered.edges[at].allowance = Some(width.clone());
                }
                change.pieces.push(altered);
            }
            Self::Corner { piece, corner, shape } => {
                let known = draft.piece(piece)?;
                let after = edge_from(known, corner)?;
                let before = (after + known.edges.len() - 1) % known.edges.len();
                if let CornerShape::Squared { first: edge } | CornerShape::Mirrored { turned: edge } = shape {
                    let at = edge_named(known, edge)?;
                    if at != after && at != before {
                        return Err(AlterError::UnknownCorner {
                            piece: piece.clone(),
                            corner: corner.clone(),
                        });
                    }
                }
                allowances.corners.insert((piece.clone(), corner.clone()), shape.clone());
                change.allowances = Some(allowances);
            }
            Self::Margin(zone) => {
                not_below_nothing("the margin", &zone.width, f64::MIN_POSITIVE)?;
                let known = draft.piece(&zone.piece)?;
                match &zone.at {
                    MarginAt::Corner { corner } => drop(edge_from(known, corner)?),
                    MarginAt::Mouth { dart } => drop(super::dart::dart_named(known, dart)?.id.clone()),
                }
                allowances.margins.retain(|old| old.piece != zone.piece || old.at != zone.at);
                allowances.margins.push(zone.clone());
                change.allowances = Some(allowances);
            }
        }
        Ok(change)
    }
}

fn not_below_nothing(what: &'static str, width: &Length, least: f64) -> Result<(), AlterError> {
    let given_mm = width.mm();
    if given_mm < least { Err(AlterError::NotPositive { what, given_mm }) } else { Ok(()) }
}
