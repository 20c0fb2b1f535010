//! Facings drawn again, and pieces that were left behind.

use super::blend::{v_to_hip, with_armhole_facing};
use super::draft::*;
use super::hem::hem;
use super::lengthen::at_waist;
use super::measure::*;
use super::{applied, list};
use chalkbeam::alter::{
    AlterError, Faced, Facing, Fade, Hem, Opening, OpeningPart, Outcome, Pieces, Record, replay,
};
use chalkbeam::geometry::{Curve, Point, parallel};
use chalkbeam::pattern::{EdgeRole, HowCut, Pattern, Piece, SizedPiece};
use std::sync::Arc;

fn lower_armhole(by: f64) -> Record {
    Record::Opening(Opening {
        parts: vec![OpeningPart {
            piece: "back".into(),
            edges: vec!["armhole".into()],
            lower_by: mm(by),
            fade: Some(Fade { full_at: "underarm".into(), nothing_at: "shoulder_tip".into() }),
        }],
    })
}

fn redraw(piece: &str, along: &[(&str, &[&str])], width: f64, trim: Option<f64>) -> Record {
    Record::Facing(Facing {
        piece: piece.into(),
        along: along
            .iter()
            .map(|(piece, edges)| Faced {
                piece: (*piece).into(),
                edges: edges.iter().map(|&edge| edge.into()).collect(),
            })
            .collect(),
        width: mm(width),
        other_widths: Vec::new(),
        trim: trim.map(mm),
    })
}

#[test]
fn a_facing_is_stale_until_it_is_drawn_again() {
    let pattern = with_armhole_facing();
    let size = "88".into();
    assert!(replay(&pattern, &size, &[]).stale(&pattern, &size).is_empty());
    let altered = applied(&pattern, "88", [lower_armhole(12.0)]);
    let stale = altered.stale(&pattern, &size);
    let facing = stale.iter().find(|stale| stale.piece.as_str() == "armhole_facing").unwrap();
    assert_eq!((facing.mate.as_str(), facing.since), ("back", altered.steps[0].id));
    // The side seam of the back became shorter, and the front's did not.
    assert!(stale.iter().any(|stale| stale.piece.as_str() == "front" && stale.longer_mm < -10.0));
    let again = redraw("armhole_facing", &[("back", &["armhole"])], 45.0, None);
    let done = applied(&pattern, "88", [lower_armhole(12.0), again]);
    let stale = done.stale(&pattern, &size);
    assert!(!stale.iter().any(|stale| stale.piece.as_str() == "armhole_facing"), "{stale:?}");
    let (back, facing) = (done.piece(&"back".into()).unwrap(), done.piece(&"armhole_facing".into()).unwrap());
    assert_eq!(back.edge(&"armhole".into()).unwrap().curve, facing.edge(&"armhole".into()).unwrap().curve);
    let inner = &facing.edge(&"inner".into()).unwrap().curve;
    for step in 0..=20 {
        let (_, off) = back
            .edge(&"armhole".into())
            .unwrap()
            .curve
            .nearest(inner.point_at(inner.length() * f64::from(step) / 20.0));
        assert!((off - 45.0).abs() < 0.5 || off > 45.0, "{off}");
    }
    // Its ends lie on the side seam and the shoulder of the back.
    for (end, edge) in [("side_inner", "side"), ("shoulder_inner", "shoulder")] {
        let place = facing.corner(&end.into()).unwrap();
        assert!(back.edge(&edge.into()).unwrap().curve.nearest(place).1 < 1e-6);
    }
}

#[test]
fn lengthening_one_mate_only_leaves_the_other_stale_and_both_is_fine() {
    let pattern = coat();
    let size = "88".into();
    let both = applied(&pattern, "88", [v_to_hip("96"), at_waist(21.0, None), hem(-80.0)]);
    assert!(both.stale(&pattern, &size).is_empty());
    let back_only = Record::Hem(Hem::parallel(Pieces::Only(vec!["back".into()]), mm(-30.0)));
    let one = applied(&pattern, "88", [back_only]);
    let stale = one.stale(&pattern, &size);
    assert_eq!(stale.len(), 1);
    assert_eq!((stale[0].piece.as_str(), stale[0].seam.as_str()), ("front", "side"));
    assert!((stale[0].longer_mm + 30.0).abs() < 0.01);
}

/// Necks of front and back faced by one piece, joined at the shoulder.
fn with_neck_facing() -> Pattern {
    let mut pattern = coat();
    let corners = [(0.0, 0.0), (90.0, 0.0), (180.0, 60.0), (180.0, 120.0), (0.0, 60.0)].map(Point::from);
    let names = ["front_end", "shoulder", "back_end", "back_inner", "front_inner"];
    let ids = ["neck_front", "neck_back", "centre_back", "inner", "centre_front"];
    let roles = [EdgeRole::Seam, EdgeRole::Seam, EdgeRole::Fold, EdgeRole::FacingEdge, EdgeRole::Seam];
    let edges: Vec<_> = (0..5)
        .map(|at| {
            let next = (at + 1) % 5;
            edge(ids[at], names[at], names[next], roles[at].clone(), Curve::line(corners[at], corners[next]))
        })
        .collect();
    let facing = Arc::new(piece("neck_facing", edges, 1, HowCut::OnFold));
    pattern.pieces.push(SizedPiece { id: "neck_facing".into(), by_size: vec![facing; 5] });
    pattern
}

#[test]
fn a_facing_over_front_and_back_is_joined_at_the_shoulder() {
    let pattern = with_neck_facing();
    let again = redraw("neck_facing", &[("front", &["neck"]), ("back", &["neck"])], 50.0, None);
    let done = applied(&pattern, "88", [again]);
    let facing: &Piece = done.piece(&"neck_facing".into()).unwrap();
    let length = |id: &str| sampled(&facing.edge(&id.into()).unwrap().curve);
    assert!((length("neck_front") - 134.81).abs() < 0.01);
    assert!((length("neck_back") - 82.38).abs() < 0.01);
    // The neck runs on smoothly over the shoulder: both necks are drafted square to it.
    let (a, b) = (
        facing.edge(&"neck_front".into()).unwrap().curve.end_tangent(),
        facing.edge(&"neck_back".into()).unwrap().curve.start_tangent(),
    );
    assert!(a.cross(b).abs() < 0.01 && a.dot(b) > 0.99, "{a:?} {b:?}");
    let inner = &facing.edge(&"inner".into()).unwrap().curve;
    let outer = ["neck_front", "neck_back"].map(|id| facing.edge(&id.into()).unwrap().curve.clone());
    for step in 1..20 {
        let point = inner.point_at(inner.length() * f64::from(step) / 20.0);
        let off = outer.iter().map(|curve| curve.nearest(point).1).fold(f64::INFINITY, f64::min);
        // At the front the inner edge goes on to the front edge, past the end of the neck.
        let past_the_end = outer[0].nearest(point).0 < 1e-6;
        assert!((off - 50.0).abs() < 0.01 || past_the_end, "{off}");
    }
    assert!((length("centre_back") - 50.0).abs() < 0.01, "square at the fold");
}

#[test]
fn a_dart_in_the_faced_run_is_closed_and_the_turn_of_cloth_trimmed() {
    // A facing along the whole side of the front, over its bust dart.
    let mut pattern = coat();
    let corners = [(60.0, -700.0), (120.0, -700.0), (120.0, 200.0), (60.0, 200.0)].map(Point::from);
    let names = ["low", "low_side", "high_side", "high"];
    let ids = ["lower_end", "side", "upper_end", "inner"];
    let roles = [EdgeRole::Seam, EdgeRole::Seam, EdgeRole::Seam, EdgeRole::FacingEdge];
    let edges: Vec<_> = (0..4)
        .map(|at| {
            let next = (at + 1) % 4;
            edge(ids[at], names[at], names[next], roles[at].clone(), Curve::line(corners[at], corners[next]))
        })
        .collect();
    // Two outer edges, as the side of the front has: cut the middle one.
    let middle = corners[1].midpoint(corners[2]);
    let mut edges = edges;
    edges[1] = edge("side_lower", "low_side", "middle", EdgeRole::Seam, Curve::line(corners[1], middle));
    edges.insert(
        2,
        edge("side_upper", "middle", "high_side", EdgeRole::Seam, Curve::line(middle, corners[2])),
    );
    let facing = Arc::new(piece("side_facing", edges, 2, HowCut::MirroredPair));
    pattern.pieces.push(SizedPiece { id: "side_facing".into(), by_size: vec![facing; 5] });
    let faced: &[(&str, &[&str])] = &[("front", &["side_lower", "side_upper"])];
    let done = applied(&pattern, "88", [redraw("side_facing", faced, 40.0, None)]);
    let facing = done.piece(&"side_facing".into()).unwrap();
    let outer: f64 =
        ["side_lower", "side_upper"].iter().map(|&id| sampled(&facing.edge(&id.into()).unwrap().curve)).sum();
    assert!((outer - 879.91).abs() < 0.01, "{outer}");
    let upper = facing.edge(&"side_upper".into()).unwrap();
    assert!(upper.curve.end().distance(draft(1).u) < 1e-6, "closed, the underarm is where the back has it");
    let trimmed = applied(&pattern, "88", [redraw("side_facing", faced, 40.0, Some(1.5))]);
    let trimmed = trimmed.piece(&"side_facing".into()).unwrap();
    let exact = parallel(&facing.edge(&"side_lower".into()).unwrap().curve, 1.5).unwrap();
    let point = trimmed.edge(&"side_lower".into()).unwrap().curve.point_at(300.0);
    assert!(exact.nearest(point).1 < 1e-3);
    let wide = replay(&pattern, &"88".into(), &list([redraw("side_facing", faced, 900.0, None)]));
    assert!(matches!(
        &wide.steps[0].outcome,
        Outcome::Failed(AlterError::FacingTooWide { .. } | AlterError::NoParallel { .. })
    ));
}
