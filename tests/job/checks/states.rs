//! How far a piece has come.

use crate::garments::bare_coat;
use chalkbeam::alter::{Hem, Pieces, Record};
use chalkbeam::demo::garden_coat;
use chalkbeam::garment::{Command, CutState, PieceState, piece_state};

fn hem(pieces: &[&str]) -> Command {
    Command::AddAlteration(Record::Hem(Hem::parallel(
        Pieces::Only(pieces.iter().map(|id| (*id).into()).collect()),
        "-80 mm".parse().unwrap(),
    )))
}

#[test]
fn on_paper_a_piece_is_as_printed_altered_or_stale() {
    let mut open = bare_coat("88");
    let state = |open: &chalkbeam::garment::OpenGarment, id: &str| piece_state(open, &id.into());
    assert_eq!(state(&open, "front"), Some(PieceState::AsPrinted));
    assert_eq!(state(&open, "sleeve"), None);
    open.perform(&hem(&["front", "front facing"]), None).unwrap();
    assert_eq!(state(&open, "front"), Some(PieceState::Altered));
    assert_eq!(state(&open, "front facing"), Some(PieceState::Altered));
    assert_eq!(state(&open, "back"), Some(PieceState::Stale));
    assert_eq!(state(&open, "back neck facing"), Some(PieceState::AsPrinted));
}

#[test]
fn on_cloth_it_is_ready_cut_and_marked() {
    // The demo's back has its one place, its front both, its front facing only one; and the aim is solved.
    let mut open = garden_coat().unwrap();
    open.perform(&Command::RemovePlace("front facing".into(), 2), None).unwrap();
    let state = |open: &chalkbeam::garment::OpenGarment, id: &str| piece_state(open, &id.into()).unwrap();
    assert!(open.aim().good.is_some());
    assert_eq!(state(&open, "front"), PieceState::ReadyToCut);
    assert_eq!(state(&open, "front facing"), PieceState::Altered);
    let mut tick = |copy: u32, done: CutState| {
        let command = Command::SetProgress("front".into(), copy, Some(done));
        open.perform(&command, None).unwrap();
        state(&open, "front")
    };
    assert_eq!(tick(1, CutState::Cut), PieceState::ReadyToCut);
    assert_eq!(tick(2, CutState::Cut), PieceState::Cut);
    assert_eq!(tick(1, CutState::Marked), PieceState::Cut);
    assert_eq!(tick(2, CutState::Marked), PieceState::Marked);
    assert_eq!(PieceState::ReadyToCut.to_string(), "ready to cut");
}
