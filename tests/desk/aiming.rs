//! Aiming at the desk: marks, tapes, and how the floor is told.

use crate::seat::{Seat, demo, empty};
use chalkbeam::desk::{Stop, Wish};
use chalkbeam::floor::{Action, Direction, Step};
use egui::accesskit::Role;

fn tape(seat: &Seat, from: usize, to: usize) -> Option<f64> {
    let measured = seat.session().open.measured()?;
    let found = measured.tapes.iter().find(|tape| [(from, to), (to, from)].contains(&(tape.from, tape.to)));
    found.map(|tape| tape.mm)
}

#[test]
fn tapes_are_typed_and_the_aim_follows() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Aim);
    assert_eq!(tape(&seat, 0, 1), Some(1813.0));
    seat.enter("1–2", "181.4 cm");
    assert_eq!(tape(&seat, 0, 1), Some(1814.0));
    seat.enter("1–2", "71 3/8 in");
    assert!((tape(&seat, 0, 1).unwrap() - 1812.925).abs() < 1e-9);
    assert!(seat.session().open.aim().good.is_some());
}

#[test]
fn an_aim_is_begun_and_solved_from_nothing_but_typing() {
    let mut seat = Seat::at(empty());
    seat.go_to(Stop::Aim);
    assert!(seat.says("Not aimed yet"));
    seat.click(Role::Button, "Begin an aim");
    assert!(seat.session().marks_are_lit(), "the marks are lit as soon as there are any");
    for (number, (label, reading)) in
        [("1–2", "1813"), ("1–3", "2008"), ("1–4", "979"), ("2–3", "1020"), ("2–4", "2028"), ("3–4", "1695")]
            .into_iter()
            .enumerate()
    {
        // Five distances hold four points in place; the sixth is the check.
        assert_eq!(seat.session().open.aim().good.is_some(), number >= 5);
        seat.enter(label, reading);
    }
    assert!(seat.session().open.aim().good.is_some(), "{:?}", seat.session().findings());
    assert!(seat.says("aimed, ±"));
}

#[test]
fn arrows_move_the_chosen_mark_only_while_marks_are_lit() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Aim);
    let pick = |seat: &Seat, mark: usize| seat.session().open.measured().unwrap().marks[mark].picture;
    let before = pick(&seat, 2);
    seat.click(Role::Button, "mark 3");
    let right = Wish::Act(Action::Nudge(Direction::Right, Step::Plain));
    seat.grant(&right);
    assert_eq!(pick(&seat, 2), before, "a stray touch must not move the aim");
    seat.click(Role::Button, "light the marks");
    seat.grant(&right);
    seat.grant(&Wish::Act(Action::Nudge(Direction::Up, Step::Coarse)));
    let moved = pick(&seat, 2);
    assert!((moved.0 - before.0 - 1.0).abs() < 1e-9 && (moved.1 - before.1 + 10.0).abs() < 1e-9);
}

#[test]
fn cautions_stand_where_lamp_and_blade_are_near() {
    let mut seat = Seat::at(empty());
    for stop in [Stop::Aim, Stop::Cut] {
        seat.go_to(stop);
        for words in ["lens", "guard", "overhead", "manuals"] {
            assert!(seat.says(words), "{stop:?} does not say {words}");
        }
    }
}

#[test]
fn a_tape_read_twice_names_the_reading_that_is_wrong() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2600.0));
    seat.go_to(Stop::Aim);
    let truth = tape(&seat, 0, 2).unwrap();
    seat.enter("1–3", &format!("{} mm", truth + 30.0));
    assert!(seat.says("contradict each other"), "one of six is wrong, nobody knows which");
    seat.enter("1–3 again", &format!("{truth} mm"));
    let suspects = seat.session().open.aim().good.as_ref().unwrap().suspects().to_vec();
    assert_eq!(suspects.len(), 1, "{suspects:?}");
    assert_eq!((suspects[0].from, suspects[0].to), (0, 2));
    assert!((suspects[0].should_read_mm - truth).abs() < 3.0, "{suspects:?}");
    assert!(seat.says("The tape 1–3 should read"));
}

#[test]
fn one_mark_more_is_lit_where_it_tells_most_and_can_be_taken_out() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2600.0));
    seat.go_to(Stop::Aim);
    seat.click(Role::Button, "one mark more");
    let marks = |seat: &Seat| seat.session().open.measured().unwrap().marks.len();
    assert_eq!(marks(&seat), 5);
    assert!(seat.session().open.aim().good.is_some() && seat.session().marks_are_lit());
    let lies =
        |seat: &Seat, mark: usize| seat.session().open.aim().good.as_ref().unwrap().marks()[mark].surface;
    for mark in [0, 1, 2] {
        let mm = lies(&seat, mark).distance(lies(&seat, 4));
        seat.enter(&format!("{}–5", mark + 1), &format!("{mm:.0} mm"));
    }
    assert!(seat.session().open.aim().trouble.is_none());
    seat.click_nth(Role::Button, "out", 4);
    assert_eq!(marks(&seat), 4);
    seat.grant(&Wish::Act(Action::Undo));
    assert_eq!(marks(&seat), 5, "and taken back");
}

#[test]
fn the_bars_prove_the_size_against_a_tolerance_of_ones_own() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2600.0));
    seat.go_to(Stop::Aim);
    let bars = seat.session().open.aim().good.as_ref().unwrap().proof_bars();
    let readings = bars.map(|bar| bar.length_mm() * 1.0015);
    for (way, mm) in ["across", "along", "diagonal"].into_iter().zip(readings) {
        seat.enter(&format!("bar {way}"), &format!("{mm:.1} mm"));
    }
    assert!(seat.says("Proved: across +1.5 mm in a metre"), "{:?}", seat.labels(Role::Label));
    assert!(seat.says("good to cut by"), "1 mm in 500 is allowed");
    seat.enter("500 mm may be off by", "0.25 mm");
    assert!(seat.says("not to be cut by"));
    assert!(seat.session().findings().iter().any(|found| found.what.contains("the tape says")));
    // What was read proves that aim alone.
    seat.click(Role::Button, "light the marks");
    seat.grant(&Wish::Act(Action::Nudge(Direction::Right, Step::Coarse)));
    assert!(!seat.says("Proved"));
}

#[test]
fn a_thick_cloth_needs_the_lenss_height_first() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2600.0));
    seat.go_to(Stop::Aim);
    assert!(!seat.labels(Role::TextInput).iter().any(|label| label.contains("thick")));
    seat.enter("the lens above the table", "180 cm");
    seat.enter("all plies together are thick", "4 mm");
    let cloth = seat.session().open.measured().unwrap().cloth.unwrap();
    assert!((cloth.thickness_mm - 4.0).abs() < 1e-9 && (cloth.lens_height_mm - 1800.0).abs() < 1e-9);
    seat.enter("all plies together are thick", "");
    assert_eq!(seat.session().open.measured().unwrap().cloth, None);
}

#[test]
fn a_projector_that_shines_by_a_mirror_is_lit_left_for_right() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2600.0));
    seat.go_to(Stop::Aim);
    let size = (1920, 1080);
    let lit = |seat: &Seat| {
        let map = chalkbeam::floor::floor_throw(&seat.session().open, size).unwrap();
        map.map((300.0, 200.0).into()).unwrap()
    };
    let plain = lit(&seat);
    seat.click(Role::CheckBox, "the light comes by a mirror");
    let mirrored = lit(&seat);
    assert!((mirrored.x - (1920.0 - plain.x)).abs() < 1e-6 && (mirrored.y - plain.y).abs() < 1e-6);
    seat.click(Role::CheckBox, "it hangs upside down");
    let both = lit(&seat);
    assert!((both.x - plain.x).abs() < 1e-6 && (both.y - (1080.0 - plain.y)).abs() < 1e-6);
    seat.click(Role::CheckBox, "the light comes by a mirror");
    let turned = lit(&seat);
    assert!((turned.x - (1920.0 - plain.x)).abs() < 1e-6 && (turned.y - (1080.0 - plain.y)).abs() < 1e-6);
}

#[test]
fn a_projector_that_lies_on_its_side_is_lit_a_quarter_turned() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2600.0));
    seat.go_to(Stop::Aim);
    let lit = |seat: &Seat, size: (u32, u32)| {
        let map = chalkbeam::floor::floor_throw(&seat.session().open, size).unwrap();
        map.map((300.0, 200.0).into()).unwrap()
    };
    let plain = lit(&seat, (1920, 1080));
    seat.click(Role::CheckBox, "it lies on its side");
    // The picture of 1920 × 1080 px is lit by a window of 1080 × 1920.
    let turned = lit(&seat, (1080, 1920));
    assert!((turned.x - plain.y).abs() < 1e-6 && (turned.y - (1920.0 - plain.x)).abs() < 1e-6);
    assert!(seat.says("its picture is scaled"), "the window still stands upright");
    for (label, at) in [
        ("it hangs upside down", (1080.0 - plain.y, plain.x)),
        ("the light comes by a mirror", (1080.0 - plain.y, 1920.0 - plain.x)),
    ] {
        seat.click(Role::CheckBox, label);
        let lit = lit(&seat, (1080, 1920));
        assert!((lit.x - at.0).abs() < 1e-6 && (lit.y - at.1).abs() < 1e-6, "{label}: {lit}");
        // The pointer finds its way back.
        let mount = seat.session().open.mount();
        let back = mount.in_picture(lit.into(), (1920.0, 1080.0));
        assert!((back.0 - plain.x).abs() < 1e-6 && (back.1 - plain.y).abs() < 1e-6);
    }
}

#[test]
fn aims_have_names_and_a_new_one_leaves_the_others() {
    let mut seat = Seat::with_size(demo(), (1366.0, 2600.0));
    seat.go_to(Stop::Aim);
    seat.enter("of the surface called", "mat");
    seat.click(Role::Button, "Begin an aim anew");
    let names = |seat: &Seat| -> Vec<String> {
        seat.session().open.garment().aims.iter().map(|aim| aim.name.clone()).collect()
    };
    assert_eq!(names(&seat), ["mat", "floor"]);
    seat.click(Role::Button, "floor");
    assert_eq!(names(&seat), ["floor", "mat"]);
    assert!(seat.session().open.aim().good.is_some());
}
