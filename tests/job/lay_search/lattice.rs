//! Lays on a print that repeats both ways, against the proved optimum.

use super::checker::assert_sound;
use super::lay;
use super::tried::Tried;
use super::twelve::instance;

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
