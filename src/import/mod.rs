//! Files of other programs become a pattern.
//!
//! Every format is read in three steps. A reader of the format ([`svg`], [`dxf`], [`pdf`]) turns the file into
//! a [`Drawing`]: strokes and words in millimetres, y up, in their groups, with the names that the file gives them.
//! [`recognise`] tells its sizes apart and finds the pieces in it: outlines, corners,
//! edges and marks. [`sizes`] puts the sizes of each piece together, corner on corner, and [`mates`] proposes what is
//! sewn to what. Only the first step knows a format.
//!
//! A drawing tells less than a pattern needs. What is missing or was left out comes back as
//! [`Finding`]s beside the pattern, each with its place and what to do; a missing scale is
//! an error, never a guess.

mod assemble;
pub mod corrections;
mod cut;
mod drawing;
pub mod dxf;
mod edges;
mod error;
mod format;
mod mates;
pub mod pdf;
mod placed;
mod progress;
pub mod recognise;
pub mod scan;
mod sizes;
mod square;
pub mod svg;
mod thin;
pub mod tiles;

pub use assemble::{File, drawings_of, pattern_of, read, read_files, read_tiles};
pub use corrections::{Correction, Corrections, LineIs};
pub use drawing::{Arrows, Drawing, Group, Look, Part, Spot, Stroke, Words};
pub use error::ImportError;
pub use format::Format;
pub use mates::Mates;
pub use progress::{Progress, Step, Unwatched};
pub use recognise::{Proposal, Reading, SizesBy};
pub use sizes::SizeMatch;
pub use square::{TestSquare, is_true_size, place_of};

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
    /// Dots per inch of a scan; told, it goes before what the picture tells.
    pub dpi: Option<f64>,
    /// A ruler in a scan; it goes before any resolution.
    pub ruler: Option<scan::Ruler>,
    /// What each layer of a DXF file holds.
    pub layers: dxf::LayerMap,
    /// The printed test square, where a person says which it is; else it is looked for.
    pub test_square: Option<PointedSquare>,
    /// The program that reads PDF files in a process of its own ([`pdf::child`]): this one. Without it they are read in
    /// this process, where a file that was made to do harm can use up all memory.
    pub pdf_reader: Option<PathBuf>,
    /// By what sizes are told apart; by the surest reading, when `None`.
    pub sizes_by: Option<SizesBy>,
    /// What a person put right, in the order in which it is applied.
    pub corrections: Vec<Correction>,
    /// Whether a drawing that tells no scale is read all the same, so that a person can point out how large it is. What
    /// is read so is to be looked at: no pattern is to be made of it.
    pub without_scale: bool,
    /// The pages of each file as they were found when just this file was read before; they are not read again.
    pub known_pages: Vec<Option<tiles::Tiles>>,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            name: None,
            size: None,
            millimetres_per_unit: None,
            join_mm: recognise::JOIN_ENDS_MM,
            dpi: None,
            ruler: None,
            layers: dxf::LayerMap::default(),
            test_square: None,
            pdf_reader: None,
            sizes_by: None,
            corrections: Vec::new(),
            without_scale: false,
            known_pages: Vec::new(),
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
    /// For each piece, in each size, on which of the files it was drawn, from 0.
    pub sheets: Vec<Vec<usize>>,
    /// How the sizes of each piece were put on each other; empty when there is one size.
    pub matches: Vec<SizeMatch>,
    /// How the sizes of the drawings may be told apart, the one that was taken first; empty for one size.
    pub readings: Vec<Reading>,
    /// What was understood.
    pub proposals: Vec<Proposal>,
    /// What may be sewn to what; the surest are seams of the pattern.
    pub mates: Vec<Mates>,
    /// What was left out, assumed or is missing, the gravest first. Places are in mm on the drawing (y up).
    pub findings: Vec<Finding>,
}
