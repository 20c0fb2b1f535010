//! Where every page lies: the grid, moved as far as lines say so, for all pages together.

use super::edges::{Fit, Side, Tile, fit};
use super::order::Cells;
use crate::geometry::{Rect, Vec2};
use std::collections::BTreeMap;

/// Lines that go on within this of their ends say nothing against the grid, in mm: they are looked at as chords.
const GRID_MM: f64 = 0.08;

/// How much a page keeps to the grid, against a seam.
const KEEPS: f64 = 1e-6;

/// Pages touch within this, in mm.
const TOUCHES_MM: f64 = 1.0;

/// Rounds of relaxation; a seam's word has then gone through a sheet of some hundred pages.
const ROUNDS: usize = 400;

/// Two tiles beside each other, and how far the second lies from the first.
struct Pair {
    first: usize,
    second: usize,
    offset: Vec2,
    weight: f64,
}

/// The places of tiles by their cells: least squares over what the seams say, translations only. (A tile is never
/// stretched: what is printed at true size stays so.) `exact` says how the second of a pair lies where both draw the
/// same line.
pub(super) fn places(
    cells: &Cells,
    tiles: &[Tile],
    right: Vec2,
    up: Vec2,
    exact: impl Fn(usize, usize) -> Option<Vec2>,
) -> Vec<Option<Vec2>> {
    let on_grid: Vec<Option<Vec2>> = cells
        .iter()
        .map(|cell| cell.map(|(row, column)| f64::from(column) * right - f64::from(row) * up))
        .collect();
    let at: BTreeMap<(i32, i32), usize> =
        cells.iter().enumerate().filter_map(|(tile, cell)| cell.map(|cell| (cell, tile))).collect();
    let mut pairs = Vec::new();
    for (&(row, column), &first) in &at {
        for (side, beside, grid) in
            [(Side::Right, (row, column + 1), right), (Side::Bottom, (row + 1, column), -up)]
        {
            let Some(&second) = at.get(&beside) else { continue };
            let exactly =
                exact(first, second).filter(|offset| (*offset - grid).hypot() < 0.25 * grid.hypot());
            let told = exactly.map(|offset| (offset, 1.0));
            let told = told.or_else(|| by_lines(&fit(&tiles[first], &tiles[second], side, grid), grid));
            let (offset, weight) = told.unwrap_or((grid, 1e-3));
            pairs.push(Pair { first, second, offset, weight });
        }
    }
    let mut places = on_grid.clone();
    for _ in 0..ROUNDS {
        let mut furthest = 0.0_f64;
        for tile in 0..places.len() {
            let Some(own) = on_grid[tile] else { continue };
            let (mut sum, mut weights) = (KEEPS * own, KEEPS);
            for pair in &pairs {
                let wanted = if pair.first == tile {
                    places[pair.second].map(|other| other - pair.offset)
                } else if pair.second == tile {
                    places[pair.first].map(|other| other + pair.offset)
                } else {
                    None
                };
                if let Some(wanted) = wanted {
                    sum += pair.weight * wanted;
                    weights += pair.weight;
                }
            }
            let next = sum / weights;
            furthest = furthest.max(places[tile].map_or(0.0, |before| (next - before).hypot()));
            places[tile] = Some(next);
        }
        if furthest < 1e-7 {
            break;
        }
    }
    places
}

/// What lines that go on say: the grid, or how far off it the second page lies.
fn by_lines(fit: &Fit, grid: Vec2) -> Option<(Vec2, f64)> {
    if fit.on.is_empty() {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "a count of lines")]
    let count = fit.on.len() as f64;
    let off = fit.on.iter().map(|(_, off)| *off).fold(Vec2::ZERO, |sum, off| sum + off) / count;
    let offset = if off.hypot() <= GRID_MM { grid } else { grid - off };
    Some((offset, 0.1))
}

/// The gap between two boxes that stand beside each other and do not touch, in mm.
pub(super) fn gap(one: Rect, other: Rect) -> Option<f64> {
    let across = other.x0.max(one.x0) - other.x1.min(one.x1);
    let up = other.y0.max(one.y0) - other.y1.min(one.y1);
    let (level, above) = (-up / one.height().min(other.height()), -across / one.width().min(other.width()));
    let apart = |gap: f64| (gap > TOUCHES_MM).then_some(gap);
    if level > 0.5 { apart(across) } else { apart(up).filter(|_| above > 0.5) }
}

/// The side of one box at which another lies beside it, and how far they overlap there; none when they do not touch.
pub(super) fn beside(one: Rect, other: Rect) -> Option<(Side, f64)> {
    let shared = one.intersect(other);
    let apart = other.center() - one.center();
    let level = (other.y1.min(one.y1) - other.y0.max(one.y0)) / one.height().min(other.height());
    let above = (other.x1.min(one.x1) - other.x0.max(one.x0)) / one.width().min(other.width());
    let touches = |gap: f64| gap <= TOUCHES_MM;
    if level > 0.5 && above < 0.5 && touches(other.x0.max(one.x0) - other.x1.min(one.x1)) {
        return Some((if apart.x > 0.0 { Side::Right } else { Side::Left }, shared.width()));
    }
    if above > 0.5 && level < 0.5 && touches(other.y0.max(one.y0) - other.y1.min(one.y1)) {
        return Some((if apart.y > 0.0 { Side::Top } else { Side::Bottom }, shared.height()));
    }
    None
}
