//! What every format is turned into: strokes and words in their groups.

use super::corrections::Laid;
use super::placed::{direction, stretched};
use super::square::TestSquare;
use crate::geometry::{Affine, Curve, Point, Rect, Vec2};
use crate::pattern::Cutting;
use std::sync::Arc;

/// A drawing in millimetres, x to the right, y up, the lower left corner of its page at the origin.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// Its title, if it has one.
    pub title: Option<String>,
    /// The page, if there is one.
    pub page: Option<Rect>,
    /// The groups; the first is the drawing itself, and every other stands after its parent.
    pub groups: Vec<Group>,
    /// Small things of a picture, such as the ticks of a ruler: they are shown, and make no pieces.
    pub specks: Vec<Curve>,
    /// Its printed test squares, as they measure; they are no lines of it any more.
    pub test_squares: Vec<TestSquare>,
    /// How its pages lie and at what scale it is, as far as a person put that right.
    pub laid: Arc<Laid>,
}

impl Drawing {
    /// The same so many times as wide and as high; untouched where both are once.
    #[must_use]
    pub(super) fn grown(self, times: Vec2) -> Self {
        let once = |times: f64| (times - 1.0).abs() < f64::EPSILON;
        if once(times.x) && once(times.y) { self } else { self.scaled(times) }
    }

    /// The same so many times as wide and as high.
    #[must_use]
    pub(super) fn scaled(mut self, times: Vec2) -> Self {
        let larger = Affine::scale_non_uniform(times.x, times.y);
        for group in &mut self.groups {
            for stroke in &mut group.strokes {
                stroke.curve = stretched(&stroke.curve, larger);
            }
            for words in &mut group.words {
                words.at = larger * words.at;
                words.height_mm *= times.y;
                words.along = direction(larger, words.along);
            }
            group.spots.iter_mut().for_each(|spot| spot.at = larger * spot.at);
            group.turns.iter_mut().for_each(|turn| *turn = larger * *turn);
        }
        self.specks.iter_mut().for_each(|speck| *speck = stretched(speck, larger));
        self.page = self.page.map(|page| larger.transform_rect_bbox(page));
        for square in &mut self.test_squares {
            square.bounds = larger.transform_rect_bbox(square.bounds);
        }
        self
    }
}

/// Strokes and words that the file keeps together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Group {
    /// The name that a person gave it.
    pub name: Option<String>,
    /// Everything that the file calls it (name, id, class), for words like “grain”.
    pub tags: String,
    /// The group around it; none for the drawing itself.
    pub parent: Option<usize>,
    /// The size that it shows, where the file tells.
    pub size: Option<String>,
    /// From what and how often it is cut, where the file tells.
    pub cutting: Option<Cutting>,
    /// Places where its outline turns, where the file tells them apart from the points of a curve.
    pub turns: Vec<Point>,
    /// Its own lines.
    pub strokes: Vec<Stroke>,
    /// Its own marks that have a place and no line.
    pub spots: Vec<Spot>,
    /// Its own words.
    pub words: Vec<Words>,
}

impl Group {
    /// The same group without its lines.
    pub(super) fn without_strokes(&self) -> Self {
        Self {
            name: self.name.clone(),
            tags: self.tags.clone(),
            parent: self.parent,
            size: self.size.clone(),
            cutting: self.cutting.clone(),
            turns: self.turns.clone(),
            strokes: Vec::new(),
            spots: self.spots.clone(),
            words: self.words.clone(),
        }
    }
}

/// One line of the drawing, drawn without lifting the pen.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// The name that a person gave it.
    pub name: Option<String>,
    /// Everything that the file calls it.
    pub tags: String,
    /// What the file says that it is.
    pub part: Option<Part>,
    /// Its shape.
    pub curve: Curve,
    /// Whether it returns to its start.
    pub closed: bool,
    /// How it is drawn.
    pub look: Look,
    /// Its arrowheads.
    pub arrows: Arrows,
}

/// A mark at a place: a notch or a drill hole.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// What it is.
    pub part: Part,
    /// Everything that the file calls it.
    pub tags: String,
    /// Where.
    pub at: Point,
}

/// What a line or a mark is, in a format that tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// Where the piece is cut.
    Outline,
    /// Where the piece is sewn.
    SewLine,
    /// Meets its like on the mate.
    Notch,
    /// The direction of the warp.
    Grain,
    /// Marked through the cloth.
    Drill,
    /// The mirror line of a piece that is drawn by half.
    Fold,
    /// Cut out of the inside.
    CutOut,
    /// A stripe of the cloth lies here.
    Stripe,
    /// A bar of a plaid lies here.
    Plaid,
    /// Lengthened or shortened here.
    Balance,
    /// Marked and not cut.
    Inner,
}

/// How a line is drawn. Two lines that look alike stand next to each other in a legend.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Look {
    /// Red, green and blue.
    pub colour: Option<[u8; 3]>,
    /// Width of the pen, in hundredths of a millimetre; 0 where it is not told.
    pub width: u32,
    /// Dashes and gaps, in tenths of a millimetre; none for a whole line.
    pub dashes: Vec<u32>,
    /// Red, green and blue of its inside; none where it is not filled. A line that is only filled has no width.
    pub fill: Option<[u8; 3]>,
}

impl Look {
    /// Whether the line is dashed.
    #[must_use]
    pub fn is_dashed(&self) -> bool {
        !self.dashes.is_empty()
    }
}

/// Arrowheads of a stroke.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Arrows {
    /// One at its start.
    pub start: bool,
    /// One at its end.
    pub end: bool,
}

/// Words on the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// The words.
    pub words: String,
    /// Left end of the baseline.
    pub at: Point,
    /// Height of a capital in mm.
    pub height_mm: f64,
    /// Unit vector in which they run: their own left to right.
    pub along: Vec2,
}
