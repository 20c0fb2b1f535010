//! Garment shapes of our own, drawn for these tests. The grain runs along x, as on the cloth; mm.

use chalkbeam::geometry::Point;
use chalkbeam::lay::search::{Item, Pose, Problem};
use std::f64::consts::PI;

pub(super) fn points(of: &[(f64, f64)]) -> Vec<Point> {
    of.iter().copied().map(Point::from).collect()
}

pub(super) fn item(name: &str, outline: Vec<Point>, copies: usize) -> Item {
    Item {
        name: name.to_owned(),
        outline,
        copies,
        poses: vec![Pose::turned(0.0), Pose::turned(PI)],
        fold_level: None,
        repeat: None,
        pinned: None,
    }
}

/// Half a bodice with the fold at y = 0: hem at x = 0, shoulder at the far end.
pub(super) fn half_bodice(length: f64, half_width: f64) -> Vec<Point> {
    points(&[
        (0.0, 0.0),
        (length - 60.0, 0.0),
        (length - 30.0, 35.0),
        (length, 70.0),
        (length - 35.0, 0.72 * half_width),
        (0.78 * length, 0.66 * half_width),
        (0.68 * length, 0.78 * half_width),
        (0.63 * length, half_width),
        (0.3 * length, 0.94 * half_width),
        (0.0, half_width),
    ])
}

/// A sleeve: cap at the far end.
pub(super) fn sleeve(length: f64, width: f64) -> Vec<Point> {
    let half = width / 2.0;
    points(&[
        (0.0, -0.7 * half),
        (0.72 * length, -half),
        (0.84 * length, -0.62 * half),
        (0.96 * length, -0.3 * half),
        (length, 0.0),
        (0.96 * length, 0.3 * half),
        (0.84 * length, 0.62 * half),
        (0.72 * length, half),
        (0.0, 0.7 * half),
    ])
}

/// Half a flared skirt panel with the fold at y = 0.
pub(super) fn half_skirt(length: f64, waist: f64, hem: f64) -> Vec<Point> {
    points(&[(0.0, 0.0), (length, 0.0), (length - 12.0, waist), (20.0, hem)])
}

/// A rectangle.
pub(super) fn band(length: f64, width: f64) -> Vec<Point> {
    points(&[(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)])
}

/// A piece opened out about y = 0, where its first two corners lie.
pub(super) fn opened(half: &[Point]) -> Vec<Point> {
    let mut whole: Vec<Point> = half[1..].to_vec();
    whole.push(half[0]);
    whole.extend(half[2..].iter().rev().map(|p| Point::new(p.x, -p.y)));
    whole
}

/// A plain dress with sleeves, facings and a belt, opened out on flat cloth.
pub(super) fn dress(width: f64) -> Problem {
    let items = vec![
        item("front bodice", opened(&half_bodice(430.0, 245.0)), 1),
        item("back bodice", opened(&half_bodice(445.0, 240.0)), 1),
        item("sleeve", sleeve(240.0, 360.0), 2),
        item("skirt panel", opened(&half_skirt(680.0, 95.0, 190.0)), 4),
        item("facing", band(260.0, 70.0), 4),
        item("belt", band(900.0, 80.0), 2),
        item("pocket", band(190.0, 160.0), 2),
    ];
    Problem { width, items, ..Problem::default() }
}
