//! Files of other programs become a pattern.
//!
//! Every format is read in three steps. A reader of the format ([`svg`], [`dxf`], [`pdf`]) turns the file into
//! a [`Drawing`]: strokes and words in millimetres, y up, in their groups, with the names that the file gives them.
//! [`recognise`] finds the pieces in it: outlines, corners,
//! edges and marks. [`sizes`] puts the sizes of each piece together, corner on corner. The second and third step
//! know no format.
//!
//! A drawing tells less than a pattern needs. What is missing or was left out comes back as
//! [`Finding`]s beside the pattern, each with its place and what to do; a missing scale is
//! an error, never a guess.

mod assemble;
mod cut;
mod drawing;
pub mod dxf;
mod error;
pub mod pdf;
mod placed;
pub mod recognise;
mod sizes;
mod square;
pub mod svg;
pub mod tiles;

pub use assemble::{File, Format, read, read_files};
pub use drawing::{Arrows, Drawing, Group, Look, Part, Spot, Stroke, Words};
pub use error::ImportError;
pub use sizes::SizeMatch;
pub use square::place_of;

use crate::finding::Finding;
use crate::geometry::{Length, Point};
use crate::pattern::{Pattern, SizeId};
use std::path::PathBuf;

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
    /// The printed test square, where a person says which it is; else it is looked for.
    pub test_square: Option<PointedSquare>,
    /// The program that reads PDF files in a process of its own ([`pdf::child`]): this one. Without it they are read in
    /// this process, where a file that was made to do harm can use up all memory.
    pub pdf_reader: Option<PathBuf>,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            name: None,
            size: None,
            millimetres_per_unit: None,
            join_mm: recognise::JOIN_ENDS_MM,
            layers: dxf::LayerMap::default(),
            test_square: None,
            pdf_reader: None,
        }
    }
}

/// A test square that a person points at.
#[derive(Debug, Clone, PartialEq)]
pub struct PointedSquare {
    /// What is written: the length of its side.
    pub side: Length,
    /// A place inside it, in mm on the drawing; without one it is the square that comes closest.
    pub at: Option<Point>,
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
