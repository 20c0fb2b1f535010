//! Where every piece lies while the search runs.

use super::freedom::Freedom;
use super::model::{Kind, Model, Shape};
use crate::geometry::Point;

/// A complete arrangement, feasible or not.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Layout {
    /// Which of its kind's shapes each piece has.
    pub(super) shapes: Vec<usize>,
    /// Where the middle of each piece lies.
    pub(super) at: Vec<Point>,
    /// The phase of each matching group.
    pub(super) phases: Vec<Point>,
}

impl Layout {
    /// Everything at the origin.
    pub(super) fn new(model: &Model) -> Self {
        let at = model.pieces.iter().map(|&kind| model.kinds[kind].pinned.unwrap_or_default());
        let groups = model.groups.iter().enumerate();
        let phases = groups.map(|(index, group)| {
            let given = Point::new(group.along.unwrap_or(0.0), group.across.unwrap_or(0.0));
            model.pinned_phase(index).unwrap_or(given)
        });
        let phases = phases.collect();
        Self { shapes: vec![0; model.pieces.len()], at: at.collect(), phases }
    }

    pub(super) fn kind<'m>(&self, model: &'m Model, piece: usize) -> &'m Kind {
        &model.kinds[model.pieces[piece]]
    }

    pub(super) fn shape<'m>(&self, model: &'m Model, piece: usize) -> &'m Shape {
        &self.kind(model, piece).shapes[self.shapes[piece]]
    }

    pub(super) fn freedom(&self, model: &Model, piece: usize, shape: &Shape) -> Freedom {
        Freedom::of(self.kind(model, piece), shape, &self.phases)
    }

    /// How far along the cloth the pieces reach.
    pub(super) fn used(&self, model: &Model) -> f64 {
        (0..model.wanted)
            .map(|piece| self.at[piece].x + self.shape(model, piece).half.x)
            .fold(model.min_x, f64::max)
    }

    /// How deep two pieces overlap.
    pub(super) fn depth(&self, model: &Model, a: usize, b: usize) -> f64 {
        let (shape_a, shape_b) = (self.shape(model, a), self.shape(model, b));
        model.pair(shape_a, shape_b).map_or(0.0, |pair| pair.depth(self.at[b] - self.at[a]))
    }
}
