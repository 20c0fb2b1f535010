//! What a person puts right by hand, on a page and on a scan.
//!
//! The files were made once by `data/import/by_hand.py`: the pages by reportlab, the pictures by Pillow at 100 dots an
//! inch. Each sheet is 200 mm by 200 mm.

use super::corrections::on_an_apron;
use super::says;
use chalkbeam::geometry::Point;
use chalkbeam::import::{self, Correction, ImportError, Imported, LineIs, Options, SizesBy};
use chalkbeam::pattern::{EdgeRole, HowCut, Piece};

/// How true a page comes back: the numbers of reportlab have six digits.
const PAGE_MM: f64 = 1e-3;
/// And how true a scan does.
const SCAN_MM: f64 = 0.3;

/// An apron open by 40 mm on its left, with three lines in it.
const OPEN: [(&str, &[u8], f64); 2] = [
    ("page", include_bytes!("../data/import/apron-open.pdf"), PAGE_MM),
    ("scan", include_bytes!("../data/import/apron-open-scan.png"), SCAN_MM),
];
/// A closed apron: on the page in three sizes, one in the other.
const CLOSED: [(&str, &[u8], f64, &[f64]); 2] = [
    ("page", include_bytes!("../data/import/apron-sizes.pdf"), PAGE_MM, &[60.0, 70.0, 80.0]),
    ("scan", include_bytes!("../data/import/apron-scan.png"), SCAN_MM, &[80.0]),
];

fn try_read(bytes: &[u8], list: &[Correction]) -> Result<Imported, ImportError> {
    import::read(bytes, &Options { corrections: list.to_vec(), ..Options::default() })
}

fn read(format: &str, bytes: &[u8], list: &[Correction]) -> Imported {
    let imported = try_read(bytes, list).unwrap_or_else(|error| panic!("{format}: {error}"));
    assert!(!says(&imported, "was not done"), "{format}: {:?}", imported.findings);
    assert_eq!(imported.pattern.faults(), [], "{format}");
    imported
}

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

fn assert_square(format: &str, piece: &Piece, within: f64) {
    let bounds = piece.bounding_box();
    for (found, drawn) in [(bounds.x0, 20.0), (bounds.y0, 20.0), (bounds.x1, 180.0), (bounds.y1, 180.0)] {
        assert!((found - drawn).abs() <= within, "{format}: {bounds:?}");
    }
}

#[test]
fn ends_are_joined_and_lines_marked_or_left_out_on_a_page_and_a_scan() {
    for (format, bytes, within) in OPEN {
        let join = Correction::Join { from: at(21.0, 99.0), to: at(20.5, 141.0), sheet: 0 };
        let joined = read(format, bytes, std::slice::from_ref(&join));
        let plain = &joined.pattern.pieces[0].by_size[0];
        assert_square(format, plain, within);
        assert!(plain.balance_lines.is_empty(), "{format}");
        let list = [
            join,
            Correction::Drop { at: at(100.0, 141.0), sheet: 0 },
            Correction::Mark { at: at(100.0, 111.0), is: LineIs::BalanceLine, sheet: 0 },
            Correction::Mark { at: at(61.0, 60.0), is: LineIs::Grain, sheet: 0 },
        ];
        let marked = read(format, bytes, &list);
        assert_eq!(marked.pattern.pieces.len(), 1, "{format}");
        let piece = &marked.pattern.pieces[0].by_size[0];
        assert!(piece.inner_lines.is_empty(), "{format}: {:?}", piece.inner_lines);
        assert_eq!(piece.balance_lines.len(), 1, "{format}");
        let line = &piece.balance_lines[0].line;
        assert!((line.p0.y - 110.0).abs() <= within && (line.p1.y - 110.0).abs() <= within, "{format}");
        let grain = &piece.grainline;
        assert!((grain.from.x - 60.0).abs() <= within && (grain.to.x - 60.0).abs() <= within, "{format}");
        assert!((grain.from.distance(grain.to) - 40.0).abs() <= 2.0 * within, "{format}: {grain:?}");
    }
}

#[test]
fn a_line_is_split_and_one_part_left_out_on_a_page_and_a_scan() {
    for (format, bytes, within) in OPEN {
        let list = [
            Correction::Join { from: at(21.0, 99.0), to: at(20.5, 141.0), sheet: 0 },
            Correction::Split { at: at(100.0, 141.0), sheet: 0 },
            Correction::Drop { at: at(130.0, 141.0), sheet: 0 },
        ];
        let count = |list: &[Correction]| {
            let imported = read(format, bytes, list);
            let piece = &imported.pattern.pieces[0].by_size[0];
            let high = piece.inner_lines.iter().map(|line| line.curve.bounding_box());
            high.filter(|bounds| (bounds.y0 - 140.0).abs() <= within).collect::<Vec<_>>()
        };
        let [whole] = count(&list[..1])[..] else { panic!("{format}: no line") };
        assert!((whole.width() - 80.0).abs() <= 2.0 * within, "{format}: {whole:?}");
        let [left] = count(&list)[..] else { panic!("{format}: no line left") };
        assert!((left.x0 - 60.0).abs() <= within && (left.x1 - 100.0).abs() <= within, "{format}: {left:?}");
    }
}

#[test]
fn a_line_that_runs_past_its_corners_is_split_on_a_page() {
    let bytes = include_bytes!("../data/import/apron-crossing.pdf");
    let list = [
        Correction::Split { at: at(20.0, 180.0), sheet: 0 },
        Correction::Split { at: at(20.0, 20.0), sheet: 0 },
        Correction::Drop { at: at(20.0, 188.0), sheet: 0 },
        Correction::Drop { at: at(20.0, 12.0), sheet: 0 },
    ];
    let split = read("page", bytes, &list);
    assert_eq!(split.pattern.pieces.len(), 1);
    let piece = &split.pattern.pieces[0].by_size[0];
    assert_eq!(piece.edges.len(), 4);
    assert!(piece.inner_lines.is_empty() && piece.notches.is_empty());
    assert_square("page", piece, PAGE_MM);
}

#[test]
fn corner_edge_name_grain_and_fold_hold_on_a_page_and_a_scan() {
    for (format, bytes, within, halves) in CLOSED {
        let mut all = on_an_apron().to_vec();
        if halves.len() > 1 {
            all.insert(0, Correction::SizesBy(SizesBy::Nesting));
        }
        let imported = read(format, bytes, &all);
        let [apron] = &imported.pattern.pieces[..] else { panic!("{format}: {:?}", imported.findings) };
        assert_eq!(apron.id.as_str(), "apron", "{format}");
        assert_eq!(apron.by_size.len(), halves.len(), "{format}");
        for (piece, half) in apron.by_size.iter().zip(halves) {
            // Four, one more by the corner and one less by the other.
            assert_eq!(piece.edges.len(), 4, "{format}");
            let hem = piece.edge(&"hem".into()).unwrap_or_else(|| panic!("{format}: no hem"));
            assert_eq!(hem.role, EdgeRole::Hem, "{format}");
            assert!((hem.curve.length() - half).abs() <= within, "{format}: {}", hem.curve.length());
            let fold = piece.fold().unwrap_or_else(|| panic!("{format}: no fold"));
            assert!((fold.curve.start().x - (100.0 - half)).abs() <= within, "{format}");
            assert_eq!(piece.cuttings[0].how, HowCut::OnFold, "{format}");
            assert!((piece.grainline.from.x - 60.0).abs() < 1e-9, "{format}");
        }
    }
}
