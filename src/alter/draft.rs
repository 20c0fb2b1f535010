//! The pieces between two steps, and what every alteration does with them.

use super::{Allowances, AlterError, Alteration, Figure};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Point, self_crossing};
use crate::pattern::{Pattern, Piece, PieceId, Seam};
use std::sync::Arc;

/// The pieces as the steps before have left them, and where they came from.
#[derive(Clone, Copy)]
pub(super) struct Draft<'a> {
    /// The pattern as bought.
    pub pattern: &'a Pattern,
    /// The seams now: the pattern's, with edges that were cut in two.
    pub seams: &'a [Seam],
    /// The pieces now.
    pub pieces: &'a [Arc<Piece>],
    /// The allowances now.
    pub allowances: &'a Allowances,
    /// The steps that led here.
    pub earlier: &'a [Alteration],
}

impl<'a> Draft<'a> {
    /// A piece by name.
    pub(super) fn piece(&self, id: &PieceId) -> Result<&'a Piece, AlterError> {
        self.pieces
            .iter()
            .find(|piece| &piece.id == id)
            .map(Arc::as_ref)
            .ok_or_else(|| AlterError::UnknownPiece { piece: id.clone() })
    }
}

/// What one alteration answers with. Empty when it found nothing to change.
#[derive(Default)]
pub(super) struct Change {
    /// The pieces that changed, whole.
    pub pieces: Vec<Piece>,
    /// The seams, where an edge of theirs was cut in two.
    pub seams: Option<Vec<Seam>>,
    /// The allowances, where they changed.
    pub allowances: Option<Allowances>,
    /// Measures for the report.
    pub figures: Vec<Figure>,
    /// Sentences for the report.
    pub notes: Vec<String>,
}

/// Refuses a piece whose seam line does not close or crosses itself.
pub(super) fn check_outline(piece: &Piece) -> Result<(), AlterError> {
    for (index, edge) in piece.edges.iter().enumerate() {
        let next = &piece.edges[(index + 1) % piece.edges.len()];
        let gap_mm = edge.curve.end().distance(next.curve.start());
        if gap_mm.is_nan() || gap_mm > JOIN_MM {
            return Err(AlterError::OutlineOpen { piece: piece.id.clone(), corner: edge.to.clone(), gap_mm });
        }
    }
    let corners = piece.edges.iter().flat_map(|edge| edge.curve.chorded(OUTLINE_CHORD_MM));
    match self_crossing(&closed_polygon(corners)) {
        Some(at) => Err(AlterError::OutlineCrosses { piece: piece.id.clone(), at }),
        None => Ok(()),
    }
}

/// Chord error of the outline that is searched for crossings after every step, in mm. Fine enough for anything
/// that could be cut, and four times cheaper than what the cutting line is checked with.
const OUTLINE_CHORD_MM: f64 = 0.25;

/// A closed polygon from the corner points of curves that join, each place once.
pub(super) fn closed_polygon(corners: impl Iterator<Item = Point>) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::new();
    for point in corners {
        if points.last().is_none_or(|last| last.distance(point) > JOIN_MM) {
            points.push(point);
        }
    }
    while points.len() > 1 && points[0].distance(points[points.len() - 1]) <= JOIN_MM {
        points.pop();
    }
    points
}
