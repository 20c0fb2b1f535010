//! Lines out of painted paths, each in its layers, within a budget.

use super::super::cut::Work;
use super::super::drawing::{Arrows, Look, Stroke, Words};
use super::error::PdfError;
use super::layers::Layers;
use super::page::{PageLayer, PageLine};
use super::state::{Path, Run, State};
use crate::geometry::Rect;
use std::collections::BTreeMap;

/// Most commands that are read: twenty times what a sheet of 200 000 curves has.
const MOST_COMMANDS: usize = 50_000_000;
/// Most lines; memory for them stays below 400 MB.
const MOST_LINES: usize = 1_000_000;
/// Most segments of lines.
const MOST_SEGMENTS: usize = 4_000_000;
/// Most forms that are drawn, each as often as it is.
const MOST_FORMS: usize = 200_000;
/// Most letters.
const MOST_LETTERS: usize = 4_000_000;
/// Most corners of clips that are no upright rectangles; memory for them stays below 300 MB.
const MOST_CLIP_POINTS: usize = 4_000_000;

/// Greys lighter than this cannot be told from paper.
const PAPER: u8 = 250;

/// What a file may still use. (Fan-out of forms, and paths without end, are ended by it.)
#[derive(Debug, Default)]
pub(super) struct Budget {
    commands: usize,
    lines: usize,
    segments: usize,
    forms: usize,
    letters: usize,
    clip_points: usize,
    /// What was spent on cutting lines at clips.
    pub(super) clip_work: Work,
}

fn spend(spent: &mut usize, count: usize, most: usize, what: &'static str) -> Result<(), PdfError> {
    *spent = spent.saturating_add(count);
    if *spent > most { Err(PdfError::TooMany { what, most }) } else { Ok(()) }
}

impl Budget {
    pub(super) fn command(&mut self) -> Result<(), PdfError> {
        spend(&mut self.commands, 1, MOST_COMMANDS, "drawing commands")
    }

    fn lines(&mut self, count: usize) -> Result<(), PdfError> {
        spend(&mut self.lines, count, MOST_LINES, "lines")
    }

    pub(super) fn segments(&mut self, count: usize) -> Result<(), PdfError> {
        spend(&mut self.segments, count, MOST_SEGMENTS, "parts of lines")
    }

    pub(super) fn form(&mut self) -> Result<(), PdfError> {
        spend(&mut self.forms, 1, MOST_FORMS, "repeated parts (forms)")
    }

    pub(super) fn letters(&mut self, count: usize) -> Result<(), PdfError> {
        spend(&mut self.letters, count, MOST_LETTERS, "letters")
    }

    /// How many more corners clips may have.
    pub(super) const fn clip_points_left(&self) -> usize {
        MOST_CLIP_POINTS.saturating_sub(self.clip_points)
    }

    pub(super) const fn clip_points(&mut self, count: usize) {
        self.clip_points = self.clip_points.saturating_add(count);
    }
}

/// What was drawn of a page so far.
pub(super) struct Drawn {
    frame: Rect,
    pub(super) layers: Vec<PageLayer>,
    index: BTreeMap<(usize, u32), usize>,
    /// The layers that what comes next is drawn in, the innermost last.
    open: Vec<Vec<usize>>,
    pub(super) lines: Vec<PageLine>,
    pub(super) words: Vec<(usize, Words)>,
    /// Lines with places that are none, or off any cloth.
    pub(super) absurd: usize,
    /// Lines outside of what the page shows.
    pub(super) outside: usize,
    /// White on white.
    pub(super) white: usize,
    /// Clips that are no upright rectangles and were followed by the box around them.
    pub(super) odd_clips: usize,
    pub(super) unnamed_letters: usize,
    /// Runs of letters that a clip hides.
    pub(super) clipped_words: usize,
}

impl Drawn {
    pub(super) fn new(frame: Rect) -> Self {
        Self {
            frame,
            layers: vec![PageLayer::default()],
            index: BTreeMap::new(),
            open: vec![vec![0]],
            lines: Vec::new(),
            words: Vec::new(),
            absurd: 0,
            outside: 0,
            white: 0,
            odd_clips: 0,
            unnamed_letters: 0,
            clipped_words: 0,
        }
    }

    /// The layers that what comes next belongs to.
    pub(super) fn layers_here(&self) -> Vec<usize> {
        self.open.last().cloned().unwrap_or_else(|| vec![0])
    }

    /// Enters layers; inside a layer that is open already, they are layers of it.
    pub(super) fn enter_layers(&mut self, objects: &[u32], layers: &Layers) {
        let around = self.layers_here();
        // What lies in several layers at once has no one layer around what is inside.
        let parent = if around.len() == 1 { around[0] } else { 0 };
        let entered = objects.iter().map(|object| self.layer(parent, *object, layers));
        let entered: Vec<usize> = entered.collect();
        self.open.push(entered);
    }

    fn layer(&mut self, parent: usize, object: u32, layers: &Layers) -> usize {
        // A layer inside itself is itself.
        let mut around = Some(parent);
        while let Some(at) = around {
            if self.layers[at].object == object {
                return at;
            }
            around = self.layers[at].parent;
        }
        if let Some(known) = self.index.get(&(parent, object)) {
            return *known;
        }
        let told = layers.get(object);
        self.layers.push(PageLayer {
            object,
            name: told.map(|layer| layer.name.clone()).filter(|name| !name.is_empty()),
            parent: Some(parent),
            hidden: told.is_some_and(|layer| layer.hidden),
        });
        self.index.insert((parent, object), self.layers.len() - 1);
        self.layers.len() - 1
    }

    pub(super) fn leave_layers(&mut self) {
        if self.open.len() > 1 {
            self.open.pop();
        }
    }

    pub(super) fn open_layers(&self) -> usize {
        self.open.len()
    }

    /// Leaves layers that a form did not leave itself.
    pub(super) fn leave_down_to(&mut self, open: usize) {
        self.open.truncate(open.max(1));
    }

    /// The lines of a painted path.
    pub(super) fn path(
        &mut self,
        path: &mut Path,
        state: &State,
        strokes: bool,
        fills: bool,
        budget: &mut Budget,
    ) -> Result<(), PdfError> {
        let runs = path.take(fills && !strokes);
        self.absurd += std::mem::take(&mut path.absurd);
        if runs.is_empty() {
            return Ok(());
        }
        let look = look_of(state, strokes, fills);
        let white =
            |colour: Option<[u8; 3]>| colour.is_none_or(|colour| colour.iter().all(|part| *part >= PAPER));
        if white(look.colour) && white(look.fill) {
            self.white += runs.len();
            return Ok(());
        }
        for run in runs {
            let layers = self.open.last().map_or(1, Vec::len);
            budget.lines(layers)?;
            self.line(run, &look, state, layers, budget)?;
        }
        Ok(())
    }

    fn line(
        &mut self,
        run: Run,
        look: &Look,
        state: &State,
        layers: usize,
        budget: &mut Budget,
    ) -> Result<(), PdfError> {
        let Run { curve, closed, bounds } = run;
        if apart(bounds, state.window) {
            self.outside += 1;
            return Ok(());
        }
        let whole = curve.segments().len();
        let stroke = Stroke {
            name: None,
            tags: String::new(),
            part: None,
            curve,
            closed,
            look: look.clone(),
            arrows: Arrows::default(),
        };
        let parts = state.clips.cut(stroke, budget).unwrap_or_else(|(stroke, untold)| {
            self.odd_clips += untold;
            vec![stroke]
        });
        self.outside += usize::from(parts.is_empty());
        // One line, and all its segments, were paid for.
        budget.lines(layers * parts.len().saturating_sub(1))?;
        let segments: usize = parts.iter().map(|part| part.curve.segments().len()).sum();
        budget.segments(segments.saturating_sub(whole))?;
        for part in parts {
            let bounds = if state.clips.is_empty() { bounds } else { part.curve.bounding_box() };
            if !apart(bounds, state.window) {
                self.place(part, (!state.window.contains_rect(bounds)).then_some(state.window));
            }
        }
        Ok(())
    }

    /// Puts a line into every layer that is open.
    fn place(&mut self, stroke: Stroke, window: Option<Rect>) {
        let Some((last, rest)) = self.open.last().and_then(|open| open.split_last()) else { return };
        for layer in rest {
            self.lines.push(PageLine { layer: *layer, stroke: stroke.clone(), window });
        }
        self.lines.push(PageLine { layer: *last, stroke, window });
    }

    /// What the page shows.
    pub(super) fn frame(&self) -> Rect {
        self.frame
    }
}

fn apart(one: Rect, two: Rect) -> bool {
    one.x1 < two.x0 || one.x0 > two.x1 || one.y1 < two.y0 || one.y0 > two.y1
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to what fits before the cast"
)]
fn at_least_one(amount: f64) -> u32 {
    if amount.is_finite() { amount.round().clamp(1.0, 1e6) as u32 } else { 1 }
}

fn look_of(state: &State, strokes: bool, fills: bool) -> Look {
    let scale = state.scale();
    // A list of nothing but zeros is a whole line.
    let dashed = strokes && state.dashes.iter().any(|dash| *dash * scale > 0.0);
    let dashes = state.dashes.iter().filter(|_| dashed);
    Look {
        colour: strokes.then_some(state.stroke.colour),
        width: if strokes { at_least_one(100.0 * state.width.abs() * scale) } else { 0 },
        dashes: dashes.map(|dash| at_least_one(10.0 * dash.abs() * scale)).collect(),
        fill: fills.then_some(state.fill.colour),
    }
}
