//! Lengths that no lay can go below.

use super::fold_sequence::FoldSequence;
use super::model::Model;
use super::outcome::{Bound, BoundKind};

/// The greatest of all bounds.
pub(super) fn best(model: &Model, fold: Option<&FoldSequence>) -> Bound {
    let mut best = Bound { mm: by_area(model), kind: BoundKind::Area };
    let mut offer = |mm: f64, kind: BoundKind| {
        if mm > best.mm {
            best = Bound { mm, kind };
        }
    };
    offer(by_longest(model), BoundKind::LongestPiece);
    offer(by_pinned(model), BoundKind::Pinned);
    if let Some(fold) = fold {
        offer(fold.length, BoundKind::FoldSequence);
    }
    best
}

fn by_area(model: &Model) -> f64 {
    let pieces = &model.pieces[..model.wanted];
    let pinned = |kind: &&usize| model.kinds[**kind].pinned.is_none();
    let area: f64 = pieces.iter().filter(pinned).map(|kind| model.kinds[*kind].area).sum();
    model.min_x + area / model.width
}

fn by_longest(model: &Model) -> f64 {
    let lengths = model.pieces[..model.wanted].iter().map(|kind| {
        let kind = &model.kinds[*kind];
        let shapes = kind.shapes.iter().filter(|shape| model.inside(shape, f64::MAX).is_some());
        let least = shapes.map(|shape| 2.0 * shape.half.x).fold(f64::INFINITY, f64::min);
        if kind.pinned.is_some() || !least.is_finite() { 0.0 } else { least }
    });
    model.min_x + lengths.fold(0.0, f64::max)
}

fn by_pinned(model: &Model) -> f64 {
    let pieces = model.pieces[..model.wanted].iter();
    let ends = pieces.filter_map(|kind| {
        let kind = &model.kinds[*kind];
        Some(kind.pinned?.x + kind.shapes[0].half.x)
    });
    ends.fold(0.0, f64::max)
}
