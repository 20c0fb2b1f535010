//! Why a document could not be read or written, in words for the person who must mend it.

use std::fmt;
use std::path::{Path, PathBuf};

/// What to do with what people open instead of a document.
const IMPORTED: &str =
    "A drawing or a scan is imported first, at the desk under Pattern or with “chalkbeam import”";

/// Why a document could not be read or written.
#[derive(Debug, thiserror::Error)]
pub enum DocumentError {
    /// Missing, or not allowed to be read.
    #[error("{}: {}", path.display(), why_unreadable(source))]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A folder where a file is needed.
    #[error("{}: this is a folder; name the file in it", path.display())]
    Directory {
        /// The folder.
        path: PathBuf,
    },
    /// Nothing in it.
    #[error("{}: the file is empty. If an earlier copy stands beside it ({}), take that one", path.display(), super::last_good_path(path).display())]
    Empty {
        /// The file.
        path: PathBuf,
    },
    /// Larger than any document.
    #[error("{}: the file is larger than {} MB, which no document of this kind is; is it the right file?", path.display(), most_bytes / (1024 * 1024))]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// The limit.
        most_bytes: u64,
    },
    /// Not UTF-8.
    #[error("{}: not a text file (byte {at_byte} is not UTF-8); is it the right file? {IMPORTED}", path.display())]
    NotText {
        /// The file.
        path: PathBuf,
        /// Offset of the first bad byte.
        at_byte: usize,
    },
    /// Text, but no document of this program.
    #[error("{}: this is no {expected}, which begins with (format: \"{expected}\", version: 1, …); is it the right file? {IMPORTED}", path.display())]
    NoDocument {
        /// The file.
        path: PathBuf,
        /// What was needed.
        expected: &'static str,
    },
    /// Another kind of document.
    #[error("{}: this is {} where a “{expected}” is needed. A {expected} begins with (format: \"{expected}\", version: 1, …)", path.display(), named(found))]
    OtherFormat {
        /// The file.
        path: PathBuf,
        /// What was needed.
        expected: &'static str,
        /// What it says that it is.
        found: String,
    },
    /// A version that this program does not know.
    #[error("{}: version {found} of this document is unknown here (newest known: {newest}). {}", path.display(), version_remedy(*found, *newest))]
    OtherVersion {
        /// The file.
        path: PathBuf,
        /// Newest version that is read.
        newest: u32,
        /// The version it says, 0 for none.
        found: u32,
    },
    /// Not as the format asks.
    #[error("{}:{line}:{column}: {what}\n{excerpt}", path.display())]
    Malformed {
        /// The file.
        path: PathBuf,
        /// Line, counted from 1.
        line: usize,
        /// Column, counted from 1.
        column: usize,
        /// What is wrong and what to do.
        what: String,
        /// The line with a caret under the place.
        excerpt: String,
    },
    /// Could not be saved; the file on disk is as it was.
    #[error("{}: not saved ({source}). The file on disk is as it was; free some space or choose another folder, then save again", path.display())]
    Unwritable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
}

fn why_unreadable(source: &std::io::Error) -> String {
    match source.kind() {
        std::io::ErrorKind::NotFound => "there is no such file; check the name and the folder".to_owned(),
        std::io::ErrorKind::PermissionDenied => {
            "reading is not allowed; check the file's permissions".to_owned()
        }
        _ => format!("could not be read ({source})"),
    }
}

fn named(format: &str) -> String {
    if format.is_empty() { "a file without a format".to_owned() } else { format!("“{format}”") }
}

fn version_remedy(found: u32, newest: u32) -> &'static str {
    if found > newest {
        "It was saved by a newer chalkbeam: open it with that one"
    } else {
        "Write version: 1 if the file was made by hand"
    }
}

impl DocumentError {
    pub(super) fn malformed(path: &Path, text: &str, error: &ron::error::SpannedError) -> Self {
        let (line, column) = (error.span.start.line.max(1), error.span.start.col.max(1));
        Self::at(path, text, line, column, explain(&error.code))
    }

    /// A complaint about a place in a text.
    #[must_use]
    pub fn at(path: &Path, text: &str, line: usize, column: usize, what: String) -> Self {
        Self::Malformed { path: path.to_owned(), line, column, what, excerpt: excerpt(text, line, column) }
    }
}

/// The line with a caret under the column, shortened to a window around it.
fn excerpt(text: &str, line: usize, column: usize) -> String {
    const WINDOW: usize = 80;
    let source = text.lines().nth(line - 1).unwrap_or_default();
    let first = column.saturating_sub(WINDOW / 2).saturating_sub(1);
    let shown: String =
        source.chars().skip(first).take(WINDOW).map(|c| if c == '\t' { ' ' } else { c }).collect();
    let margin = format!("{line} | ");
    let indent = " ".repeat(margin.chars().count() + column - 1 - first);
    format!("{margin}{shown}\n{indent}^")
}

/// What a parse error means to a person who edits the file by hand.
fn explain(code: &ron::Error) -> String {
    use ron::Error::{
        Eof, ExpectedComma, ExpectedStructLikeEnd, IntegerOutOfBounds, InvalidValueForType,
        MissingStructField, NoSuchEnumVariant, NoSuchStructField, TrailingCharacters,
    };
    match code {
        Eof => "the file ends in the middle of something; it was cut off, or a closing bracket is missing"
            .to_owned(),
        NoSuchStructField { expected, found, .. } => {
            format!("there is no field “{found}” here{}", Suggestion { found, expected })
        }
        NoSuchEnumVariant { expected, found, .. } => {
            format!("“{found}” is not one of the choices here{}", Suggestion { found, expected })
        }
        MissingStructField { field, .. } => {
            format!("the field “{field}” is missing; add it before the closing bracket")
        }
        ExpectedComma | ExpectedStructLikeEnd => {
            "a comma or a closing bracket is missing before this place".to_owned()
        }
        TrailingCharacters => "there is something after the end of the document; remove it".to_owned(),
        IntegerOutOfBounds => "this number is too large or too small to be meant".to_owned(),
        InvalidValueForType { expected, found } => format!("{expected} is needed here, not {found}"),
        other => format!("{other}"),
    }
}

struct Suggestion<'a> {
    found: &'a str,
    expected: &'static [&'static str],
}

impl fmt::Display for Suggestion<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        /// Below this similarity (Jaro–Winkler) a suggestion would only puzzle.
        const ALIKE: f64 = 0.75;
        let likeness = |candidate: &str| strsim::jaro_winkler(candidate, self.found);
        let best = self.expected.iter().max_by(|a, b| likeness(a).total_cmp(&likeness(b)));
        match best {
            Some(best) if likeness(best) >= ALIKE => write!(formatter, "; did you mean “{best}”?"),
            _ => write!(formatter, "; known are: {}", self.expected.join(", ")),
        }
    }
}
