//! Lays on folded cloth.

use super::checker::assert_sound;
use super::lay;
use super::pieces::blouse_on_the_fold;
use chalkbeam::lay::search::{BoundKind, Pose};

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
