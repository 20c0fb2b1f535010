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
