//! What a file is, by its content.

use super::{ImportError, dxf, scan};

/// The formats that are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Scalable Vector Graphics.
    Svg,
    /// Drawing Exchange Format, text or binary.
    Dxf,
    /// Portable Document Format.
    Pdf,
    /// A picture of a paper piece: PNG, JPEG or TIFF.
    Scan,
}

/// How far a file is looked into for what it is, in bytes: PDF allows this much before its mark
/// (ISO 32000-1, annex H, implementation note 13).
const LOOK_INTO: usize = 1024;

impl Format {
    /// What a file is, by its content.
    ///
    /// # Errors
    /// [`ImportError::Empty`] or [`ImportError::UnknownFormat`].
    pub fn of(bytes: &[u8]) -> Result<Self, ImportError> {
        let head = &bytes[..bytes.len().min(LOOK_INTO)];
        let holds = |mark: &[u8]| head.windows(mark.len()).any(|window| window == mark);
        if head.iter().all(u8::is_ascii_whitespace) {
            return Err(ImportError::Empty);
        }
        if dxf::is_binary(bytes) {
            return Ok(Self::Dxf);
        }
        if holds(b"%PDF-") {
            return Ok(Self::Pdf);
        }
        if holds(b"\x1f\x8b\x08") && head.starts_with(b"\x1f\x8b") {
            return Ok(Self::Svg);
        }
        if scan::is_picture(bytes) {
            return Ok(Self::Scan);
        }
        let what = match head {
            [b'P', b'K', 3, 4, ..] => "it is packed (zip); unpack it first",
            _ => "its beginning fits none of them",
        };
        let text = String::from_utf8_lossy(head);
        let mark = text.trim_start_matches(['\u{feff}', '\u{fffd}']).trim_start();
        // UTF-16 has a zero in every letter of a tag.
        let begins = mark.starts_with('<') && !mark.starts_with("</");
        if begins || head.starts_with(&[0xff, 0xfe]) || head.starts_with(&[0xfe, 0xff]) {
            return Ok(Self::Svg);
        }
        // A group code alone in its line.
        let first = mark.lines().next().unwrap_or_default().trim();
        if first.parse::<i16>().is_ok() {
            return Ok(Self::Dxf);
        }
        Err(ImportError::UnknownFormat { what })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_format_is_told_by_its_content() {
        assert_eq!(Format::of(b"<?xml"), Ok(Format::Svg));
        assert_eq!(Format::of(b"\xef\xbb\xbf <svg"), Ok(Format::Svg));
        assert_eq!(Format::of(b"  0\r\nSECTION\r\n"), Ok(Format::Dxf));
        assert_eq!(Format::of(b"999\nmade by hand\n0\nSECTION\n"), Ok(Format::Dxf));
        assert_eq!(Format::of(b"junk%PDF-1.4"), Ok(Format::Pdf));
        assert_eq!(Format::of(b" \n "), Err(ImportError::Empty));
        assert_eq!(Format::of(b"\x89PNG\r\n\x1a\n"), Ok(Format::Scan));
        assert_eq!(Format::of(b"MM\0*"), Ok(Format::Scan));
        assert!(Format::of(b"hello").is_err());
        assert!(
            Format::of(b" </rdf:li> <rdf:li>").is_err(),
            "what begins with an end is torn from something"
        );
    }
}
