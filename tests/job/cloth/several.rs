//! Cloth, lining and interfacing, each with its own lay: one is on the table, the others wait aside.

use chalkbeam::cloth::{Cloth, Colour};
use chalkbeam::demo::garden_coat;
use chalkbeam::finding::Severity;
use chalkbeam::garment::{Command, CommandError, CutState, Garment, LayProblem, OpenGarment};
use chalkbeam::geometry::{Length, Point, Vec2};
use chalkbeam::lay::search::{Settings, search};
use chalkbeam::lay::{LayRules, Place};
use chalkbeam::pattern::{ClothKind, Pattern};
use std::path::Path;
use std::sync::atomic::AtomicBool;

/// The coat with an interfacing that is pre-shrunk.
fn coat() -> OpenGarment {
    let mut open = garden_coat().unwrap();
    let mut web = Cloth::plain("web", Length::from_mm(900.0), Length::from_mm(1800.0), Colour([240; 3]));
    web.shrinkage.pre_shrunk = true;
    does(&mut open, &[Command::SetCloth(ClothKind::Interfacing, web)]);
    open
}

fn does(open: &mut OpenGarment, commands: &[Command]) {
    for command in commands {
        open.perform(command, None).unwrap_or_else(|error| panic!("{command:?}: {error}"));
    }
}

/// A short search for the cloth on the table, taken.
fn lay_it(open: &mut OpenGarment) -> Vec<Place> {
    let plan = open.plan();
    let problem =
        LayProblem::of(plan.cloth().unwrap(), &open.evaluated().parts, &plan.lay_rules, &open.staying());
    let problem = problem.unwrap();
    let settings = Settings { moves: Some(300), time: None, ..Settings::seconds(1.0, 1) };
    let found = search(&problem.problem, &settings, &AtomicBool::new(false), &|_| {}).unwrap();
    let places = problem.places(&found);
    does(open, &[Command::SetLay(places.clone())]);
    places
}

#[test]
fn each_cloth_has_its_own_lay_rules_and_stand_and_they_come_back_with_it() {
    let mut open = coat();
    let of_cloth = open.plan().lay.clone();
    let gap = LayRules { gap: Length::from_mm(4.0), ..LayRules::default() };
    let stand = chalkbeam::garment::Stand { at: Point::new(30.0, 40.0), turn_degrees: 3.0 };
    let before = (open.plan().lay_rules.clone(), open.plan().stand);
    does(&mut open, &[Command::PutOnTable(ClothKind::Interfacing)]);
    assert!(open.plan().lay.is_empty() && open.plan().lay_rules == LayRules::default());
    assert_eq!(open.plan().lay_on(ClothKind::Cloth), of_cloth);
    assert_eq!(open.plan().cloth().unwrap().name, "web");
    does(&mut open, &[Command::SetLayRules(gap.clone()), Command::SetStand(stand)]);
    let of_web = lay_it(&mut open);
    // The facings' copies, and no others, are cut from it.
    assert_eq!(of_web.len(), 7, "{of_web:?}");
    assert!(of_web.iter().all(|place| place.piece.as_str().contains("facing")), "{of_web:?}");
    does(&mut open, &[Command::PutOnTable(ClothKind::Cloth)]);
    assert_eq!((open.plan().lay_rules.clone(), open.plan().stand), before);
    assert_eq!(open.plan().lay, of_cloth);
    does(&mut open, &[Command::PutOnTable(ClothKind::Interfacing)]);
    assert_eq!((&open.plan().lay, &open.plan().lay_rules, open.plan().stand), (&of_web, &gap, stand));
    does(&mut open, &[Command::Undo, Command::Undo]);
    assert_eq!(open.plan().on_table, ClothKind::Interfacing, "what is on the table can be taken back too");
}

#[test]
fn what_lies_aside_is_kept_in_the_file_with_what_was_cut_of_it() {
    let mut open = coat();
    let front = open.plan().lay[0].piece.clone();
    does(
        &mut open,
        &[
            Command::SetProgress(front.clone(), 1, Some(CutState::Cut)),
            Command::PutOnTable(ClothKind::Interfacing),
        ],
    );
    assert_eq!(open.state_of(&front, 1), None, "it was cut from the cloth, not from the interfacing");
    assert_eq!(open.state_on(ClothKind::Cloth, &front, 1), Some(CutState::Cut));
    let facing = lay_it(&mut open)[0].piece.clone();
    does(&mut open, &[Command::SetProgress(facing.clone(), 1, Some(CutState::Marked))]);
    let path = Path::new("coat.garment.ron");
    let text = open.garment().to_text(path).unwrap();
    let again = Garment::parse(path, &text, Pattern::clone(&open.garment().pattern)).unwrap();
    assert_eq!((&again.plan, &again.progress), (&open.garment().plan, &open.garment().progress));
    let mut again = OpenGarment::new(again, None);
    assert_eq!(again.staying().len(), 1, "what is cut stays where it lies");
    does(&mut again, &[Command::PutOnTable(ClothKind::Cloth)]);
    assert_eq!((again.state_of(&front, 1), again.progress().count()), (Some(CutState::Cut), 1));
    assert_eq!(again.state_of(&facing, 1), None);
}

#[test]
fn a_lay_aside_is_checked_too_and_stops_nothing_before_it_is_on_the_table() {
    let mut open = coat();
    does(&mut open, &[Command::PutOnTable(ClothKind::Interfacing)]);
    let places = lay_it(&mut open);
    let off = Place { at: places[0].at + Vec2::new(-400.0, 0.0), ..places[0].clone() };
    does(&mut open, &[Command::SetPlace(off)]);
    let stops = |open: &OpenGarment| {
        let found = open.evaluated().findings.clone().into_iter();
        found
            .filter(|found| found.severity == Severity::Stop)
            .map(|found| found.what.clone())
            .collect::<Vec<_>>()
    };
    assert!(!stops(&open).is_empty());
    does(&mut open, &[Command::PutOnTable(ClothKind::Cloth)]);
    assert_eq!(stops(&open), Vec::<String>::new());
    let said = open.findings();
    let aside =
        said.iter().find(|found| found.what.contains("on the interfacing, which is not on the table"));
    assert_eq!(aside.unwrap().severity, Severity::Warning);
    assert!(aside.unwrap().remedy.contains("put the interfacing on the table"));
    // A hand that drags a piece of the cloth leaves what is said of the other as it is.
    let front = open.plan().lay[0].clone();
    does(&mut open, &[Command::SetPlace(Place { at: front.at + Vec2::new(0.0, 1.0), ..front })]);
    assert!(open.findings().iter().any(|found| found.what.contains("on the interfacing")));
}

#[test]
fn a_piece_that_no_cloth_is_wide_enough_for_is_said_before_it_is_laid() {
    let mut open = coat();
    let mut web = open.plan().cloths[&ClothKind::Interfacing].clone();
    web.width = Length::from_mm(60.0);
    does(
        &mut open,
        &[Command::PutOnTable(ClothKind::Interfacing), Command::SetCloth(ClothKind::Interfacing, web)],
    );
    let said = open.findings();
    let narrow: Vec<_> = said.iter().filter(|found| found.what.contains("wide on its grain")).collect();
    assert!(!narrow.is_empty());
    assert!(
        narrow.iter().all(|found| found.severity == Severity::Stop && found.what.contains("only 60.0 mm"))
    );
    assert!(narrow.iter().all(|found| found.amount_mm.is_some_and(|mm| mm > 0.0)), "{narrow:?}");
}

#[test]
fn a_cloth_that_is_on_the_table_and_aside_is_no_plan() {
    let open = coat();
    let path = Path::new("coat.garment.ron");
    let text = open.garment().to_text(path).unwrap();
    let twice = text.replacen("    aims:", "    aside: {Cloth: (lay: [])},\n    aims:", 1);
    assert_ne!(twice, text);
    let error = Garment::parse(path, &twice, Pattern::clone(&open.garment().pattern)).unwrap_err();
    assert!(error.to_string().contains("on the table and aside"), "{error}");
}

#[test]
fn no_other_cloth_comes_on_the_table_while_one_is_cut_in_stands() {
    let mut open = coat();
    does(&mut open, &[Command::PutOnTable(ClothKind::Interfacing), Command::PutOnTable(ClothKind::Cloth)]);
    let Ok(work) = chalkbeam::garment::StandWork::divide(&open, None) else {
        panic!("the demo is aimed and laid")
    };
    does(&mut open, &[Command::SetStands(Some(Box::new(work)))]);
    let refused = open.perform(&Command::PutOnTable(ClothKind::Interfacing), None).unwrap_err();
    assert!(
        matches!(&refused, CommandError::Nonsense(what) if what.contains("leave the stands")),
        "{refused}"
    );
    assert_eq!(open.plan().on_table, ClothKind::Cloth);
    // Taken back in their order: the stands, then the cloth that was put on the table last.
    does(&mut open, &[Command::Undo]);
    assert_eq!((open.stands(), open.plan().on_table), (None, ClothKind::Cloth));
    does(&mut open, &[Command::Undo]);
    assert_eq!(open.plan().on_table, ClothKind::Interfacing);
}
