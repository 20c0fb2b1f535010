//! What would make a lay shorter, tried out.

use super::outcome::Outcome;
use super::problem::{Pose, Problem, SearchError};
use super::run::{Settings, search};
use std::f64::consts::PI;
use std::sync::atomic::AtomicBool;

/// A change that was tried, and the length that the lay then needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Relief {
    /// What was changed.
    pub what: &'static str,
    /// Length that was then needed, in mm.
    pub used_mm: f64,
    /// By how much that is less, in mm.
    pub saves_mm: f64,
}

/// Saving less is no help, in mm.
const LEAST_SAVING_MM: f64 = 1.0;

/// Searches the problem anew with one rule let go at a time, and gives those changes that save cloth, the most
/// helpful first. Each search has the given settings.
///
/// # Errors
/// [`SearchError`] as from [`search`], when the problem itself is none.
pub fn relief(
    problem: &Problem,
    outcome: &Outcome,
    settings: &Settings,
    stop: &AtomicBool,
) -> Result<Vec<Relief>, SearchError> {
    let mut changes: Vec<(&'static str, Problem)> = Vec::new();
    let one_way = |poses: &[Pose]| poses.len() == 1;
    if problem.items.iter().any(|item| one_way(&item.poses) && item.pinned.is_none()) {
        let mut changed = problem.clone();
        for item in changed.items.iter_mut().filter(|item| one_way(&item.poses)) {
            let pose = item.poses[0];
            item.poses.push(Pose {
                turn: pose.turn + PI,
                // On the fold a piece turned end for end is turned over too.
                mirrored: pose.mirrored != item.fold_level.is_some(),
            });
        }
        changes.push(("laying pieces either way up", changed));
    }
    if problem.items.iter().any(|item| item.repeat.is_some()) {
        let mut changed = problem.clone();
        for item in &mut changed.items {
            item.repeat = None;
        }
        changes.push(("not matching the print", changed));
    }
    if problem.gap > WIDE_GAP_MM {
        changes.push(("leaving no room between pieces", Problem { gap: 0.0, ..problem.clone() }));
    }
    if !problem.flaws.is_empty() {
        changes.push(("cloth without flaws", Problem { flaws: Vec::new(), ..problem.clone() }));
    }
    let mut reliefs = Vec::new();
    for (what, changed) in changes {
        let used_mm = search(&changed, settings, stop, &|_outcome| {})?.used_mm;
        let saves_mm = outcome.used_mm - used_mm;
        if saves_mm > LEAST_SAVING_MM {
            reliefs.push(Relief { what, used_mm, saves_mm });
        }
    }
    reliefs.sort_by(|a, b| b.saves_mm.total_cmp(&a.saves_mm));
    Ok(reliefs)
}

/// A gap from which leaving it out may help, in mm.
const WIDE_GAP_MM: f64 = 0.5;
