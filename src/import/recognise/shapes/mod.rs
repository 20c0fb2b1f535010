//! Marks told by their shape, where nothing names them: arrows, ticks, triangles and diamonds, brackets, darts, pairs
//! of lines, small circles and crosses. What a name tells goes before.

mod arrow;
mod balance;
mod dart;
mod drill;
mod fold;
mod notch;

pub(super) use arrow::{Arrow, arrows_of};
pub(super) use fold::straight_edge;

use super::super::drawing::Stroke;
use super::chain::LineId;
use super::label::Label;
use crate::geometry::{Curve, Line, Point, Rect, Segment, Vec2};
use crate::pattern::{Edge, Piece};
use std::collections::BTreeSet;

/// A mark that was seen on a piece.
pub(super) struct Seen {
    /// The lines that it is drawn with.
    pub(super) lines: Vec<LineId>,
    pub(super) what: What,
    /// From 0, a guess, to 1.
    pub(super) confidence: f64,
}

/// What a mark is.
pub(super) enum What {
    /// On an edge (its place in the outline), so far along it.
    Notch {
        edge: usize,
        along: f64,
        double: bool,
    },
    Drill(Point),
    /// The edge at this place in the outline lies on the fold.
    Fold(usize),
    /// The ends of the mouth, on the outline, and the point inside.
    Dart {
        mouth: [Point; 2],
        apex: Point,
    },
    /// The line midway between a pair, or the only one.
    Balance(Line),
}

/// What stands beside the lines of a piece.
#[derive(Clone, Copy)]
pub(super) struct Beside<'a> {
    pub(super) label: &'a Label,
    /// The cutting line, where the outline is the seam line.
    pub(super) cutting: Option<&'a [Curve]>,
}

/// A line that nothing names, with its id.
pub(super) type Unnamed<'a> = (LineId, &'a Stroke);

/// Darts of a piece among lines that nothing names. They are looked for first, because their mouths are edges.
pub(super) fn darts_on(piece: &Piece, lines: &[Unnamed<'_>], beside: &Beside<'_>) -> Vec<Seen> {
    dart::darts(&Looked { piece, lines, label: beside.label, cutting: beside.cutting })
}

/// Edges of a piece that lie on the fold as brackets among its lines tell. Some lines may be `called` a fold.
pub(super) fn brackets_on(
    piece: &Piece,
    lines: &[Unnamed<'_>],
    beside: &Beside<'_>,
    called: &BTreeSet<LineId>,
) -> Vec<Seen> {
    let looked = Looked { piece, lines, label: beside.label, cutting: beside.cutting };
    fold::brackets(&looked, called)
}

/// Marks on a piece among lines that nothing names, darts and brackets aside.
pub(super) fn seen_on(piece: &Piece, lines: &[Unnamed<'_>], beside: &Beside<'_>) -> Vec<Seen> {
    let mut seen: Vec<Seen> = Vec::new();
    let mut taken: BTreeSet<LineId> = BTreeSet::new();
    type Finder = fn(&Looked<'_>) -> Vec<Seen>;
    const FINDERS: [Finder; 4] = [fold::by_words, balance::pairs, notch::notches, drill::drills];
    for find in FINDERS {
        let left: Vec<Unnamed<'_>> =
            lines.iter().filter(|(line, _)| !taken.contains(line)).copied().collect();
        for one in find(&Looked { piece, lines: &left, label: beside.label, cutting: beside.cutting }) {
            if one.lines.iter().all(|line| !taken.contains(line)) {
                taken.extend(&one.lines);
                seen.push(one);
            }
        }
    }
    seen
}

/// What a finder looks at.
struct Looked<'a> {
    piece: &'a Piece,
    lines: &'a [Unnamed<'a>],
    label: &'a Label,
    cutting: Option<&'a [Curve]>,
}

impl Looked<'_> {
    /// Edge, arc length along it and distance of the place on the outline nearest to a point.
    fn on_outline(&self, point: Point) -> Option<(usize, f64, f64)> {
        on_outline(&self.piece.edges, point)
    }

    /// Lines of which the file says nothing: a file that has notches and drill holes of its own says so.
    fn unsaid(&self) -> impl Iterator<Item = &Unnamed<'_>> {
        self.lines.iter().filter(|(_, stroke)| stroke.part.is_none())
    }

    /// Whether a point lies within `reach_mm` of the cutting line, where that is another.
    fn on_cutting_line(&self, point: Point, reach_mm: f64) -> bool {
        self.cutting.into_iter().flatten().any(|curve| {
            let around = curve.bounding_box().inflate(reach_mm, reach_mm);
            around.contains(point) && curve.nearest(point).1 <= reach_mm
        })
    }
}

/// Edge, arc length along it and distance of the place on an outline nearest to a point.
pub(super) fn on_outline(edges: &[Edge], point: Point) -> Option<(usize, f64, f64)> {
    let places = edges.iter().enumerate().map(|(index, edge)| {
        let (along, off) = edge.curve.nearest(point);
        (index, along, off)
    });
    places.min_by(|a, b| a.2.total_cmp(&b.2))
}

/// A drawn line whose chord is this part of its length is straight.
const STRAIGHT: f64 = 0.9999;

/// The stroke as a straight line, if it is one.
fn straight(stroke: &Stroke) -> Option<Line> {
    let line = Line::new(stroke.curve.start(), stroke.curve.end());
    let chord = (line.p1 - line.p0).hypot();
    (!stroke.closed && chord > 0.0 && chord >= STRAIGHT * stroke.curve.length()).then_some(line)
}

/// The corners of a stroke of straight lines, the last not repeated when it is closed; `None` where it bends.
fn corners(stroke: &Stroke) -> Option<Vec<Point>> {
    /// More corners no mark has.
    const MOST: usize = 16;
    let segments = stroke.curve.segments();
    if segments.len() > MOST || !segments.iter().all(|segment| matches!(segment, Segment::Line(_))) {
        return None;
    }
    let mut points = vec![stroke.curve.start()];
    points.extend(segments.iter().map(Segment::end));
    if stroke.closed {
        points.pop();
    }
    Some(points)
}

/// Whether a box is at most so many mm across, either way.
fn within(bounds: Rect, across_mm: f64) -> bool {
    bounds.width().max(bounds.height()) <= across_mm
}

/// The angle between two directions, whichever way they point, in radians from 0 to π/2.
fn between(one: Vec2, other: Vec2) -> f64 {
    one.cross(other).abs().atan2(one.dot(other).abs())
}
