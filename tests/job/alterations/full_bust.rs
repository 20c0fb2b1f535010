//! Slash and spread for a fuller bust.

use super::draft::*;
use super::measure::*;
use super::{applied, last_report, list};
use chalkbeam::alter::{AlterError, FullBust, Outcome, Place, Record, replay};
use chalkbeam::geometry::Affine;
use chalkbeam::pattern::*;
use std::sync::Arc;

fn fuller(spread: f64, withdraw: f64) -> Record {
    Record::FullBust(FullBust {
        piece: "front".into(),
        dart: "bust".into(),
        bust_point: Some("bust point".to_owned()),
        hinge: Place::FromCorner { corner: "underarm".into(), edge: "armhole".into(), distance: mm(80.0) },
        spread: mm(spread),
        withdraw: Some(mm(withdraw)),
    })
}

/// The checks of the handbooks: the side seam returns to the back's length, the armhole keeps its length, the hem is
/// level and wider by the spread, the dart takes up the turn.
#[test]
fn the_front_is_wider_by_the_spread_and_its_side_returns_to_the_back() {
    let pattern = coat();
    let old = pattern.piece(&"front".into(), &"88".into()).unwrap();
    let done = applied(&pattern, "88", [fuller(20.0, 15.0)]);
    let new = done.piece(&"front".into()).unwrap();
    let length = |piece: &Piece, edge: &str| sampled(&piece.edge(&edge.into()).unwrap().curve);
    for edge in ["side_upper", "side_lower", "armhole", "shoulder", "neck", "hem_overlap"] {
        assert!((length(old, edge) - length(new, edge)).abs() < 1e-3, "{edge}");
    }
    // The strip is across the grain; the hem slopes by some 6° there.
    assert!((length(new, "hem") - length(old, "hem") - 20.0).abs() < 0.15);
    let report = last_report(&done);
    let number = |name: &str| report.figure(name, Some(&"front".into())).unwrap().after.number();
    assert!(number("longer than its mate at the side").abs() < 0.01);
    let (drop, turn) = (number("longer at the centre front"), number("turn of the side part"));
    assert!((length(new, "front_edge") - length(old, "front_edge") - drop).abs() < 1e-6);
    // The bust point, turned about the hinge, has gone out by the spread and down by the drop.
    let d = draft(1);
    let hinge = old.edge(&"armhole".into()).unwrap().curve.point_at(80.0);
    let turned = Affine::rotate_about(turn.to_radians(), hinge) * d.t;
    assert!((turned - d.t - chalkbeam::geometry::Vec2::new(20.0, -drop)).hypot() < 1e-6, "{turned:?}");
    // The hem stays level: centre, strip and side come down alike.
    assert!((new.corner(&"hem_front".into()).unwrap().y + 720.0 + drop).abs() < 1e-6);
    let side = new.corner(&"hem_side".into()).unwrap() - old.corner(&"hem_side".into()).unwrap();
    assert!((side - chalkbeam::geometry::Vec2::new(20.0, -drop)).hypot() < 1e-6);
    // About the turned bust point the dart has θ + φ and equal legs.
    let mouth = new.dart_mouth(&"bust".into()).unwrap();
    let (a, b) = (mouth.curve.start() - turned, mouth.curve.end() - turned);
    assert!((a.hypot() - b.hypot()).abs() < 1e-6);
    assert!((a.cross(b).atan2(a.dot(b)).to_degrees() - 13.5 - turn).abs() < 1e-6);
    assert!((new.darts[0].apex.distance(turned) - 15.0).abs() < 1e-6);
    assert!((new.balance_lines[0].line.p0.y - 40.0 + drop).abs() < 1e-6);
    for (was, is) in old.notches.iter().zip(&new.notches) {
        let moved = new.notch_point(is).unwrap() - old.notch_point(was).unwrap();
        assert!((moved - side).hypot() < 1e-6);
    }
    assert!(done.stale(&pattern, &"88".into()).is_empty());
}

#[test]
fn drawn_as_its_other_half_the_front_spreads_the_same() {
    let mut pattern = coat();
    let flip = Affine::scale_non_uniform(-1.0, 1.0);
    for piece in &mut pattern.pieces[1].by_size {
        let mut other = Piece::clone(piece);
        other.edges = piece
            .edges
            .iter()
            .rev()
            .map(|edge| Edge {
                from: edge.to.clone(),
                to: edge.from.clone(),
                curve: edge.curve.reversed().transformed(flip),
                ..edge.clone()
            })
            .collect();
        for dart in &mut other.darts {
            dart.apex = flip * dart.apex;
        }
        for hole in &mut other.drill_holes {
            hole.at = flip * hole.at;
        }
        other.grainline.from = flip * other.grainline.from;
        other.grainline.to = flip * other.grainline.to;
        *piece = Arc::new(other);
    }
    let mirrored = applied(&pattern, "88", [fuller(20.0, 15.0)]);
    let as_drafted = applied(&coat(), "88", [fuller(20.0, 15.0)]);
    let (one, other) = (mirrored.piece(&"front".into()).unwrap(), as_drafted.piece(&"front".into()).unwrap());
    for edge in &other.edges {
        let twin = one.edge(&edge.id).unwrap();
        assert!((flip * twin.curve.end()).distance(edge.curve.start()) < 1e-6, "{}", edge.id);
        assert!((twin.curve.length() - edge.curve.length()).abs() < 1e-6);
    }
}

#[test]
fn a_spread_beyond_reach_and_a_piece_without_a_dart_are_refused() {
    let failed = |record: Record| match &replay(&coat(), &"88".into(), &list([record])).steps[0].outcome {
        Outcome::Failed(error) => error.clone(),
        other => panic!("{other:?}"),
    };
    assert!(matches!(
        failed(fuller(150.0, 0.0)),
        AlterError::NoFullBust { .. } | AlterError::OutlineCrosses { .. }
    ));
    assert!(matches!(failed(fuller(-5.0, 0.0)), AlterError::NotPositive { .. }));
    let Record::FullBust(mut back) = fuller(20.0, 0.0) else {
        panic!("a full bust");
    };
    back.piece = "back".into();
    back.bust_point = None;
    assert!(matches!(failed(Record::FullBust(back)), AlterError::UnknownDart { .. }));
}
