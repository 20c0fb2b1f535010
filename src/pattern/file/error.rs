//! What can go wrong between a pattern and its file.

use super::super::PatternFault;
use super::super::validate::closest;
use super::{VERSION, place};
use ron::error::{Error, SpannedError};
use std::fmt;

/// A place in a text: line and column from 1, and the line itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TextPlace {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The part of the line around the place.
    excerpt: String,
    /// Column of the place in the excerpt, from 0.
    caret: usize,
}

/// A fault of a pattern, and where in its file.
#[derive(Debug, Clone, PartialEq)]
pub struct LocatedFault {
    /// Where, when it is in a file.
    pub place: Option<TextPlace>,
    /// What.
    pub fault: PatternFault,
}

/// Why a pattern was not read or written.
#[derive(Debug, thiserror::Error)]
pub enum PatternFileError {
    /// The file cannot be opened or read.
    #[error("{origin} cannot be read: {source}. Check the name and that the file may be read")]
    Unreadable {
        /// The file.
        origin: String,
        /// What the system says.
        source: std::io::Error,
    },
    /// Larger than any pattern.
    #[error("{origin} is larger than 64 MiB. That is no pattern file; check the name")]
    TooLarge {
        /// The file.
        origin: String,
    },
    /// Not UTF-8.
    #[error(
        "{origin}, {place}: this is not text (UTF-8). Choose a .pattern.ron file, or save it again as UTF-8 text"
    )]
    NotText {
        /// The file.
        origin: String,
        /// The first byte that is none.
        place: TextPlace,
    },
    /// Nothing in it.
    #[error("{origin} is empty. Choose another file, or fetch it from a copy")]
    Empty {
        /// The file.
        origin: String,
    },
    /// Some other RON.
    #[error("{origin}, {place}: this is “{found}”, not a chalkbeam pattern. Choose a .pattern.ron file{excerpt}", excerpt = .place.shown())]
    NotAPattern {
        /// The file.
        origin: String,
        /// Where the format is named.
        place: TextPlace,
        /// The format that it names.
        found: String,
    },
    /// Another version of the format.
    #[error("{origin}, {place}: the file has version {found}; this chalkbeam reads version {VERSION}. Open it with the chalkbeam that wrote it{excerpt}", excerpt = .place.shown())]
    UnknownVersion {
        /// The file.
        origin: String,
        /// Where the version is told.
        place: TextPlace,
        /// The version.
        found: i64,
    },
    /// The text ends before the pattern does.
    #[error("{origin}, {place}: the file ends in the middle of the pattern; it was cut short. Fetch it from a copy{excerpt}", excerpt = .place.shown())]
    CutShort {
        /// The file.
        origin: String,
        /// Its last character.
        place: TextPlace,
    },
    /// Text that cannot be read as a pattern.
    #[error("{origin}, {place}: {what}. {remedy}{excerpt}", excerpt = .place.shown())]
    Malformed {
        /// The file.
        origin: String,
        /// Where.
        place: TextPlace,
        /// What is wrong.
        what: String,
        /// What to do.
        remedy: String,
    },
    /// A pattern that cannot be used.
    #[error("{}", faults_shown(.origin, .faults))]
    Faulty {
        /// The file.
        origin: String,
        /// Every fault, at least one.
        faults: Vec<LocatedFault>,
    },
    /// The file cannot be written.
    #[error(
        "{origin} cannot be written: {source}. The old file, if there was one, is as it was. Choose another folder"
    )]
    Unwritable {
        /// The file.
        origin: String,
        /// What the system says.
        source: std::io::Error,
    },
}

/// Most faults that one message tells.
const FAULTS_SHOWN: usize = 5;

fn faults_shown(origin: &str, faults: &[LocatedFault]) -> String {
    let mut lines: Vec<_> = faults
        .iter()
        .take(FAULTS_SHOWN)
        .map(|located| match &located.place {
            Some(place) => format!("{origin}, {place}: {}{}", located.fault, place.shown()),
            None => format!("{origin}: {}", located.fault),
        })
        .collect();
    if faults.len() > FAULTS_SHOWN {
        lines.push(format!("… and {} more", faults.len() - FAULTS_SHOWN));
    }
    lines.join("\n")
}

impl TextPlace {
    /// The place at a byte offset of a text.
    pub(super) fn at(text: &str, offset: usize) -> Self {
        let mut offset = offset.min(text.len());
        while !text.is_char_boundary(offset) {
            offset -= 1;
        }
        let line_start = text[..offset].rfind('\n').map_or(0, |index| index + 1);
        let line_end = text[offset..].find('\n').map_or(text.len(), |index| offset + index);
        let line = 1 + text[..line_start].matches('\n').count();
        let column = 1 + text[line_start..offset].chars().count();
        let whole = text[line_start..line_end].trim_end();
        let indent = whole.chars().take_while(|c| c.is_whitespace()).count().min(column - 1);
        // Long lines are shown around the place only.
        let first = (column - 1).saturating_sub(EXCERPT / 2).max(indent);
        let unbroken = |c: char| if c.is_control() { ' ' } else { c };
        Self {
            line,
            column,
            excerpt: whole.chars().skip(first).take(EXCERPT).map(unbroken).collect(),
            caret: column - 1 - first,
        }
    }

    /// The place after bytes that are text.
    pub(super) fn after(valid: &[u8]) -> Self {
        let text = String::from_utf8_lossy(valid);
        Self::at(&text, text.len())
    }

    /// The place at a line and a column counted from 1.
    fn at_line(text: &str, line: usize, column: usize) -> Self {
        let before: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
        let rest = &text[before..];
        let within = rest.char_indices().nth(column.saturating_sub(1)).map_or(rest.len(), |(index, _)| index);
        Self::at(text, before + within)
    }

    /// The line, with a caret below the place, to stand under a message.
    fn shown(&self) -> String {
        if self.excerpt.trim().is_empty() {
            return String::new();
        }
        format!("\n    {}\n    {}^", self.excerpt, " ".repeat(self.caret))
    }
}

/// Most characters of a line that are shown.
const EXCERPT: usize = 100;

impl fmt::Display for TextPlace {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "line {}, column {}", self.line, self.column)
    }
}

impl PatternFileError {
    /// The error for a text that is no pattern.
    pub(super) fn malformed(text: &str, origin: &str, error: &SpannedError) -> Self {
        let origin = origin.to_owned();
        let at_word = matches!(
            error.code,
            Error::NoSuchStructField { .. }
                | Error::NoSuchEnumVariant { .. }
                | Error::DuplicateStructField { .. }
        );
        let position = if at_word { error.span.start } else { error.span.end };
        let place = TextPlace::at_line(text, position.line, position.col);
        if place::is_cut_short(text) {
            let place = TextPlace::at(text, text.trim_end().len());
            return Self::CutShort { origin, place };
        }
        let (what, remedy) = in_plain_words(&error.code);
        Self::Malformed { origin, place, what, remedy }
    }
}

fn in_plain_words(error: &Error) -> (String, String) {
    let choose = |expected: &[&'static str], found: &str| {
        closest(found, expected.iter().copied()).map_or_else(
            || format!("Use one of: {}", expected.join(", ")),
            |like| format!("Did you mean “{like}”?"),
        )
    };
    match error {
        Error::NoSuchStructField { expected, found, .. } => {
            (format!("there is no field “{found}” here"), choose(expected, found))
        }
        Error::NoSuchEnumVariant { expected, found, .. } => {
            (format!("“{found}” is not one of the words that may stand here"), choose(expected, found))
        }
        Error::MissingStructField { field, .. } => (
            format!("the field “{field}” is missing"),
            format!("Add “{field}: …” before the closing bracket"),
        ),
        Error::DuplicateStructField { field, .. } => {
            (format!("the field “{field}” is there twice"), "Remove one".to_owned())
        }
        Error::ExpectedFloat
        | Error::ExpectedInteger
        | Error::FloatUnderscore
        | Error::InvalidIntegerDigit { .. } => (
            "a number is expected here".to_owned(),
            "Write it with a point, as in 12.5, without a unit (millimetres)".to_owned(),
        ),
        Error::IntegerOutOfBounds => {
            ("the number is too large or below zero".to_owned(), "Write a whole number from 0 up".to_owned())
        }
        Error::ExpectedString | Error::ExpectedStringEnd => {
            ("a text is expected here".to_owned(), "Write it between quotation marks: \"…\"".to_owned())
        }
        Error::ExpectedComma => ("a comma is missing".to_owned(), "Put one before this place".to_owned()),
        Error::ExpectedMapColon => {
            ("a colon is missing after the name of the field".to_owned(), "Write “name: value”".to_owned())
        }
        Error::ExceededRecursionLimit => (
            "brackets are nested too deeply".to_owned(),
            "A pattern file has no more than ten levels; check the brackets".to_owned(),
        ),
        Error::TrailingCharacters => (
            "the pattern has ended, but more text follows".to_owned(),
            "Remove it, or check the bracket before it".to_owned(),
        ),
        Error::Message(message) => {
            // Lengths say themselves what to do, in a second sentence.
            let (what, remedy) = message.split_once(". ").unwrap_or((message, "Check it"));
            (what.to_owned(), remedy.to_owned())
        }
        other => (
            format!("this cannot be read ({other})"),
            "Check brackets, commas and quotation marks near this place".to_owned(),
        ),
    }
}
