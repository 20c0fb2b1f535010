//! How wide the allowances are, where an edge names none of its own.

use crate::geometry::Length;
use crate::pattern::{Edge, EdgeRole, Pattern, Piece};

/// Width of the allowances of a garment.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowances {
    /// Of every edge that names none of its own.
    pub seam: Length,
    /// Of every hem that names none of its own.
    pub hem: Length,
}

impl Allowances {
    /// The allowances that the pattern asks for.
    #[must_use]
    pub fn of(pattern: &Pattern) -> Self {
        Self {
            seam: pattern.allowance.clone(),
            hem: pattern.hem_allowance.clone(),
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
        before
            .filter(sewn)
            .or(after.filter(sewn))
            .or(before)
            .map_or(0.0, |edge| self.own_width_mm(edge))
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
