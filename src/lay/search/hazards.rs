//! What one piece must keep clear of, all others lying still, and the best place for it.

use super::fields::PairField;
use super::freedom::Freedom;
use super::layout::Layout;
use super::model::Model;
use crate::geometry::{Point, Rect, Vec2};
use fastrand::Rng;

/// Depth below which two pieces count as apart, in mm: rounding of the depth itself.
pub(super) const APART_MM: f64 = 1e-6;

/// One other piece, as the moving one sees it.
#[derive(Debug, Clone, Copy)]
struct Hazard<'m> {
    at: Point,
    half: Vec2,
    pair: PairField<'m>,
    weight: f64,
}

/// All other pieces, for one shape of the moving one.
#[derive(Debug, Clone)]
pub(super) struct Hazards<'m> {
    all: Vec<Hazard<'m>>,
    inside: Rect,
    freedom: Freedom,
    /// Which of the moving piece's shapes.
    pub(super) shape: usize,
}

/// A place with what it costs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Candidate {
    pub(super) shape: usize,
    pub(super) at: Point,
    pub(super) loss: f64,
}

impl<'m> Hazards<'m> {
    /// The hazards for a piece in one of its shapes, weighted by `weight_of` the other piece. `None` when the
    /// shape does not fit on the strip.
    pub(super) fn new(
        model: &'m Model,
        layout: &Layout,
        length: f64,
        (piece, shape): (usize, usize),
        weight_of: impl Fn(usize) -> f64,
    ) -> Option<Self> {
        let kind = layout.kind(model, piece);
        let moving = &kind.shapes[shape];
        let inside = model.inside(moving, length)?;
        let others = (0..model.pieces.len()).filter(|other| *other != piece);
        let all = others.filter_map(|other| {
            let pair = model.pair(layout.shape(model, other), moving)?;
            Some(Hazard { at: layout.at[other], half: pair.field.half, pair, weight: weight_of(other) })
        });
        Some(Self { all: all.collect(), inside, freedom: Freedom::of(kind, moving, &layout.phases), shape })
    }

    /// The weighted depth at a place, or something at or above `limit` when it is no better.
    #[inline]
    pub(super) fn loss(&self, p: Point, limit: f64) -> f64 {
        let mut loss = 0.0;
        for hazard in &self.all {
            let v = p - hazard.at;
            if v.x.abs() >= hazard.half.x || v.y.abs() >= hazard.half.y {
                continue;
            }
            let depth = hazard.pair.depth(v);
            if depth > APART_MM {
                loss += hazard.weight * depth;
                if loss >= limit {
                    return loss;
                }
            }
        }
        loss
    }

    /// A place drawn from the whole strip.
    pub(super) fn anywhere(&self, rng: &mut Rng) -> Option<Point> {
        self.freedom.anywhere(self.inside, rng)
    }

    /// A place drawn from within `reach` of another.
    pub(super) fn near(&self, p: Point, reach: f64, rng: &mut Rng) -> Option<Point> {
        let mut off = || (rng.f64() * 2.0 - 1.0) * reach;
        let near = Point::new(p.x + off(), p.y + off());
        self.freedom.snap(near, self.inside)
    }

    /// The nearest place that is allowed.
    pub(super) fn snap(&self, p: Point) -> Option<Point> {
        self.freedom.snap(p, self.inside)
    }

    /// Walks down from a candidate by steps that grow on success and shrink on failure, until they are below
    /// `finest`.
    pub(super) fn descend(&self, from: Candidate, step: f64, finest: f64, rng: &mut Rng) -> Candidate {
        let mut best = from;
        let finest = finest.max(self.freedom.finest());
        let mut step = step.max(finest);
        while step >= finest && best.loss > 0.0 {
            let direction = match rng.u8(0..6) {
                0 | 1 => Vec2::new(step, 0.0),
                2 | 3 => Vec2::new(0.0, step),
                4 => Vec2::new(step, step),
                _ => Vec2::new(step, -step),
            };
            let mut better = None;
            for p in [best.at + direction, best.at - direction] {
                let Some(p) = self.freedom.snap(p, self.inside) else {
                    continue;
                };
                let limit = better.map_or(best.loss, |found: Candidate| found.loss);
                if p == best.at {
                    continue;
                }
                let loss = self.loss(p, limit);
                if loss < limit {
                    better = Some(Candidate { at: p, loss, ..best });
                }
            }
            match better {
                Some(found) => {
                    best = found;
                    step *= GROW;
                }
                None => step *= SHRINK,
            }
        }
        best
    }
}

/// Factor on a step that led down.
const GROW: f64 = 1.2;
/// Factor on a step that did not.
const SHRINK: f64 = 0.6;
