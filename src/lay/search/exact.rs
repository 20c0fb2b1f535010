//! Exact search on a [`SpotBoard`]: depth first, always the kind with the least choice.
//!
//! A kind whose free spots are fewer than its copies ends a branch. Every lay found tightens the length for the
//! rest. With all branches done the best lay is proved; with a node budget this is also what repairs a lay out of
//! which a few pieces were taken.

use super::board::{Bits, Spot, SpotBoard, members, shared};
use super::separate::Watch;

/// How a search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Searched {
    /// Everything was looked at.
    All,
    /// The node budget ran out.
    Part,
    /// The watch ended it.
    Stopped,
}

/// A depth-first search.
pub(super) struct Exact<'b> {
    board: &'b SpotBoard,
    /// Spots that stay taken.
    kept: Vec<usize>,
    /// Copies left to place, by kind.
    left: Vec<usize>,
    allowed: Bits,
    nodes_left: u64,
    taken: Vec<usize>,
    /// The best found: spots without the kept ones, where it ends, and the sum of its ends.
    pub(super) best: Option<(Vec<usize>, f64, f64)>,
    /// Lays that end here or beyond are no gain; equal ends count when the sum of ends is less.
    limit: (f64, f64),
    /// Whether equal ends are looked at for a lesser sum.
    by_sum: bool,
}

/// Nodes that count as one move.
const NODES_A_MOVE: u64 = 32;

/// Ends closer than this are the same, in mm.
const SAME_END_MM: f64 = 1e-6;

impl<'b> Exact<'b> {
    /// A search for all copies, for something that ends before `length`.
    pub(super) fn shorter(board: &'b SpotBoard, length: f64) -> Self {
        Self {
            board,
            kept: Vec::new(),
            left: board.wanted.clone(),
            allowed: board.up_to(length - SAME_END_MM),
            nodes_left: 0,
            taken: Vec::new(),
            best: None,
            limit: (length, f64::NEG_INFINITY),
            by_sum: false,
        }
    }

    /// A search for the `left` copies beside the `kept` spots, for something that ends before `limit.0`, or there
    /// with a lesser sum of ends than `limit.1`.
    pub(super) fn repair(
        board: &'b SpotBoard,
        kept: Vec<usize>,
        left: Vec<usize>,
        limit: (f64, f64),
    ) -> Self {
        let mut allowed = board.up_to(limit.0 + SAME_END_MM);
        for spot in &kept {
            exclude(&mut allowed, board.excluded_by(*spot));
        }
        Self { board, kept, left, allowed, nodes_left: 0, taken: Vec::new(), best: None, limit, by_sum: true }
    }

    /// Runs for at most so many nodes.
    pub(super) fn run(&mut self, nodes: u64, watch: &mut dyn Watch) -> Searched {
        self.nodes_left = nodes;
        let free = self.allowed.clone();
        let (end, sum) = self.kept.iter().fold((0.0_f64, 0.0), |(end, sum), spot| {
            let spot = &self.board.spots[*spot];
            (end.max(spot.end), sum + spot.end)
        });
        self.descend(&free, end, sum, watch)
    }

    /// The whole lay found.
    pub(super) fn found(&self) -> Option<Vec<usize>> {
        let (taken, _, _) = self.best.as_ref()?;
        Some(self.kept.iter().chain(taken).copied().collect())
    }

    fn is_gain(&self, end: f64, sum: f64) -> bool {
        end < self.limit.0 - SAME_END_MM
            || (self.by_sum && end <= self.limit.0 + SAME_END_MM && sum < self.limit.1 - SAME_END_MM)
    }

    fn descend(&mut self, free: &[u64], end: f64, sum: f64, watch: &mut dyn Watch) -> Searched {
        if self.nodes_left == 0 {
            return Searched::Part;
        }
        self.nodes_left -= 1;
        if self.nodes_left.is_multiple_of(NODES_A_MOVE) && !watch.go_on() {
            return Searched::Stopped;
        }
        // The kind with the least choice for each copy.
        let mut narrowest: Option<(f64, usize)> = None;
        for (kind, &left) in self.left.iter().enumerate().filter(|(_, left)| **left > 0) {
            let choice = shared(free, &self.board.of_kind[kind]);
            if (choice as usize) < left {
                return Searched::All;
            }
            #[expect(clippy::cast_precision_loss, reason = "a few copies")]
            let choice = f64::from(choice) / left as f64;
            if narrowest.is_none_or(|(least, _)| choice < least) {
                narrowest = Some((choice, kind));
            }
        }
        let Some((_, kind)) = narrowest else {
            if self.is_gain(end, sum) {
                self.best = Some((self.taken.clone(), end, sum));
                self.limit = (end, sum);
                self.allowed =
                    self.board.up_to(if self.by_sum { end + SAME_END_MM } else { end - SAME_END_MM });
            }
            return Searched::All;
        };
        let mut remaining: Bits = free.to_vec();
        for spot in members(free, &self.board.of_kind[kind]) {
            let Spot { end: spot_end, .. } = self.board.spots[spot];
            let (end, sum) = (end.max(spot_end), sum + spot_end);
            if end > self.limit.0 + SAME_END_MM {
                break;
            }
            let mut below: Bits = remaining.iter().zip(&self.allowed).map(|(a, b)| a & b).collect();
            exclude(&mut below, self.board.excluded_by(spot));
            self.taken.push(spot);
            self.left[kind] -= 1;
            let searched = self.descend(&below, end, sum, watch);
            self.left[kind] += 1;
            self.taken.pop();
            if searched != Searched::All {
                return searched;
            }
            // All lays with this spot were seen; further copies of the kind take later ones.
            remaining[spot / 64] &= !(1 << (spot % 64));
        }
        Searched::All
    }
}

fn exclude(bits: &mut [u64], excluded: &[u64]) {
    for (bits, excluded) in bits.iter_mut().zip(excluded) {
        *bits &= !excluded;
    }
}
