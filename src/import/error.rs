//! Why a file did not become a pattern.

use super::{dxf, pdf, svg};

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
    /// Nothing in it.
    #[error("the file is empty. Choose another, or export the drawing again")]
    Empty,
    /// None of the formats.
    #[error("this is no PDF, SVG or DXF file: {what}. Export the drawing as one of these")]
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
    /// Not one piece.
    #[error(
        "no piece was found: {what}. A piece is a closed line, or lines that meet end to end, in a group of its own"
    )]
    NoPiece {
        /// What was there instead.
        what: String,
    },
}
