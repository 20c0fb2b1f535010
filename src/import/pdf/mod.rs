//! PDF files: large sheets, or sheets cut into pages.
//!
//! **Scale.** A unit is 1/72 inch (0.3528 mm), times the page's `UserUnit`; so a PDF always has a size. What was printed
//! into it at another scale shows at the test square, and [`Options::millimetres_per_unit`] mends it.
//!
//! **What is read.** Paths that are stroked or filled, under every transform, with colour, width and dashes; words with
//! their places; optional-content groups (layers), also those that are switched off, also on forms and memberships;
//! rotation and crop box. Lines are cut at clips of any shape, and what is only filled is closed along them (along upright
//! rectangles only where the file has one page: those of tiles are frames); words are left out where their place is
//! clipped away.
//! Locked files are opened with the empty password.
//!
//! **Why an own reader of commands.** The objects of the file (tables, compression, encryption) are read by
//! `hayro-syntax`. The interpreters that were tried leave out layers that are switched off and those of forms, and
//! lose the rest of a page at a bad word without a sign; here every word that is none is counted and told.
//!
//! **Limits.** Pictures, shadings, transparency, annotations and form fields are left out and told. Letters are
//! words, not lines. Lines that a program has drawn dash by dash are lines of their own.
//!
//! **Danger.** A small file may ask for any amount of time and memory, before a word of it is read. Callers
//! that face files of strangers read in a process of its own ([`child`]).
//!
//! Source: ISO 32000-1:2008, *PDF 1.7*; section numbers in this room are of it.

pub mod child;
mod clips;
mod cmap;
mod colour;
mod draw;
mod drawing;
mod encoding;
mod error;
mod font;
mod interpret;
mod layers;
mod lex;
mod limits;
mod number;
mod page;
mod shared;
mod state;
mod strings;
mod text;
mod text_commands;
mod widths;
mod wire;

pub use drawing::drawing_of_page;
pub(super) use drawing::groups_of;
pub use error::PdfError;
pub use page::{Page, PageLayer, PageLine};

use super::tiles::Tiles;
use super::{Drawing, Options};
use crate::finding::{Finding, Severity};
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;
use crate::geometry::{Affine, Rect, Vec2};
use draw::Drawn;
use hayro_syntax::object::{Array, Dict, Name};
use hayro_syntax::page::Rotation;
use hayro_syntax::{DecryptionError, LoadPdfError, Pdf};
use interpret::{Interpreter, Passed};
use layers::Layers;
use shared::Shared;

/// Largest file that is read, in bytes.
const LARGEST_FILE: usize = 512 * 1024 * 1024;

/// Most pages; a coat in A4 tiles has some sixty.
const MOST_PAGES: usize = 2000;

/// Objects that name each other are followed so far.
const MOST_NESTED: usize = 8;

/// Millimetres in a point: 72 to the inch (§8.3.2.3).
const MM_PER_POINT: f64 = 25.4 / 72.0;

/// What a person may say that the drawing is larger or smaller by.
const SCALES: std::ops::RangeInclusive<f64> = 0.01..=100.0;

/// A page that tells no size is A4, as viewers take it (from memory).
const A4_MM: (f64, f64) = (210.0, 297.0);

/// How far before its end a whole file has its end mark, in bytes (annex H, implementation note 18).
const END_MARK_WITHIN: usize = 1024;

/// Reads every page of a file, in this process. Pages come one by one, so that none waits for the next.
///
/// # Errors
/// [`PdfError`] when the file is no PDF, is locked, has no pages, or asks for more than any pattern. Pages that came
/// before are then worth nothing.
pub fn read_pages(bytes: &[u8], mut each: impl FnMut(Page)) -> Result<(), PdfError> {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(PdfError::Empty);
    }
    if bytes.len() > LARGEST_FILE {
        return Err(PdfError::TooLarge);
    }
    let pdf = Pdf::new(bytes.to_vec()).map_err(|error| match error {
        LoadPdfError::Decryption(DecryptionError::PasswordProtected) => PdfError::Locked,
        LoadPdfError::Decryption(_) => PdfError::UnknownLock,
        LoadPdfError::Invalid => PdfError::NoPages,
    })?;
    let pages = pdf.pages();
    if pages.is_empty() {
        return Err(PdfError::NoPages);
    }
    if pages.len() > MOST_PAGES {
        return Err(PdfError::TooMany { what: "pages", most: MOST_PAGES });
    }
    let ends = bytes[bytes.len().saturating_sub(END_MARK_WITHIN)..].windows(5).any(|mark| mark == b"%%EOF");
    let mut shared = Shared::new(Layers::of(&pdf)?);
    for (index, page) in pages.iter().enumerate() {
        let (mm_from_user, frame) = placed(page);
        let mut interpreter = Interpreter::new(&mut shared, mm_from_user, frame);
        let content = page.page_stream();
        interpreter.run(content.unwrap_or_default(), page.resources(), 0)?;
        let (drawn, passed) = interpreter.finish();
        let number = index + 1;
        let mut findings = Vec::new();
        if index == 0 && !ends {
            let what = "The file has no end mark (%%EOF); it may have been cut short";
            findings.push(Finding::new(
                Severity::Warning,
                what,
                "Count the pieces, or download the file again",
            ));
        }
        let has_content = page.raw().contains_key("Contents");
        tell(number, &drawn, &passed, has_content && content.is_none(), &mut findings);
        tell_annotations(number, page.raw(), &mut findings);
        let frame = drawn.frame();
        let Drawn { layers, lines, words, .. } = drawn;
        each(Page { number, frame, layers, lines, words, findings });
    }
    Ok(())
}

/// Words about what a page hides.
const OUTSIDE: &str = "outside of what";

/// The pages of a file.
pub(super) fn pages(bytes: &[u8], options: &Options) -> Result<Vec<Page>, PdfError> {
    match &options.pdf_reader {
        Some(program) => child::Reading::start(program, bytes.to_vec())?.wait(),
        None => {
            let mut pages = Vec::new();
            read_pages(bytes, |page| pages.push(page))?;
            Ok(pages)
        }
    }
}

/// How many times as large as in the file a person says that it is: a unit is a point, else.
pub(super) fn told_scale(options: &Options) -> f64 {
    options.millimetres_per_unit.map_or(1.0, |mm| mm / MM_PER_POINT)
}

/// The sheet that pages make, at the scale that a person may have given.
pub(super) fn assembled(
    tiles: &Tiles,
    options: &Options,
    findings: &mut Vec<Finding>,
) -> Result<Drawing, PdfError> {
    let scale = told_scale(options);
    if !SCALES.contains(&scale) {
        return Err(PdfError::BadScale(scale * MM_PER_POINT));
    }
    let pages = tiles.pages();
    if pages.is_empty() {
        return Err(PdfError::NoPages);
    }
    // Of a sheet that is cut into pages, each page hides most.
    let told = pages.iter().flat_map(|page| &page.findings);
    findings.extend(told.filter(|finding| pages.len() == 1 || !finding.what.contains(OUTSIDE)).cloned());
    let (drawing, said) = tiles.drawing();
    findings.extend(said);
    Ok(if options.millimetres_per_unit.is_some() { drawing.scaled(Vec2::new(scale, scale)) } else { drawing })
}

/// How a page lies on the table: page mm from the units of its commands, and the frame that shows.
fn placed(page: &hayro_syntax::page::Page<'_>) -> (Affine, Rect) {
    let unit =
        page.raw().get::<f64>("UserUnit").filter(|unit| (0.01..=75_000.0).contains(unit)).unwrap_or(1.0);
    let scale = unit * MM_PER_POINT;
    let shown = page.intersected_crop_box();
    let (mut width, mut height) = (shown.width() * scale, shown.height() * scale);
    let sane = |length: f64| length.is_finite() && length > 0.1 && length <= LARGEST_COORDINATE_MM;
    let mut corner = (-shown.x0, -shown.y0);
    if !(sane(width) && sane(height)) {
        (width, height) = A4_MM;
        corner = (0.0, 0.0);
    }
    let upright = Affine::scale(scale) * Affine::translate(corner);
    let (turned, width, height) = match page.rotation() {
        Rotation::None => (Affine::IDENTITY, width, height),
        Rotation::Horizontal => (Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, width]), height, width),
        Rotation::Flipped => (Affine::new([-1.0, 0.0, 0.0, -1.0, width, height]), width, height),
        Rotation::FlippedHorizontal => (Affine::new([0.0, 1.0, -1.0, 0.0, height, 0.0]), height, width),
    };
    (turned * upright, Rect::new(0.0, 0.0, width, height))
}

fn tell(number: usize, drawn: &Drawn, passed: &Passed, unread: bool, findings: &mut Vec<Finding>) {
    let mut say = |severity, what: String, remedy: &str| findings.push(Finding::new(severity, what, remedy));
    let printed = "Compare the page with its print; if a line is missing, print the file into a new PDF";
    if unread {
        say(Severity::Warning, format!("Page {number} could not be unpacked and is missing"), printed);
    }
    if passed.strays.count > 0 {
        let what = format!(
            "Page {number} may be incomplete: {} of its drawing commands could not be read (the first at byte {} of its commands)",
            passed.strays.count, passed.strays.first
        );
        say(Severity::Warning, what, printed);
    }
    if passed.unended {
        let what = format!("Page {number} may be incomplete: it ends in the middle of a line");
        say(Severity::Warning, what, printed);
    }
    if passed.unread_forms > 0 {
        let what =
            format!("{} part(s) of page {number} are missing or could not be unpacked", passed.unread_forms);
        say(Severity::Warning, what, printed);
    }
    if passed.deep_forms > 0 {
        let what =
            format!("{} part(s) of page {number} hold themselves and were left out", passed.deep_forms);
        say(Severity::Warning, what, printed);
    }
    if drawn.absurd > 0 {
        let what = format!(
            "{} line(s) of page {number} with places that are none, or off any cloth, were left out",
            drawn.absurd
        );
        say(Severity::Warning, what, printed);
    }
    if passed.pictures > 0 {
        let what =
            format!("{} picture(s) on page {number} were left out; a picture has no lines", passed.pictures);
        let nothing_else = drawn.lines.is_empty();
        let severity = if nothing_else { Severity::Warning } else { Severity::Note };
        say(severity, what, "If a picture shows pieces, the page was scanned: import it as a scan");
    }
    if passed.shadings > 0 {
        let what = format!("{} shading(s) on page {number} were left out", passed.shadings);
        say(Severity::Note, what, "Nothing to do, unless they show a piece");
    }
    if drawn.odd_clips > 0 {
        let what = format!(
            "{} clip(s) on page {number} are no upright rectangles and were followed by the box around them",
            drawn.odd_clips
        );
        say(Severity::Note, what, "If a line is longer than in print, cut it in the drawing");
    }
    if drawn.unnamed_letters > 0 {
        let what = format!(
            "{} letter(s) on page {number} have no name in their font and were left out",
            drawn.unnamed_letters
        );
        say(Severity::Note, what, "Name pieces and sizes by hand where words are missing");
    }
    if drawn.outside > 0 {
        let what = format!("{} line(s) {OUTSIDE} page {number} shows were left out", drawn.outside);
        say(Severity::Note, what, "Nothing to do, unless a line is missing");
    }
    if drawn.clipped_words > 0 {
        let what =
            format!("{} run(s) of letters {OUTSIDE} page {number} shows were left out", drawn.clipped_words);
        say(Severity::Note, what, "Nothing to do, unless a word is missing");
    }
    if drawn.white > 0 {
        let what = format!("{} white line(s) and filling(s) on page {number} were left out", drawn.white);
        say(Severity::Note, what, "Nothing to do, unless a line is missing");
    }
    let hidden: Vec<&str> = {
        let names =
            drawn.layers.iter().filter(|layer| layer.hidden).filter_map(|layer| layer.name.as_deref());
        names.take(10).collect()
    };
    if !hidden.is_empty() {
        let what = format!("Layers that are switched off in the file were read too: {}", hidden.join(", "));
        say(Severity::Note, what, "Leave out the sizes that are not wanted");
    }
    if drawn.lines.is_empty() && drawn.words.is_empty() && passed.pictures == 0 {
        say(
            Severity::Note,
            format!("Page {number} has nothing on it"),
            "If it should, print the file into a new PDF",
        );
    }
}

/// Notes, stamps and form fields; links and windows for notes show nothing.
fn tell_annotations(number: usize, page: &Dict<'_>, findings: &mut Vec<Finding>) {
    let Some(annotations) = page.get::<Array<'_>>("Annots") else { return };
    let silent = |of: &Dict<'_>| {
        of.get::<Name<'_>>("Subtype").is_some_and(|kind| matches!(&*kind, b"Link" | b"Popup" | b"Widget"))
    };
    let count = annotations.iter::<Dict<'_>>().take(MOST_PAGES).filter(|of| !silent(of)).count();
    if count > 0 {
        let what = format!("{count} note(s) or stamp(s) on page {number} were left out");
        findings.push(Finding::new(
            Severity::Note,
            what,
            "If they show lines, print the file into a new PDF",
        ));
    }
}
