//! Lays on a print that repeats both ways, against the proved optimum.

use super::checker::assert_sound;
use super::lay;
use super::tried::Tried;
use super::twelve::instance;
use chalkbeam::lay::search::BoundKind;

#[test]
fn small_lays_on_a_lattice_are_the_shortest_there_are() {
    let mut optimal = 0;
    for n in 0..12 {
        let problem = instance(n);
        let outcome = lay(&problem, 1, 6_000).unwrap();
        assert_sound(&problem, &outcome);
        let is_optimal = !Tried::new(&problem).has_lay_within(outcome.used_mm - 0.01);
        assert!(is_optimal || !outcome.proved, "instance {n}: {} mm was called proved", outcome.used_mm);
        optimal += usize::from(is_optimal);
    }
    assert!(optimal >= 10, "{optimal} of 12 are optimal");
}

/// Once every place is counted out, the lay says so, and is its own bound.
#[test]
fn a_lay_that_was_counted_out_says_that_it_is_the_shortest() {
    for n in [0, 2, 3] {
        let problem = instance(n);
        let outcome = lay(&problem, 1, 60_000).unwrap();
        assert!(outcome.proved, "instance {n}: {:?}", outcome.bound);
        assert_eq!(outcome.bound.kind, BoundKind::CountedOut, "instance {n}");
        assert!((outcome.bound.mm - outcome.used_mm).abs() < 1e-9, "{:?}", outcome.bound);
        assert!(!Tried::new(&problem).has_lay_within(outcome.used_mm - 0.01), "instance {n}");
    }
}
