//! The keys, written on the cloth in a corner of the light.

use super::{Action, FloorView, KEYS, KeyEntry};
use crate::geometry::{Affine, BezPath, Point, Rect, Vec2};
use crate::light::label_width_mm;
use crate::scene::{Item, Layer, Meaning, Scene, Shape};

/// Height of the words, in mm: what is read from standing height is at least so high.
const HEIGHT_MM: f64 = 12.0;
/// Distance between lines, in mm.
const LINE_MM: f64 = 19.0;
/// Space between columns and to the light's edge, in mm.
const SPACE_MM: f64 = 15.0;
/// Space between a key and what it does, in mm.
const GAP_MM: f64 = 8.0;
/// How many places are tried along and across the light.
const GRID: u32 = 29;

/// Adds the legend where it lies within the light and covers least of the pieces and of `others`, places that it
/// has to keep off too. `lit` are the corners of the light on the surface, in mm; what is switched off is written
/// faintly.
pub fn add_legend(scene: &mut Scene, others: &[Point], lit: &[Point; 4], view: &FloorView) {
    let angle = view.show.reading_angle;
    let reader_from_surface = Affine::rotate(-angle);
    let lit = lit.map(|corner| reader_from_surface * corner);
    let lines = lines(view);
    let mut taken = Taken::of(scene, reader_from_surface);
    taken.places.extend(others.iter().map(|&place| reader_from_surface * place));
    let blocks: Vec<Block> = (1..=4).map(|columns| Block::of(&lines, columns)).collect();
    let sizes: Vec<Vec2> = blocks.iter().map(Block::size).collect();
    let Some((chosen, whole)) = free_place(&taken, &lit, &sizes) else { return };
    let Some(block) = blocks.get(chosen) else { return };
    let mut left = whole.x0;
    for (column, size) in lines.chunks(block.rows).zip(&block.columns) {
        let mut foot = whole.y1 - HEIGHT_MM;
        for entry in column {
            let Some(entry) = entry else {
                foot -= LINE_MM;
                continue;
            };
            for (words, from) in [(entry.key, left), (entry.words, left + size.keys + GAP_MM)] {
                // Labels are placed by their middle.
                let at = Point::new(from + 0.5 * label_width_mm(words, HEIGHT_MM), foot);
                let shape = Shape::Label {
                    words: words.to_owned(),
                    at: reader_from_surface.inverse() * at,
                    height_mm: HEIGHT_MM,
                    angle,
                };
                scene.items.push(Item { meaning: entry.meaning, piece: None, shape });
            }
            foot -= LINE_MM;
        }
        left += size.whole() + SPACE_MM;
    }
}

/// Where a block of one of these sizes lies within the light (`lit`, in the reader's frame) and hides least: from the
/// corners inwards the first place that hides nothing, else the one that hides least. Answers which size, and where.
pub(super) fn free_place(taken: &Taken, lit: &[Point; 4], sizes: &[Vec2]) -> Option<(usize, Rect)> {
    let mut all: Vec<(usize, Rect)> = sizes
        .iter()
        .enumerate()
        .flat_map(|(index, &size)| places(size, lit).map(move |place| (index, place)))
        .collect();
    all.sort_by(|a, b| from_corner(lit, a.1).total_cmp(&from_corner(lit, b.1)));
    let mut best: Option<(usize, Rect, usize)> = None;
    for (index, place) in all {
        let least = best.as_ref().map_or(usize::MAX, |(.., least)| *least);
        let covered = taken.covered_by(place, least);
        if best.is_none() || covered < least {
            best = Some((index, place, covered));
        }
        if covered == 0 {
            break;
        }
    }
    best.map(|(index, place, _)| (index, place))
}

/// Where a block lies within the light, with space around.
fn places(size: Vec2, lit: &[Point; 4]) -> impl Iterator<Item = Rect> + use<'_> {
    let bounds = lit.iter().fold(Rect::from_points(lit[0], lit[0]), |all, corner| all.union_pt(*corner));
    let share = |step: u32| f64::from(step) / f64::from(GRID - 1);
    let steps = (0..GRID).flat_map(|row| (0..GRID).map(move |column| (column, row)));
    steps
        .map(move |(column, row)| {
            Point::new(bounds.x0 + share(column) * bounds.width(), bounds.y0 + share(row) * bounds.height())
        })
        .map(move |middle| Rect::from_center_size(middle, size.to_size()))
        .filter(|place| {
            let whole = place.inflate(SPACE_MM, SPACE_MM);
            corners(whole).iter().all(|&corner| is_lit(lit, corner))
        })
}

/// How far a block stands from the nearest corner of the light, corner to corner, in mm.
fn from_corner(lit: &[Point; 4], block: Rect) -> f64 {
    let pairs = lit.iter().flat_map(|of_light| corners(block).map(|of_block| of_light.distance(of_block)));
    pairs.fold(f64::INFINITY, f64::min)
}

fn corners(of: Rect) -> [Point; 4] {
    [(of.x0, of.y0), (of.x1, of.y0), (of.x1, of.y1), (of.x0, of.y1)].map(Point::from)
}

/// What the keys are for, in the order in which the legend has them, a free line between.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Group {
    /// What is to be done as things stand, and the panic keys.
    Now,
    /// From piece to piece and from stand to stand; the aim.
    Way,
    /// What lines are shown.
    Lines,
    /// How it looks.
    Look,
    /// What does nothing as things stand.
    Later,
}

impl Group {
    fn of(action: Action, view: &FloorView) -> Self {
        let when = |now: bool| if now { Self::Now } else { Self::Later };
        match action {
            Action::OnlyCuttingLines | Action::Dark => Self::Now,
            // A single copy is ticked; marks are moved while they are lit; what was refused is overruled.
            Action::Tick | Action::AllCopies => when(view.only.is_some()),
            Action::NextMark | Action::Nudge(..) => when(view.is_aiming()),
            Action::Overrule => when(view.moved.is_some()),
            Action::NextCopy | Action::PreviousCopy if view.only.is_some() => Self::Now,
            Action::Aiming if view.is_aiming() => Self::Now,
            Action::Reaim if view.moved.is_some() => Self::Now,
            Action::Toggle(Layer::Legend | Layer::Words) => Self::Look,
            Action::Toggle(Layer::Proof | Layer::ErrorMap) => Self::Way,
            Action::Toggle(_) => Self::Lines,
            Action::TurnWords | Action::Bold | Action::Wider | Action::Narrower | Action::NextLamp => {
                Self::Look
            }
            _ => Self::Way,
        }
    }
}

/// The lines of the legend by group, `None` for a free one.
fn lines(view: &FloorView) -> Vec<Option<Entry>> {
    let mut entries: Vec<(Group, Entry)> = KEYS
        .iter()
        .filter(|entry| entry.on_cloth)
        .map(|entry| (Group::of(entry.action, view), Entry::new(entry, view)))
        .collect();
    entries.sort_by_key(|(group, _)| *group);
    let mut lines = Vec::with_capacity(entries.len() + 4);
    let mut last = Group::Now;
    for (group, entry) in entries {
        if group != last {
            lines.push(None);
        }
        last = group;
        lines.push(Some(entry));
    }
    lines
}

/// A line of the legend.
#[derive(Debug, Clone, Copy)]
struct Entry {
    key: &'static str,
    words: &'static str,
    meaning: Meaning,
}

impl Entry {
    fn new(entry: &KeyEntry, view: &FloorView) -> Self {
        // The panic keys are read best while they are off.
        let is_layer = matches!(entry.action, Action::Toggle(_) | Action::Aiming);
        let is_off = is_layer && view.is_on(entry.action) == Some(false)
            || Group::of(entry.action, view) == Group::Later;
        Self {
            key: entry.key,
            // What stands in brackets is for reading at leisure, at the desk.
            words: entry.words.split(" (").next().unwrap_or(entry.words),
            meaning: if is_off { Meaning::Quiet } else { Meaning::Note },
        }
    }
}

/// What words must not hide, in the reader's frame.
pub(super) struct Taken {
    /// From below upwards.
    places: Vec<Point>,
    /// Outlines of pieces with the boxes around them.
    pieces: Vec<(Rect, Vec<Point>)>,
}

impl Taken {
    pub(super) fn of(scene: &Scene, reader_from_surface: Affine) -> Self {
        let mut taken = Self { places: Vec::new(), pieces: Vec::new() };
        for item in &scene.items {
            match &item.shape {
                Shape::Stroke(path) if covers(item.meaning) => {
                    let places = samples(path, reader_from_surface);
                    if matches!(item.meaning, Meaning::CuttingLine | Meaning::Caution) {
                        let around = places.iter().map(|place| Rect::from_points(*place, *place));
                        let around = around.reduce(|a, b| a.union(b)).unwrap_or_default();
                        taken.pieces.push((around, places.clone()));
                    }
                    taken.places.extend(places);
                }
                Shape::Label { words, at, height_mm, .. } => {
                    let half = 0.5 * label_width_mm(words, *height_mm);
                    let middle = reader_from_surface * *at;
                    let line = |up: f64| {
                        let (from, to) = (middle + Vec2::new(-half, up), middle + Vec2::new(half, up));
                        along(from, to)
                    };
                    taken.places.extend(line(0.0));
                    taken.places.extend(line(*height_mm));
                }
                Shape::Stroke(_) | Shape::Fill(_) => {}
            }
        }
        taken.places.sort_by(|a, b| a.y.total_cmp(&b.y));
        taken
    }

    /// How much a block would hide: lines and words, and as much again for cloth of a piece. As soon as it is as much as
    /// `least`, no more is counted.
    fn covered_by(&self, block: Rect, least: usize) -> usize {
        let from = self.places.partition_point(|place| place.y < block.y0);
        let level = self.places[from..].iter().take_while(|place| place.y < block.y1);
        let lines = level.filter(|place| block.contains(**place)).take(least).count();
        if lines >= least {
            return lines;
        }
        let shares = [0.0, 0.25, 0.5, 0.75, 1.0];
        let inside = shares
            .iter()
            .flat_map(|x| shares.iter().map(move |y| (x, y)))
            .map(|(x, y)| Point::new(block.x0 + x * block.width(), block.y0 + y * block.height()))
            .filter(|place| {
                self.pieces.iter().any(|(around, piece)| around.contains(*place) && is_inside(piece, *place))
            })
            .count();
        lines + 4 * inside
    }
}

/// Whether a place lies inside a closed polygon, counted by the chords that a ray to the right crosses.
fn is_inside(polygon: &[Point], place: Point) -> bool {
    let chords = polygon.iter().zip(polygon.iter().cycle().skip(1));
    let crossed = chords.filter(|(a, b)| {
        (a.y > place.y) != (b.y > place.y) && place.x < a.x + (place.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossed.count() % 2 == 1
}

/// Lines that words must not hide.
const fn covers(meaning: Meaning) -> bool {
    !matches!(meaning, Meaning::PrintNode | Meaning::ClothEdge | Meaning::OldHem)
}

/// Places on the way from one point to another, both ends included.
fn along(from: Point, to: Point) -> Vec<Point> {
    /// Places that stand for a line, in mm.
    const STEP_MM: f64 = 12.0;
    let steps = (from.distance(to) / STEP_MM).ceil().min(10_000.0);
    let mut places = vec![from];
    let mut step = 1.0;
    while step < steps {
        places.push(from.lerp(to, step / steps));
        step += 1.0;
    }
    places.push(to);
    places
}

fn samples(path: &BezPath, motion: Affine) -> Vec<Point> {
    let mut places: Vec<Point> = Vec::new();
    kurbo::flatten(motion * path.clone(), 1.0, |element| {
        let Some(to) = element.end_point() else { return };
        if let (Some(&from), kurbo::PathEl::LineTo(_)) = (places.last(), element) {
            places.extend(along(from, to).into_iter().skip(1));
        } else {
            places.push(to);
        }
    });
    places
}

/// Widths of a column, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Column {
    keys: f64,
    words: f64,
}

impl Column {
    fn of(lines: &[Option<Entry>]) -> Self {
        let widest = |pick: fn(&Entry) -> &'static str| {
            let widths = lines.iter().flatten().map(|line| label_width_mm(pick(line), HEIGHT_MM));
            widths.fold(0.0, f64::max)
        };
        Self { keys: widest(|line| line.key), words: widest(|line| line.words) }
    }

    fn whole(&self) -> f64 {
        self.keys + GAP_MM + self.words
    }
}

/// The legend as a block of columns, in the reader's frame.
#[derive(Debug, Clone)]
struct Block {
    rows: usize,
    columns: Vec<Column>,
}

impl Block {
    fn of(lines: &[Option<Entry>], columns: usize) -> Self {
        let rows = lines.len().div_ceil(columns).max(1);
        let columns = lines.chunks(rows).map(Column::of).collect();
        Self { rows, columns }
    }

    fn size(&self) -> Vec2 {
        let rows = u32::try_from(self.rows).map_or(0.0, f64::from);
        let columns = self.columns.iter().map(|column| column.whole() + SPACE_MM);
        Vec2::new(columns.sum::<f64>() - SPACE_MM, rows * LINE_MM)
    }
}

/// Whether a place lies within the light, a convex quadrilateral whichever way round.
fn is_lit(lit: &[Point; 4], place: Point) -> bool {
    let sides = lit.iter().zip(lit.iter().cycle().skip(1));
    let turns: Vec<f64> = sides.map(|(a, b)| (*b - *a).cross(place - *a)).collect();
    turns.iter().all(|turn| *turn >= 0.0) || turns.iter().all(|turn| *turn <= 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape as _;

    /// A keystone, as from a projector that leans.
    const LIT: [(f64, f64); 4] = [(-700.0, 400.0), (650.0, 420.0), (900.0, -500.0), (-900.0, -480.0)];

    fn extent(scene: &Scene) -> Vec<Point> {
        let corners = |item: &Item| match &item.shape {
            Shape::Label { words, at, angle, .. } => {
                let half = 0.5 * label_width_mm(words, HEIGHT_MM) * Vec2::from_angle(*angle);
                let up = HEIGHT_MM * Vec2::from_angle(*angle + std::f64::consts::FRAC_PI_2);
                vec![*at + half, *at - half, *at + half + up, *at - half + up]
            }
            _ => Vec::new(),
        };
        scene.items.iter().flat_map(corners).collect()
    }

    #[test]
    fn the_legend_lies_within_the_light_from_whichever_side_it_is_read() {
        let lit = LIT.map(Point::from);
        let mut view = FloorView::default();
        for _ in 0..4 {
            let mut scene = Scene::default();
            add_legend(&mut scene, &[], &lit, &view);
            assert_eq!(scene.items.len(), 2 * KEYS.iter().filter(|entry| entry.on_cloth).count());
            assert!(extent(&scene).iter().all(|&place| is_lit(&lit, place)));
            view.turn_words();
        }
    }

    #[test]
    fn the_legend_goes_where_no_piece_lies() {
        let lit = LIT.map(Point::from);
        let mut scene = Scene::default();
        let piece = Rect::new(-800.0, -480.0, 350.0, 400.0).to_path(0.1);
        scene.items.push(Item { meaning: Meaning::CuttingLine, piece: None, shape: Shape::Stroke(piece) });
        add_legend(&mut scene, &[], &lit, &FloorView::default());
        let words = scene.items.split_off(1);
        let places = extent(&Scene { items: words });
        assert!(places.iter().all(|place| place.x > 350.0), "{places:?}");
    }

    #[test]
    fn what_can_be_pressed_now_comes_first_and_what_does_nothing_last_and_faintly() {
        let keys = |view: &FloorView| -> Vec<(&str, Meaning)> {
            lines(view).into_iter().flatten().map(|entry| (entry.key, entry.meaning)).collect()
        };
        let place =
            |keys: &[(&str, Meaning)], sought: &str| keys.iter().position(|(key, _)| *key == sought).unwrap();
        let mut view = FloorView::default();
        let plain = keys(&view);
        assert_eq!((plain[0].0, plain[1].0), ("Space", "Esc"));
        for key in ["Enter", "A", "Tab", "Arrows", "U"] {
            let at = place(&plain, key);
            assert!(at >= plain.len() - 5 && plain[at].1 == Meaning::Quiet, "{key} does nothing now");
        }
        view.only = Some(0);
        view.toggle_aiming();
        view.moved = Some("it moved".to_owned());
        let busy = keys(&view);
        for key in ["Enter", "A", ".", "Tab", "Arrows", "U", "I", "M"] {
            let at = place(&busy, key);
            assert!(at < 11 && busy[at].1 == Meaning::Note, "{key} is wanted now");
        }
        assert_eq!(busy.len(), plain.len());
    }

    #[test]
    fn what_is_switched_off_is_written_faintly() {
        let mut view = FloorView::default();
        view.show.toggle(Layer::SeamLines);
        let mut scene = Scene::default();
        add_legend(&mut scene, &[], &LIT.map(Point::from), &view);
        let of = |sought: &str| {
            let found = scene
                .items
                .iter()
                .find(|item| matches!(&item.shape, Shape::Label { words, .. } if words.ends_with(sought)));
            found.unwrap().meaning
        };
        assert_eq!((of("seam lines"), of("cutting lines")), (Meaning::Quiet, Meaning::Note));
    }
}
