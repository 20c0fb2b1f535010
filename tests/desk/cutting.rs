//! Cutting: ticks, and what the floor is asked to show.

use crate::seat::{Seat, demo};
use chalkbeam::desk::{Stop, Wish};
use chalkbeam::floor::{Action, KEYS};
use chalkbeam::garment::CutState;
use egui::accesskit::Role;

#[test]
fn a_copy_is_ticked_as_cut_and_as_marked() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Cut);
    let state = |seat: &Seat| seat.session().open.state_of(&"front".into(), 1);
    seat.click_nth(Role::CheckBox, "cut", 0);
    assert_eq!(state(&seat), Some(CutState::Cut));
    assert!(seat.says("1 cut, 0 marked"));
    seat.click_nth(Role::CheckBox, "marked", 0);
    assert_eq!(state(&seat), Some(CutState::Marked));
    seat.click_nth(Role::CheckBox, "cut", 0);
    assert_eq!(state(&seat), None);
}

#[test]
fn the_panic_keys_are_plain_to_see_at_the_desk() {
    let mut seat = Seat::at(demo());
    seat.grant(&Wish::Act(Action::Dark));
    assert!(seat.says("The floor is dark (Esc"));
    seat.click(Role::Button, "The floor is dark");
    assert!(!seat.session().floor.dark && !seat.says("The floor is dark"));
    seat.grant(&Wish::Act(Action::OnlyCuttingLines));
    assert!(seat.says("Only cutting lines are lit (Space"));
}

#[test]
fn every_key_of_the_table_stands_in_the_desks_help_and_works_from_there() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2000.0));
    seat.go_to(Stop::Cut);
    for entry in &KEYS {
        assert!(seat.says(entry.words), "{}", entry.words);
    }
    let before = seat.session().floor.show.clone();
    seat.click(Role::Button, "seam lines");
    assert_ne!(seat.session().floor.show, before);
}

/// A front on cloth that is folded lengthwise: one place, two copies.
fn folded() -> chalkbeam::garment::OpenGarment {
    crate::seat::garment(
        r##"
    cloths: { Cloth: (name: "linen", width: "160 cm", length: "300 cm", colour: "#eeeeee", nap: false,
        plies: FoldedLengthwise(right_sides: In)) },
    lay: [(piece: "front", copy: 1, at: (300.0, 420.0))],
    aims: [(name: "table", measured: (
        picture_size: (1920, 1080),
        marks: [
            (picture: (96.0, 1026.0), surface: (0.0, 0.0)), (picture: (1824.0, 1026.0), surface: (1700.0, 0.0)),
            (picture: (1824.0, 54.0), surface: (1700.0, 950.0)), (picture: (96.0, 54.0), surface: (0.0, 950.0)),
        ],
    ))],
    "##,
    )
}

#[test]
fn two_plies_are_cut_at_once_and_marked_one_after_the_other() {
    let mut seat = Seat::with_size(folded(), (1366.0, 1400.0));
    seat.go_to(Stop::Cut);
    assert!(seat.says("upper ply") && seat.says("lower ply"), "{:?}", seat.labels(Role::Label));
    seat.grant(&Wish::Act(Action::NextCopy));
    let states = |seat: &Seat| [1, 2].map(|copy| seat.session().open.state_of(&"front".into(), copy));
    let tick = |seat: &mut Seat| {
        seat.grant(&Wish::Act(Action::Tick));
        if seat.session().complaint.is_some() {
            seat.grant(&Wish::Act(Action::Overrule));
        }
    };
    let (cut, marked) = (Some(CutState::Cut), Some(CutState::Marked));
    for expected in [[cut, cut], [marked, cut], [marked, marked], [None, None]] {
        tick(&mut seat);
        assert_eq!(states(&seat), expected);
    }
}
