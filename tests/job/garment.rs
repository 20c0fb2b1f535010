//! A garment being worked on: each scenario is a garment, the commands, and the state that must come of them.

use chalkbeam::alter::{Alteration, AlterationId, Hem, Outcome, Pieces, Record};
use chalkbeam::body::BodyMeasurement;
use chalkbeam::demo::garden_coat;
use chalkbeam::document::last_good_path;
use chalkbeam::finding::Severity;
use chalkbeam::garment::{
    Command, CommandError, CutState, Garment, GestureId, OpenGarment, Plan, SaveAsError, Stand,
};
use chalkbeam::geometry::{Length, Point};
use chalkbeam::lay::Place;
use chalkbeam::pattern::{ClothKind, Pattern};
use std::path::{Path, PathBuf};

/// The demo as files in a folder of its own.
fn on_disk() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    for name in ["garden-coat.garment.ron", "garden-coat.pattern.ron"] {
        std::fs::copy(from.join(name), folder.path().join(name)).unwrap();
    }
    let path = folder.path().join("garden-coat.garment.ron");
    (folder, path)
}

fn opened(path: &Path) -> OpenGarment {
    OpenGarment::new(Garment::read(path).unwrap(), Some(path.to_owned()))
}

fn does(open: &mut OpenGarment, commands: &[Command]) {
    for command in commands {
        open.perform(command, None).unwrap();
    }
}

fn hem(mm: &str) -> Record {
    Record::Hem(Hem::parallel(Pieces::All, mm.parse().unwrap()))
}

/// Length of an edge of the altered piece, in mm.
fn edge(open: &OpenGarment, piece: &str, edge: &str) -> f64 {
    let piece = open.evaluated().piece(&piece.into()).unwrap();
    let found = piece.altered.edges.iter().find(|known| known.id == edge.into());
    found.unwrap().curve.length()
}

fn stand(x: f64) -> Stand {
    Stand { at: Point::new(x, 0.0), turn_degrees: 0.0 }
}

#[test]
fn every_step_is_taken_back_and_done_again_in_order() {
    let mut open = garden_coat().unwrap();
    let commands = [
        Command::ChooseSize("92".into()),
        Command::AddAlteration(hem("-10 mm")),
        Command::SwitchAlteration(AlterationId(1), false),
        Command::MoveAlteration(AlterationId(2), 0),
        Command::RemoveAlteration(AlterationId(3)),
        Command::ChangeAlteration(AlterationId(2), hem("-30 mm")),
        Command::Measure(BodyMeasurement::WaistGirth, Some("70 cm".parse().unwrap())),
        Command::RemovePlace("back".into(), 1),
        Command::SetStand(stand(12.0)),
    ];
    let mut states: Vec<Plan> = vec![open.plan().clone()];
    let mut sides = vec![edge(&open, "back", "side")];
    for command in &commands {
        does(&mut open, std::slice::from_ref(command));
        states.push(open.plan().clone());
        sides.push(edge(&open, "back", "side"));
    }
    for before in states.iter().zip(&sides).rev().skip(1) {
        does(&mut open, &[Command::Undo]);
        assert_eq!(open.plan(), before.0);
        assert!((edge(&open, "back", "side") - before.1).abs() < 1e-12);
    }
    assert_eq!(open.perform(&Command::Undo, None), Err(CommandError::NothingToUndo));
    for after in &states[1..] {
        does(&mut open, &[Command::Redo]);
        assert_eq!(open.plan(), after);
    }
    assert_eq!(open.perform(&Command::Redo, None), Err(CommandError::NothingToRedo));
    does(&mut open, &[Command::Undo, Command::ChooseSize("100".into())]);
    assert!(!open.can_redo(), "a new step ends what could be done again");
}

#[test]
fn a_drag_is_one_step_however_many_places_it_passes() {
    let mut open = garden_coat().unwrap();
    let before = open.plan().clone();
    for x in 1..=50 {
        let step = Command::SetStand(stand(f64::from(x)));
        open.perform(&step, Some(GestureId(7))).unwrap();
    }
    for x in 1..=3 {
        let step = Command::SetStand(stand(100.0 + f64::from(x)));
        open.perform(&step, Some(GestureId(8))).unwrap();
    }
    does(&mut open, &[Command::Undo]);
    assert_eq!(open.plan().stand, stand(50.0));
    does(&mut open, &[Command::Undo]);
    assert_eq!(open.plan(), &before);
    assert!(!open.can_undo());
}

#[test]
fn a_command_that_changes_nothing_is_no_step() {
    let mut open = garden_coat().unwrap();
    let (size, revision) = (open.plan().size.clone(), open.revision());
    does(&mut open, &[Command::ChooseSize(size)]);
    assert!(!open.can_undo());
    assert_eq!(open.revision(), revision);
}

#[test]
fn a_command_that_cannot_be_meant_changes_nothing() {
    let mut open = garden_coat().unwrap();
    let place = open.plan().lay[0].clone();
    let cloth = open.plan().cloths[&ClothKind::Cloth].clone();
    let narrow = chalkbeam::cloth::Cloth { width: Length::from_mm(0.0), ..cloth };
    let (plan, revision) = (open.plan().clone(), open.revision());
    for command in [
        Command::ChooseSize("47".into()),
        Command::RemoveAlteration(AlterationId(99)),
        Command::ChooseAim("ceiling".to_owned()),
        Command::SetPlace(Place { at: Point::new(f64::NAN, 0.0), ..place }),
        Command::SetStand(stand(1e9)),
        Command::SetCloth(ClothKind::Cloth, narrow),
        Command::PlaceMark { mark: 0, at_px: Point::new(f64::INFINITY, 0.0) },
        Command::NudgeMark { mark: 4, by_px: (1.0, 0.0) },
        Command::ReadTape { from: 0, to: 9, reading: Length::from_mm(100.0) },
    ] {
        let refused = open.perform(&command, None).unwrap_err().to_string();
        assert!(!refused.is_empty(), "{command:?}");
        assert_eq!((open.plan(), open.revision()), (&plan, revision), "{command:?}");
    }
    assert!(!open.can_undo());
}

#[test]
fn a_garment_comes_back_from_its_text_as_it_was() {
    let mut open = garden_coat().unwrap();
    does(
        &mut open,
        &[
            Command::AddAlteration(hem("-1 1/2 in")),
            Command::SwitchAlteration(AlterationId(4), false),
            Command::NudgeMark { mark: 1, by_px: (0.1, -2.0) },
            Command::SetProgress("front".into(), 2, Some(CutState::Marked)),
        ],
    );
    let path = Path::new("coat.garment.ron");
    let garment = open.garment();
    let text = garment.to_text(path).unwrap();
    let again = Garment::parse(path, &text, garment.pattern.as_ref().clone()).unwrap();
    assert_eq!(again.name, garment.name);
    assert_eq!(again.pattern_path, garment.pattern_path);
    assert_eq!(again.plan, garment.plan);
    assert_eq!(again.aims, garment.aims);
    assert_eq!(again.progress, garment.progress);
    assert_eq!(again.to_text(path).unwrap(), text);
    // Lengths keep what was typed.
    assert!(text.contains("\"-1 1/2 in\""), "{text}");
}

#[test]
fn it_knows_whether_the_file_holds_everything() {
    let (_folder, path) = on_disk();
    let mut open = opened(&path);
    assert!(open.is_saved());
    let (command, tick) =
        (Command::ChooseSize("92".into()), Command::SetProgress("back".into(), 1, Some(CutState::Cut)));
    for command in [&command, &Command::Undo, &tick] {
        open.perform(command, None).unwrap();
        assert!(!open.is_saved(), "{command:?}");
        open.save().unwrap();
        assert!(open.is_saved(), "{command:?}");
    }
    let again = opened(&path);
    assert_eq!(again.plan(), open.plan());
    assert_eq!(again.state_of(&"back".into(), 1), Some(CutState::Cut));

    let mut demo = garden_coat().unwrap();
    assert!(!demo.is_saved(), "the demo has no file yet");
    assert!(demo.save().is_err());
}

#[test]
fn saving_keeps_the_last_good_file_beside_the_new_one() {
    let (_folder, path) = on_disk();
    let before = std::fs::read(&path).unwrap();
    let mut open = opened(&path);
    does(&mut open, &[Command::ChooseSize("92".into())]);
    open.save().unwrap();
    assert_eq!(std::fs::read(last_good_path(&path)).unwrap(), before);
    assert_eq!(opened(&path).plan().size, "92".into());
}

#[test]
fn a_save_that_fails_leaves_everything_as_it_was() {
    let (folder, path) = on_disk();
    let mut open = opened(&path);
    does(&mut open, &[Command::ChooseSize("92".into())]);
    let moved = folder.path().join("away");
    std::fs::create_dir(&moved).unwrap();
    let nowhere = folder.path().join("missing").join("coat.garment.ron");
    assert!(open.save_as(&nowhere).is_err());
    assert!(!open.is_saved());
    assert_eq!(open.path(), Some(path.as_path()));
    assert_eq!(opened(&path).plan().size, "88".into());
}

#[test]
fn a_garment_that_moves_takes_its_pattern_along() {
    let (folder, path) = on_disk();
    for mut open in [opened(&path), garden_coat().unwrap()] {
        let away = tempfile::tempdir_in(folder.path()).unwrap();
        let copy = away.path().join("copy.garment.ron");
        open.save_as(&copy).unwrap();
        assert!(open.is_saved());
        assert_eq!(opened(&copy).plan(), open.plan());
        // A second save finds the pattern there; another pattern of that name is never overwritten.
        open.save_as(&copy).unwrap();
        let pattern = away.path().join("garden-coat.pattern.ron");
        std::fs::write(&pattern, "another").unwrap();
        let refused = open.save_as(&away.path().join("more.garment.ron"));
        assert!(matches!(refused, Err(SaveAsError::OtherPattern { .. })));
        assert_eq!(std::fs::read_to_string(&pattern).unwrap(), "another");
    }
}

#[test]
fn after_a_bump_the_marks_are_picked_again_where_they_lie() {
    let mut open = garden_coat().unwrap();
    let places = |open: &OpenGarment| -> Vec<Point> {
        let aim = open.aim().good.as_ref().unwrap();
        aim.marks().iter().map(|mark| mark.surface).collect()
    };
    let before = places(&open);
    let pick = open.measured().unwrap().marks[2].picture;
    let plan = open.plan().clone();
    // The projector slipped: the light is moved back onto the marks.
    for mark in 0..4 {
        let by_px = (10.0 + f64::from(u8::try_from(mark).unwrap()), -6.5);
        does(&mut open, &[Command::NudgeMark { mark, by_px }]);
    }
    for (before, after) in before.iter().zip(places(&open)) {
        assert!(before.distance(after) < 1e-9, "{before} became {after}");
    }
    let moved = open.measured().unwrap().marks[2].picture;
    assert!((moved.0 - pick.0 - 12.0).abs() < 1e-9 && (moved.1 - pick.1 + 6.5).abs() < 1e-9);
    // The new map puts each mark on its new pick.
    let aim = open.aim().good.as_ref().unwrap();
    for mark in aim.marks() {
        assert!(mark.residual_px < 1e-6, "{mark:?}");
    }
    assert_eq!(open.plan(), &plan);
    // Mark by mark, the light goes back, and the plan with none of it.
    for _ in 0..4 {
        does(&mut open, &[Command::Undo]);
    }
    assert_eq!(open.measured().unwrap().marks[2].picture, pick);
    assert_eq!(open.plan(), &plan);
    assert!(!open.can_undo());
}

#[test]
fn a_mark_dragged_across_another_leaves_the_last_good_light_on() {
    let mut open = garden_coat().unwrap();
    let good = open.aim().good.clone().unwrap();
    let onto = open.measured().unwrap().marks[2].picture;
    does(&mut open, &[Command::PlaceMark { mark: 0, at_px: (onto.0 + 50.0, onto.1 - 30.0).into() }]);
    let lit = open.aim().good.as_ref().unwrap();
    assert_eq!(lit.picture_from_surface(), good.picture_from_surface());
    let finding = open.aim().finding().unwrap();
    assert_eq!(finding.severity, Severity::Stop);
    assert_eq!(open.findings()[0], finding.into(), "gravest first");
}

#[test]
fn a_tape_that_is_read_again_lays_the_marks_out_anew() {
    let mut open = garden_coat().unwrap();
    let width = |open: &OpenGarment| {
        let marks = open.aim().good.as_ref().unwrap().marks();
        marks[0].surface.distance(marks[1].surface)
    };
    let before = width(&open);
    // Nudged once, so that the places are kept; a new reading must still count.
    does(
        &mut open,
        &[
            Command::NudgeMark { mark: 0, by_px: (1.0, 0.0) },
            Command::ReadTape { from: 1, to: 0, reading: "1815 mm".parse().unwrap() },
        ],
    );
    let after = width(&open);
    assert!(after - before > 0.3, "{before} → {after}");
    let tapes = &open.measured().unwrap().tapes;
    assert_eq!(tapes.len(), 6, "read again, not read besides");
    assert!((tapes[0].mm - 1815.0).abs() < 1e-9);
}

#[test]
fn an_aim_begun_anew_waits_for_its_tapes() {
    let mut open = garden_coat().unwrap();
    let begin = Command::BeginAim { name: "table".to_owned(), picture_size: (1280, 720) };
    does(&mut open, &[begin]);
    assert!(open.aim().good.is_none());
    assert_eq!(open.findings()[0].severity, Severity::Stop);
    let corners = [(0.0, 0.0), (1100.0, 0.0), (1050.0, 600.0), (20.0, 610.0)].map(Point::from);
    for from in 0..4 {
        for to in from + 1..4 {
            let reading = Length::from_mm(corners[from].distance(corners[to]));
            does(&mut open, &[Command::ReadTape { from, to, reading }]);
        }
    }
    let aim = open.aim().good.as_ref().unwrap();
    for tape in aim.tapes() {
        assert!(tape.residual_mm.abs() < 0.01, "{tape:?}");
    }
    does(&mut open, &[Command::ChooseAim("floor".to_owned())]);
    assert_eq!(open.garment().aims[0].name, "floor");
    assert_eq!(open.aim().good.as_ref().unwrap().picture_size(), (1920, 1080));
}

#[test]
fn what_is_taken_over_from_before_an_edit_is_what_would_be_worked_out_anew() {
    let mut open = garden_coat().unwrap();
    let edits = [
        Command::ChangeAlteration(AlterationId(2), hem("-81 mm")),
        Command::ChooseSize(open.garment().pattern.sizes.last().unwrap().clone()),
        Command::SwitchAlteration(AlterationId(1), false),
        Command::ChangeAlteration(AlterationId(2), hem("-40 mm")),
        Command::Undo,
        Command::RemoveAlteration(AlterationId(2)),
        Command::Undo,
        Command::Undo,
        Command::Undo,
    ];
    for edit in edits {
        open.perform(&edit, None).unwrap();
        let anew = OpenGarment::new(open.garment().clone(), None);
        assert_eq!(open.findings(), anew.findings(), "{edit:?}");
        for (kept, fresh) in open.evaluated().pieces.iter().zip(&anew.evaluated().pieces) {
            assert_eq!(kept.altered, fresh.altered, "{edit:?}");
            assert_eq!(kept.cutting_path, fresh.cutting_path, "{edit:?}");
        }
        for (kept, fresh) in open.evaluated().parts.all().iter().zip(anew.evaluated().parts.all()) {
            assert_eq!((kept.whole(), kept.half(), kept.count), (fresh.whole(), fresh.half(), fresh.count));
        }
    }
}

#[test]
fn a_copy_is_cut_then_marked_and_can_be_unticked() {
    let mut open = garden_coat().unwrap();
    let front = || "front".into();
    for state in [Some(CutState::Cut), Some(CutState::Marked), None] {
        does(&mut open, &[Command::SetProgress(front(), 2, state)]);
        assert_eq!(open.state_of(&front(), 2), state);
        assert_eq!(open.state_of(&front(), 1), None, "each copy for itself");
    }
    assert!(open.garment().progress.is_empty());
}

#[test]
fn an_alteration_that_does_not_fit_is_a_finding_and_the_rest_goes_on() {
    let (_folder, path) = on_disk();
    let text = std::fs::read_to_string(&path).unwrap();
    let broken = text.replace("line: \"waist\"", "line: \"thigh\"");
    assert_ne!(text, broken);
    std::fs::write(&path, broken).unwrap();
    let open = opened(&path);
    let steps = &open.evaluated().replay.steps;
    assert!(matches!(steps[1].outcome, Outcome::Failed(_)));
    assert!(matches!(steps[2].outcome, Outcome::Applied(_)));
    let stop = open.findings().into_iter().find(|finding| finding.what.contains("thigh")).unwrap();
    assert_eq!(stop.severity, Severity::Stop);
    assert!(!stop.remedy.is_empty());
    // Blended and hemmed, but not lengthened: 21 mm short of the whole.
    let whole = garden_coat().unwrap();
    let short = edge(&whole, "front", "front edge") - edge(&open, "front", "front edge");
    assert!((short - 21.0).abs() < 0.01, "{short}");
}

#[test]
fn alterations_are_numbered_apart_whatever_the_file_says() {
    let mut open = garden_coat().unwrap();
    does(&mut open, &[Command::AddAlteration(hem("5 mm"))]);
    let ids =
        |open: &OpenGarment| -> Vec<u32> { open.plan().alterations.iter().map(|known| known.id.0).collect() };
    assert_eq!(ids(&open), [3, 1, 2, 4]);

    let path = Path::new("coat.garment.ron");
    let garment = open.garment();
    let text = garment.to_text(path).unwrap();
    let pattern = || -> Pattern { garment.pattern.as_ref().clone() };
    let twice = text.replace("id: 4,", "id: 2,");
    assert_ne!(twice, text);
    let refused = Garment::parse(path, &twice, pattern()).unwrap_err().to_string();
    assert!(refused.contains("number 2"), "{refused}");

    let last = text.replace("id: 4,", &format!("id: {},", u32::MAX));
    let mut full = OpenGarment::new(Garment::parse(path, &last, pattern()).unwrap(), None);
    does(&mut full, &[Command::AddAlteration(hem("6 mm"))]);
    let added: &Alteration = full.plan().alterations.last().unwrap();
    assert_eq!(added.id, AlterationId(4));
}
