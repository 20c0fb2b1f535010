//! What a person puts right on a drawing is kept beside it, replayed when it comes again, and refused on another.

use super::{finding, piece, read_with, says, sheet};
use chalkbeam::geometry::Point;
use chalkbeam::import::corrections::{Source, path_beside};
use chalkbeam::import::{Correction, Corrections, File, Imported, LineIs, Options, SizesBy};
use chalkbeam::pattern::{EdgeRole, HowCut};
use std::path::Path;

fn corrected(contents: &str, list: &[Correction]) -> Imported {
    let options = Options { corrections: list.to_vec(), ..Options::default() };
    read_with(&sheet(&format!("<g fill=\"none\" stroke=\"black\">{contents}</g>")), &options)
        .unwrap_or_else(|error| panic!("{error}"))
}

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// What makes an apron with a hem and a fold of the outermost square, from (20, 20) to (180, 180).
pub(super) fn on_an_apron() -> [Correction; 6] {
    [
        // Halfway along the hem.
        Correction::Corner { at: at(100.0, 21.0), sheet: 0 },
        Correction::NameEdge { at: at(150.0, 20.0), name: "hem".to_owned(), sheet: 0 },
        Correction::NamePiece { at: at(100.0, 100.0), name: "apron".to_owned(), sheet: 0 },
        Correction::Fold { at: at(20.0, 100.0), sheet: 0 },
        Correction::Grain { from: at(60.0, 60.0), to: at(60.0, 140.0), sheet: 0 },
        // And the corner at the upper right is none.
        Correction::NoCorner { at: at(180.0, 180.0), sheet: 0 },
    ]
}

/// From (20, 20) to (180, 180), its left side open by 40 mm, y down.
const OPEN: &str = "<path d=\"M20 100V180H180V20H20V60\"/>";

/// The same, closed, in three sizes.
const SIZES: &str =
    "<path d=\"M40 40H160V160H40Z\"/><path d=\"M30 30H170V170H30Z\"/><path d=\"M20 20H180V180H20Z\"/>";

#[test]
fn two_ends_are_joined_and_a_line_is_split_marked_or_left_out() {
    let options = Options::default();
    assert!(read_with(&sheet(&format!("<g fill=\"none\" stroke=\"black\">{OPEN}</g>")), &options).is_err());
    // Places are y up: 200 less the drawing's.
    let join = Correction::Join { from: at(21.0, 99.0), to: at(20.5, 141.0), sheet: 0 };
    let joined = corrected(OPEN, std::slice::from_ref(&join));
    assert_eq!(joined.pattern.pieces.len(), 1);
    let inside = "<path d=\"M60 60H140\"/><path d=\"M60 90H140\"/><path d=\"M60 120V160\"/>";
    let list = [
        join,
        Correction::Drop { at: at(100.0, 141.0), sheet: 0 },
        Correction::Mark { at: at(100.0, 110.0), is: LineIs::BalanceLine, sheet: 0 },
        Correction::Mark { at: at(60.0, 60.0), is: LineIs::Grain, sheet: 0 },
    ];
    let marked = corrected(&format!("{OPEN}{inside}"), &list);
    let piece = piece(&marked, "piece 1");
    assert!(piece.inner_lines.is_empty(), "{:?}", piece.inner_lines);
    assert_eq!(piece.balance_lines.len(), 1);
    assert!((piece.grainline.from.x - 60.0).abs() < 1e-9);
    // A line that overshoots is split, and its rest left out.
    let crossing = "<path d=\"M20 20H180V180H20\"/><path d=\"M20 10V190\"/>";
    let split = corrected(
        crossing,
        &[
            Correction::Split { at: at(20.0, 180.0), sheet: 0 },
            Correction::Split { at: at(20.0, 20.0), sheet: 0 },
            Correction::Drop { at: at(20.0, 188.0), sheet: 0 },
        ],
    );
    assert_eq!(split.pattern.pieces.len(), 1);
}

#[test]
fn a_corner_an_edge_a_name_a_fold_and_the_grain_hold_in_every_size() {
    let list = [vec![Correction::SizesBy(SizesBy::Nesting)], on_an_apron().to_vec()].concat();
    let imported = corrected(SIZES, &list);
    assert!(!says(&imported, "was not done"), "{:?}", imported.findings);
    assert_eq!(imported.pattern.sizes.len(), 3);
    let apron = &imported.pattern.pieces[0];
    assert_eq!(apron.id.as_str(), "apron");
    for (piece, half) in apron.by_size.iter().zip([60.0, 70.0, 80.0]) {
        assert_eq!(piece.edges.len(), 4);
        let hem = piece.edge(&"hem".into()).expect("a hem");
        assert_eq!(hem.role, EdgeRole::Hem);
        assert!((hem.curve.length() - half).abs() < 1e-6, "{}", hem.curve.length());
        assert!(piece.fold().is_some_and(|fold| (fold.curve.start().x - (100.0 - half)).abs() < 1e-6));
        assert_eq!(piece.cuttings[0].how, HowCut::OnFold);
        assert!((piece.grainline.from.x - 60.0).abs() < 1e-12);
    }
    assert!(!says(&imported, "grainline"));
    assert!(imported.pattern.faults().is_empty());
}

#[test]
fn a_line_is_given_to_another_size() {
    let red = "stroke=\"red\"";
    let two = format!("<path d=\"M40 40H160V160H40Z\"/><path {red} d=\"M30 30H170V170H30Z\"/>");
    let mark = "<circle cx=\"100\" cy=\"100\" r=\"3\"/>";
    let holes = |imported: &Imported| -> Vec<usize> {
        imported.pattern.pieces[0].by_size.iter().map(|piece| piece.drill_holes.len()).collect()
    };
    let by = Correction::SizesBy(SizesBy::Colour);
    assert_eq!(
        holes(&corrected(&format!("{two}<g stroke=\"green\">{mark}</g>"), std::slice::from_ref(&by))),
        [1, 1]
    );
    let given = Correction::Size { at: at(103.0, 100.0), size: "size 2".to_owned(), sheet: 0 };
    let imported = corrected(&format!("{two}<g stroke=\"green\">{mark}</g>"), &[by, given]);
    assert_eq!(holes(&imported), [0, 1]);
}

#[test]
fn what_cannot_be_done_is_told_and_changes_nothing() {
    let plain = corrected(SIZES, &[Correction::SizesBy(SizesBy::Nesting)]);
    let list = [
        Correction::SizesBy(SizesBy::Nesting),
        Correction::Drop { at: at(5.0, 5.0), sheet: 0 },
        Correction::Drop { at: at(20.0, 100.0), sheet: 7 },
        Correction::Corner { at: at(100.0, 100.0), sheet: 0 },
        Correction::NameEdge { at: at(180.0, 100.0), name: "edge 1".to_owned(), sheet: 0 },
        Correction::NamePiece { at: at(5.0, 5.0), name: "apron".to_owned(), sheet: 0 },
    ];
    let imported = corrected(SIZES, &list);
    let told = imported.findings.iter().filter(|finding| finding.what.contains("was not done")).count();
    assert_eq!(told, 5, "{:?}", imported.findings);
    assert!(finding(&imported, "no outline is there").at.is_some());
    assert_eq!(imported.pattern, plain.pattern);
}

#[test]
fn records_survive_their_file_and_are_refused_for_another_source() {
    let folder = tempfile::tempdir().unwrap();
    let source = folder.path().join("apron.svg");
    let path = path_beside(&source);
    assert!(path.ends_with("apron.svg.corrections.ron"));
    let corrections = Corrections {
        sources: vec![Source::of("apron", b"one")],
        list: vec![
            Correction::SizesBy(SizesBy::Dash),
            Correction::Mark { at: at(1.5, 2.0), is: LineIs::BalanceLine, sheet: 0 },
            Correction::NameEdge { at: at(3.0, 4.0), name: "hem".to_owned(), sheet: 0 },
        ],
    };
    corrections.write(&path).unwrap();
    assert_eq!(Corrections::read(&path).unwrap(), corrections);
    assert!(corrections.check(&[File { name: "apron", bytes: b"one" }]).is_ok());
    let other = corrections.check(&[File { name: "apron", bytes: b"two" }]).unwrap_err().to_string();
    assert!(other.contains("apron") && other.contains("another file"), "{other}");
    assert!(corrections.check(&[]).unwrap_err().to_string().contains("Name that file too"));
    // SHA-256 of “abc”: FIPS 180-4, appendix of examples.
    assert_eq!(
        Source::of("x", b"abc").sha256,
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
    std::fs::write(&path, "(format: \"chalkbeam corrections\", version: 1, sources: [], corections: [])")
        .unwrap();
    let error = Corrections::read(Path::new(&path)).unwrap_err().to_string();
    assert!(error.contains("corrections.ron:1") && error.contains("did you mean"), "{error}");
}
