//! Why a picture has no outlines.

/// Why a picture has no outlines. Nothing is half-loaded.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ScanError {
    /// It cannot be decoded.
    #[error("the picture cannot be read ({0}). Scan it again, or save it as PNG")]
    Unreadable(String),
    /// Larger than any table.
    #[error(
        "the picture has more than {0} million pixels. Scan it at a lower resolution; 150 dots per inch are enough"
    )]
    TooLarge(u64),
    /// It tells no scale.
    #[error(
        "the picture does not tell how many dots make an inch. Give them (150 for a scan at 150 dpi), or two places \
         of a ruler in it with their distance"
    )]
    NoResolution,
    /// No scanner's resolution.
    #[error("{0} dots per inch are no scan’s. Give a number from 20 to 10000")]
    BadResolution(f64),
    /// A ruler that measures nothing.
    #[error(
        "the ruler’s two places and their distance make no scale. Point to two places far apart, in pixels, and give their distance"
    )]
    BadRuler,
    /// One grey.
    #[error(
        "the picture shows nothing: it is one grey. Scan the piece on a ground of another colour, or draw its line darker"
    )]
    NoInk,
    /// Specks everywhere.
    #[error(
        "the picture is too restless to follow lines in it. Scan it in greys, with more contrast, and without a patterned ground"
    )]
    TooRestless,
    /// Somebody stopped it.
    #[error("stopped before the picture was read")]
    Stopped,
}
