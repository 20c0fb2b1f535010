//! The search on a coarse lattice: the places are few, so that they can be counted out.
//!
//! Two ways alternate. A repair takes a few pieces out of the best lay, those at its end or in a window, and finds
//! the best places for them exactly. The exact search looks at everything, one phase of the print after the other;
//! once every phase is through, the best lay is proved. The phases are those in which some piece touches the cut
//! end and some piece touches the edge y = 0: every lay can be pushed to one of them.

use super::board::SpotBoard;
use super::climb::Listener;
use super::exact::{Exact, Searched};
use super::layout::Layout;
use super::model::Model;
use super::problem::Steps;
use crate::geometry::{Point, Vec2};
use fastrand::Rng;

/// Nodes for one repair.
const REPAIR_NODES: u64 = 2_000;
/// Most pieces taken out at once.
const TAKEN_OUT: usize = 7;
/// First node budget for a phase, and the factor from one pass over all phases to the next.
const PHASE_NODES: (u64, u64) = (4_000, 8);
/// Most phases looked at.
const MOST_PHASES: usize = 1024;

/// Levels after which a repeat has come back to the first; a half-drop has two.
const MOST_LEVELS: u32 = 24;

/// What has been counted out so far.
#[derive(Debug, Clone)]
pub(super) struct LatticeSearch {
    /// Phases still open, with the node budget that their next turn has.
    open: Vec<Vec<Point>>,
    next: usize,
    nodes: u64,
    /// Whether the open phases are all there are.
    complete: bool,
    usable: bool,
}

impl LatticeSearch {
    /// Nothing counted yet.
    pub(super) fn new(model: &Model, start: &Layout) -> Self {
        let usable = SpotBoard::new(model, &start.phases, start.used(model)).is_some();
        let (open, complete) = if usable { phases(model, start) } else { (Vec::new(), false) };
        Self { open, next: 0, nodes: PHASE_NODES.0, complete, usable }
    }

    /// Whether every phase was looked at, so that the best lay is the shortest.
    pub(super) fn is_proved(&self) -> bool {
        self.usable && self.complete && self.open.is_empty()
    }

    /// Shortens the best lay until `until` moves. False when the listener ended it.
    pub(super) fn improve(
        &mut self,
        model: &Model,
        best: &mut (f64, Layout),
        until: u64,
        rng: &mut Rng,
        listener: &mut dyn Listener,
    ) -> bool {
        if !self.usable {
            return true;
        }
        let from = listener.moves();
        let half_way = from + until.saturating_sub(from) / 2;
        if !self.count(model, best, half_way, listener) {
            return false;
        }
        self.is_proved() || repair(model, best, until, rng, listener)
    }

    fn count(
        &mut self,
        model: &Model,
        best: &mut (f64, Layout),
        until: u64,
        listener: &mut dyn Listener,
    ) -> bool {
        while !self.open.is_empty() && listener.moves() < until {
            if self.next >= self.open.len() {
                self.next = 0;
                self.nodes = self.nodes.saturating_mul(PHASE_NODES.1);
            }
            if !listener.go_on() {
                return false;
            }
            let Some(board) = SpotBoard::new(model, &self.open[self.next], best.0) else {
                self.next += 1;
                self.complete = false;
                continue;
            };
            let mut exact = Exact::shorter(&board, best.0);
            let searched = exact.run(self.nodes, listener);
            if let (Some(taken), Some((_, end, _))) = (exact.found(), &exact.best) {
                *best = (*end, board.layout(model, &taken));
                listener.found(&best.1, best.0);
            }
            match searched {
                Searched::All => drop(self.open.remove(self.next)),
                Searched::Part => self.next += 1,
                Searched::Stopped => return false,
            }
        }
        true
    }
}

/// Takes pieces out of the best lay and puts them back better.
fn repair(
    model: &Model,
    best: &mut (f64, Layout),
    until: u64,
    rng: &mut Rng,
    listener: &mut dyn Listener,
) -> bool {
    let Some(board) = SpotBoard::new(model, &best.1.phases, best.0) else {
        return true;
    };
    let Some(mut spots) = board.spots_of(model, &best.1) else {
        return true;
    };
    let mut used = best.0;
    while listener.moves() < until {
        if !listener.go_on() {
            return false;
        }
        let out = taken_out(&board, &spots, rng);
        let kept: Vec<usize> = spots.iter().copied().filter(|spot| !out.contains(spot)).collect();
        let mut left = vec![0; board.wanted.len()];
        for spot in &out {
            left[board.spots[*spot].kind] += 1;
        }
        let sum: f64 = spots.iter().map(|spot| board.spots[*spot].end).sum();
        let mut exact = Exact::repair(&board, kept, left, (used, sum));
        let searched = exact.run(REPAIR_NODES, listener);
        if let Some(found) = exact.found() {
            spots = found;
            let end = spots.iter().map(|spot| board.spots[*spot].end).fold(model.min_x, f64::max);
            if end < used - super::climb::NO_GAIN_MM {
                used = end;
                *best = (end, board.layout(model, &spots));
                listener.found(&best.1, best.0);
            }
        }
        if searched == Searched::Stopped {
            return false;
        }
    }
    true
}

/// A few pieces near each other, or at the end.
fn taken_out(board: &SpotBoard, spots: &[usize], rng: &mut Rng) -> Vec<usize> {
    let count = (2 + rng.usize(..TAKEN_OUT - 1)).min(spots.len());
    let middle = if rng.bool() {
        // The piece that ends last.
        let last = spots.iter().max_by(|a, b| board.spots[**a].end.total_cmp(&board.spots[**b].end));
        last.map_or(Point::ORIGIN, |spot| board.spots[*spot].at)
    } else {
        board.spots[spots[rng.usize(..spots.len())]].at
    };
    let mut near: Vec<(f64, usize)> = spots
        .iter()
        .map(|spot| ((board.spots[*spot].at - middle).hypot2() * (0.5 + rng.f64()), *spot))
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    near.into_iter().take(count).map(|(_, spot)| spot).collect()
}

/// The phases to look at, and whether no lay can have another.
fn phases(model: &Model, start: &Layout) -> (Vec<Vec<Point>>, bool) {
    let known = model.group_is_known();
    let free: Vec<usize> = (0..known.len()).filter(|group| !known[*group].all()).collect();
    let only = vec![start.phases.clone()];
    let [group] = free[..] else {
        return (only, free.is_empty());
    };
    let pieces = &model.pieces[..model.wanted];
    let kinds = || pieces.iter().map(|kind| &model.kinds[*kind]);
    let all_in_group = kinds().all(|kind| kind.repeat.is_some_and(|repeat| repeat.group == group));
    // A piece that is kept off the edge may hold all others off it.
    let banded = kinds().any(|kind| kind.shapes.iter().any(|shape| shape.band.is_some()));
    if !all_in_group || banded || model.pieces.len() != model.wanted {
        return (only, false);
    }
    let Some(steps) = kinds().find_map(|kind| Some(kind.repeat?.steps)) else {
        return (only, false);
    };
    let shapes: Vec<_> = kinds().flat_map(|kind| &kind.shapes).collect();
    let (given, known) = (start.phases[group], known[group]);
    // What is given of the phase may stand at any of the repeat's levels.
    let levels = |given: f64, pitch: Option<f64>, way: Vec2| -> Option<Vec<f64>> {
        let pitch = pitch.unwrap_or(1.0);
        let count = (1..=MOST_LEVELS).find(|n| is_same(f64::from(*n) * pitch * way, steps))?;
        Some((0..count).map(|n| given + f64::from(n) * pitch).collect())
    };
    let ends: Option<Vec<f64>> = if known.along {
        levels(given.x, steps.pitch_along(), Vec2::new(1.0, 0.0))
    } else {
        Some(shapes.iter().map(|shape| model.min_x + shape.half.x + shape.reference.x).collect())
    };
    let edges: Option<Vec<f64>> = if known.across {
        levels(given.y, steps.pitch_across(), Vec2::new(0.0, 1.0))
    } else {
        let free = shapes.iter().filter(|shape| shape.fixed_y.is_none());
        let edges: Vec<f64> = free.map(|shape| shape.half.y + shape.reference.y).collect();
        Some(if edges.is_empty() { vec![0.0] } else { edges })
    };
    let (Some(ends), Some(edges)) = (ends, edges) else {
        return (only, false);
    };
    let mut found: Vec<Point> = Vec::new();
    for x in &ends {
        for y in &edges {
            let phase = Point::new(*x, *y);
            if found.len() < MOST_PHASES && !found.iter().any(|known| is_same(*known - phase, steps)) {
                found.push(phase);
            }
        }
    }
    let complete = found.len() < MOST_PHASES;
    let with = |phase: Point| {
        let mut phases = start.phases.clone();
        phases[group] = phase;
        phases
    };
    (found.into_iter().map(with).collect(), complete)
}

/// Whether two phases differ by whole steps.
fn is_same(off: Vec2, steps: Steps) -> bool {
    let whole = |value: f64| (value - value.round()).abs() < 1e-9;
    match steps {
        Steps::Along(step) => whole(off.x / step),
        Steps::Across(step) => whole(off.y / step),
        Steps::Both([a, b]) => {
            let cross = a.cross(b);
            whole(off.cross(b) / cross) && whole(a.cross(off) / cross)
        }
    }
}
