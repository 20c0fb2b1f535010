//! The signs that a dressmaker reads without words: arrows, brackets, chevrons, crosses, triangles.
//!
//! Each is a path in the coordinates that it is asked in, with the sizes that can be told apart from standing
//! height, two metres away; `scale` makes them larger where the board shows the surface small.

use crate::geometry::{BezPath, Line, Point, Vec2};
use std::f64::consts::PI;

/// Length of the barbs of an arrowhead, in mm.
const BARB_MM: f64 = 14.0;
/// Angle between a barb and the shaft, in radians.
const BARB_ANGLE: f64 = 0.44;
/// Distance of a fold bracket from its fold, in mm.
const BRACKET_INSET_MM: f64 = 25.0;
/// A hand: four inches, the height of the three chevrons.
pub(super) const HAND_MM: f64 = 101.6;
/// Height of a notch's triangle, in mm; it must end within the narrowest usual allowance (10 mm).
const NOTCH_HEIGHT_MM: f64 = 8.0;
/// Width of a notch's triangle, in mm.
const NOTCH_WIDTH_MM: f64 = 7.0;
/// Half the arm of a drill hole's cross, in mm.
const DRILL_ARM_MM: f64 = 5.0;

/// Adds an arrowhead whose point is `tip`, for a shaft that travels along `direction`.
pub(super) fn add_arrowhead(path: &mut BezPath, tip: Point, direction: Vec2, scale: f64) {
    for angle in [PI - BARB_ANGLE, PI + BARB_ANGLE] {
        let barb = scale * BARB_MM * Vec2::from_angle(direction.atan2() + angle);
        path.move_to(tip + barb);
        path.line_to(tip);
    }
}

/// An arrow from end to end, with a head at its end and, if it may be read both ways, at its start.
pub(super) fn arrow(from: Point, to: Point, both_ways: bool, scale: f64) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(from);
    path.line_to(to);
    let along = to - from;
    add_arrowhead(&mut path, to, along, scale);
    if both_ways {
        add_arrowhead(&mut path, from, -along, scale);
    }
    path
}

/// The handbook's fold bracket: a line beside the fold, its two arms pointing to it. `fold` travels with the
/// piece on its left.
pub(super) fn fold_bracket(fold: Line, scale: f64) -> BezPath {
    let along = fold.p1 - fold.p0;
    let length = along.hypot();
    let mut path = BezPath::new();
    if length <= 0.0 {
        return path;
    }
    let along = along / length;
    let inward = scale * BRACKET_INSET_MM * Vec2::new(-along.y, along.x);
    let set_back = (0.15 * length).min(80.0);
    let (first, last) = (fold.p0 + set_back * along, fold.p1 - set_back * along);
    path.move_to(first);
    path.line_to(first + inward);
    path.line_to(last + inward);
    path.line_to(last);
    add_arrowhead(&mut path, first, -inward, scale);
    add_arrowhead(&mut path, last, -inward, scale);
    path
}

/// Three stacked chevrons that point along `top`, centred at `at`, `height` high: bands to be filled, as broad as the
/// gaps between them, so that they are read at a glance on any motif.
pub(super) fn chevrons(at: Point, top: Vec2, height: f64) -> BezPath {
    let (up, side) = (top, Vec2::new(-top.y, top.x));
    let (half_width, rise, step, band) = (0.3 * height, 0.25 * height, 0.3 * height, 0.15 * height);
    let mut path = BezPath::new();
    for rung in [-1.0, 0.0, 1.0] {
        let base = at + (rung * step - 0.5 * (rise - band)) * up;
        path.move_to(base - half_width * side);
        path.line_to(base + rise * up);
        path.line_to(base + half_width * side);
        path.line_to(base + half_width * side - band * up);
        path.line_to(base + (rise - band) * up);
        path.line_to(base - half_width * side - band * up);
        path.close_path();
    }
    path
}

/// Triangles of a notch: tip on the seam line, base outward. `along` is the direction of the edge with the
/// piece on its left; `count` triangles side by side.
pub(super) fn notch(at: Point, along: Vec2, count: u32, scale: f64) -> BezPath {
    let width = scale * NOTCH_WIDTH_MM;
    let outward = scale * NOTCH_HEIGHT_MM * Vec2::new(along.y, -along.x);
    let mut path = BezPath::new();
    for index in 0..count {
        let shift = (f64::from(index) - 0.5 * f64::from(count - 1)) * width;
        let tip = at + shift * along;
        let base = tip + outward;
        path.move_to(tip);
        path.line_to(base - 0.5 * width * along);
        path.line_to(base + 0.5 * width * along);
        path.close_path();
    }
    path
}

/// An upright cross with arms of `arm_mm`, its sides along `along`.
pub(super) fn cross(at: Point, along: Vec2, arm_mm: f64) -> BezPath {
    let mut path = BezPath::new();
    for arm in [along, Vec2::new(-along.y, along.x)] {
        path.move_to(at - arm_mm * arm);
        path.line_to(at + arm_mm * arm);
    }
    path
}

/// A drill hole's small cross, set slantwise to the grain so that no thread of a check hides it.
pub(super) fn drill_hole(at: Point, scale: f64) -> BezPath {
    cross(at, Vec2::from_angle(PI / 4.0), scale * DRILL_ARM_MM)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape as _;

    #[test]
    fn a_notch_points_out_of_the_piece_and_stays_in_the_allowance() {
        let path = notch(Point::new(50.0, 0.0), Vec2::new(1.0, 0.0), 2, 1.0);
        let bounds = path.bounding_box();
        assert!(bounds.y0 < 0.0 && bounds.y1.abs() < 1e-12 && bounds.y0 > -10.0);
        assert!((bounds.center().x - 50.0).abs() < 1e-12);
    }

    #[test]
    fn a_fold_bracket_lies_inside_and_its_arms_reach_the_fold() {
        // Travelling up, the piece lies to the left: at negative x.
        let path = fold_bracket(Line::new((0.0, 0.0), (0.0, 800.0)), 1.0);
        let bounds = path.bounding_box();
        assert!((bounds.x1 - 0.0).abs() < 1e-9 && (bounds.x0 + BRACKET_INSET_MM).abs() < 1e-9);
    }

    #[test]
    fn chevrons_are_a_hand_high_and_point_to_the_top() {
        let path = chevrons(Point::ORIGIN, Vec2::new(0.0, 1.0), HAND_MM);
        let bounds = path.bounding_box();
        assert!((bounds.height() - HAND_MM).abs() < 0.05 * HAND_MM);
        let widest_at_top = path.elements().iter().filter_map(|element| element.end_point()).map(|p| p.y);
        assert!((widest_at_top.fold(f64::MIN, f64::max) - bounds.y1).abs() < 1e-9);
    }
}
