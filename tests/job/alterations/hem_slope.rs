//! The hem sloping from centre to side, and meeting the side seam at a given angle; lengths by dense sampling, angles by
//! dot products.

use super::draft::*;
use super::lists::written_and_read;
use super::measure::*;
use super::{applied, last_report, list};
use chalkbeam::alter::{AlterError, Hem, HemSideError, Outcome, Pieces, Record, garment_hem_length, replay};
use chalkbeam::geometry::{Curve, Point, Vec2};
use chalkbeam::pattern::{EdgeRole, HowCut, Pattern, Piece, SizedPiece};
use std::f64::consts::FRAC_PI_2;
use std::sync::Arc;

fn sloping(centre: f64, side: f64) -> Record {
    Record::Hem(Hem { at_side: Some(mm(side)), ..Hem::parallel(Pieces::All, mm(centre)) })
}

fn at_angle(by: f64, degrees: f64) -> Record {
    Record::Hem(Hem { side_angle_degrees: Some(degrees), ..Hem::parallel(Pieces::All, mm(by)) })
}

/// Pieces in one size, neighbours sewn at their edges “left” and “right”, the others as they are.
fn in_a_row(pieces: Vec<Piece>) -> Pattern {
    let mut pattern = lone(pieces[0].clone());
    pattern.seams = pieces
        .windows(2)
        .map(|pair| {
            let [first, second] = [&pair[0], &pair[1]].map(|piece| piece.id.as_str().to_owned());
            let sides = [run(&first, "hem_right", &["right"]), run(&second, "hem_left", &["left"])];
            seam(&format!("{first}-{second}"), sides)
        })
        .collect();
    pattern.pieces = pieces
        .into_iter()
        .map(|piece| SizedPiece { id: piece.id.clone(), by_size: vec![Arc::new(piece)] })
        .collect();
    pattern
}

/// A gore with a straight hem of `width` whose sides lean in by so many degrees; a side of 90° may be a fold.
fn gore(id: &str, width: f64, lean: [f64; 2], folds: [bool; 2]) -> Piece {
    let (left, right) = (Point::ORIGIN, Point::new(width, 0.0));
    let up = |foot: Point, side: f64, degrees: f64| {
        foot + 400.0 * Vec2::new(side * degrees.to_radians().tan(), 1.0)
    };
    let (top_left, top_right) = (up(left, 1.0, lean[0]), up(right, -1.0, lean[1]));
    let role = |fold: bool| if fold { EdgeRole::Fold } else { EdgeRole::Seam };
    let edges = vec![
        edge("hem", "hem_left", "hem_right", EdgeRole::Hem, Curve::line(left, right)),
        edge("right", "hem_right", "top_right", role(folds[1]), Curve::line(right, top_right)),
        edge("waist", "top_right", "top_left", EdgeRole::Seam, Curve::line(top_right, top_left)),
        edge("left", "top_left", "hem_left", role(folds[0]), Curve::line(top_left, left)),
    ];
    let how = if folds[0] || folds[1] { HowCut::OpenedOut } else { HowCut::MirroredPair };
    let mut gore = piece(id, edges, if how == HowCut::OpenedOut { 1 } else { 2 }, how);
    gore.grainline.from = Point::new(0.5 * width, 50.0);
    gore.grainline.to = Point::new(0.5 * width, 300.0);
    gore
}

/// Back and front of a half-circle skirt: two quarters of a ring.
fn half_circle(waist: f64, length: f64) -> Pattern {
    let quarter = |id: &str| {
        let mut quarter = circle_skirt(waist, length, FRAC_PI_2, 1, HowCut::OpenedOut);
        quarter.id = id.into();
        quarter
    };
    let mut pattern = in_a_row(vec![quarter("front"), quarter("back")]);
    pattern.seams =
        vec![seam("side", [run("front", "hem_side", &["side"]), run("back", "hem_side", &["side"])])];
    pattern
}

/// The angle inside the cloth at a corner, from the directions of the two edges there.
fn angle_at(piece: &Piece, before: &str, after: &str) -> f64 {
    let (a, b) = (piece.edge(&before.into()).unwrap(), piece.edge(&after.into()).unwrap());
    let near = |curve: &Curve, far: f64| {
        let (corner, inside) = if far > 0.0 {
            (curve.start(), curve.segments()[0].eval(1e-6))
        } else {
            (curve.end(), curve.segments().last().unwrap().eval(1.0 - 1e-6))
        };
        (inside - corner).normalize()
    };
    near(&a.curve, -1.0).dot(near(&b.curve, 1.0)).acos().to_degrees()
}

#[test]
fn a_quarter_circles_hem_slopes_evenly_by_its_angle() {
    // On a circle arc length is angle: the new hem is r(φ) = R + h₀ + (h₁ − h₀)·φ/(π/2), sampled here.
    for (centre, side) in [(-20.0, -60.0), (35.0, 5.0), (0.0, -40.0)] {
        let (waist, length) = (220.0, 600.0);
        let skirt = half_circle(waist, length);
        let altered = applied(&skirt, "one", [sloping(centre, side)]);
        let at = |phi: f64| {
            let radius = waist + length + centre + (side - centre) * phi / FRAC_PI_2;
            Point::ORIGIN + radius * Vec2::from_angle(phi - FRAC_PI_2)
        };
        let expected = sampled_length(|t| at(t * FRAC_PI_2));
        let mut sweep = 0.0;
        for id in ["front", "back"] {
            let piece = altered.piece(&id.into()).unwrap();
            let hem = &piece.edge(&"hem".into()).unwrap().curve;
            assert!((sampled(hem) - expected).abs() < 0.01, "{} for {expected}", sampled(hem));
            for step in 0..=30 {
                assert!(hem.nearest(at(f64::from(step) / 30.0 * FRAC_PI_2)).1 < 1e-3);
            }
            let long = |edge: &str| piece.edge(&edge.into()).unwrap().curve.length() - length;
            assert!((long("side") - side).abs() < 1e-4 && (long("fold") - centre).abs() < 1e-4);
            sweep += 2.0 * expected;
        }
        let said = last_report(&altered).figure("hem all round", None).unwrap();
        assert!((said.before.unwrap().number() - 4.0 * FRAC_PI_2 * (waist + length)).abs() < 0.01);
        assert!((said.after.number() - sweep).abs() < 0.04);
    }
}

#[test]
fn the_coats_mates_change_alike_at_the_side_and_nothing_is_left_behind() {
    let pattern = coat();
    for (centre, side) in [(-80.0, -50.0), (-30.0, -90.0), (20.0, 0.0)] {
        let altered = applied(&pattern, "88", [sloping(centre, side)]);
        let report = last_report(&altered);
        for (piece, edge) in [("back", "side"), ("front", "side_lower")] {
            let by = report
                .edge(&piece.into(), &edge.into())
                .map_or(0.0, |change| change.after_mm - change.before_mm);
            assert!((by - side).abs() < 1e-3, "{piece}: {by}");
        }
        assert!(altered.stale(&pattern, &"88".into()).is_empty());
        let drawn: f64 = ["back", "front"]
            .iter()
            .flat_map(|id| altered.piece(&(*id).into()).unwrap().edges.iter())
            .filter(|edge| edge.role == EdgeRole::Hem)
            .map(|edge| 2.0 * sampled(&edge.curve))
            .sum();
        assert!((garment_hem_length(&altered.pieces) - drawn).abs() < 0.01);
    }
}

#[test]
fn mates_that_lean_differently_still_lose_the_same_of_their_side_seam() {
    // By h/sin ψ a parallel change takes 42.57 mm at 70° and 40.11 mm at 85.8°; at the side the amount is the seam's.
    let skirt = in_a_row(vec![
        gore("back", 300.0, [0.0, 20.0], [true, false]),
        gore("front", 260.0, [4.2, 0.0], [false, true]),
    ]);
    let altered = applied(&skirt, "one", [sloping(-10.0, -40.0)]);
    for (piece, edge) in [("back", "right"), ("front", "left")] {
        let change = last_report(&altered).edge(&piece.into(), &edge.into()).unwrap();
        assert!((change.after_mm - change.before_mm + 40.0).abs() < 1e-4, "{change:?}");
    }
    let fold = last_report(&altered).edge(&"back".into(), &"left".into()).unwrap();
    assert!((fold.after_mm - fold.before_mm + 10.0).abs() < 1e-6);
}

#[test]
fn over_gores_the_way_is_walked_from_the_named_side_seam() {
    let three = || {
        in_a_row(vec![
            gore("back", 200.0, [0.0, 0.0], [true, false]),
            gore("side", 100.0, [0.0, 0.0], [false, false]),
            gore("front", 200.0, [0.0, 0.0], [false, true]),
        ])
    };
    let unnamed = replay(&three(), &"one".into(), &list([sloping(0.0, -30.0)]));
    assert!(
        matches!(&unnamed.steps[0].outcome, Outcome::Failed(AlterError::HemSide(HemSideError::NoCentreAndSide { piece })) if piece.as_str() == "side")
    );
    let named = |seam: &str| {
        Record::Hem(Hem {
            at_side: Some(mm(-30.0)),
            side_seams: vec![seam.into()],
            ..Hem::parallel(Pieces::All, mm(0.0))
        })
    };
    let altered = applied(&three(), "one", [named("back-side")]);
    let long = |piece: &str, edge: &str| {
        altered.piece(&piece.into()).unwrap().edge(&edge.into()).unwrap().curve.length()
    };
    // From the side seam 300 mm to the centre front: a third of the way is the gore.
    assert!((long("back", "right") - 370.0).abs() < 1e-4 && (long("side", "left") - 370.0).abs() < 1e-4);
    assert!((long("side", "right") - 380.0).abs() < 1e-4 && (long("front", "left") - 380.0).abs() < 1e-4);
    assert!((long("front", "right") - 400.0).abs() < 1e-4 && (long("back", "left") - 400.0).abs() < 1e-4);
    let unknown = replay(&three(), &"one".into(), &list([named("sides")]));
    assert!(matches!(&unknown.steps[0].outcome, Outcome::Failed(AlterError::UnknownSeam { .. })));
}

#[test]
fn a_hem_meets_the_side_seam_at_the_angle_that_was_asked() {
    let skirt = in_a_row(vec![
        gore("back", 300.0, [0.0, 20.0], [true, false]),
        gore("front", 260.0, [12.0, 0.0], [false, true]),
    ]);
    let bought = applied(&skirt, "one", [sloping(-1.0, -1.0)]);
    assert!((angle_at(bought.piece(&"back".into()).unwrap(), "hem", "right") - 70.0).abs() < 1.0);
    for degrees in [90.0, 80.0, 100.0] {
        for record in [at_angle(0.0, degrees), at_angle(-40.0, degrees), at_angle(25.0, degrees)] {
            let altered = applied(&skirt, "one", [record.clone()]);
            let (back, front) =
                (altered.piece(&"back".into()).unwrap(), altered.piece(&"front".into()).unwrap());
            for (piece, before, after) in [(back, "hem", "right"), (front, "left", "hem")] {
                let angle = angle_at(piece, before, after);
                assert!((angle - degrees).abs() < 0.01, "{}: {angle} for {degrees}, {record:?}", piece.id);
                let said =
                    last_report(&altered).figure("angle between hem and side seam", Some(&piece.id)).unwrap();
                assert!((said.after.number() - degrees).abs() < 1e-4);
            }
            // Away from the corner the hem keeps its line, square to the fold.
            assert!((angle_at(back, "left", "hem") - 90.0).abs() < 1e-6);
            let Record::Hem(hem) = &record else { unreachable!() };
            let point = back.edge(&"hem".into()).unwrap().curve.point_at(100.0);
            assert!((point.y + hem.longer_by.mm()).abs() < 1e-6);
        }
    }
    // With an amount at the side, the corner is where that amount puts it.
    let both = Record::Hem(Hem {
        at_side: Some(mm(-40.0)),
        side_angle_degrees: Some(90.0),
        ..Hem::parallel(Pieces::All, mm(-40.0))
    });
    let altered = applied(&skirt, "one", [both]);
    for (piece, edge) in [("back", "right"), ("front", "left")] {
        let change = last_report(&altered).edge(&piece.into(), &edge.into()).unwrap();
        assert!((change.after_mm - change.before_mm + 40.0).abs() < 1e-4);
    }
    for degrees in [20.0, 170.0] {
        let flat = replay(&skirt, &"one".into(), &list([at_angle(0.0, degrees)]));
        assert!(matches!(
            &flat.steps[0].outcome,
            Outcome::Failed(AlterError::HemSide(HemSideError::Angle { .. }))
        ));
    }
}

#[test]
fn a_slope_past_the_centre_of_curvature_is_refused_with_the_radius() {
    let skirt = half_circle(20.0, 100.0);
    let replayed = replay(&skirt, &"one".into(), &list([sloping(-10.0, -130.0)]));
    let Outcome::Failed(error) = &replayed.steps[0].outcome else { panic!("applied") };
    assert!(error.to_string().contains("120.0 mm"), "{error}");
}

#[test]
fn a_facings_hem_follows_the_hem_that_it_lies_behind() {
    use chalkbeam::demo::garden_coat;
    let pattern = garden_coat().unwrap().garment().pattern.as_ref().clone();
    let altered = applied(&pattern, "88", [sloping(-40.0, -52.0)]);
    let (front, facing) =
        (altered.piece(&"front".into()).unwrap(), altered.piece(&"front facing".into()).unwrap());
    let hem = |piece: &Piece| piece.edge(&"hem".into()).unwrap().curve.clone();
    let (of_front, of_facing) = (hem(front), hem(facing));
    for step in 0..=20 {
        let point = of_facing.point_at(of_facing.length() * f64::from(step) / 20.0);
        assert!(of_front.nearest(point).1 < 1e-3, "{point:?}");
    }
    assert!(altered.stale(&pattern, &"88".into()).is_empty());
}

#[test]
fn a_hem_of_an_older_file_is_read_and_a_plain_one_written_as_before() {
    let old: Record = ron::from_str(r#"Hem((longer_by: "-80 mm"))"#).unwrap();
    assert_eq!(old, Record::Hem(Hem::parallel(Pieces::All, mm(-80.0))));
    let written = ron::to_string(&old).unwrap();
    assert!(!written.contains("side"), "{written}");
    let full = Record::Hem(Hem {
        at_side: Some(mm(-50.0)),
        side_angle_degrees: Some(90.0),
        side_seams: vec!["side".into()],
        ..Hem::parallel(Pieces::All, mm(-80.0))
    });
    assert_eq!(written_and_read(&full), full);
    assert!(
        full.words().contains("shorter by 80 mm at the centre, shorter by 50 mm at the side"),
        "{}",
        full.words()
    );
    let amounts = full.amounts();
    assert_eq!(amounts.len(), 2);
    let changed = full.with_amount(1, mm(-45.0));
    assert!((changed.amounts()[1].length.mm() + 45.0).abs() < 1e-12 && changed.amounts()[0] == amounts[0]);
}
