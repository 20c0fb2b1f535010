/// x
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PdfError {
    /// Nothing in it.
    #[error("the file is empty")]
    Empty,
}
