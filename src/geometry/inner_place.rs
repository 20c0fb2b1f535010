//! A roomy place inside an outline, for words and arrows.
//!
//! The points of a grid are tried and the one furthest from the outline wins: coarse, but steady under small
//! changes of the outline, which keeps a label from jumping while an amount is dragged.

use kurbo::{Line, ParamCurveNearest as _, Point, Rect};

/// Grid points a side.
const GRID: u32 = 15;

/// The roomiest of a grid of places inside a closed polygon, and its distance from the polygon in mm; `None`
/// when no grid point lies inside.
#[must_use]
pub fn inner_place(polygon: &[Point]) -> Option<(Point, f64)> {
    let first = *polygon.first()?;
    let bounds = polygon
        .iter()
        .fold(Rect::from_points(first, first), |all, &point| all.union_pt(point));
    let chords = || {
        polygon
            .iter()
            .zip(polygon.iter().cycle().skip(1))
            .map(|(&a, &b)| Line::new(a, b))
    };
    let mut best: Option<(Point, f64)> = None;
    for row in 1..=GRID {
        for column in 1..=GRID {
            let share = |index: u32| f64::from(index) / f64::from(GRID + 1);
            let candidate = Point::new(
                bounds.x0 + share(column) * bounds.width(),
                bounds.y0 + share(row) * bounds.height(),
            );
            let crossings = chords().filter(|chord| crosses_ray(chord, candidate)).count();
            if crossings % 2 == 0 {
                continue;
            }
            let room = chords()
                .map(|chord| chord.nearest(candidate, 1e-3).distance_sq)
                .fold(f64::INFINITY, f64::min);
            if best.is_none_or(|(_, most)| room > most) {
                best = Some((candidate, room));
            }
        }
    }
    best.map(|(place, room)| (place, room.sqrt()))
}

/// Whether a chord crosses the ray from a point to the right.
fn crosses_ray(chord: &Line, from: Point) -> bool {
    let (a, b) = (chord.p0, chord.p1);
    (a.y > from.y) != (b.y > from.y) && from.x < a.x + (from.y - a.y) / (b.y - a.y) * (b.x - a.x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_roomiest_place_of_a_square_is_its_middle() {
        let square = [(0.0, 0.0), (160.0, 0.0), (160.0, 160.0), (0.0, 160.0)].map(Point::from);
        let (place, room) = inner_place(&square).unwrap();
        assert!(place.distance(Point::new(80.0, 80.0)) < 1e-9 && (room - 80.0).abs() < 1e-9);
    }

    #[test]
    fn the_place_in_a_horseshoe_lies_in_an_arm_and_not_between_them() {
        let shoe = [
            (0.0, 0.0),
            (90.0, 0.0),
            (90.0, 200.0),
            (60.0, 200.0),
            (60.0, 30.0),
            (30.0, 30.0),
            (30.0, 200.0),
            (0.0, 200.0),
        ]
        .map(Point::from);
        let (place, room) = inner_place(&shoe).unwrap();
        assert!(!(30.0..60.0).contains(&place.x) || place.y < 30.0);
        assert!(room > 10.0);
    }
}
