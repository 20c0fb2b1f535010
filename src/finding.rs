//! What a check has to say: what, where, how much, and what to do.

use crate::geometry::Point;
use crate::pattern::PieceId;
use serde::Serialize;

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Good to know.
    Note,
    /// May spoil the fit or the look.
    Warning,
    /// The cloth must not be cut before this is settled.
    Stop,
}

/// What a finding is about, and so where it is mended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Subject {
    /// The pattern as bought.
    Pattern,
    /// The list of alterations.
    Alterations,
    /// Pieces on the cloth.
    Lay,
    /// Where the light falls.
    Aim,
}

/// What a check has to say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// What is the matter, in a sentence.
    pub what: String,
    /// How grave.
    pub severity: Severity,
    /// On which piece.
    pub piece: Option<PieceId>,
    /// Where on that piece (or on the sheet), in mm.
    #[serde(rename = "at_mm", serialize_with = "as_pair")]
    pub at: Option<Point>,
    /// By how much, in mm.
    pub amount_mm: Option<f64>,
    /// What to do.
    pub remedy: String,
    /// Where it is mended; `None` when nobody has said.
    #[serde(skip)]
    pub about: Option<Subject>,
}

impl Finding {
    /// A finding with no place and no amount.
    #[must_use]
    pub fn new(severity: Severity, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        let (what, remedy) = (what.into(), remedy.into());
        Self { what, severity, piece: None, at: None, amount_mm: None, remedy, about: None }
    }

    /// The same, about a subject.
    #[must_use]
    pub fn about(self, subject: Subject) -> Self {
        Self { about: Some(subject), ..self }
    }

    /// The same, on a piece.
    #[must_use]
    pub fn on(self, piece: &PieceId) -> Self {
        Self { piece: Some(piece.clone()), ..self }
    }

    /// The same, at a place.
    #[must_use]
    pub fn at(self, at: Point) -> Self {
        Self { at: Some(at), ..self }
    }

    /// The same, with an amount in mm.
    #[must_use]
    pub fn by_mm(self, amount: f64) -> Self {
        Self { amount_mm: Some(amount), ..self }
    }
}

fn as_pair<S: serde::Serializer>(at: &Option<Point>, serializer: S) -> Result<S::Ok, S::Error> {
    at.map(|point| [point.x, point.y]).serialize(serializer)
}
