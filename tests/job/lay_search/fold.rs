//! Lays on folded cloth.

use super::checker::assert_sound;
use super::lay;
use super::pieces::{band, half_bodice, half_skirt, item, points, sleeve};
use chalkbeam::lay::search::{BoundKind, Item, Pose, Problem};
use std::f64::consts::PI;

fn on_fold(name: &str, outline: Vec<chalkbeam::geometry::Point>) -> Item {
    let mut item = item(name, outline, 1);
    // Turned end for end a fold piece is mirrored too, else it would lie on the other side of the fold.
    item.poses = vec![Pose::turned(0.0), Pose { turn: PI, mirrored: true }];
    item.fold_level = Some(0.0);
    item
}

/// A blouse and skirt cut double, most of it on the fold.
fn blouse_on_the_fold() -> Problem {
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

#[test]
fn fold_pieces_come_within_half_a_per_cent_of_their_shortest_sequence() {
    let problem = blouse_on_the_fold();
    let outcome = lay(&problem, 1, 3_000).unwrap();
    assert_sound(&problem, &outcome);
    assert_eq!(outcome.bound.kind, BoundKind::FoldSequence);
    let share = outcome.used_mm / outcome.bound.mm;
    assert!(share <= 1.005, "{} mm is {share} of the bound", outcome.used_mm);
}

/// The shortest sequence by trying every order, from distances found by pushing the outlines apart.
#[test]
fn the_fold_bound_is_the_shortest_of_all_orders() {
    let mut problem = blouse_on_the_fold();
    problem.items.truncate(5);
    let outcome = lay(&problem, 1, 0).unwrap();
    let outlines = |n: usize, pose: Pose| -> Vec<chalkbeam::geometry::Point> {
        let place =
            chalkbeam::lay::search::Placed { item: n, copy: 0, pose, at: chalkbeam::geometry::Point::ORIGIN };
        super::checker::outline(&problem, &place)
    };
    let poses = problem.items[0].poses.clone();
    let all: Vec<Vec<_>> = (0..5).map(|n| poses.iter().map(|pose| outlines(n, *pose)).collect()).collect();
    let start =
        |outline: &[chalkbeam::geometry::Point]| outline.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
    let end = |outline: &[chalkbeam::geometry::Point]| {
        outline.iter().map(|p| p.x).fold(f64::NEG_INFINITY, f64::max)
    };
    // Bisect the least shift of b, from where their fold edges coincide up to where both are clear.
    let apart = |a: &[chalkbeam::geometry::Point], b: &[chalkbeam::geometry::Point]| {
        let (mut low, mut high) = (start(a) - end(b), end(a) - start(b));
        low = low.max((high + low) / 2.0);
        for _ in 0..50 {
            let middle = (low + high) / 2.0;
            let moved: Vec<_> = b.iter().map(|p| *p + chalkbeam::geometry::Vec2::new(middle, 0.0)).collect();
            if super::checker::shared_area(a, &moved) > 1e-6 {
                low = middle;
            } else {
                high = middle;
            }
        }
        high
    };
    let mut least = f64::INFINITY;
    let mut stack = vec![(vec![], 0.0)];
    while let Some((order, at)) = stack.pop() {
        let order: Vec<(usize, usize)> = order;
        if let (5, Some((n, pose))) = (order.len(), order.last()) {
            least = least.min(at + end(&all[*n][*pose]));
            continue;
        }
        for n in (0..5).filter(|n| order.iter().all(|(known, _)| known != n)) {
            for pose in 0..2 {
                let at = match order.last() {
                    None => -start(&all[n][pose]),
                    Some((m, before)) => at + apart(&all[*m][*before], &all[n][pose]),
                };
                let mut order = order.clone();
                order.push((n, pose));
                stack.push((order, at));
            }
        }
    }
    assert!((least - outcome.bound.mm).abs() < 0.05, "{least} by trying, {} by the bound", outcome.bound.mm);
}
