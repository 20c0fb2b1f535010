//! Laying where fields for all pairs would take too long: a first lay at once, and better ones of very many pieces.
//!
//! Fields grow with the square of the different pieces; the quadtree needs nothing made for pairs. A piece is tried at
//! places drawn from what is left of the best one so far, so that most draws are answered by their place alone, and
//! the best is pushed to the cut end and the edge y = 0. A lay is shortened by taking a few pieces up, those that end
//! last or some that lie together, and laying them anew.

use super::climb::{Listener, NO_GAIN_MM};
use super::fill::order_by_size;
use super::freedom::Freedom;
use super::layout::Layout;
use super::model::{Known, Model};
use super::quadtree::Quadtree;
use crate::geometry::{Point, Vec2};
use fastrand::Rng;

/// Places drawn for a piece of a first lay, and of one that is taken up and laid anew.
const DRAWN: (usize, usize) = (800, 250);
/// Factor on the area's length at which the cloth is first taken to end, and how often it is doubled.
const LONGER: (f64, u32) = (3.0, 8);
/// What a place further off the edge y = 0 may cost along the cloth: it keeps pieces together.
const LEAN: f64 = 0.01;
/// Last step of a push, in mm.
const FINEST_MM: f64 = 0.05;
/// Most pieces taken up at once.
const TAKEN_UP: usize = 10;

/// A place found.
#[derive(Debug, Clone, Copy)]
struct Found {
    shape: usize,
    at: Point,
    end: f64,
    cost: f64,
}

/// A piece that found no place.
#[derive(Debug, Clone, Copy)]
struct NoPlace {
    piece: usize,
    longer_helps: bool,
}

/// Pieces on a cloth, in a quadtree.
#[derive(Debug, Clone)]
pub(super) struct Crowd<'m> {
    model: &'m Model,
    quadtree: Quadtree,
    /// The lay so far.
    pub(super) layout: Layout,
    known: Vec<Known>,
    rng: Rng,
}

impl<'m> Crowd<'m> {
    /// A first lay. `Err` names the piece that finds no place, or none when the engine can't take some outline.
    pub(super) fn lay(model: &'m Model, rng: Rng) -> Result<Self, Option<usize>> {
        let pieces = &model.pieces[..model.wanted];
        let area: f64 = pieces.iter().map(|kind| model.kinds[*kind].area).sum();
        let reach = |kind: &usize| {
            let shapes = model.kinds[*kind].shapes.iter();
            shapes.map(|shape| 2.0 * shape.half.hypot()).fold(0.0, f64::max)
        };
        let longest = pieces.iter().map(reach).fold(0.0, f64::max);
        let pinned = model.kinds.iter().filter_map(|kind| Some(kind.pinned?.x + kind.shapes.first()?.half.x));
        let from = pinned.fold(model.min_x, f64::max);
        let mut length = from + LONGER.0 * area / model.width + 4.0 * longest;
        let empty = Quadtree::new(model, length).ok_or(None)?;
        let mut stuck = None;
        for _ in 0..LONGER.1 {
            let mut crowd = Self {
                model,
                quadtree: empty.emptied(length).ok_or(None)?,
                layout: Layout::new(model),
                known: model.group_is_known(),
                rng: rng.clone(),
            };
            match crowd.fill(length) {
                Ok(()) => return Ok(crowd),
                Err(NoPlace { piece, longer_helps }) => {
                    stuck = Some(piece);
                    if !longer_helps {
                        break;
                    }
                }
            }
            length *= 2.0;
        }
        Err(stuck)
    }

    /// Goes on by other numbers.
    pub(super) fn reseed(&mut self, seed: u64) {
        self.rng = Rng::with_seed(seed);
    }

    /// Lays every piece.
    fn fill(&mut self, length: f64) -> Result<(), NoPlace> {
        let model = self.model;
        for piece in 0..model.pieces.len() {
            if model.kinds[model.pieces[piece]].pinned.is_some() {
                self.quadtree.lay(model, &self.layout, piece);
            }
        }
        let mut end = model.min_x;
        for piece in order_by_size(model, None) {
            let kind = &model.kinds[model.pieces[piece]];
            if kind.pinned.is_some() {
                continue;
            }
            let first_of_group = kind.repeat.filter(|repeat| !self.known[repeat.group].all());
            let freedoms: Vec<Freedom> = kind
                .shapes
                .iter()
                .map(|shape| match first_of_group {
                    Some(repeat) => {
                        let phase = self.layout.phases[repeat.group];
                        Freedom::first(&repeat, shape, phase, self.known[repeat.group])
                    }
                    None => self.layout.freedom(model, piece, shape),
                })
                .collect();
            // Behind all others there is room, with a repeat to spare.
            let extents = kind.shapes.iter().map(|shape| 2.0 * shape.half.x);
            let steps = freedoms.iter().map(|freedom| 4.0 * freedom.finest());
            let behind = extents.fold(0.0, f64::max) + steps.fold(0.0, f64::max) + model.gap + 1.0;
            let reach = (end + behind).min(length);
            let found = self.place(piece, &freedoms, reach, DRAWN.0);
            let Some(found) = found.or_else(|| self.place(piece, &freedoms, length, 4 * DRAWN.0)) else {
                let longer_helps = kind.shapes.iter().zip(&freedoms).any(|(shape, freedom)| {
                    let inside = model.inside(shape, length);
                    inside.is_some_and(|inside| freedom.snap(inside.center(), inside).is_some())
                });
                return Err(NoPlace { piece, longer_helps });
            };
            self.take(piece, found);
            end = end.max(found.end);
            if let Some(repeat) = first_of_group {
                let reference = self.layout.shape(model, piece).reference;
                self.layout.phases[repeat.group] = found.at + reference;
                self.known[repeat.group] = Known { along: true, across: true };
            }
        }
        Ok(())
    }

    fn take(&mut self, piece: usize, found: Found) {
        self.layout.shapes[piece] = found.shape;
        self.layout.at[piece] = found.at;
        self.quadtree.lay(self.model, &self.layout, piece);
    }

    /// The best of so many places that end at `reach` or before.
    fn place(&mut self, piece: usize, freedoms: &[Freedom], reach: f64, drawn: usize) -> Option<Found> {
        let index = self.model.pieces[piece];
        let kind = &self.model.kinds[index];
        let mut best: Option<Found> = None;
        for _ in 0..drawn {
            let shape = self.rng.usize(..freedoms.len());
            let length = best.map_or(reach, |best| best.end);
            let Some(inside) = self.model.inside(&kind.shapes[shape], length) else { continue };
            let Some(at) = freedoms[shape].anywhere(inside, &mut self.rng) else { continue };
            let found = Found::new(shape, at, kind.shapes[shape].half.x);
            if best.is_none_or(|best| found.cost < best.cost) && self.quadtree.is_free(index, shape, at) {
                best = Some(found);
            }
        }
        let mut best = best?;
        let (half, freedom) = (kind.shapes[best.shape].half.x, &freedoms[best.shape]);
        let mut step = 0.5 * kind.scale;
        while step > FINEST_MM {
            let mut moved = false;
            for way in [(-1.0, 0.0), (-1.0, -1.0), (-1.0, 1.0), (0.0, -1.0)] {
                let Some(inside) = self.model.inside(&kind.shapes[best.shape], best.end) else { continue };
                let Some(at) = freedom.snap(best.at + step * Vec2::from(way), inside) else { continue };
                let found = Found::new(best.shape, at, half);
                if found.cost < best.cost - 1e-9 && self.quadtree.is_free(index, best.shape, at) {
                    (best, moved) = (found, true);
                    break;
                }
            }
            if !moved {
                step *= 0.5;
            }
        }
        Some(best)
    }

    /// Shortens the lay until the listener ends it.
    pub(super) fn climb(&mut self, bound: f64, listener: &mut dyn Listener) {
        let model = self.model;
        let loose = |piece: &usize| model.kinds[model.pieces[*piece]].pinned.is_none();
        let loose: Vec<usize> = (0..model.wanted).filter(loose).collect();
        let ends = |layout: &Layout| -> f64 {
            loose.iter().map(|piece| layout.at[*piece].x + layout.shape(model, *piece).half.x).sum()
        };
        let mut score = (self.layout.used(model), ends(&self.layout));
        while score.0 > bound + NO_GAIN_MM && !loose.is_empty() {
            let mut up = self.taken_up(&loose);
            let kept = self.layout.clone();
            for piece in &up {
                self.quadtree.take_up(*piece);
            }
            let size = |piece: &usize| model.kinds[model.pieces[*piece]].scale;
            let noise: Vec<f64> = up.iter().map(|piece| size(piece) * (0.6 + 0.8 * self.rng.f64())).collect();
            let mut order: Vec<(f64, usize)> = noise.into_iter().zip(up.iter().copied()).collect();
            order.sort_by(|a, b| b.0.total_cmp(&a.0));
            let mut laid = 0;
            for (_, piece) in &order {
                if !listener.go_on() {
                    return;
                }
                let shapes = &model.kinds[model.pieces[*piece]].shapes;
                let freedoms: Vec<Freedom> =
                    shapes.iter().map(|shape| self.layout.freedom(model, *piece, shape)).collect();
                let Some(found) = self.place(*piece, &freedoms, score.0, DRAWN.1) else { break };
                self.take(*piece, found);
                laid += 1;
            }
            let now = (self.layout.used(model), ends(&self.layout));
            if laid == order.len() && (now.0 < score.0 || (now.0 <= score.0 && now.1 <= score.1)) {
                if now.0 < score.0 - NO_GAIN_MM {
                    listener.found(&self.layout, now.0);
                }
                score = now;
                continue;
            }
            for (_, piece) in &order[..laid] {
                self.quadtree.take_up(*piece);
            }
            self.layout = kept;
            up.sort_unstable();
            for piece in up {
                self.quadtree.lay(model, &self.layout, piece);
            }
        }
    }

    /// A few pieces near each other, or near the one that ends last.
    fn taken_up(&mut self, loose: &[usize]) -> Vec<usize> {
        let end = |piece: usize| self.layout.at[piece].x + self.layout.shape(self.model, piece).half.x;
        let last = loose.iter().copied().max_by(|a, b| end(*a).total_cmp(&end(*b)));
        let count = 1 + self.rng.usize(..TAKEN_UP);
        let middle = if self.rng.bool() { last } else { self.rng.choice(loose.iter().copied()) };
        let middle = middle.map_or(Point::ORIGIN, |piece| self.layout.at[piece]);
        let mut near: Vec<(f64, usize)> = loose
            .iter()
            .map(|piece| ((self.layout.at[*piece] - middle).hypot2() * (0.5 + self.rng.f64()), *piece))
            .collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        near.into_iter().take(count).map(|(_, piece)| piece).collect()
    }
}

impl Found {
    fn new(shape: usize, at: Point, half: f64) -> Self {
        let end = at.x + half;
        Self { shape, at, end, cost: end + LEAN * at.y }
    }
}
