//! A place on a seam line, as it is kept in a record, and how seams carry it from piece to piece.
//!
//! Places are found by names, so that the same record means the corresponding place in another size, or after
//! other alterations: a corner, a distance along the seam from a corner, a notch, or where a balance line meets
//! an edge. Distances are **sewn** distances: a dart's mouth, which is closed in sewing, counts nothing.

use super::AlterError;
use crate::geometry::{Curve, Length, crossings};
use crate::pattern::{BalanceLineId, CornerId, EdgeId, EdgeRole, NotchId, Piece, Run};
use serde::{Deserialize, Serialize};

/// A place on the seam line of a piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Place {
    /// At a corner.
    Corner {
        /// Which corner.
        corner: CornerId,
    },
    /// A sewn distance from a corner, beginning along an edge; past its end it goes on along the next, over
    /// closed darts.
    FromCorner {
        /// Where the distance is measured from.
        corner: CornerId,
        /// The edge that begins or ends there, along which it is measured.
        edge: EdgeId,
        /// How far.
        distance: Length,
    },
    /// At a notch.
    Notch {
        /// Which notch.
        notch: NotchId,
    },
    /// Where a balance line, carried on at both ends, meets an edge.
    BalanceLine {
        /// Which line.
        line: BalanceLineId,
        /// Which edge.
        edge: EdgeId,
    },
}

/// A place on an outline: which edge, and how far along it in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    /// Place of the edge in the outline.
    pub edge: usize,
    /// Arc length from the start of the edge.
    pub along: f64,
}

/// How far a balance line may end short of the edge that it is asked to meet, in mm.
const LINE_REACH_MM: f64 = 200.0;

impl Place {
    /// The place on a piece.
    pub(super) fn on(&self, piece: &Piece) -> Result<Spot, AlterError> {
        match self {
            Self::Corner { corner } => {
                let edge = edge_from(piece, corner)?;
                Ok(Spot { edge, along: 0.0 })
            }
            Self::FromCorner { corner, edge, distance } => {
                let index = edge_named(piece, edge)?;
                let forward = &piece.edges[index].from == corner;
                if !forward && &piece.edges[index].to != corner {
                    return Err(AlterError::UnknownCorner {
                        piece: piece.id.clone(),
                        corner: corner.clone(),
                    });
                }
                walk(piece, index, forward, distance.mm()).ok_or_else(|| AlterError::PastTheEnd {
                    piece: piece.id.clone(),
                    corner: corner.clone(),
                    distance_mm: distance.mm(),
                })
            }
            Self::Notch { notch } => {
                let found = piece.notches.iter().find(|known| &known.id == notch);
                let found = found.ok_or_else(|| AlterError::UnknownNotch {
                    piece: piece.id.clone(),
                    notch: notch.clone(),
                })?;
                let edge = edge_named(piece, &found.edge)?;
                let along = found.distance_from_start(&piece.edges[edge]);
                Ok(Spot { edge, along })
            }
            Self::BalanceLine { line, edge } => {
                let index = edge_named(piece, edge)?;
                let known = piece.balance_lines.iter().find(|known| &known.id == line);
                let known = known.ok_or_else(|| AlterError::UnknownBalanceLine { line: line.clone() })?;
                let across = Curve::line(known.line.p0, known.line.p1).extended(LINE_REACH_MM, LINE_REACH_MM);
                let meeting = crossings(&piece.edges[index].curve, &across).into_iter().next();
                let meeting = meeting.ok_or_else(|| AlterError::LineMissesEdge {
                    piece: piece.id.clone(),
                    line: line.clone(),
                    edge: edge.clone(),
                })?;
                Ok(Spot { edge: index, along: meeting.on_first })
            }
        }
    }
}

/// Place in the outline of the edge that begins at a corner.
pub(super) fn edge_from(piece: &Piece, corner: &CornerId) -> Result<usize, AlterError> {
    let found = piece.edges.iter().position(|edge| &edge.from == corner);
    found.ok_or_else(|| AlterError::UnknownCorner { piece: piece.id.clone(), corner: corner.clone() })
}

/// Place of an edge in the outline.
pub(super) fn edge_named(piece: &Piece, edge: &EdgeId) -> Result<usize, AlterError> {
    piece
        .edge_index(edge)
        .ok_or_else(|| AlterError::UnknownEdge { piece: piece.id.clone(), edge: edge.clone() })
}

/// Whether an edge is closed in sewing.
pub(super) const fn is_mouth(role: &EdgeRole) -> bool {
    matches!(role, EdgeRole::DartMouth(_))
}

/// Walks a sewn distance from an end of an edge; `None` once round the piece.
fn walk(piece: &Piece, start: usize, forward: bool, distance: f64) -> Option<Spot> {
    let count = piece.edges.len();
    let mut left = distance;
    for step in 0..count {
        let edge = if forward { start + step } else { start + count - step } % count;
        if is_mouth(&piece.edges[edge].role) {
            continue;
        }
        let length = piece.edges[edge].curve.length();
        if left <= length + crate::geometry::tolerance::JOIN_MM {
            let along = if forward { left } else { length - left };
            return Some(Spot { edge, along: along.clamp(0.0, length) });
        }
        left -= length;
    }
    None
}

/// A run's edges as places in the outline, and whether it is travelled as the outline is; `None` when the
/// piece lacks one of them.
pub(super) fn edges_of_run(piece: &Piece, run: &Run) -> Option<(Vec<usize>, bool)> {
    let edges: Option<Vec<usize>> = run.edges.iter().map(|edge| piece.edge_index(edge)).collect();
    let edges = edges?;
    let forward = piece.edges[*edges.first()?].from == run.from;
    Some((edges, forward))
}

/// Sewn distance of a spot from the start of a run; `None` when the run does not go there.
pub(super) fn sewn_along(piece: &Piece, run: &Run, spot: Spot) -> Option<f64> {
    let (edges, forward) = edges_of_run(piece, run)?;
    let mut passed = 0.0;
    for edge in edges {
        let length = piece.edges[edge].curve.length();
        if edge == spot.edge {
            return Some(passed + if forward { spot.along } else { length - spot.along });
        }
        passed += length;
    }
    None
}

/// The spot at a sewn distance from the start of a run, clamped to its ends.
pub(super) fn spot_in_run(piece: &Piece, run: &Run, distance: f64) -> Option<Spot> {
    let (edges, forward) = edges_of_run(piece, run)?;
    let mut left = distance.max(0.0);
    let last = *edges.last()?;
    for edge in edges {
        let length = piece.edges[edge].curve.length();
        if left <= length || edge == last {
            let from_start = left.min(length);
            let along = if forward { from_start } else { length - from_start };
            return Some(Spot { edge, along });
        }
        left -= length;
    }
    None
}

/// The corner where a run ends; `None` when the piece lacks one of its edges.
pub(super) fn end_corner<'a>(piece: &'a Piece, run: &Run) -> Option<&'a CornerId> {
    let (edges, forward) = edges_of_run(piece, run)?;
    let last = &piece.edges[*edges.last()?];
    Some(if forward { &last.to } else { &last.from })
}
