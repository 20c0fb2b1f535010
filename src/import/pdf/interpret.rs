//! A page's commands, one after the other, become lines and words.
//!
//! Source: ISO 32000-1, annex A (commands), §8.4 to §8.6, §8.10 (forms), §9, §14.6 (marked content). Commands that draw
//! nothing that a pattern has (pictures, shadings) are counted; what is no command is told with its place.

use super::colour::{Colour, Space};
use super::draw::Drawn;
use super::error::PdfError;
use super::lex::{Commands, Operand, Strays};
use super::shared::Shared;
use super::state::{Path, State};
use super::text::Setter;
use crate::geometry::{Affine, Point, Rect};
use hayro_syntax::object::{Array, Dict, Number, Object, Stream};
use hayro_syntax::page::Resources;
use std::rc::Rc;

/// Forms inside each other deeper than this hold themselves.
const DEEPEST_FORM: usize = 24;

/// Most states that may be kept at once; more are passed over and counted. Viewers promise 28.
const MOST_STATES: usize = 2048;

/// What of a path is inside of it (§8.5.3.3).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rule {
    Windings,
    EvenOdd,
}

/// What was passed over on a page.
#[derive(Debug, Default)]
pub(super) struct Passed {
    pub(super) strays: Strays,
    pub(super) pictures: usize,
    pub(super) shadings: usize,
    pub(super) unread_forms: usize,
    pub(super) deep_forms: usize,
    pub(super) unended: bool,
}

/// A page that is being drawn.
pub(super) struct Interpreter<'s> {
    pub(super) shared: &'s mut Shared,
    pub(super) drawn: Drawn,
    pub(super) passed: Passed,
    pub(super) state: State,
    kept: Vec<State>,
    /// States that were not kept, because they were too many.
    unkept: usize,
    path: Path,
    pub(super) setter: Setter,
    /// The command by which the path is to narrow what shows.
    clips: Option<Rule>,
    /// For each open mark, whether it opened layers.
    marks: Vec<bool>,
}

/// The numbers before a command, when they are as many as it takes (of more, the last).
pub(super) fn numbers<const N: usize>(operands: &[Operand<'_>]) -> Option<[f64; N]> {
    let last = operands.get(operands.len().checked_sub(N)?..)?;
    let mut found = [0.0; N];
    for (number, operand) in found.iter_mut().zip(last) {
        *number = operand.number()?;
    }
    Some(found)
}

impl<'s> Interpreter<'s> {
    pub(super) fn new(shared: &'s mut Shared, mm_from_user: Affine, frame: Rect) -> Self {
        Self {
            shared,
            drawn: Drawn::new(frame),
            passed: Passed::default(),
            state: State::new(mm_from_user, frame),
            kept: Vec::new(),
            unkept: 0,
            path: Path::default(),
            setter: Setter::default(),
            clips: None,
            marks: Vec::new(),
        }
    }

    /// Draws a stream of commands.
    pub(super) fn run(
        &mut self,
        bytes: &[u8],
        resources: &Resources<'_>,
        depth: usize,
    ) -> Result<(), PdfError> {
        let mut commands = Commands::of(bytes);
        let mut operands = Vec::new();
        let mut lenient = 0_usize;
        loop {
            let at = commands.place();
            let Some(word) = commands.next(&mut operands) else { break };
            self.shared.budget.command()?;
            match word {
                b"BX" => lenient += 1,
                b"EX" => lenient = lenient.saturating_sub(1),
                b"BI" => {
                    commands.skip_picture();
                    self.passed.pictures += 1;
                }
                _ => {
                    let understood = self.command(word, &operands, resources, depth)?;
                    if understood.is_none() && lenient == 0 {
                        commands.stray(at);
                    }
                }
            }
        }
        // A form is told like the page that holds it.
        let strays = commands.strays;
        if self.passed.strays.count == 0 && strays.count > 0 {
            self.passed.strays.first = strays.first;
        }
        self.passed.strays.count += strays.count;
        Ok(())
    }

    /// One command; none when it is no command or lacks its values.
    fn command(
        &mut self,
        word: &[u8],
        operands: &[Operand<'_>],
        resources: &Resources<'_>,
        depth: usize,
    ) -> Result<Option<()>, PdfError> {
        match word {
            b"S" | b"s" | b"f" | b"F" | b"f*" | b"B" | b"B*" | b"b" | b"b*" | b"n" => {
                self.paint(word)?;
                return Ok(Some(()));
            }
            b"Do" => return self.object(operands, resources, depth),
            b"'" | b"\"" | b"Tj" | b"TJ" => return self.show(word, operands),
            _ => {}
        }
        let drawn = self.path_command(word, operands);
        Ok(drawn.or_else(|| self.state_command(word, operands, resources)))
    }

    fn at(&self, x: f64, y: f64) -> Point {
        self.state.mm_from_user * Point::new(x, y)
    }

    fn path_command(&mut self, word: &[u8], operands: &[Operand<'_>]) -> Option<()> {
        match word {
            b"m" => {
                let [x, y] = numbers(operands)?;
                self.path.move_to(self.at(x, y));
            }
            b"l" => {
                let [x, y] = numbers(operands)?;
                self.path.line_to(self.at(x, y));
            }
            b"c" => {
                let [a, b, c, d, x, y] = numbers(operands)?;
                self.path.curve_to(Some(self.at(a, b)), self.at(c, d), self.at(x, y));
            }
            b"v" => {
                let [c, d, x, y] = numbers(operands)?;
                self.path.curve_to(None, self.at(c, d), self.at(x, y));
            }
            b"y" => {
                let [a, b, x, y] = numbers(operands)?;
                self.path.curve_to(Some(self.at(a, b)), self.at(x, y), self.at(x, y));
            }
            b"h" => self.path.close(),
            b"re" => {
                let [x, y, width, height] = numbers(operands)?;
                let corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)];
                self.path.rectangle(corners.map(|(x, y)| self.at(x, y)));
            }
            b"W" => self.clips = Some(Rule::Windings),
            b"W*" => self.clips = Some(Rule::EvenOdd),
            _ => return None,
        }
        Some(())
    }

    fn paint(&mut self, word: &[u8]) -> Result<(), PdfError> {
        if matches!(word, b"s" | b"b" | b"b*") {
            self.path.close();
        }
        let strokes = matches!(word, b"S" | b"s" | b"B" | b"B*" | b"b" | b"b*");
        let fills = matches!(word, b"f" | b"F" | b"f*" | b"B" | b"B*" | b"b" | b"b*");
        if let Some(rule) = self.clips.take()
            && !self.state.narrow(&self.path, rule == Rule::EvenOdd, &mut self.shared.budget)
        {
            self.drawn.odd_clips += 1;
        }
        self.shared.budget.segments(self.path.segments())?;
        if strokes || fills {
            self.drawn.path(&mut self.path, &self.state, strokes, fills, &mut self.shared.budget)?;
        } else {
            self.path.take(false);
            self.drawn.absurd += std::mem::take(&mut self.path.absurd);
        }
        Ok(())
    }

    fn state_command(
        &mut self,
        word: &[u8],
        operands: &[Operand<'_>],
        resources: &Resources<'_>,
    ) -> Option<()> {
        match word {
            b"q" => {
                if self.kept.len() < MOST_STATES {
                    self.kept.push(self.state.clone());
                } else {
                    self.unkept += 1;
                }
            }
            b"Q" => {
                if self.unkept > 0 {
                    self.unkept -= 1;
                } else {
                    self.state = self.kept.pop()?;
                }
            }
            b"cm" => self.state.mm_from_user *= Affine::new(numbers::<6>(operands)?),
            b"w" => self.state.width = numbers::<1>(operands)?[0],
            b"d" => {
                let [.., Operand::Array(dashes), _] = operands else { return None };
                self.state.dashes = dashes.iter().filter_map(Operand::number).take(MOST_DASHES).collect();
            }
            b"gs" => self.settings(resources.ext_g_states.get::<Dict<'_>>(operands.last()?.name()?)?),
            b"J" | b"j" | b"M" | b"i" => {
                let [_] = numbers::<1>(operands)?;
            }
            b"ri" | b"MP" | b"DP" | b"d0" | b"d1" => {}
            b"sh" => self.passed.shadings += 1,
            b"BMC" | b"BDC" => self.mark(word, operands, resources),
            b"EMC" => {
                if self.marks.pop()? {
                    self.drawn.leave_layers();
                }
            }
            _ => {
                return self
                    .colour_command(word, operands, resources)
                    .or_else(|| self.text_command(word, operands, resources));
            }
        }
        Some(())
    }

    fn settings(&mut self, settings: Dict<'_>) {
        if let Some(width) = settings.get::<f64>("LW") {
            self.state.width = width;
        }
        let dashes = settings.get::<Array<'_>>("D").and_then(|pair| pair.iter::<Array<'_>>().next());
        if let Some(dashes) = dashes {
            self.state.dashes = dashes.iter::<Number>().map(|dash| dash.as_f64()).take(MOST_DASHES).collect();
        }
        let font = settings.get::<Array<'_>>("Font");
        if let Some(font) = font {
            let size = font.iter::<Object<'_>>().nth(1).and_then(Object::into_number);
            self.state.letters.size = size.map_or(0.0, |size| size.as_f64());
            self.state.letters.font = font.iter::<Dict<'_>>().next().map(|dict| self.shared.font(&dict));
        }
    }

    fn colour_command(
        &mut self,
        word: &[u8],
        operands: &[Operand<'_>],
        resources: &Resources<'_>,
    ) -> Option<()> {
        let strokes = word.first()?.is_ascii_uppercase();
        let given = |space: Space, numbers: &[f64]| {
            let colour = space.colour(numbers);
            (Some(space), colour)
        };
        let (space, colour): (Option<Space>, Colour) = match word {
            b"g" | b"G" => given(Space::Grey, &numbers::<1>(operands)?),
            b"rg" | b"RG" => given(Space::Rgb, &numbers::<3>(operands)?),
            b"k" | b"K" => given(Space::Cmyk, &numbers::<4>(operands)?),
            b"cs" | b"CS" => {
                let name = operands.last()?.name()?;
                let name = Object::Name(hayro_syntax::object::Name::new_unescaped(name));
                let space = Space::of(&name, &resources.color_spaces, 0).unwrap_or_default();
                let colour = space.first();
                (Some(space), colour)
            }
            b"sc" | b"scn" | b"SC" | b"SCN" => {
                let values: Vec<f64> = operands.iter().filter_map(Operand::number).collect();
                let paint = if strokes { &self.state.stroke } else { &self.state.fill };
                (None, paint.space.colour(&values))
            }
            _ => return None,
        };
        let paint = if strokes { &mut self.state.stroke } else { &mut self.state.fill };
        if let Some(space) = space {
            paint.space = Rc::new(space);
        }
        paint.colour = colour;
        Some(())
    }

    fn mark(&mut self, word: &[u8], operands: &[Operand<'_>], resources: &Resources<'_>) {
        let mut layers = Vec::new();
        if let (b"BDC", [.., Operand::Name(tag), Operand::Name(name)]) = (word, operands)
            && **tag == *b"OC"
            && let Some(dict) = resources.properties.get::<Dict<'_>>(&**name)
        {
            layers = self.shared.layers.marked_by(&dict);
        }
        self.marks.push(!layers.is_empty());
        if !layers.is_empty() {
            self.drawn.enter_layers(&layers, &self.shared.layers);
        }
    }

    /// A form or a picture.
    fn object(
        &mut self,
        operands: &[Operand<'_>],
        resources: &Resources<'_>,
        depth: usize,
    ) -> Result<Option<()>, PdfError> {
        let Some(name) = operands.last().and_then(Operand::name) else { return Ok(None) };
        let Some(stream) = resources.x_objects.get::<Stream<'_>>(name) else {
            self.passed.unread_forms += 1;
            return Ok(Some(()));
        };
        let dict = stream.dict();
        let subtype = dict.get::<hayro_syntax::object::Name<'_>>("Subtype");
        if subtype.is_some_and(|subtype| &*subtype == b"Image") {
            self.passed.pictures += 1;
            return Ok(Some(()));
        }
        if depth >= DEEPEST_FORM {
            self.passed.deep_forms += 1;
            return Ok(Some(()));
        }
        self.shared.budget.form()?;
        let Some(bytes) = self.shared.form(&stream) else {
            self.passed.unread_forms += 1;
            return Ok(Some(()));
        };
        let layers =
            dict.get::<Dict<'_>>("OC").map(|dict| self.shared.layers.marked_by(&dict)).unwrap_or_default();
        let own = dict.get::<Dict<'_>>("Resources").map(Resources::new);
        let matrix = dict.get::<[f64; 6]>("Matrix").map_or(Affine::IDENTITY, Affine::new);
        // A form leaves everything as it was.
        let state = self.state.clone();
        let (kept, unkept) = (std::mem::take(&mut self.kept), std::mem::take(&mut self.unkept));
        let marks = std::mem::take(&mut self.marks);
        let path = std::mem::take(&mut self.path);
        self.state.mm_from_user *= matrix;
        if let Some([x0, y0, x1, y1]) = dict.get::<[f64; 4]>("BBox") {
            let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|(x, y)| self.at(x, y));
            let bounds =
                Rect::from_points(corners[0], corners[2]).union(Rect::from_points(corners[1], corners[3]));
            let mut outline = Path::default();
            outline.rectangle(corners);
            if outline.absurd > 0 {
                // A box beyond any cloth may still be cut off on one side by a near one.
                if bounds.is_finite() {
                    self.state.window = self.state.window.intersect(bounds);
                }
            } else if !self.state.narrow(&outline, false, &mut self.shared.budget) {
                self.drawn.odd_clips += 1;
            }
        }
        if !layers.is_empty() {
            self.drawn.enter_layers(&layers, &self.shared.layers);
        }
        let open = self.drawn.open_layers();
        let ran = self.run(&bytes, own.as_ref().unwrap_or(resources), depth + 1);
        self.drawn.leave_down_to(open);
        if !layers.is_empty() {
            self.drawn.leave_layers();
        }
        self.drawn.absurd += self.path.absurd;
        (self.state, self.kept, self.unkept, self.marks, self.path) = (state, kept, unkept, marks, path);
        ran.map(Some)
    }

    /// What was drawn and what was passed over.
    pub(super) fn finish(mut self) -> (Drawn, Passed) {
        self.passed.unended = self.path.segments() > 0;
        self.drawn.absurd += self.path.absurd + self.setter.absurd;
        self.drawn.unnamed_letters = self.setter.unnamed;
        Setter::finish(&mut self.drawn.words);
        (self.drawn, self.passed)
    }
}

/// Most dashes and gaps that are kept of a line.
const MOST_DASHES: usize = 12;
