//! Why a PDF file did not become a pattern.

/// Why a PDF file did not become a pattern. Nothing is half-loaded.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PdfError {
    /// Nothing in it.
    #[error("the file is empty. Choose another, or export the drawing again")]
    Empty,
    /// Larger than [`super::LARGEST_FILE`].
    #[error(
        "the file is larger than 512 MiB. Print only the pattern's pages into a new PDF, without pictures"
    )]
    TooLarge,
    /// A password other than the empty one.
    #[error(
        "the file is locked with a password. Open it with the password, print it into a new PDF, and import that"
    )]
    Locked,
    /// A way of locking that is not known.
    #[error("the file is encrypted in a way that cannot be read. Print it into a new PDF, and import that")]
    UnknownLock,
    /// Not one page.
    #[error("the file cannot be read as PDF: it has no pages, or was cut short. Download or export it again")]
    NoPages,
    /// More than any pattern has.
    #[error(
        "the file has more than {most} {what}. Print only the pattern's pages into a new PDF, and import that"
    )]
    TooMany {
        /// Of what.
        what: &'static str,
        /// The limit.
        most: usize,
    },
    /// A scale that is none.
    #[error("{0} millimetres in one unit is no scale: a PDF has 0.3528 mm in one. Give a number near that")]
    BadScale(f64),
    /// The program that reads could not be started.
    #[error(
        "the program that reads PDF files, {program}, could not be started: {reason}. Install chalkbeam again"
    )]
    NotStarted {
        /// Which.
        program: String,
        /// Why.
        reason: String,
    },
    /// The reading took too long.
    #[error(
        "reading the file took longer than {seconds} s and was ended. Print only the pattern's pages into a new PDF, and import that"
    )]
    TooSlow {
        /// How long it was given.
        seconds: u64,
    },
    /// The reading ended by itself, most often for want of memory.
    #[error(
        "reading the file needed more than {megabytes} MB of memory, or failed ({how}). The file may be damaged: print it into a new PDF, and import that"
    )]
    Died {
        /// How much it was given.
        megabytes: u64,
        /// How it ended.
        how: String,
    },
    /// What came back was no drawing.
    #[error(
        "what was read of the file came back damaged ({0}). Import it again; if it stays so, print it into a new PDF"
    )]
    Garbled(&'static str),
    /// What the reading process said.
    #[error("{0}")]
    Said(String),
}
