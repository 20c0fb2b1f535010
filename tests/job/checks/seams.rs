//! Mates: lengths, notches, angles, facings.

use crate::garments::*;
use chalkbeam::alter::{
    DartsAcross, Hem, Lengthen, LengthenAt, Pieces, Record, Shoulder, ShoulderArmhole, ShoulderPart,
};
use chalkbeam::finding::Severity;
use chalkbeam::geometry::Point;
use chalkbeam::pattern::{BalanceLine, EaseRange, SeamSide, Walk};

fn skirt_of(front_mm: f64, back_mm: f64, ease: EaseRange) -> chalkbeam::garment::OpenGarment {
    let pattern = skirt(rectangle("front", 1, front_mm), rectangle("back", 2, back_mm), ease);
    garment(pattern, "one", |_| {})
}

#[test]
fn sides_that_differ_by_more_than_a_sixteenth_of_an_inch_stop_the_cutting() {
    let none = EaseRange::default();
    assert!(said(&skirt_of(300.0, 301.4, none)).is_empty());
    let found = the_one(&skirt_of(300.0, 303.0, none), &["side seam", "300.0 mm", "303.0 mm"]);
    assert_eq!(found.severity, Severity::Stop);
    assert!((found.amount_mm.unwrap() - 3.0).abs() < 1e-9);
    assert_eq!(found.piece.as_ref().unwrap().as_str(), "front");
    assert_eq!(found.at, Some(Point::new(200.0, 0.0)), "at the end of the seam");
    assert_eq!(found.mend, None);
}

#[test]
fn what_may_be_eased_in_is_no_mismatch() {
    let eased = EaseRange { least_mm: 2.0, most_mm: 10.0 };
    for back_mm in [301.0, 306.0, 311.0] {
        assert!(said(&skirt_of(300.0, back_mm, eased)).is_empty(), "{back_mm}");
    }
    for back_mm in [300.0, 312.0] {
        the_one(&skirt_of(300.0, back_mm, eased), &["does not meet"]);
    }
}

#[test]
fn the_stretch_that_brings_the_difference_in_is_named() {
    let front = notched(notched(rectangle("front", 1, 300.0), "upper", 100.0), "lower", 200.0);
    let back = notched(notched(rectangle("back", 2, 304.0), "upper", 100.0), "lower", 204.0);
    let found =
        the_one(&plain_skirt(front, back), &["4.0 mm of it between the notch “upper” and the notch “lower”"]);
    // 200 below the waist of the front, which is 300 high.
    assert_eq!(found.at, Some(Point::new(200.0, 100.0)));
}

#[test]
fn a_notch_that_drifts_is_named_while_the_lengths_agree() {
    let at = |front_mm: f64, back_mm: f64| {
        plain_skirt(
            notched(rectangle("front", 1, 300.0), "hip", front_mm),
            notched(rectangle("back", 2, 300.0), "hip", back_mm),
        )
    };
    assert!(said(&at(120.0, 121.4)).is_empty());
    let found = the_one(&at(120.0, 116.0), &["“hip”", "4.0 mm further on “front”"]);
    assert_eq!(found.severity, Severity::Warning);
    assert!((found.amount_mm.unwrap() + 4.0).abs() < 1e-9);
    assert_eq!(found.at, Some(Point::new(200.0, 180.0)));
}

#[test]
fn a_hem_that_does_not_run_on_across_the_side_is_off_as_printed() {
    // The back's hem falls by 20 mm over 200 mm towards the side: 5.71° beyond the square.
    let back = skirt_piece("back", 2, [(0.0, 20.0), (200.0, 0.0), (200.0, 300.0), (0.0, 300.0)]);
    let open = plain_skirt(rectangle("front", 1, 300.0), back);
    let found = the_one(&open, &["“hem” of “front” and “hem” of “back”", "as printed"]);
    assert_eq!(found.severity, Severity::Note);
    assert!(found.what.contains("5.7° off"), "{}", found.what);
    // And the fold of the back, where the hem begins, is off square by as much.
    let fold = the_one(&open, &["“back” is 5.7° off square at its fold, at “hem fold”"]);
    assert_eq!(fold.at, Some(Point::new(0.0, 20.0)));
}

#[test]
fn an_alteration_that_breaks_the_line_across_a_seam_is_warned_about() {
    // Both sides flare by 15°. The line lies 20 mm above the hem, so the hem lies within the band: at u = 0.7 the
    // stretch is 1 + 40·6·0.7·0.3/100 = 1.504, and the flare of the side there becomes atan(tan 15°/1.504) = 10.1°.
    let flared = |id: &str, number: u32| {
        let wide = 200.0 + 300.0 * 15_f64.to_radians().tan();
        let mut piece = skirt_piece(id, number, [(0.0, 0.0), (wide, 0.0), (200.0, 300.0), (0.0, 300.0)]);
        piece.balance_lines.push(BalanceLine {
            id: "low".into(),
            line: chalkbeam::geometry::Line::new((0.0, 20.0), (270.0, 20.0)),
        });
        piece
    };
    let record = Record::Lengthen(Lengthen {
        at: LengthenAt::BalanceLine { line: "low".into(), half_band: None, darts: DartsAcross::default() },
        longer_by: mm(40.0),
    });
    let pattern = skirt(flared("front", 1), flared("back", 2), EaseRange::default());
    let as_printed = garment(pattern.clone(), "one", |_| {});
    let found = the_one(&as_printed, &["“hem” of “front”", "30.0° off", "as printed"]);
    assert_eq!(found.severity, Severity::Note);
    let altered = garment(pattern, "one", |plan| plan.alterations = list([record]));
    let found = the_one(&altered, &["“hem” of “front”", "20.2° off"]);
    assert_eq!(found.severity, Severity::Warning);
}

fn hem(pieces: &[&str], by: f64) -> Record {
    Record::Hem(Hem::parallel(Pieces::Only(pieces.iter().map(|id| (*id).into()).collect()), mm(by)))
}

#[test]
fn a_mate_left_behind_is_stale_and_one_command_mends_it() {
    let mut open = bare_coat("88");
    let command = chalkbeam::garment::Command::AddAlteration(hem(&["front", "front facing"], -80.0));
    open.perform(&command, None).unwrap();
    let found = the_one(&open, &["“back” is stale", "alteration 1 changed “front”"]);
    assert_eq!(found.severity, Severity::Stop);
    // The side is 879.91 mm in size 88; the front's is 80 mm shorter.
    assert!(found.what.contains("799.9 mm on “front”") && found.what.contains("879.9 mm on “back”"));
    assert!((found.amount_mm.unwrap() - 80.0).abs() < 0.01);
    assert!(open.evaluated().stale.contains(&"back".into()));
    let mend = found.mend.clone().unwrap();
    open.perform(&mend.command, None).unwrap();
    assert!(said(&open).is_empty(), "{:#?}", said(&open));
    assert!(open.evaluated().stale.is_empty());
}

#[test]
fn a_shoulder_lowered_on_one_piece_alone_is_lowered_on_its_mate_by_one_command() {
    let mut open = bare_coat("88");
    let part = ShoulderPart {
        piece: "front".into(),
        shoulder: "shoulder".into(),
        armhole: "armhole".into(),
        lower_by: mm(8.0),
    };
    let alone = Record::Shoulder(Shoulder { parts: vec![part], armhole: ShoulderArmhole::Keep });
    open.perform(&chalkbeam::garment::Command::AddAlteration(alone), None).unwrap();
    // The armhole is kept, so the side seam of the front comes down by about the 8 mm and the back's does not.
    let found = the_one(&open, &["“back” is stale", "alteration 1 changed “front”"]);
    open.perform(&found.mend.unwrap().command, None).unwrap();
    let Record::Shoulder(both) = &open.plan().alterations[0].record else { panic!("still a shoulder") };
    assert_eq!(both.parts[1].piece.as_str(), "back");
    assert_eq!(both.parts[1].lower_by, mm(8.0));
    let seams: Vec<_> = said(&open).into_iter().filter(|found| found.what.contains("side seam")).collect();
    assert!(seams.is_empty(), "{seams:#?}");
}

#[test]
fn a_facing_that_no_longer_fits_its_edge_stops_the_cutting() {
    let mut open = bare_coat("88");
    let command = chalkbeam::garment::Command::AddAlteration(hem(&["front", "back"], -80.0));
    open.perform(&command, None).unwrap();
    let found = the_one(&open, &["the facing “front facing” is stale"]);
    assert_eq!(found.severity, Severity::Stop);
    assert_eq!(found.piece.as_ref().unwrap().as_str(), "front facing");
    assert!((found.amount_mm.unwrap() - 80.0).abs() < 0.01);
    open.perform(&found.mend.unwrap().command, None).unwrap();
    assert!(said(&open).is_empty(), "{:#?}", said(&open));
}

#[test]
fn a_closed_dart_brings_the_side_of_the_front_onto_that_of_the_back() {
    // Closing the front's dart turns its upper part back by 13.5°, the angle of size 88.
    let open = bare_coat("88");
    let pattern = &open.garment().pattern;
    let seam = pattern.seams.iter().find(|seam| seam.id.as_str() == "side").unwrap();
    let pieces = pattern.pieces_in(&"88".into()).unwrap();
    let piece = |id: &str| pieces.iter().find(|piece| piece.id.as_str() == id).unwrap();
    let front = SeamSide::new(piece("front"), &seam.sides[0]).unwrap();
    let back = SeamSide::new(piece("back"), &seam.sides[1]).unwrap();
    let walk = Walk::of(&front, &back);
    assert_eq!(walk.marks.len(), 5, "beginning, below dart, waist, hip, end");
    assert!(walk.marks.iter().all(|mark| mark.drift_mm().abs() < 0.01));
    let turn = chalkbeam::geometry::Affine::rotate_about(13.5_f64.to_radians(), piece("front").darts[0].apex);
    for share in [0.0, 0.05, 0.3, 0.8, 1.0] {
        let along = share * front.length();
        let closed = turn.inverse() * front.closed_point_at(along).unwrap();
        let on_back = back.point_at(along).unwrap();
        assert!(closed.distance(on_back) < 0.01, "{share}: {closed:?} and {on_back:?}");
    }
}
