//! More different pieces than fields could be made for: the quadtree's lays.

use super::checker::assert_sound;
use super::lay;
use super::pieces::{all_different, half_bodice, item, on_fold, points, wardrobe_on_a_plaid};
use chalkbeam::geometry::{Point, Vec2};
use chalkbeam::lay::search::{Group, Pinned, Pose, Problem, Repeat, Settings, Steps, search};
use std::sync::atomic::AtomicBool;

/// Sixty different pieces in four turns ask for over ten thousand fields.
fn sixty() -> Problem {
    all_different(60, 4)
}

#[test]
fn sixty_different_pieces_are_laid_and_the_lay_gets_shorter() {
    let problem = sixty();
    let mut before = f64::INFINITY;
    for moves in [0, 200, 6_000] {
        let outcome = lay(&problem, 3, moves).unwrap();
        assert_sound(&problem, &outcome);
        assert!(outcome.used_mm <= before, "{moves} moves: {} after {before}", outcome.used_mm);
        before = outcome.used_mm;
    }
    let first = lay(&problem, 3, 0).unwrap();
    assert!(first.density > 0.45, "the first lay is {} dense", first.density);
    assert!(before < 0.999 * first.used_mm, "{before} after {}", first.used_mm);
    assert_eq!(lay(&problem, 3, 200).unwrap().places, lay(&problem, 3, 200).unwrap().places);
}

/// Gap, fold, print, flaw, a pinned piece: every rule at once.
#[test]
fn every_rule_is_kept_by_the_quadtree_too() {
    let mut problem = sixty();
    for n in 0..3 {
        problem.items.push(on_fold(&format!("half {n}"), half_bodice(400.0 + 30.0 * f64::from(n), 200.0)));
    }
    problem.groups = vec![Group::default(), Group { along: Some(10.0), across: None }];
    let steps = [Steps::Both([Vec2::new(90.0, 0.0), Vec2::new(45.0, 60.0)]), Steps::Along(70.0)];
    for (n, item) in problem.items.iter_mut().take(20).enumerate() {
        let group = n % 2;
        item.repeat = Some(Repeat { group, reference: Point::new(12.0, -7.0), steps: steps[group] });
    }
    problem.items[30].pinned = Some(Pinned { pose: Pose::turned(0.4), at: Point::new(900.0, 700.0) });
    problem.flaws = vec![points(&[(400.0, 300.0), (520.0, 310.0), (450.0, 420.0)])];
    problem.gap = 7.0;
    let outcome = lay(&problem, 1, 300).unwrap();
    assert_sound(&problem, &outcome);
}

/// The first lay does not wait for fields: a search that ends at once has one all the same.
#[test]
fn a_search_that_ends_at_once_has_a_lay() {
    let problem = wardrobe_on_a_plaid();
    assert_eq!(problem.items.iter().map(|item| item.copies).sum::<usize>(), 40);
    let outcome = search(&problem, &Settings::seconds(0.0, 1), &AtomicBool::new(false), &|_| {}).unwrap();
    assert_sound(&problem, &outcome);
    let longer = lay(&problem, 1, 300).unwrap();
    assert_sound(&problem, &longer);
    assert!(longer.used_mm <= outcome.used_mm + 1e-6);
}

#[test]
fn a_piece_among_many_that_no_print_leaves_a_place_is_named() {
    let mut problem = sixty();
    problem.groups = vec![Group { along: None, across: Some(200.0) }];
    let mut wide = item("wide", points(&[(0.0, 0.0), (300.0, 0.0), (300.0, 1300.0), (0.0, 1300.0)]), 1);
    wide.repeat = Some(Repeat { group: 0, reference: Point::ORIGIN, steps: Steps::Across(450.0) });
    problem.items.push(wide);
    let said = lay(&problem, 1, 10).unwrap_err().to_string();
    assert!(said.contains("wide"), "{said}");
}
