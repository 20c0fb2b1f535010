//! Twelve small problems on a print that repeats both ways, each small enough for a proof.

use super::pieces::{item, points};
use chalkbeam::geometry::{Point, Vec2};
use chalkbeam::lay::search::{Group, Item, Problem, Repeat, Steps};

/// A few simple outlines, some of which touch exactly on the lattice.
fn shapes() -> Vec<Vec<Point>> {
    vec![
        points(&[(0.0, 0.0), (160.0, 0.0), (160.0, 80.0), (0.0, 80.0)]),
        points(&[(0.0, 0.0), (200.0, 20.0), (190.0, 110.0), (30.0, 120.0)]),
        points(&[(0.0, 0.0), (120.0, 0.0), (120.0, 60.0), (60.0, 60.0), (60.0, 140.0), (0.0, 140.0)]),
        points(&[(0.0, 0.0), (150.0, 75.0), (0.0, 150.0)]),
        points(&[(0.0, 30.0), (90.0, 0.0), (130.0, 95.0), (20.0, 125.0)]),
        points(&[(0.0, 0.0), (240.0, 0.0), (240.0, 45.0), (0.0, 45.0)]),
    ]
}

/// Instance `n` of twelve: what is laid, how often, on which repeat and width.
pub(super) fn instance(n: usize) -> Problem {
    let picks: [&[(usize, usize)]; 12] = [
        &[(0, 2), (2, 2)],
        &[(1, 2), (3, 2)],
        &[(0, 1), (1, 1), (2, 1), (3, 1)],
        &[(4, 4)],
        &[(5, 3), (0, 2)],
        &[(3, 4), (4, 1)],
        &[(2, 3), (5, 1)],
        &[(0, 2), (4, 2), (3, 1)],
        &[(1, 3), (5, 2)],
        &[(2, 2), (4, 2), (5, 1)],
        &[(0, 3), (3, 3)],
        &[(0, 2), (1, 1), (2, 2), (3, 1), (4, 1), (5, 1)],
    ];
    let repeats = [(40.0, 40.0), (60.0, 40.0), (80.0, 80.0), (50.0, 70.0)];
    let (p, q) = repeats[n % 4];
    let steps = if n.is_multiple_of(3) {
        [Vec2::new(p, 0.0), Vec2::new(p / 2.0, q)]
    } else {
        [Vec2::new(p, 0.0), Vec2::new(0.0, q)]
    };
    let items: Vec<Item> = picks[n]
        .iter()
        .map(|&(shape, copies)| {
            let mut item = item(&format!("shape {shape}"), shapes()[shape].clone(), copies);
            item.repeat =
                Some(Repeat { group: 0, reference: Point::new(10.0, 20.0), steps: Steps::Both(steps) });
            if n % 2 == 1 {
                item.poses.truncate(1);
            }
            item
        })
        .collect();
    Problem {
        width: [250.0, 300.0, 330.0][n % 3],
        items,
        groups: vec![Group::default()],
        ..Problem::default()
    }
}
