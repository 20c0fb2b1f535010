//! What would make a lay shorter, tried out: rules let go, pieces in two parts, cloth joined on.

use super::outcome::{Outcome, Placed};
use super::problem::{Item, Pose, Problem, SearchError};
use super::run::{Settings, search};
use crate::geometry::{Point, Rect};
use std::f64::consts::PI;
use std::sync::atomic::{AtomicBool, Ordering};

/// A change that was tried, and the length that the lay then needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Relief {
    /// What was changed, with its number.
    pub what: String,
    /// Length that was then needed of the cloth at hand, in mm.
    pub used_mm: f64,
    /// By how much that is less, in mm.
    pub saves_mm: f64,
}

/// A change to be tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// What is changed.
    pub what: String,
    /// The problem as it then is.
    pub problem: Problem,
    /// Where the first of two lengths ends, when a second is laid behind it.
    second_from: Option<f64>,
    /// Whether it is tried only where the one before it is not enough.
    is_more_of_it: bool,
}

/// Saving less is no help, in mm.
const LEAST_SAVING_MM: f64 = 1.0;

/// A gap from which leaving it out may help, in mm.
const WIDE_GAP_MM: f64 = 0.5;

/// Seam allowance along a seam that the pattern does not have, in mm (common practice: 15 mm, or five eighths of an
/// inch).
pub const SEAM_ALLOWANCE_MM: f64 = 15.0;

/// Pieces that are tried in two parts: the largest ones.
const SEAMED: usize = 2;

/// Room between two lengths of cloth laid one behind the other, in mm.
const BETWEEN_LENGTHS_MM: f64 = 1.0;

/// What numbers are rounded up from may be this much more, in mm: the hair of room that the search leaves.
const ROUNDING_MM: f64 = 0.01;

/// A strip is tried that makes up for the area that is lacking, and one of twice that.
const STRIPS: [f64; 2] = [1.1, 2.2];

/// Searches the problem anew with one change at a time, and gives those that save cloth, the most helpful first. All
/// searches together have the given time, or each the given number of moves.
///
/// # Errors
/// [`SearchError::Nothing`] when there is nothing to lay.
pub fn relief(
    problem: &Problem,
    outcome: &Outcome,
    settings: &Settings,
    stop: &AtomicBool,
) -> Result<Vec<Relief>, SearchError> {
    if outcome.places.is_empty() {
        return Err(SearchError::Nothing);
    }
    let changes = changes(problem, outcome);
    let each = settings.shared_by(changes.len());
    let mut reliefs = tried_all(&changes, outcome, &each, stop);
    reliefs.sort_by(|a, b| b.saves_mm.total_cmp(&a.saves_mm));
    Ok(reliefs)
}

impl Change {
    /// A change of the whole problem.
    #[must_use]
    pub fn new(what: impl Into<String>, problem: Problem) -> Self {
        Self { what: what.into(), problem, second_from: None, is_more_of_it: false }
    }
}

/// Searches one change; `None` when it saves nothing, can't be laid, or the search was stopped before.
pub fn tried(change: &Change, outcome: &Outcome, settings: &Settings, stop: &AtomicBool) -> Option<Relief> {
    if stop.load(Ordering::Relaxed) {
        return None;
    }
    let found = search(&change.problem, settings, stop, &|_outcome| {}).ok()?;
    let (what, used_mm) = match change.second_from {
        None => (change.what.clone(), found.used_mm),
        Some(from) => {
            let end = |place: &Placed| place.outline(&change.problem).iter().map(|p| p.x).fold(0.0, f64::max);
            let ends = found.places.iter().map(end);
            let first = ends.filter(|end| *end <= from + BETWEEN_LENGTHS_MM / 2.0).fold(0.0, f64::max);
            let second = (found.used_mm - from - BETWEEN_LENGTHS_MM - ROUNDING_MM).max(0.0).ceil();
            (format!("{} of {second:.0} mm", change.what), first)
        }
    };
    let saves_mm = outcome.used_mm - used_mm;
    (saves_mm > LEAST_SAVING_MM).then_some(Relief { what, used_mm, saves_mm })
}

/// Searches one change after the other, each with the given settings, and gives what saves cloth.
#[must_use]
pub fn tried_all(
    changes: &[Change],
    outcome: &Outcome,
    settings: &Settings,
    stop: &AtomicBool,
) -> Vec<Relief> {
    let mut reliefs: Vec<Relief> = Vec::new();
    let mut was_enough = false;
    for change in changes {
        if change.is_more_of_it && was_enough {
            continue;
        }
        let found = tried(change, outcome, settings, stop);
        was_enough = found.as_ref().is_some_and(|relief| {
            change.problem.length.is_some_and(|length| relief.used_mm <= length + ROUNDING_MM)
        });
        reliefs.extend(found);
    }
    reliefs
}

/// What may be tried of a problem, each with one thing changed.
#[must_use]
pub fn changes(problem: &Problem, outcome: &Outcome) -> Vec<Change> {
    let mut changes = Vec::new();
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
        changes.push(Change::new("laying pieces either way up", changed));
    }
    if problem.items.iter().any(|item| item.repeat.is_some()) {
        let mut changed = problem.clone();
        for item in &mut changed.items {
            item.repeat = None;
        }
        changes.push(Change::new("not matching the print", changed));
    }
    if problem.gap > WIDE_GAP_MM {
        changes.push(Change::new("leaving no room between pieces", Problem { gap: 0.0, ..problem.clone() }));
    }
    if !problem.flaws.is_empty() {
        changes.push(Change::new("cloth without flaws", Problem { flaws: Vec::new(), ..problem.clone() }));
    }
    changes.extend(seams(problem));
    if let Some(length) = problem.length.filter(|length| outcome.used_mm > *length) {
        changes.extend(joins(problem, length, outcome.used_mm));
    }
    changes
}

/// The largest pieces in two parts, by a seam across or along.
fn seams(problem: &Problem) -> Vec<Change> {
    let loose = problem.items.iter().enumerate().filter(|(_, item)| item.pinned.is_none() && item.copies > 0);
    let mut largest: Vec<(f64, usize)> = loose.map(|(index, item)| (bounds(item).area(), index)).collect();
    largest.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut changes = Vec::new();
    for (_, index) in largest.into_iter().take(SEAMED) {
        let item = &problem.items[index];
        let frame = bounds(item);
        let across = frame.center().x;
        let with = format!("with allowances of {SEAM_ALLOWANCE_MM:.0} mm");
        changes.push(Change::new(
            format!("a seam across {}, {:.0} mm from its lower end, {with},", item.name, across - frame.x0),
            in_two(problem, index, across, |p| p.x),
        ));
        if item.fold_level.is_none() {
            let along = frame.center().y;
            changes.push(Change::new(
                format!("a seam along {}, {:.0} mm from its edge, {with},", item.name, along - frame.y0),
                in_two(problem, index, along, |p| p.y),
            ));
        }
    }
    changes
}

fn bounds(item: &Item) -> Rect {
    let first = item.outline.first().copied().unwrap_or_default();
    item.outline.iter().fold(Rect::from_points(first, first), |frame, p| frame.union_pt(*p))
}

/// The problem with one item in two parts. What lies beyond the seam by the allowance belongs to both.
fn in_two(problem: &Problem, index: usize, at: f64, of: fn(Point) -> f64) -> Problem {
    let mut changed = problem.clone();
    let whole = problem.items[index].clone();
    let [low, high] = [1.0, -1.0].map(|side| Item {
        name: format!("one part of {}", whole.name),
        outline: up_to(&whole.outline, |p| side * (of(p) - at) - SEAM_ALLOWANCE_MM),
        ..whole.clone()
    });
    changed.items[index] = low;
    changed.items.push(high);
    changed
}

/// What of an outline lies where a distance is not positive.
fn up_to(outline: &[Point], beyond: impl Fn(Point) -> f64) -> Vec<Point> {
    let mut kept = Vec::with_capacity(outline.len() + 2);
    for (&p, &q) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        let (from, to) = (beyond(p), beyond(q));
        if from <= 0.0 {
            kept.push(p);
        }
        if (from < 0.0 && to > 0.0) || (from > 0.0 && to < 0.0) {
            kept.push(p.lerp(q, from / (from - to)));
        }
    }
    kept
}

/// A second length behind the one at hand, and a strip along its selvedge.
fn joins(problem: &Problem, length: f64, used: f64) -> Vec<Change> {
    let bar = Rect::new(length, -problem.width, length + BETWEEN_LENGTHS_MM, 2.0 * problem.width);
    let corners = [(bar.x0, bar.y0), (bar.x1, bar.y0), (bar.x1, bar.y1), (bar.x0, bar.y1)];
    let mut flaws = problem.flaws.clone();
    flaws.push(corners.map(Point::from).to_vec());
    let behind = Problem { flaws, gap: problem.gap, ..problem.clone() };
    let mut changes = vec![Change {
        what: "a second length of the same cloth, no piece across the join,".to_owned(),
        problem: behind,
        second_from: Some(length),
        is_more_of_it: false,
    }];
    // On a fold or a print the strip would have to be folded or matched as well.
    let plain = problem
        .items
        .iter()
        .all(|item| item.fold_level.is_none() && item.repeat.is_none() && item.band.is_none());
    if plain && length > problem.min_x {
        let lacking = problem.width * (used - length) / (length - problem.min_x);
        changes.extend(STRIPS.map(|factor| {
            let wider = ((factor * lacking - ROUNDING_MM) / 10.0).ceil() * 10.0;
            let strip = wider + 2.0 * SEAM_ALLOWANCE_MM;
            Change {
                what: format!(
                    "a strip {strip:.0} mm wide joined along the selvedge, seam allowances included,"
                ),
                problem: Problem { width: problem.width + wider, ..problem.clone() },
                second_from: None,
                is_more_of_it: factor > STRIPS[0],
            }
        }));
    }
    changes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_parts_of_a_piece_overlap_by_two_allowances() {
        let outline: Vec<Point> =
            [(0.0, 0.0), (300.0, 0.0), (300.0, 100.0), (0.0, 100.0)].map(Point::from).to_vec();
        let item = Item {
            name: "“back”".to_owned(),
            outline,
            copies: 2,
            poses: vec![Pose::default()],
            fold_level: None,
            repeat: None,
            pinned: None,
            band: None,
            over_flaws: false,
        };
        let problem = Problem { width: 400.0, items: vec![item], ..Problem::default() };
        let two = in_two(&problem, 0, 150.0, |p| p.x);
        let [low, high] = &two.items[..] else { panic!("two parts") };
        assert_eq!(bounds(low), Rect::new(0.0, 0.0, 165.0, 100.0));
        assert_eq!(bounds(high), Rect::new(135.0, 0.0, 300.0, 100.0));
        assert_eq!((low.copies, high.copies), (2, 2));
    }
}
