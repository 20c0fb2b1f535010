//! A DXF file as pairs of group code and value.
//!
//! A text file has the code in one line and the value in the next. A binary file begins with a mark; codes have one
//! byte (R12) or two, and the code tells what the value is. Every number that could be a coordinate is checked here,
//! before anything is made of it: a polyline that loses its points in silence would be cut.
//!
//! Source: *DXF Reference*, “Group Code Value Types”, “Binary DXF Files”; ranges from memory, checked against files
//! written by ezdxf.

use super::error::{DxfError, Place};
use std::borrow::Cow;

/// How a binary file begins.
const BINARY_MARK: &[u8] = b"AutoCAD Binary DXF\r\n\x1a\0";

/// A group code and its value.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pair<'a> {
    pub(super) code: i16,
    pub(super) value: Value<'a>,
    pub(super) at: Place,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value<'a> {
    Text(Cow<'a, str>),
    Real(f64),
    Whole(i64),
}

impl Pair<'_> {
    pub(super) fn text(&self) -> &str {
        match &self.value {
            Value::Text(text) => text,
            _ => "",
        }
    }

    pub(super) fn is(&self, code: i16, text: &str) -> bool {
        self.code == code && self.text() == text
    }
}

/// Whether a file begins as a binary DXF does.
pub(in crate::import) fn is_binary(bytes: &[u8]) -> bool {
    bytes.starts_with(BINARY_MARK)
}

/// What a value is, by its code.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Text,
    Real,
    Short,
    Long,
    VeryLong,
    Bool,
    Bytes,
}

fn kind_of(code: i16) -> Kind {
    match code {
        10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => Kind::Real,
        60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => Kind::Short,
        90..=99 | 420..=429 | 440..=459 | 1071 => Kind::Long,
        160..=169 => Kind::VeryLong,
        290..=299 => Kind::Bool,
        310..=319 | 1004 => Kind::Bytes,
        _ => Kind::Text,
    }
}

/// The pairs of a text file.
pub(super) fn of_text(text: &str) -> Result<Vec<Pair<'_>>, DxfError> {
    let mut pairs = Vec::new();
    let mut lines = text.split('\n').map(|line| line.trim_end_matches('\r')).enumerate();
    while let Some((index, line)) = lines.next() {
        let at = Place::Line(index + 1);
        let trimmed = line.trim();
        if trimmed.is_empty() && lines.clone().all(|(_, line)| line.trim().is_empty()) {
            break;
        }
        let Ok(code) = trimmed.parse::<i16>() else {
            return Err(DxfError::BadCode { at, found: shown(trimmed) });
        };
        let Some((index, value)) = lines.next() else {
            return Err(DxfError::CutShort { at, what: "a group" });
        };
        let at = Place::Line(index + 1);
        let bad = || DxfError::BadNumber { at, code, found: shown(value.trim()) };
        let value = match kind_of(code) {
            Kind::Real => {
                let number: f64 =
                    value.trim().parse().ok().filter(|n: &f64| n.is_finite()).ok_or_else(bad)?;
                Value::Real(number)
            }
            Kind::Short | Kind::Long | Kind::VeryLong | Kind::Bool => {
                // Some programs write whole numbers with a point.
                let number: f64 =
                    value.trim().parse().ok().filter(|n: &f64| n.abs() <= 1e15).ok_or_else(bad)?;
                #[expect(clippy::cast_possible_truncation, reason = "below 10¹⁵ by the line above")]
                Value::Whole(number as i64)
            }
            Kind::Text | Kind::Bytes => Value::Text(Cow::Borrowed(value.trim())),
        };
        pairs.push(Pair { code, value, at });
    }
    Ok(pairs)
}

/// The beginning of something that stands where it should not.
fn shown(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).take(30).collect()
}

/// The pairs of a binary file.
pub(super) fn of_bytes(bytes: &[u8]) -> Result<Vec<Pair<'_>>, DxfError> {
    let mut reading = Reading { bytes, at: BINARY_MARK.len() };
    // The first pair is (0, SECTION): after it, a file of one-byte codes has a letter, others a zero.
    let wide = bytes.get(BINARY_MARK.len() + 1) == Some(&0);
    let mut pairs = Vec::new();
    while reading.at < bytes.len() {
        let at = Place::Byte(reading.at);
        let code = reading.code(wide)?;
        let value = match kind_of(code) {
            Kind::Real => {
                let number = f64::from_le_bytes(reading.take()?);
                if !number.is_finite() {
                    let found = number.to_string();
                    return Err(DxfError::BadNumber { at, code, found });
                }
                Value::Real(number)
            }
            Kind::Short => Value::Whole(i16::from_le_bytes(reading.take()?).into()),
            Kind::Long => Value::Whole(i32::from_le_bytes(reading.take()?).into()),
            Kind::VeryLong => Value::Whole(i64::from_le_bytes(reading.take()?)),
            Kind::Bool => Value::Whole(reading.take::<1>()?[0].into()),
            Kind::Bytes => {
                let [length] = reading.take()?;
                reading.skip(length.into())?;
                Value::Text(Cow::Borrowed(""))
            }
            Kind::Text => Value::Text(reading.text()?),
        };
        let ends = code == 0 && value == Value::Text(Cow::Borrowed("EOF"));
        pairs.push(Pair { code, value, at });
        if ends {
            break;
        }
    }
    Ok(pairs)
}

struct Reading<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Reading<'a> {
    fn cut_short(&self) -> DxfError {
        DxfError::CutShort { at: Place::Byte(self.bytes.len()), what: "a group" }
    }

    fn skip(&mut self, count: usize) -> Result<&'a [u8], DxfError> {
        let taken = self.bytes.get(self.at..self.at + count).ok_or_else(|| self.cut_short())?;
        self.at += count;
        Ok(taken)
    }

    fn take<const N: usize>(&mut self) -> Result<[u8; N], DxfError> {
        let taken = self.skip(N)?;
        <[u8; N]>::try_from(taken).map_err(|_wrong_length| self.cut_short())
    }

    fn code(&mut self, wide: bool) -> Result<i16, DxfError> {
        if wide {
            return Ok(i16::from_le_bytes(self.take()?));
        }
        let [code] = self.take()?;
        if code == 255 {
            return Ok(i16::from_le_bytes(self.take()?));
        }
        Ok(code.into())
    }

    fn text(&mut self) -> Result<Cow<'a, str>, DxfError> {
        let rest = &self.bytes[self.at..];
        let length = rest.iter().position(|byte| *byte == 0).ok_or_else(|| self.cut_short())?;
        self.at += length + 1;
        Ok(decoded(&rest[..length]))
    }
}

/// What bytes 0x80 to 0x9f are in Windows-1252 (unassigned ones as themselves; from memory, by the WHATWG index).
const WINDOWS_1252: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}', '\u{90}',
    '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

/// Text in UTF-8, else in Windows-1252: older files name neither.
pub(super) fn decoded(bytes: &[u8]) -> Cow<'_, str> {
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text.trim_start_matches('\u{feff}')),
        Err(_) => {
            let letter = |byte: &u8| match byte {
                0x80..=0x9f => WINDOWS_1252[usize::from(byte - 0x80)],
                _ => char::from(*byte),
            };
            Cow::Owned(bytes.iter().map(letter).collect())
        }
    }
}
