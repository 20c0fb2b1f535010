//! Grainline and fold: as straight, and in the same direction, as they were printed.

use super::{Looked, off_straight};
use crate::finding::{Finding, Severity};
use crate::garment::{EvaluatedPiece, Found};
use crate::geometry::Vec2;

/// Furthest that a fold edge may leave the straight, in mm.
const FOLD_STRAIGHT_MM: f64 = 0.1;

/// A change of direction below this is none, in degrees: 1 mm over the length of a back is 0.05°.
const TURNED_DEGREES: f64 = 0.25;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let checks = [grainline, fold];
    let pieces = looked.pieces.iter();
    pieces
        .flat_map(|piece| checks.iter().filter_map(|check| check(piece)))
        .collect()
}

fn grainline(piece: &EvaluatedPiece) -> Option<Found> {
    let (is, was) = (&piece.altered.grainline, &piece.printed.grainline);
    let turned = degrees_between(was.direction(), is.direction());
    (turned.abs() > TURNED_DEGREES).then(|| {
        let id = &piece.altered.id;
        let what = format!(
            "the grainline of “{id}” has turned by {:.1}°: it would hang off-grain",
            turned.abs()
        );
        let remedy = "draw the grainline as it was printed, or take the alteration back";
        Finding::new(Severity::Warning, what, remedy)
            .on(id)
            .at(is.from)
            .into()
    })
}

fn fold(piece: &EvaluatedPiece) -> Option<Found> {
    let (fold, was) = (&piece.altered.fold()?.curve, &piece.printed.fold()?.curve);
    let id = &piece.altered.id;
    let bent = off_straight(fold);
    if bent > FOLD_STRAIGHT_MM {
        let what = format!("the fold of “{id}” leaves the straight by {bent:.1} mm: it cannot lie on a fold");
        let remedy = "take the alteration back that bent it, or cut the piece in two with a seam there";
        let middle = fold.point_at(0.5 * fold.length());
        return Some(
            Finding::new(Severity::Stop, what, remedy)
                .on(id)
                .at(middle)
                .by_mm(bent)
                .into(),
        );
    }
    let to_grain =
        |curve: &crate::geometry::Curve, grain: Vec2| degrees_between(grain, curve.end() - curve.start());
    let is = to_grain(fold, piece.altered.grainline.direction());
    let turned = is - to_grain(was, piece.printed.grainline.direction());
    (turned.abs() > TURNED_DEGREES).then(|| {
        let what = format!(
            "the fold of “{id}” has turned by {:.1}° against the grainline: it would be cut off-grain",
            turned.abs()
        );
        let remedy = "draw the grainline along the fold as it was printed";
        Finding::new(Severity::Warning, what, remedy)
            .on(id)
            .at(fold.start())
            .into()
    })
}

fn degrees_between(from: Vec2, to: Vec2) -> f64 {
    from.cross(to).atan2(from.dot(to)).to_degrees()
}
