//! Matching groups as a whole: the phase of a group is free until one of its pieces lies.

use super::model::{Known, Model};
use super::separate::Separator;
use crate::geometry::Vec2;

/// Shifts tried for each free group after every sweep.
const SHIFTS: usize = 6;

/// A group whose phase is not all given.
struct FreeGroup {
    group: usize,
    known: Known,
    members: Vec<usize>,
}

impl FreeGroup {
    /// What of a shift leaves the given phase as it is.
    fn open(&self, off: Vec2) -> Vec2 {
        Vec2::new(if self.known.along { 0.0 } else { off.x }, if self.known.across { 0.0 } else { off.y })
    }
}

impl Separator<'_> {
    /// The groups whose phase is, at least in part, the search's to choose, with their pieces.
    fn free_groups(&self) -> Vec<FreeGroup> {
        let known = self.model.group_is_known();
        let free = known.into_iter().enumerate().filter(|(_, known)| !known.all());
        free.map(|(group, known)| FreeGroup { group, known, members: members(self.model, group) })
            .filter(|free| !free.members.is_empty())
            .collect()
    }

    /// Moves whole groups where that takes weighted overlap away.
    pub(super) fn shift_groups(&mut self) {
        if self.model.groups.is_empty() {
            return;
        }
        for free in self.free_groups() {
            let members = &free.members[..];
            if members.len() == self.model.wanted && self.model.pieces.len() == self.model.wanted {
                // Everything moves together: nothing changes between pieces.
                continue;
            }
            let mut loss = self.group_loss(members, Vec2::ZERO, f64::INFINITY);
            let scale = self.layout.kind(self.model, members[0]).scale;
            for n in 0..SHIFTS {
                if loss <= 0.0 {
                    break;
                }
                let reach = scale * if n % 2 == 0 { 0.3 } else { 0.02 };
                let off = Vec2::new(self.rng.f64() * 2.0 - 1.0, self.rng.f64() * 2.0 - 1.0) * reach;
                let off = self.allowed_shift(members, free.open(off));
                let shifted = self.group_loss(members, off, loss);
                if shifted < loss {
                    self.shift(free.group, members, off);
                    loss = shifted;
                }
            }
        }
    }

    /// Cuts a shift back to what keeps all members on the strip and those on the fold there.
    fn allowed_shift(&self, members: &[usize], off: Vec2) -> Vec2 {
        let mut off = off;
        for &piece in members {
            let shape = self.layout.shape(self.model, piece);
            let p = self.layout.at[piece];
            let Some(inside) = self.model.inside(shape, self.length) else {
                return Vec2::ZERO;
            };
            off.x = off.x.clamp((inside.x0 - p.x).min(0.0), (inside.x1 - p.x).max(0.0));
            off.y = off.y.clamp((inside.y0 - p.y).min(0.0), (inside.y1 - p.y).max(0.0));
        }
        off
    }

    fn group_loss(&self, members: &[usize], off: Vec2, limit: f64) -> f64 {
        let mut loss = 0.0;
        for &piece in members {
            for other in (0..self.model.pieces.len()).filter(|other| !members.contains(other)) {
                let (a, b) = (self.layout.shape(self.model, other), self.layout.shape(self.model, piece));
                let v = self.layout.at[piece] + off - self.layout.at[other];
                if v.x.abs() >= a.half.x + b.half.x || v.y.abs() >= a.half.y + b.half.y {
                    continue;
                }
                loss += self.model.pair(a, b).map_or(0.0, |pair| pair.depth(v)) * self.weight(piece, other);
                if loss >= limit {
                    return loss;
                }
            }
        }
        loss
    }

    fn shift(&mut self, group: usize, members: &[usize], off: Vec2) {
        self.layout.phases[group] += off;
        for &piece in members {
            self.layout.at[piece] += off;
        }
        for &piece in members {
            self.measure_piece(piece);
        }
    }

    /// Gives a free group another phase; its pieces go to the nearest places that keep it.
    pub(super) fn rephase(&mut self) {
        let groups = self.free_groups();
        let Some(free) = self.rng.choice(groups) else {
            return;
        };
        // A new phase that lets some member lie on the edge, where most room is left to the others.
        let edge = free.members[self.rng.usize(..free.members.len())];
        let shape = *self.layout.shape(self.model, edge);
        let phase = self.layout.phases[free.group];
        let off =
            Vec2::new((self.rng.f64() - 0.5) * shape.half.x, shape.half.y + shape.reference.y - phase.y);
        let kept = self.layout.clone();
        self.layout.phases[free.group] = phase + free.open(off);
        for piece in free.members {
            let at = self.layout.at[piece];
            if !self.push_inside(piece, at) {
                self.layout = kept;
                return;
            }
        }
    }

    /// Moves everything to the cut end, where all pieces belong to one free group: the others do so by themselves.
    pub(super) fn flush(&mut self) {
        let [free] = &self.free_groups()[..] else {
            return;
        };
        if free.members.len() != self.model.pieces.len() {
            return;
        }
        let starts = free
            .members
            .iter()
            .map(|piece| self.layout.at[*piece].x - self.layout.shape(self.model, *piece).half.x);
        let off = Vec2::new(self.model.min_x - starts.fold(f64::INFINITY, f64::min), 0.0);
        let off = free.open(off);
        if off.x < 0.0 {
            self.shift(free.group, &free.members, off);
        }
    }
}

fn members(model: &Model, group: usize) -> Vec<usize> {
    (0..model.wanted)
        .filter(|piece| {
            let repeat = &model.kinds[model.pieces[*piece]].repeat;
            repeat.is_some_and(|repeat| repeat.group == group)
        })
        .collect()
}
