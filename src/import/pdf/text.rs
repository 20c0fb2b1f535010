//! Words out of letters that are set one by one.
//!
//! Source: ISO 32000-1, §9.4. A program sets a word in one go, letter by letter, or with a step between every two;
//! letters that go on where the last ended, on the same line and in the same layer, are put together again.

use super::super::drawing::Words;
use super::font::Font;
use super::state::State;
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;
use crate::geometry::{Affine, Point, Vec2};

/// Height of a capital as part of the letters' size: about 0.7 in most faces (from memory).
const CAPITAL: f64 = 0.7;

/// A gap below this part of the size is none, up to [`SPACE`] a space; beyond it, other words begin.
const TOGETHER: f64 = 0.18;
/// See [`TOGETHER`].
const SPACE: f64 = 1.2;
/// Letters step back at most this part of the size.
const BACK: f64 = 0.35;
/// Furthest that letters of one line lie above each other, as part of the size.
const OFF_LINE: f64 = 0.2;

/// Most letters of one run of words.
const MOST_LETTERS: usize = 2000;

/// Letters where the next may go on.
struct Last {
    layer: usize,
    end: Point,
    /// Unit vector of the line.
    along: Vec2,
    size_mm: f64,
}

/// Puts letters together.
#[derive(Default)]
pub(super) struct Setter {
    /// Text space from the letters' own, at the next letter.
    matrix: Affine,
    line: Affine,
    last: Option<Last>,
    /// Letters that have no place on a cloth.
    pub(super) absurd: usize,
    /// Letters that the font does not name.
    pub(super) unnamed: usize,
}

impl Setter {
    pub(super) fn begin(&mut self) {
        self.set_matrix(Affine::IDENTITY);
    }

    pub(super) fn set_matrix(&mut self, matrix: Affine) {
        self.matrix = matrix;
        self.line = matrix;
    }

    pub(super) fn next_line(&mut self, x: f64, y: f64) {
        self.set_matrix(self.line * Affine::translate((x, y)));
    }

    /// A step between letters, in thousandths of the size, backwards.
    pub(super) fn step(&mut self, state: &State, back: f64) {
        let letters = &state.letters;
        self.matrix *= Affine::translate((-back * 1e-3 * letters.size * letters.stretch, 0.0));
    }

    /// Where the next letter stands, in page mm.
    pub(super) fn place(&self, state: &State) -> Point {
        state.mm_from_user * self.matrix * Point::new(0.0, state.letters.rise)
    }

    /// Nothing goes on where the last letter ended.
    pub(super) fn break_off(&mut self) {
        self.last = None;
    }

    /// Sets a text in a layer.
    pub(super) fn show(
        &mut self,
        state: &State,
        font: &Font,
        text: &[u8],
        layer: usize,
        words: &mut Vec<(usize, Words)>,
    ) {
        let letters = &state.letters;
        let mut set = String::new();
        let mm_from_text =
            |matrix: Affine| state.mm_from_user * matrix * Affine::translate((0.0, letters.rise));
        let from = mm_from_text(self.matrix);
        // Spaces before the first letter move it.
        let mut start = from * Point::ORIGIN;
        let mut end = start;
        for shown in font.show(text) {
            let word = if shown.is_space { letters.word_spacing } else { 0.0 };
            let width = (shown.width * letters.size + letters.spacing + word) * letters.stretch;
            let blank = shown.letters.chars().all(char::is_whitespace);
            if shown.letters.is_empty() {
                self.unnamed += 1;
            }
            if blank && set.trim().is_empty() {
                self.matrix *= Affine::translate((width, 0.0));
                start = mm_from_text(self.matrix) * Point::ORIGIN;
                end = start;
                set.extend(shown.letters.chars().take(1));
                continue;
            }
            set.push_str(&shown.letters);
            self.matrix *= Affine::translate((width, 0.0));
            // Spacing after the last letter is no part of it.
            let ink = shown.width * letters.size * letters.stretch - width;
            end = mm_from_text(self.matrix * Affine::translate((ink, 0.0))) * Point::ORIGIN;
        }
        let [.., c, d, _, _] = from.as_coeffs();
        let size_mm = letters.size.abs() * c.hypot(d);
        let along = vector(from, Vec2::new(letters.size.signum(), 0.0));
        let sane = |point: Point| {
            [point.x, point.y].into_iter().all(|x| x.is_finite() && x.abs() <= LARGEST_COORDINATE_MM)
        };
        if !(sane(start) && sane(end) && size_mm.is_finite()) {
            self.absurd += 1;
            self.last = None;
            return;
        }
        let (Some(along), true) = (along, size_mm > 0.0) else { return };
        if !set.trim().is_empty() {
            self.put(&set, Last { layer, end, along, size_mm }, start, words);
        }
    }

    /// Puts letters to those before them, or begins new words.
    fn put(&mut self, set: &str, next: Last, start: Point, words: &mut Vec<(usize, Words)>) {
        let goes_on = self.last.as_ref().filter(|last| last.layer == next.layer).and_then(|last| {
            let step = start - last.end;
            let (gap, off) = (step.dot(last.along) / next.size_mm, step.cross(last.along) / next.size_mm);
            let alike =
                (0.6..=1.6).contains(&(last.size_mm / next.size_mm)) && last.along.dot(next.along) > 0.99;
            (alike && off.abs() <= OFF_LINE && (-BACK..=SPACE).contains(&gap)).then_some(gap)
        });
        let before = words
            .last_mut()
            .filter(|(layer, words)| *layer == next.layer && words.words.len() < MOST_LETTERS);
        match (goes_on, before) {
            (Some(gap), Some((_, before))) => {
                let spaced =
                    before.words.ends_with(char::is_whitespace) || set.starts_with(char::is_whitespace);
                if gap > TOGETHER && !spaced {
                    before.words.push(' ');
                }
                before.words.push_str(set);
            }
            _ => {
                let height_mm = CAPITAL * next.size_mm;
                let (set, along) = (set.trim_start().to_owned(), next.along);
                words.push((next.layer, Words { words: set, at: start, height_mm, along }));
            }
        }
        self.last = Some(next);
    }

    /// Takes out double spaces and those at the ends.
    pub(super) fn finish(words: &mut Vec<(usize, Words)>) {
        for (_, words) in words.iter_mut() {
            words.words = words.words.split_whitespace().collect::<Vec<_>>().join(" ");
        }
        words.retain(|(_, words)| !words.words.is_empty());
    }
}

/// A direction under a transform, as a unit vector.
fn vector(transform: Affine, direction: Vec2) -> Option<Vec2> {
    let turned = transform * direction.to_point() - transform * Point::ORIGIN;
    let length = turned.hypot();
    (length.is_finite() && length > 1e-12).then(|| turned / length)
}
