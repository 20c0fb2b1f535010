//! The print is found on the cloth by keys: a room in which the cloth really lies otherwise than is written down.

use crate::seat::{Seat, demo, empty};
use chalkbeam::cloth::Plies;
use chalkbeam::cloth::RightSides;
use chalkbeam::desk::{Session, Stop, Wish};
use chalkbeam::finding::Severity;
use chalkbeam::floor::{Action, Direction, Step, floor_scene};
use chalkbeam::garment::Command;
use chalkbeam::geometry::{Affine, Point, Vec2};
use chalkbeam::lay::{self, Rule};
use chalkbeam::pattern::ClothKind;
use chalkbeam::scene::{Meaning, Shape};
use egui::accesskit::Role;

fn began() -> Session {
    let mut session = Session::new(demo());
    session.grant(&Wish::MeasurePrint);
    assert_eq!(session.complaint, None);
    session
}

fn lights(session: &Session) -> [Point; 3] {
    *session.floor.print_seek.as_ref().unwrap().lights()
}

fn press(session: &mut Session, action: Action) {
    session.grant(&Wish::Act(action));
}

/// Brings the active light to a place by arrows, as a hand does: coarse, then single px, then tenths. Counts presses.
fn bring(session: &mut Session, light: usize, to: Point) -> u32 {
    let mut presses = 0;
    for (step, near) in [(Step::Coarse, 10.0), (Step::Plain, 1.0), (Step::Fine, 0.1)] {
        for _ in 0..60 {
            let map = session.open.aim().good.as_ref().unwrap().picture_from_cloth();
            let off = map.map(to).unwrap() - map.map(lights(session)[light]).unwrap();
            let direction = match (off.x.abs() > 0.6 * near, off.y.abs() > 0.6 * near) {
                (true, _) if off.x > 0.0 => Direction::Right,
                (true, _) => Direction::Left,
                (false, true) if off.y > 0.0 => Direction::Down,
                (false, true) => Direction::Up,
                (false, false) => break,
            };
            press(session, Action::Nudge(direction, step));
            presses += 1;
        }
    }
    presses
}

/// How the cloth really lies, about a place of it: longer repeats across, turned and shifted.
fn truth(about: Point, degrees: f64, across: f64, shift: Vec2) -> Affine {
    let stretch = Affine::new([1.0, 0.0, 0.0, across, 0.0, 0.0]);
    Affine::translate(about.to_vec2() + shift)
        * Affine::rotate(degrees.to_radians())
        * stretch
        * Affine::translate(-about.to_vec2())
}

/// The nodes that are lit: a cross each, two strokes through its middle.
fn nodes(session: &Session) -> Vec<Point> {
    let scene = floor_scene(&session.open, &session.floor, session.floor.window_size);
    let mut nodes: Vec<Point> = Vec::new();
    for item in scene.items.iter().filter(|item| item.meaning == Meaning::PrintNode) {
        let Shape::Stroke(path) = &item.shape else { continue };
        for stroke in path.elements().windows(2) {
            let [from, to] = [0, 1].map(|end| stroke[end].end_point().unwrap());
            let middle = from.midpoint(to);
            let is_stroke = matches!(stroke[1], kurbo::PathEl::LineTo(_));
            if is_stroke && nodes.iter().all(|known| known.distance(middle) > 1.0) {
                nodes.push(middle);
            }
        }
    }
    nodes
}

#[test]
fn three_lights_find_the_print_as_it_really_lies_and_the_lay_goes_by_it() {
    let mut session = began();
    let before = session.open.plan().clone();
    let written = lights(&session);
    let truth = truth(written[0], 0.3, 1.008, Vec2::new(5.0, -4.0));
    let mut presses = 0;
    for (light, &place) in written.iter().enumerate() {
        presses += bring(&mut session, light, truth * place);
        press(&mut session, Action::NextMark);
    }
    assert!(presses < 120, "{presses} presses");
    assert_eq!(*session.open.plan(), before, "nothing changes before it is taken");
    press(&mut session, Action::Tick);
    assert_eq!((session.complaint.clone(), session.floor.print_seek.is_some()), (None, false));
    let cloth = session.open.plan().cloths[&ClothKind::Cloth].clone();
    let (nominal, measured) = (cloth.print.clone().unwrap(), cloth.measured_print.clone().unwrap());
    assert_eq!(
        nominal,
        before.cloths[&ClothKind::Cloth].print.clone().unwrap(),
        "what is written down stays beside it"
    );
    // A tenth of a px of light is a tenth of a mm; over the light that is a few hundredths of a repeat.
    let repeat = measured.lengthwise.as_ref().unwrap().period_mm();
    assert!((repeat - 1.008 * 96.0).abs() < 0.06, "{repeat}");
    assert!((measured.angle_degrees - 0.3).abs() < 0.02, "{}", measured.angle_degrees);
    // Every node of the measured print lies where it really is, not only the three.
    let stand = session.open.stand().surface_from_cloth();
    let (old, new) = (nominal.motif.unwrap(), measured.motif.unwrap());
    for (i, j) in [(2.0, 1.0), (6.0, -1.0), (4.0, 2.0)] {
        let expected = truth * (stand * (old.origin + i * old.steps[0] + j * old.steps[1]));
        let on_print = new.origin + i * new.steps[0] + j * new.steps[1];
        let got = stand * (measured.print_from_sheet().inverse() * on_print);
        assert!(expected.distance(got) < 0.5, "{expected} {got}");
    }
    // The rules look at it: what was matched by the print as written down is off now, and snaps to the measured one.
    let open = &session.open;
    let laid = open.evaluated().laid(open.plan()).unwrap();
    let off = |rule: Rule| {
        lay::breaches(&laid)
            .iter()
            .any(|breach| breach.rule == rule && breach.finding.severity > Severity::Note)
    };
    assert!(off(Rule::Centre) || off(Rule::Match));
    let index = laid.places.iter().position(|place| place.piece.as_str() == "back").unwrap();
    let snapped = lay::snapped(&laid.places[index], &laid);
    assert!(snapped.at.distance(laid.places[index].at) > 0.5);
    // It is in the file, and one step takes it back.
    let text = open.garment().to_text("coat.garment.ron".as_ref()).unwrap();
    assert!(text.contains("measured_print"));
    press(&mut session, Action::Undo);
    assert_eq!(*session.open.plan(), before);
}

#[test]
fn the_lattice_follows_the_lights_while_they_are_moved() {
    let mut session = began();
    let before = nodes(&session);
    assert!(before.len() > 100, "the lattice is lit: {}", before.len());
    for light in 0..3 {
        let to = lights(&session)[light] + Vec2::new(6.0, 3.0);
        bring(&mut session, light, to);
        press(&mut session, Action::NextMark);
    }
    let after = nodes(&session);
    let moved = |from: &Point| after.iter().any(|to| to.distance(*from + Vec2::new(6.0, 3.0)) < 0.5);
    let count = before.iter().filter(|node| moved(node)).count();
    assert!(10 * count > 8 * before.len(), "{count} of {} moved along", before.len());
    let scene = floor_scene(&session.open, &session.floor, session.floor.window_size);
    let says = |part: &str| {
        scene
            .items
            .iter()
            .any(|item| matches!(&item.shape, Shape::Label { words, .. } if words.contains(part)))
    };
    assert!(says("Bring light 1") && says("written down"));
    assert!(scene.items.iter().any(|item| item.meaning == Meaning::ActiveMark));
}

#[test]
fn lights_on_another_repeat_are_refused_and_escape_leaves_all_as_it_was() {
    let mut session = began();
    let before = session.open.plan().clone();
    press(&mut session, Action::NextMark);
    // Two repeats too far along.
    let far = lights(&session)[1] + Vec2::new(-280.0, 0.0);
    bring(&mut session, 1, far);
    press(&mut session, Action::Tick);
    let said = session.complaint.clone().unwrap();
    assert!(said.contains("light 2 been put on another repeat"), "{said}");
    assert!(session.floor.print_seek.is_some() && *session.open.plan() == before, "nothing is lost");
    press(&mut session, Action::Dark);
    assert!(session.floor.print_seek.is_none() && !session.floor.dark);
    assert_eq!(*session.open.plan(), before);
    // Keys mean what they meant before.
    press(&mut session, Action::Dark);
    assert!(session.floor.dark);
}

#[test]
fn on_folded_cloth_it_is_the_ply_on_top_that_is_measured() {
    let mut open = demo();
    let mut cloth = open.plan().cloths[&ClothKind::Cloth].clone();
    cloth.plies = Plies::FoldedLengthwise { right_sides: RightSides::In };
    open.perform(&Command::SetCloth(ClothKind::Cloth, cloth), None).unwrap();
    let mut session = Session::new(open);
    session.grant(&Wish::MeasurePrint);
    assert_eq!(session.complaint, None);
    for light in 0..3 {
        let to = lights(&session)[light] + Vec2::new(4.0, 7.0);
        bring(&mut session, light, to);
        press(&mut session, Action::NextMark);
    }
    let found = session.floor.print_seek.as_ref().unwrap().measured(&session.open).unwrap();
    // The turned ply shows its wrong side: across, it is the other way round on the sheet.
    assert!((found.shift - Vec2::new(4.0, -7.0)).hypot() < 0.2, "{:?}", found.shift);
    assert!((found.across.unwrap() - 1.0).abs() < 1e-3 && found.turn.abs() < 1e-3);
}

#[test]
fn without_a_print_or_an_aim_it_is_said_what_is_missing() {
    let mut session = Session::new(empty());
    session.grant(&Wish::MeasurePrint);
    assert!(session.complaint.clone().unwrap().contains("no print to measure"));
    let mut seat = Seat::with_size(demo(), (1366.0, 1600.0));
    seat.go_to(Stop::Cloth);
    seat.click(Role::Button, "measure it under the light");
    assert!(seat.says("Bring light 1 onto its place") && seat.says("written down"));
    seat.click(Role::Button, "next light");
    assert!(seat.says("repeats along from light 1"));
    seat.click(Role::Button, "take it so");
    assert!(seat.says("As measured on this cloth") && seat.session().floor.print_seek.is_none());
    seat.click(Role::Button, "go by what is written down");
    assert!(!seat.says("As measured on this cloth"));
}
