//! Guided local search: overlapping pieces are moved apart.
//!
//! One piece at a time moves to the place where its weighted overlap is least; pairs that stay stuck weigh more
//! with every sweep, so that a jam gives way somewhere else. The idea is that of overlap minimisation by guided
//! local search (arXiv 2509.13329; Umetani et al., "Solving the irregular strip packing problem via guided local
//! search for overlap minimization", 2009); here overlap is measured as the depth from no-fit polygons, so that an
//! evaluation costs a look into a table.

use super::hazards::{APART_MM, Candidate, Hazards};
use super::layout::Layout;
use super::model::Model;
use crate::geometry::{Point, Vec2};
use fastrand::Rng;

/// Places tried anywhere on the strip, per move.
const WIDE: usize = 50;
/// Places tried around the present one, per move.
const CLOSE: usize = 25;
/// Of all tried, how many are walked down from.
const KEPT: usize = 3;
/// Least and greatest factor on the weight of a pair that overlaps.
const HEAVIER: (f64, f64) = (1.2, 2.0);
/// Factor on the weight of a pair that is apart.
const LIGHTER: f64 = 0.95;
/// A sweep that leaves more than this share of the least overlap so far is no progress.
const PROGRESS: f64 = 0.98;

/// When to give a separation up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Patience {
    /// Sweeps without progress.
    pub(super) sweeps: usize,
    /// Fresh attempts from the best so far.
    pub(super) strikes: usize,
}

/// What may end a search between two moves.
pub(super) trait Watch {
    /// Counts a move; false when it is time to end.
    fn go_on(&mut self) -> bool;
}

/// How a separation ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ended {
    /// All apart.
    Apart,
    /// Patience ran out.
    Stuck,
    /// The watch said so.
    Stopped,
}

/// A layout under separation.
#[derive(Debug, Clone)]
pub(super) struct Separator<'m> {
    pub(super) model: &'m Model,
    pub(super) layout: Layout,
    pub(super) length: f64,
    depths: Vec<f64>,
    /// What a pair weighs to begin with, and never less.
    importance: Vec<f64>,
    weights: Vec<f64>,
    pub(super) rng: Rng,
}

impl<'m> Separator<'m> {
    pub(super) fn new(model: &'m Model, layout: Layout, rng: Rng) -> Self {
        let count = model.pieces.len();
        let length = layout.used(model);
        let importance = importance(model);
        let mut separator = Self {
            model,
            layout,
            length,
            depths: vec![0.0; count * count],
            weights: importance.clone(),
            importance,
            rng,
        };
        separator.measure();
        separator
    }

    /// Takes up another layout; weights start afresh.
    pub(super) fn take(&mut self, layout: &Layout, length: f64) {
        self.layout.clone_from(layout);
        self.length = length;
        self.weights.clone_from(&self.importance);
        self.measure();
    }

    /// Shortens the strip: what lies right of a random line moves left with its end, the rest is pushed inside.
    /// False when some piece is longer than the strip.
    pub(super) fn shorten(&mut self, length: f64) -> bool {
        let by = self.length - length;
        let line = self.rng.f64() * self.length;
        self.length = length;
        for piece in 0..self.model.wanted {
            if self.layout.kind(self.model, piece).pinned.is_some() {
                continue;
            }
            let shape = self.layout.shape(self.model, piece);
            let p = self.layout.at[piece];
            let wish = if p.x > line { Point::new(p.x - by, p.y) } else { p };
            let place = self
                .model
                .inside(shape, length)
                .and_then(|inside| self.layout.freedom(self.model, piece, shape).snap(wish, inside));
            match place {
                Some(place) => self.layout.at[piece] = place,
                None if self.place_in_other_shape(piece, wish) => {}
                None => return false,
            }
        }
        self.weights.clone_from(&self.importance);
        self.measure();
        true
    }

    fn place_in_other_shape(&mut self, piece: usize, wish: Point) -> bool {
        let shapes = &self.layout.kind(self.model, piece).shapes;
        for (index, shape) in shapes.iter().enumerate() {
            let place = self
                .model
                .inside(shape, self.length)
                .and_then(|inside| self.layout.freedom(self.model, piece, shape).snap(wish, inside));
            if let Some(place) = place {
                self.layout.shapes[piece] = index;
                self.layout.at[piece] = place;
                return true;
            }
        }
        false
    }

    fn measure(&mut self) {
        for piece in 0..self.model.pieces.len() {
            self.measure_piece(piece);
        }
    }

    pub(super) fn measure_piece(&mut self, piece: usize) {
        let count = self.model.pieces.len();
        for other in 0..count {
            if other != piece {
                let depth = self.layout.depth(self.model, piece, other);
                let depth = if depth > APART_MM { depth } else { 0.0 };
                self.depths[piece * count + other] = depth;
                self.depths[other * count + piece] = depth;
            }
        }
    }

    pub(super) fn weight(&self, a: usize, b: usize) -> f64 {
        self.weights[a * self.model.pieces.len() + b]
    }

    fn row(&self, piece: usize) -> std::ops::Range<usize> {
        let count = self.model.pieces.len();
        piece * count..(piece + 1) * count
    }

    fn weighted(&self, piece: usize) -> f64 {
        let row = self.row(piece);
        let pairs = self.depths[row.clone()].iter().zip(&self.weights[row]);
        pairs.map(|(depth, weight)| depth * weight).sum()
    }

    /// Sum of all depths, each by the importance of its pair.
    pub(super) fn overlap(&self) -> f64 {
        let pairs = self.depths.iter().zip(&self.importance);
        pairs.map(|(depth, importance)| depth * importance).sum::<f64>() / 2.0
    }

    /// Moves pieces until all are apart, patience runs out or the watch ends it. Stuck or stopped, the layout is
    /// the one that overlapped least.
    pub(super) fn separate(&mut self, patience: Patience, watch: &mut dyn Watch) -> Ended {
        let mut best = (self.overlap(), self.layout.clone());
        let mut strikes = 0;
        while best.0 > 0.0 && strikes < patience.strikes {
            let at_start = best.0;
            let mut idle = 0;
            while idle < patience.sweeps {
                if !self.sweep(watch) {
                    return Ended::Stopped;
                }
                self.shift_groups();
                let overlap = self.overlap();
                if overlap <= 0.0 {
                    return Ended::Apart;
                }
                if overlap < best.0 {
                    idle = if overlap < PROGRESS * best.0 { 0 } else { idle + 1 };
                    best.0 = overlap;
                    best.1.clone_from(&self.layout);
                } else {
                    idle += 1;
                }
                self.weigh();
            }
            strikes = if best.0 < PROGRESS * at_start { 0 } else { strikes + 1 };
            self.layout.clone_from(&best.1);
            self.measure();
        }
        if best.0 > 0.0 { Ended::Stuck } else { Ended::Apart }
    }

    /// Moves every overlapping piece once, in random order. False when the watch ended it.
    fn sweep(&mut self, watch: &mut dyn Watch) -> bool {
        let mut order: Vec<usize> = (0..self.model.wanted).collect();
        self.rng.shuffle(&mut order);
        for piece in order {
            if self.layout.kind(self.model, piece).pinned.is_some() {
                continue;
            }
            let loss = self.weighted(piece);
            if loss <= 0.0 {
                continue;
            }
            if !watch.go_on() {
                return false;
            }
            if let Some(found) = self.better_place(piece, loss) {
                self.layout.shapes[piece] = found.shape;
                self.layout.at[piece] = found.at;
                self.measure_piece(piece);
            }
        }
        true
    }

    fn weigh(&mut self) {
        let most = self.depths.iter().copied().fold(0.0, f64::max);
        let (least_factor, greatest_factor) = HEAVIER;
        let pairs = self.weights.iter_mut().zip(&self.depths).zip(&self.importance);
        for ((weight, depth), importance) in pairs {
            if *depth > 0.0 {
                *weight *= least_factor + (greatest_factor - least_factor) * depth / most;
            } else {
                *weight = (*weight * LIGHTER).max(*importance);
            }
        }
    }

    /// A place with less weighted overlap than `loss`, if one is found.
    fn better_place(&mut self, piece: usize, loss: f64) -> Option<Candidate> {
        let (model, layout) = (self.model, &self.layout);
        let kind = layout.kind(model, piece);
        let row = self.row(piece);
        let weights = &self.weights[row];
        let hazards: Vec<Hazards<'_>> = (0..kind.shapes.len())
            .filter_map(|shape| {
                Hazards::new(model, layout, self.length, (piece, shape), |other| weights[other])
            })
            .collect();
        if hazards.is_empty() {
            return None;
        }
        let here = layout.at[piece];
        let present = layout.shapes[piece];
        let mut kept: Vec<Candidate> = Vec::with_capacity(KEPT + 1);
        let rng = &mut self.rng;
        let keep = |kept: &mut Vec<Candidate>, hazards: &Hazards<'_>, at: Option<Point>| {
            let Some(at) = at else { return };
            let limit = if kept.len() < KEPT { f64::INFINITY } else { kept[KEPT - 1].loss };
            let loss = hazards.loss(at, limit);
            if loss < limit {
                let place = kept.partition_point(|known| known.loss <= loss);
                kept.insert(place, Candidate { shape: hazards.shape, at, loss });
                kept.truncate(KEPT);
            }
        };
        let scale = kind.scale;
        for hazards in &hazards {
            keep(&mut kept, hazards, hazards.snap(here));
        }
        for n in 0..CLOSE {
            let hazards = if n % 2 == 0 {
                hazards.iter().find(|hazards| hazards.shape == present).unwrap_or(&hazards[0])
            } else {
                &hazards[rng.usize(..hazards.len())]
            };
            keep(&mut kept, hazards, hazards.near(here, scale * CLOSE_REACH, rng));
        }
        for _ in 0..WIDE {
            let hazards = &hazards[rng.usize(..hazards.len())];
            let at = hazards.anywhere(rng);
            keep(&mut kept, hazards, at);
        }
        let of = |shape: usize| hazards.iter().find(|hazards| hazards.shape == shape).unwrap_or(&hazards[0]);
        let best = kept
            .iter()
            .map(|candidate| {
                of(candidate.shape).descend(*candidate, scale * FIRST_STEP, scale * ROUGH_STEP, rng)
            })
            .min_by(|a, b| a.loss.total_cmp(&b.loss))?;
        let best = of(best.shape).descend(best, scale * ROUGH_STEP, scale * FINE_STEP, rng);
        (best.loss < loss).then_some(best)
    }

    /// Exchanges two pieces of different kinds, to leave a dead end.
    pub(super) fn exchange(&mut self) {
        let movable: Vec<usize> = (0..self.model.wanted)
            .filter(|piece| {
                let kind = self.layout.kind(self.model, *piece);
                kind.pinned.is_none()
            })
            .collect();
        let area = |piece: usize| self.layout.kind(self.model, piece).area;
        let largest = movable.iter().map(|piece| area(*piece)).fold(0.0, f64::max);
        let large: Vec<usize> = movable.into_iter().filter(|piece| area(*piece) >= LARGE * largest).collect();
        let kind_of = |piece: usize| self.model.pieces[piece];
        let kinds: std::collections::BTreeSet<usize> = large.iter().map(|piece| kind_of(*piece)).collect();
        if kinds.len() < 2 {
            // Nothing to exchange with: throw one piece anywhere.
            if let Some(piece) = self.rng.choice(large) {
                let anywhere = Point::new(self.rng.f64() * self.length, self.rng.f64() * self.model.width);
                self.push_inside(piece, anywhere);
            }
            self.measure();
            return;
        }
        if self.rng.bool() {
            self.rephase();
        }
        let first = large[self.rng.usize(..large.len())];
        let others: Vec<usize> =
            large.into_iter().filter(|piece| kind_of(*piece) != kind_of(first)).collect();
        let second = others[self.rng.usize(..others.len())];
        let (a, b) = (self.layout.at[first], self.layout.at[second]);
        // What lay inside the one goes along to the other.
        for piece in 0..self.model.wanted {
            if piece == first || piece == second || self.layout.kind(self.model, piece).pinned.is_some() {
                continue;
            }
            let p = self.layout.at[piece];
            for (from, to, host) in [(a, b, first), (b, a, second)] {
                let half = self.layout.shape(self.model, host).half;
                let mine = self.layout.shape(self.model, piece).half;
                let off: Vec2 = p - from;
                if off.x.abs() + mine.x < half.x && off.y.abs() + mine.y < half.y {
                    self.push_inside(piece, to + off);
                    break;
                }
            }
        }
        self.push_inside(first, b);
        self.push_inside(second, a);
        self.weights.clone_from(&self.importance);
        self.measure();
    }

    /// Lays a piece at the nearest place to a wish that is allowed; false when there is none.
    pub(super) fn push_inside(&mut self, piece: usize, wish: Point) -> bool {
        let shape = self.layout.shape(self.model, piece);
        let place = self
            .model
            .inside(shape, self.length)
            .and_then(|inside| self.layout.freedom(self.model, piece, shape).snap(wish, inside));
        if let Some(place) = place {
            self.layout.at[piece] = place;
        }
        place.is_some()
    }
}

/// Large pieces first find few places, so that their overlaps count for more: by the square root of each one's
/// scale over the mean.
fn importance(model: &Model) -> Vec<f64> {
    let scales = model.pieces.iter().map(|kind| model.kinds[*kind].scale);
    #[expect(clippy::cast_precision_loss, reason = "a few hundred pieces")]
    let mean = scales.clone().sum::<f64>() / model.pieces.len() as f64;
    let shares: Vec<f64> = scales.map(|scale| (scale / mean).sqrt()).collect();
    let pairs = shares.iter().flat_map(|a| shares.iter().map(move |b| a * b));
    pairs.collect()
}

/// Reach of the close tries, in sides of the piece's square.
const CLOSE_REACH: f64 = 0.5;
/// First step of a descent, in the same.
const FIRST_STEP: f64 = 0.1;
/// Where the rough descent ends.
const ROUGH_STEP: f64 = 0.005;
/// Where the fine one ends.
const FINE_STEP: f64 = 2e-5;
/// Share of the largest area from which a piece counts as large.
const LARGE: f64 = 0.2;
