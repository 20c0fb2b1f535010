//! How wide the allowances are, how their corners are shaped, and where cloth is left for now.

use crate::geometry::Length;
use crate::pattern::{CornerId, DartId, Edge, EdgeId, EdgeRole, Pattern, Piece, PieceId};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Allowances of a garment, where an edge names none of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowances {
    /// Of every edge that names none of its own.
    pub seam: Length,
    /// Of every hem that names none of its own.
    pub hem: Length,
    /// Corners that are not mitred.
    pub corners: BTreeMap<(PieceId, CornerId), CornerShape>,
    /// Places where cloth is left untrimmed until the piece is sewn and checked.
    pub margins: Vec<MarginZone>,
}

/// How the allowances of two edges end at their corner.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum CornerShape {
    /// Both carried on to where they meet.
    Mitred,
    /// The allowance of the seam that is sewn first ends square to it, where the other cutting line crosses its
    /// seam line: its end can be matched with the mate's.
    Squared {
        /// The edge that is sewn first.
        first: EdgeId,
    },
    /// The allowance of a turned edge ends as the mirror image of its neighbour, so that turned up it lies flush.
    Mirrored {
        /// The edge that is turned: a hem, a cuff.
        turned: EdgeId,
    },
    /// A step that leaves out the corner, so that seams pressed open end flush with the edge.
    Notched,
}

/// Cloth left untrimmed at a place, drawn dashed outside the cutting line, until the piece is sewn and checked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarginZone {
    /// Which piece.
    pub piece: PieceId,
    /// Where.
    pub at: MarginAt,
    /// How much more than the allowance; 25 to 30 mm is usual at a dart's mouth.
    pub width: Length,
}

/// Where a margin zone lies.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum MarginAt {
    /// At a corner.
    Corner {
        /// Which corner.
        corner: CornerId,
    },
    /// Over the mouth of a dart.
    Mouth {
        /// Which dart.
        dart: DartId,
    },
}

impl Allowances {
    /// The allowances that the pattern asks for, all corners mitred.
    #[must_use]
    pub fn of(pattern: &Pattern) -> Self {
        Self {
            seam: pattern.allowance.clone(),
            hem: pattern.hem_allowance.clone(),
            corners: BTreeMap::new(),
            margins: Vec::new(),
        }
    }

    /// Width in mm of the allowance along the edge at place `index` of the piece: nothing at a fold and at a
    /// facing's inner edge; a dart's cap has that of the seam that it interrupts (the edge before it, or, where
    /// the dart is the seam's beginning, the one after).
    #[must_use]
    pub fn width_mm(&self, piece: &Piece, index: usize) -> f64 {
        let Some(edge) = piece.edges.get(index) else {
            return 0.0;
        };
        if !matches!(edge.role, EdgeRole::DartMouth(_)) || edge.allowance.is_some() {
            return self.own_width_mm(edge);
        }
        let no_mouth = |edge: &&Edge| !matches!(edge.role, EdgeRole::DartMouth(_));
        let (earlier, later) = (&piece.edges[..index], &piece.edges[index + 1..]);
        let before = earlier.iter().rev().chain(later.iter().rev()).find(no_mouth);
        let after = later.iter().chain(earlier).find(no_mouth);
        let sewn = |edge: &&Edge| edge.role == EdgeRole::Seam;
        before.filter(sewn).or(after.filter(sewn)).or(before).map_or(0.0, |edge| self.own_width_mm(edge))
    }

    /// The shape of a corner.
    #[must_use]
    pub fn corner(&self, piece: &PieceId, corner: &CornerId) -> &CornerShape {
        self.corners.get(&(piece.clone(), corner.clone())).unwrap_or(&CornerShape::Mitred)
    }

    fn own_width_mm(&self, edge: &Edge) -> f64 {
        match (&edge.role, &edge.allowance) {
            (EdgeRole::Fold | EdgeRole::FacingEdge, _) => 0.0,
            (_, Some(own)) => own.mm(),
            (EdgeRole::Hem, None) => self.hem.mm(),
            (EdgeRole::Seam | EdgeRole::Opening | EdgeRole::DartMouth(_), None) => self.seam.mm(),
        }
    }
}
