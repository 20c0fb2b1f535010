//! One searcher: from a first lay to ever shorter ones, for as long as it is let.
//!
//! It alternates between roaming (shorten boldly, separate, after a dead end exchange two pieces and try again)
//! and squeezing (shorten the best lay by little and ever less). Rounds grow, so that a short search gets a bit of
//! both and a long one gets deep; what is done next never depends on the clock or on how much time is left, so
//! that a longer search goes through everything a shorter one did.

use super::lattice::LatticeSearch;
use super::layout::Layout;
use super::model::Model;
use super::separate::{Ended, Patience, Separator, Watch};
use fastrand::Rng;

/// First and later shares by which roaming shortens.
const BOLD: (f64, f64) = (0.04, 0.002);
/// First and last shares by which squeezing shortens.
const SQUEEZE: (f64, f64) = (0.004, 0.000_05);
/// Moves of the first round, for each piece.
const FIRST_ROUND: u64 = 1500;
/// Factor on the moves of a round from one to the next.
const ROUND_GROWS: f64 = 1.5;
/// Share of a round that roams.
const ROAMS: f64 = 0.8;

/// Where a searcher reports each shorter lay, and what may end it.
pub(super) trait Listener: Watch {
    /// A feasible lay shorter than all before.
    fn found(&mut self, layout: &Layout, used: f64);
    /// The best lay so far is the shortest there is.
    fn proved(&mut self);
    /// Moves so far.
    fn moves(&self) -> u64;
}

/// A searcher with the best lay it has seen.
#[derive(Debug)]
pub(super) struct Climber<'m> {
    model: &'m Model,
    separator: Separator<'m>,
    best: (f64, Layout),
    bound: f64,
    lattice: LatticeSearch,
}

impl<'m> Climber<'m> {
    /// Starts from a feasible lay.
    pub(super) fn new(model: &'m Model, start: Layout, bound: f64, rng: Rng) -> Self {
        let used = start.used(model);
        Self {
            model,
            separator: Separator::new(model, start.clone(), rng),
            lattice: LatticeSearch::new(model, &start),
            best: (used, start),
            bound,
        }
    }

    /// Searches until the listener ends it or the bound is reached.
    pub(super) fn climb(&mut self, listener: &mut dyn Listener) {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred pieces")]
        let mut round = (FIRST_ROUND * self.model.wanted as u64) as f64;
        loop {
            let roam_until = later(listener.moves(), round * ROAMS);
            if !self.roam(roam_until, listener) {
                return;
            }
            let squeeze_until = later(listener.moves(), round * (1.0 - ROAMS));
            if !self.squeeze(squeeze_until, listener) {
                return;
            }
            if !self.count_out(later(listener.moves(), round * (1.0 - ROAMS)), listener) {
                return;
            }
            round *= ROUND_GROWS;
        }
    }

    /// Whether there is anything left to gain.
    fn is_open(&self) -> bool {
        self.best.0 > self.bound + NO_GAIN_MM
    }

    fn keep(&mut self, listener: &mut dyn Listener) {
        self.separator.flush();
        let used = self.separator.layout.used(self.model);
        self.separator.length = used;
        if used < self.best.0 - NO_GAIN_MM {
            self.best = (used, self.separator.layout.clone());
            listener.found(&self.best.1, used);
        }
    }

    /// On a coarse lattice: repairs and exact search. False when the search is over.
    fn count_out(&mut self, until: u64, listener: &mut dyn Listener) -> bool {
        let rng = &mut self.separator.rng;
        let going_on = self.lattice.improve(self.model, &mut self.best, until, rng, listener);
        if self.lattice.is_proved() {
            listener.proved();
        }
        going_on && self.is_open() && !self.lattice.is_proved()
    }

    fn roam(&mut self, until: u64, listener: &mut dyn Listener) -> bool {
        let mut share = BOLD.0;
        let mut dead_ends: Vec<(f64, Layout)> = Vec::new();
        let (used, layout) = self.best.clone();
        self.separator.take(&layout, used);
        let mut length = (used * (1.0 - share)).max(self.bound);
        if !self.is_open() || !self.separator.shorten(length) {
            return self.is_open() && listener.go_on();
        }
        while listener.moves() < until {
            let patience = Patience { sweeps: 60, strikes: 2 };
            match self.separator.separate(patience, listener) {
                Ended::Stopped => return false,
                Ended::Apart => {
                    self.keep(listener);
                    if !self.is_open() {
                        return false;
                    }
                    dead_ends.clear();
                    let used = self.separator.length;
                    length = (used * (1.0 - share)).max(self.bound);
                    if !self.separator.shorten(length) {
                        return true;
                    }
                }
                Ended::Stuck => {
                    if share > BOLD.1 {
                        // Too bold: half as much from the best.
                        share = (share / 2.0).max(BOLD.1);
                        let (used, layout) = self.best.clone();
                        self.separator.take(&layout, used);
                        length = (used * (1.0 - share)).max(self.bound);
                        if !self.separator.shorten(length) {
                            return true;
                        }
                        continue;
                    }
                    let overlap = self.separator.overlap();
                    let place = dead_ends.partition_point(|known| known.0 <= overlap);
                    dead_ends.insert(place, (overlap, self.separator.layout.clone()));
                    dead_ends.truncate(DEAD_ENDS);
                    // Those that overlap little are likelier to lead on.
                    let lean = self.separator.rng.f64() * self.separator.rng.f64();
                    let pick = (0..dead_ends.len()).find(|n| fraction(n + 1, dead_ends.len()) > lean);
                    let (_, layout) = &dead_ends[pick.unwrap_or(0)];
                    self.separator.take(layout, length);
                    self.separator.exchange();
                }
            }
        }
        true
    }

    fn squeeze(&mut self, until: u64, listener: &mut dyn Listener) -> bool {
        let start = listener.moves();
        let (used, layout) = self.best.clone();
        self.separator.take(&layout, used);
        while listener.moves() < until {
            if !self.is_open() {
                return false;
            }
            #[expect(clippy::cast_precision_loss, reason = "a share")]
            let done = (listener.moves() - start) as f64 / (until - start).max(1) as f64;
            let share = SQUEEZE.0 * (SQUEEZE.1 / SQUEEZE.0).powf(done.min(1.0));
            let (used, layout) = self.best.clone();
            self.separator.take(&layout, used);
            if !self.separator.shorten((used * (1.0 - share)).max(self.bound)) {
                return true;
            }
            let patience = Patience { sweeps: 40, strikes: 1 };
            match self.separator.separate(patience, listener) {
                Ended::Stopped => return false,
                Ended::Apart => self.keep(listener),
                Ended::Stuck => {
                    if !listener.go_on() {
                        return false;
                    }
                }
            }
        }
        true
    }
}

/// A gain below this is none, in mm.
pub(super) const NO_GAIN_MM: f64 = 0.001;

/// Dead ends remembered at one length.
const DEAD_ENDS: usize = 20;

#[expect(clippy::cast_precision_loss, reason = "a few dozen")]
fn fraction(n: usize, of: usize) -> f64 {
    n as f64 / of as f64
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "moves stay far below 2⁵³")]
fn later(now: u64, by: f64) -> u64 {
    now.saturating_add(by.max(1.0) as u64)
}
