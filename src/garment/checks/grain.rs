//! Grainline and fold: as straight, and in the same direction, as they were printed.

use super::{Looked, off_straight};
use crate::finding::{Finding, Severity};
use crate::garment::{EvaluatedPiece, Found};
use crate::geometry::{Affine, Curve, Vec2};

/// Furthest that a fold edge may leave the straight, in mm.
const FOLD_STRAIGHT_MM: f64 = 0.1;

/// A change of direction below this is none, in degrees: 1 mm over the length of a back is 0.05°.
const TURNED_DEGREES: f64 = 0.25;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let checks = [grainline, fold];
    let pieces = looked.pieces.iter();
    pieces.flat_map(|piece| checks.iter().filter_map(|check| check(piece))).collect()
}

fn grainline(piece: &EvaluatedPiece) -> Option<Found> {
    let (is, was) = (&piece.altered.grainline, &piece.printed.grainline);
    let turned = degrees_between(was.direction(), is.direction());
    (turned.abs() > TURNED_DEGREES).then(|| {
        let id = &piece.altered.id;
        let what =
            format!("the grainline of “{id}” has turned by {:.1}°: it would hang off-grain", turned.abs());
        let remedy = "draw the grainline as it was printed, or take the alteration back";
        Finding::new(Severity::Warning, what, remedy).on(id).at(is.from).into()
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
        return Some(Finding::new(Severity::Stop, what, remedy).on(id).at(middle).by_mm(bent).into());
    }
    let along = |curve: &Curve| curve.end() - curve.start();
    let grain_turned = Affine::rotate(
        degrees_between(piece.printed.grainline.direction(), piece.altered.grainline.direction())
            .to_radians(),
    );
    let as_printed = (grain_turned * along(was).to_point()).to_vec2();
    let turned = degrees_between(as_printed, along(fold));
    (turned.abs() > TURNED_DEGREES).then(|| {
        let what = format!(
            "the fold of “{id}” has turned by {:.1}° against the grainline: it would be cut off-grain",
            turned.abs()
        );
        let remedy = "draw the grainline along the fold as it was printed";
        Finding::new(Severity::Warning, what, remedy).on(id).at(fold.start()).into()
    })
}

fn degrees_between(from: Vec2, to: Vec2) -> f64 {
    from.cross(to).atan2(from.dot(to)).to_degrees()
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{evaluated, rectangle};
    use super::*;
    use crate::geometry::Point;

    fn looked(change: impl FnOnce(&mut crate::pattern::Piece)) -> [Option<Found>; 2] {
        let printed = rectangle("skirt", 200.0, 300.0);
        let mut altered = printed.clone();
        change(&mut altered);
        let piece = evaluated(printed, altered);
        [grainline(&piece), fold(&piece)]
    }

    fn fold_of(piece: &mut crate::pattern::Piece) -> &mut Curve {
        let fold = piece.edges.iter_mut().find(|edge| edge.id.as_str() == "fold");
        &mut fold.unwrap().curve
    }

    #[test]
    fn a_longer_piece_keeps_its_grain() {
        let silent = looked(|piece| {
            *fold_of(piece) = Curve::line(Point::new(0.0, 340.0), Point::ORIGIN);
            piece.grainline.to.y += 40.0;
        });
        assert_eq!(silent, [None, None]);
    }

    #[test]
    fn a_turned_grainline_is_warned_about() {
        // 10 mm over 200 mm: 2.9°, and as much against the fold, which stayed.
        let [grain, fold] = looked(|piece| piece.grainline.to.x += 10.0);
        assert!(grain.unwrap().what.contains("2.9°"));
        assert!(fold.unwrap().what.contains("2.9°"));
    }

    #[test]
    fn a_bent_fold_stops_the_cutting() {
        let [_, fold] = looked(|piece| {
            let by_way_of = [Point::new(0.0, 300.0), Point::new(2.0, 150.0), Point::ORIGIN];
            *fold_of(piece) = Curve::polyline(&by_way_of).unwrap();
        });
        let fold = fold.unwrap();
        assert_eq!(fold.severity, Severity::Stop);
        assert!((fold.amount_mm.unwrap() - 2.0).abs() < 1e-9);
    }
}
