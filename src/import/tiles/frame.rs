//! What the pages of a cut sheet have in common: the frame along which they are trimmed, marks, labels.

use super::super::drawing::Stroke;
use super::super::pdf::Page;
use crate::geometry::{Point, Rect, Segment};
use std::collections::{BTreeMap, BTreeSet};

/// What is at the same place on this part of the pages belongs to the cutting, not to the pattern.
const MOST: f64 = 0.6;
/// The same for small marks at the frame, which stand only where a page has a neighbour.
const SOME: f64 = 0.3;
/// A line of a frame is at least this part of the page long.
const LONG: f64 = 0.4;
/// Places that differ by less are the same, in mm.
const SAME_MM: f64 = 0.25;
/// Largest mark at the frame, across, in mm.
const MARK_MM: f64 = 20.0;
/// A label is found within this of its place on other pages, in mm.
const LABEL_MM: f64 = 2.0;
/// Words of a page that are asked whether they are a label; a page of reading has none.
const MOST_ASKED: usize = 200;
/// Longest label, in letters.
const LABEL_LETTERS: usize = 16;

/// The pages that are tiles, and what they have in common.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Common {
    /// Where the pages are trimmed, in page mm.
    pub(super) frame: Rect,
    /// Whether the frame is drawn, or set by a clip; else it is the page.
    pub(super) told: bool,
    /// Which pages are tiles.
    pub(super) tiles: Vec<usize>,
    /// For each tile, which of its lines are no marks of the cutting.
    pub(super) kept: Vec<Vec<usize>>,
    /// For each tile, which of its words are no label.
    pub(super) words: Vec<Vec<usize>>,
    /// Each tile's label.
    pub(super) labels: Vec<Option<String>>,
}

#[expect(clippy::cast_possible_truncation, reason = "coordinates are below 100 m, far inside an i64")]
fn step(x: f64, mm: f64) -> i64 {
    (x / mm).round() as i64
}

fn steps(bounds: Rect) -> [i64; 4] {
    [bounds.x0, bounds.y0, bounds.x1, bounds.y1].map(|x| step(x, SAME_MM))
}

fn most_of(count: usize, part: f64) -> usize {
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a part of a count of pages"
    )]
    let most = (count as f64 * part).ceil() as usize;
    most.max(2)
}

/// What the pages have in common; none when no two are of one size.
pub(super) fn common_to(pages: &[Page]) -> Option<Common> {
    // Pages of one size, the most frequent.
    let mut by_size: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (index, page) in pages.iter().enumerate() {
        by_size
            .entry((step(page.frame.width(), 1.0), step(page.frame.height(), 1.0)))
            .or_default()
            .push(index);
    }
    let tiles = by_size.into_values().max_by_key(Vec::len).filter(|tiles| tiles.len() > 1)?;
    let paper = pages[tiles[0]].frame;
    let (drawn, with_frame) = drawn_frame(pages, &tiles, paper);
    let clipped = clip_frame(pages, &tiles);
    let frame = drawn.or(clipped).unwrap_or(paper);
    // A page without the frame that the others have is none of them: a cover, the instructions.
    let tiles = if drawn.is_some() { with_frame } else { tiles };
    if tiles.len() < 2 {
        return None;
    }
    let marks = marks(pages, &tiles, frame);
    let labels = labels(pages, &tiles);
    let told = |tile: usize| labels.get(&tile);
    Some(Common {
        frame,
        told: drawn.or(clipped).is_some(),
        kept: tiles
            .iter()
            .map(|tile| {
                let lines = pages[*tile].lines.iter().enumerate();
                let kept = lines.filter(|(_, line)| {
                    !marks.contains(&look_of(&line.stroke)) && !along_frame(&line.stroke, frame)
                });
                kept.map(|(index, _)| index).collect()
            })
            .collect(),
        words: tiles
            .iter()
            .map(|tile| (0..pages[*tile].words.len()).filter(|word| told(*tile) != Some(word)).collect())
            .collect(),
        labels: tiles
            .iter()
            .map(|tile| told(*tile).and_then(|word| pages[*tile].words.get(*word)))
            .map(|found| found.map(|(_, words)| words.words.clone()))
            .collect(),
        tiles,
    })
}

/// Long upright lines at the same place on most pages make the frame. Also the pages that have them.
fn drawn_frame(pages: &[Page], tiles: &[usize], paper: Rect) -> (Option<Rect>, Vec<usize>) {
    let mut upright: BTreeMap<i64, BTreeSet<usize>> = BTreeMap::new();
    let mut level: BTreeMap<i64, BTreeSet<usize>> = BTreeMap::new();
    for &tile in tiles {
        let segments = pages[tile].lines.iter().flat_map(|line| line.stroke.curve.segments());
        for segment in segments {
            let Segment::Line(line) = segment else { continue };
            let along = line.p1 - line.p0;
            if along.x.abs() < SAME_MM && along.y.abs() > LONG * paper.height() {
                upright.entry(step(line.p0.x, SAME_MM)).or_default().insert(tile);
            } else if along.y.abs() < SAME_MM && along.x.abs() > LONG * paper.width() {
                level.entry(step(line.p0.y, SAME_MM)).or_default().insert(tile);
            }
        }
    }
    let enough = most_of(tiles.len(), MOST);
    let outermost = |lines: &BTreeMap<i64, BTreeSet<usize>>, length: f64| {
        let mut common = lines.iter().filter(|(_, pages)| pages.len() >= enough);
        let first = common.next()?;
        let last = common.next_back()?;
        #[expect(clippy::cast_precision_loss, reason = "a count of steps of a page")]
        let (low, high) = (*first.0 as f64 * SAME_MM, *last.0 as f64 * SAME_MM);
        let pages: BTreeSet<usize> = first.1.intersection(last.1).copied().collect();
        (high - low > 0.5 * length).then_some((low, high, pages))
    };
    let found = outermost(&upright, paper.width()).zip(outermost(&level, paper.height()));
    let Some(((x0, x1, one), (y0, y1, two))) = found else { return (None, Vec::new()) };
    // The steps find the lines; the lines themselves say exactly where they are.
    let rough = Rect::new(x0, y0, x1, y1);
    let with_frame: Vec<usize> = one.intersection(&two).copied().collect();
    let exact = with_frame.first().map(|tile| exact(&pages[*tile], rough));
    (exact, with_frame)
}

/// A frame with the coordinates of the lines that make it.
fn exact(page: &Page, rough: Rect) -> Rect {
    let mut frame = rough;
    for segment in page.lines.iter().flat_map(|line| line.stroke.curve.segments()) {
        let Segment::Line(line) = segment else { continue };
        let along = line.p1 - line.p0;
        let near = |x: f64, side: f64| (x - side).abs() <= SAME_MM;
        if along.x.abs() < SAME_MM && along.y.abs() > LONG * rough.height() {
            for (side, found) in [(rough.x0, &mut frame.x0), (rough.x1, &mut frame.x1)] {
                if near(line.p0.x, side) {
                    *found = line.p0.x;
                }
            }
        } else if along.y.abs() < SAME_MM && along.x.abs() > LONG * rough.width() {
            for (side, found) in [(rough.y0, &mut frame.y0), (rough.y1, &mut frame.y1)] {
                if near(line.p0.y, side) {
                    *found = line.p0.y;
                }
            }
        }
    }
    frame
}

/// A clip that is the same on most pages that are clipped at all.
fn clip_frame(pages: &[Page], tiles: &[usize]) -> Option<Rect> {
    let mut windows: BTreeMap<[i64; 4], (BTreeSet<usize>, Rect)> = BTreeMap::new();
    let mut clipped = BTreeSet::new();
    for &tile in tiles {
        for window in pages[tile].lines.iter().filter_map(|line| line.window) {
            clipped.insert(tile);
            windows.entry(steps(window)).or_insert_with(|| (BTreeSet::new(), window)).0.insert(tile);
        }
    }
    let (on, window) = windows.into_values().max_by_key(|(on, _)| on.len())?;
    let large = window.area() > 0.25 * pages[tiles[0]].frame.area();
    (on.len() >= most_of(clipped.len(), MOST) && large).then_some(window)
}

/// What a line looks like, wherever its page lies: its place and its number of segments.
type Placed = ([i64; 4], usize);

fn look_of(stroke: &Stroke) -> Placed {
    (steps(stroke.curve.bounding_box()), stroke.curve.segments().len())
}

/// Lines that are at the same place on most pages, and small ones at the frame on some.
fn marks(pages: &[Page], tiles: &[usize], frame: Rect) -> BTreeSet<Placed> {
    let mut places: BTreeMap<Placed, (BTreeSet<usize>, bool)> = BTreeMap::new();
    for &tile in tiles {
        for line in &pages[tile].lines {
            let bounds = line.stroke.curve.bounding_box();
            let small = bounds.width().max(bounds.height()) <= MARK_MM && touches(bounds, frame);
            places.entry(look_of(&line.stroke)).or_insert_with(|| (BTreeSet::new(), small)).0.insert(tile);
        }
    }
    let enough = |(on, small): &(BTreeSet<usize>, bool)| {
        on.len() >= most_of(tiles.len(), if *small { SOME } else { MOST })
    };
    places.into_iter().filter(|(_, found)| enough(found)).map(|(place, _)| place).collect()
}

/// Whether a box lies over a side of the frame.
fn touches(bounds: Rect, frame: Rect) -> bool {
    let over = |low: f64, high: f64, side: f64| low - SAME_MM <= side && side <= high + SAME_MM;
    over(bounds.x0, bounds.x1, frame.x0)
        || over(bounds.x0, bounds.x1, frame.x1)
        || over(bounds.y0, bounds.y1, frame.y0)
        || over(bounds.y0, bounds.y1, frame.y1)
}

/// Whether a line runs on the frame.
fn along_frame(stroke: &Stroke, frame: Rect) -> bool {
    let on = |point: Point| {
        let sides = [point.x - frame.x0, point.x - frame.x1, point.y - frame.y0, point.y - frame.y1];
        sides.iter().any(|off| off.abs() <= SAME_MM)
    };
    let runs = |segment: &Segment| match segment {
        Segment::Line(_) => [0.0, 0.37, 0.71, 1.0].iter().all(|t| on(segment.eval(*t))),
        _ => false,
    };
    stroke.curve.segments().iter().all(runs)
}

/// The word of each tile that stands where the others have theirs.
fn labels(pages: &[Page], tiles: &[usize]) -> BTreeMap<usize, usize> {
    let candidate = |tile: usize, place: Point| {
        let words = pages[tile].words.iter().enumerate();
        let near = words.filter(|(_, (_, words))| {
            words.at.distance(place) <= LABEL_MM && words.words.chars().count() <= LABEL_LETTERS
        });
        near.min_by(|a, b| a.1.1.at.distance(place).total_cmp(&b.1.1.at.distance(place)))
            .map(|(index, _)| index)
    };
    let mut best: BTreeMap<usize, usize> = BTreeMap::new();
    let mut most_told = 0;
    for (_, words) in tiles.iter().take(3).flat_map(|tile| pages[*tile].words.iter().take(MOST_ASKED)) {
        let found: BTreeMap<usize, usize> =
            tiles.iter().filter_map(|tile| Some((*tile, candidate(*tile, words.at)?))).collect();
        let told: BTreeSet<&str> =
            found.iter().map(|(tile, word)| pages[*tile].words[*word].1.words.as_str()).collect();
        // A label tells pages apart; a maker's name does not.
        if told.len() > most_told && told.len() >= most_of(tiles.len(), MOST) {
            most_told = told.len();
            best = found;
        }
    }
    best
}
