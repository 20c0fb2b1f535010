//! Undo everywhere: whatever was done at desk or floor is taken back and done again, the cutting and the aims as well.

use crate::aim::bump::{four, room};
use chalkbeam::demo::garden_coat;
use chalkbeam::desk::{Session, Wish};
use chalkbeam::floor::{Action, Direction, Press, Step, Work};
use chalkbeam::garment::{Command, CutState, Garment, Mount, OpenGarment, StandWork};
use chalkbeam::geometry::{Length, Point};
use chalkbeam::pattern::ClothKind;

/// All that is kept in the garment's file.
fn whole(open: &OpenGarment) -> String {
    open.garment().to_text(std::path::Path::new("coat.garment.ron")).unwrap()
}

/// The coat under a small picture that was aimed in a simulated room.
fn session() -> Session {
    let mut session = Session::new(garden_coat().unwrap());
    let measured = four(room()).measured();
    session.open.perform(&Command::TakeAim(Box::new(measured)), None).unwrap();
    session.floor.window_size = (1920, 1080);
    session
}

/// Every command that changes no plan.
fn beside_the_plan(open: &OpenGarment) -> Vec<Command> {
    let measured = four(room()).measured();
    let mm = Length::from_mm;
    let next = open.stands().unwrap().next_from_there();
    vec![
        Command::PlaceMark { mark: 1, at_px: Point::new(1820.0, 1020.0) },
        Command::NudgeMark { mark: 1, by_px: (1.0, 0.0) },
        Command::ReadTape { from: 0, to: 1, reading: mm(1814.0) },
        Command::ReadTapeAgain { from: 0, to: 1, reading: Some(mm(1813.0)) },
        Command::ReadTapeAgain { from: 0, to: 1, reading: None },
        Command::ReadBar { bar: 0, reading: Some(mm(1000.5)) },
        Command::SetProofTolerance(mm(2.0)),
        Command::SetWatch(Some(3.0)),
        Command::SetMount(Mount { mirrored: true, ..Mount::PLAIN }),
        Command::TakeAim(Box::new(measured.clone())),
        Command::KeepAim { name: "table".to_owned(), measured: Box::new(measured) },
        Command::ChooseAim(open.garment().aims[0].name.clone()),
        Command::SetProgress("front".into(), 1, Some(CutState::Cut)),
        Command::SetProgress("front".into(), 1, Some(CutState::Marked)),
        Command::SetProgress("front".into(), 1, None),
        Command::SetStands(Some(Box::new(next))),
        Command::SetStands(None),
        Command::BeginAim { name: "mat".to_owned(), picture_size: (1280, 720) },
        Command::PutOnTable(ClothKind::Interfacing),
    ]
}

#[test]
fn what_changes_no_plan_is_taken_back_and_done_again_too() {
    let mut open = garden_coat().unwrap();
    let stands = StandWork::divide(&session().open, None).unwrap();
    let mut states = vec![whole(&open)];
    open.perform(&Command::SetStands(Some(Box::new(stands))), None).unwrap();
    states.push(whole(&open));
    for command in beside_the_plan(&open) {
        open.perform(&command, None).unwrap();
        let now = whole(&open);
        assert_ne!(states.last().unwrap(), &now, "{command:?}");
        states.push(now);
    }
    for before in states.iter().rev().skip(1) {
        open.perform(&Command::Undo, None).unwrap();
        assert_eq!(&whole(&open), before);
    }
    assert!(!open.can_undo());
    for after in &states[1..] {
        open.perform(&Command::Redo, None).unwrap();
        assert_eq!(&whole(&open), after);
    }
}

#[test]
fn a_tick_by_mistake_is_taken_back_and_no_alteration_with_it() {
    let mut session = session();
    session.grant(&Wish::of(Command::ChooseSize("92".into())));
    let size = session.open.plan().size.clone();
    session.press(Press::Character('.'));
    session.press(Press::Enter);
    if session.open.garment().progress.is_empty() {
        session.press(Press::Character('u'));
    }
    assert_eq!(session.open.garment().progress.len(), 1);
    session.grant(&Wish::Act(Action::Undo));
    assert_eq!((session.open.garment().progress.len(), &session.open.plan().size), (0, &size));
}

#[test]
fn stands_that_were_begun_by_mistake_are_taken_back_before_the_tick_that_came_first() {
    let mut session = session();
    session.grant(&Wish::of(Command::SetProgress("front".into(), 1, Some(CutState::Cut))));
    session.press(Press::Character('x'));
    let begun = session.open.stands().cloned();
    assert!(begun.is_some());
    session.grant(&Wish::Act(Action::Undo));
    assert_eq!((session.open.garment().progress.len(), session.open.stands()), (1, None));
    session.grant(&Wish::Act(Action::Redo));
    assert_eq!(session.open.stands(), begun.as_ref());
    for _ in 0..2 {
        session.grant(&Wish::Act(Action::Undo));
    }
    assert_eq!((session.open.garment().progress.len(), session.open.stands()), (0, None));
}

#[test]
fn arrows_that_nudge_one_mark_are_one_step_and_each_mark_has_its_own() {
    let mut session = session();
    session.floor.toggle_aiming();
    let picks = |session: &Session| session.open.measured().unwrap().marks.clone();
    let first = picks(&session);
    let press = |session: &mut Session, count: usize| {
        for _ in 0..count {
            session.grant(&Wish::Act(Action::Nudge(Direction::Right, Step::Plain)));
        }
    };
    press(&mut session, 3);
    session.grant(&Wish::Act(Action::NextMark));
    let second = picks(&session);
    press(&mut session, 2);
    assert_ne!(picks(&session), second);
    session.grant(&Wish::Act(Action::Undo));
    assert_eq!(picks(&session), second, "the second mark only, with all of its nudges");
    session.grant(&Wish::Act(Action::Undo));
    assert_eq!(picks(&session), first);
    // What is nudged after it is a step of its own.
    press(&mut session, 1);
    session.grant(&Wish::Act(Action::Undo));
    assert_eq!(picks(&session), first);
}

#[test]
fn stands_that_were_left_by_mistake_are_there_again_and_the_cloth_says_how_it_must_lie() {
    let mut session = session();
    session.press(Press::Character('x'));
    let begun = session.open.stands().unwrap().clone();
    session.grant(&Wish::of(Command::SetStands(None)));
    session.grant(&Wish::Act(Action::Undo));
    assert_eq!(session.open.stands(), Some(&begun));
    let words = crate::aim::keys::words_lit(&session);
    assert!(words.contains("Taken back: the cloth must lie as it lay in stand 1"), "{words}");
}

#[test]
fn what_is_sought_under_the_light_ends_when_another_aim_is_chosen() {
    let mut session = session();
    let kept = Command::KeepAim { name: "table".to_owned(), measured: Box::new(four(room()).measured()) };
    session.grant(&Wish::of(kept));
    let names: Vec<String> = session.open.garment().aims.iter().map(|aim| aim.name.clone()).collect();
    session.press(Press::Character('i'));
    assert!(matches!(session.floor.work.as_deref(), Some(Work::Reaim(_))));
    session.grant(&Wish::of(Command::ChooseAim(names[1].clone())));
    let chosen = session.open.measured().cloned();
    assert!(session.floor.work.is_none(), "its crosses belong to the other aim");
    session.press(Press::Enter);
    assert_eq!(session.open.measured().cloned(), chosen);
}

/// What the file says of a garment, opened again.
#[test]
fn what_was_taken_back_is_not_in_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = session();
    session.open.save_as(&folder.path().join("coat.garment.ron")).unwrap();
    session.grant(&Wish::of(Command::SetProgress("front".into(), 1, Some(CutState::Cut))));
    let read = || Garment::read(&folder.path().join("coat.garment.ron")).unwrap().progress.len();
    assert_eq!(read(), 1, "a tick is on the disk at once");
    session.grant(&Wish::Act(Action::Undo));
    assert_eq!(read(), 0, "and so is that it was taken back");
}
