//! The hem, parallel to itself.

use super::draft::*;
use super::lengthen::at_waist;
use super::measure::*;
use super::{applied, last_report, list};
use chalkbeam::alter::{AlterError, Hem, Outcome, Pieces, Record, garment_hem_length, replay};
use chalkbeam::geometry::{Curve, Point};
use chalkbeam::pattern::{EdgeRole, HowCut, TraceKind};
use std::f64::consts::{FRAC_PI_2, PI};

pub(super) fn hem(longer_by: f64) -> Record {
    Record::Hem(Hem::parallel(Pieces::All, mm(longer_by)))
}

/// Circle skirts: r = W/2π for the full circle, W/π for the half (the usual rule; radii of W = 26 in agree with
/// a circle-formula tutorial, 4.13 and 8.28 in). Hems are πR and 2πR, computed here.
#[test]
fn circle_skirts_have_the_hem_of_their_circle_and_lose_their_turn_times_the_amount() {
    let (waist, length) = (700.0, 600.0);
    let half = circle_skirt(waist / PI, length, FRAC_PI_2, 1, HowCut::OpenedOut);
    assert!((waist / PI - 222.82).abs() < 0.005);
    let pattern = lone(half);
    let as_bought = replay(&pattern, &"one".into(), &[]);
    assert!((garment_hem_length(&as_bought.pieces) - 2584.96).abs() < 0.005);
    let shorter = applied(&pattern, "one", [hem(-76.2)]);
    let all_round = last_report(&shorter).figure("hem all round", None).unwrap();
    assert!((all_round.before.unwrap().number() - 2584.96).abs() < 0.005);
    assert!((all_round.after.number() - 2345.57).abs() < 0.005, "{all_round:?}");
    let edge = shorter.piece(&"skirt".into()).unwrap().edge(&"hem".into()).unwrap().clone();
    assert!((2.0 * sampled(&edge.curve) - 2345.57).abs() < 0.005);

    let full = lone(circle_skirt(waist / (2.0 * PI), length, FRAC_PI_2, 2, HowCut::OnFold));
    let as_bought = replay(&full, &"one".into(), &[]);
    assert!((garment_hem_length(&as_bought.pieces) - 4469.91).abs() < 0.005);
}

#[test]
fn the_coats_hem_is_the_old_circle_about_its_centre_and_square_to_its_seams() {
    for (size, name, by) in [(1, "88", -80.0), (3, "96", 35.0), (3, "96", -80.0)] {
        let d = draft(size);
        let altered = applied(&coat(), name, [hem(by)]);
        let radius = d.c.y + 720.0 + by;
        let length = radius * 15_f64.to_radians();
        for id in ["back", "front"] {
            let piece = altered.piece(&id.into()).unwrap();
            let edge = piece.edge(&"hem".into()).unwrap();
            assert_eq!(edge.curve.segments().len(), 1, "an arc stays one arc");
            assert!((sampled(&edge.curve) - length).abs() < 0.005);
            assert!((edge.curve.start() - Point::new(0.0, -720.0 - by)).hypot() < 1e-6);
            let lean = 15_f64.to_radians();
            let end = Point::new(radius * lean.sin(), d.c.y - radius * lean.cos());
            assert!(edge.curve.end().distance(end) < 1e-6);
            assert_eq!(piece.traces.len(), 1);
            assert_eq!(piece.traces[0].kind, TraceKind::OldHem);
        }
        let front = altered.piece(&"front".into()).unwrap();
        assert!((front.edge(&"hem_overlap".into()).unwrap().curve.length() - 30.0).abs() < 1e-6);
        let ease =
            last_report(&altered).figure("to ease into the turned-up hem", Some(&"back".into())).unwrap();
        assert!((ease.after.number() - 25.0 * 15_f64.to_radians()).abs() < 1e-9, "6.54 mm per quarter");
        for piece in ["back", "front"] {
            let (was, is) = (coat(), altered.piece(&piece.into()).unwrap());
            let was = was.piece(&piece.into(), &name.into()).unwrap();
            for (before, after) in was.notches.iter().zip(&is.notches) {
                let (before, after) = (was.notch_point(before).unwrap(), is.notch_point(after).unwrap());
                assert!(before.distance(after) < 1e-4, "notches beside the hem stay on the cloth");
            }
        }
    }
}

#[test]
fn lengthened_by_21_and_shortened_by_80_the_coat_is_as_tabled() {
    // Size 96 alone (no blend): quarter 414.59 − 80·15° = 393.65; H = (389.17, −609.76); centre front −661.
    let altered = applied(&coat(), "96", [at_waist(21.0, Some(50.0)), hem(-80.0)]);
    let back = altered.piece(&"back".into()).unwrap();
    let quarter = sampled(&back.edge(&"hem".into()).unwrap().curve);
    assert!((quarter - 393.65).abs() < 0.02, "{quarter}");
    let corner = back.corner(&"hem_side".into()).unwrap();
    assert!(corner.distance(Point::new(389.17, -609.76)) < 0.02, "{corner:?}");
    let front = altered.piece(&"front".into()).unwrap();
    assert!((front.corner(&"hem_front".into()).unwrap().y + 661.0).abs() < 0.02);
    assert!((garment_hem_length(&altered.pieces) - 1634.60).abs() < 0.05);
}

#[test]
fn the_old_hem_moves_along_with_later_alterations() {
    let altered = applied(&coat(), "88", [hem(-80.0), at_waist(21.0, None)]);
    let trace = &altered.piece(&"back".into()).unwrap().traces[0];
    assert!((trace.curve.start() - Point::new(0.0, -741.0)).hypot() < 1e-9);
}

#[test]
fn a_straight_hem_at_a_slant_meets_its_seams_where_the_sine_says() {
    // Along a seam that meets the hem at ψ, a straight hem moves by h / sin ψ.
    let psi = 70_f64.to_radians();
    let (a, b) = (Point::new(0.0, 0.0), Point::new(300.0, 0.0));
    let top = b + 400.0 * chalkbeam::geometry::Vec2::new(-psi.cos(), psi.sin());
    let skirt = piece(
        "gore",
        vec![
            edge("hem", "left", "right", EdgeRole::Hem, Curve::line(a, b)),
            edge("side", "right", "top", EdgeRole::Seam, Curve::line(b, top)),
            edge("waist", "top", "waist", EdgeRole::Seam, Curve::line(top, Point::new(0.0, top.y))),
            edge("centre", "waist", "left", EdgeRole::Seam, Curve::line(Point::new(0.0, top.y), a)),
        ],
        4,
        HowCut::MirroredPair,
    );
    for by in [-50.0, 50.0] {
        let altered = applied(&lone(skirt.clone()), "one", [hem(by)]);
        let change = last_report(&altered).edge(&"gore".into(), &"side".into()).unwrap();
        assert!((change.after_mm - change.before_mm - by / psi.sin()).abs() < 1e-6);
    }
}

#[test]
fn a_hem_shortened_past_its_centre_of_curvature_is_refused() {
    let skirt = lone(circle_skirt(20.0, 100.0, FRAC_PI_2, 1, HowCut::OpenedOut));
    let replayed = replay(&skirt, &"one".into(), &list([hem(-130.0)]));
    assert!(matches!(&replayed.steps[0].outcome, Outcome::Failed(AlterError::NoParallel { .. })));
    // Above the waist line there is no skirt left to hem.
    let replayed = replay(&skirt, &"one".into(), &list([hem(-110.0)]));
    assert!(matches!(&replayed.steps[0].outcome, Outcome::Failed(_)), "{:?}", replayed.steps[0].outcome);
}
