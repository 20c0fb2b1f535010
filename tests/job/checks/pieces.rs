//! Single pieces: outline, allowance, darts, hem, blend, ease, the lay's pairs.

use crate::garments::*;
use chalkbeam::alter::{Blend, Place as SeamPlace, Record};
use chalkbeam::body::BodyMeasurement;
use chalkbeam::demo::garden_coat;
use chalkbeam::finding::Severity;
use chalkbeam::garment::{Command, OpenGarment};
use chalkbeam::geometry::{Curve, Point};
use chalkbeam::lay::Place;
use chalkbeam::pattern::*;
use std::f64::consts::FRAC_PI_2;
use std::sync::Arc;

/// A skirt whose front is changed.
fn with_front(change: impl FnOnce(&mut Piece)) -> OpenGarment {
    let mut front = rectangle("front", 1, 300.0);
    change(&mut front);
    plain_skirt(front, rectangle("back", 2, 300.0))
}

fn curve_of<'a>(piece: &'a mut Piece, edge: &str) -> &'a mut Curve {
    let edge = piece.edges.iter_mut().find(|known| known.id.as_str() == edge);
    &mut edge.unwrap().curve
}

#[test]
fn a_plain_skirt_is_free_of_complaints() {
    let open = with_front(|_| {});
    assert!(said(&open).is_empty(), "{:#?}", said(&open));
}

#[test]
fn an_outline_that_crosses_itself_stops_the_cutting_where_it_crosses() {
    // The waist dips through the hem: down to −100 at x = 100, so it meets y = 0 at x = 125 and 75.
    let open = with_front(|piece| {
        let dip = [Point::new(200.0, 300.0), Point::new(100.0, -100.0), Point::new(0.0, 300.0)];
        *curve_of(piece, "waist") = Curve::polyline(&dip).unwrap();
    });
    let found = the_one(&open, &["seam line of “front” crosses itself"]);
    assert_eq!(found.severity, Severity::Stop);
    let at = found.at.unwrap();
    assert!(at.y.abs() < 1e-6 && ((at.x - 125.0).abs() < 1e-6 || (at.x - 75.0).abs() < 1e-6), "{at:?}");
}

#[test]
fn an_open_outline_stops_the_cutting() {
    let open = with_front(|piece| {
        *curve_of(piece, "waist") = Curve::line(Point::new(200.0, 303.0), Point::new(0.0, 300.0));
    });
    let found = the_one(&open, &["seam line of “front” is open by 3.00 mm"]);
    assert_eq!(found.severity, Severity::Stop);
}

#[test]
fn a_sewn_edge_without_allowance_and_mates_with_different_ones_are_told() {
    let side_allowance = |mm_wide: f64| {
        with_front(|piece| {
            let side = piece.edges.iter_mut().find(|edge| edge.id.as_str() == "side");
            side.unwrap().allowance = Some(mm(mm_wide));
        })
    };
    let found = the_one(&side_allowance(0.0), &["“side” of “front” is sewn, but has no allowance"]);
    assert_eq!((found.severity, found.at), (Severity::Warning, Some(Point::new(200.0, 150.0))));
    let found = the_one(&side_allowance(10.0), &["10.0 mm on “front” and 15.0 mm on “back”"]);
    assert_eq!(found.severity, Severity::Note);
    assert!(said(&side_allowance(15.0)).is_empty());
}

/// A side with a dart from (200, 140) and (200, 160) to an apex 100 mm inside, and a cap of these points between.
fn darted(apex: (f64, f64), cap: &[(f64, f64)], toward: &str) -> OpenGarment {
    let dart = |piece: &mut Piece, apex: (f64, f64), cap: &[(f64, f64)]| {
        let at = |y: f64| Point::new(200.0, y);
        let mut points = vec![at(140.0)];
        points.extend(cap.iter().map(|p| Point::from(*p)));
        points.push(at(160.0));
        let edge = |id: &str, from: &str, to: &str, role, curve| Edge {
            id: id.into(),
            from: from.into(),
            to: to.into(),
            role,
            allowance: None,
            curve,
        };
        let sewn = || EdgeRole::Seam;
        let side = [
            edge("side", "hem side", "dart lower", sewn(), Curve::line(at(0.0), at(140.0))),
            edge(
                "mouth",
                "dart lower",
                "dart upper",
                EdgeRole::DartMouth("hip".into()),
                Curve::polyline(&points).unwrap(),
            ),
            edge("side upper", "dart upper", "waist side", sewn(), Curve::line(at(160.0), at(300.0))),
        ];
        piece.edges.splice(1..2, side);
        piece.darts.push(Dart { id: "hip".into(), apex: Point::from(apex), pressed_toward: toward.into() });
    };
    let mut front = rectangle("front", 1, 300.0);
    dart(&mut front, apex, cap);
    let mut pattern = skirt(front, rectangle("back", 2, 280.0), EaseRange::default());
    pattern.seams[0].sides[0].edges = vec!["side upper".into(), "side".into()];
    garment(pattern, "one", |_| {})
}

/// A dart of 2·atan(0.1) on a straight side, trued: the tip lies where the side, folded back about a leg, meets the
/// middle, 100/cos(2·atan 0.1) from the apex.
fn trued_tip() -> (f64, f64) {
    (100.0 + 100.0 / (2.0 * 0.1_f64.atan()).cos(), 150.0)
}

#[test]
fn a_trued_dart_is_silent_whichever_way_an_even_one_is_pressed() {
    for toward in ["dart lower", "dart upper"] {
        let open = darted((100.0, 150.0), &[trued_tip()], toward);
        let grave: Vec<_> = said(&open).into_iter().filter(|found| found.what.contains("dart")).collect();
        assert!(grave.is_empty(), "{grave:#?}");
    }
}

#[test]
fn a_dart_with_a_straight_mouth_is_not_trued() {
    // Folded about a leg, the middle of the mouth comes to 100·cos(2·atan 0.1) from the apex: 1.98 mm inside the side.
    let open = darted((100.0, 150.0), &[], "dart lower");
    let found = the_one(&open, &["cap of the dart “hip” on “front”"]);
    let off = 100.0 - 100.0 * (2.0 * 0.1_f64.atan()).cos();
    assert!((found.amount_mm.unwrap() - off).abs() < 1e-6, "{:?}", found.amount_mm);
    assert_eq!(found.severity, Severity::Warning);
}

#[test]
fn the_coats_dart_pressed_the_other_way_does_not_fit() {
    let mut pattern = garden_coat().unwrap().garment().pattern.as_ref().clone();
    for front in &mut pattern.pieces[1].by_size {
        Arc::make_mut(front).darts[0].pressed_toward = "dart upper".into();
    }
    let open = garment(pattern, "88", |_| {});
    the_one(&open, &["cap of the dart “bust”", "pressed toward “dart upper”"]);
}

#[test]
fn unequal_legs_are_told_with_their_lengths() {
    // Legs √(100² + 15²) = 101.1 and √(100² + 5²) = 100.1.
    let open = darted((100.0, 155.0), &[trued_tip()], "dart lower");
    let found = the_one(&open, &["the legs of the dart “hip”", "101.1 mm and 100.1 mm"]);
    let longer = 10_025_f64.sqrt() - 10_225_f64.sqrt();
    assert!((found.amount_mm.unwrap() - longer).abs() < 1e-9);
}

/// A quarter of a circle skirt: waist radius 111.4, so 700 mm round, and 600 mm long.
fn circle(hem_allowance: f64) -> OpenGarment {
    let (inner, outer) = (111.4, 711.4);
    let mut front = rectangle("front", 1, 300.0);
    // Turned so that the fold hangs down: the hem runs from below the centre out to the side.
    *curve_of(&mut front, "hem") = Curve::arc(Point::ORIGIN, Point::new(0.0, -outer), FRAC_PI_2);
    *curve_of(&mut front, "side") = Curve::line(Point::new(outer, 0.0), Point::new(inner, 0.0));
    *curve_of(&mut front, "waist") = Curve::arc(Point::ORIGIN, Point::new(inner, 0.0), -FRAC_PI_2);
    *curve_of(&mut front, "fold") = Curve::line(Point::new(0.0, -inner), Point::new(0.0, -outer));
    let back = Piece { id: "back".into(), number: 2, ..front.clone() };
    let mut pattern = skirt(front, back, EaseRange::default());
    pattern.hem_allowance = mm(hem_allowance);
    garment(pattern, "one", |_| {})
}

#[test]
fn a_wide_allowance_on_a_circles_hem_cannot_be_eased_in() {
    // a·π/2 on a hem of 711.4·π/2: 25/711.4 is 3.5 %, 50/711.4 is 7 %. Up to 5 %, 35.6 mm may be turned up.
    assert!(said(&circle(25.0)).is_empty(), "{:#?}", said(&circle(25.0)));
    let found = the_one(&circle(50.0), &["hem of “front”", "79 mm longer"]);
    assert_eq!(found.severity, Severity::Warning);
    assert!((found.amount_mm.unwrap() - 50.0 * FRAC_PI_2).abs() < 1e-6);
    assert!(found.remedy.contains("at most 36 mm"), "{}", found.remedy);
}

#[test]
fn a_corner_within_a_hem_is_noted() {
    // 10 mm down and up again over 100 mm each: 2·atan(0.1) = 11.4°.
    let open = with_front(|piece| {
        let low = [Point::ORIGIN, Point::new(100.0, -10.0), Point::new(200.0, 0.0)];
        *curve_of(piece, "hem") = Curve::polyline(&low).unwrap();
    });
    let found = the_one(&open, &["the hem of “front” has a corner of 11°"]);
    assert_eq!(found.at, Some(Point::new(100.0, -10.0)));
}

#[test]
fn a_piece_without_a_cutting_instruction_is_told() {
    let open = with_front(|piece| piece.cuttings.clear());
    the_one(&open, &["“front” does not say how many to cut"]);
}

fn blend(from: &str, until: &str) -> OpenGarment {
    let notch = |notch: &str| SeamPlace::Notch { notch: notch.into() };
    let record = Record::Blend(Blend {
        to: "100".into(),
        piece: "back".into(),
        from: notch(from),
        until: notch(until),
        through: None,
    });
    let pattern = garden_coat().unwrap().garment().pattern.as_ref().clone();
    garment(pattern, "84", |plan| plan.alterations = list([record]))
}

#[test]
fn a_zone_shorter_than_five_times_the_difference_is_warned_about() {
    // Four sizes are 40 mm apart at the hip; the waist is 71 mm below the dart's notch, the hip 275 mm.
    let found =
        the_one(&blend("below dart", "waist"), &["goes over to size 100 on “back”", "difference of 40 mm"]);
    assert_eq!(found.severity, Severity::Warning);
    assert!(found.remedy.contains("at least 20"), "{}", found.remedy);
    let long = said(&blend("below dart", "hip"));
    assert!(!long.iter().any(|found| found.what.contains("goes over")), "{long:#?}");
}

#[test]
fn too_little_ease_is_told_and_enough_is_silent() {
    // The coat measures 1060 mm round the hip in size 88 and 1140 mm in size 96; 2 inches are the least.
    let for_hip = |size: &str, hip: &str| {
        let pattern = garden_coat().unwrap().garment().pattern.as_ref().clone();
        garment(pattern, size, |plan| {
            let hip = (BodyMeasurement::HipGirth, hip.parse().unwrap());
            plan.wearer.measurements.extend([hip]);
        })
    };
    let found = the_one(&for_hip("88", "104 cm"), &["hip girth: 20 mm of ease", "at least 51 mm"]);
    assert_eq!(found.severity, Severity::Warning);
    assert!((found.amount_mm.unwrap() - (20.0 - 50.8)).abs() < 0.01);
    assert!(said(&for_hip("96", "104 cm")).is_empty());
    assert!(said(&for_hip("88", "100 cm")).is_empty());
}

fn laid(places: &[(&str, u32, bool)]) -> OpenGarment {
    let places = places.to_owned();
    let pattern = garden_coat().unwrap().garment().pattern.as_ref().clone();
    garment(pattern, "88", |plan| {
        plan.lay = places
            .iter()
            .map(|(piece, copy, mirrored)| Place {
                piece: (*piece).into(),
                copy: *copy,
                at: Point::new(800.0, 500.0),
                turn_degrees: 0.0,
                mirrored: *mirrored,
            })
            .collect();
    })
}

#[test]
fn two_left_fronts_stop_the_cutting_and_one_is_turned_over() {
    assert!(said(&laid(&[("front", 1, false), ("front", 2, true)])).is_empty());
    assert!(said(&laid(&[("front", 1, false)])).is_empty());
    let mut open = laid(&[("front", 1, false), ("front", 2, false)]);
    let found = the_one(&open, &["“front” is cut as a mirrored pair", "2 copies lie the same way round"]);
    assert_eq!(found.severity, Severity::Stop);
    open.perform(&found.mend.unwrap().command, None).unwrap();
    assert!(open.plan().lay[1].mirrored);
    assert!(said(&open).is_empty());
}

#[test]
fn a_third_front_and_a_pair_of_three_are_told() {
    let open = laid(&[("front", 1, false), ("front", 2, true), ("front", 3, false)]);
    let found = the_one(&open, &["the lay has a copy 3 of “front”"]);
    assert_eq!(found.mend.unwrap().command, Command::RemovePlace("front".into(), 3));
    let mut pattern = garden_coat().unwrap().garment().pattern.as_ref().clone();
    for front in &mut pattern.pieces[1].by_size {
        Arc::make_mut(front).cuttings[0].count = 3;
    }
    the_one(&garment(pattern, "88", |_| {}), &["“front” is to be cut 3 times as mirrored pairs"]);
}

#[test]
fn a_step_that_cannot_be_done_is_told_with_the_switch_that_leaves_it_out() {
    let record = Record::Blend(Blend {
        to: "100".into(),
        piece: "sleeve".into(),
        from: SeamPlace::Corner { corner: "a".into() },
        until: SeamPlace::Corner { corner: "b".into() },
        through: None,
    });
    let pattern = garden_coat().unwrap().garment().pattern.as_ref().clone();
    let mut open = garment(pattern, "84", |plan| plan.alterations = list([record]));
    let found = the_one(&open, &["alteration 1 was left out"]);
    open.perform(&found.mend.unwrap().command, None).unwrap();
    assert!(said(&open).is_empty());
}
