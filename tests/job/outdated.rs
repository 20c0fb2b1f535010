//! Nothing outdated is cut without a word: what was changed after it was cut, or after its stands were begun, at the
//! desk or by hand in the file.

use crate::aim::bump::{four, room};
use crate::aim::keys::words_lit;
use chalkbeam::aim::Measured;
use chalkbeam::alter::{Hem, Pieces, Record};
use chalkbeam::demo::garden_coat;
use chalkbeam::desk::{Session, Wish};
use chalkbeam::finding::Severity;
use chalkbeam::floor::Press;
use chalkbeam::garment::{Command, CutState, Garment, OpenGarment};
use chalkbeam::lay::Place;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// The coat in a file, under a small picture that was aimed in a simulated room.
fn session(folder: &TempDir) -> (Session, PathBuf) {
    let mut session = Session::new(garden_coat().unwrap());
    let measured = four(room()).measured();
    session.open.perform(&Command::TakeAim(Box::new(measured)), None).unwrap();
    let path = folder.path().join("coat.garment.ron");
    session.open.save_as(&path).unwrap();
    session.floor.window_size = (1920, 1080);
    (session, path)
}

fn opened(path: &Path) -> Session {
    let mut session = Session::new(OpenGarment::new(Garment::read(path).unwrap(), Some(path.to_owned())));
    session.floor.window_size = (1920, 1080);
    session
}

fn does(session: &mut Session, command: Command) {
    session.open.perform(&command, None).unwrap();
}

fn cut(session: &mut Session, piece: &str) {
    does(session, Command::SetProgress(piece.into(), 1, Some(CutState::Cut)));
}

fn hem(by: &str) -> Command {
    Command::AddAlteration(Record::Hem(Hem::parallel(Pieces::All, by.parse().unwrap())))
}

/// What is said, with how gravely, of things that were changed too late.
fn said(session: &Session) -> Vec<(Severity, String)> {
    let late = session.open.outdated();
    for finding in &late {
        let shown = session.findings();
        assert!(shown.iter().any(|found| found.what == finding.what), "{}", finding.what);
        assert!(!finding.remedy.is_empty());
    }
    late.into_iter().map(|finding| (finding.severity, finding.what)).collect()
}

fn moved(session: &Session, piece: &str, by: f64) -> Command {
    let mut places = session.open.plan().lay.iter();
    let place = places.find(|place| place.piece == piece.into()).unwrap().clone();
    Command::SetPlace(Place { at: place.at + chalkbeam::geometry::Vec2::new(by, 0.0), ..place })
}

#[test]
fn a_piece_that_is_altered_after_it_was_cut_stops_the_cutting_and_says_by_how_much() {
    let folder = TempDir::new().unwrap();
    let (mut session, path) = session(&folder);
    cut(&mut session, "front");
    assert_eq!(said(&session), []);
    does(&mut session, hem("-30 mm"));
    let late = said(&session);
    let words = "“front” 1 was cut before it was altered: its cutting line is ";
    assert!(matches!(&late[..], [(Severity::Stop, what)] if what.starts_with(words)), "{late:?}");
    assert!(words_lit(&session).contains("was cut before it was altered"), "{}", words_lit(&session));
    // It is marked now, and still not what it should be; nor tomorrow.
    does(&mut session, Command::SetProgress("front".into(), 1, Some(CutState::Marked)));
    session.open.save().unwrap();
    assert_eq!(said(&opened(&path)), late);
    does(&mut session, Command::Undo);
    does(&mut session, Command::Undo);
    assert_eq!(said(&session), []);
}

#[test]
fn a_file_that_was_changed_by_hand_between_two_days_is_noticed() {
    let folder = TempDir::new().unwrap();
    let (mut session, path) = session(&folder);
    cut(&mut session, "front");
    session.open.save().unwrap();
    assert_eq!(said(&opened(&path)), []);
    let text = std::fs::read_to_string(&path).unwrap();
    let by_hand = text.replace("\"-80 mm\"", "\"-75 mm\"");
    assert_ne!(by_hand, text);
    std::fs::write(&path, by_hand).unwrap();
    let late = said(&opened(&path));
    assert!(matches!(&late[..], [(Severity::Stop, what)] if what.contains("“front” 1")), "{late:?}");
}

#[test]
fn a_copy_that_is_moved_after_it_was_cut_is_told() {
    let folder = TempDir::new().unwrap();
    let (mut session, _) = session(&folder);
    cut(&mut session, "back");
    let to = moved(&session, "back", 40.0);
    does(&mut session, to);
    let late = said(&session);
    assert!(
        matches!(&late[..], [(Severity::Warning, what)] if what.contains("moved on the cloth")),
        "{late:?}"
    );
}

#[test]
fn what_is_changed_between_two_stands_is_said_on_the_cloth_and_not_ticked() {
    let folder = TempDir::new().unwrap();
    let (mut session, path) = session(&folder);
    session.press(Press::Character('x'));
    assert_eq!(said(&session), []);
    assert_eq!(said(&opened(&path)), [], "nor after a power cut");
    does(&mut session, hem("-30 mm"));
    let late = said(&session);
    let altered = |what: &str| what.contains("“front” 1 was altered: its cutting line is");
    assert!(late.iter().any(|(severity, what)| *severity == Severity::Stop && altered(what)), "{late:?}");
    assert!(words_lit(&session).contains("Since the cutting in stands began"), "{}", words_lit(&session));
    session.grant(&Wish::of(Command::SetProgress("front".into(), 1, Some(CutState::Cut))));
    assert!(session.open.garment().progress.is_empty() && session.complaint.is_some());
    does(&mut session, Command::Undo);
    assert_eq!(said(&session), []);
    let to = moved(&session, "back", 40.0);
    does(&mut session, to);
    let late = said(&session);
    assert!(late.iter().any(|(_, what)| what.contains("“back” 1 was moved")), "{late:?}");
    does(&mut session, Command::RemovePlace("back".into(), 1));
    let late = said(&session);
    assert!(late.iter().any(|(_, what)| what.contains("“back” 1 lies on the cloth no more")), "{late:?}");
}

#[test]
fn stands_under_another_aim_are_told() {
    let folder = TempDir::new().unwrap();
    let (mut session, path) = session(&folder);
    session.press(Press::Character('x'));
    session.open.save().unwrap();
    // Aimed again on the same marks: all is well.
    let measured = session.open.measured().unwrap().clone();
    let mut nudged = measured.clone();
    for mark in &mut nudged.marks {
        mark.picture.0 += 4.0;
    }
    does(&mut session, Command::TakeAim(Box::new(nudged)));
    assert_eq!(said(&session), []);
    // The marks lie elsewhere on the surface, all by the same: another surface, or another corner of it.
    let mut other: Measured = measured;
    for mark in &mut other.marks {
        mark.surface = mark.surface.map(|(x, y)| (x + 50.0, y));
    }
    does(&mut session, Command::KeepAim { name: "floor 2".to_owned(), measured: Box::new(other.clone()) });
    let late = said(&session);
    assert!(matches!(&late[..], [(Severity::Stop, what)] if what.contains("other marks")), "{late:?}");
    // The same by hand.
    let mut garment = Garment::read(&path).unwrap();
    garment.aims[0].measured = other;
    garment.write(&path).unwrap();
    assert_eq!(said(&opened(&path)), late);
}

#[test]
fn a_piece_that_is_laid_after_the_stands_began_is_told() {
    let folder = TempDir::new().unwrap();
    let (mut session, _) = session(&folder);
    let place = session.open.plan().lay.last().unwrap().clone();
    does(&mut session, Command::RemovePlace(place.piece.clone(), place.copy));
    session.press(Press::Character('x'));
    assert_eq!(said(&session), []);
    does(&mut session, Command::SetPlace(place));
    let late = said(&session);
    assert!(matches!(&late[..], [(Severity::Stop, what)] if what.contains("was laid after")), "{late:?}");
}

#[test]
fn work_that_is_taken_up_again_asks_whether_the_projector_moved() {
    let folder = TempDir::new().unwrap();
    let (mut session, path) = session(&folder);
    cut(&mut session, "front");
    session.open.save().unwrap();
    let mut session = opened(&path);
    let asks = |session: &Session| {
        session.findings().iter().any(|found| found.what.contains("nobody has looked since"))
    };
    assert!(asks(&session));
    session.press(Press::Character('v'));
    session.press(Press::Enter);
    assert!(!asks(&session));
    // Another aim of the same garment may be older than what moved the projector.
    let measured = Box::new(session.open.measured().unwrap().clone());
    let name = session.open.garment().aims[0].name.clone();
    does(&mut session, Command::KeepAim { name: "mat".to_owned(), measured });
    assert!(!words_lit(&session).contains("Another aim is in use"));
    session.grant(&Wish::of(Command::ChooseAim(name)));
    assert!(asks(&session) && words_lit(&session).contains("Another aim is in use"));
    session.press(Press::Character('v'));
    session.press(Press::Enter);
    assert!(!asks(&session) && !words_lit(&session).contains("Another aim is in use"));
}

#[test]
fn nothing_is_ticked_by_a_light_that_moved_until_it_is_overruled() {
    let folder = TempDir::new().unwrap();
    let (mut session, _) = session(&folder);
    session.press(Press::Character('v'));
    for _ in 0..3 {
        session.press(Press::Arrow(chalkbeam::floor::Direction::Left, chalkbeam::floor::Step::Plain));
    }
    session.press(Press::Enter);
    assert!(session.floor.moved.is_some());
    let stops = session.findings();
    assert!(stops.iter().any(|stop| stop.severity == Severity::Stop && stop.what.contains("it moved")));
    session.press(Press::Character('.'));
    session.press(Press::Enter);
    assert!(session.open.garment().progress.is_empty() && session.complaint.is_some());
    session.press(Press::Character('u'));
    assert_eq!(session.open.garment().progress.len(), 1);
}
