//! The assembled sheet: every page's part of it, cut in the middle of the overlaps and joined over the seams.

use super::super::drawing::{Drawing, Stroke};
use super::super::pdf::{PageLayer, groups_of};
use super::super::placed::direction;
use super::edges::Side;
use super::join::{Part, joined};
use super::place::beside;
use super::shared::are_copies;
use super::{Placement, Tiles};
use crate::geometry::{Affine, Point, Rect};
use std::collections::BTreeMap;

/// An end lies on a seam within this, in mm.
const ON_SEAM_MM: f64 = 0.05;
/// Copies of a line on two pages lie this close on each other on the sheet, in mm.
const COPY_MM: f64 = 0.1;

/// A box under a move and quarter turns.
pub(super) fn moved(bounds: Rect, sheet_from_page: Affine) -> Rect {
    let corner = |x: f64, y: f64| sheet_from_page * Point::new(x, y);
    Rect::from_points(corner(bounds.x0, bounds.y0), corner(bounds.x1, bounds.y1))
}

/// What of the sheet each used page shows: its frame, less half of what it shares with each neighbour; and the
/// sides that are seams.
pub(super) fn cells(tiles: &Tiles) -> Vec<Option<(Rect, [bool; 4])>> {
    let frames: Vec<Option<Rect>> =
        tiles.placements().iter().map(|place| place.used.then(|| tiles.frame_on_sheet(place))).collect();
    let cell = |index: usize| {
        let own = frames[index]?;
        let (mut cell, mut seams) = (own, [false; 4]);
        for other in
            frames.iter().enumerate().filter(|(other, _)| *other != index).filter_map(|(_, other)| *other)
        {
            let Some((side, overlap)) = beside(own, other) else { continue };
            seams[side as usize] = true;
            let half = 0.5 * overlap.max(0.0);
            match side {
                Side::Right => cell.x1 = cell.x1.min(own.x1 - half),
                Side::Left => cell.x0 = cell.x0.max(own.x0 + half),
                Side::Top => cell.y1 = cell.y1.min(own.y1 - half),
                Side::Bottom => cell.y0 = cell.y0.max(own.y0 + half),
            }
        }
        Some((cell, seams))
    };
    (0..frames.len()).map(cell).collect()
}

/// The layers of all pages together: the same object inside the same layer is the same.
struct Layers {
    all: Vec<PageLayer>,
    index: BTreeMap<(usize, u32, Option<String>), usize>,
}

impl Layers {
    fn new() -> Self {
        Self { all: vec![PageLayer::default()], index: BTreeMap::new() }
    }

    /// Where each layer of a page is among all.
    fn of(&mut self, layers: &[PageLayer]) -> Vec<usize> {
        let mut found: Vec<usize> = Vec::new();
        for layer in layers {
            let Some(parent) = layer.parent.map(|parent| found.get(parent).copied().unwrap_or(0)) else {
                found.push(0);
                continue;
            };
            let next = self.all.len();
            let known = *self.index.entry((parent, layer.object, layer.name.clone())).or_insert(next);
            if known == next {
                self.all.push(PageLayer { parent: Some(parent), ..layer.clone() });
            }
            found.push(known);
        }
        found
    }
}

/// A line that is drawn whole and shows only in part.
struct Clipped {
    tile: usize,
    layer: usize,
    stroke: Stroke,
    window: Rect,
}

/// The drawing of all used pages.
pub(super) fn drawing(tiles: &Tiles) -> Drawing {
    let mut layers = Layers::new();
    let mut parts: Vec<Part> = Vec::new();
    let mut clipped: Vec<Clipped> = Vec::new();
    let mut words = Vec::new();
    let cells = cells(tiles);
    let mut page: Option<Rect> = None;
    for (index, (place, cell)) in tiles.placements().iter().zip(&cells).enumerate() {
        let Some((cell, seams)) = cell else { continue };
        page = Some(page.map_or(*cell, |page| page.union(*cell)));
        let source = &tiles.pages()[place.page];
        let layer_of = layers.of(&source.layers);
        let sheet_from_page = tiles.sheet_from_page(place);
        for line in tiles.lines_of(place) {
            let layer = layer_of.get(line.layer).copied().unwrap_or(0);
            let curve = line.stroke.curve.transformed(sheet_from_page);
            let stroke = Stroke { curve, ..line.stroke.clone() };
            let window = line.window.map_or(*cell, |window| moved(window, sheet_from_page).intersect(*cell));
            if window.width() < 0.0 || window.height() < 0.0 {
                continue;
            }
            if line.window.is_some() && tiles.is_tile(place) {
                clipped.push(Clipped { tile: index, layer, stroke, window });
            } else {
                parts.extend(parts_of(index, layer, &stroke, window, *cell, *seams));
            }
        }
        for (layer, text) in tiles.words_of(place) {
            let at = sheet_from_page * text.at;
            if cell.contains(at) {
                let layer = layer_of.get(*layer).copied().unwrap_or(0);
                let along = direction(sheet_from_page, text.along);
                words.push((layer, super::super::Words { at, along, ..text.clone() }));
            }
        }
    }
    let (whole, rest) = copies(clipped);
    for clipped in rest {
        if let Some((cell, seams)) = &cells[clipped.tile] {
            let Clipped { tile, layer, stroke, window } = &clipped;
            parts.extend(parts_of(*tile, *layer, stroke, *window, *cell, *seams));
        }
    }
    let mut groups = groups_of(&layers.all);
    let lines = joined(parts).into_iter().chain(whole);
    for (layer, stroke) in lines {
        groups[layer].strokes.push(stroke);
    }
    for (layer, text) in words {
        groups[layer].words.push(text);
    }
    Drawing { page, groups, ..Drawing::default() }
}

fn parts_of(
    tile: usize,
    layer: usize,
    stroke: &Stroke,
    window: Rect,
    cell: Rect,
    seams: [bool; 4],
) -> Vec<Part> {
    let at_seam = |point: Point| {
        let off = [point.x - cell.x0, point.x - cell.x1, point.y - cell.y0, point.y - cell.y1];
        off.iter().zip(seams).any(|(off, seam)| seam && off.abs() <= ON_SEAM_MM)
    };
    super::super::cut::cut_at(stroke, window)
        .into_iter()
        .map(|stroke| {
            let ends = [stroke.curve.start(), stroke.curve.end()];
            let at_seam = if stroke.closed { [false; 2] } else { ends.map(at_seam) };
            Part { tile, layer, stroke, at_seam }
        })
        .collect()
}

/// Lines that several pages draw whole at the same place, once; and the others.
fn copies(clipped: Vec<Clipped>) -> (Vec<(usize, Stroke)>, Vec<Clipped>) {
    #[expect(clippy::cast_possible_truncation, reason = "coordinates are below 100 m, far inside an i64")]
    let square = |point: Point| ((point.x / 10.0).floor() as i64, (point.y / 10.0).floor() as i64);
    let mut grid: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (index, line) in clipped.iter().enumerate() {
        grid.entry(square(line.stroke.curve.start())).or_default().push(index);
    }
    let mut taken = vec![false; clipped.len()];
    let mut whole = Vec::new();
    for (index, line) in clipped.iter().enumerate() {
        if taken[index] {
            continue;
        }
        let start = line.stroke.curve.start();
        let (column, row) = square(start);
        let near = (column - 1..=column + 1).flat_map(|x| (row - 1..=row + 1).map(move |y| (x, y)));
        let same: Vec<usize> = near
            .filter_map(|key| grid.get(&key))
            .flatten()
            .copied()
            .filter(|other| {
                let two = &clipped[*other];
                *other != index
                    && two.tile != line.tile
                    && two.layer == line.layer
                    && two.stroke.curve.start().distance(start) <= COPY_MM
                    && are_copies(&line.stroke, &two.stroke)
            })
            .collect();
        if !same.is_empty() {
            whole.push((line.layer, line.stroke.clone()));
            taken[index] = true;
            for other in same {
                taken[other] = true;
            }
        }
    }
    let rest = clipped.into_iter().zip(taken).filter(|(_, taken)| !taken).map(|(line, _)| line);
    (whole, rest.collect())
}

/// Where a page lies and how it is turned.
pub(super) fn sheet_from_page(place: &Placement, frame: Rect) -> Affine {
    Affine::translate(place.at) * turned(place.quarter_turns, frame)
}

/// Quarter turns to the left about the middle of a frame.
pub(super) fn turned(quarter_turns: u8, frame: Rect) -> Affine {
    let turn = match quarter_turns % 4 {
        1 => Affine::new([0.0, 1.0, -1.0, 0.0, 0.0, 0.0]),
        2 => Affine::new([-1.0, 0.0, 0.0, -1.0, 0.0, 0.0]),
        3 => Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, 0.0]),
        _ => Affine::IDENTITY,
    };
    let middle = frame.center().to_vec2();
    Affine::translate(middle) * turn * Affine::translate(-middle)
}
