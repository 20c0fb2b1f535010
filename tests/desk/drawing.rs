//! A drawing becomes a pattern on the desk: read on a thread, looked at on the board, put right by sentences, taken.

use crate::seat::{Seat, demo};
use chalkbeam::desk::{Stop, Wish};
use chalkbeam::garment::Command;
use chalkbeam::import::corrections::path_beside;
use chalkbeam::import::{Correction, Corrections, SizesBy};
use egui::accesskit::Role;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// One piece, nested in three sizes by colour, with a grainline.
const APRON: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200">
  <title>Apron</title><g fill="none">
  <path stroke="red" d="M40 40H160V160H40Z"/><path stroke="green" d="M30 30H170V170H30Z"/><path stroke="blue" d="M20 20H180V180H20Z"/>
  <path id="grain" stroke="black" d="M100 140V60"/></g></svg>"#;

pub(crate) struct Drawn {
    folder: tempfile::TempDir,
    pub(crate) seat: Seat,
}

impl Drawn {
    fn open(text: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("apron.svg");
        std::fs::write(&path, text).unwrap();
        let mut seat = Seat::at(demo());
        seat.go_to(Stop::Pattern);
        seat.enter("Open a drawing", path.to_str().unwrap());
        let mut drawn = Self { folder, seat };
        drawn.wait();
        drawn
    }

    /// Opens files together, by their names and contents.
    pub(crate) fn open_files(files: &[(&str, &[u8])]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let mut seat = Seat::at(demo());
        seat.read_pdf_by(env!("CARGO_BIN_EXE_chalkbeam").into());
        seat.go_to(Stop::Pattern);
        let mut paths = Vec::new();
        for (name, bytes) in files {
            paths.push(folder.path().join(name).to_str().unwrap().to_owned());
            std::fs::write(folder.path().join(name), bytes).unwrap();
        }
        seat.enter("Open a drawing", &paths.join("; "));
        let mut drawn = Self { folder, seat };
        drawn.wait();
        drawn
    }

    /// What is kept beside the first file.
    pub(crate) fn kept(&self, name: &str) -> Vec<Correction> {
        Corrections::read(&path_beside(&self.path(name))).unwrap().list
    }

    /// Clicks a place of the sheet, in mm.
    pub(crate) fn point(&mut self, place: (f64, f64)) {
        let at = self.seat.on_mm(place);
        self.seat.click_at(at);
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Until the reading has ended.
    pub(crate) fn wait(&mut self) {
        let begun = Instant::now();
        while self.seat.session().desk.intake.as_ref().is_some_and(|intake| intake.doing().is_some()) {
            assert!(begun.elapsed() < Duration::from_secs(60), "the reading never ends");
            std::thread::sleep(Duration::from_millis(10));
            self.seat.frame();
        }
        self.seat.frame();
    }

    pub(crate) fn say(&mut self, button: &str) {
        self.seat.click(Role::Button, button);
        self.wait();
    }
}

#[test]
fn a_drawing_is_read_and_what_was_understood_is_listed() {
    let mut drawn = Drawn::open(APRON);
    for words in [
        "A drawing is becoming a pattern: apron.svg",
        "1 piece in 3 sizes",
        "lines of 3 colours make outlines in the same places",
        "The grainline (95 of 100)",
        "how often a piece is cut",
    ] {
        assert!(drawn.seat.says(words), "{words}: {:?}", drawn.seat.labels(Role::Label));
    }
    // The board shows the sheet: its lines, and the piece over them.
    let items = drawn.seat.board().scene.items.len();
    assert!(items > 5, "{items}");
    drawn.say("nesting");
    assert_eq!(
        drawn.seat.session().desk.intake.as_ref().unwrap().imported().unwrap().readings[0].by,
        SizesBy::Nesting
    );
    drawn.say("leave it");
    assert!(drawn.seat.session().desk.intake.is_none());
}

#[test]
fn what_is_put_right_is_kept_beside_the_drawing_and_taken_back() {
    let mut drawn = Drawn::open(APRON);
    // The middle of the outermost hem; then the edge beside it is named.
    let place = drawn.seat.on_mm((100.0, 20.0));
    drawn.seat.click_at(place);
    drawn.say("a corner is here");
    let edges = |drawn: &Drawn| {
        let intake = drawn.seat.session().desk.intake.as_ref().unwrap();
        intake.imported().unwrap().pattern.pieces[0]
            .by_size
            .iter()
            .map(|piece| piece.edges.len())
            .collect::<Vec<_>>()
    };
    assert_eq!(edges(&drawn), [5, 5, 5]);
    let place = drawn.seat.on_mm((150.0, 20.0));
    drawn.seat.click_at(place);
    drawn.seat.enter("this edge is called", "hem");
    drawn.wait();
    let kept = Corrections::read(&path_beside(&drawn.path("apron.svg"))).unwrap();
    assert_eq!(kept.list.len(), 2);
    assert!(matches!(&kept.list[1], Correction::NameEdge { name, .. } if name == "hem"));
    drawn.say("take back the last");
    assert_eq!(Corrections::read(&path_beside(&drawn.path("apron.svg"))).unwrap().list.len(), 1);
    // The same file again: what was put right is there.
    let path = drawn.path("apron.svg");
    drawn.seat.grant(&Wish::OpenDrawing(vec![path]));
    drawn.wait();
    assert_eq!(edges(&drawn), [5, 5, 5]);
    // Another file of the same name: it is told, and nothing is guessed.
    std::fs::write(drawn.path("apron.svg"), APRON.replace("H180", "H182")).unwrap();
    let path = drawn.path("apron.svg");
    drawn.seat.grant(&Wish::OpenDrawing(vec![path]));
    drawn.wait();
    assert!(drawn.seat.says("another file"), "{:?}", drawn.seat.labels(Role::Label));
}

#[test]
fn the_pieces_are_taken_into_a_garment_of_their_own() {
    let mut drawn = Drawn::open(APRON);
    drawn.say("take these pieces");
    let session = drawn.seat.session();
    assert!(session.complaint.is_none(), "{:?}", session.complaint);
    assert!(session.desk.intake.is_none());
    assert_eq!(session.open.garment().pattern.name, "Apron");
    assert_eq!(session.open.path().unwrap(), drawn.path("apron.garment.ron"));
    assert!(drawn.path("apron.pattern.ron").is_file() && drawn.path("apron.garment.ron").is_file());
    // Again: beside the first, never over it.
    let path = drawn.path("apron.svg");
    drawn.seat.grant(&Wish::OpenDrawing(vec![path]));
    drawn.wait();
    drawn.say("take these pieces");
    assert_eq!(drawn.seat.session().open.path().unwrap(), drawn.path("apron 2.garment.ron"));
}

#[test]
fn a_garment_in_no_file_is_not_lost_to_a_drawing() {
    let mut drawn = Drawn::open(APRON);
    drawn.seat.grant(&Wish::of(Command::ChooseSize("92".into())));
    drawn.say("take these pieces");
    assert!(drawn.seat.says("keep a copy of it first"), "{:?}", drawn.seat.labels(Role::Label));
    assert!(drawn.seat.session().desk.intake.is_some());
}

#[test]
fn a_drawing_that_cannot_be_read_says_why_and_asks_for_its_scale() {
    let without = APRON.replace("width=\"200mm\" height=\"200mm\" ", "");
    let mut drawn = Drawn::open(&without);
    assert!(drawn.seat.says("millimetres in one unit"), "{:?}", drawn.seat.labels(Role::Label));
    drawn.seat.enter("If the scale is missing", "1");
    drawn.wait();
    assert!(drawn.seat.says("1 piece in 3 sizes"), "{:?}", drawn.seat.labels(Role::Label));
    let nowhere = drawn.path("nowhere.svg");
    drawn.seat.grant(&Wish::OpenDrawing(vec![nowhere]));
    drawn.wait();
    assert!(drawn.seat.says("nowhere.svg"));
}
