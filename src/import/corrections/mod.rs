//! What a person put right on a drawing, as records in a file beside it.
//!
//! The records lie beside the source and not in the pattern, because they tell what the *source* means: when it comes
//! again (another size bought, the pattern file lost) they are replayed, whatever became of the pattern that was made
//! of it. A hash of the source stands in the file; where it differs, the records are refused, because a place in mm on
//! another drawing says nothing. Places are in mm on the sheet, as it lay when they were pointed to ([`on_sheet`] follows them
//! where a page is moved or the scale is set afterwards), and mean the nearest thing within [`PICK_MM`].

mod on_drawing;
mod on_pieces;
mod on_sheet;
mod words;

pub(super) use on_drawing::{corrected, sizes_at};
pub(super) use on_pieces::correct;
pub use on_sheet::Laid;
pub(super) use on_sheet::{Taken, is_square, laid, now};

use super::{File, ImportError, SizesBy};
use crate::document::{self, DocumentError, Format};
use crate::geometry::{Length, Point};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use std::path::{Path, PathBuf};

const FORMAT: Format = Format { name: "chalkbeam corrections", version: 1 };

/// A place means the nearest thing within this, in mm.
pub const PICK_MM: f64 = 4.0;

/// Corrections of one drawing, or of several that make one pattern.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Corrections {
    /// The files that they were made on, in order.
    pub sources: Vec<Source>,
    /// The corrections, in the order in which they are applied.
    pub list: Vec<Correction>,
}

/// A file that corrections were made on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Its name.
    pub file: String,
    /// SHA-256 (FIPS 180-4) of its bytes, as hexadecimal digits.
    pub sha256: String,
}

impl Source {
    /// A file as a source.
    #[must_use]
    pub fn of(file: &str, bytes: &[u8]) -> Self {
        let digest = Sha256::digest(bytes);
        let sha256 = digest.iter().map(|byte| format!("{byte:02x}")).collect();
        Self { file: file.to_owned(), sha256 }
    }
}

/// Something that a person put right. Places are in mm on the sheet as it lay then, y up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Correction {
    /// By what sizes are told apart.
    SizesBy(SizesBy),
    /// A straight line joins two ends.
    Join {
        /// One end.
        #[serde(with = "crate::geometry::pair")]
        from: Point,
        /// The other.
        #[serde(with = "crate::geometry::pair")]
        to: Point,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// A line is two lines from here.
    Split {
        /// On the line.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// A line does not belong to the pattern.
    Drop {
        /// On the line.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// What a line is.
    Mark {
        /// On the line.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// What it is.
        is: LineIs,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// A line belongs to one size.
    Size {
        /// On the line.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// Which size.
        size: String,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// The outline has a corner here, in every size.
    Corner {
        /// On the outline.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// The outline has no corner here, in any size.
    NoCorner {
        /// At the corner.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// What a piece is called.
    NamePiece {
        /// Inside the piece.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// Its name.
        name: String,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// What an edge is called, and so what becomes of it: `hem`, `fold`.
    NameEdge {
        /// On the edge.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// Its name.
        name: String,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// The grainline of a piece.
    Grain {
        /// The lower end.
        #[serde(with = "crate::geometry::pair")]
        from: Point,
        /// The end that is up.
        #[serde(with = "crate::geometry::pair")]
        to: Point,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// The piece is drawn by half: it is mirrored at this edge, which lies on the fold.
    Fold {
        /// On the edge.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// A page of a sheet in pages is moved.
    PageMoved {
        /// Which page, from 1.
        page: usize,
        /// To the right, or to the left where it is negative.
        right: Length,
        /// Up, or down where it is negative.
        up: Length,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// A page is turned about its middle.
    PageTurned {
        /// Which page, from 1.
        page: usize,
        /// By so many quarters to the left.
        quarters: u8,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// A page is no part of the sheet, or part of it again.
    PageDropped {
        /// Which page, from 1.
        page: usize,
        /// Whether it is left out.
        dropped: bool,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// The pages lie in so many columns, row by row from the upper left. Pages that were moved before come back.
    Columns {
        /// How many.
        columns: usize,
        /// How far neighbours in a row overlap.
        across: Length,
        /// How far neighbours in a column overlap.
        up: Length,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// Two places are so far apart: that is the scale of the sheet.
    Ruler {
        /// One place.
        #[serde(with = "crate::geometry::pair")]
        from: Point,
        /// The other.
        #[serde(with = "crate::geometry::pair")]
        to: Point,
        /// How far they are apart on the paper.
        apart: Length,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// The printed test square, which lies here, is right: that is the scale of the sheet, across and up each by itself.
    BySquare {
        /// A corner.
        #[serde(with = "crate::geometry::pair")]
        from: Point,
        /// The corner across.
        #[serde(with = "crate::geometry::pair")]
        to: Point,
        /// The length of a side that is printed.
        side: Length,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// The scale of a drawing that tells none: millimetres in one unit of it.
    Unit {
        /// Millimetres.
        mm: f64,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// The scale of a scan that tells none: its dots in an inch.
    Dots {
        /// Dots.
        per_inch: f64,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
    /// The printed test square lies here; it is measured and left out.
    TestSquare {
        /// A corner.
        #[serde(with = "crate::geometry::pair")]
        from: Point,
        /// The corner across.
        #[serde(with = "crate::geometry::pair")]
        to: Point,
        /// The length of a side that is printed.
        side: Length,
        /// On which of the files, from 0.
        #[serde(default)]
        sheet: usize,
    },
}

/// What a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum LineIs {
    /// A lengthen/shorten line.
    BalanceLine,
    /// The grainline.
    Grain,
    /// Marked and not cut.
    Inner,
    /// A notch.
    Notch,
    /// A drill hole.
    Drill,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Corrections")]
struct CorrectionsFile {
    format: String,
    version: u32,
    sources: Vec<Source>,
    #[serde(default)]
    corrections: Vec<Correction>,
}

/// Where the corrections of a file lie: beside it, `coat.svg.corrections.ron`.
#[must_use]
pub fn path_beside(source: &Path) -> PathBuf {
    let mut name = source.file_name().unwrap_or_default().to_owned();
    name.push(".corrections.ron");
    source.with_file_name(name)
}

impl Corrections {
    /// Reads a file of corrections.
    ///
    /// # Errors
    /// [`DocumentError`], with file, place and what to do.
    pub fn read(path: &Path) -> Result<Self, DocumentError> {
        let text = document::read_text(path)?;
        let file: CorrectionsFile = document::parse_versioned(&text, path, FORMAT)?;
        Ok(Self { sources: file.sources, list: file.corrections })
    }

    /// Writes them in one step.
    ///
    /// # Errors
    /// [`DocumentError::Unwritable`]; a file that was there is then as it was.
    pub fn write(&self, path: &Path) -> Result<(), DocumentError> {
        let file = CorrectionsFile {
            format: FORMAT.name.to_owned(),
            version: FORMAT.version,
            sources: self.sources.clone(),
            corrections: self.list.clone(),
        };
        let text = document::to_text(&file, path)?;
        document::write_atomically(path, text.as_bytes(), true)
    }

    /// Whether they were made on just these files.
    ///
    /// # Errors
    /// [`ImportError::OtherSource`], naming the first file that differs.
    pub fn check(&self, files: &[File<'_>]) -> Result<(), ImportError> {
        for (index, file) in files.iter().enumerate() {
            let own = Source::of(file.name, file.bytes);
            let known = self.sources.get(index).is_some_and(|source| source.sha256 == own.sha256);
            if !known {
                return Err(ImportError::OtherSource { file: file.name.to_owned() });
            }
        }
        match self.sources.get(files.len()) {
            Some(missing) => Err(ImportError::MissingSource { file: missing.file.clone() }),
            None => Ok(()),
        }
    }
}
