//! Files of our own: RON with a header, read with errors that show the place, written so that the last good
//! file survives.
//!
//! A document begins with `format` and `version`. Both are looked at before anything else, so that a newer
//! or a foreign file is refused with a clear word and never half-loaded. Numbers beyond any cloth are for the
//! readers of each format to refuse; this room knows only text.

mod error;
mod write;

pub use error::DocumentError;
pub use write::{last_good_path, write_atomically};

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::path::Path;

/// Largest document that is read, in bytes. A pattern of fifty pieces in ten sizes takes about 2 MB.
const LARGEST_BYTES: u64 = 256 * 1024 * 1024;

/// Nesting down to which a document is laid out a field a line; what lies deeper (points, dashes) stays on one.
const LAID_OUT_DEPTH: usize = 3;

/// What a document must begin with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Format {
    /// The value of `format`, such as `chalkbeam garment`.
    pub name: &'static str,
    /// The newest `version` that this program reads.
    pub version: u32,
}

#[derive(Deserialize)]
struct Header {
    #[serde(default)]
    format: String,
    #[serde(default)]
    version: u32,
}

/// Reads a file, refusing what is missing, a folder, too large or empty.
///
/// # Errors
/// [`DocumentError`], naming the file.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, DocumentError> {
    let unreadable = |source| DocumentError::Unreadable { path: path.to_owned(), source };
    let found = std::fs::metadata(path).map_err(unreadable)?;
    if found.is_dir() {
        return Err(DocumentError::Directory { path: path.to_owned() });
    }
    if found.len() > LARGEST_BYTES {
        return Err(DocumentError::TooLarge { path: path.to_owned(), most_bytes: LARGEST_BYTES });
    }
    let bytes = std::fs::read(path).map_err(unreadable)?;
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(DocumentError::Empty { path: path.to_owned() });
    }
    Ok(bytes)
}

/// Reads a text file, refusing what [`read_bytes`] refuses and what is not UTF-8.
///
/// # Errors
/// [`DocumentError`], naming the file.
pub fn read_text(path: &Path) -> Result<String, DocumentError> {
    String::from_utf8(read_bytes(path)?).map_err(|error| DocumentError::NotText {
        path: path.to_owned(),
        at_byte: error.utf8_error().valid_up_to(),
    })
}

/// Parses RON text that stands alone, without a header; `path` only names it in errors.
///
/// # Errors
/// [`DocumentError::Malformed`] with line, column, the line itself and what to do.
pub fn parse<T: DeserializeOwned>(text: &str, path: &Path) -> Result<T, DocumentError> {
    dialect().from_str(text).map_err(|error| DocumentError::malformed(path, text, &error))
}

/// Writes a value as one line of text that [`parse`] reads.
///
/// # Errors
/// [`ron::Error`] when the value has no text, such as a map with keys that are no strings.
pub fn to_line<T: Serialize>(value: &T) -> Result<String, ron::Error> {
    let layout = ron::ser::PrettyConfig::new().depth_limit(0).new_line("\n");
    dialect().to_string_pretty(value, layout)
}

/// Writes a value as text that [`parse`] reads and a person can edit.
///
/// # Errors
/// [`DocumentError::Unwritable`] when the value has no text, such as a map with keys that are no strings.
pub fn to_text<T: Serialize>(value: &T, path: &Path) -> Result<String, DocumentError> {
    let layout = ron::ser::PrettyConfig::new().depth_limit(LAID_OUT_DEPTH).indentor("    ".to_owned());
    dialect().to_string_pretty(value, layout).map(|text| text + "\n").map_err(|error| {
        DocumentError::Unwritable { path: path.to_owned(), source: std::io::Error::other(error.to_string()) }
    })
}

/// RON as a person writes it: `amount: "15 mm"` for `Some("15 mm")`, and a variant's fields directly in its
/// brackets.
fn dialect() -> ron::Options {
    use ron::extensions::Extensions;
    ron::Options::default()
        .with_default_extension(Extensions::IMPLICIT_SOME | Extensions::UNWRAP_VARIANT_NEWTYPES)
}

/// Parses RON text that begins with a header.
///
/// # Errors
/// As [`parse`]; [`DocumentError::NoDocument`] for other text; and [`DocumentError::OtherFormat`] or
/// [`DocumentError::OtherVersion`] for a header that is not `format`'s.
pub fn parse_versioned<T: DeserializeOwned>(
    text: &str,
    path: &Path,
    format: Format,
) -> Result<T, DocumentError> {
    // A bracket, a name before it, a comment or an extension; drawings begin with a tag, a sign or a number.
    let begins = |c: char| matches!(c, '(' | '/' | '#' | '_') || c.is_alphabetic();
    if text.trim_start_matches('\u{feff}').trim_start().starts_with(|c| !begins(c)) {
        return Err(DocumentError::NoDocument { path: path.to_owned(), expected: format.name });
    }
    let header: Header = parse(text, path)?;
    if header.format != format.name {
        let (path, expected) = (path.to_owned(), format.name);
        return Err(DocumentError::OtherFormat { path, expected, found: header.format });
    }
    if !(1..=format.version).contains(&header.version) {
        let (path, newest) = (path.to_owned(), format.version);
        return Err(DocumentError::OtherVersion { path, newest, found: header.version });
    }
    parse(text, path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, Deserialize, PartialEq)]
    #[serde(deny_unknown_fields)]
    struct Note {
        format: String,
        version: u32,
        colour: String,
    }

    const NOTE: Format = Format { name: "test note", version: 1 };

    fn read(text: &str) -> Result<Note, DocumentError> {
        parse_versioned(text, Path::new("note.ron"), NOTE)
    }

    #[test]
    fn a_drawing_is_told_from_a_document_with_a_mistake_in_it() {
        for drawing in ["  0\nSECTION\n", "\u{feff}<svg/>", "%PDF-1.7\n"] {
            let told = read(drawing).unwrap_err().to_string();
            assert!(told.contains("is no test note") && told.contains("chalkbeam import"), "{told}");
        }
        for mistaken in ["(format \"test note\")", "// mine\n(colour: 1)", "Note(1)"] {
            let told = read(mistaken).unwrap_err();
            assert!(!matches!(told, DocumentError::NoDocument { .. }), "{mistaken}: {told}");
        }
    }

    #[test]
    fn a_document_of_the_right_format_and_version_is_read() {
        let note = read("(format: \"test note\", version: 1, colour: \"navy\")").unwrap();
        assert_eq!(note.colour, "navy");
    }

    #[test]
    fn a_foreign_or_newer_document_is_refused_before_its_fields_are_looked_at() {
        let newer = read("(format: \"test note\", version: 7, hue: 3)").unwrap_err().to_string();
        assert!(newer.contains("version 7") && newer.contains("newer"), "{newer}");
        let foreign = read("(format: \"recipe\", version: 1)").unwrap_err().to_string();
        assert!(foreign.contains("recipe") && foreign.contains("test note"), "{foreign}");
    }

    #[test]
    fn a_misspelt_field_is_told_where_it_stands_and_what_was_meant() {
        let error = read("(\n    format: \"test note\",\n    version: 1,\n    color: \"navy\",\n)")
            .unwrap_err()
            .to_string();
        assert!(error.contains("note.ron:4") && error.contains("did you mean “colour”"), "{error}");
    }

    #[test]
    fn a_truncated_document_is_told_where_it_stops() {
        let error = read("(format: \"test note\", version: 1,").unwrap_err().to_string();
        assert!(error.contains("note.ron:1") && error.contains("ends"), "{error}");
    }
}
