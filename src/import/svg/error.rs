//! Why an SVG file did not become a pattern.

use std::fmt;

/// A place in the file: line and column, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct At {
    /// Line.
    pub line: u32,
    /// Column.
    pub column: u32,
}

impl fmt::Display for At {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "line {}, column {}", self.line, self.column)
    }
}

/// Why an SVG file did not become a pattern. Nothing is half-loaded.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SvgError {
    /// Nothing in it.
    #[error("the file is empty. Choose another, or export the drawing again")]
    Empty,
    /// Larger than [`super::LARGEST_FILE`].
    #[error("the file is larger than 256 MiB. Export only the pattern's pieces, without pictures")]
    TooLarge,
    /// Compressed.
    #[error("the file is compressed (.svgz). Save it as plain SVG")]
    Compressed,
    /// Not text.
    #[error("this is not text in UTF-8 or UTF-16. Save the drawing as plain SVG, in UTF-8")]
    NotText,
    /// Not well-formed.
    #[error("{at}: this cannot be read as SVG: {what}. Export the drawing again, or mend the file there")]
    Xml {
        /// Where.
        at: At,
        /// What the reader says.
        what: String,
    },
    /// Entities that would grow without bound, or come from elsewhere.
    #[error("{at}: the file defines text blocks (entities) that {what}. Save the drawing as plain SVG")]
    Entities {
        /// Where they are defined.
        at: At,
        /// What is wrong with them.
        what: &'static str,
    },
    /// Another kind of XML.
    #[error("this is a “{found}” file, not SVG. Choose an SVG file")]
    NotSvg {
        /// Name of its first element.
        found: String,
    },
    /// The size of a unit is not told.
    #[error(
        "the drawing does not tell how large it is: {what}. Measure a line of known length, such as the test square, and give the millimetres in one unit (at the desk, or with --millimetres-per-unit); drawing programs that count pixels have 25.4/96 = 0.2646 mm in one, those that count points 25.4/72 = 0.3528 mm"
    )]
    NoScale {
        /// What is missing.
        what: String,
    },
    /// A scale that is none.
    #[error("{0} millimetres in one unit is no scale. Give a number between 0.000001 and 1000")]
    BadScale(f64),
    /// A number, a path or a transform that cannot be read.
    #[error("{at}: in <{element}>, {attribute}=“{value}” {what}. Mend it, or export the drawing again")]
    BadValue {
        /// Where the element stands.
        at: At,
        /// The element.
        element: String,
        /// Its attribute.
        attribute: String,
        /// The beginning of its value.
        value: String,
        /// What is wrong.
        what: String,
    },
    /// A point beyond any cloth.
    #[error(
        "{at}: <{element}> reaches more than 100 m from the drawing's corner. Check the drawing's size and units"
    )]
    TooFar {
        /// Where the element stands.
        at: At,
        /// The element.
        element: String,
    },
    /// A clone that holds itself.
    #[error(
        "{at}: the clone (use) of “{id}” holds itself, or clones hold clones more than 32 deep. Turn the clone into an object of its own"
    )]
    UseLoop {
        /// Where the clone stands.
        at: At,
        /// What it clones.
        id: String,
    },
    /// More shapes than any pattern has.
    #[error("the drawing has more than {most} {what}. Export only the pattern's pieces")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// The limit.
        most: usize,
    },
}
