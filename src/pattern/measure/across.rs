//! How wide a closed outline is along a line.

use crate::geometry::{Curve, Point, Vec2, split_at_levels};

/// A stretch of an outline that stays this close to the line counts as lying below it, in mm.
const ON_LINE_MM: f64 = 1e-6;

/// Total length inside a closed outline of the line through `origin` square to the unit vector `up`, in mm.
///
/// The outline is cut where it passes the line; it crosses wherever one stretch lies above and the next below. Parts
/// that only touch the line, or run along it, are no crossings by themselves.
pub(super) fn width_inside<'a>(outline: impl Iterator<Item = &'a Curve>, origin: Point, up: Vec2) -> f64 {
    let across = Vec2::new(up.y, -up.x);
    let stretches: Vec<(bool, f64)> = outline
        .flat_map(|curve| split_at_levels(curve, origin, up, &[0.0]))
        .map(|stretch| {
            let height = |at: Point| (at - origin).dot(up);
            let above = height(stretch.eval(0.5)) > ON_LINE_MM;
            (above, (stretch.start() - origin).dot(across))
        })
        .collect();
    let Some(&(mut was_above, _)) = stretches.last() else {
        return 0.0;
    };
    let mut places = Vec::new();
    for (above, place) in stretches {
        if above != was_above {
            places.push(place);
        }
        was_above = above;
    }
    places.sort_by(f64::total_cmp);
    places.chunks_exact(2).map(|pair| pair[1] - pair[0]).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    const UP: Vec2 = Vec2::new(0.0, 1.0);

    fn outline(points: &[(f64, f64)]) -> Vec<Curve> {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(a, b)| Curve::line(Point::from(*a), Point::from(*b))).collect()
    }

    fn width(outline: &[Curve], y: f64) -> f64 {
        width_inside(outline.iter(), Point::new(3.0, y), UP)
    }

    #[test]
    fn a_trapezium_is_as_wide_as_its_height_says() {
        let piece = outline(&[(0.0, 0.0), (100.0, 0.0), (60.0, 80.0), (0.0, 80.0)]);
        assert!((width(&piece, 40.0) - 80.0).abs() < 1e-9);
        assert!((width(&piece, 79.0) - 60.5).abs() < 1e-9);
    }

    #[test]
    fn two_legs_are_measured_without_the_gap_between_them() {
        let piece = outline(&[
            (0.0, 0.0),
            (40.0, 0.0),
            (50.0, 90.0),
            (60.0, 0.0),
            (100.0, 0.0),
            (100.0, 200.0),
            (0.0, 200.0),
        ]);
        assert!((width(&piece, 45.0) - 90.0).abs() < 1e-9);
        assert!((width(&piece, 150.0) - 100.0).abs() < 1e-9);
    }

    #[test]
    fn a_level_through_corners_is_measured_once() {
        // A hexagon's two middle corners lie on the line, and a level along the top edge is that of just below.
        let piece =
            outline(&[(20.0, 0.0), (80.0, 0.0), (100.0, 50.0), (80.0, 100.0), (20.0, 100.0), (0.0, 50.0)]);
        assert!((width(&piece, 50.0) - 100.0).abs() < 1e-9);
        assert!(width(&piece, 120.0).abs() < 1e-12);
    }

    #[test]
    fn a_circle_has_its_chord() {
        let circle = vec![Curve::arc(Point::ORIGIN, Point::new(50.0, 0.0), std::f64::consts::TAU)];
        assert!((width(&circle, 30.0) - 80.0).abs() < 1e-6);
    }
}
