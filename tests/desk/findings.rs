//! The foot: what is said, what it points to, where a click leads.

use crate::seat::{Seat, broken, demo};
use chalkbeam::desk::Stop;
use egui::accesskit::Role;

#[test]
fn resting_on_a_finding_shows_its_piece_on_board_and_cloth() {
    let mut seat = Seat::with_size(broken(), (1366.0, 3000.0));
    seat.go_to(Stop::Lay);
    let quiet = seat.board().number;
    seat.hover(Role::Button, "“front”, copy 1, is turned");
    let pointed = seat.session().floor.pointed.clone().unwrap();
    assert_eq!(pointed.piece.as_str(), "front");
    assert_ne!(seat.board().number, quiet, "the board shows it");
    seat.hover_board();
    assert_eq!(seat.session().floor.pointed, None);
}

#[test]
fn a_click_on_a_finding_goes_to_where_it_is_mended() {
    let mut seat = Seat::with_size(broken(), (1366.0, 3000.0));
    seat.go_to(Stop::Sheet);
    seat.click(Role::Button, "“front”, copy 1, is turned");
    assert_eq!(seat.session().desk.stop, Stop::Lay);
    seat.click(Role::Button, "The marks as they stand");
    assert_eq!(seat.session().desk.stop, Stop::Aim);
    seat.click(Role::Button, "Alteration 2 was left out");
    assert_eq!(seat.session().desk.stop, Stop::Alter);
}

#[test]
fn a_floor_window_of_another_size_than_the_aim_is_said() {
    let mut seat = Seat::at(demo());
    assert!(!seat.says("its picture is scaled"), "the window is taken to be as aimed until it opens");
    let mut session = seat.session().clone();
    session.floor.window_size = (960, 540);
    assert!(session.findings().iter().any(|finding| finding.what.contains("960 × 540 px")));
    seat.go_to(Stop::Cut);
}

#[test]
fn leaving_with_changes_that_are_in_no_file_asks_once() {
    let mut session = Seat::at(demo()).session().clone();
    session.ask_to_leave();
    assert!(session.leaving, "nothing was changed, nothing can be lost");

    let mut seat = Seat::at(demo());
    seat.click(Role::CheckBox, "2. longer");
    let mut session = seat.session().clone();
    session.ask_to_leave();
    assert!(!session.leaving && session.complaint.as_ref().unwrap().contains("in no file"));
    session.ask_to_leave();
    assert!(session.leaving);
}
