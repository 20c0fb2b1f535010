//! The cap of a folded dart.
//!
//! T is the apex, θ the angle of the dart, M2 the end of the mouth towards which it is pressed. When the dart is
//! folded, its wedge lies under the piece beyond M2, so its edge must be the seam line there: the stretch beyond M2
//! over the angle θ/2 about T. Reflected in the leg T–M2 that stretch is the cap's half beside M2; turned by θ
//! about T it is the half beside M1. Both meet on the dart's middle line, at the radius that the seam has at θ/2.
//! So true, the angles at both ends of the mouth add to 180° where the closed seam is straight.

use super::{Wedge, dart_named};
use crate::alter::AlterError;
use crate::geometry::{Affine, Curve, Point, Segment, Vec2, crossings};
use crate::pattern::{DartId, Piece};

/// How far the seam beyond the mouth is carried on straight when it ends within the wedge, in mm.
const CARRY_ON_MM: f64 = 200.0;

/// Whether the mouth has a cap: an untrued mouth is straight.
pub(in crate::alter) fn is_trued(piece: &Piece, wedge: &Wedge) -> bool {
    !matches!(piece.edges[wedge.mouth].curve.segments(), [Segment::Line(_)])
}

/// Draws the cap of a dart with equal legs.
pub(in crate::alter) fn true_cap(piece: &mut Piece, dart: &DartId) -> Result<(), AlterError> {
    let wedge = Wedge::of(piece, dart_named(piece, dart)?)?;
    let [first_mm, second_mm] = wedge.legs();
    if !super::equal_legs(&wedge) {
        return Err(AlterError::LegsDiffer {
            piece: piece.id.clone(),
            dart: dart.clone(),
            first_mm,
            second_mm,
        });
    }
    let count = piece.edges.len();
    // The seam beyond the end that the dart is pressed to, going away from it.
    let (pressed, beyond, turn) = if wedge.pressed_to_first {
        let before = &piece.edges[(wedge.mouth + count - 1) % count].curve;
        (wedge.ends[0], before.reversed(), wedge.angle())
    } else {
        let after = &piece.edges[(wedge.mouth + 1) % count].curve;
        (wedge.ends[1], after.clone(), -wedge.angle())
    };
    let leg = pressed - wedge.apex;
    let ray = Vec2::from_angle(leg.atan2() - 0.5 * turn);
    let beyond = beyond.extended(0.0, CARRY_ON_MM);
    let line = Curve::line(wedge.apex, wedge.apex + (leg.hypot() + CARRY_ON_MM) * ray);
    let tip = crossings(&beyond, &line).into_iter().next();
    let stretch = tip.and_then(|tip| beyond.portion(0.0, tip.on_first));
    let stretch = stretch.ok_or_else(|| AlterError::NoCap { piece: piece.id.clone(), dart: dart.clone() })?;
    let reflected = stretch.transformed(Affine::reflect(wedge.apex, leg));
    let turned = stretch.transformed(Affine::rotate_about(turn, wedge.apex)).reversed();
    let Ok(cap) = reflected.joined(&turned.with_ends(reflected.end(), turned.end())) else {
        return Err(AlterError::NoCap { piece: piece.id.clone(), dart: dart.clone() });
    };
    let cap = if wedge.pressed_to_first { cap } else { cap.reversed() };
    piece.edges[wedge.mouth].curve = cap.with_ends(wedge.ends[0], wedge.ends[1]);
    Ok(())
}

/// Distance of a cap's furthest point from the apex, in mm, and that point.
#[must_use]
pub(super) fn tip_of(cap: &Curve, apex: Point) -> (Point, f64) {
    let joints = cap.segments().iter().map(Segment::end);
    let furthest = joints.max_by(|a, b| a.distance(apex).total_cmp(&b.distance(apex)));
    let tip = furthest.unwrap_or(apex);
    (tip, tip.distance(apex))
}
