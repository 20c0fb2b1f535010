//! Why a PDF file did not become a pattern.

/// Why a PDF file did not become a pattern.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PdfError {
    /// Not read yet.
    #[error("PDF files are not read yet. Save the drawing as SVG or DXF, and import that")]
    Empty,
}
