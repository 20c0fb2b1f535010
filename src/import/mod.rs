//! Files of other programs become a pattern.
//!
//! Every format is read in three steps. A reader of the format ([`svg`], [`dxf`]) turns the file into
//! a [`Drawing`]: strokes and words in millimetres, y up, in their groups, with the names that the file gives them.
//! [`recognise`] finds the pieces in it: outlines, corners,
//! edges and marks. [`sizes`] puts the sizes of each piece together, corner on corner. The second and third step
//! know no format.
//!
//! A drawing tells less than a pattern needs. What is missing or was left out comes back as
//! [`Finding`]s beside the pattern, each with its place and what to do; a missing scale is
//! an error, never a guess.

mod assemble;
mod drawing;
pub mod dxf;
mod error;
mod placed;
pub mod recognise;
mod sizes;
pub mod svg;

pub use assemble::{File, Format, read, read_files};
pub use drawing::{Arrows, Drawing, Group, Look, Part, Spot, Stroke, Words};
pub use error::ImportError;
pub use sizes::SizeMatch;

use crate::finding::Finding;
use crate::pattern::{Pattern, SizeId};

/// What a person says about a file before it is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// Title of the pattern; without one, the drawing's own title, or “Imported pattern”.
    pub name: Option<String>,
    /// The size of what tells none. Without one, several files are sizes by their names.
    pub size: Option<SizeId>,
    /// Millimetres in one unit of the drawing, for a drawing that does not tell; told, it goes before what the
    /// drawing tells.
    pub millimetres_per_unit: Option<f64>,
    /// Ends of lines closer than this are joined, in mm.
    pub join_mm: f64,
    /// What each layer of a DXF file holds.
    pub layers: dxf::LayerMap,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            name: None,
            size: None,
            millimetres_per_unit: None,
            join_mm: recognise::JOIN_ENDS_MM,
            layers: dxf::LayerMap::default(),
        }
    }
}

/// A pattern out of another program's file, and what there is to say about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Imported {
    /// The pattern; it has no faults.
    pub pattern: Pattern,
    /// How the sizes of each piece were put on each other; empty when there is one size.
    pub matches: Vec<SizeMatch>,
    /// What was left out, assumed or is missing, the gravest first. Places are in mm on the drawing (y up).
    pub findings: Vec<Finding>,
}
