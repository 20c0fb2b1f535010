//! The search for a lay, checked by means of its own and against numbers from outside.

mod agree;
mod checker;
mod coat;
mod fold;
mod help;
mod lattice;
mod laws;
mod many;
mod oracle;
mod pieces;
mod tried;
mod twelve;
mod yardage;

use chalkbeam::lay::search::{Outcome, Problem, SearchError, Settings, search};
use std::sync::atomic::AtomicBool;

/// A search by number of moves, which gives the same lay on every machine.
fn lay(problem: &Problem, seed: u64, moves: u64) -> Result<Outcome, SearchError> {
    let settings = Settings { seed, moves: Some(moves), ..Settings::default() };
    search(problem, &settings, &AtomicBool::new(false), &|_outcome| {})
}
