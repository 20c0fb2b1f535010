//! Frames around words, and tables: closed lines that are no pieces.
//!
//! Instructions, size charts and whole text documents draw upright boxes. A box is one of them when it is full of
//! words, or ruled like a table with words in its cells, and nothing on it is what only a piece has (a grainline, a
//! notch, how often it is cut). A bare rectangle without words stays a piece: pockets and bands are.

use super::super::drawing::{Drawing, Part, Stroke, Words};
use super::kinds::GroupKinds;
use super::label::Label;
use super::places::Owned;
use super::shapes::Arrow;
use super::{Candidate, Found};
use crate::finding::{Finding, Severity};
use crate::geometry::{Curve, Segment};

/// Sides lie along the axes within this, in mm.
const UPRIGHT_MM: f64 = 0.1;

/// A box of reading has so many words at least; the label of a piece has fewer.
const MANY_WORDS: usize = 25;

/// Words of a box of reading cover at least this part of it.
const COVERED: f64 = 0.05;

/// Width of a letter as part of the height of capitals, about, in most faces.
const LETTER: f64 = 0.85;

/// A rule of a table reaches over this part of it at least.
const ACROSS: f64 = 0.9;

/// A table has so many rules at least, of which one each way.
const RULES: usize = 3;

/// A drawing with more words than this is a text, when its pieces are bare rectangles.
const TEXT: usize = 120;

/// Whether a line has sides along the axes only.
fn upright<'a>(mut segments: impl Iterator<Item = &'a Segment>) -> bool {
    segments.all(|segment| match segment {
        Segment::Line(line) => (line.p1.x - line.p0.x).abs().min((line.p1.y - line.p0.y).abs()) <= UPRIGHT_MM,
        _ => false,
    })
}

/// What stands on an outline.
pub(super) struct Held<'a> {
    pub(super) drawing: &'a Drawing,
    pub(super) kinds: &'a GroupKinds,
    pub(super) owned: &'a Owned,
    pub(super) arrows: &'a [Arrow],
    pub(super) label: &'a Label,
}

impl Held<'_> {
    fn strokes(&self) -> impl Iterator<Item = (usize, &Stroke)> {
        self.owned.strokes.iter().map(|&(group, at)| (group, &self.drawing.groups[group].strokes[at]))
    }

    /// Whether something on it is what only a piece has.
    fn is_marked(&self) -> bool {
        let named = |(group, stroke): (usize, &Stroke)| {
            let part = self.kinds.of_stroke(group, stroke);
            matches!(part, Some(Part::Grain | Part::Notch | Part::Drill | Part::Fold | Part::Balance))
        };
        let points = |arrow: &Arrow| arrow.lines.iter().all(|line| self.owned.strokes.contains(line));
        let told = !self.label.cuttings.is_empty()
            || !self.label.fold_at.is_empty()
            || self.label.grain_at.is_some();
        told || !self.owned.spots.is_empty() || self.strokes().any(named) || self.arrows.iter().any(points)
    }

    /// The words inside; a group around a piece may hold others beside it.
    fn words_inside(&self, outline: &Candidate) -> Vec<&Words> {
        let words = self.owned.words.iter().map(|&(group, at)| &self.drawing.groups[group].words[at]);
        words.filter(|words| outline.polygon.contains(words.at)).collect()
    }
}

/// How many words, and how much they cover in mm².
fn covered_by(words: &[&Words]) -> (usize, f64) {
    words.iter().fold((0, 0.0), |(count, covered), words| {
        #[expect(clippy::cast_precision_loss, reason = "lines of words have some hundred letters")]
        let letters = words.words.chars().count() as f64;
        let own = LETTER * letters * words.height_mm * words.height_mm;
        (count + words.words.split_whitespace().count(), covered + own)
    })
}

/// Whether an outline is a box of words or a table.
pub(super) fn is_text_box(outline: &Candidate, held: &Held<'_>) -> bool {
    if !upright(outline.ring.segments().iter()) || held.is_marked() {
        return false;
    }
    let inside = held.words_inside(outline);
    let (words, covered) = covered_by(&inside);
    if words >= MANY_WORDS && covered >= COVERED * outline.polygon.area() {
        return true;
    }
    let bounds = outline.polygon.bounds;
    let (mut level, mut plumb) = (0_usize, 0_usize);
    for (_, stroke) in held.strokes().filter(|(_, stroke)| upright(stroke.curve.segments().iter())) {
        let own = stroke.curve.bounding_box();
        level += usize::from(own.height() <= UPRIGHT_MM && own.width() >= ACROSS * bounds.width());
        plumb += usize::from(own.width() <= UPRIGHT_MM && own.height() >= ACROSS * bounds.height());
    }
    let cells = (level + 1) * (plumb + 1);
    level > 0 && plumb > 0 && level + plumb >= RULES && 2 * inside.len() >= cells
}

/// Whether nothing about a piece says that it is one.
pub(super) fn is_bare(found: &Found, held: &Held<'_>) -> bool {
    let piece = &found.piece;
    let marked = !(piece.notches.is_empty() && piece.darts.is_empty() && piece.drill_holes.is_empty());
    let curves = || piece.edges.iter().map(|edge| &edge.curve).flat_map(Curve::segments);
    let told = found.cutting_told || found.number.is_some() || found.size.is_some();
    !told && !marked && piece.balance_lines.is_empty() && !held.is_marked() && upright(curves())
}

/// Says what was left out, and when what is left is most likely a text.
pub(super) fn tell(
    drawing: &Drawing,
    boxes: &[&Candidate],
    pieces: usize,
    bare: usize,
    findings: &mut Vec<Finding>,
) {
    let text = "This seems to be a text and no pattern";
    if let Some(first) = boxes.first() {
        let at = first.polygon.bounds.center();
        let what =
            format!("{} frame(s) around words and tables are no pieces and were left out", boxes.len());
        let remedy = "Nothing to do, unless one is a piece: then give it a grainline or say how it is cut";
        findings.push(Finding::new(Severity::Note, what, remedy).at(at));
        if pieces == 0 {
            let what = format!("{text}: its closed lines are frames around words, and tables");
            findings.push(Finding::new(Severity::Stop, what, "Choose the file with the pieces").at(at));
        }
    }
    let words = || drawing.groups.iter().flat_map(|group| &group.words);
    let count: usize = words().map(|words| words.words.split_whitespace().count()).sum();
    if pieces > 0 && bare == pieces && count >= TEXT {
        let what = format!("{text}: its {pieces} closed line(s) are plain rectangles among {count} words");
        let remedy = "Choose the file with the pieces; if the rectangles are pieces, draw their grainlines";
        findings.push(Finding::new(Severity::Stop, what, remedy));
    }
}
