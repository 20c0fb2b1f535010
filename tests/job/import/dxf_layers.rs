//! What a DXF file tells by its layers, where words or shapes tell something else.

use super::dxf::{SQUARE, file, polyline, read};
use super::{finding, piece, says};
use chalkbeam::finding::Severity;
use chalkbeam::import::dxf::LayerUse;
use chalkbeam::import::{self, File, Options, Part, SizesBy};
use chalkbeam::pattern::{EdgeRole, HowCut};

/// Words that say fold stand nearer to another edge than to the mirror line.
#[test]
fn a_mirror_line_is_the_only_fold_whatever_words_stand_beside_an_edge() {
    let mirror = "0\nLINE\n8\n6\n10\n0\n20\n0\n11\n0\n21\n80\n";
    let text = |x: f64, y: f64| format!("0\nTEXT\n8\n15\n10\n{x}\n20\n{y}\n40\n3\n1\nFold here\n");
    let bracket =
        "0\nLWPOLYLINE\n8\n8\n90\n4\n70\n0\n10\n96\n20\n10\n10\n90\n20\n10\n10\n90\n20\n70\n10\n96\n20\n70\n";
    for words in [text(95.0, 40.0), text(5.0, 40.0), text(50.0, 70.0), bracket.to_owned()] {
        let drawn = file("4", &format!("{}{mirror}{words}", polyline("1", &SQUARE)));
        let imported = read(drawn.as_bytes()).unwrap();
        let found = piece(&imported, "piece 1");
        let folds: Vec<_> = found.edges.iter().filter(|edge| edge.role == EdgeRole::Fold).collect();
        let [fold] = &folds[..] else { panic!("{words}: {} folds", folds.len()) };
        assert!(fold.curve.start().x.abs().max(fold.curve.end().x.abs()) < 1e-9, "{words}");
        assert_eq!(found.cuttings[0].how, HowCut::OnFold);
    }
}

/// A square on each of the layers, each ten millimetres larger than the one before.
fn nested(layers: &[&str]) -> String {
    let grown = |by: f64| [(-by, -by), (100.0 + by, -by), (100.0 + by, 80.0 + by), (-by, 80.0 + by)];
    let sizes = layers.iter().zip(0_u8..);
    sizes.map(|(layer, size)| polyline(layer, &grown(5.0 * f64::from(size)))).collect()
}

#[test]
fn layers_numbered_for_sizes_are_sizes_though_the_standard_uses_their_numbers() {
    let grain = "0\nLINE\n8\nGRAIN\n10\n50\n20\n20\n11\n50\n21\n60\n";
    for layers in [
        &["8", "10", "12", "14"][..],
        &["10", "12", "14"],
        &["6", "8"],
        &["4", "6", "8", "10", "12"],
        &["1", "2", "3", "4"],
    ] {
        let imported = read(file("4", &(nested(layers) + grain)).as_bytes()).unwrap();
        assert_eq!(imported.readings[0].by, SizesBy::Layer, "{layers:?}");
        let sizes: Vec<_> = imported.pattern.sizes.iter().map(ToString::to_string).collect();
        assert_eq!(sizes, layers);
        let [square] = &imported.pattern.pieces[..] else { panic!("{layers:?}: {:?}", imported.findings) };
        for (piece, width) in square.by_size.iter().zip([100.0, 110.0, 120.0, 130.0, 140.0]) {
            assert!((piece.bounding_box().width() - width).abs() < 1e-9, "{layers:?}");
            assert!(
                piece.inner_lines.is_empty()
                    && (piece.grainline.from.distance(piece.grainline.to) - 40.0).abs() < 1e-9
            );
        }
        assert!(says(&imported, &format!("The layers {} are called like sizes", layers.join(", "))));
    }
}

#[test]
fn layers_of_the_standard_keep_their_use() {
    // A boundary with a sew line, inner lines and a grainline: by its block, and without one.
    let inner = [(10.0, 10.0), (90.0, 10.0), (90.0, 70.0), (10.0, 70.0)];
    let line = |layer: u8, x: u8| format!("0\nLINE\n8\n{layer}\n10\n{x}\n20\n20\n11\n{x}\n21\n60\n");
    let sewn = polyline("1", &SQUARE) + &polyline("14", &inner) + &line(7, 50) + &line(8, 30);
    let block = format!("0\nBLOCK\n2\nA\n10\n0\n20\n0\n{sewn}0\nENDBLK\n");
    let in_block = file("4", "0\nINSERT\n8\n0\n2\nA\n10\n0\n20\n0\n").replace(
        "0\nSECTION\n2\nENT",
        &format!("0\nSECTION\n2\nBLOCKS\n{block}0\nENDSEC\n0\nSECTION\n2\nENT"),
    );
    for text in [file("4", &sewn), in_block] {
        let imported = read(text.as_bytes()).unwrap();
        assert!(!says(&imported, "called like sizes") && imported.pattern.sizes.len() == 1);
        let [sized] = &imported.pattern.pieces[..] else { panic!("{:?}", imported.findings) };
        let found = &sized.by_size[0];
        assert!((found.bounding_box().width() - 80.0).abs() < 1e-9 && found.inner_lines.len() == 1);
        assert!(found.edges.iter().all(|edge| edge.allowance.is_some()));
    }
    // A person who says what a layer holds is followed.
    let mut options = Options::default();
    options.layers.set("8", LayerUse::Holds(Part::Outline));
    let told = import::read(file("4", &nested(&["8", "10", "12"])).as_bytes(), &options).unwrap();
    assert!(!says(&told, "called like sizes") && told.pattern.sizes.len() == 1);
}

#[test]
fn two_units_of_one_of_several_files_are_both_named_with_the_one_that_was_taken() {
    let text = "0\nTEXT\n8\n1\n10\n1\n20\n1\n40\n2\n1\nUnits: ENGLISH\n";
    let square = polyline("1", &SQUARE.map(|(x, y)| (x / 25.4, y / 25.4)));
    let (both, one) = (file("4", &format!("{text}{square}")), file("4", &polyline("1", &SQUARE)));
    let files =
        [("apron-38", &both), ("apron-40", &one)].map(|(name, text)| File { name, bytes: text.as_bytes() });
    let imported = import::read_files(&files, &Options::default(), &import::Unwatched).unwrap();
    let told = finding(&imported, "two units");
    assert_eq!(told.severity, Severity::Stop);
    for words in ["apron-38: ", "“Units: ENGLISH”", "25.4 mm", "$INSUNITS", "1 mm", "the words were followed"]
    {
        assert!(told.what.contains(words), "{words}: {}", told.what);
    }
    let widths: Vec<f64> =
        imported.pattern.pieces[0].by_size.iter().map(|piece| piece.bounding_box().width()).collect();
    assert!(widths.iter().all(|width| (width - 100.0).abs() < 1e-9), "{widths:?}");
}
