//! What a person put right on a drawing, as records in a file beside it.
//!
//! The records lie beside the source and not in the pattern, because they tell what the *source* means: when it comes
//! again (another size bought, the pattern file lost) they are replayed, whatever became of the pattern that was made
//! of it. A hash of the source stands in the file; where it differs, the records are refused, because a place in mm on
//! another drawing says nothing. Places are in mm on the sheet and mean the nearest thing within [`PICK_MM`].

mod on_drawing;
mod on_pieces;

pub(super) use on_drawing::{corrected, sizes_at};
pub(super) use on_pieces::correct;

use super::{File, ImportError, SizesBy};
use crate::document::{self, DocumentError, Format};
use crate::geometry::Point;
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

/// Something that a person put right. Places are in mm on the sheet, y up.
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
    },
    /// The outline has no corner here, in any size.
    NoCorner {
        /// At the corner.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
    },
    /// What a piece is called.
    NamePiece {
        /// Inside the piece.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// Its name.
        name: String,
    },
    /// What an edge is called, and so what becomes of it: `hem`, `fold`.
    NameEdge {
        /// On the edge.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
        /// Its name.
        name: String,
    },
    /// The grainline of a piece.
    Grain {
        /// The lower end.
        #[serde(with = "crate::geometry::pair")]
        from: Point,
        /// The end that is up.
        #[serde(with = "crate::geometry::pair")]
        to: Point,
    },
    /// The piece is drawn by half: it is mirrored at this edge, which lies on the fold.
    Fold {
        /// On the edge.
        #[serde(with = "crate::geometry::pair")]
        at: Point,
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

impl LineIs {
    /// Its words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::BalanceLine => "a lengthen/shorten line",
            Self::Grain => "the grainline",
            Self::Inner => "a line to be marked",
            Self::Notch => "a notch",
            Self::Drill => "a drill hole",
        }
    }
}

impl Correction {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        let place = |at: &Point| format!("at ({:.1}, {:.1})", at.x, at.y);
        match self {
            Self::SizesBy(by) => format!("sizes are told apart by {}", by.word()),
            Self::Join { from, to, .. } => format!("the ends {} and {} are joined", place(from), place(to)),
            Self::Split { at, .. } => format!("the line is split {}", place(at)),
            Self::Drop { at, .. } => format!("the line {} is left out", place(at)),
            Self::Mark { at, is, .. } => format!("the line {} is {}", place(at), is.words()),
            Self::Size { at, size, .. } => format!("the line {} belongs to size {size}", place(at)),
            Self::Corner { at } => format!("a corner {}", place(at)),
            Self::NoCorner { at } => format!("no corner {}", place(at)),
            Self::NamePiece { at, name } => format!("the piece {} is called “{name}”", place(at)),
            Self::NameEdge { at, name } => format!("the edge {} is called “{name}”", place(at)),
            Self::Grain { from, to } => {
                format!("the grain runs from {} to {}", &place(from)[3..], &place(to)[3..])
            }
            Self::Fold { at } => format!("the edge {} lies on the fold", place(at)),
        }
    }
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
