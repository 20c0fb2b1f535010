//! Which page lies in which row and column.
//!
//! Pages come row by row or column by column, from any corner, in so many columns; or their labels say so; or, where
//! neither is so, pages are put to each other whose lines go on. Each arrangement is asked how many lines go on across
//! its seams and how many do not, and the best is taken.

use super::edges::{Fit, Side, Tile, fit};
use crate::geometry::Vec2;
use std::collections::{BTreeMap, BTreeSet};

/// Row from above and column from the left, of each tile that has a place.
pub(super) type Cells = Vec<Option<(i32, i32)>>;

/// How pages fit, asked once for each pair.
pub(super) struct Fits<'a> {
    tiles: &'a [Tile],
    /// From a page to the one on its right, and to the one above, y up.
    right: Vec2,
    up: Vec2,
    known: BTreeMap<(usize, usize, bool), Fit>,
}

impl<'a> Fits<'a> {
    pub(super) fn new(tiles: &'a [Tile], right: Vec2, up: Vec2) -> Self {
        Self { tiles, right, up, known: BTreeMap::new() }
    }

    /// How the second fits on the right of the first, or below it.
    pub(super) fn of(&mut self, first: usize, second: usize, right: bool) -> &Fit {
        let (side, offset) = if right { (Side::Right, self.right) } else { (Side::Bottom, -self.up) };
        let tiles = self.tiles;
        self.known
            .entry((first, second, right))
            .or_insert_with(|| fit(&tiles[first], &tiles[second], side, offset))
    }
}

/// How good an arrangement is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Score {
    /// Lines that go on, less twice those that do not.
    pub(super) points: i64,
    /// Lines that go on.
    pub(super) on: i64,
}

fn count(length: usize) -> i64 {
    i64::try_from(length).unwrap_or(i64::MAX)
}

fn score(cells: &Cells, fits: &mut Fits<'_>) -> Score {
    let mut at: BTreeMap<(i32, i32), usize> = BTreeMap::new();
    for (tile, cell) in cells.iter().enumerate() {
        if let Some(cell) = cell {
            at.insert(*cell, tile);
        }
    }
    let (mut on, mut broken) = (0, 0);
    for (&(row, column), &tile) in &at {
        let sides = [(Side::Right, (row, column + 1)), (Side::Bottom, (row + 1, column))];
        for (side, beside) in sides {
            match at.get(&beside) {
                Some(next) => {
                    let fit = fits.of(tile, *next, side == Side::Right);
                    on += count(fit.on.len());
                    broken += count(fit.broken.len());
                }
                None => broken += count(fits.tiles[tile].ends(side).len()),
            }
        }
        for (side, beside) in [(Side::Left, (row, column - 1)), (Side::Top, (row - 1, column))] {
            if !at.contains_key(&beside) {
                broken += count(fits.tiles[tile].ends(side).len());
            }
        }
    }
    let unplaced = cells.iter().zip(fits.tiles).filter(|(cell, _)| cell.is_none());
    for (_, tile) in unplaced {
        broken += Side::ALL.iter().map(|side| count(tile.ends(*side).len())).sum::<i64>();
    }
    Score { points: on - 2 * broken, on }
}

/// The best arrangement, and how good it is.
pub(super) fn arranged(labels: &[Option<String>], fits: &mut Fits<'_>) -> (Cells, Score) {
    let mut tried: Vec<Cells> = Vec::new();
    let by_page: Vec<usize> = (0..fits.tiles.len()).collect();
    tried.extend(by_labels(labels));
    if let Some(numbered) = by_numbers(labels) {
        tried.extend(in_rows(&numbered));
    }
    tried.extend(in_rows(&by_page));
    tried.push(by_lines(fits));
    let mut best: Option<(Score, Cells)> = None;
    for cells in tried {
        let score = score(&cells, fits);
        if best.as_ref().is_none_or(|(known, _)| score > *known) {
            best = Some((score, cells));
        }
    }
    best.map_or_else(|| (Vec::new(), Score { points: 0, on: 0 }), |(score, cells)| (cells, score))
}

/// Pages in every number of columns and from every corner; `order` gives the place of each in the order.
fn in_rows(order: &[usize]) -> Vec<Cells> {
    let count = order.len();
    let mut tried = Vec::new();
    for columns in (1..=count).rev() {
        let rows = count.div_ceil(columns);
        // So many columns leave whole rows over.
        if rows * columns >= count + columns {
            continue;
        }
        for turned in 0..8_u8 {
            let cell = |place: &usize| {
                let (mut row, mut column) = (place / columns, place % columns);
                if turned & 1 != 0 {
                    column = columns - 1 - column;
                }
                if turned & 2 != 0 {
                    row = rows - 1 - row;
                }
                if turned & 4 != 0 {
                    (row, column) = (column, row);
                }
                Some((i32::try_from(row).ok()?, i32::try_from(column).ok()?))
            };
            tried.push(order.iter().map(cell).collect());
        }
    }
    tried
}

/// The place of each page by labels like `7` or `7/24`.
fn by_numbers(labels: &[Option<String>]) -> Option<Vec<usize>> {
    let number = |label: &Option<String>| {
        let digits = label.as_deref()?.split(|c: char| !c.is_ascii_digit()).find(|part| !part.is_empty())?;
        digits.parse::<usize>().ok()
    };
    let numbers: Vec<usize> = labels.iter().map(number).collect::<Option<_>>()?;
    let sorted: BTreeSet<usize> = numbers.iter().copied().collect();
    (sorted.len() == numbers.len())
        .then(|| numbers.iter().map(|number| sorted.range(..number).count()).collect())
}

/// Rows and columns by labels like `B3`, `2-3` or `row 2, column 3`.
fn by_labels(labels: &[Option<String>]) -> Vec<Cells> {
    let Some(pairs) = labels.iter().map(|label| pair_in(label.as_deref()?)).collect::<Option<Vec<_>>>()
    else {
        return Vec::new();
    };
    let distinct: BTreeSet<_> = pairs.iter().collect();
    if distinct.len() < pairs.len() {
        return Vec::new();
    }
    let turned = |turn: u8| {
        let cell = |pair: &(i32, i32)| {
            let (a, b) = if turn & 1 != 0 { (pair.1, pair.0) } else { *pair };
            Some((if turn & 2 != 0 { -a } else { a }, b))
        };
        pairs.iter().map(cell).collect()
    };
    (0..4).map(turned).collect()
}

/// Two numbers, or a letter and a number, in a label.
fn pair_in(label: &str) -> Option<(i32, i32)> {
    let numbers: Vec<i32> = label
        .split(|c: char| !c.is_ascii_digit())
        .filter(|part| !part.is_empty())
        .filter_map(|part| part.parse().ok())
        .collect();
    match numbers[..] {
        [row, column] if !label.contains('/') => Some((row, column)),
        [number] => {
            let mut letters = label.chars().filter(|c| c.is_ascii_alphabetic());
            let (letter, more) = (letters.next()?, letters.next());
            let row = i32::try_from(u32::from(letter.to_ascii_uppercase())).ok()? - 64;
            more.is_none().then_some((row, number))
        }
        _ => None,
    }
}

/// Pages put to each other whose lines go on, the surest first.
fn by_lines(fits: &mut Fits<'_>) -> Cells {
    let tiles = fits.tiles.len();
    let mut pairs = Vec::new();
    for first in 0..tiles {
        for second in (0..tiles).filter(|second| *second != first) {
            for right in [true, false] {
                let fit = fits.of(first, second, right);
                let points = count(fit.on.len()) - 2 * count(fit.broken.len());
                if points > 0 {
                    pairs.push((points, first, second, right));
                }
            }
        }
    }
    pairs.sort_by_key(|(points, first, second, right)| (std::cmp::Reverse(*points), *first, *second, *right));
    // Groups of pages that lie together, each page with its cell in its group.
    let mut group: Vec<usize> = (0..tiles).collect();
    let mut cells = vec![(0_i32, 0_i32); tiles];
    for (_, first, second, right) in pairs {
        let (one, two) = (group[first], group[second]);
        if one == two {
            continue;
        }
        let step = if right { (0, 1) } else { (1, 0) };
        let shift = (cells[first].0 + step.0 - cells[second].0, cells[first].1 + step.1 - cells[second].1);
        let taken: BTreeSet<_> =
            (0..tiles).filter(|tile| group[*tile] == one).map(|tile| cells[tile]).collect();
        let moved = |tile: usize| (cells[tile].0 + shift.0, cells[tile].1 + shift.1);
        if (0..tiles).any(|tile| group[tile] == two && taken.contains(&moved(tile))) {
            continue;
        }
        for tile in (0..tiles).filter(|tile| group[*tile] == two).collect::<Vec<_>>() {
            cells[tile] = (cells[tile].0 + shift.0, cells[tile].1 + shift.1);
            group[tile] = one;
        }
    }
    let size = |wanted: usize| group.iter().filter(|one| **one == wanted).count();
    let largest =
        (0..tiles).max_by_key(|tile| (size(group[*tile]), std::cmp::Reverse(*tile))).map(|tile| group[tile]);
    (0..tiles)
        .map(|tile| (Some(group[tile]) == largest && size(group[tile]) > 1).then_some(cells[tile]))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_tell_row_and_column_or_a_number() {
        assert_eq!(pair_in("B3"), Some((2, 3)));
        assert_eq!(pair_in("row 2, column 3"), Some((2, 3)));
        assert_eq!(pair_in("3/24"), None);
        let told = |labels: &[&str]| labels.iter().map(|label| Some((*label).to_owned())).collect::<Vec<_>>();
        assert_eq!(by_numbers(&told(&["3/24", "1/24", "2/24"])), Some(vec![2, 0, 1]));
        assert_eq!(by_numbers(&told(&["1", "1"])), None);
        assert_eq!(by_labels(&told(&["A1", "A2"])).len(), 4);
    }

    #[test]
    fn pages_are_tried_in_every_number_of_columns_and_from_every_corner() {
        let tried = in_rows(&[0, 1, 2, 3, 4, 5]);
        let cells = |cells: &[(i32, i32)]| cells.iter().copied().map(Some).collect::<Vec<_>>();
        assert!(tried.contains(&cells(&[(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2)])));
        assert!(tried.contains(&cells(&[(0, 2), (1, 2), (0, 1), (1, 1), (0, 0), (1, 0)])));
    }
}
