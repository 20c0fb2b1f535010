//! Why a file did not become a pattern.

use super::{dxf, pdf, scan, svg};

/// Why a file did not become a pattern. Nothing is half-loaded.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ImportError {
    /// An SVG file.
    #[error(transparent)]
    Svg(#[from] svg::SvgError),
    /// A DXF file.
    #[error(transparent)]
    Dxf(#[from] dxf::DxfError),
    /// A PDF file.
    #[error(transparent)]
    Pdf(#[from] pdf::PdfError),
    /// A picture of paper.
    #[error(transparent)]
    Scan(#[from] scan::ScanError),
    /// Nothing in it.
    #[error("the file is empty. Choose another, or export the drawing again")]
    Empty,
    /// None of the formats.
    #[error(
        "this is no PDF, SVG or DXF file and no scan (PNG, JPEG, TIFF): {what}. Export the drawing as one of these"
    )]
    UnknownFormat {
        /// What it seems to be.
        what: &'static str,
    },
    /// One of several files.
    #[error("{file}: {source}")]
    InFile {
        /// Its name.
        file: String,
        /// What is wrong with it.
        source: Box<Self>,
    },
    /// No file at all.
    #[error("no file was given. Name at least one PDF, SVG or DXF file")]
    NoFile,
    /// Sizes were to be told apart by something that does not tell them.
    #[error("the drawing shows no sizes by {by}. Choose another reading, or let the program propose one")]
    NoSuchReading {
        /// By what.
        by: &'static str,
    },
    /// Corrections that were made on another file.
    #[error(
        "{file}: the corrections beside it were made on another file, or it has changed since. Look at them in the \
         desk's import and make them anew, or move the corrections away to import without them"
    )]
    OtherSource {
        /// The file that differs.
        file: String,
    },
    /// Corrections that were made on more files.
    #[error("the corrections were made together with {file}. Name that file too, in the same order")]
    MissingSource {
        /// The file that is missing.
        file: String,
    },
    /// Somebody stopped it.
    #[error(
        "stopped before the drawing was understood; nothing was written. Import again when there is time"
    )]
    Stopped,
    /// Not one piece.
    #[error(
        "no piece was found: {what}. A piece is a closed line, or lines that meet end to end, in a group of its own. If these are the instructions, import the file with the pieces; if it is that file, open it at the desk and join, split or mark its lines there"
    )]
    NoPiece {
        /// What was there instead.
        what: String,
    },
}

impl ImportError {
    /// Whether it is only its scale that a drawing lacks.
    #[must_use]
    pub fn wants_scale(&self) -> bool {
        match self {
            Self::Svg(svg::SvgError::NoScale { .. })
            | Self::Dxf(dxf::DxfError::NoUnit)
            | Self::Scan(scan::ScanError::NoResolution) => true,
            Self::InFile { source, .. } => source.wants_scale(),
            _ => false,
        }
    }
}
