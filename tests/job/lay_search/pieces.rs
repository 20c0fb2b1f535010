//! Garment shapes of our own, drawn for these tests. The grain runs along x, as on the cloth; mm.

use chalkbeam::geometry::{Point, Vec2};
use chalkbeam::lay::search::{Group, Item, Pose, Problem, Repeat, Steps};
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
        band: None,
        over_flaws: false,
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

/// A piece half of which lies on the fold, at its own y = 0.
pub(super) fn on_fold(name: &str, outline: Vec<Point>) -> Item {
    let mut item = item(name, outline, 1);
    // Turned end for end a fold piece is mirrored too, else it would lie on the other side of the fold.
    item.poses = vec![Pose::turned(0.0), Pose { turn: PI, mirrored: true }];
    item.fold_level = Some(0.0);
    item
}

/// A blouse and skirt cut double, most of it on the fold.
pub(super) fn blouse_on_the_fold() -> Problem {
    let items = vec![
        on_fold("front", half_bodice(640.0, 262.0)),
        on_fold("back", half_bodice(660.0, 255.0)),
        on_fold("yoke", points(&[(0.0, 0.0), (120.0, 0.0), (95.0, 120.0), (125.0, 230.0), (20.0, 235.0)])),
        on_fold("collar", points(&[(0.0, 0.0), (80.0, 0.0), (85.0, 190.0), (20.0, 210.0)])),
        on_fold("skirt", half_skirt(640.0, 180.0, 330.0)),
        item("sleeve", sleeve(230.0, 330.0), 1),
        item("cuff", band(250.0, 70.0), 1),
        item("pocket", band(150.0, 130.0), 1),
    ];
    Problem { width: 700.0, items, ..Problem::default() }
}

/// Forty pieces of a wardrobe, of which the large ones match on a plaid of 60 by 80 mm.
pub(super) fn wardrobe_on_a_plaid() -> Problem {
    let mut problem = dress(1400.0);
    problem.items.extend([
        item(
            "trouser front",
            points(&[(0.0, 0.0), (960.0, 20.0), (1010.0, 150.0), (700.0, 235.0), (0.0, 215.0)]),
            2,
        ),
        item(
            "trouser back",
            points(&[(0.0, 0.0), (990.0, 60.0), (1040.0, 215.0), (690.0, 320.0), (0.0, 260.0)]),
            2,
        ),
        item("cuff", band(250.0, 90.0), 4),
        item("collar", points(&[(0.0, 0.0), (420.0, 0.0), (450.0, 75.0), (225.0, 95.0), (-30.0, 75.0)]), 2),
        item("pocket flap", band(160.0, 70.0), 8),
        item("welt", band(150.0, 40.0), 6),
    ]);
    let steps = Steps::Both([Vec2::new(60.0, 0.0), Vec2::new(0.0, 80.0)]);
    let groups = [("front bodice", 0), ("back bodice", 0), ("sleeve", 0), ("skirt panel", 0), ("pocket", 0)]
        .into_iter()
        .chain([("trouser front", 1), ("trouser back", 1), ("pocket flap", 1)]);
    for (name, group) in groups {
        for item in problem.items.iter_mut().filter(|item| item.name == name) {
            item.repeat = Some(Repeat { group, reference: Point::ORIGIN, steps });
        }
    }
    problem.groups = vec![Group::default(); 2];
    problem
}

/// So many pieces of which no two are alike, by the golden ratio: stars with corners in and out, some long.
pub(super) fn all_different(count: u32, turns: u32) -> Problem {
    let golden = |n: u32| (f64::from(n) * 0.618_033_988_749_895).fract();
    let items = (0..count).map(|n| {
        let corners = 10 + n % 13;
        let outline = (0..corners).map(|k| {
            let radius = 60.0 + 50.0 * golden(31 * n + 7 * k + 1);
            let along = 1.0 + 2.0 * golden(n);
            let round = std::f64::consts::TAU * f64::from(k) / f64::from(corners);
            Point::new(along * radius * round.cos(), radius * round.sin())
        });
        let mut item = item(&format!("piece {}", n + 1), outline.collect(), 1);
        item.poses = (0..turns).map(|k| Pose::turned(f64::from(k) * 2.0 * PI / f64::from(turns))).collect();
        item
    });
    Problem { width: 1400.0, items: items.collect(), ..Problem::default() }
}
