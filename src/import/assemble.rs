//! Files to pattern: the drawing, its pieces, their sizes.

use super::corrections::{self, Correction, Laid, Taken};
use super::format::Format;
use super::mates::{self, Mates};
use super::progress::{Progress, Step, Unwatched};
use super::recognise::{self, Found, Proposal, Proposed, Reading, SizesBy};
use super::sizes::{InSizes, OfSize, in_sizes};
use super::tiles::Tiles;
use super::{Drawing, ImportError, Imported, Options, dxf, pdf, scan, square, svg, thin};
use crate::finding::{Finding, Severity};
use crate::geometry::{Affine, Length, Rect, Vec2};
use crate::pattern::Pattern;
use std::cmp::Reverse;
use std::sync::Arc;

/// The size of a drawing that tells none.
const AS_DRAWN: &str = "as drawn";

/// A reading of the sizes less sure than this is told as a warning.
const LOOK_AT: f64 = 0.9;

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
    read_files(&[File { name: "", bytes }], options, &Unwatched)
}

/// Reads files into one pattern: sizes, or pieces of one pattern.
///
/// # Errors
/// [`ImportError`]; nothing is half-loaded.
pub fn read_files(
    files: &[File<'_>],
    options: &Options,
    progress: &dyn Progress,
) -> Result<Imported, ImportError> {
    let mut findings = Vec::new();
    let drawings = drawings_of(files, options, progress, &mut findings)?;
    pattern_of(drawings, options, progress, findings)
}

/// Makes a pattern of pages that a person has looked over and put to their places.
///
/// # Errors
/// [`ImportError`]; nothing is half-loaded.
pub fn read_tiles(
    tiles: &Tiles,
    options: &Options,
    progress: &dyn Progress,
) -> Result<Imported, ImportError> {
    let mut findings = Vec::new();
    let mut drawing = pdf::assembled(tiles, options, &mut findings)?;
    thin::thinned(&mut drawing, &mut findings);
    square::check(&mut drawing, options, &mut findings);
    pattern_of(vec![(None, drawing)], options, progress, findings)
}

/// The drawings of files, each with the name of its file when there are several.
///
/// # Errors
/// [`ImportError`], with the name of the file when there are several.
pub fn drawings_of(
    files: &[File<'_>],
    options: &Options,
    progress: &dyn Progress,
    findings: &mut Vec<Finding>,
) -> Result<Vec<(Option<String>, Drawing)>, ImportError> {
    let mut drawings = Vec::new();
    for (done, file) in files.iter().enumerate() {
        let what = format!("reading {}", file.name);
        if !progress.go_on(Step { what: what.trim_end(), done, of: files.len() }) {
            return Err(ImportError::Stopped);
        }
        let said = findings.len();
        let drawing = drawing_of(file.bytes, done, options, progress, findings);
        if files.len() > 1 {
            name_file(findings.get_mut(said..).unwrap_or_default(), file.name);
        }
        match files {
            [_] => drawings.push((None, drawing?)),
            _ => {
                let in_file =
                    |source| ImportError::InFile { file: file.name.to_owned(), source: Box::new(source) };
                drawings.push((Some(file.name.to_owned()), drawing.map_err(in_file)?));
            }
        }
    }
    if drawings.is_empty() { Err(ImportError::NoFile) } else { Ok(drawings) }
}

/// Findings of one file of several say which one it is, unless they name a piece.
fn name_file(findings: &mut [Finding], file: &str) {
    for finding in findings.iter_mut().filter(|finding| finding.piece.is_none()) {
        finding.what = format!("{file}: {}", finding.what);
    }
}

/// The drawing of one file. One that tells no scale is read in a scale of its own where a person said how large it is,
/// or is asked to.
fn drawing_of(
    bytes: &[u8],
    sheet: usize,
    options: &Options,
    progress: &dyn Progress,
    findings: &mut Vec<Finding>,
) -> Result<Drawing, ImportError> {
    let said = findings.len();
    let scales = |one: &Correction| {
        let scales = matches!(
            one,
            Correction::Ruler { .. }
                | Correction::BySquare { .. }
                | Correction::Unit { .. }
                | Correction::Dots { .. }
        );
        scales && one.sheet() == Some(sheet)
    };
    let scaled = options.corrections.iter().any(scales);
    match drawing_as(bytes, sheet, options, None, progress, findings) {
        Err(error) if error.wants_scale() && (scaled || options.without_scale) => {
            findings.truncate(said);
            let options = Options {
                millimetres_per_unit: Some(WITHOUT_SCALE.unit_mm),
                dpi: Some(25.4 / WITHOUT_SCALE.dot_mm),
                ..options.clone()
            };
            drawing_as(bytes, sheet, &options, Some(WITHOUT_SCALE), progress, findings)
        }
        read => read,
    }
}

fn drawing_as(
    bytes: &[u8],
    sheet: usize,
    options: &Options,
    taken: Option<Taken>,
    progress: &dyn Progress,
    findings: &mut Vec<Finding>,
) -> Result<Drawing, ImportError> {
    let list = &options.corrections;
    let said = findings.len();
    let mut drawing = match Format::of(bytes)? {
        Format::Pdf => {
            let tiles = match options.known_pages.get(sheet) {
                Some(Some(known)) => known.clone(),
                _ => Tiles::of(pdf::pages(bytes, options)?),
            };
            let several = (tiles.pages().len() > 1).then(|| tiles.clone());
            let told = pdf::told_scale(options);
            let laid = corrections::laid(list, sheet, Vec2::new(told, told), taken, several, findings);
            let drawing = pdf::assembled(laid.tiles().unwrap_or(&tiles), options, findings)?;
            follow(&mut findings[said..], laid.sheet_from_pages());
            Drawing { laid: Arc::new(laid.clone()), ..drawing.grown(laid.scale() / told) }
        }
        format => {
            let laid = corrections::laid(list, sheet, Vec2::new(1.0, 1.0), taken, None, findings);
            let pointed = (laid != Laid::default()).then(|| laid.scale());
            let drawing = match format {
                Format::Svg | Format::Dxf => {
                    let read = match format {
                        Format::Svg => svg::drawing(bytes, options, findings)?,
                        _ => dxf::drawing(bytes, options, findings)?,
                    };
                    follow(&mut findings[said..], laid.sheet_from_pages());
                    read.grown(laid.scale())
                }
                // Small things are told by their size: a picture is read at its scale.
                _ => scan::drawing(bytes, options, pointed, progress, findings)?,
            };
            Drawing { laid: Arc::new(laid), ..drawing }
        }
    };
    thin::thinned(&mut drawing, findings);
    let now = corrections::now(std::iter::repeat_n(&drawing, sheet + 1), list);
    let pointed = now.iter().rev().find_map(|correction| match correction {
        Correction::TestSquare { from, to, side, sheet: on } if *on == sheet => {
            Some((Rect::from_points(*from, *to), side))
        }
        _ => None,
    });
    match pointed {
        Some((bounds, side)) => square::pointed(&mut drawing, bounds, side, findings),
        None => square::check(&mut drawing, options, findings),
    }
    Ok(drawing)
}

/// What was said of a drawing before it was scaled is said of the same places after.
fn follow(findings: &mut [Finding], larger: Affine) {
    for at in findings.iter_mut().filter_map(|finding| finding.at.as_mut()) {
        *at = larger * *at;
    }
}

/// How large one unit and one dot are taken to be, in mm, where a drawing does not tell. Places of corrections count in
/// it, so it stays as it is.
const WITHOUT_SCALE: Taken = Taken { unit_mm: 1.0, dot_mm: 0.1 };

/// The pattern in drawings, each with the name of its file when there are several.
///
/// # Errors
/// [`ImportError`] when no piece is found, the reading that was asked for is not there, or somebody stopped it.
pub fn pattern_of(
    drawings: Vec<(Option<String>, Drawing)>,
    options: &Options,
    progress: &dyn Progress,
    mut findings: Vec<Finding>,
) -> Result<Imported, ImportError> {
    let list = corrections::now(drawings.iter().map(|(_, drawing)| drawing), &options.corrections);
    let drawings = corrections::corrected(drawings, &list, &mut findings);
    let chosen = list.iter().rev().find_map(|correction| match correction {
        Correction::SizesBy(by) => Some(*by),
        _ => None,
    });
    let sizes_by = options.sizes_by.or(chosen);
    let mut all: Vec<OfSize> = Vec::new();
    let mut proposals: Vec<Proposal> = Vec::new();
    let mut readings: Vec<Reading> = Vec::new();
    let mut cutting_told = false;
    let names: Vec<&str> = drawings.iter().filter_map(|(name, _)| name.as_deref()).collect();
    let alike = shared_start(&names);
    for (sheet, (file, drawing)) in drawings.iter().enumerate() {
        if !progress.go_on(Step { what: "telling the sizes apart", done: 0, of: 1 }) {
            return Err(ImportError::Stopped);
        }
        let said = findings.len();
        let known = recognise::readings_of(drawing, options.join_mm, sizes_by);
        let taken = recognise::taken(&known, sizes_by);
        if let (None, Some(by)) = (taken, sizes_by)
            && by != SizesBy::Nothing
        {
            return Err(ImportError::NoSuchReading { by: by.word() });
        }
        tell_reading(taken, &known, sizes_by.is_some(), &mut findings, &mut proposals);
        let set = corrections::sizes_at(drawing, &list, sheet, &mut findings);
        let stopped = std::cell::Cell::new(false);
        let go_on = |done: usize, of: usize| {
            let going = progress.go_on(Step { what: "looking for pieces", done, of });
            stopped.set(!going);
            going
        };
        let found = recognise::pieces_of(drawing, taken, &set, options.join_mm, &go_on);
        if stopped.get() {
            return Err(ImportError::Stopped);
        }
        findings.extend(found.findings);
        proposals.extend(found.proposals);
        if let Some(file) = file {
            name_file(findings.get_mut(said..).unwrap_or_default(), file);
        }
        readings.extend(known.into_iter().map(|one| one.reading));
        let untold = options.size.as_ref().map(ToString::to_string).or_else(|| {
            let name = file.as_deref()?;
            let own = name.get(alike..).unwrap_or(name);
            Some(own.trim_matches(|c: char| c == '_' || c == '-' || c.is_whitespace()).to_owned())
        });
        let untold = untold.filter(|size| !size.is_empty());
        for found in found.pieces {
            cutting_told |= found.cutting_told;
            let size = found.size.clone().or_else(|| untold.clone()).unwrap_or_else(|| AS_DRAWN.to_owned());
            all.push(OfSize { size, sheet, found: Found { size: None, ..found } });
        }
    }
    if !progress.go_on(Step { what: "following corners from size to size", done: 0, of: 1 }) {
        return Err(ImportError::Stopped);
    }
    let InSizes { sizes, mut pieces, matches, sheets } = in_sizes(all, &mut findings);
    if pieces.is_empty() {
        let bad = findings.iter().find(|finding| finding.severity == Severity::Stop);
        return Err(ImportError::NoPiece { what: bad.map_or_else(|| no_outline(&drawings), with_piece) });
    }
    corrections::correct(&mut pieces, &sheets, &sizes, &list, &mut findings);
    let mates = mates::mates_of(&pieces);
    let seams = mates::seams_of(&mates);
    tell_what_is_missing(cutting_told, &pieces, &mates, &mut findings);
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
        seams,
        allowance: Length::from_mm(0.0),
        hem_allowance: Length::from_mm(0.0),
    };
    Ok(Imported { pattern, sheets, matches, readings, proposals, mates, findings })
}

/// Says by what the sizes were told apart, and by what else they may be.
fn tell_reading(
    taken: Option<&Proposed>,
    known: &[Proposed],
    chosen: bool,
    findings: &mut Vec<Finding>,
    proposals: &mut Vec<Proposal>,
) {
    let words = |reading: &Reading| {
        format!("by {} ({}): {}", reading.by.word(), reading.sizes.join(", "), reading.reason)
    };
    if let Some(Proposed { reading, .. }) = taken {
        let what = format!("Sizes were told apart {}", words(reading));
        let confidence = if chosen { 1.0 } else { reading.confidence };
        if !chosen && reading.confidence < LOOK_AT {
            let what = format!("{what} ({:.0} of 100)", 100.0 * reading.confidence);
            let remedy = "Compare the sizes with the drawing, or say by what they are told apart";
            findings.push(Finding::new(Severity::Warning, what, remedy));
        }
        proposals.push(Proposal { what, piece: None, at: None, confidence });
    }
    let others = known.iter().filter(|other| {
        taken.is_none_or(|taken| taken.reading.by != other.reading.by)
            && taken.is_none_or(|taken| taken.reading.confidence < LOOK_AT)
    });
    for Proposed { reading, .. } in others {
        let what = format!("Sizes may also be told apart {}", words(reading));
        let remedy = format!("If that is right, say that sizes are told by {}", reading.by.word());
        findings.push(Finding::new(Severity::Note, what, remedy));
    }
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
    cutting_told: bool,
    pieces: &[crate::pattern::SizedPiece],
    mates: &[Mates],
    findings: &mut Vec<Finding>,
) {
    let mut warn = |what: &str, remedy: &str| findings.push(Finding::new(Severity::Warning, what, remedy));
    let without = |sized: &&crate::pattern::SizedPiece| {
        let mut edges = sized.by_size.iter().flat_map(|piece| &piece.edges);
        edges.any(|edge| edge.allowance.is_none())
    };
    let bare: Vec<String> = pieces.iter().filter(without).map(|sized| sized.id.to_string()).collect();
    let outlines = match bare.len() {
        0 => None,
        all if all == pieces.len() => Some("The outlines were".to_owned()),
        // Others have a sew line of their own.
        1 => Some(format!("The outline of {} was", bare.concat())),
        _ => Some(format!("The outlines of {} were", bare.join(", "))),
    };
    if let Some(outlines) = outlines {
        warn(
            &format!("{outlines} taken for seam lines, and no allowance is added"),
            "If the drawing shows cutting lines, leave it so; if it shows seam lines, give the allowances",
        );
    }
    if !cutting_told {
        warn(
            "The drawing does not tell how often a piece is cut and whether mirrored",
            "Set cloth, count and pairs of each piece before the lay",
        );
    }
    let (sure, unsure): (Vec<&Mates>, Vec<&Mates>) = mates.iter().partition(|mates| mates.taken);
    let remedy = "Walk each seam, and set those that are missing, before the lay";
    if sure.is_empty() {
        warn("The drawing does not tell what is sewn to what", remedy);
    } else {
        let what = format!(
            "The drawing does not tell what is sewn to what; {} seam(s) were proposed by equal lengths and notches",
            sure.len()
        );
        warn(&what, remedy);
    }
    for mates in unsure {
        let finding = Finding::new(
            Severity::Note,
            format!("{} ({:.0} of 100)", mates.words(), 100.0 * mates.confidence),
            "If that is so, add the seam to the pattern",
        );
        findings.push(finding.on(&mates.sides[0].piece));
    }
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

/// What a finding says, with the piece that it is about.
fn with_piece(finding: &Finding) -> String {
    match &finding.piece {
        Some(piece) => format!("{} (“{piece}”)", finding.what),
        None => finding.what.clone(),
    }
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
    fn sizes_of_files_are_what_their_names_do_not_share() {
        assert_eq!(shared_start(&["coat-84", "coat-88"]), 5);
        assert_eq!(shared_start(&["coat 84 back", "coat 84 front"]), 8);
        assert_eq!(shared_start(&["84", "88"]), 0);
        assert_eq!(shared_start(&["coat"]), 0);
    }
}
