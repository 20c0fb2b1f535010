//! A lay is sought at the desk, shown, taken or left.

use crate::seat::{Seat, demo, empty};
use chalkbeam::desk::Stop;
use chalkbeam::finding::Severity;
use chalkbeam::garment::Command;
use chalkbeam::geometry::Length;
use chalkbeam::lay::{self, Place};
use chalkbeam::pattern::ClothKind;
use egui::accesskit::Role;
use std::time::{Duration, Instant};

/// Waits until the desk says something.
fn wait_for(seat: &mut Seat, what: &str, said: impl Fn(&Seat) -> bool) {
    let begun = Instant::now();
    while !said(seat) {
        assert!(begun.elapsed() < Duration::from_secs(90), "no {what}: {:?}", seat.labels(Role::Label));
        std::thread::sleep(Duration::from_millis(30));
        seat.look();
    }
}

fn wait_for_a_lay(seat: &mut Seat) {
    wait_for(seat, "lay", |seat| {
        seat.says("No lay can be shorter") || seat.says("the shortest lay there is")
    });
}

fn lay_of(seat: &Seat) -> Vec<Place> {
    seat.session().open.plan().lay.clone()
}

fn grave(seat: &Seat) -> Vec<String> {
    let open = &seat.session().open;
    let breaches = lay::breaches(&open.evaluated().laid(open.plan()).unwrap());
    let grave = breaches.into_iter().filter(|breach| breach.finding.severity > Severity::Note);
    grave.map(|breach| format!("{:?}: {}", breach.rule, breach.finding.what)).collect()
}

#[test]
fn a_lay_is_sought_shown_and_taken_in_one_step() {
    let mut seat = Seat::with_size(demo(), (1366.0, 1600.0));
    seat.go_to(Stop::Lay);
    let (before, board) = (lay_of(&seat), seat.board().number);
    assert!(seat.drawn_again_in() > Duration::from_secs(3600), "nothing runs while nothing is sought");
    seat.click(Role::Button, "find a lay");
    wait_for_a_lay(&mut seat);
    assert_eq!(lay_of(&seat), before, "nothing is laid before it is taken");
    assert!(seat.says("to spare") && seat.says("of the used cloth is pieces"));
    assert_ne!(seat.board().number, board, "the board shows what was found");
    assert!(seat.drawn_again_in() <= Duration::from_millis(250), "the words follow the search");
    seat.click(Role::Button, "stop");
    wait_for(&mut seat, "end", |seat| seat.says("Sought for"));
    seat.click(Role::Button, "take this lay");
    assert_ne!(lay_of(&seat), before);
    assert_eq!(grave(&seat), Vec::<String>::new());
    assert!(seat.says("find a lay") && seat.drawn_again_in() > Duration::from_secs(3600));
    seat.click(Role::Button, "Take back");
    assert_eq!(lay_of(&seat), before, "one step");
}

#[test]
fn what_is_pinned_stays_and_can_not_be_dragged_or_taken_off() {
    let mut seat = Seat::with_size(demo(), (1366.0, 1600.0));
    seat.go_to(Stop::Lay);
    let first = lay_of(&seat)[0].clone();
    // Off the best place, so that the search would move it.
    let aside = Place { at: first.at + chalkbeam::geometry::Vec2::new(140.0, 0.0), ..first.clone() };
    seat.perform(&Command::SetPlace(aside.clone()));
    seat.click_nth(Role::Button, "pin", 0);
    assert!(seat.says("One copy stays where it lies"));
    seat.click(Role::Button, "find a lay");
    wait_for_a_lay(&mut seat);
    seat.click(Role::Button, "take this lay");
    assert!(lay_of(&seat).contains(&aside), "{:?}", lay_of(&seat));
    let open = &seat.session().open;
    assert!(open.stays(&aside.piece, aside.copy));
    let text = open.garment().to_text("coat.garment.ron".as_ref()).unwrap();
    assert!(text.contains("pinned"), "a pin is kept in the file");
}

#[test]
fn what_was_found_for_another_cloth_is_not_taken() {
    let mut seat = Seat::with_size(demo(), (1366.0, 1600.0));
    seat.go_to(Stop::Lay);
    seat.click(Role::Button, "find a lay");
    wait_for_a_lay(&mut seat);
    let mut cloth = seat.session().open.plan().cloths[&ClothKind::Cloth].clone();
    cloth.width = Length::from_mm(1200.0);
    seat.perform(&Command::SetCloth(ClothKind::Cloth, cloth));
    assert!(seat.says("as they were before") && !seat.says("take this lay"));
}

#[test]
fn a_cloth_that_is_too_short_says_by_how_much_and_what_would_help() {
    let mut open = demo();
    let mut cloth = open.plan().cloths[&ClothKind::Cloth].clone();
    cloth.length = Length::from_mm(1500.0);
    open.perform(&Command::SetCloth(ClothKind::Cloth, cloth), None).unwrap();
    let mut seat = Seat::with_size(open, (1366.0, 1600.0));
    seat.go_to(Stop::Lay);
    seat.click(Role::Button, "find a lay");
    wait_for_a_lay(&mut seat);
    seat.click(Role::Button, "stop");
    wait_for(&mut seat, "help", |seat| seat.says("Sought for"));
    assert!(seat.says("1500 mm are at hand"));
    assert!(seat.says("Tried: not matching the print needs"), "{:?}", seat.labels(Role::Label));
}

#[test]
fn cloth_of_another_width_is_a_field_away_and_changes_nothing() {
    let mut seat = Seat::with_size(demo(), (1366.0, 1600.0));
    seat.go_to(Stop::Lay);
    let before = seat.session().open.plan().clone();
    seat.enter("needed of cloth as wide as", "115 cm");
    wait_for(&mut seat, "need", |seat| seat.says("1150 mm wide"));
    wait_for(&mut seat, "end", |seat| !seat.says("Seeking a shorter lay"));
    assert_eq!(*seat.session().open.plan(), before);
    seat.enter("needed of cloth as wide as", "30 cm");
    wait_for(&mut seat, "refusal", |seat| seat.says("300.0 mm are usable"));
}

#[test]
fn a_cloth_that_can_not_be_searched_is_refused_in_words() {
    let mut seat = Seat::at(empty());
    seat.go_to(Stop::Lay);
    assert!(!seat.says("find a lay"), "without a cloth there is nothing to seek");
    let mut open = demo();
    let mut cloth = open.plan().cloths[&ClothKind::Cloth].clone();
    let folded_over = Length::from_mm(300.0);
    let right_sides = chalkbeam::cloth::RightSides::In;
    cloth.plies = chalkbeam::cloth::Plies::PartFolded { folded_over, right_sides };
    open.perform(&Command::SetCloth(ClothKind::Cloth, cloth), None).unwrap();
    let mut seat = Seat::with_size(open, (1366.0, 1600.0));
    seat.go_to(Stop::Lay);
    seat.click(Role::Button, "find a lay");
    let complaint = seat.session().complaint.clone().unwrap_or_default();
    assert!(complaint.contains("folded in part"), "{complaint}");
}
