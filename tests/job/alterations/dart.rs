//! Darts: cap, legs, apex, place, and the dart that a lengthening goes across.

use super::draft::*;
use super::measure::*;
use super::{applied, last_report, list};
use chalkbeam::alter::{
    AlterDart, AlterError, DartChange, DartsAcross, Lengthen, LengthenAt, Outcome, Place, Record, Replay,
    replay,
};
use chalkbeam::geometry::{Affine, Curve, Line, Point};
use chalkbeam::pattern::*;
use std::f64::consts::PI;
use std::sync::Arc;

fn bust(change: DartChange) -> Record {
    Record::Dart(AlterDart { piece: "front".into(), dart: "bust".into(), change })
}

fn front(replayed: &Replay) -> &Piece {
    replayed.piece(&"front".into()).unwrap()
}

/// Interior angles at both ends of the mouth, in radians.
fn angles(piece: &Piece) -> [f64; 2] {
    let mouth = piece.dart_mouth(&"bust".into()).unwrap();
    let at = piece.edge_index(&mouth.id).unwrap();
    let count = piece.edges.len();
    let inside = |first: usize, second: usize| {
        let (a, b) = (
            piece.edges[first % count].curve.end_tangent(),
            piece.edges[second % count].curve.start_tangent(),
        );
        PI - a.cross(b).atan2(a.dot(b))
    };
    [inside(at + count - 1, at), inside(at, at + 1)]
}

/// The published numbers of size 88: leg 105.24; cap tip (243.27, 121.58), 110.27 from the apex. Trued, the seam
/// runs on straight into the cap at the end that folds over, and is its own mirror image at the other.
#[test]
fn the_trued_cap_of_the_coats_dart_is_as_tabled() {
    let pattern = coat();
    let theta = 13.5_f64.to_radians();
    let untrued = angles(pattern.piece(&"front".into(), &"88".into()).unwrap());
    assert!((untrued[0] + untrued[1] - 2.0 * PI + theta).abs() < 1e-9);
    let trued = applied(&pattern, "88", [bust(DartChange::True)]);
    let report = last_report(&trued);
    let number = |name: &str| report.figure(name, Some(&"front".into())).unwrap().after.number();
    assert!((number("first dart leg") - 105.24).abs() < 0.005);
    assert!((number("second dart leg") - 105.24).abs() < 0.005);
    assert!((number("dart angle") - 13.5).abs() < 1e-9);
    assert!((number("dart cap tip from apex") - 110.27).abs() < 0.005);
    let mouth = front(&trued).dart_mouth(&"bust".into()).unwrap();
    let tip = Point::new(243.27, 121.58);
    assert!(mouth.curve.segments().iter().any(|part| part.end().distance(tip) < 0.008));
    let d = draft(1);
    let [at_lower, at_upper] = angles(front(&trued));
    assert!((at_upper - PI).abs() < 1e-6, "{}", at_upper.to_degrees());
    let (leg, seam) = (d.t - d.m2, d.v - d.m2);
    let gamma = leg.cross(seam).atan2(leg.dot(seam)).abs();
    assert!((at_lower - 2.0 * gamma).abs() < 1e-6, "{}", at_lower.to_degrees());
    // Folded, the cap lies on the seam below the dart.
    for step in 0..=20 {
        let point = mouth.curve.point_at(mouth.curve.length() * f64::from(step) / 20.0);
        let angle = (point - d.t).atan2() - (d.m2 - d.t).atan2();
        let folded = if angle <= 0.5 * theta {
            Affine::reflect(d.t, d.m2 - d.t) * point
        } else {
            Affine::rotate_about(-theta, d.t) * point
        };
        let (_, off) = front(&trued).edge(&"side_lower".into()).unwrap().curve.nearest(folded);
        assert!(off < 1e-6, "{off}");
    }
}

#[test]
fn a_raised_apex_asks_for_equal_legs_and_then_trues() {
    let raise = bust(DartChange::MoveApex { up: mm(12.0), withdraw: mm(15.0) });
    let raised = applied(&coat(), "88", [raise.clone()]);
    assert!(last_report(&raised).notes[0].contains("Equalise"));
    let d = draft(1);
    let moved = d.t + chalkbeam::geometry::Vec2::new(0.0, 12.0);
    let axis = (d.m1.midpoint(d.m2) - moved).normalize();
    assert!(front(&raised).darts[0].apex.distance(moved + 15.0 * axis) < 1e-9);
    assert!(matches!(
        &replay(&coat(), &"88".into(), &list([raise.clone(), bust(DartChange::True)])).steps[1].outcome,
        Outcome::Failed(AlterError::LegsDiffer { .. })
    ));
    let equal = [raise, bust(DartChange::EqualiseLegs { slide: None }), bust(DartChange::True)];
    let done = applied(&coat(), "88", equal);
    let mouth = front(&done).dart_mouth(&"bust".into()).unwrap();
    let apex = front(&done).darts[0].apex;
    let legs = [mouth.curve.start(), mouth.curve.end()].map(|end| end.distance(apex));
    assert!((legs[0] - legs[1]).abs() < 1e-6);
    // The lower end, towards which it is pressed, has stayed; the upper has slid on its seam's line.
    assert!(mouth.curve.start().distance(d.m2) < 1e-9);
    let off_line = (d.u_front - d.m1).cross(mouth.curve.end() - d.m1) / (d.u_front - d.m1).hypot();
    assert!(off_line.abs() < 1e-6);
}

/// The seam with its dart closed: the upper part turned about the apex by the dart's angle.
fn closed_side(piece: &Piece) -> f64 {
    ["side_upper", "side_lower"].iter().map(|&edge| sampled(&piece.edge(&edge.into()).unwrap().curve)).sum()
}

#[test]
fn a_mouth_moved_along_its_seam_leaves_the_closed_seam_as_it_was() {
    let pattern = coat();
    let printed = pattern.piece(&"front".into(), &"88".into()).unwrap();
    for toward in ["side_upper", "side_lower"] {
        let moved =
            applied(&pattern, "88", [bust(DartChange::MoveMouth { toward: toward.into(), by: mm(25.0) })]);
        let piece = front(&moved);
        assert!((closed_side(piece) - closed_side(printed)).abs() < 1e-3);
        let change = last_report(&moved).edge(&"front".into(), &toward.into()).unwrap();
        assert!((change.before_mm - change.after_mm - 25.0).abs() < 1e-6);
        let angle = last_report(&moved).figure("dart angle", Some(&"front".into())).unwrap();
        assert!((angle.after.number() - 13.5).abs() < 1e-6);
        // Closed at the new place, the seam is the old seam closed: every point keeps its distance from the apex.
        let d = draft(1);
        let upper = |piece: &Piece| piece.corner(&"underarm".into()).unwrap().distance(d.t);
        assert!((upper(piece) - upper(printed)).abs() < 1e-9);
        for notch in &piece.notches {
            let was = printed.notches.iter().find(|was| was.id == notch.id).unwrap();
            let sewn = |piece: &Piece, notch: &Notch| {
                let place = piece.notch_point(notch).unwrap();
                place.distance(d.t)
            };
            assert!((sewn(piece, notch) - sewn(printed, was)).abs() < 1e-6);
        }
    }
}

#[test]
fn a_dart_turned_into_the_armhole_keeps_its_angle_and_cuts_the_armhole_in_two() {
    let pattern = coat();
    let printed = pattern.piece(&"front".into(), &"88".into()).unwrap();
    let into_armhole = bust(DartChange::Rotate {
        to: Place::FromCorner { corner: "shoulder_tip".into(), edge: "armhole".into(), distance: mm(90.0) },
        about: Some("bust point".to_owned()),
        withdraw: mm(20.0),
    });
    let turned = applied(&pattern, "88", [into_armhole]);
    let piece = front(&turned);
    let length = |id: &str| sampled(&piece.edge(&id.into()).unwrap().curve);
    let printed_length = |id: &str| sampled(&printed.edge(&id.into()).unwrap().curve);
    assert!((length("armhole 2") - 90.0).abs() < 1e-3);
    assert!((length("armhole") + length("armhole 2") - printed_length("armhole")).abs() < 1e-3);
    for id in ["side_upper", "side_lower", "shoulder", "neck", "hem", "front_edge"] {
        assert!((length(id) - printed_length(id)).abs() < 1e-6, "{id}");
    }
    let mouth = piece.dart_mouth(&"bust".into()).unwrap();
    let d = draft(1);
    let (a, b) = (mouth.curve.start() - d.t, mouth.curve.end() - d.t);
    assert!((a.cross(b).atan2(a.dot(b)).abs() - 13.5_f64.to_radians()).abs() < 1e-9);
    assert!((a.hypot() - b.hypot()).abs() < 1e-9, "legs from the bust point are equal");
    let apex = piece.darts[0].apex;
    assert!((apex.distance(d.t) - 20.0).abs() < 1e-9);
    // The old mouth is closed: below the underarm the side runs on without a gap or a bend.
    let upper = &piece.edge(&"side_upper".into()).unwrap().curve;
    let lower = &piece.edge(&"side_lower".into()).unwrap().curve;
    assert!(lower.end().distance(upper.start()) < 1e-9);
    assert!(lower.end_tangent().cross(upper.start_tangent()).abs() < 1e-9);
    assert!(piece.corner(&"underarm".into()).unwrap().distance(d.u) < 1e-6, "back at the drafted underarm");
}

#[test]
fn a_seam_whose_edge_is_cut_by_a_dart_stands_for_both_parts() {
    let mut pattern = coat();
    pattern.seams.push(seam(
        "sleeve",
        [run("front", "underarm", &["armhole"]), run("back", "underarm", &["armhole"])],
    ));
    let to = Place::FromCorner { corner: "shoulder_tip".into(), edge: "armhole".into(), distance: mm(90.0) };
    let turned = applied(&pattern, "88", [bust(DartChange::Rotate { to, about: None, withdraw: mm(0.0) })]);
    let sleeve = turned.seams.iter().find(|seam| seam.id.as_str() == "sleeve").unwrap();
    assert_eq!(sleeve.sides[0].edges, ["armhole", "armhole 2"].map(EdgeId::from));
}

/// A front with a French dart: from the bust point down to the side seam below the waist.
fn french() -> Pattern {
    let apex = Point::new(100.0, 140.0);
    let leg = |degrees: f64| apex + 230.0 * chalkbeam::geometry::Vec2::from_angle(degrees.to_radians());
    let [hem_front, hem_side] = [(0.0, -300.0), (250.0, -300.0)].map(Point::from);
    let [underarm, neck] = [(240.0, 250.0), (0.0, 260.0)].map(Point::from);
    let corners = [hem_front, hem_side, leg(-50.0), leg(-42.0), underarm, neck];
    let names = ["hem_front", "hem_side", "dart_lower", "dart_upper", "underarm", "neck"];
    let roles = [
        EdgeRole::Hem,
        EdgeRole::Seam,
        EdgeRole::DartMouth("french".into()),
        EdgeRole::Seam,
        EdgeRole::Seam,
        EdgeRole::Opening,
    ];
    let ids = ["hem", "side_lower", "mouth", "side_upper", "top", "front_edge"];
    let edges = (0..6).map(|at| {
        let next = (at + 1) % 6;
        edge(ids[at], names[at], names[next], roles[at].clone(), Curve::line(corners[at], corners[next]))
    });
    let mut front = piece("front", edges.collect(), 2, HowCut::MirroredPair);
    front.darts = vec![Dart { id: "french".into(), apex, pressed_toward: "dart_lower".into() }];
    front.grainline = Grainline { from: Point::new(40.0, -200.0), to: Point::new(40.0, 200.0) };

    front.balance_lines = vec![BalanceLine {
        id: "waist".into(),
        line: Line::new(Point::new(0.0, 60.0), Point::new(260.0, 60.0)),
    }];
    lone(front)
}

#[test]
fn a_french_dart_is_drawn_again_with_its_mouth_or_with_its_angle() {
    let pattern = french();
    let printed = Arc::clone(pattern.piece(&"front".into(), &"one".into()).unwrap());
    let shorter = |darts: DartsAcross| {
        Record::Lengthen(Lengthen {
            at: LengthenAt::BalanceLine { line: "waist".into(), half_band: None, darts },
            longer_by: mm(-20.0),
        })
    };
    let refused = replay(&pattern, &"one".into(), &list([shorter(DartsAcross::Refuse)]));
    assert!(
        matches!(&refused.steps[0].outcome, Outcome::Failed(AlterError::DartInBand { .. })),
        "{:?}",
        refused.steps[0].outcome
    );
    let kept = applied(&pattern, "one", [shorter(DartsAcross::KeepMouth)]);
    let number = |replayed: &Replay, name: &str| {
        let figure = last_report(replayed).figure(name, Some(&"front".into())).unwrap();
        (figure.before.unwrap().number(), figure.after.number())
    };
    assert_eq!(front(&kept).darts[0].apex, printed.darts[0].apex);
    let (first, second) = (number(&kept, "first dart leg").1, number(&kept, "second dart leg").1);
    assert!((first - second).abs() < 1e-6);
    let angled = applied(&pattern, "one", [shorter(DartsAcross::KeepAngle)]);
    let (before, after) = number(&angled, "dart angle");
    assert!((before - after).abs() < 1e-9);
    let (leg, mouth) = (number(&angled, "first dart leg").1, number(&angled, "dart mouth").1);
    assert!((mouth - 2.0 * leg * (0.5 * after.to_radians()).sin()).abs() < 1e-9);
}
