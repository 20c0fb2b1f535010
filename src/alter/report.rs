//! What a step changed, in numbers.

use crate::pattern::{EdgeId, Piece, PieceId};
use std::fmt;

/// What a step changed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Report {
    /// How far corners of each changed piece moved.
    pub moved: Vec<PieceMove>,
    /// Every edge whose length changed.
    pub edges: Vec<EdgeChange>,
    /// Other measures that this kind of alteration changes: the sweep of a hem, the angle of a dart.
    pub figures: Vec<Figure>,
    /// What a person should know, a sentence each.
    pub notes: Vec<String>,
}

/// How far a piece's outline moved.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceMove {
    /// Which piece.
    pub piece: PieceId,
    /// Furthest that one of its corners moved, in mm.
    pub furthest_corner_mm: f64,
}

/// An edge before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeChange {
    /// Which piece.
    pub piece: PieceId,
    /// Which edge.
    pub edge: EdgeId,
    /// Length before the step, in mm.
    pub before_mm: f64,
    /// Length after the step, in mm.
    pub after_mm: f64,
}

/// A named measure.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// What was measured, in the trade's words.
    pub name: &'static str,
    /// On which piece; `None` for the whole garment.
    pub piece: Option<PieceId>,
    /// Before the step, where there was such a thing.
    pub before: Option<Amount>,
    /// After the step.
    pub after: Amount,
}

/// A measure with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Millimetres.
    Mm(f64),
    /// Degrees.
    Degrees(f64),
}

impl fmt::Display for Amount {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Mm(number) => write!(formatter, "{number:.1} mm"),
            Self::Degrees(number) => write!(formatter, "{number:.1}°"),
        }
    }
}

impl Amount {
    /// The bare number, in the unit of the variant.
    #[must_use]
    pub const fn number(self) -> f64 {
        match self {
            Self::Mm(number) | Self::Degrees(number) => number,
        }
    }
}

/// A change of length that is only rounding, in mm: below what arc lengths are computed to, summed over an edge.
const SAME_LENGTH_MM: f64 = 1e-4;

impl Report {
    /// Adds what can be seen by comparing a piece before and after a step.
    pub(super) fn compare(&mut self, before: &Piece, after: &Piece) {
        let furthest = after.edges.iter().filter_map(|edge| {
            let was = before.corner(&edge.from)?;
            Some(was.distance(edge.curve.start()))
        });
        self.moved
            .push(PieceMove { piece: after.id.clone(), furthest_corner_mm: furthest.fold(0.0, f64::max) });
        for edge in &after.edges {
            let Some(old) = before.edge(&edge.id) else {
                continue;
            };
            if old.curve == edge.curve {
                continue;
            }
            let change = EdgeChange {
                piece: after.id.clone(),
                edge: edge.id.clone(),
                before_mm: old.curve.length(),
                after_mm: edge.curve.length(),
            };
            if (change.after_mm - change.before_mm).abs() > SAME_LENGTH_MM {
                self.edges.push(change);
            }
        }
    }

    /// A figure by its name (and piece, where it belongs to one).
    #[must_use]
    pub fn figure(&self, name: &str, piece: Option<&PieceId>) -> Option<&Figure> {
        self.figures.iter().find(|figure| figure.name == name && figure.piece.as_ref() == piece)
    }

    /// The change of an edge's length, if it changed.
    #[must_use]
    pub fn edge(&self, piece: &PieceId, edge: &EdgeId) -> Option<&EdgeChange> {
        self.edges.iter().find(|change| &change.piece == piece && &change.edge == edge)
    }
}
