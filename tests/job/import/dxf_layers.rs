//! What a DXF file tells by its layers, where words or shapes tell something else.

use super::dxf::{SQUARE, file, polyline, read};
use super::piece;
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
