//! A drawing on the desk that is becoming a pattern: what was read, what was understood, what was put right.
//!
//! Reading runs on a thread of its own ([`Work`]), so that the desk stays alive; a change of the corrections begins it
//! again. Each correction is kept in the file beside the drawing at once.

mod pages;
mod take;
mod wishes;
mod work;

pub(super) use pages::Pulled;

use crate::document::DocumentError;
use crate::finding::Finding;
use crate::geometry::{Length, Point, Rect, Vec2};
use crate::import::corrections::{Source, path_beside};
use crate::import::tiles::Seam;
use crate::import::{Correction, Corrections, Drawing, Imported, Options, Stroke};
use crate::pattern::Piece;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use work::{Known, Outcome, Work};

/// A corner counts before a line when it lies within this part of the reach.
const END_SHARE: f64 = 0.6;

/// A sheet that is so many times as large as before is looked at as it was.
const ALIKE: std::ops::RangeInclusive<f64> = 0.8..=1.25;

/// A drawing that is becoming a pattern.
#[derive(Debug, Clone)]
pub struct Intake {
    paths: Vec<PathBuf>,
    /// The drawings as they are in their files, their pages and scale put right.
    pub(super) sheets: Arc<Vec<Drawing>>,
    /// What was understood, or why nothing was.
    pub(super) understood: Option<Result<Arc<Imported>, String>>,
    /// What was said of the drawings before pieces were looked for.
    pub(super) said: Vec<Finding>,
    /// Whether a drawing tells no scale: it is shown, to be measured.
    pub(super) wants_scale: bool,
    pub(super) options: Options,
    /// Of each drawing, where its pages meet.
    seams: Arc<Vec<Vec<Seam>>>,
    sources: Vec<Source>,
    work: Option<Work>,
    /// Which of the drawings is on the board, from 0.
    pub(super) sheet: usize,
    /// The place on the sheet that was pointed to last.
    pub(super) place: Option<Point>,
    /// The place before it, where something needs two.
    pub(super) place_before: Option<Point>,
    /// Whether the board shows the pages, to be put to their places.
    pages_shown: bool,
    /// The page that was picked, from 0.
    page: Option<usize>,
    /// The page that is being dragged, and how far.
    pub(super) pulled: Option<Pulled>,
    /// Whether the last correction came from an arrow key: the next of its like goes on with it.
    nudging: bool,
    /// The size that is shown, by its place.
    pub(super) size: usize,
    /// Counts what was shown: the same number is the same picture.
    number: u64,
}

impl Intake {
    /// Begins to read drawings. Corrections that lie beside the first are taken up. A PDF file is read by a program of its
    /// own, so that a harmful one harms nothing here.
    #[must_use]
    pub fn open(paths: Vec<PathBuf>, pdf_reader: Option<PathBuf>) -> Self {
        let options = Options { pdf_reader, ..Options::default() };
        let work = Some(Work::begin(paths.clone(), options.clone(), true, Known::default()));
        Self {
            paths,
            sheets: Arc::default(),
            understood: None,
            said: Vec::new(),
            wants_scale: false,
            options,
            seams: Arc::default(),
            sources: Vec::new(),
            work,
            sheet: 0,
            place: None,
            place_before: None,
            pages_shown: false,
            page: None,
            pulled: None,
            nudging: false,
            size: 0,
            number: 0,
        }
    }

    /// The names of the files.
    #[must_use]
    pub fn name(&self) -> String {
        let names = self.paths.iter().map(|path| path.file_name().unwrap_or_default().to_string_lossy());
        names.collect::<Vec<_>>().join(", ")
    }

    /// What was understood, once it was.
    #[must_use]
    pub fn imported(&self) -> Option<&Imported> {
        self.understood.as_ref()?.as_ref().ok().map(AsRef::as_ref)
    }

    /// What is being done, while something is.
    #[must_use]
    pub fn doing(&self) -> Option<String> {
        self.work.as_ref().map(Work::words)
    }

    /// Takes up what the thread has found; whether the sheet is another, or of another size, than was looked at.
    pub(super) fn look(&mut self) -> bool {
        let Some(outcome) = self.work.as_ref().and_then(Work::outcome) else {
            return false;
        };
        self.work = None;
        self.number += 1;
        let before = self.bounds();
        let then = self.shown().map(|sheet| sheet.laid.sheet_from_pages());
        let Outcome { sheets, sources, corrections, imported, said, wants_scale, seams } = outcome;
        if let Some(sheets) = sheets {
            self.sheets = Arc::new(sheets);
            self.seams = Arc::new(seams);
            self.sources = sources;
        }
        if let Some(corrections) = corrections {
            self.options.corrections = corrections;
        }
        self.understood = Some(imported);
        self.said = said;
        self.wants_scale = wants_scale;
        // The places that were pointed to stay on their lines when the scale is set.
        if let Some((then, sheet)) = then.zip(self.shown()) {
            let now_from_then = sheet.laid.sheet_from_pages() * then.inverse();
            for place in [&mut self.place, &mut self.place_before].into_iter().flatten() {
                *place = now_from_then * *place;
            }
        }
        // A page that was moved by a hair must not change how she looks at its seam.
        let across = |bounds: Rect| bounds.width().hypot(bounds.height());
        let alike = before.zip(self.bounds()).map(|(before, now)| across(now) / across(before));
        !alike.is_some_and(|times| ALIKE.contains(&times))
    }

    /// Ends the reading that is going on.
    pub(super) fn stop(&mut self) {
        if let Some(work) = &self.work {
            work.stop();
        }
    }

    /// Reads again with other options.
    fn read_with(&mut self, options: Options) {
        self.stop();
        self.nudging = false;
        self.options = options;
        self.number += 1;
        let known = Known { sheets: Arc::clone(&self.sheets), sources: self.sources.clone() };
        self.work = Some(Work::begin(self.paths.clone(), self.options.clone(), false, known));
    }

    /// Adds a correction, keeps all of them beside the drawing, and reads again.
    ///
    /// # Errors
    /// [`DocumentError`] when they could not be kept; the correction holds all the same.
    pub(super) fn correct(&mut self, correction: Correction) -> Result<(), DocumentError> {
        let mut options = self.options.clone();
        if let Correction::SizesBy(_) = correction {
            options.corrections.retain(|other| !matches!(other, Correction::SizesBy(_)));
        }
        options.corrections.push(correction);
        self.read_with(options);
        self.keep()
    }

    /// Moves the page that is picked, in mm on the sheet. What several presses move is one correction.
    ///
    /// # Errors
    /// As [`Intake::correct`].
    pub(super) fn nudge(&mut self, by: Vec2) -> Result<(), DocumentError> {
        let Some(picked) = self.picked_page() else { return Ok(()) };
        let mut by = by;
        let last = self.options.corrections.last().filter(|_| self.nudging);
        if let Some(Correction::PageMoved { page, right, up, sheet }) = last
            && *page == picked + 1
            && *sheet == self.sheet
        {
            by += Vec2::new(right.mm(), up.mm());
            self.options.corrections.pop();
        }
        let kept = self.correct(self.page_moved(picked, by));
        self.nudging = true;
        kept
    }

    /// The correction that moves a page of the sheet by mm; to hundredths, since finer is no hand's.
    pub(super) fn page_moved(&self, page: usize, by: Vec2) -> Correction {
        let hundredths = |mm: f64| Length::from_mm((100.0 * mm).round() / 100.0);
        Correction::PageMoved {
            page: page + 1,
            right: hundredths(by.x),
            up: hundredths(by.y),
            sheet: self.sheet,
        }
    }

    /// Takes back the last correction.
    ///
    /// # Errors
    /// As [`Intake::correct`].
    pub(super) fn take_back(&mut self) -> Result<(), DocumentError> {
        let mut options = self.options.clone();
        if options.corrections.pop().is_none() {
            return Ok(());
        }
        self.read_with(options);
        self.keep()
    }

    fn keep(&self) -> Result<(), DocumentError> {
        let Some(first) = self.paths.first().filter(|_| !self.sources.is_empty()) else {
            return Ok(());
        };
        let corrections =
            Corrections { sources: self.sources.clone(), list: self.options.corrections.clone() };
        corrections.write(&path_beside(first))
    }

    /// Points to a place on the sheet: to the corner, the end of a line or the line that is within reach, if one is,
    /// so that what is kept is a place of the drawing and not of a hand.
    pub(super) fn point_to(&mut self, place: Point, reach_mm: f64) {
        let place = self
            .end_near(place, END_SHARE * reach_mm)
            .or_else(|| self.line_near(place, reach_mm))
            .unwrap_or(place);
        self.place_before = self.place.replace(place);
        self.number += 1;
    }

    /// The drawing on the board.
    pub(super) fn shown(&self) -> Option<&Drawing> {
        self.sheets.get(self.sheet)
    }

    fn strokes(&self) -> impl Iterator<Item = &Stroke> {
        self.shown().into_iter().flat_map(|sheet| &sheet.groups).flat_map(|group| &group.strokes)
    }

    /// The pieces that lie on the sheet on the board, each in the size that is looked at if that one is there.
    pub(super) fn pieces_shown(&self) -> impl Iterator<Item = &Piece> {
        let all = self.imported().into_iter().flat_map(|all| all.pattern.pieces.iter().zip(&all.sheets));
        all.filter_map(|(sized, sheets)| {
            let here = |size: &usize| sheets.get(*size) == Some(&self.sheet);
            let looked_at = Some(self.size).filter(here);
            let size = looked_at.or_else(|| (0..sized.by_size.len()).rev().find(here))?;
            sized.by_size.get(size).map(AsRef::as_ref)
        })
    }

    /// The corner or end of a line nearest to a place.
    fn end_near(&self, place: Point, reach_mm: f64) -> Option<Point> {
        let all = self.imported().into_iter().flat_map(|all| all.pattern.pieces.iter().zip(&all.sheets));
        let here =
            all.flat_map(|(sized, on)| sized.by_size.iter().zip(on).filter(|(_, on)| **on == self.sheet));
        let corners = here.flat_map(|(piece, _)| &piece.edges).map(|edge| edge.curve.start());
        let open = self.strokes().filter(|stroke| !stroke.closed);
        let ends = open.flat_map(|stroke| [stroke.curve.start(), stroke.curve.end()]);
        let near = corners.chain(ends).filter(|end| end.distance(place) <= reach_mm);
        near.min_by(|a, b| a.distance(place).total_cmp(&b.distance(place)))
    }

    /// The place on a line nearest to a place.
    fn line_near(&self, place: Point, reach_mm: f64) -> Option<Point> {
        let specks = self.shown().into_iter().flat_map(|sheet| &sheet.specks);
        let near = self.strokes().map(|stroke| &stroke.curve).chain(specks).filter_map(|curve| {
            let around = curve.bounding_box().inflate(reach_mm, reach_mm);
            if !around.contains(place) {
                return None;
            }
            let (along, off) = curve.nearest(place);
            (off <= reach_mm).then(|| (off, curve.point_at(along)))
        });
        near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, on)| on)
    }

    /// Shows a size, on the first sheet that has it.
    pub(super) fn show_size(&mut self, size: usize) {
        self.size = size;
        self.number += 1;
        let on = |all: &Imported| {
            let sheets: Vec<usize> = all.sheets.iter().filter_map(|on| on.get(size)).copied().collect();
            if sheets.contains(&self.sheet) { None } else { sheets.first().copied() }
        };
        if let Some(sheet) = self.imported().and_then(on) {
            self.show_sheet(sheet);
        }
    }

    /// Puts another of the drawings on the board; places on the one before are no places on it.
    pub(super) fn show_sheet(&mut self, sheet: usize) {
        if self.sheet == sheet {
            return;
        }
        self.sheet = sheet;
        (self.place, self.place_before) = (None, None);
        self.page = None;
        self.number += 1;
    }

    /// The names of the drawings, when there are several.
    pub(super) fn sheet_names(&self) -> Vec<String> {
        let names = self.paths.iter().map(|path| path.file_name().unwrap_or_default().to_string_lossy());
        if self.paths.len() > 1 { names.map(|name| name.into_owned()).collect() } else { Vec::new() }
    }

    pub(super) const fn number(&self) -> u64 {
        self.number
    }

    /// What all the lines of the sheet lie in, in mm; with the pages, where they are shown.
    #[must_use]
    pub fn bounds(&self) -> Option<Rect> {
        let boxes = self.strokes().map(|stroke| stroke.curve.bounding_box());
        boxes.chain(self.frames().map(|(_, frame)| frame)).reduce(|a, b| a.union(b))
    }

    /// The folder and the name, without its ending, of what is made of the drawing.
    fn stem(&self) -> (PathBuf, String) {
        let first = self.paths.first();
        let folder = first.and_then(|path| path.parent()).unwrap_or_else(|| Path::new("")).to_owned();
        let stem = first.and_then(|path| path.file_stem()).unwrap_or_default();
        (folder, stem.to_string_lossy().into_owned())
    }
}
