//! A drawing on the desk that is becoming a pattern: what was read, what was understood, what was put right.
//!
//! Reading runs on a thread of its own ([`Work`]), so that the desk stays alive; a change of the corrections begins it
//! again. Each correction is kept in the file beside the drawing at once.

mod take;
mod work;

use crate::document::DocumentError;
use crate::geometry::{Point, Rect};
use crate::import::corrections::{Source, path_beside};
use crate::import::{Correction, Corrections, Drawing, Imported, Options, Stroke};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use work::{Outcome, Work};

/// A corner counts before a line when it lies within this part of the reach.
const END_SHARE: f64 = 0.6;

/// A drawing that is becoming a pattern.
#[derive(Debug, Clone)]
pub struct Intake {
    paths: Vec<PathBuf>,
    /// The drawings as they are in their files.
    pub(super) sheets: Arc<Vec<Drawing>>,
    /// What was understood, or why nothing was.
    pub(super) understood: Option<Result<Arc<Imported>, String>>,
    pub(super) options: Options,
    sources: Vec<Source>,
    work: Option<Work>,
    /// The place on the sheet that was pointed to last.
    pub(super) place: Option<Point>,
    /// The place before it, where something needs two.
    pub(super) place_before: Option<Point>,
    /// The size that is shown, by its place.
    pub(super) size: usize,
    /// Counts what was shown: the same number is the same picture.
    number: u64,
}

impl Intake {
    /// Begins to read drawings. Corrections that lie beside the first are taken up.
    #[must_use]
    pub fn open(paths: Vec<PathBuf>) -> Self {
        // A PDF file is read by this program, called again, so that a harmful one harms nothing here.
        let options = Options { pdf_reader: std::env::current_exe().ok(), ..Options::default() };
        let work = Some(Work::begin(paths.clone(), options.clone(), true));
        Self {
            paths,
            sheets: Arc::default(),
            understood: None,
            options,
            sources: Vec::new(),
            work,
            place: None,
            place_before: None,
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

    /// Takes up what the thread has found; whether there is something new.
    pub(super) fn look(&mut self) -> bool {
        let Some(outcome) = self.work.as_ref().and_then(Work::outcome) else {
            return false;
        };
        self.work = None;
        self.number += 1;
        let Outcome { sheets, sources, corrections, imported } = outcome;
        if let Some(sheets) = sheets {
            self.sheets = Arc::new(sheets);
            self.sources = sources;
        }
        if let Some(corrections) = corrections {
            self.options.corrections = corrections;
        }
        self.understood = Some(imported);
        true
    }

    /// Ends the reading that is going on.
    pub(super) fn stop(&mut self) {
        if let Some(work) = &self.work {
            work.stop();
        }
    }

    /// Reads again with other options.
    pub(super) fn read_with(&mut self, options: Options) {
        self.stop();
        self.options = options;
        self.number += 1;
        self.work = Some(Work::begin(self.paths.clone(), self.options.clone(), false));
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

    fn strokes(&self) -> impl Iterator<Item = &Stroke> {
        self.sheets.iter().flat_map(|sheet| &sheet.groups).flat_map(|group| &group.strokes)
    }

    /// The corner or end of a line nearest to a place.
    fn end_near(&self, place: Point, reach_mm: f64) -> Option<Point> {
        let pieces = self.imported().into_iter().flat_map(|imported| &imported.pattern.pieces);
        let corners = pieces
            .flat_map(|sized| &sized.by_size)
            .flat_map(|piece| &piece.edges)
            .map(|edge| edge.curve.start());
        let open = self.strokes().filter(|stroke| !stroke.closed);
        let ends = open.flat_map(|stroke| [stroke.curve.start(), stroke.curve.end()]);
        let near = corners.chain(ends).filter(|end| end.distance(place) <= reach_mm);
        near.min_by(|a, b| a.distance(place).total_cmp(&b.distance(place)))
    }

    /// The place on a line nearest to a place.
    fn line_near(&self, place: Point, reach_mm: f64) -> Option<Point> {
        let near = self.strokes().filter_map(|stroke| {
            let around = stroke.curve.bounding_box().inflate(reach_mm, reach_mm);
            if !around.contains(place) {
                return None;
            }
            let (along, off) = stroke.curve.nearest(place);
            (off <= reach_mm).then(|| (off, stroke.curve.point_at(along)))
        });
        near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, on)| on)
    }

    pub(super) fn show_size(&mut self, size: usize) {
        self.size = size;
        self.number += 1;
    }

    pub(super) const fn number(&self) -> u64 {
        self.number
    }

    /// What all the lines lie in, in mm.
    pub(super) fn extent(&self) -> Option<Rect> {
        let boxes = self.strokes().map(|stroke| stroke.curve.bounding_box());
        boxes.reduce(|a, b| a.union(b))
    }

    /// The folder and the name, without its ending, of what is made of the drawing.
    fn stem(&self) -> (PathBuf, String) {
        let first = self.paths.first();
        let folder = first.and_then(|path| path.parent()).unwrap_or_else(|| Path::new("")).to_owned();
        let stem = first.and_then(|path| path.file_stem()).unwrap_or_default();
        (folder, stem.to_string_lossy().into_owned())
    }
}
