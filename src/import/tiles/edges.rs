//! Lines that end at the frame, and where they go on.
//!
//! A line that was cut at the right side of one page goes on at the same height of the next: on its left side, or, where
//! the pages overlap, further in. Each such end votes for an overlap; the overlap that most vote for is that of the
//! whole sheet, and with it every pair of pages is asked how many lines go on and how many do not.

use super::super::cut::cut_at;
use super::super::drawing::{Look, Stroke};
use super::super::pdf::Page;
use super::frame::Common;
use super::sheet;
use crate::geometry::tolerance::FLATTEN_COARSE_MM;
use crate::geometry::{Point, Rect, Vec2};
use std::collections::{BTreeMap, HashMap};

/// An end lies on the frame within this, in mm.
const ON_FRAME_MM: f64 = 0.1;
/// A line goes on within this of its end, in mm.
pub(super) const GOES_ON_MM: f64 = 0.6;
/// Largest overlap, in mm.
const LARGEST_OVERLAP_MM: f64 = 60.0;
/// Sine of the largest turn where a line goes on; a chord of a bow turns a little.
const TURN: f64 = 0.25;
/// Width of a vote, in mm.
const VOTE_MM: f64 = 0.2;
/// Ends of one side of a page that vote.
const MOST_VOTERS: usize = 12;
/// Side of the squares in which chords are looked up, in mm; twice the step at which a chord is put into them.
const SQUARE_MM: f64 = 4.0;

/// A side of the frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
    Bottom,
    Top,
}

impl Side {
    pub(super) const ALL: [Self; 4] = [Self::Left, Self::Right, Self::Bottom, Self::Top];

    fn is_upright(self) -> bool {
        matches!(self, Self::Left | Self::Right)
    }
}

/// An end of a line on a side.
#[derive(Debug, Clone)]
pub(super) struct End {
    pub(super) at: Point,
    /// Unit vector along the line.
    along: Vec2,
    look: usize,
}

/// A straight part of a line.
struct Chord {
    from: Point,
    to: Point,
    look: usize,
}

/// A page as its neighbours see it.
pub(super) struct Tile {
    chords: Vec<Chord>,
    /// Which chords run through a square.
    grid: HashMap<(i32, i32), Vec<usize>>,
    ends: [Vec<End>; 4],
}

#[expect(clippy::cast_possible_truncation, reason = "coordinates are below 100 m, far inside an i32")]
fn square(point: Point) -> (i32, i32) {
    ((point.x / SQUARE_MM).floor() as i32, (point.y / SQUARE_MM).floor() as i32)
}

impl Tile {
    fn put(&mut self, chord: Chord) {
        let index = self.chords.len();
        let mut along = 0.0;
        let length = chord.from.distance(chord.to);
        while along <= length + 0.5 * SQUARE_MM {
            let at = chord.from.lerp(chord.to, if length > 0.0 { (along / length).min(1.0) } else { 0.0 });
            let through = self.grid.entry(square(at)).or_default();
            if through.last() != Some(&index) {
                through.push(index);
            }
            along += 0.5 * SQUARE_MM;
        }
        self.chords.push(chord);
    }

    /// The chords of one look in a box and a little around it.
    fn near(&self, bounds: Rect, look: usize) -> Vec<&Chord> {
        let (low, high) =
            (square(Point::new(bounds.x0, bounds.y0)), square(Point::new(bounds.x1, bounds.y1)));
        let squares = (low.0 - 1..=high.0 + 1).flat_map(|x| (low.1 - 1..=high.1 + 1).map(move |y| (x, y)));
        let mut found: Vec<usize> =
            squares.filter_map(|square| self.grid.get(&square)).flatten().copied().collect();
        found.sort_unstable();
        found.dedup();
        found.into_iter().map(|index| &self.chords[index]).filter(|chord| chord.look == look).collect()
    }

    pub(super) fn ends(&self, side: Side) -> &[End] {
        &self.ends[side as usize]
    }
}

/// What is to be seen of a line on its page, inside the frame.
pub(super) fn shown(stroke: &Stroke, window: Option<Rect>, frame: Rect) -> Vec<Stroke> {
    let window = window.map_or(frame, |window| window.intersect(frame));
    cut_at(stroke, window)
}

/// The tiles of a sheet, in the order of their pages; `turns` says how often a page is turned to the left by a quarter.
pub(super) fn tiles_of(pages: &[Page], common: &Common, turns: impl Fn(usize) -> u8) -> Vec<Tile> {
    let mut looks: BTreeMap<Look, usize> = BTreeMap::new();
    let mut tiles = Vec::new();
    for (tile, kept) in common.tiles.iter().zip(&common.kept) {
        let turn = sheet::turned(turns(*tile), common.frame);
        let frame = sheet::moved(common.frame, turn);
        let mut made = Tile { chords: Vec::new(), grid: HashMap::new(), ends: [const { Vec::new() }; 4] };
        for line in kept.iter().map(|line| &pages[*tile].lines[*line]) {
            let next = looks.len();
            let look = *looks.entry(line.stroke.look.clone()).or_insert(next);
            for part in shown(&line.stroke, line.window, common.frame) {
                let curve = part.curve.transformed(turn);
                let points = curve.flatten(FLATTEN_COARSE_MM);
                for pair in points.windows(2) {
                    made.put(Chord { from: pair[0], to: pair[1], look });
                }
                if part.closed {
                    continue;
                }
                let ends = [(curve.start(), curve.start_tangent()), (curve.end(), curve.end_tangent())];
                for (at, along) in ends {
                    for side in Side::ALL {
                        if distance_to(at, side, frame) <= ON_FRAME_MM {
                            made.ends[side as usize].push(End { at, along, look });
                        }
                    }
                }
            }
        }
        tiles.push(made);
    }
    tiles
}

fn distance_to(point: Point, side: Side, frame: Rect) -> f64 {
    match side {
        Side::Left => (point.x - frame.x0).abs(),
        Side::Right => (point.x - frame.x1).abs(),
        Side::Bottom => (point.y - frame.y0).abs(),
        Side::Top => (point.y - frame.y1).abs(),
    }
}

/// How far inside the next page a line lies that ends on a side of this one, for each line that fits.
fn depths(end: &End, side: Side, next: &Tile, frame: Rect) -> Vec<f64> {
    // Turned so that the side is upright.
    let turned = |point: Point| if side.is_upright() { point } else { Point::new(point.y, point.x) };
    let at = turned(end.at);
    let inside = |x: f64| match side {
        Side::Right => x - frame.x0,
        Side::Left => frame.x1 - x,
        Side::Top => x - frame.y0,
        Side::Bottom => frame.y1 - x,
    };
    let mut found = Vec::new();
    let (x0, x1) = match side {
        Side::Right | Side::Top => (-GOES_ON_MM, LARGEST_OVERLAP_MM),
        Side::Left | Side::Bottom => (-LARGEST_OVERLAP_MM, GOES_ON_MM),
    };
    let opposite = match side {
        Side::Right => frame.x0,
        Side::Left => frame.x1,
        Side::Top => frame.y0,
        Side::Bottom => frame.y1,
    };
    let band =
        Rect::from_points(turned(Point::new(opposite + x0, at.y)), turned(Point::new(opposite + x1, at.y)));
    for chord in next.near(band, end.look) {
        let (from, to) = (turned(chord.from), turned(chord.to));
        let along = chord.to - chord.from;
        let length = along.hypot();
        let rise = to.y - from.y;
        // A line square to the side goes on at any depth and votes for none.
        if length <= 0.0 || rise.abs() < 0.05 * length || (along.cross(end.along) / length).abs() > TURN {
            continue;
        }
        let t = (at.y - from.y) / rise;
        let slack = ON_FRAME_MM / length;
        if (-slack..=1.0 + slack).contains(&t) {
            found.push(inside(from.x + t * (to.x - from.x)));
        }
    }
    found.retain(|depth| (-GOES_ON_MM..=LARGEST_OVERLAP_MM).contains(depth));
    found
}

/// So many ends of a side as are enough to vote, spread over all of them.
fn voters(ends: &[End]) -> impl Iterator<Item = &End> {
    ends.iter().step_by(ends.len().div_ceil(MOST_VOTERS).max(1))
}

/// The overlap of neighbours across upright sides (`true`) or level ones, by vote; 0 where none is told.
pub(super) fn overlap(tiles: &[Tile], frame: Rect, upright: bool) -> f64 {
    let mut votes: BTreeMap<i64, Vec<f64>> = BTreeMap::new();
    let sides = Side::ALL.into_iter().filter(|side| side.is_upright() == upright);
    for side in sides {
        for (index, tile) in tiles.iter().enumerate() {
            for (other, next) in tiles.iter().enumerate() {
                if index == other {
                    continue;
                }
                for depth in voters(tile.ends(side)).flat_map(|end| depths(end, side, next, frame)) {
                    #[expect(clippy::cast_possible_truncation, reason = "a depth of at most 60 mm in votes")]
                    let bin = (depth / VOTE_MM).round() as i64;
                    votes.entry(bin).or_default().push(depth);
                }
            }
        }
    }
    // Neighbouring bins together, so that no edge divides a vote.
    let near = |bin: i64| votes.range(bin - 1..=bin + 1).flat_map(|(_, depths)| depths.iter().copied());
    let best = votes.keys().copied().max_by_key(|bin| (near(*bin).count(), std::cmp::Reverse(*bin)));
    let Some(best) = best.filter(|bin| near(*bin).count() > 1) else { return 0.0 };
    let mut depths: Vec<f64> = near(best).collect();
    depths.sort_by(f64::total_cmp);
    let middle = depths[depths.len() / 2];
    if middle.abs() < VOTE_MM { 0.0 } else { middle }
}

/// What two pages side by side have to do with each other.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Fit {
    /// For each line that goes on: where on the first page, and how far off it goes on.
    pub(super) on: Vec<(Point, Vec2)>,
    /// Where lines end that do not go on, on the first page.
    pub(super) broken: Vec<Point>,
}

/// How two tiles fit when the second lies `offset` from the first, across a side of the first.
pub(super) fn fit(first: &Tile, second: &Tile, side: Side, offset: Vec2) -> Fit {
    let opposite = match side {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
        Side::Bottom => Side::Top,
        Side::Top => Side::Bottom,
    };
    let mut fit = Fit::default();
    for end in first.ends(side) {
        match goes_on(end, -offset, second) {
            Some(off) => fit.on.push((end.at, off)),
            None => fit.broken.push(end.at),
        }
    }
    for end in second.ends(opposite) {
        match goes_on(end, offset, first) {
            Some(off) => fit.on.push((end.at + offset, -off)),
            None => fit.broken.push(end.at + offset),
        }
    }
    fit
}

/// How far from an end, moved onto another page, a line lies that goes on there.
fn goes_on(end: &End, moved: Vec2, tile: &Tile) -> Option<Vec2> {
    let at = end.at + moved;
    let around = Rect::from_points(at, at).inflate(GOES_ON_MM, GOES_ON_MM);
    let near = tile.near(around, end.look).into_iter().filter_map(|chord| {
        let along = chord.to - chord.from;
        let length = along.hypot();
        if length <= 0.0 || (along.cross(end.along) / length).abs() > TURN {
            return None;
        }
        let t = ((at - chord.from).dot(along) / (length * length)).clamp(0.0, 1.0);
        let off = chord.from + t * along - at;
        (off.hypot() <= GOES_ON_MM).then_some(off)
    });
    near.min_by(|a, b| a.hypot2().total_cmp(&b.hypot2()))
}
