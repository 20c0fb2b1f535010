//! What only a hand can put right at the desk: pages, the scale, several files, and the lines and corners of pieces.
//!
//! The tiled file was made by reportlab (`tests/job/data/import/pdf/make.py`): six pages of A4, three across and two
//! down, each 190 mm by 277 mm inside its frame. The scan was drawn by Pillow: 100 dots per inch, which it does not tell.

use crate::drawing::Drawn;
use crate::seat::Seat;
use chalkbeam::desk::{LayWish, Wish};
use chalkbeam::geometry::Length;
use chalkbeam::import::{Correction, Imported, LineIs};
use chalkbeam::pattern::HowCut;
use egui::accesskit::Role;
use egui::{Key, Modifiers};

const TILED: &[u8] = include_bytes!("../job/data/import/pdf/tiles-cut-a4.pdf");
const SCAN: &[u8] = include_bytes!("../job/data/import/rectangle-scan-without-scale.png");

/// The middle of a page of the tiled sheet, counted from 1, in mm.
fn middle(page: u8) -> (f64, f64) {
    let (column, row) = ((page - 1) % 3, (page - 1) / 3);
    (190.0 * (f64::from(column) + 0.5), 554.0 - 277.0 * (f64::from(row) + 0.5))
}

fn tiled() -> Drawn {
    let mut drawn = Drawn::open_files(&[("tiles.pdf", TILED)]);
    assert!(drawn.seat.says("6 pages, 3 across and 2 down"), "{:?}", drawn.seat.labels(Role::Label));
    drawn.say("the pages, to put them right");
    drawn
}

fn picked(drawn: &Drawn) -> Option<usize> {
    drawn.seat.session().desk.intake.as_ref().unwrap().picked_page()
}

fn imported(seat: &Seat) -> &Imported {
    seat.session().desk.intake.as_ref().unwrap().imported().unwrap()
}

fn moved(page: usize, right: f64, up: f64) -> Correction {
    Correction::PageMoved { page, right: Length::from_mm(right), up: Length::from_mm(up), sheet: 0 }
}

#[test]
fn a_page_is_picked_on_the_board_left_out_taken_up_and_turned() {
    let mut drawn = tiled();
    // Names and seams are on the board.
    let items = drawn.seat.board().scene.items.iter();
    let words: Vec<String> = items
        .filter_map(|item| match &item.shape {
            chalkbeam::scene::Shape::Label { words, .. } => Some(words.clone()),
            _ => None,
        })
        .collect();
    assert!(words.contains(&"2 (A2)".to_owned()), "{words:?}");
    assert_eq!(picked(&drawn), None);
    drawn.point(middle(2));
    assert_eq!(picked(&drawn), Some(1));
    drawn.say("leave it out");
    assert!(
        drawn.seat.says("where a page is missing right of page 1"),
        "{:?}",
        drawn.seat.labels(Role::Button)
    );
    assert!(drawn.seat.says("2 (A2) left out"));
    // The page that was left out is still there to be picked.
    drawn.point(middle(1));
    drawn.point(middle(2));
    assert_eq!(picked(&drawn), Some(1));
    drawn.say("take it up again");
    assert!(!drawn.seat.says("is missing right of page 1"));
    drawn.seat.press(Key::Delete);
    drawn.wait();
    drawn.say("take back the last");
    drawn.say("turn left");
    drawn.seat.press(Key::End);
    drawn.wait();
    let dropped = |dropped| Correction::PageDropped { page: 2, dropped, sheet: 0 };
    let turned = |quarters| Correction::PageTurned { page: 2, quarters, sheet: 0 };
    assert_eq!(drawn.kept("tiles.pdf"), [dropped(true), dropped(false), turned(1), turned(3)]);
    assert_eq!(imported(&drawn.seat).pattern.pieces.len(), 3);
    // A click beside all pages picks none.
    drawn.point((-30.0, -10.0));
    assert_eq!(picked(&drawn), None);
}

#[test]
fn a_page_is_moved_by_hand_by_arrows_and_by_typing_and_its_seam_is_named() {
    let mut drawn = tiled();
    let from = drawn.seat.on_mm(middle(2));
    // Dragged without being picked, the board moves and no page does.
    drawn.seat.drag(from, from + egui::vec2(12.0, 8.0));
    drawn.wait();
    assert!(drawn.seat.session().desk.intake.as_ref().unwrap().picked_page().is_none());
    drawn.point(middle(2));
    let (from, to) = (drawn.seat.on_mm(middle(2)), drawn.seat.on_mm((middle(2).0 + 12.0, middle(2).1 - 5.0)));
    drawn.seat.drag(from, to);
    drawn.wait();
    let kept = drawn.kept("tiles.pdf");
    let Some(Correction::PageMoved { page: 2, right, up, sheet: 0 }) = kept.last() else {
        panic!("{kept:?}")
    };
    assert!((right.mm() - 12.0).abs() < 0.1 && (up.mm() + 5.0).abs() < 0.1, "{right} {up}");
    assert!(
        drawn.seat.says("A gap of 12.0 mm is between pages 1 and 2"),
        "{:?}",
        drawn.seat.labels(Role::Button)
    );
    drawn.say("take back the last");
    // Several presses are one correction.
    for (modifiers, key) in [
        (Modifiers::NONE, Key::ArrowUp),
        (Modifiers::COMMAND, Key::ArrowUp),
        (Modifiers::COMMAND, Key::ArrowUp),
        (Modifiers::SHIFT, Key::ArrowRight),
        (Modifiers::SHIFT, Key::ArrowLeft),
        (Modifiers::NONE, Key::ArrowDown),
    ] {
        drawn.seat.press_with(modifiers, key);
    }
    drawn.wait();
    assert_eq!(drawn.kept("tiles.pdf"), [moved(2, 0.0, 0.2)]);
    drawn.seat.enter("move it up by", "0,2");
    drawn.wait();
    assert!(drawn.seat.says("is off by 0.4"), "{:?}", drawn.seat.labels(Role::Button));
    assert_eq!(drawn.kept("tiles.pdf").len(), 2);
    drawn.say("take back the last");
    drawn.say("take back the last");
    assert!(drawn.kept("tiles.pdf").is_empty());
    // From page to page.
    drawn.seat.press(Key::PageDown);
    assert_eq!(picked(&drawn), Some(2));
    drawn.seat.press(Key::PageUp);
    assert_eq!(picked(&drawn), Some(1));
}

#[test]
fn columns_and_overlap_are_typed_and_replayed_when_the_file_comes_again() {
    let mut drawn = tiled();
    drawn.seat.enter("columns", "2");
    drawn.wait();
    assert!(drawn.seat.says("6 pages, 2 across and 3 down"), "{:?}", drawn.seat.labels(Role::Label));
    // Now lines end where none goes on; each is said.
    assert!(drawn.seat.says("do not go on"), "{:?}", drawn.seat.labels(Role::Button));
    drawn.seat.enter("overlap across", "10");
    drawn.wait();
    let columns = |across: &str| Correction::Columns {
        columns: 2,
        across: across.parse().unwrap(),
        up: Length::from_mm(0.0),
        sheet: 0,
    };
    assert_eq!(drawn.kept("tiles.pdf"), [columns("0 mm"), columns("10 mm")]);
    let path = drawn.path("tiles.pdf");
    drawn.seat.grant(&Wish::OpenDrawing(vec![path]));
    drawn.wait();
    assert!(drawn.seat.says("6 pages, 2 across and 3 down"));
    drawn.say("take back the last");
    drawn.say("take back the last");
    assert!(drawn.seat.says("6 pages, 3 across and 2 down"));
}

#[test]
fn two_places_of_a_scan_and_the_distance_between_them_are_its_scale() {
    let mut drawn = Drawn::open_files(&[("scan.png", SCAN)]);
    assert!(drawn.seat.says("The drawing is only shown as long as its scale is missing"));
    // As it is shown a dot is 0.1 mm, so 60 mm are 23.6; the rectangle begins at 15 mm.
    let then = |mm: f64| 0.1 * mm * 100.0 / 25.4;
    let bottom = drawn.seat.session().desk.intake.as_ref().unwrap().bounds().unwrap().y0;
    drawn.point((then(15.0), bottom));
    drawn.point((then(75.0), bottom));
    assert!(drawn.seat.says("Between the two rings: 23."), "{:?}", drawn.seat.labels(Role::Label));
    drawn.seat.enter("On the paper they are apart by", "6 cm");
    drawn.wait();
    let sides: Vec<f64> = imported(&drawn.seat).pattern.pieces[0].by_size[0]
        .edges
        .iter()
        .map(|edge| edge.curve.length())
        .collect();
    let longest = sides.iter().copied().fold(0.0, f64::max);
    assert!((longest - 60.0).abs() < 0.3, "{sides:?}");
    // The rings stay where she pointed to.
    assert!(drawn.seat.says("Between the two rings: 60.0 mm"), "{:?}", drawn.seat.labels(Role::Label));
    let kept = drawn.kept("scan.png");
    assert!(
        matches!(&kept[..], [Correction::Ruler { apart, .. }] if apart.to_string() == "6 cm"),
        "{kept:?}"
    );
    drawn.say("take back the last");
    assert!(drawn.seat.says("The drawing is only shown as long as its scale is missing"));
}

/// A piece, and a square of 95 mm that says nothing.
const SQUARE: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200"><g fill="none" stroke="black">
  <path d="M120 20H190V190H120Z"/><rect x="10" y="50" width="95" height="95"/></g></svg>"#;

#[test]
fn the_test_square_is_pointed_to_by_two_corners_and_may_set_the_scale() {
    let mut drawn = Drawn::open_files(&[("square.svg", SQUARE.as_bytes())]);
    drawn.point((10.0, 55.0));
    drawn.point((105.0, 150.0));
    drawn.seat.enter("They are two corners, across, of the test square", "10 cm");
    drawn.wait();
    assert!(drawn.seat.says("printed at 95 %?"), "{:?}", drawn.seat.labels(Role::Button));
    drawn.say("the square is right");
    assert!(drawn.seat.says("The test square measures 100.00 mm across and 100.00 mm up"));
    assert!(!drawn.seat.says("the square is right"));
    let sides = &imported(&drawn.seat).pattern.pieces[0].by_size[0].edges;
    let shortest = sides.iter().map(|edge| edge.curve.length()).fold(f64::INFINITY, f64::min);
    assert!((shortest - 70.0 / 0.95).abs() < 1e-3, "{shortest}");
}

#[test]
fn a_square_that_was_found_may_set_the_scale_across_and_up_apart_and_it_is_replayed() {
    let square = SQUARE
        .replace("height=\"95\"", "height=\"98\"")
        .replace("</g>", "</g><text x=\"20\" y=\"100\" font-size=\"6\">Test square 10 cm</text>");
    let mut drawn = Drawn::open_files(&[("square.svg", square.as_bytes())]);
    assert!(
        drawn.seat.says("printed at 95.0 % across and 98.0 % up?"),
        "{:?}",
        drawn.seat.labels(Role::Button)
    );
    drawn.say("the square is right: scale the drawing by it, across and up apart");
    let measured = "The test square measures 100.00 mm across and 100.00 mm up";
    assert!(drawn.seat.says(measured), "{:?}", drawn.seat.labels(Role::Button));
    let kept = drawn.kept("square.svg");
    assert!(matches!(&kept[..], [Correction::BySquare { .. }]), "{kept:?}");
    let path = drawn.path("square.svg");
    drawn.seat.grant(&Wish::OpenDrawing(vec![path]));
    drawn.wait();
    assert!(drawn.seat.says(measured), "{:?}", drawn.seat.labels(Role::Button));
    let sides = &imported(&drawn.seat).pattern.pieces[0].by_size[0].edges;
    let mut sides: Vec<f64> = sides.iter().map(|edge| edge.curve.length()).collect();
    sides.sort_by(f64::total_cmp);
    assert!((sides[0] - 70.0 / 0.95).abs() < 1e-6 && (sides[3] - 170.0 / 0.98).abs() < 1e-6, "{sides:?}");
    drawn.say("take back the last");
    assert!(drawn.seat.says("printed at 95.0 % across"), "{:?}", drawn.seat.labels(Role::Button));
}

/// A front of 140 mm and 160 mm, open at one corner, with a line across it.
fn front(width: f64) -> String {
    let (left, right) = (20.0, 20.0 + width);
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200"><g fill="none" stroke="black"><path id="front" d="M{left} 60V180H{right}V20H40"/><path d="M50 90H120"/></g></svg>"#
    )
}

#[test]
fn ends_lines_edges_grain_and_fold_are_put_right_by_a_few_clicks_on_each_of_several_files() {
    let (small, large) = (front(140.0), front(160.0));
    let files: [(&str, &[u8]); 2] = [("front 36.svg", small.as_bytes()), ("front 38.svg", large.as_bytes())];
    let mut drawn = Drawn::open_files(&files);
    for file in ["front 36.svg", "front 38.svg"] {
        drawn.say(file);
        // Two ends of the open outline; the line between them is one more edge.
        drawn.point((20.0, 140.0));
        drawn.point((40.0, 180.0));
        drawn.say("join the two ends of lines");
        drawn.point((80.0, 110.0));
        drawn.say("split the line here");
        drawn.point((60.0, 110.0));
        drawn.say("a lengthen/shorten line");
        drawn.point((110.0, 110.0));
        drawn.say("leave this line out");
    }
    // On the second file, in both sizes at once.
    drawn.point((100.0, 20.0));
    drawn.say("a corner is here");
    drawn.point((150.0, 20.0));
    drawn.seat.enter("this edge is called", "hem");
    drawn.wait();
    drawn.point((60.0, 40.0));
    drawn.point((60.0, 160.0));
    drawn.say("the grain runs from there up to here");
    drawn.point((180.0, 100.0));
    drawn.say("this edge lies on the fold");
    assert!(!drawn.seat.says("was not done"), "{:?}", drawn.seat.labels(Role::Button));
    let pattern = &imported(&drawn.seat).pattern;
    assert_eq!((pattern.sizes.len(), pattern.pieces.len()), (2, 1));
    for piece in &pattern.pieces[0].by_size {
        assert_eq!((piece.balance_lines.len(), piece.inner_lines.len()), (1, 0));
        assert!(piece.edge(&"hem".into()).is_some() && piece.fold().is_some());
        assert_eq!(piece.cuttings[0].how, HowCut::OnFold);
        assert_eq!(piece.edges.len(), 6);
        assert!((piece.grainline.from.x - piece.grainline.to.x).abs() < 1e-9);
    }
    let kept = drawn.kept("front 36.svg");
    let sheets: Vec<Option<usize>> = kept.iter().map(Correction::sheet).collect();
    assert_eq!(sheets, [vec![Some(0); 4], vec![Some(1); 8]].concat());
    assert!(matches!(kept[2], Correction::Mark { is: LineIs::BalanceLine, .. }));
    assert!(
        drawn.seat.says("front 38.svg: a corner at (100.0, 20.0)"),
        "{:?}",
        drawn.seat.labels(Role::Label)
    );
    // Both files again, together.
    let before = pattern.clone();
    let paths = files.map(|(name, _)| drawn.path(name));
    drawn.seat.grant(&Wish::OpenDrawing(paths.to_vec()));
    drawn.wait();
    assert_eq!(imported(&drawn.seat).pattern, before);
}

#[test]
fn taking_pieces_keeps_the_wearer_and_ends_the_search_for_a_lay() {
    let mut drawn = Drawn::open_files(&[("square.svg", SQUARE.as_bytes())]);
    let wearer = drawn.seat.session().open.plan().wearer.clone();
    assert!(!wearer.measurements.is_empty(), "the demo is measured");
    drawn.seat.grant(&Wish::Lay(LayWish::Find));
    let outdated = |drawn: &Drawn| {
        let session = drawn.seat.session();
        session.lay_finder.standing(&session.open).is_some() || session.lay_finder.is_outdated(&session.open)
    };
    assert!(outdated(&drawn));
    drawn.say("take these pieces");
    assert!(drawn.seat.session().complaint.is_none(), "{:?}", drawn.seat.session().complaint);
    assert_eq!(drawn.seat.session().open.plan().wearer, wearer);
    assert!(!outdated(&drawn), "a search for another garment's lay goes on");
}
