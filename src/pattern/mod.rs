//! The pattern as it was bought, never edited.
//!
//! A [`Pattern`] holds its sizes, its pieces and the seams that join them. A [`Piece`] is complete for one
//! size: a closed outline of named edges between named corners, and everything printed inside it. All sizes
//! of a piece ([`SizedPiece`]) have the same names in the same order, so that a corner, an edge or a notch can
//! be followed from size to size.
//!
//! [`Pattern::read`] and [`Pattern::write`] keep a pattern as a `.pattern.ron` file; [`Pattern::faults`] says what
//! keeps one from being used. A [`Measure`] is what a tape would find on the pattern, in any size, to be compared with
//! the body; a [`Walk`] lays the two sides of a seam along each other.
//!
//! The outline is the **seam line**. The cutting line is derived from it and the allowances, once, at the
//! end. Millimetres, x to the right, y up, outlines counter-clockwise, a piece lying as its right side shows.

mod body_measurement;
mod fault;
mod file;
mod ids;
mod marks;
mod measure;
mod piece;
mod seam;
mod validate;
mod walk;

pub use body_measurement::{BodyDirection, BodyMeasurement};
pub use fault::{FaultKind, Part, PatternFault};
pub use file::{LocatedFault, PatternFileError, TextPlace};
pub use ids::{BalanceLineId, CornerId, DartId, EdgeId, MeasureId, NotchId, PieceId, SeamId, SizeId};
pub use marks::{
    BalanceLine, Dart, DrillHole, Grainline, InnerLine, Notch, NotchKind, PrintedText, Trace, TraceKind,
};
pub use measure::{Landmark, Measure, MeasureError, MeasurePath, SizeBody, Term};
pub use piece::{ClothKind, Cutting, Edge, EdgeRole, HowCut, Piece};
pub use seam::{EaseRange, Run, Seam};
pub use validate::LARGEST_ALLOWANCE_MM;
pub(crate) use validate::signed_area;
pub use walk::{SeamSide, Walk, WalkMark};

use std::sync::Arc;

/// A bought pattern.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// Title on the envelope.
    pub name: String,
    /// Sizes from small to large.
    pub sizes: Vec<SizeId>,
    /// The pieces, in the order of the cutting list.
    pub pieces: Vec<SizedPiece>,
    /// Which edges are sewn to which.
    pub seams: Vec<Seam>,
    /// Allowance of every edge that names none of its own, in mm.
    pub allowance: crate::geometry::Length,
    /// Allowance of every hem that names none of its own.
    pub hem_allowance: crate::geometry::Length,
    /// The bodies that the sizes are drafted for, as far as the envelope tells.
    pub bodies: Vec<SizeBody>,
    /// What can be compared with the body; the first that goes round it is the one a size is chosen by.
    pub measures: Vec<Measure>,
}

/// One piece in every size.
#[derive(Debug, Clone, PartialEq)]
pub struct SizedPiece {
    /// Which piece.
    pub id: PieceId,
    /// The piece in each size, in the order of [`Pattern::sizes`].
    pub by_size: Vec<Arc<Piece>>,
}

impl Pattern {
    /// Place of a size in [`Pattern::sizes`].
    #[must_use]
    pub fn size_index(&self, size: &SizeId) -> Option<usize> {
        self.sizes.iter().position(|candidate| candidate == size)
    }

    /// A piece in a size; `None` when either is unknown.
    #[must_use]
    pub fn piece(&self, id: &PieceId, size: &SizeId) -> Option<&Arc<Piece>> {
        let index = self.size_index(size)?;
        self.pieces.iter().find(|piece| &piece.id == id)?.by_size.get(index)
    }

    /// All pieces in one size, in the order of the cutting list; `None` when the size is unknown.
    #[must_use]
    pub fn pieces_in(&self, size: &SizeId) -> Option<Vec<Arc<Piece>>> {
        let index = self.size_index(size)?;
        self.pieces.iter().map(|piece| piece.by_size.get(index).cloned()).collect()
    }

    /// A measurement of the body that a size is drafted for, in mm; `None` where the pattern does not tell.
    #[must_use]
    pub fn drafted_for_mm(&self, size: &SizeId, of: BodyMeasurement) -> Option<f64> {
        let body = self.bodies.iter().find(|body| &body.size == size)?;
        Some(body.measurements.get(&of)?.mm())
    }

    /// The seams that an edge takes part in.
    pub fn seams_of<'a>(&'a self, piece: &'a PieceId, edge: &'a EdgeId) -> impl Iterator<Item = &'a Seam> {
        self.seams.iter().filter(move |seam| seam.sides.iter().any(|run| run.holds(piece, edge)))
    }
}
