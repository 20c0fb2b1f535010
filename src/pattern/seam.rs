//! Which edges are sewn to which.

use super::{CornerId, EdgeId, PieceId, SeamId};
use serde::{Deserialize, Serialize};

/// Two runs of edges that are sewn together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Seam {
    /// Its name, unique in the pattern.
    pub id: SeamId,
    /// The two sides, both travelled the same way when sewn.
    pub sides: [Run; 2],
    /// How much longer the second side may be than the first, to be eased in.
    #[serde(default)]
    pub ease: EaseRange,
}

/// Edges of one piece, in order, darts between them closed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// Which piece.
    pub piece: PieceId,
    /// The corner where the seam begins.
    pub from: CornerId,
    /// The edges in the order of sewing, dart mouths left out.
    pub edges: Vec<EdgeId>,
}

/// Allowed difference in length between the sides of a seam, in mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EaseRange {
    /// Least that the second side is longer than the first.
    pub least_mm: f64,
    /// Most that the second side is longer than the first.
    pub most_mm: f64,
}

impl Default for EaseRange {
    fn default() -> Self {
        Self { least_mm: 0.0, most_mm: 0.0 }
    }
}

impl Run {
    /// Whether the run goes along this edge.
    #[must_use]
    pub fn holds(&self, piece: &PieceId, edge: &EdgeId) -> bool {
        &self.piece == piece && self.edges.contains(edge)
    }
}

impl Seam {
    /// The side that lies on the other piece than `piece`; for a seam within one piece, the other run than the
    /// one that holds `edge`.
    #[must_use]
    pub fn mate_of(&self, piece: &PieceId, edge: &EdgeId) -> Option<&Run> {
        let mine = self.sides.iter().position(|run| run.holds(piece, edge))?;
        self.sides.get(1 - mine)
    }
}
