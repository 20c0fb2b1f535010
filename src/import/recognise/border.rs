//! The border that is printed round the pieces of a sheet: a rectangle like that of a piece, were it not for what lies
//! in it.
//!
//! A rectangular piece with its pockets drawn on it looks the same. A border is told by the grainlines of pieces that
//! lie beside each other in it; where there are none, by where it stands and how much of it they fill.

use super::frame::is_rectangle;
use super::shapes::Arrow;
use super::{Candidate, allowance};
use crate::geometry::{Point, Rect};

/// A border leaves no wider margin to the edge of the sheet, in mm; a second line of it lies no further inside.
pub(super) const MARGIN_MM: f64 = 30.0;

/// Pieces fill at least this part of the border, where no grainline tells them from pockets.
const LEAST_FILLED: f64 = 0.2;

/// So many loops beside each other are no pockets, where it is not known how large the sheet is.
const NO_POCKETS: usize = 3;

/// Among more rectangles than this none is a border: they are a hatching, or made to take time.
const MOST_RECTANGLES: usize = 500;

/// More loops than this in a rectangle are not held against each other.
const MOST_HELD: usize = 600;

/// Which loops are frames, with the borders among them; `frames` are those that are known already.
pub(super) fn with_borders(
    sheet: Option<Rect>,
    candidates: &[Candidate],
    mut frames: Vec<bool>,
    arrows: &[Arrow],
) -> Vec<bool> {
    let middles: Vec<Point> = arrows.iter().map(|arrow| arrow.line.p0.midpoint(arrow.line.p1)).collect();
    let area = |index: usize| candidates[index].polygon.area();
    let upright: Vec<bool> =
        candidates.iter().map(|candidate| is_rectangle(&candidate.ring.segments())).collect();
    let mut rectangles: Vec<usize> =
        (0..candidates.len()).filter(|index| !frames[*index] && upright[*index]).collect();
    if rectangles.len() > MOST_RECTANGLES {
        return frames;
    }
    rectangles.sort_by(|a, b| area(*b).total_cmp(&area(*a)));
    for index in rectangles {
        let lies_in_another = (0..candidates.len())
            .any(|other| !frames[other] && area(other) > area(index) && holds(candidates, other, index));
        if !lies_in_another && is_border(sheet, candidates, &upright, index, &middles) {
            frames[index] = true;
        }
    }
    frames
}

fn holds(candidates: &[Candidate], outer: usize, inner: usize) -> bool {
    candidates[outer].polygon.holds(&candidates[inner].polygon)
}

fn is_border(
    sheet: Option<Rect>,
    candidates: &[Candidate],
    upright: &[bool],
    border: usize,
    grains: &[Point],
) -> bool {
    let around = &candidates[border].polygon;
    let beside = beside_each_other(candidates, upright, border);
    if beside.is_empty() {
        return false;
    }
    let with_grain = beside
        .iter()
        .filter(|index| grains.iter().any(|at| candidates[**index].polygon.contains(*at)))
        .count();
    let lies_in_one = |at: &&Point| beside.iter().any(|index| candidates[*index].polygon.contains(**at));
    let own_grain = grains.iter().filter(|at| around.contains(**at)).any(|at| !lies_in_one(&at));
    let along_the_sheet = sheet.is_some_and(|sheet| is_just_inside(around.bounds, sheet));
    let filled: f64 =
        beside.iter().map(|index| candidates[*index].polygon.area()).sum::<f64>() / around.area();
    match beside[..] {
        _ if with_grain >= 2 => true,
        // With a grainline of its own it is a piece.
        _ if own_grain => false,
        // The inner line may be the seam line of a rectangular piece, which then has the grainline in it too.
        [only] => {
            along_the_sheet
                && with_grain == 1
                && !allowance::runs_evenly_inside(&candidates[only].polygon, around)
        }
        _ if along_the_sheet => filled >= LEAST_FILLED,
        _ => {
            let holds_all = (0..candidates.len()).all(|other| {
                other == border || around.bounds.union(candidates[other].polygon.bounds) == around.bounds
            });
            holds_all && beside.len() >= NO_POCKETS && filled >= LEAST_FILLED
        }
    }
}

/// What lies in a border and in nothing else in it, its own second line left out.
fn beside_each_other(candidates: &[Candidate], upright: &[bool], border: usize) -> Vec<usize> {
    let around = &candidates[border].polygon;
    let mut held: Vec<usize> = (0..candidates.len())
        .filter(|index| {
            let this = &candidates[*index].polygon;
            let is_second_line = || upright[*index] && is_just_inside(this.bounds, around.bounds);
            this.area() < around.area() && around.holds(this) && !is_second_line()
        })
        .take(MOST_HELD + 1)
        .collect();
    if held.len() > MOST_HELD {
        return Vec::new();
    }
    held.sort_by(|a, b| candidates[*b].polygon.area().total_cmp(&candidates[*a].polygon.area()));
    let mut beside: Vec<usize> = Vec::new();
    for index in held {
        if !beside.iter().any(|other| holds(candidates, *other, index)) {
            beside.push(index);
        }
    }
    beside
}

/// Whether a rectangle lies in another and leaves a margin that is no wider than that of a sheet.
fn is_just_inside(inner: Rect, outer: Rect) -> bool {
    let margins = [inner.x0 - outer.x0, inner.y0 - outer.y0, outer.x1 - inner.x1, outer.y1 - inner.y1];
    margins.iter().all(|margin| (0.0..=MARGIN_MM).contains(margin))
}
