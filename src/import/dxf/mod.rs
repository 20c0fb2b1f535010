//! DXF drawings with the layers of ASTM D6673, as programs for cutting pieces exchange them.
//!
//! **What is read.** Text and binary files of any release: blocks and inserts (turned, mirrored, in rows), `LINE`,
//! `POLYLINE`, `LWPOLYLINE` with bulges, `ARC`, `CIRCLE`, `ELLIPSE`, `SPLINE`, `POINT`, `TEXT`, `MTEXT`. A block is a
//! piece; its words name it (`Piece Name:`), its size, how often it is cut and from what. Each layer says what its
//! lines are ([`LayerMap`]); lines on layers that the table does not name are kept as lines to be marked. A file
//! without a layer of outlines is read as a plain drawing, whose layers may be sizes, also where their numbers are those
//! of the table.
//!
//! **Why an own reader.** The pattern needs a dozen kinds of entity out of a hundred. A general reader that was tried
//! dropped the rest of a polyline after a bad number, in silence; here every number is checked before anything is
//! drawn, and an error has its line.
//!
//! **Scale.** The words `Units: METRIC` (mm) or `ENGLISH` (inches), else `$INSUNITS`; without either the unit is
//! asked for ([`Options::millimetres_per_unit`]). `$MEASUREMENT` says how a program draws hatches, and is not used.
//!
//! **Limits.** No hatches, dimensions, solids or pictures; nothing that does not lie in the plane; no rule files of
//! grading: each size must be drawn.
//!
//! Sources: ASTM D6673-10 (public excerpts; layers and keys from memory); *DXF Reference* of 2018 (from memory),
//! checked against files written by ezdxf 1.4.

mod by_layer;
mod draw;
mod error;
mod layers;
mod pairs;
mod sections;
mod shape;
mod spline;
mod words;

pub use error::{DxfError, Place};
pub use layers::{LayerMap, LayerUse};
pub(super) use pairs::is_binary;

use super::{Drawing, ImportError, Imported, Options, Unwatched, assemble};
use crate::finding::{Finding, Severity};
use draw::Laying;
use sections::Contents;

/// Largest file that is read, in bytes. A pattern in ten sizes has a tenth of this.
const LARGEST_FILE: usize = 64 * 1024 * 1024;

/// Scales that a person may give.
const SCALES: std::ops::RangeInclusive<f64> = 1e-6..=1e3;

/// Reads a DXF drawing into a pattern.
///
/// # Errors
/// [`ImportError`] when the file is no DXF, its unit is not told, something in it cannot be read, or no piece is
/// found. Nothing is half-loaded.
pub fn read(bytes: &[u8], options: &Options) -> Result<Imported, ImportError> {
    let mut findings = Vec::new();
    let drawing = drawing(bytes, options, &mut findings)?;
    assemble::pattern_of(vec![(None, drawing)], options, &Unwatched, findings)
}

/// The strokes, marks and words of a DXF drawing.
pub(super) fn drawing(
    bytes: &[u8],
    options: &Options,
    findings: &mut Vec<Finding>,
) -> Result<Drawing, DxfError> {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(DxfError::Empty);
    }
    if bytes.len() > LARGEST_FILE {
        return Err(DxfError::TooLarge);
    }
    let text = if is_binary(bytes) { None } else { Some(pairs::decoded(bytes)) };
    let pairs = match &text {
        Some(text) => pairs::of_text(text)?,
        None => pairs::of_bytes(bytes)?,
    };
    let contents = sections::contents_of(&pairs)?;
    if !contents.ends {
        findings.push(Finding::new(
            Severity::Warning,
            "The file has no end mark (EOF); it may have been cut short",
            "Count the pieces, or export the drawing again",
        ));
    }
    let scale = millimetres_per_unit(&contents, options, findings)?;
    let mut laying = draw::laid_out(&contents, &options.layers, scale)?;
    let sizes_told = laying.drawing.groups.iter().any(|group| group.size.is_some());
    if let Some(sample) = laying.sample_size.take().filter(|_| !sizes_told) {
        for group in laying.drawing.groups.iter_mut().skip(1) {
            group.size = Some(sample.clone());
        }
    }
    tell(&laying, findings);
    Ok(by_layer::sizes_apart(laying.drawing, options.join_mm))
}

/// Millimetres in the units of `$INSUNITS` (*DXF Reference*, header variables).
const INSERT_UNITS: [(i64, f64); 8] =
    [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0), (10, 914.4), (13, 0.001), (14, 100.0)];

fn millimetres_per_unit(
    contents: &Contents<'_, '_>,
    options: &Options,
    findings: &mut Vec<Finding>,
) -> Result<f64, DxfError> {
    if let Some(given) = options.millimetres_per_unit {
        if !SCALES.contains(&given) {
            return Err(DxfError::BadScale(given));
        }
        return Ok(given);
    }
    let in_header = contents.insert_units.and_then(|unit| {
        let found = INSERT_UNITS.iter().find(|(code, _)| *code == unit);
        found.map(|(_, mm)| *mm)
    });
    let (in_words, disagree) = draw::unit_in_words(contents);
    if let Some(at) = disagree {
        return Err(DxfError::Astray { at, what: "the words name another unit here than before".to_owned() });
    }
    match (in_words, in_header) {
        (Some((mm, word)), header) => {
            if let Some(other) = header.filter(|other| (other - mm).abs() > 1e-9) {
                findings.push(Finding::new(
                    Severity::Stop,
                    format!(
                        "The file tells two units: its words “Units: {word}”, a unit of {mm} mm, and its header ($INSUNITS) one of {other} mm; the words were followed"
                    ),
                    "Measure a line of known length; if it is wrong, give the millimetres in one unit",
                ));
            }
            Ok(mm)
        }
        (None, Some(mm)) => Ok(mm),
        (None, None) => Err(DxfError::NoUnit),
    }
}

fn tell(laying: &Laying<'_, '_, '_>, findings: &mut Vec<Finding>) {
    let passed = &laying.passed;
    let mut say = |severity, what: String, remedy: &str| findings.push(Finding::new(severity, what, remedy));
    let listed = |names: &std::collections::BTreeSet<String>| {
        let shown: Vec<&str> = names.iter().take(10).map(String::as_str).collect();
        shown.join(", ")
    };
    if !laying.sizes.is_empty() {
        let mut names: Vec<&str> = laying.sizes.iter().copied().collect();
        names.sort_by_key(|name| name.parse::<u32>().ok());
        let names = names.join(", ");
        say(
            Severity::Note,
            format!(
                "The layers {names} are called like sizes, and no block has an outline on layer 1: they were read as sizes, not as the kinds of lines of ASTM D6673"
            ),
            "If they are kinds of lines, say what a layer holds and import again (--layer 8=inner)",
        );
    }
    if passed.hidden > 0 {
        say(
            Severity::Note,
            format!("{} hidden part(s) of the drawing were left out", passed.hidden),
            "If a size or a piece is missing, show it in the drawing and import again",
        );
    }
    for (kind, count) in &passed.unread {
        say(
            Severity::Warning,
            format!("{count} part(s) of the kind {kind} were left out"),
            "If they show a part of a piece, turn them into lines in the drawing",
        );
    }
    if !passed.unknown_layers.is_empty() {
        say(
            Severity::Note,
            format!(
                "Lines on layers that the layer table does not name were kept as lines to be marked: {}",
                listed(&passed.unknown_layers)
            ),
            "If they are more than that, say what a layer holds and import again (--layer NAME=notch; NAME=unused leaves it out)",
        );
    }
    if !passed.again.is_empty() {
        say(
            Severity::Note,
            format!("Blocks that are there more than once were read once: {}", listed(&passed.again)),
            "Set how often these pieces are cut",
        );
    }
    if !passed.missing.is_empty() {
        say(
            Severity::Warning,
            format!(
                "Blocks that are inserted and not in the file were left out: {}",
                listed(&passed.missing)
            ),
            "If a piece is missing, export the drawing again with all its blocks",
        );
    }
    if passed.through_points > 0 {
        say(
            Severity::Warning,
            format!(
                "{} curve(s) are given only by points; between them, programs draw differently",
                passed.through_points
            ),
            "Compare these curves with the drawing, or export them as polylines",
        );
    }
}
