//! Where crosses are laid so that two stands see them.
//!
//! Candidates lie on a grid over what both views show; those near a border of the light, off the cloth or near a line
//! that will be cut fall out. Of the rest the two furthest apart are taken, since a cloth's turn is known as well as
//! its crosses are apart, and two more near them where four are wanted: each pair halves the variance.

use super::stands::Ground;
use crate::geometry::{Line, Point, Rect};
use kurbo::ParamCurveNearest as _;

/// Least distance of two crosses that hold a cloth, in mm (common practice).
pub const APART_MM: f64 = 300.0;
/// Length of a cross's arm, in mm: what stays clear of borders and lines.
const ARM_MM: f64 = 20.0;
/// Least distance of a cross from a line that is cut, in mm.
const CLEAR_MM: f64 = ARM_MM + 5.0;
/// Distance of candidates, in mm, unless that makes too many.
const GRID_MM: f64 = 10.0;
/// About how many candidates are looked at: every pair of them is.
const CANDIDATES: f64 = 600.0;

/// Places for an even number of crosses, at least two; `None` when two can't be had. Pieces that lie wholly in the
/// earlier view are cut out before the cloth is moved, so crosses on them are laid only where there is no other room.
pub(super) fn propose(ground: &Ground<'_>, earlier: Rect, shared: Rect) -> Option<Vec<Point>> {
    let gone: Vec<&[Point]> = ground
        .cutting_lines
        .iter()
        .map(Vec::as_slice)
        .filter(|line| line.iter().all(|&place| earlier.contains(place)))
        .collect();
    let remaining = |place: &Point| !gone.iter().any(|piece| is_inside(piece, *place));
    place(ground, shared, &remaining).or_else(|| place(ground, shared, &|_| true))
}

/// Whether a place lies inside a closed outline, counted by the chords that a ray to the right crosses.
fn is_inside(outline: &[Point], place: Point) -> bool {
    let chords = outline.iter().zip(outline.iter().cycle().skip(1));
    let crossed = chords.filter(|(a, b)| {
        (a.y > place.y) != (b.y > place.y) && place.x < a.x + (place.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossed.count() % 2 == 1
}

fn place(ground: &Ground<'_>, shared: Rect, remains: &dyn Fn(&Point) -> bool) -> Option<Vec<Point>> {
    let room = shared.intersect(ground.cloth).inset(-ARM_MM);
    if room.width() < 0.0 || room.height() < 0.0 {
        return None;
    }
    let step = GRID_MM.max((room.area() / CANDIDATES).sqrt());
    let lines: Vec<(Rect, Line)> = ground
        .cutting_lines
        .iter()
        .flat_map(|line| line.windows(2))
        .map(|ends| (Rect::from_points(ends[0], ends[1]).inset(CLEAR_MM), Line::new(ends[0], ends[1])))
        .collect();
    let is_clear = |place: &Point| {
        let near = lines.iter().filter(|(around, _)| around.contains(*place));
        near.into_iter().all(|(_, line)| line.nearest(*place, 1e-9).distance_sq >= CLEAR_MM * CLEAR_MM)
    };
    let rows = levels(room.y0, room.y1, step);
    let columns = levels(room.x0, room.x1, step);
    let places: Vec<Point> = columns
        .iter()
        .flat_map(|&x| rows.iter().map(move |&y| Point::new(x, y)))
        .filter(|place| is_clear(place) && remains(place))
        .collect();
    let mut crosses: Vec<Point> = Vec::new();
    while crosses.len() < ground.crosses.max(2) {
        let free: Vec<Point> = places
            .iter()
            .copied()
            .filter(|place| crosses.iter().all(|cross| cross.distance(*place) >= 2.0 * CLEAR_MM))
            .collect();
        match furthest(&free) {
            Some((a, b)) if a.distance(b) >= APART_MM => crosses.extend([a, b]),
            _ if crosses.is_empty() => return None,
            _ => break,
        }
    }
    Some(crosses)
}

/// Levels from one end to the other, both included, no further apart than `step`.
fn levels(from: f64, to: f64, step: f64) -> Vec<f64> {
    let mut levels = Vec::new();
    let mut level = from;
    while level < to {
        levels.push(level);
        level += step;
    }
    levels.push(to);
    levels
}

fn furthest(places: &[Point]) -> Option<(Point, Point)> {
    // The furthest two are corners of the hull.
    let corners = super::hull::hull(places);
    let corners = if corners.len() < 2 { places } else { &corners };
    let pairs =
        (0..corners.len()).flat_map(|a| (a + 1..corners.len()).map(move |b| (corners[a], corners[b])));
    pairs.max_by(|one, other| one.0.distance(one.1).total_cmp(&other.0.distance(other.1)))
}
