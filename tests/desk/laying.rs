//! A lay is sought at the desk, shown, taken or left.

use crate::seat::{Seat, demo, empty};
use chalkbeam::cloth::{Plies, RightSides};
use chalkbeam::desk::{Stop, Wish};
use chalkbeam::finding::Severity;
use chalkbeam::floor::Action;
use chalkbeam::garment::{Command, along_the_cloth, rehearsal};
use chalkbeam::geometry::{Length, Vec2};
use chalkbeam::lay::{self, Place};
use chalkbeam::pattern::ClothKind;
use chalkbeam::scene::{Meaning, Shape};
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
    let aside = Place { at: first.at + Vec2::new(140.0, 0.0), ..first.clone() };
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
    cloth.plies = Plies::PartFolded { folded_over, right_sides: RightSides::In };
    open.perform(&Command::SetCloth(ClothKind::Cloth, cloth), None).unwrap();
    let mut seat = Seat::with_size(open, (1366.0, 1600.0));
    seat.go_to(Stop::Lay);
    seat.click(Role::Button, "find a lay");
    let complaint = seat.session().complaint.clone().unwrap_or_default();
    assert!(complaint.contains("can't be cut folded"), "{complaint}");
}

fn items(seat: &Seat, meaning: Meaning) -> usize {
    seat.board().scene.items.iter().filter(|item| item.meaning == meaning).count()
}

fn words_on_board(seat: &Seat) -> Vec<String> {
    let words = seat.board().scene.items.iter().filter_map(|item| match &item.shape {
        Shape::Label { words, .. } => Some(words.clone()),
        _ => None,
    });
    words.collect()
}

#[test]
fn matched_seams_are_linked_points_and_bear_what_the_print_is_off() {
    let mut seat = Seat::with_size(demo(), (1366.0, 1600.0));
    seat.go_to(Stop::Cloth);
    assert_eq!(items(&seat, Meaning::Link), 0, "links are shown where pieces are laid");
    seat.go_to(Stop::Lay);
    assert!(items(&seat, Meaning::Link) >= 3, "a line with a dot at both ends");
    assert_eq!(items(&seat, Meaning::LinkOff), 0, "the demo's lay is matched");
    let back = lay_of(&seat).into_iter().find(|place| place.piece.as_str() == "back").unwrap();
    let off = Place { at: back.at + Vec2::new(4.2, 0.0), ..back };
    seat.perform(&Command::SetPlace(off));
    assert!(items(&seat, Meaning::LinkOff) >= 3);
    assert!(
        words_on_board(&seat).iter().any(|words| words == "off 4.2 mm along"),
        "{:?}",
        words_on_board(&seat)
    );
}

#[test]
fn the_piece_in_hand_shows_its_other_half_and_the_rules_that_it_breaks() {
    let mut open = demo();
    let mut cloth = open.plan().cloths[&ClothKind::Cloth].clone();
    cloth.print = None;
    cloth.plies = Plies::FoldedLengthwise { right_sides: RightSides::In };
    open.perform(&Command::SetCloth(ClothKind::Cloth, cloth), None).unwrap();
    let mut seat = Seat::with_size(open, (1366.0, 1600.0));
    seat.go_to(Stop::Lay);
    assert_eq!(items(&seat, Meaning::MirroredHalf), 0);
    seat.click(Role::Button, "back 1");
    assert_eq!(items(&seat, Meaning::MirroredHalf), 1);
    assert!(seat.says("In hand: back 1"));
    // The findings follow the piece while it is dragged.
    let place = lay_of(&seat).into_iter().find(|place| place.piece.as_str() == "back").unwrap();
    seat.perform(&Command::SetPlace(Place { at: place.at + Vec2::new(-5000.0, 0.0), ..place }));
    assert!(seat.says("usable width") || seat.says("off the cloth") || seat.says("length at hand"));
}

#[test]
fn the_cutting_is_rehearsed_copy_by_copy_and_nothing_is_ticked() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2600.0));
    seat.go_to(Stop::Cut);
    let (count, before) = (lay_of(&seat).len(), seat.session().open.garment().progress.clone());
    seat.click(Role::Button, "rehearse the cutting");
    assert!(seat.says(&format!("1 of {count}")) && seat.says("one ply"));
    assert_eq!(seat.session().floor.only, Some(0));
    let view = seat.session().floor.clone();
    let lit = chalkbeam::floor::floor_scene(&seat.session().open, &view, view.window_size);
    let said = lit.items.iter().any(|item| match &item.shape {
        Shape::Label { words, .. } => words.starts_with("Rehearsal, 1 of"),
        _ => false,
    });
    assert!(said, "it is said on the cloth too");
    for place in 1..count {
        // Enter ticks at other times; here the hand goes on.
        seat.grant(&Wish::Act(Action::Tick));
        assert_eq!(seat.session().floor.only, Some(place));
    }
    seat.grant(&Wish::Act(Action::NextCopy));
    assert!(seat.says("That is the whole of it") && seat.session().floor.rehearsing);
    assert_eq!(seat.session().open.garment().progress, before, "nothing was ticked");
    seat.click(Role::Button, "end the rehearsal");
    assert!(!seat.session().floor.rehearsing && seat.session().floor.only.is_none());
}

#[test]
fn what_must_not_be_cut_yet_says_why_and_is_lit_in_the_other_colour() {
    let mut open = demo();
    let mut front = open.plan().lay.iter().find(|place| place.piece.as_str() == "front").unwrap().clone();
    front.turn_degrees = 180.0;
    open.perform(&Command::SetPlace(front.clone()), None).unwrap();
    let why = open.why_not_cut(&front.piece).unwrap();
    assert!(why.contains("“front”"), "{why}");
    let steps = rehearsal(&open);
    let step = steps.iter().find(|step| open.plan().lay[step.place].piece == front.piece).unwrap();
    assert_eq!(step.waits.as_deref(), Some(why.as_str()));
    let mut seat = Seat::with_size(open, (1366.0, 1600.0));
    seat.go_to(Stop::Lay);
    assert!(items(&seat, Meaning::Caution) > 0);
}

#[test]
fn the_rehearsal_of_folded_cloth_names_both_copies_and_the_mates_cut_before() {
    let open = demo();
    let steps = rehearsal(&open);
    assert_eq!(steps.len(), open.plan().lay.len());
    let all: Vec<&String> = steps.iter().flat_map(|step| &step.words).collect();
    assert!(all.iter().any(|words| words.contains("it matches")), "{all:?}");
    assert!(all.iter().any(|words| words.contains("then mark") && words.contains("notch")), "{all:?}");
    let mut folded = open.clone();
    let mut cloth = open.plan().cloths[&ClothKind::Cloth].clone();
    cloth.print = None;
    cloth.plies = Plies::FoldedLengthwise { right_sides: RightSides::In };
    folded.perform(&Command::SetCloth(ClothKind::Cloth, cloth), None).unwrap();
    let steps = rehearsal(&folded);
    assert!(steps.iter().any(|step| step.words[0].contains("two plies: copies 1 and 2")), "{steps:?}");
    // In the order in which a blade meets them.
    let ordered = along_the_cloth(&open, open.plan().lay.iter().rev().cloned().collect());
    assert_eq!(ordered, along_the_cloth(&open, ordered.clone()));
}
