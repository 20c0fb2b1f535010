//! Why a DXF file did not become a pattern.

use std::fmt;

/// A place in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Line of a text file, from 1.
    Line(usize),
    /// Byte of a binary file, from 0.
    Byte(usize),
}

impl fmt::Display for Place {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(line) => write!(formatter, "line {line}"),
            Self::Byte(byte) => write!(formatter, "byte {byte}"),
        }
    }
}

/// Why a DXF file did not become a pattern. Nothing is half-loaded.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DxfError {
    /// Nothing in it.
    #[error("the file is empty. Choose another, or export the drawing again")]
    Empty,
    /// Larger than [`super::LARGEST_FILE`].
    #[error("the file is larger than 64 MiB. Export only the pattern's pieces")]
    TooLarge,
    /// A group code that is none.
    #[error("{at}: “{found}” stands where DXF has a group code. Export the drawing again")]
    BadCode {
        /// Where.
        at: Place,
        /// What stands there.
        found: String,
    },
    /// A number that cannot be read.
    #[error(
        "{at}: “{found}” (group {code}) is no number. Mend it there, or export the drawing again with a point as decimal sign"
    )]
    BadNumber {
        /// Where.
        at: Place,
        /// Its group code.
        code: i16,
        /// What stands there.
        found: String,
    },
    /// The file ends too early.
    #[error("{at}: the file ends inside {what}; it was cut short. Copy or export it again")]
    CutShort {
        /// The end.
        at: Place,
        /// What is not complete.
        what: &'static str,
    },
    /// Something stands where it cannot.
    #[error("{at}: {what}. Export the drawing again")]
    Astray {
        /// Where.
        at: Place,
        /// What.
        what: String,
    },
    /// No section of drawn things.
    #[error("the file has no drawing in it (no BLOCKS and no ENTITIES). Export the drawing again")]
    NoDrawing,
    /// The unit is not told.
    #[error(
        "the file does not tell its unit (no “Units:” text and no $INSUNITS). Measure a line of known length, and give the millimetres in one unit (at the desk, or with --millimetres-per-unit): 1 for millimetres, 10 for centimetres, 25.4 for inches"
    )]
    NoUnit,
    /// A scale that is none.
    #[error("{0} millimetres in one unit is no scale. Give a number between 0.000001 and 1000")]
    BadScale(f64),
    /// A point beyond any cloth.
    #[error("{at}: a {kind} reaches more than 100 m from the origin. Check the drawing's units")]
    TooFar {
        /// Where.
        at: Place,
        /// The entity.
        kind: String,
    },
    /// A line that breaks off.
    #[error("{at}: a {kind} {what}. Mend it in the drawing program, and export again")]
    BadShape {
        /// Where.
        at: Place,
        /// The entity.
        kind: String,
        /// What is wrong.
        what: String,
    },
    /// A block that inserts itself.
    #[error(
        "{at}: the block “{block}” inserts itself, or blocks stand in blocks too deep. Take the insert out of the block"
    )]
    BlockLoop {
        /// Where the insert stands.
        at: Place,
        /// The block.
        block: String,
    },
    /// More than any pattern has.
    #[error("the drawing has more than {most} {what}. Export only the pattern's pieces")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// The limit.
        most: usize,
    },
}
