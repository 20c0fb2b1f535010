//! What every format is turned into: strokes and words in their groups.

use crate::geometry::{Curve, Point, Rect};

/// A drawing in millimetres, x to the right, y up, the lower left corner of its page at the origin.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// Its title, if it has one.
    pub title: Option<String>,
    /// The page, if there is one.
    pub page: Option<Rect>,
    /// The groups; the first is the drawing itself, and every other stands after its parent.
    pub groups: Vec<Group>,
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
    /// Its own lines.
    pub strokes: Vec<Stroke>,
    /// Its own words.
    pub words: Vec<Words>,
}

/// One line of the drawing, drawn without lifting the pen.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// The name that a person gave it.
    pub name: Option<String>,
    /// Everything that the file calls it.
    pub tags: String,
    /// Its shape.
    pub curve: Curve,
    /// Whether it returns to its start.
    pub closed: bool,
    /// Whether it is dashed.
    pub dashed: bool,
    /// Its arrowheads.
    pub arrows: Arrows,
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
}
