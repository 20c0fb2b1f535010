//! Files of other programs become a pattern.
//!
//! Every format is read in two steps. A reader of the format ([`svg`]) turns the file into a [`Drawing`]:
//! strokes and words in millimetres, y up, in their groups, with the names that the file gives them. Then
//! [`recognise`] finds the pieces in it: outlines, corners, edges and marks. The second step knows no format.
//!
//! A drawing tells less than a pattern needs. What is missing or was left out comes back as [`Finding`]s beside
//! the pattern, each with its place and what to do; a missing scale is an error, never a guess.

mod drawing;
mod finding;
pub mod recognise;
pub mod svg;

pub use drawing::{Arrows, Drawing, Group, Stroke, Words};
pub use finding::{Finding, FindingCode, Severity};

use crate::pattern::{Pattern, SizeId};

/// What a person says about a file before it is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// Title of the pattern; without one, the drawing's own title, or “Imported pattern”.
    pub name: Option<String>,
    /// The size that the drawing shows.
    pub size: SizeId,
    /// Millimetres in one unit of the drawing, for a drawing that does not tell; told, it goes before what the
    /// drawing tells.
    pub millimetres_per_unit: Option<f64>,
    /// Ends of lines closer than this are joined, in mm.
    pub join_mm: f64,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            name: None,
            size: "as drawn".into(),
            millimetres_per_unit: None,
            join_mm: recognise::JOIN_ENDS_MM,
        }
    }
}

/// A pattern out of another program's file, and what there is to say about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Imported {
    /// The pattern; it has no faults.
    pub pattern: Pattern,
    /// What was left out, assumed or is missing, the gravest first.
    pub findings: Vec<Finding>,
}
