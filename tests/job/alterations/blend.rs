//! From one size into another along the side seam.

use super::draft::*;
use super::hem::hem;
use super::lengthen::at_waist;
use super::measure::*;
use super::{applied, last_report, list};
use chalkbeam::alter::{AlterError, Blend, Outcome, Place, Record, garment_hem_length, replay};
use chalkbeam::geometry::{Curve, Point, parallel};
use chalkbeam::pattern::{EdgeRole, HowCut, Pattern, Piece, SizedPiece};
use std::sync::Arc;

fn notch(id: &str) -> Place {
    Place::Notch { notch: id.into() }
}

pub(super) fn v_to_hip(to: &str) -> Record {
    blend("back", to, notch("v"), notch("hip"))
}

fn blend(piece: &str, to: &str, from: Place, until: Place) -> Record {
    Record::Blend(Blend { to: to.into(), piece: piece.into(), from, until, through: None })
}

/// Points of a cubic at equal arc lengths, by dense sampling alone.
fn evenly(p: [Point; 4], count: usize) -> Vec<Point> {
    const STEPS: usize = 100_000;
    let at = |step: usize| bezier(p, step as f64 / STEPS as f64);
    let mut passed = vec![0.0];
    for step in 1..=STEPS {
        passed.push(passed[step - 1] + at(step).distance(at(step - 1)));
    }
    let mut step = 0;
    (0..=count)
        .map(|index| {
            let goal = passed[STEPS] * index as f64 / count as f64;
            while step + 1 < STEPS && passed[step + 1] < goal {
                step += 1;
            }
            let within = (goal - passed[step]) / (passed[step + 1] - passed[step]);
            at(step).lerp(at(step + 1), within.clamp(0.0, 1.0))
        })
        .collect()
}

fn polyline_length(points: &[Point]) -> f64 {
    points.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}

/// Dense sampling of the blended side between V and K, from the formula alone.
fn blended_side(from: u8, to: u8) -> Vec<Point> {
    let (a, b) = (evenly(draft(from).side, 2000), evenly(draft(to).side, 2000));
    let pairs = a.iter().zip(&b).enumerate();
    pairs
        .map(|(index, (a, b))| {
            let u = index as f64 / 2000.0;
            a.lerp(*b, u * u * (3.0 - 2.0 * u))
        })
        .collect()
}

#[test]
fn the_coat_blended_from_88_to_96_lengthened_and_shortened_is_as_tabled() {
    let blended = applied(&coat(), "88", [v_to_hip("96")]);
    let length = |piece: &str, edges: &[&str], pieces: &chalkbeam::alter::Replay| {
        let piece = pieces.piece(&piece.into()).unwrap();
        edges.iter().map(|edge| sampled(&piece.edge(&(*edge).into()).unwrap().curve)).sum::<f64>()
    };
    let side = |pieces: &chalkbeam::alter::Replay| {
        let back = length("back", &["side"], pieces);
        let front = length("front", &["side_upper", "side_lower"], pieces);
        assert!((back - front).abs() < 0.005, "{back} {front}");
        back
    };
    // Published: V–K 274.80 in 88, 276.78 in 96, 278.17 blended.
    let (in_88, in_96) = (draft(1).side, draft(3).side);
    assert!((sampled_length(|t| bezier(in_88, t)) - 274.80).abs() < 0.02);
    assert!((sampled_length(|t| bezier(in_96, t)) - 276.78).abs() < 0.02);
    assert!((polyline_length(&blended_side(1, 3)) - 278.17).abs() < 0.02);
    for piece in ["back", "front"] {
        let figure = last_report(&blended).figure("blended stretch", Some(&piece.into())).unwrap();
        assert!((figure.before.unwrap().number() - 274.80).abs() < 0.02);
        assert!((figure.after.number() - 278.17).abs() < 0.02, "{figure:?}");
    }
    assert!((side(&blended) - 880.65).abs() < 0.02, "{}", side(&blended));
    let longer = applied(&coat(), "88", [v_to_hip("96"), at_waist(21.0, Some(50.0))]);
    assert!((side(&longer) - 901.62).abs() < 0.02, "{}", side(&longer));
    assert!((length("back", &["hem"], &longer) - 414.59).abs() < 0.02);
    let done = applied(&coat(), "88", [v_to_hip("96"), at_waist(21.0, Some(50.0)), hem(-80.0)]);
    assert!((side(&done) - 821.62).abs() < 0.02, "{}", side(&done));
    assert!((length("back", &["hem"], &done) - 393.65).abs() < 0.02);
    assert!((length("front", &["hem"], &done) - 393.65).abs() < 0.02);
    for piece in ["back", "front"] {
        let corner = done.piece(&piece.into()).unwrap().corner(&"hem_side".into()).unwrap();
        assert!(corner.distance(Point::new(389.17, -609.76)) < 0.02, "{corner:?}");
    }
    let front = done.piece(&"front".into()).unwrap();
    assert!((front.corner(&"hem_front".into()).unwrap().y + 661.0).abs() < 0.02);
    assert!((garment_hem_length(&done.pieces) - 1634.60).abs() < 0.05);
}

#[test]
fn the_blended_seam_is_the_formula_point_by_point_and_pure_outside_the_zone() {
    let pattern = coat();
    let blended = applied(&pattern, "88", [v_to_hip("96")]);
    let expected = blended_side(1, 3);
    for (piece, edge) in [("back", "side"), ("front", "side_lower")] {
        let seam = &blended.piece(&piece.into()).unwrap().edge(&edge.into()).unwrap().curve;
        for point in expected.iter().step_by(25) {
            let (_, off) = seam.nearest(*point);
            assert!(off < 0.001, "{piece}: {off}");
        }
    }
    let piece_in = |id: &str, size: &str| Arc::clone(pattern.piece(&id.into(), &size.into()).unwrap());
    for id in ["back", "front"] {
        let (old, new) = (piece_in(id, "88"), piece_in(id, "96"));
        let made = blended.piece(&id.into()).unwrap();
        assert_eq!(made.edge(&"hem".into()), new.edge(&"hem".into()));
        for edge in ["armhole", "shoulder", "neck"] {
            assert_eq!(made.edge(&edge.into()), old.edge(&edge.into()), "{id} {edge}");
        }
        assert_eq!(made.darts, old.darts);
        // Notches are at V of the one size and K of the other.
        for (notch, size) in [(&made.notches[0], &old), (&made.notches[1], &new)] {
            let twin = size.notches.iter().find(|twin| twin.id == notch.id).unwrap();
            let (found, expected) = (made.notch_point(notch).unwrap(), size.notch_point(twin).unwrap());
            assert!(found.distance(expected) < 0.001, "{id} {}", notch.id);
        }
    }
    let fold = blended.piece(&"back".into()).unwrap().edge(&"centre".into()).unwrap().clone();
    assert_eq!(fold.curve, Curve::line(Point::new(0.0, 403.0), Point::new(0.0, -720.0)));
}

#[test]
fn the_zone_may_be_named_from_a_corner_and_on_either_mate() {
    let by_notch = applied(&coat(), "88", [v_to_hip("96")]);
    let v =
        |edge: &str| Place::FromCorner { corner: "underarm".into(), edge: edge.into(), distance: mm(120.0) };
    for (piece, edge) in [("back", "side"), ("front", "side_upper")] {
        let named = applied(&coat(), "88", [blend(piece, "96", v(edge), notch("hip"))]);
        for (one, other) in by_notch.pieces.iter().zip(&named.pieces) {
            for (first, second) in one.edges.iter().zip(&other.edges) {
                let (_, off) = second.curve.nearest(first.curve.point_at(0.4 * first.curve.length()));
                assert!(off < 1e-3 && (first.curve.length() - second.curve.length()).abs() < 1e-3);
            }
        }
    }
}

#[test]
fn blending_into_the_same_size_changes_nothing() {
    for records in [vec![v_to_hip("88")], vec![at_waist(21.0, None), v_to_hip("88")]] {
        let replayed = replay(&coat(), &"88".into(), &list(records));
        assert!(matches!(replayed.steps.last().unwrap().outcome, Outcome::NoEffect(_)));
    }
}

#[test]
fn two_zones_one_after_another_meet_at_the_waist() {
    // 88 above, 92 at the waist, 100 at the hip.
    let at_waist_line = Place::BalanceLine { line: "waist".into(), edge: "side".into() };
    let upper = Place::FromCorner { corner: "underarm".into(), edge: "side".into(), distance: mm(20.0) };
    let zones = [
        blend("back", "92", upper, at_waist_line.clone()),
        blend("back", "100", at_waist_line, notch("hip")),
    ];
    let done = applied(&coat(), "88", zones);
    let back = done.piece(&"back".into()).unwrap();
    let x_at = |curve: &Curve, y: f64| {
        let line = Curve::line(Point::new(0.0, y), Point::new(600.0, y));
        chalkbeam::geometry::crossings(curve, &line)[0].at.x
    };
    let made = &back.edge(&"side".into()).unwrap().curve;
    let printed = |size: &str| {
        coat().piece(&"back".into(), &size.into()).unwrap().edge(&"side".into()).unwrap().curve.clone()
    };
    assert!((x_at(made, 40.0) - x_at(&printed("92"), 40.0)).abs() < 0.01);
    assert!((x_at(made, -300.0) - x_at(&printed("100"), -300.0)).abs() < 1e-6);
    assert!((x_at(made, 180.0) - x_at(&printed("88"), 180.0)).abs() < 1e-6);
    let front = done.piece(&"front".into()).unwrap();
    let front_side: f64 = ["side_upper", "side_lower"]
        .iter()
        .map(|&edge| sampled(&front.edge(&edge.into()).unwrap().curve))
        .sum();
    // The front's zone goes over its dart, whose turn differs from size to size: well within the 1.5 mm that
    // mates are walked to.
    assert!((front_side - sampled(made)).abs() < 0.2, "{front_side} {}", sampled(made));
}

/// The armhole facing of the back: 45 mm wide, in every size.
pub(super) fn with_armhole_facing() -> Pattern {
    let mut pattern = coat();
    let facing = |back: &Arc<Piece>| {
        let armhole = back.edge(&"armhole".into()).unwrap().curve.clone();
        let inner = parallel(&armhole, 45.0).unwrap();
        let (side, shoulder) =
            (Curve::line(inner.start(), armhole.start()), Curve::line(armhole.end(), inner.end()));
        let edges = vec![
            edge("side", "side_inner", "underarm", EdgeRole::Seam, side),
            edge("armhole", "underarm", "shoulder_tip", EdgeRole::Seam, armhole),
            edge("shoulder", "shoulder_tip", "shoulder_inner", EdgeRole::Seam, shoulder),
            edge("inner", "shoulder_inner", "side_inner", EdgeRole::FacingEdge, inner.reversed()),
        ];
        Arc::new(piece("armhole_facing", edges, 2, HowCut::MirroredPair))
    };
    pattern.pieces.push(SizedPiece {
        id: "armhole_facing".into(),
        by_size: pattern.pieces[0].by_size.iter().map(facing).collect(),
    });
    pattern.seams.push(seam(
        "armhole facing",
        [run("back", "underarm", &["armhole"]), run("armhole_facing", "underarm", &["armhole"])],
    ));
    pattern
}

#[test]
fn armhole_shoulder_and_neck_in_another_size_take_the_facing_with_them() {
    let pattern = with_armhole_facing();
    let up = blend("back", "96", notch("hip"), notch("v"));
    let done = applied(&pattern, "88", [up]);
    for id in ["back", "front"] {
        let made = done.piece(&id.into()).unwrap();
        for edge in ["armhole", "shoulder", "neck"] {
            let other = pattern.piece(&id.into(), &"96".into()).unwrap();
            assert_eq!(made.edge(&edge.into()), other.edge(&edge.into()), "{id} {edge}");
        }
        let own = pattern.piece(&id.into(), &"88".into()).unwrap();
        assert_eq!(made.edge(&"hem".into()), own.edge(&"hem".into()));
    }
    // The dart goes with the armhole.
    let in_96 = pattern.piece(&"front".into(), &"96".into()).unwrap();
    assert_eq!(done.piece(&"front".into()).unwrap().darts, in_96.darts);
    let facing = pattern.piece(&"armhole_facing".into(), &"96".into()).unwrap();
    assert_eq!(done.piece(&"armhole_facing".into()), Some(facing));
    // Downwards, the armhole keeps its size, and so does its facing.
    let down = applied(&pattern, "88", [v_to_hip("96")]);
    let own = pattern.piece(&"armhole_facing".into(), &"88".into()).unwrap();
    assert!(Arc::ptr_eq(down.piece(&"armhole_facing".into()).unwrap(), own));
}

#[test]
fn a_short_zone_is_warned_of_and_unknown_names_are_refused() {
    let near = Place::FromCorner { corner: "underarm".into(), edge: "side".into(), distance: mm(160.0) };
    let done = applied(&coat(), "84", [blend("back", "100", notch("v"), near)]);
    assert!(last_report(&done).notes.iter().any(|note| note.contains("Blend over at least")));
    let failed = |record: Record| match &replay(&coat(), &"88".into(), &list([record])).steps[0].outcome {
        Outcome::Failed(error) => error.clone(),
        other => panic!("{other:?}"),
    };
    assert!(matches!(failed(v_to_hip("97")), AlterError::UnknownSize { .. }));
    let nowhere = blend("back", "96", notch("v"), notch("knee"));
    assert!(matches!(failed(nowhere), AlterError::UnknownNotch { .. }));
    let sleeve = blend("sleeve", "96", notch("v"), notch("hip"));
    assert!(matches!(failed(sleeve), AlterError::UnknownPiece { .. }));
}
