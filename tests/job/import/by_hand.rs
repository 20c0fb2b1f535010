//! What a person puts right on whole sheets: where their pages lie, their scale, and which of several files is meant.
//!
//! The tiled file was made by reportlab (`data/import/pdf/make.py`): six pages of A4, three across and two down, each
//! 190 mm by 277 mm inside its frame. The scan was drawn by Pillow.

use super::{finding, pdf, read_with, says, sheet};
use chalkbeam::finding::Severity;
use chalkbeam::geometry::{Curve, Length, Point, Vec2};
use chalkbeam::import::corrections::{Source, path_beside};
use chalkbeam::import::tiles::Tiles;
use chalkbeam::import::{
    self, Correction, Corrections, Drawing, File, ImportError, Imported, Options, Unwatched,
};
use chalkbeam::pattern::Piece;

const TILED: &str = "tiles-cut-a4.pdf";
const WITHOUT_SCALE: &[u8] = include_bytes!("../data/import/rectangle-scan-without-scale.png");

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

fn with(list: &[Correction]) -> Options {
    Options { corrections: list.to_vec(), ..Options::default() }
}

fn tiled(list: &[Correction]) -> Result<Imported, ImportError> {
    import::read(&pdf::file(TILED), &with(list))
}

/// The sheet itself, whether or not there is a piece on it, and what is said of it.
fn tiled_sheet(list: &[Correction]) -> (Drawing, Vec<String>) {
    let mut findings = Vec::new();
    let bytes = pdf::file(TILED);
    let files = [File { name: "tiles", bytes: &bytes }];
    let mut drawings = import::drawings_of(&files, &with(list), &Unwatched, &mut findings).unwrap();
    (drawings.remove(0).1, findings.into_iter().map(|finding| finding.what).collect())
}

fn moved(page: usize, right: f64, up: f64) -> Correction {
    Correction::PageMoved { page, right: mm(right), up: mm(up), sheet: 0 }
}

const fn dropped(page: usize, dropped: bool) -> Correction {
    Correction::PageDropped { page, dropped, sheet: 0 }
}

fn columns(columns: usize) -> Correction {
    Correction::Columns { columns, across: mm(0.0), up: mm(0.0), sheet: 0 }
}

#[test]
fn pages_that_are_moved_turned_or_dropped_by_records_lie_as_they_do_by_hand() {
    let found = Tiles::of(pdf::pages(TILED));
    let by_hand = |list: &[Correction], tiles: &Tiles| {
        let (drawing, said) = tiled_sheet(list);
        assert_eq!(drawing.groups, tiles.drawing().0.groups, "{list:?}");
        assert_eq!(drawing.laid.tiles(), Some(tiles));
        said
    };
    let said = by_hand(&[moved(2, 0.0, 0.4)], &found.with_page_moved(1, Vec2::new(0.0, 0.4)));
    assert!(said.iter().any(|what| what.contains("The worst seam, between pages")), "{said:?}");
    let gaps = |said: &[String]| {
        said.iter().filter(|what| what.starts_with("A gap of")).cloned().collect::<Vec<_>>()
    };
    assert_eq!(gaps(&said), Vec::<String>::new());
    // Page 2 stands in the upper row: 12 mm to the right it opens a gap on its left, and covers page 3.
    let said = by_hand(&[moved(2, 12.0, 7.5)], &found.with_page_moved(1, Vec2::new(12.0, 7.5)));
    assert_eq!(
        gaps(&said),
        ["A gap of 12.0 mm is between pages 1 and 2", "A gap of 7.5 mm is between pages 2 and 5"]
    );
    let said = by_hand(&[dropped(2, true)], &found.with_page_dropped(1, true));
    assert!(said.iter().any(|what| what.contains("where a page is missing right of page 1")), "{said:?}");
    by_hand(&[dropped(2, true), dropped(2, false)], &found);
    let turn = |quarters| Correction::PageTurned { page: 3, quarters, sheet: 0 };
    by_hand(&[turn(1)], &found.with_page_turned(2));
    by_hand(&[turn(1), turn(3)], &found);
    by_hand(&[columns(2)], &found.with_columns(2, Vec2::ZERO));
    // What was moved before comes back with the columns.
    by_hand(&[moved(2, 70.0, 9.0), columns(3)], &found.with_columns(3, Vec2::ZERO));
}

#[test]
fn a_cover_that_is_left_out_takes_no_place_in_the_columns() {
    // Page 1 as a cover: five pages are left, and the second begins the first row.
    let (drawing, _) = tiled_sheet(&[dropped(1, true), columns(2)]);
    let tiles = drawing.laid.tiles().unwrap();
    let middle = |page: usize| tiles.frame_on_sheet(&tiles.placements()[page]).center();
    assert!(!tiles.placements()[0].used);
    assert!((middle(2) - middle(1) - Vec2::new(190.0, 0.0)).hypot() < 1e-3, "{:?}", middle(2) - middle(1));
    assert!((middle(3) - middle(1) - Vec2::new(0.0, -277.0)).hypot() < 1e-3);
    assert_eq!(tiles.grid().map(|(columns, rows, _)| (columns, rows)), Some((2, 3)));
    // The cover lies apart, where it can be taken up again.
    assert_eq!(tiles.page_at(middle(0)), Some(0));
    assert!((1..6).all(|page| tiles.page_at(middle(page)) == Some(page)));
}

#[test]
fn seams_of_turned_pages_are_looked_at_too() {
    let found = Tiles::of(pdf::pages(TILED));
    let mut pages = pdf::pages(TILED);
    // Page 2 came out of the printer upside down.
    let upside_down = found.with_page_turned(1).with_page_turned(1);
    let middle = found.frame_on_sheet(&found.placements()[1]).center();
    let turn = upside_down.sheet_from_page(&upside_down.placements()[1]);
    assert!(
        (turn * (found.sheet_from_page(&found.placements()[1]).inverse() * middle)).distance(middle) < 1e-6
    );
    let broken = |tiles: &Tiles| tiles.seams().iter().map(|seam| seam.broken.len()).sum::<usize>();
    assert_eq!(broken(&found), 0);
    assert!(broken(&upside_down) > 0, "a page upside down breaks lines");
    for line in &mut pages[1].lines {
        let frame = at(middle.x - found.placements()[1].at.x, middle.y - found.placements()[1].at.y);
        let about = chalkbeam::geometry::Affine::rotate_about(std::f64::consts::PI, frame);
        line.stroke.curve = line.stroke.curve.transformed(about);
    }
    let printed = Tiles::of(pages).with_columns(3, Vec2::ZERO);
    assert!(broken(&printed) > 0);
    let righted = printed.with_page_turned(1).with_page_turned(1);
    assert_eq!(broken(&righted), 0, "{:?}", righted.seams());
}

/// The lines of a drawing that lie inside one page, with the page.
fn inside_one_page(tiles: &Tiles) -> (usize, Point) {
    let (drawing, _) = tiles.drawing();
    let strokes = drawing.groups.iter().flat_map(|group| &group.strokes).filter(|stroke| !stroke.closed);
    let long = strokes.filter(|stroke| stroke.curve.length() > 30.0);
    let mut found = long.filter_map(|stroke| {
        let bounds = stroke.curve.bounding_box();
        let page = tiles.page_at(bounds.center())?;
        let frame = tiles.frame_on_sheet(&tiles.placements()[page]);
        (frame.union(bounds) == frame).then(|| (page, bounds.center()))
    });
    found.next().expect("a grainline inside a page")
}

#[test]
fn a_line_that_was_pointed_to_is_followed_where_its_page_goes() {
    let right = Tiles::of(pdf::pages(TILED));
    let (page, place) = inside_one_page(&right);
    let wrong = right.with_columns(2, Vec2::ZERO);
    let on_page = right.sheet_from_page(&right.placements()[page]).inverse() * place;
    let then = wrong.sheet_from_page(&wrong.placements()[page]) * on_page;
    assert!(then.distance(place) > 50.0, "page {page} lies elsewhere in two columns");
    let plain = tiled(&[columns(3)]).unwrap();
    let there = Correction::Drop { at: place, sheet: 0 };
    let before = Correction::Drop { at: then, sheet: 0 };
    let corrected = tiled(&[columns(2), before, columns(3)]).unwrap();
    assert!(!says(&corrected, "was not done"), "{:?}", corrected.findings);
    assert_eq!(corrected.pattern, tiled(&[columns(3), there]).unwrap().pattern);
    assert_ne!(corrected.pattern, plain.pattern);
}

#[test]
fn what_cannot_be_done_with_pages_is_told() {
    let list = [moved(7, 1.0, 1.0), moved(0, 1.0, 1.0)];
    let imported = tiled(&list).unwrap();
    assert!(finding(&imported, "there is no such page").at.is_none());
    assert!(says(&imported, "pages are counted from 1"));
    assert_eq!(imported.pattern, tiled(&[]).unwrap().pattern);
    let plain = "<path fill=\"none\" stroke=\"black\" d=\"M20 20H180V180H20Z\"/>";
    let imported = read_with(&sheet(plain), &with(&[columns(2)])).unwrap();
    assert!(says(&imported, "has no pages to be put together"));
}

#[test]
fn the_program_replays_what_was_put_right_on_pages() {
    let folder = tempfile::tempdir().unwrap();
    let source = folder.path().join("tiles.pdf");
    let bytes = pdf::file(TILED);
    std::fs::write(&source, &bytes).unwrap();
    let out = folder.path().join("tiles.pattern.ron");
    let import = || {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_chalkbeam"));
        let done = command.arg("import").arg(&source).arg("--out").arg(&out).output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        String::from_utf8_lossy(&done.stderr).into_owned()
    };
    assert!(!import().contains("The worst seam, between pages 2"));
    let corrections =
        Corrections { sources: vec![Source::of("tiles", &bytes)], list: vec![moved(2, 0.0, 0.4)] };
    corrections.write(&path_beside(&source)).unwrap();
    assert_eq!(Corrections::read(&path_beside(&source)).unwrap(), corrections);
    let said = import();
    assert!(said.contains("corrections 1") && said.contains("is off by 0.4"), "{said}");
}

fn lengths(piece: &Piece) -> Vec<f64> {
    let mut lengths: Vec<f64> = piece.edges.iter().map(|edge| edge.curve.length()).collect();
    lengths.sort_by(f64::total_cmp);
    lengths
}

#[test]
fn a_ruler_on_a_scan_without_a_scale_makes_it_of_true_size() {
    // Without a scale a dot counts as 0.1 mm; the rectangle's upper side runs from 15 mm to 75 mm at 100 dots per inch.
    let then = |mm: f64| 0.1 * mm * 100.0 / 25.4;
    let sixty: Length = "6 cm".parse().unwrap();
    let ruler =
        Correction::Ruler { from: at(then(15.0), 50.0), to: at(then(75.0), 50.0), apart: sixty, sheet: 0 };
    assert!(import::read(WITHOUT_SCALE, &with(&[])).unwrap_err().wants_scale());
    for list in [vec![ruler.clone()], vec![Correction::Dots { per_inch: 100.0, sheet: 0 }]] {
        let imported = import::read(WITHOUT_SCALE, &with(&list)).unwrap();
        let found = lengths(&imported.pattern.pieces[0].by_size[0]);
        for (found, expected) in found.iter().zip([40.0, 40.0, 60.0, 60.0]) {
            assert!((found - expected).abs() <= 0.3, "{found} mm where {expected} mm were drawn");
        }
    }
    // The unit in which it was read off the ruler is kept.
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("kept.ron");
    Corrections { sources: Vec::new(), list: vec![ruler.clone()] }.write(&path).unwrap();
    assert!(std::fs::read_to_string(&path).unwrap().contains("6 cm"));
    assert_eq!(Corrections::read(&path).unwrap().list, [ruler]);
}

/// Three sizes, nested.
const SIZES: &str = "<g fill=\"none\" stroke=\"black\"><path d=\"M40 40H160V160H40Z\"/><path d=\"M30 30H170V170H30Z\"/><path d=\"M20 20H180V180H20Z\"/></g>";

#[test]
fn a_scale_that_is_set_later_takes_what_was_put_right_before_along() {
    let list = [
        Correction::Corner { at: at(100.0, 21.0), sheet: 0 },
        Correction::Ruler { from: at(20.0, 20.0), to: at(180.0, 20.0), apart: mm(320.0), sheet: 0 },
        Correction::NameEdge { at: at(300.0, 40.0), name: "hem".to_owned(), sheet: 0 },
    ];
    let imported = read_with(&sheet(SIZES), &with(&list)).unwrap();
    assert!(!says(&imported, "was not done"), "{:?}", imported.findings);
    for (piece, half) in imported.pattern.pieces[0].by_size.iter().zip([120.0, 140.0, 160.0]) {
        let hem = piece.edge(&"hem".into()).expect("a hem");
        assert!((hem.curve.length() - half).abs() < 1e-6, "{}", hem.curve.length());
    }
    let same = Correction::Ruler { from: at(20.0, 20.0), to: at(20.0, 21.0), apart: mm(320.0), sheet: 0 };
    let imported = read_with(&sheet(SIZES), &with(&[same])).unwrap();
    assert!(says(&imported, "the two places are the same"));
    let told = Correction::Unit { mm: 2.0, sheet: 0 };
    let imported = read_with(&sheet(SIZES), &with(&[told])).unwrap();
    assert!(says(&imported, "the drawing tells its scale itself"));
}

#[test]
fn a_drawing_without_a_unit_takes_its_scale_from_a_record() {
    let without = sheet(SIZES).replace(" width=\"200mm\" height=\"200mm\"", "");
    assert!(read_with(&without, &with(&[])).unwrap_err().wants_scale());
    let ruler = Correction::Ruler {
        from: at(20.0, 20.0),
        to: at(20.0, 180.0),
        apart: "4 in".parse().unwrap(),
        sheet: 0,
    };
    for list in [vec![ruler], vec![Correction::Unit { mm: 101.6 / 160.0, sheet: 0 }]] {
        let imported = read_with(&without, &with(&list)).unwrap();
        let largest = imported.pattern.pieces[0].by_size.last().unwrap();
        assert!(lengths(largest).iter().all(|side| (side - 101.6).abs() < 1e-6), "{:?}", lengths(largest));
    }
}

#[test]
fn a_test_square_that_was_pointed_to_is_measured_across_and_up_apart() {
    let square = |width: f64, height: f64, list: &[Correction]| {
        let drawn = format!(
            "<g fill=\"none\" stroke=\"black\"><path d=\"M120 20H190V190H120Z\"/><rect x=\"10\" y=\"50\" width=\"{width}\" height=\"{height}\"/></g>"
        );
        read_with(&sheet(&drawn), &with(list)).unwrap()
    };
    assert_eq!(square(95.0, 95.0, &[]).pattern.pieces.len(), 2, "without a word it is a piece");
    let pointed = |width: f64, height: f64| Correction::TestSquare {
        from: at(10.2, 150.0 - height),
        to: at(10.0 + width, 150.2),
        side: "10 cm".parse().unwrap(),
        sheet: 0,
    };
    // The pointer is off by 0.2 mm across and up; so is what is measured.
    let small = square(95.2, 94.8, &[pointed(95.2, 94.8)]);
    let told = finding(&small, "where 10 cm is written: printed at 95 %?");
    assert_eq!(told.severity, Severity::Stop);
    assert_eq!(small.pattern.pieces.len(), 1, "{:?}", small.findings);
    let stretched = square(100.2, 96.8, &[pointed(100.2, 96.8)]);
    assert!(says(&stretched, "printed at 100.0 % across and 97.0 % up?"), "{:?}", stretched.findings);
    // The square, as large as it says once the scale is set by it.
    let list = [
        pointed(95.2, 94.8),
        Correction::Ruler {
            from: at(10.0, 50.0),
            to: at(105.0, 50.0),
            apart: "10 cm".parse().unwrap(),
            sheet: 0,
        },
    ];
    let right = square(95.2, 94.8, &list);
    assert_eq!(finding(&right, "The test square measures 100.00 mm").severity, Severity::Note);
    assert!((lengths(&right.pattern.pieces[0].by_size[0])[0] - 70.0 / 0.95).abs() < 1e-6);
}

#[test]
fn a_square_that_was_stretched_scales_the_drawing_across_and_up_apart() {
    // Printed at 97 % across and 102 % up: the round of 40 mm came out as an ellipse.
    let (x, y) = (0.97, 1.02);
    let drawn = format!(
        "<g fill=\"none\" stroke=\"black\" transform=\"translate(0 200) scale({x} {y}) translate(0 -190)\"><path id=\"hem\" d=\"M120 20H180V160H120Z\"/>\
         <rect x=\"10\" y=\"50\" width=\"100\" height=\"100\"/><circle id=\"round\" cx=\"35\" cy=\"22\" r=\"20\"/></g>"
    );
    let (left, right) = (10.0 * x, 110.0 * x);
    let (low, high) = (40.0 * y, 140.0 * y);
    let corners = |from, to| (at(from, low), at(to, high), "10 cm".parse().unwrap());
    let (from, to, side) = corners(left, right);
    let list = [
        Correction::NameEdge { at: at(150.0 * x, 170.0 * y), name: "top".to_owned(), sheet: 0 },
        Correction::TestSquare { from, to, side, sheet: 0 },
        {
            let (from, to, side) = corners(left, right);
            Correction::BySquare { from, to, side, sheet: 0 }
        },
    ];
    let stretched = read_with(&sheet(&drawn), &with(&list[..2])).unwrap();
    assert!(says(&stretched, "printed at 97.0 % across and 102.0 % up?"), "{:?}", stretched.findings);
    let right_size = read_with(&sheet(&drawn), &with(&list)).unwrap();
    assert!(!says(&right_size, "was not done"), "{:?}", right_size.findings);
    let told = finding(&right_size, "The test square measures 100.00 mm across and 100.00 mm up");
    assert_eq!(told.severity, Severity::Note);
    let pieces = &right_size.pattern.pieces;
    assert_eq!(pieces.len(), 2);
    let front = pieces.iter().find(|piece| piece.by_size[0].edge(&"top".into()).is_some()).expect("a top");
    for (found, expected) in lengths(&front.by_size[0]).iter().zip([60.0, 60.0, 140.0, 140.0]) {
        assert!((found - expected).abs() < 1e-6, "{found} where {expected} mm were drawn");
    }
    let round = pieces.iter().find(|piece| piece.id != front.id).unwrap();
    let way: f64 = lengths(&round.by_size[0]).iter().sum();
    assert!((way - 40.0 * std::f64::consts::PI).abs() < 0.05, "{way} mm round a circle of 40 mm");
    // Two corners on one side are no square, and no scale.
    let (from, _, side) = corners(left, right);
    let side_only = |from, to, side| Correction::TestSquare { from, to, side, sheet: 0 };
    let one = read_with(&sheet(&drawn), &with(&[side_only(from, at(right, low), side)])).unwrap();
    assert!(says(&one, "they are no two corners, across, of a square"), "{:?}", one.findings);
    let (from, _, side) = corners(left, right);
    let scale = Correction::BySquare { from, to: at(right, low), side, sheet: 0 };
    let none = read_with(&sheet(&drawn), &with(&[scale])).unwrap();
    assert!(says(&none, "was not done"), "{:?}", none.findings);
}

/// A front of a given width, `right` mm from the left, its hem 20 mm up, and a line across it.
fn front(width: f64, right: f64) -> String {
    let (left, far) = (right, right + width);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"600mm\" height=\"200mm\" viewBox=\"0 0 600 200\"><g fill=\"none\" \
         stroke=\"black\"><path id=\"front\" d=\"M{left} 20H{far}V180H{left}Z\"/><path d=\"M{} 90H{}\"/></g></svg>",
        left + 30.0,
        far - 30.0
    )
}

#[test]
fn several_files_are_each_put_right_on_their_own_sheet() {
    let (small, large) = (front(140.0, 20.0), front(160.0, 400.0));
    let files = [
        File { name: "front 36", bytes: small.as_bytes() },
        File { name: "front 38", bytes: large.as_bytes() },
    ];
    let read = |list: &[Correction]| import::read_files(&files, &with(list), &Unwatched).unwrap();
    let plain = read(&[]);
    assert_eq!(plain.sheets, [[0, 1]]);
    // On the second sheet: halfway along its hem, the hem's right half, its line, its grain.
    let on_second = |sheet: usize| {
        [
            Correction::Mark { at: at(480.0, 110.0), is: import::LineIs::BalanceLine, sheet },
            Correction::Corner { at: at(480.0, 20.0), sheet },
            Correction::NameEdge { at: at(540.0, 20.0), name: "hem".to_owned(), sheet },
            Correction::Grain { from: at(440.0, 40.0), to: at(440.0, 160.0), sheet },
        ]
    };
    let corrected = read(&on_second(1));
    assert!(!says(&corrected, "was not done"), "{:?}", corrected.findings);
    let by_size = &corrected.pattern.pieces[0].by_size;
    for (piece, half) in by_size.iter().zip([70.0, 80.0]) {
        assert_eq!(piece.edges.len(), 5);
        let hem = piece.edge(&"hem".into()).expect("a hem").curve.clone();
        assert!((Curve::length(&hem) - half).abs() < 1e-6, "{}", hem.length());
        let grain = &piece.grainline;
        assert!(piece.bounding_box().contains(grain.from) && (grain.to - grain.from).x.abs() < 1e-9);
    }
    assert_eq!(by_size[1].grainline.from, at(440.0, 40.0));
    // The first sheet has nothing at those places.
    let told = |list: &[Correction]| {
        let imported = read(list);
        imported.findings.iter().filter(|finding| finding.what.contains("was not done")).count()
    };
    assert_eq!(told(&on_second(0)), 4);
    assert_eq!(told(&on_second(2)), 4);
    // Kept with both files, in their order, and replayed.
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("front 36.svg.corrections.ron");
    let sources = files.iter().map(|file| Source::of(file.name, file.bytes)).collect();
    Corrections { sources, list: on_second(1).to_vec() }.write(&path).unwrap();
    let kept = Corrections::read(&path).unwrap();
    assert!(kept.check(&files).is_ok());
    assert_eq!(read(&kept.list).pattern, corrected.pattern);
    let turned_round = [files[1], files[0]];
    assert!(kept.check(&turned_round).is_err(), "in another order a record would mean another sheet");
}
