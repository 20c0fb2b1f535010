//! What an import has to say beside the pattern.

use crate::geometry::Point;
use serde::Serialize;

/// Something that was left out, assumed or is missing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// Which kind of thing it is.
    pub code: FindingCode,
    /// Whether the cutting may go on.
    pub severity: Severity,
    /// What, in a sentence.
    pub what: String,
    /// What to do about it, in a sentence.
    pub remedy: String,
    /// The piece, where one is concerned.
    pub piece: Option<String>,
    /// Where, in mm on the drawing (y up).
    pub at: Option<Point>,
    /// How much, in mm.
    pub amount_mm: Option<f64>,
}

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Severity {
    /// The piece cannot be cut as it is.
    Stops,
    /// To be looked at before cutting.
    Warning,
    /// Good to know.
    Note,
}

/// Which kind of thing a finding is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum FindingCode {
    /// The scale stands on an assumption of the format, or differs from one axis to the other.
    Scale,
    /// Hidden parts were left out.
    Hidden,
    /// A clip or mask was not followed.
    Clip,
    /// A part of the file that cannot be a pattern was left out.
    LeftOut,
    /// A rule of style was not understood.
    Style,
    /// A frame around pieces was left out.
    Frame,
    /// Lines lie outside every piece.
    Outside,
    /// Ends were joined over a gap.
    Joined,
    /// More than two lines meet, and the outermost way was taken.
    Branches,
    /// An outline cannot be cut.
    BadOutline,
    /// The grainline is missing or its upper end is not told.
    Grain,
    /// A mark was not understood, and became a line that is marked and not cut.
    Mark,
    /// No allowance is known.
    Allowance,
    /// How often a piece is cut, and what its edges become, is not known.
    Cutting,
}

impl Finding {
    /// A finding without place and amount.
    pub(super) fn new(
        code: FindingCode,
        severity: Severity,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            code,
            severity,
            what: what.into(),
            remedy: remedy.into(),
            piece: None,
            at: None,
            amount_mm: None,
        }
    }

    /// The same about a piece.
    pub(super) fn of_piece(self, piece: impl Into<String>) -> Self {
        Self {
            piece: Some(piece.into()),
            ..self
        }
    }

    /// The same at a place.
    pub(super) fn at(self, at: Point) -> Self {
        Self { at: Some(at), ..self }
    }

    /// The same with an amount in mm.
    pub(super) fn amounting_to(self, mm: f64) -> Self {
        Self {
            amount_mm: Some(mm),
            ..self
        }
    }
}
