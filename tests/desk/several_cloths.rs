//! Cloth, lining and interfacing at the desk: what is on the table is drawn, laid, sought for and cut.

use crate::seat::{Seat, demo};
use chalkbeam::desk::{Stop, way_words};
use chalkbeam::garment::Command;
use chalkbeam::pattern::ClothKind;
use egui::accesskit::Role;
use std::time::{Duration, Instant};

fn choose(seat: &mut Seat, kind: &str) {
    let nth = seat.labels(Role::Button).iter().filter(|words| *words == kind).count();
    assert_eq!(nth, 1, "{:?}", seat.labels(Role::Button));
    seat.click_nth(Role::Button, kind, 0);
}

#[test]
fn the_interfacing_is_written_down_laid_and_cut_beside_the_cloth() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2600.0));
    seat.go_to(Stop::Cloth);
    let of_cloth = seat.session().open.plan().lay.clone();
    choose(&mut seat, "interfacing");
    assert!(seat.says("No interfacing is written down yet"));
    seat.click(Role::Button, "Begin with");
    seat.enter("usable width", "90 cm");
    assert_eq!(seat.session().open.plan().cloths[&ClothKind::Interfacing].width.to_string(), "90 cm");
    assert_eq!(seat.session().open.plan().cloths.len(), 2, "the cloth stays as it was");
    seat.go_to(Stop::Lay);
    assert!(seat.says("0 of 7 copies laid"), "{:?}", seat.labels(Role::Label));
    assert!(seat.says("lay front facing 1") && !seat.says("lay back 1"), "{:?}", seat.labels(Role::Button));
    seat.click(Role::Button, "find a lay");
    let begun = Instant::now();
    while !(seat.says("No lay can be shorter") || seat.says("the shortest lay there is")) {
        assert!(begun.elapsed() < Duration::from_secs(90), "no lay: {:?}", seat.labels(Role::Label));
        std::thread::sleep(Duration::from_millis(30));
        seat.look();
    }
    seat.click(Role::Button, "take this lay");
    assert_eq!(seat.session().open.plan().lay.len(), 7);
    assert!(seat.says("7 of 7 copies laid"));
    seat.go_to(Stop::Cut);
    seat.click_nth(Role::CheckBox, "cut", 0);
    let words = way_words(&seat.session().open);
    assert!(words.iter().any(|(stop, words)| *stop == "Cut" && words.starts_with('1')), "{words:?}");
    seat.go_to(Stop::Lay);
    choose(&mut seat, "cloth");
    assert_eq!(seat.session().open.plan().lay, of_cloth);
    assert_eq!(seat.session().open.progress().count(), 0, "of the cloth nothing is cut");
    seat.click(Role::Button, "Take back");
    assert_eq!(seat.session().open.plan().on_table, ClothKind::Interfacing);
}

#[test]
fn a_lay_that_was_sought_for_one_cloth_is_not_taken_for_another() {
    let mut open = demo();
    let cloth = open.plan().cloth().unwrap().clone();
    open.perform(&Command::SetCloth(ClothKind::Interfacing, cloth), None).unwrap();
    let mut seat = Seat::with_size(open, (1366.0, 2600.0));
    seat.go_to(Stop::Lay);
    seat.click(Role::Button, "find a lay");
    seat.click(Role::Button, "stop");
    choose(&mut seat, "interfacing");
    assert!(
        !seat.says("take this lay") && seat.says("as they were before"),
        "{:?}",
        seat.labels(Role::Label)
    );
    choose(&mut seat, "cloth");
    assert!(seat.says("take this lay"), "it is still there for its own cloth");
}

#[test]
fn another_cloth_is_drawn_in_its_own_size() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2600.0));
    seat.go_to(Stop::Lay);
    let edges = |seat: &Seat| seat.board().scene.items.len();
    let before = edges(&seat);
    choose(&mut seat, "lining");
    assert!(edges(&seat) < before, "the pieces of the cloth are not on the lining");
    assert!(seat.says("There is no lining yet"));
}
