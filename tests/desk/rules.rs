//! The rules of the lay at the desk: their numbers, and each let pass with a typed reason.

use crate::seat::{Seat, demo};
use chalkbeam::cloth::Plies;
use chalkbeam::desk::Stop;
use chalkbeam::finding::Severity;
use chalkbeam::garment::Command;
use chalkbeam::lay::{CentreOn, Grain, Place, Rule};
use chalkbeam::pattern::ClothKind;
use egui::accesskit::Role;

fn at_the_lay() -> Seat {
    let mut seat = Seat::with_size(demo(), (1366.0, 3200.0));
    seat.go_to(Stop::Lay);
    seat
}

#[test]
fn every_rule_can_be_let_pass_with_a_reason_and_kept_again() {
    let mut seat = at_the_lay();
    for rule in Rule::ALL {
        let words = rule.to_string();
        seat.click_nth(Role::Button, &words, 0);
        assert!(seat.session().open.plan().lay_rules.let_pass.is_empty(), "not before a reason is written");
        seat.enter(&format!("Let “{words}” pass everywhere"), "I have seen it on the cloth");
        let rules = &seat.session().open.plan().lay_rules;
        assert!(rules.lets_pass(rule), "{rule}: {:?}", rules.let_pass);
        assert!(seat.says(&format!("Let pass: “{words}” everywhere")));
        seat.click(Role::Button, "keep it again");
        assert!(seat.session().open.plan().lay_rules.let_pass.is_empty());
    }
}

#[test]
fn a_reason_stands_in_the_finding_and_can_be_written_anew() {
    let mut seat = at_the_lay();
    let place = seat.session().open.plan().lay[0].clone();
    seat.perform(&Command::SetPlace(Place { turn_degrees: 180.0, ..place.clone() }));
    let found = |seat: &Seat| {
        let findings = seat.session().findings();
        let found = findings.iter().find(|found| found.what.contains("upside down")).unwrap().clone();
        (found.severity, found.what.clone())
    };
    assert_eq!(found(&seat).0, Severity::Stop);
    seat.click_nth(Role::Button, "the same way up", 0);
    seat.click(Role::Button, &format!("on “{}”", place.piece));
    seat.enter("Let “the same way up” pass on", "the sprigs are dots from two steps away");
    let (severity, what) = found(&seat);
    assert_eq!(severity, Severity::Note);
    assert!(what.contains("let pass: the sprigs are dots"), "{what}");
    assert!(seat.says("The sprigs are dots") || seat.says("the sprigs are dots"));
    seat.enter("reason", "seen");
    assert!(found(&seat).1.contains("let pass: seen"));
    seat.click(Role::Button, "Take back");
    assert!(found(&seat).1.contains("the sprigs are dots"));
    seat.click(Role::Button, "keep it again");
    assert_eq!(found(&seat).0, Severity::Stop);
}

#[test]
fn numbers_centre_and_grain_are_set_by_hand() {
    let mut seat = at_the_lay();
    seat.enter("room between pieces", "1/8 in");
    seat.enter("grain may be off by", "2");
    seat.click(Role::Button, "the widest gap");
    let rules = &seat.session().open.plan().lay_rules;
    assert_eq!((rules.gap.to_string().as_str(), rules.grain_tolerance_degrees), ("1/8 in", 2.0));
    assert_eq!(rules.centre, CentreOn::WidestGap);
    seat.enter("room between pieces", "-1 mm");
    assert!(seat.says("is less than none"));
    let piece = seat.session().open.plan().lay[0].piece.clone();
    seat.click(Role::Button, &format!("{piece} 1"));
    seat.click(Role::Button, "on the true bias");
    assert_eq!(seat.session().open.plan().lay_rules.grain_of(&piece), Grain::Bias);
    // Off the cloth and on again, it lies as its grain asks.
    seat.perform(&Command::RemovePlace(piece.clone(), 1));
    seat.click(Role::Button, &format!("lay {piece} 1"));
    let lies = seat.session().open.plan().lay.iter().find(|place| place.piece == piece && place.copy == 1);
    assert!((lies.unwrap().turn_degrees - 45.0).abs() < 1e-9);
}

#[test]
fn a_piece_is_turned_where_it_lies_and_only_if_the_cloth_has_no_direction() {
    let mut open = demo();
    let mut seat = Seat::with_size(open.clone(), (1366.0, 3200.0));
    seat.go_to(Stop::Lay);
    let before = seat.session().open.plan().lay.clone();
    seat.click_nth(Role::Button, "turn", 0);
    assert_eq!(seat.session().open.plan().lay, before, "the coat's sprigs have a top");
    let mut cloth = open.plan().cloth().unwrap().clone();
    cloth.print = None;
    open.perform(&Command::SetCloth(ClothKind::Cloth, cloth.clone()), None).unwrap();
    let bounds = |seat: &Seat| {
        let open = &seat.session().open;
        let place = &open.plan().lay[0];
        let piece = open.evaluated().piece(&place.piece).unwrap();
        let path = place.cloth_from_piece(&piece.altered) * piece.cutting_path.clone().unwrap();
        kurbo::Shape::bounding_box(&path)
    };
    for plies in [Plies::Flat, Plies::FoldedLengthwise { right_sides: chalkbeam::cloth::RightSides::In }] {
        cloth.plies = plies;
        open.perform(&Command::SetCloth(ClothKind::Cloth, cloth.clone()), None).unwrap();
        let mut seat = Seat::with_size(open.clone(), (1366.0, 3200.0));
        seat.go_to(Stop::Lay);
        let (place, lay) = (seat.session().open.plan().lay[0].clone(), bounds(&seat));
        seat.click_nth(Role::Button, "turn", 0);
        let turned = seat.session().open.plan().lay[0].clone();
        assert!(((turned.turn_degrees - place.turn_degrees).abs() - 180.0).abs() < 1e-9);
        let off = bounds(&seat);
        assert!((off.center() - lay.center()).hypot() < 1e-6, "{lay:?} {off:?}");
    }
}
