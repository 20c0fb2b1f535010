//! Shoulder slope, width along a seam, neckline and armhole.

use super::draft::*;
use super::measure::*;
use super::{applied, last_report, list};
use chalkbeam::alter::{
    AlterError, Fade, Opening, OpeningPart, Outcome, Place, Record, Replay, Shoulder, ShoulderArmhole,
    ShoulderPart, Width, replay,
};
use chalkbeam::geometry::{Point, parallel};
use chalkbeam::pattern::Piece;

fn shoulder(back: f64, front: f64, armhole: ShoulderArmhole) -> Record {
    let part = |piece: &str, lower_by: f64| ShoulderPart {
        piece: piece.into(),
        shoulder: "shoulder".into(),
        armhole: "armhole".into(),
        lower_by: mm(lower_by),
    };
    Record::Shoulder(Shoulder { parts: vec![part("back", back), part("front", front)], armhole })
}

fn length(piece: &Piece, edge: &str) -> f64 {
    sampled(&piece.edge(&edge.into()).unwrap().curve)
}

fn made<'a>(replayed: &'a Replay, piece: &str) -> &'a Piece {
    replayed.piece(&piece.into()).unwrap()
}

#[test]
fn a_pad_taken_out_lowers_the_tip_and_keeps_shoulder_and_armhole() {
    let pattern = coat();
    for (back, front) in [(8.0, 8.0), (12.0, 6.0), (-5.0, -5.0)] {
        let done = applied(&pattern, "88", [shoulder(back, front, ShoulderArmhole::Keep)]);
        for (id, by, slope) in [("back", back, 18.0_f64), ("front", front, 22.0)] {
            let old = pattern.piece(&id.into(), &"88".into()).unwrap();
            let new = made(&done, id);
            let tip = |piece: &Piece| piece.corner(&"shoulder_tip".into()).unwrap();
            assert!((tip(old).y - tip(new).y - by).abs() < 1e-9);
            assert!((length(new, "shoulder") - 114.0).abs() < 1e-9);
            assert!((length(new, "armhole") - length(old, "armhole")).abs() < 1e-6);
            let figure = last_report(&done).figure("slope of the shoulder", Some(&id.into())).unwrap();
            let expected = (slope.to_radians().sin() + by / 114.0).asin().to_degrees();
            assert!((figure.after.number() - expected).abs() < 1e-9);
            let side = if id == "back" { "side" } else { "side_upper" };
            let shorter = length(old, side) - length(new, side);
            assert!((shorter - by).abs() < 0.2 * by.abs(), "{id}: the side is about {by} shorter: {shorter}");
            // The underarm lies on the printed side seam or its continuation.
            let d = draft(1);
            let (on, along) = if id == "back" { (d.u, d.u - d.v) } else { (d.u_front, d.u_front - d.m1) };
            let underarm = new.corner(&"underarm".into()).unwrap();
            assert!((along.cross(underarm - on) / along.hypot()).abs() < 1e-6);
        }
    }
}

/// Worked by hand for the coat: a pad of 8 mm tightens each armhole by about 7 mm.
#[test]
fn without_a_sleeve_the_armhole_may_be_tightened_instead() {
    let pattern = coat();
    let done = applied(&pattern, "88", [shoulder(8.0, 8.0, ShoulderArmhole::Tighten)]);
    for id in ["back", "front"] {
        let old = pattern.piece(&id.into(), &"88".into()).unwrap();
        let shrunk = length(old, "armhole") - length(made(&done, id), "armhole");
        assert!((shrunk - 7.0).abs() < 0.6, "{id} {shrunk}");
        assert_eq!(old.corner(&"underarm".into()), made(&done, id).corner(&"underarm".into()));
    }
    let steep = replay(&pattern, &"88".into(), &list([shoulder(90.0, 8.0, ShoulderArmhole::Keep)]));
    assert!(matches!(&steep.steps[0].outcome, Outcome::Failed(AlterError::TooSteep { .. })));
}

fn side_out(by: f64, full: Place, nothing: Place, also_nothing: Option<Place>) -> Record {
    Record::Width(Width { piece: "back".into(), full, nothing, also_nothing, let_out: mm(by) })
}

fn corner(id: &str) -> Place {
    Place::Corner { corner: id.into() }
}

fn at_notch(id: &str) -> Place {
    Place::Notch { notch: id.into() }
}

#[test]
fn a_side_seam_let_out_at_the_hem_fades_to_nothing_at_the_underarm_on_both_mates() {
    let pattern = coat();
    for by in [10.0, -10.0] {
        let done = applied(&pattern, "88", [side_out(by, corner("hem_side"), corner("underarm"), None)]);
        let d = draft(1);
        for id in ["back", "front"] {
            let (old, new) = (pattern.piece(&id.into(), &"88".into()).unwrap(), made(&done, id));
            assert_eq!(old.edge(&"armhole".into()), new.edge(&"armhole".into()));
            // The hem, a circle square to the seam, goes on along its circle by the amount, as the seam's end is parallel.
            let corner = new.corner(&"hem_side".into()).unwrap();
            assert!((corner.distance(d.c) - (d.c.y + 720.0)).abs() < 1e-6);
            assert!((length(new, "hem") - length(old, "hem") - by).abs() < 0.01);
        }
        let back = length(made(&done, "back"), "side");
        let front = length(made(&done, "front"), "side_upper") + length(made(&done, "front"), "side_lower");
        assert!((back - front).abs() < 0.1, "{back} {front}");
        let round = last_report(&done).figure("change all round, at the full place", None).unwrap();
        assert!((round.after.number() - 4.0 * by).abs() < 1e-9);
    }
}

#[test]
fn let_out_at_the_hip_only_the_seam_is_the_printed_one_above_v_and_at_the_hem() {
    let pattern = coat();
    let near_hem = Place::FromCorner { corner: "hem_side".into(), edge: "side".into(), distance: mm(100.0) };
    let done = applied(&pattern, "88", [side_out(6.0, at_notch("hip"), at_notch("v"), Some(near_hem))]);
    let (old, new) = (pattern.piece(&"back".into(), &"88".into()).unwrap(), made(&done, "back"));
    let seam = |piece: &Piece| piece.edge(&"side".into()).unwrap().curve.clone();
    for place in [20.0, 60.0, 100.0] {
        assert!(seam(old).nearest(seam(new).point_at(place)).1 < 1e-4);
    }
    let hip = old.notch_point(&old.notches[1]).unwrap();
    assert!((seam(new).nearest(hip).1 - 6.0).abs() < 1e-3);
    assert_eq!(old.edge(&"hem".into()), new.edge(&"hem".into()));
}

fn neck(front_edges: &[&str], by: f64, fade: Option<[&str; 2]>) -> Record {
    let part = |piece: &str, edges: &[&str], fade: Option<[&str; 2]>| OpeningPart {
        piece: piece.into(),
        edges: edges.iter().map(|&edge| edge.into()).collect(),
        lower_by: mm(by),
        fade: fade
            .map(|[full_at, nothing_at]| Fade { full_at: full_at.into(), nothing_at: nothing_at.into() }),
    };
    Record::Opening(Opening { parts: vec![part("front", front_edges, fade)] })
}

#[test]
fn a_neckline_lowered_evenly_is_the_parallel_and_shortens_the_shoulder() {
    let pattern = coat();
    let done = applied(&pattern, "88", [neck(&["neck", "neck_overlap"], 12.0, None)]);
    let (old, new) = (pattern.piece(&"front".into(), &"88".into()).unwrap(), made(&done, "front"));
    let exact = parallel(&old.edge(&"neck".into()).unwrap().curve, 12.0).unwrap();
    let made_neck = &new.edge(&"neck".into()).unwrap().curve;
    for step in 1..20 {
        let (_, off) = exact.nearest(made_neck.point_at(made_neck.length() * f64::from(step) / 20.0));
        assert!(off < 2e-3, "{off}");
    }
    // The neck meets the shoulder square, so the shoulder loses the amount.
    assert!((length(new, "shoulder") - 102.0).abs() < 0.01);
    assert!((new.corner(&"neck_front".into()).unwrap() - Point::new(-30.0, 343.0 - 12.0)).hypot() < 1e-6);
}

#[test]
fn a_neckline_lowered_in_front_keeps_the_shoulder_and_the_square_corner() {
    let pattern = coat();
    let done = applied(
        &pattern,
        "88",
        [neck(&["neck", "neck_overlap"], 15.0, Some(["neck_centre", "shoulder_neck"]))],
    );
    let (old, new) = (pattern.piece(&"front".into(), &"88".into()).unwrap(), made(&done, "front"));
    assert_eq!(old.edge(&"shoulder".into()), new.edge(&"shoulder".into()));
    assert!((new.corner(&"neck_centre".into()).unwrap().y - 328.0).abs() < 1e-6);
    assert!(
        new.edge(&"neck".into()).unwrap().curve.end_tangent().y.abs() < 1e-6,
        "still level at the centre"
    );
    assert!(length(new, "neck") > length(old, "neck"));
}

#[test]
fn an_armhole_lowered_at_the_underarm_shortens_the_side() {
    let pattern = coat();
    let lower = Record::Opening(Opening {
        parts: ["back", "front"]
            .into_iter()
            .map(|piece| OpeningPart {
                piece: piece.into(),
                edges: vec!["armhole".into()],
                lower_by: mm(10.0),
                fade: Some(Fade { full_at: "underarm".into(), nothing_at: "shoulder_tip".into() }),
            })
            .collect(),
    });
    let done = applied(&pattern, "88", [lower]);
    for (id, side) in [("back", "side"), ("front", "side_upper")] {
        let (old, new) = (pattern.piece(&id.into(), &"88".into()).unwrap(), made(&done, id));
        assert_eq!(old.edge(&"shoulder".into()), new.edge(&"shoulder".into()));
        let shorter = length(old, side) - length(new, side);
        assert!((shorter - 10.0).abs() < 0.3, "{id} {shorter}");
        for (was, is) in old.notches.iter().zip(&new.notches) {
            let (was, is) = (old.notch_point(was).unwrap(), new.notch_point(is).unwrap());
            assert!(was.distance(is) < 1e-3);
        }
    }
}
