//! Files to pattern: the format by the file's content, the drawing, its pieces, their sizes.

use super::recognise::{self, Found};
use super::sizes::{InSizes, OfSize, in_sizes};
use super::{Drawing, ImportError, Imported, Options, dxf, pdf, square, svg};
use crate::finding::{Finding, Severity};
use crate::geometry::Length;
use crate::pattern::Pattern;
use std::cmp::Reverse;

/// The size of a drawing that tells none.
const AS_DRAWN: &str = "as drawn";

/// The formats that are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Scalable Vector Graphics.
    Svg,
    /// Drawing Exchange Format, text or binary.
    Dxf,
    /// Portable Document Format.
    Pdf,
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
        let what = match head {
            [0x89, b'P', b'N', b'G', ..] | [0xff, 0xd8, 0xff, ..] | [b'I', b'I', b'*', ..] => {
                "it is a picture, and a picture has no lines"
            }
            [b'P', b'K', 3, 4, ..] => "it is packed (zip); unpack it first",
            _ => "its beginning fits none of them",
        };
        let text = String::from_utf8_lossy(head);
        let mark = text.trim_start_matches(['\u{feff}', '\u{fffd}']).trim_start();
        // UTF-16 has a zero in every letter of a tag.
        if mark.starts_with('<') || head.starts_with(&[0xff, 0xfe]) || head.starts_with(&[0xfe, 0xff]) {
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

/// A file's name, for sizes and messages, and its content.
#[derive(Debug, Clone, Copy)]
pub struct File<'a> {
    /// Its name without folder and ending.
    pub name: &'a str,
    /// Its bytes.
    pub bytes: &'a [u8],
}

/// Reads a file of any format that is known, by its content.
///
/// # Errors
/// [`ImportError`]; nothing is half-loaded.
pub fn read(bytes: &[u8], options: &Options) -> Result<Imported, ImportError> {
    let mut findings = Vec::new();
    let drawing = drawing_of(bytes, options, &mut findings)?;
    pattern_of(vec![(None, drawing)], options, findings)
}

/// Reads several files into one pattern: sizes, or pieces of one pattern.
///
/// # Errors
/// [`ImportError`]; nothing is half-loaded.
pub fn read_files(files: &[File<'_>], options: &Options) -> Result<Imported, ImportError> {
    match files {
        [] => Err(ImportError::NoFile),
        [only] => read(only.bytes, options),
        _ => {
            let mut findings = Vec::new();
            let mut drawings = Vec::new();
            for file in files {
                let drawing = drawing_of(file.bytes, options, &mut findings);
                let drawing = drawing.map_err(|source| ImportError::InFile {
                    file: file.name.to_owned(),
                    source: Box::new(source),
                })?;
                drawings.push((Some(file.name.to_owned()), drawing));
            }
            pattern_of(drawings, options, findings)
        }
    }
}

fn drawing_of(bytes: &[u8], options: &Options, findings: &mut Vec<Finding>) -> Result<Drawing, ImportError> {
    let mut drawing = match Format::of(bytes)? {
        Format::Svg => svg::drawing(bytes, options, findings)?,
        Format::Dxf => dxf::drawing(bytes, options, findings)?,
        Format::Pdf => pdf::drawing(bytes, options, findings)?,
    };
    square::check(&mut drawing, options, findings);
    Ok(drawing)
}

/// The pattern in drawings, each with the name of its file when there are several.
pub(super) fn pattern_of(
    drawings: Vec<(Option<String>, Drawing)>,
    options: &Options,
    mut findings: Vec<Finding>,
) -> Result<Imported, ImportError> {
    let mut all: Vec<OfSize> = Vec::new();
    let names: Vec<&str> = drawings.iter().filter_map(|(name, _)| name.as_deref()).collect();
    let alike = shared_start(&names);
    for (file, drawing) in &drawings {
        let found = recognise::pieces_of(drawing, options.join_mm);
        findings.extend(found.findings);
        let untold = options.size.as_ref().map(ToString::to_string).or_else(|| {
            let name = file.as_deref()?;
            let own = name.get(alike..).unwrap_or(name);
            Some(own.trim_matches(|c: char| c == '_' || c == '-' || c.is_whitespace()).to_owned())
        });
        let untold = untold.filter(|size| !size.is_empty());
        for Found { piece, size, named } in found.pieces {
            let size = size.or_else(|| untold.clone()).unwrap_or_else(|| AS_DRAWN.to_owned());
            let found = Found { piece, size: None, named };
            all.push(OfSize { size, found });
        }
    }
    let InSizes { sizes, pieces, matches } = in_sizes(all, &mut findings);
    if pieces.is_empty() {
        let bad = findings.iter().find(|finding| finding.severity == Severity::Stop);
        return Err(ImportError::NoPiece {
            what: bad.map_or_else(|| no_outline(&drawings), |finding| finding.what.clone()),
        });
    }
    tell_what_is_missing(&drawings, &pieces, &mut findings);
    same_of_all_sizes(&mut findings);
    findings.sort_by_key(|finding| Reverse(finding.severity));
    let title = || drawings.iter().find_map(|(_, drawing)| drawing.title.clone());
    let name = options.name.clone().or_else(title);
    let pattern = Pattern {
        bodies: Vec::new(),
        measures: Vec::new(),
        name: name.unwrap_or_else(|| "Imported pattern".to_owned()),
        sizes,
        pieces,
        seams: Vec::new(),
        allowance: Length::from_mm(0.0),
        hem_allowance: Length::from_mm(0.0),
    };
    Ok(Imported { pattern, matches, findings })
}

/// What is said about a piece in every size is said once.
fn same_of_all_sizes(findings: &mut Vec<Finding>) {
    let mut said = std::collections::BTreeSet::new();
    findings.retain(|finding| {
        finding.piece.is_none()
            || said.insert((finding.what.clone(), finding.piece.clone(), finding.severity))
    });
}

fn tell_what_is_missing(
    drawings: &[(Option<String>, Drawing)],
    pieces: &[crate::pattern::SizedPiece],
    findings: &mut Vec<Finding>,
) {
    let mut warn = |what: &str, remedy: &str| findings.push(Finding::new(Severity::Warning, what, remedy));
    let edges = || pieces.iter().flat_map(|sized| &sized.by_size).flat_map(|piece| &piece.edges);
    if edges().any(|edge| edge.allowance.is_none()) {
        warn(
            "The outlines were taken for seam lines, and no allowance is added",
            "If the drawing shows cutting lines, leave it so; if it shows seam lines, give the allowances",
        );
    }
    let told = drawings.iter().flat_map(|(_, drawing)| &drawing.groups).any(|group| group.cutting.is_some());
    warn(
        if told {
            "The drawing does not tell what is sewn to what"
        } else {
            "The drawing does not tell how often a piece is cut, whether mirrored, and what is sewn to what"
        },
        "Set cloth, count and pairs of each piece, and the seams, before the lay",
    );
}

/// How many bytes names have in common at their start, up to the last that is no letter or digit.
fn shared_start(names: &[&str]) -> usize {
    let Some((first, rest)) = names.split_first().filter(|(_, rest)| !rest.is_empty()) else {
        return 0;
    };
    let shared = |name: &&str| {
        let pairs = first.char_indices().zip(name.chars());
        pairs.take_while(|((_, a), b)| a == b).last().map_or(0, |((at, c), _)| at + c.len_utf8())
    };
    let shared = rest.iter().map(shared).min().unwrap_or(0);
    // Not into the middle of a number: `88` and `84` share no size.
    first[..shared].trim_end_matches(|c: char| c.is_alphanumeric()).len()
}

/// Why drawings without outlines have none.
fn no_outline(drawings: &[(Option<String>, Drawing)]) -> String {
    let groups = || drawings.iter().flat_map(|(_, drawing)| &drawing.groups);
    let strokes = || groups().flat_map(|group| &group.strokes);
    let largest = strokes().filter(|stroke| stroke.closed).map(|stroke| {
        let bounds = stroke.curve.bounding_box();
        bounds.width().hypot(bounds.height())
    });
    match largest.max_by(f64::total_cmp) {
        Some(across) if across < recognise::SMALLEST_PIECE_MM => {
            format!("the largest closed line is {across:.1} mm across; check the scale")
        }
        _ => format!("the drawing has {} line(s), and none makes an outline", strokes().count()),
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
        let picture = Format::of(b"\x89PNG\r\n").unwrap_err().to_string();
        assert!(picture.contains("picture"), "{picture}");
        assert!(Format::of(b"hello").is_err());
    }

    #[test]
    fn sizes_of_files_are_what_their_names_do_not_share() {
        assert_eq!(shared_start(&["coat-84", "coat-88"]), 5);
        assert_eq!(shared_start(&["coat 84 back", "coat 84 front"]), 8);
        assert_eq!(shared_start(&["84", "88"]), 0);
        assert_eq!(shared_start(&["coat"]), 0);
    }
}
