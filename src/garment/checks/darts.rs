//! Darts: legs as long as each other, and a cap that fits the way the dart is pressed.
//!
//! Folded and pressed, the wedge of a dart is caught in the seam. On paper: take the seam beyond the leg that the dart
//! is pressed toward, over half the dart's angle; the cap beside that leg is its mirror image in the leg, the cap
//! beside the other leg is the same stretch turned about the apex by the whole angle. So each half of the cap is
//! brought back onto that seam and must lie on it.

use super::Looked;
use crate::alter::{AlterDart, DartChange, Record};
use crate::finding::{Finding, Severity};
use crate::garment::{Command, Found, Mend};
use crate::geometry::{Affine, Curve, Point, Vec2};
use crate::pattern::{Dart, Piece};

/// Difference between a dart's legs that is sewn away, in mm.
const LEGS_MM: f64 = 0.5;

/// A cap may leave the folded seam by so much, in mm: half a seam's own tolerance.
const CAP_MM: f64 = 0.75;

/// Points of a cap that are looked at.
const SAMPLES: u32 = 16;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let pieces = looked.pieces.iter().map(|piece| &piece.altered);
    let darts = pieces.flat_map(|piece| piece.darts.iter().map(move |dart| (piece, dart)));
    darts.flat_map(|(piece, dart)| [legs(piece, dart), cap(piece, dart)]).flatten().collect()
}

fn legs(piece: &Piece, dart: &Dart) -> Option<Found> {
    let mouth = &piece.dart_mouth(&dart.id)?.curve;
    let [first, second] = [mouth.start(), mouth.end()].map(|end| end.distance(dart.apex));
    let longer = second - first;
    (longer.abs() > LEGS_MM).then(|| {
        let what = format!(
            "the legs of the dart “{}” on “{}” are {first:.1} mm and {second:.1} mm long",
            dart.id, piece.id
        );
        let remedy = "move one end of its mouth along the seam until both legs are as long";
        let finding = Finding::new(Severity::Warning, what, remedy);
        let finding = finding.on(&piece.id).at(dart.apex).by_mm(longer);
        Found::mended_by(finding, Some(mend(piece, dart, DartChange::EqualiseLegs { slide: None })))
    })
}

fn cap(piece: &Piece, dart: &Dart) -> Option<Found> {
    let (off_mm, at) = cap_off(piece, dart)?;
    (off_mm > CAP_MM).then(|| {
        let what = format!(
            "the cap of the dart “{}” on “{}” does not fit its being pressed toward “{}”: {off_mm:.1} mm off the seam \
             when folded",
            dart.id, piece.id, dart.pressed_toward
        );
        let remedy = "true the dart: fold it, press it that way, and cut the cap along the seam";
        let finding = Finding::new(Severity::Warning, what, remedy);
        let finding = finding.on(&piece.id).at(at).by_mm(off_mm);
        Found::mended_by(finding, Some(mend(piece, dart, DartChange::True)))
    })
}

fn mend(piece: &Piece, dart: &Dart, change: DartChange) -> Mend {
    let record = Record::Dart(AlterDart { piece: piece.id.clone(), dart: dart.id.clone(), change });
    Mend { words: record.words(), command: Command::AddAlteration(record) }
}

/// Furthest that the folded cap leaves the seam, and where on the open piece.
fn cap_off(piece: &Piece, dart: &Dart) -> Option<(f64, Point)> {
    let mouth = piece.dart_mouth(&dart.id)?;
    let index = piece.edge_index(&mouth.id)?;
    let count = piece.edges.len();
    let toward_start = mouth.from == dart.pressed_toward;
    let seam = &piece.edges[if toward_start { index + count - 1 } else { index + 1 } % count].curve;
    let (near, far) = if toward_start {
        (mouth.curve.start(), mouth.curve.end())
    } else {
        (mouth.curve.end(), mouth.curve.start())
    };
    let (near, far) = (near - dart.apex, far - dart.apex);
    if near.hypot() <= 0.0 || far.hypot() <= 0.0 {
        return None;
    }
    let angle = signed_angle(near, far);
    // A seam that is shorter than the dart is wide goes on straight: in sewing, into the next seam's allowance.
    let beyond = seam.extended(near.hypot(), near.hypot());
    let mirror = Affine::reflect(dart.apex, near);
    let turn_back = Affine::rotate_about(-angle, dart.apex);
    let share = |k: u32| f64::from(k) / f64::from(SAMPLES);
    (0..=SAMPLES)
        .map(|k| {
            let at = mouth.curve.point_at(share(k) * mouth.curve.length());
            let along = signed_angle(near, at - dart.apex) / angle;
            let folded = if along <= 0.5 { mirror * at } else { turn_back * at };
            (off_curve(&beyond, folded), at)
        })
        .max_by(|a, b| a.0.total_cmp(&b.0))
}

fn off_curve(curve: &Curve, point: Point) -> f64 {
    curve.distance_to(point)
}

fn signed_angle(from: Vec2, to: Vec2) -> f64 {
    from.cross(to).atan2(from.dot(to))
}
