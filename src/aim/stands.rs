//! A piece larger than the picture, cut in several stands of the cloth.
//!
//! Along each side of the cloth L mm need ceil((L − o)/(I − o)) views of I mm that overlap by o; both ways of laying
//! the cloth, straight and a quarter turned, are counted, and the one with fewer stands is taken. The overlap that the
//! fewest stands leave is shared out evenly, so it is often greater than asked for. Of a convex outline's box the
//! corners may be empty: a stand whose part of the box holds nothing of the hull is left out.
//!
//! Cutting begins in the middle, and each later stand is joined to the earlier neighbour that is the fewest moves away
//! from the first: errors add up along that chain (`register`), and from the middle it is half as long.
//!
//! Cloth and surface in mm, y up. The outline is plain geometry here: one piece, or a whole lay.
//! Source: common practice for cutting in steps.

use super::crosses::propose;
use super::hull::{area, hull, shared};
use super::motion::Motion;
use super::stand_error::StandError;
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;
use crate::geometry::{Point, Rect};
use std::f64::consts::FRAC_PI_2;

/// Least overlap of two neighbouring stands, in mm: room for the arms of a cross (common practice).
pub const OVERLAP_MM: f64 = 60.0;
/// Most stands for one cloth: a bed cover under a small picture has some thirty.
const STANDS_MAX: usize = 200;
/// Rounding that does not ask for one more stand, in parts of a stand.
const ROUNDING: f64 = 1e-9;

/// What is to be cut, and with what light.
#[derive(Debug, Clone, Copy)]
pub struct Ground<'a> {
    /// Points on the cloth that have to be lit, mm: the corners of a box, or a whole outline.
    pub outline: &'a [Point],
    /// The rectangle of the surface that is lit all over ([`super::Aim::lit_rectangle`]), mm.
    pub lit: Rect,
    /// Least overlap of neighbouring views, mm ([`OVERLAP_MM`]).
    pub overlap_mm: f64,
    /// What there is of the cloth, mm; crosses are laid on it.
    pub cloth: Rect,
    /// Lines that will be cut, on the cloth: crosses keep clear of them.
    pub cutting_lines: &'a [Vec<Point>],
    /// How many crosses are wanted between two stands: two, or four for long pieces.
    pub crosses: usize,
}

/// All stands of a cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct Stands {
    /// Whether the cloth lies a quarter turned, its x along the surface's y.
    pub is_turned: bool,
    /// The stands, in the order in which they are cut.
    pub stands: Vec<StandPlace>,
    /// How each stand but the first is held to an earlier one.
    pub joins: Vec<Join>,
}

/// One stand: what the light covers of the cloth, and how the cloth lies for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandPlace {
    /// What the light covers, on the cloth, mm.
    pub on_cloth: Rect,
    /// How the cloth should lie; the crosses then tell how it does lie.
    pub surface_from_cloth: Motion,
}

/// Two stands and the crosses that both see.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    /// The earlier stand, in which the crosses are laid.
    pub from: usize,
    /// The later stand, in which they are found again.
    pub to: usize,
    /// Where the crosses are proposed on the cloth, mm.
    pub crosses: Vec<Point>,
}

/// How many views of a side's length cover a length, each overlapping the next: ceil((L − o)/(I − o)), at least one.
/// `None` when the overlap leaves nothing of a view.
#[must_use]
pub fn positions(length_mm: f64, side_mm: f64, overlap_mm: f64) -> Option<usize> {
    let counted = (length_mm - overlap_mm) / (side_mm - overlap_mm);
    if side_mm <= overlap_mm || !counted.is_finite() {
        return None;
    }
    // Counted rather than cast; a length out of all proportion ends the search.
    let enough =
        |count: usize| u32::try_from(count).is_ok_and(|count| f64::from(count) + ROUNDING >= counted);
    (1..=STANDS_MAX + 1).find(|&count| enough(count)).or(Some(STANDS_MAX + 1))
}

impl Stands {
    /// Divides what is to be cut into the fewest stands.
    ///
    /// # Errors
    /// [`StandError`] when there is nothing to cut, no light to cut by, or no room for the crosses.
    pub fn divide(ground: &Ground<'_>) -> Result<Self, StandError> {
        let &Ground { outline, lit, overlap_mm, .. } = ground;
        let bounds = bounds(outline)?;
        let count = |(width, height): (f64, f64)| {
            let columns = positions(bounds.width(), width, overlap_mm)?;
            Some((columns, positions(bounds.height(), height, overlap_mm)?))
        };
        let usable = overlap_mm >= 0.0 && lit.width() > 0.0 && lit.height() > 0.0;
        let straight = (lit.width(), lit.height());
        let ways = [(false, straight), (true, (straight.1, straight.0))];
        let counted = ways
            .into_iter()
            .filter_map(|(turned, view)| Some((turned, view, count(view).filter(|_| usable)?)));
        // Of two equal counts the first: straight is easier to lay.
        let fewest = counted.min_by_key(|(_, _, (columns, rows))| columns.saturating_mul(*rows));
        let Some((is_turned, view, (columns, rows))) = fewest else {
            return Err(StandError::PictureTooSmall {
                width_mm: straight.0,
                height_mm: straight.1,
                overlap_mm,
            });
        };
        if columns.saturating_mul(rows) > STANDS_MAX {
            return Err(StandError::TooMany { count: columns.saturating_mul(rows), most: STANDS_MAX });
        }
        let across = starts(bounds.x0, bounds.x1, view.0, columns);
        let up = starts(bounds.y0, bounds.y1, view.1, rows);
        let cells: Vec<(usize, usize)> = (0..rows)
            .flat_map(|row| (0..columns).map(move |column| (column, row)))
            .filter(|&cell| holds_any(outline, &across, &up, view, cell))
            .collect();
        let ordered = order(&cells);
        let turn = if is_turned { FRAC_PI_2 } else { 0.0 };
        let stands: Vec<StandPlace> = ordered
            .iter()
            .map(|&((column, row), _)| {
                let origin = Point::new(across[column], up[row]);
                let on_cloth = Rect::from_origin_size(origin, view);
                StandPlace {
                    on_cloth,
                    surface_from_cloth: Motion::taking(on_cloth.center(), lit.center(), turn),
                }
            })
            .collect();
        let mut joins: Vec<Join> = Vec::new();
        for (to, &(_, from)) in ordered.iter().enumerate() {
            let Some(from) = from else { continue };
            let shared = stands[from].on_cloth.intersect(stands[to].on_cloth);
            let crosses =
                propose(ground, stands[from].on_cloth, shared).ok_or(StandError::NoRoomForCrosses {
                    first: from,
                    second: to,
                    apart_mm: super::crosses::APART_MM,
                })?;
            joins.push(Join { from, to, crosses });
        }
        Ok(Self { is_turned, stands, joins })
    }

    /// The stands that lead from the first to one of them, that one included: errors add up along them.
    #[must_use]
    pub fn way_to(&self, stand: usize) -> Vec<usize> {
        let mut way = vec![stand];
        let mut at = stand;
        while let Some(join) = self.joins.iter().find(|join| join.to == at) {
            at = join.from;
            way.push(at);
        }
        way.reverse();
        way
    }
}

fn bounds(outline: &[Point]) -> Result<Rect, StandError> {
    let known =
        |point: &Point| point.x.abs() <= LARGEST_COORDINATE_MM && point.y.abs() <= LARGEST_COORDINATE_MM;
    let (Some(&first), true) = (outline.first(), outline.iter().all(known)) else {
        return Err(StandError::NoOutline);
    };
    let bounds =
        outline.iter().fold(Rect::from_points(first, first), |bounds, &point| bounds.union_pt(point));
    if bounds.width() > 0.0 || bounds.height() > 0.0 { Ok(bounds) } else { Err(StandError::NoOutline) }
}

/// Where views begin along one side: one is centred, several are shared out evenly.
fn starts(from: f64, to: f64, side: f64, count: usize) -> Vec<f64> {
    let spare = to - from - side;
    if count < 2 {
        return vec![from + spare / 2.0];
    }
    let parts = u32::try_from(count - 1).unwrap_or(u32::MAX);
    let start =
        |index: usize| from + spare * f64::from(u32::try_from(index).unwrap_or(u32::MAX)) / f64::from(parts);
    (0..count).map(start).collect()
}

/// Whether a view's own part of the box, half of each overlap, holds any of the outline's hull.
fn holds_any(
    outline: &[Point],
    across: &[f64],
    up: &[f64],
    view: (f64, f64),
    (column, row): (usize, usize),
) -> bool {
    let hull = hull(outline);
    if hull.len() < 3 {
        return true;
    }
    let part = |starts: &[f64], side: f64, index: usize| {
        let before = index.checked_sub(1).map(|before| starts[before] + side);
        let from = before.map_or(starts[index], |end| f64::midpoint(end, starts[index]));
        let after = starts.get(index + 1).copied();
        let end = starts[index] + side;
        (from, after.map_or(end, |start| f64::midpoint(start, end)))
    };
    let ((x0, x1), (y0, y1)) = (part(across, view.0, column), part(up, view.1, row));
    let cell = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(Point::from);
    area(&shared(&hull, &cell)) > 0.0
}

/// The order in which cells are cut, and for each but the first the earlier side neighbour that is fewest moves from
/// the first: (column, row, index of that neighbour). The first is the one whose furthest cell is fewest moves away;
/// then each next is beside the one before it where it can be, so that the cloth is moved little.
fn order(cells: &[(usize, usize)]) -> Vec<((usize, usize), Option<usize>)> {
    let beside = |a: (usize, usize), b: (usize, usize)| a.0.abs_diff(b.0) + a.1.abs_diff(b.1) == 1;
    // A convex outline's cells hang together without detours: moves are columns and rows.
    let moves = |a: (usize, usize), b: (usize, usize)| a.0.abs_diff(b.0) + a.1.abs_diff(b.1);
    let reach = |&cell: &(usize, usize)| cells.iter().map(|&other| moves(cell, other)).max();
    let mut left = cells.to_vec();
    let Some(first) = cells.iter().copied().min_by_key(reach) else {
        return Vec::new();
    };
    left.retain(|&cell| cell != first);
    let mut ordered = vec![(first, None)];
    let mut depths = vec![0_usize];
    while !left.is_empty() {
        let last = ordered[ordered.len() - 1].0;
        let next = left.iter().position(|&cell| beside(cell, last));
        let joined = |&cell: &(usize, usize)| ordered.iter().any(|&(other, _)| beside(cell, other));
        let Some(next) = next.or_else(|| left.iter().position(joined)) else {
            break;
        };
        let cell = left.remove(next);
        let neighbours = (0..ordered.len()).filter(|&index| beside(ordered[index].0, cell));
        let from = neighbours.min_by_key(|&index| depths[index]);
        depths.push(from.map_or(0, |from| depths[from] + 1));
        ordered.push((cell, from));
    }
    ordered
}
