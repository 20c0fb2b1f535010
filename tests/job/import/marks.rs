//! Marks that nothing names are told by their shape, as handbooks draw them: ticks, triangles, diamonds, arrows, brackets,
//! darts, pairs of lines, circles and crosses (common practice).

use super::{imported, piece, says};
use chalkbeam::import::Imported;
use chalkbeam::pattern::{ClothKind, EdgeRole, HowCut, NotchKind, Piece};

/// An outline of 160 mm by 160 mm, from (20, 20) to (180, 180) on the drawing, y down.
const OUTLINE: &str = "<path d=\"M20 20H180V180H20Z\"/>";

fn with(marks: &str) -> Imported {
    imported(&format!("<g fill=\"none\" stroke=\"black\">{OUTLINE}{marks}</g>"))
}

fn only(imported: &Imported) -> &Piece {
    assert_eq!(imported.pattern.pieces.len(), 1);
    &imported.pattern.pieces[0].by_size[0]
}

/// Where each notch lies, y up, and whether it is double.
fn notches(piece: &Piece) -> Vec<(f64, f64, bool)> {
    let mut places: Vec<_> = piece
        .notches
        .iter()
        .map(|notch| {
            let at = piece.notch_point(notch).unwrap();
            ((at.x * 10.0).round() / 10.0, (at.y * 10.0).round() / 10.0, notch.kind == NotchKind::Double)
        })
        .collect();
    places.sort_by(|a, b| a.partial_cmp(b).unwrap());
    places
}

#[test]
fn ticks_triangles_and_diamonds_are_notches_and_two_side_by_side_are_double() {
    let imported = with(
        // A tick inward, one across, a triangle that stands on the outline, a diamond across it, two ticks, two
        // triangles drawn as one line.
        "<path d=\"M20 60h6\"/><path d=\"M17 100h6\"/><path d=\"M60 180l4 -7l4 7\"/>
         <path d=\"M120 174l5 6l-5 6l-5 -6Z\"/><path d=\"M180 60h-6M180 68h-6\"/>
         <path d=\"M180 140l-7 4l7 4l-7 4l7 4\"/>",
    );
    let piece = only(&imported);
    assert_eq!(
        notches(piece),
        [
            (20.0, 100.0, false),
            (20.0, 140.0, false),
            (64.0, 20.0, false),
            (120.0, 20.0, false),
            (180.0, 52.0, true),
            (180.0, 136.0, true),
        ]
    );
    assert!(piece.inner_lines.is_empty(), "{:?}", piece.inner_lines);
    assert_eq!(piece.edges.len(), 4);
    assert!(imported.proposals.iter().any(|one| one.what == "6 notches, 2 of them double"));
}

#[test]
fn an_arrow_is_the_grainline_whichever_way_its_heads_are_drawn() {
    for (heads, up) in [
        // Both heads as one line each, one head of two lines, a filled head.
        ("<path d=\"M97 46L100 40L103 46M97 134L100 140L103 134\"/>", None),
        ("<path d=\"M100 40L97 46\"/><path d=\"M100 40L103 46\"/>", Some(true)),
        ("<path d=\"M100 140l-3 -7h6Z\" fill=\"black\"/>", Some(false)),
    ] {
        let imported = with(&format!("<path d=\"M100 40V140\"/>{heads}"));
        let piece = only(&imported);
        let grain = piece.grainline;
        assert!((grain.direction().x).abs() < 1e-12 && (grain.from.distance(grain.to) - 100.0).abs() < 1e-9);
        assert!(piece.inner_lines.is_empty(), "{:?}", piece.inner_lines);
        match up {
            None => assert!(says(&imported, "does not tell which end is up")),
            Some(up) => assert_eq!(grain.to.y > grain.from.y, up),
        }
    }
    // A line without heads is a line.
    let plain = with("<path d=\"M100 40V140\"/>");
    assert!(says(&plain, "no grainline") && only(&plain).inner_lines.len() == 1);
}

#[test]
fn a_bracket_points_to_the_fold() {
    let imported = with("<path d=\"M24 50H34V150H24\"/>");
    let piece = only(&imported);
    let fold = piece.fold().expect("a fold");
    assert!((fold.curve.start().x - 20.0).abs() < 1e-9 && (fold.curve.end().x - 20.0).abs() < 1e-9);
    assert_eq!(piece.cuttings[0].how, HowCut::OnFold);
    // A small one that stands on the outline is a square notch, even where words of the fold stand by.
    for words in ["", "<text x=\"38\" y=\"96\" font-size=\"4\">place on fold</text>"] {
        let square = with(&format!("<path d=\"M180 94h-6v9h6\"/><path d=\"M20 94h6v9h-6\"/>{words}"));
        let piece = only(&square);
        assert_eq!(notches(piece), [(20.0, 101.5, false), (180.0, 101.5, false)], "{words}");
        let folds = piece.edges.iter().filter(|edge| edge.role == EdgeRole::Fold).count();
        assert_eq!(folds, usize::from(!words.is_empty()), "{words}");
    }
    // One that points nowhere is a line.
    let away = with("<path d=\"M100 50H90V150H100\"/>");
    assert!(only(&away).fold().is_none() && only(&away).inner_lines.len() == 1);
}

/// However it is drawn and wherever its name stands, a bracket is the fold of the edge that it points to.
#[test]
fn a_bracket_that_is_called_a_fold_is_the_fold_of_the_nearest_edge_along_it() {
    let words = "<text x=\"38\" y=\"100\" font-size=\"4\">place on fold</text>";
    for bracket in [
        // Called so by its own name, and by its group's.
        "<path id=\"fold\" d=\"M24 50H34V150H24\"/>".to_owned(),
        "<g id=\"fold\"><path d=\"M24 50H34V150H24\"/></g>".to_owned(),
        // In three lines, in two, with hooks askew, with arms that touch the edge, with heads, round at its corners.
        format!("<path d=\"M34 50V150\"/><path d=\"M34 50H24\"/><path d=\"M24 150H34\"/>{words}"),
        format!("<path d=\"M24 50H34V150\"/><path d=\"M24 150H34\"/>{words}"),
        format!("<path d=\"M25 44L34 50V150L25 156\"/>{words}"),
        format!("<path d=\"M34 50V150M34 50H20M34 150H20\"/>{words}"),
        format!("<path d=\"M34 50V150M34 50H24M34 150H24M27 48L24 50L27 52M27 148L24 150L27 152\"/>{words}"),
        format!("<path d=\"M24 50h6a4 4 0 0 1 4 4v92a4 4 0 0 1 -4 4h-6\"/>{words}"),
        format!("<path d=\"M27 48L24 50L27 52M24 50H34V150H24M27 148L24 150L27 152\"/>{words}"),
    ] {
        let imported = with(&bracket);
        let piece = only(&imported);
        let folds: Vec<_> = piece.edges.iter().filter(|edge| edge.role == EdgeRole::Fold).collect();
        let [fold] = &folds[..] else { panic!("{bracket}: {} folds", folds.len()) };
        assert!((fold.curve.start().x - 20.0).abs() < 1e-9, "{bracket}");
        assert!((fold.curve.end().x - 20.0).abs() < 1e-9, "{bracket}");
        assert!(piece.inner_lines.is_empty() && piece.notches.is_empty(), "{bracket}");
        assert!(!says(&imported, "fold line"), "{bracket}: {:?}", imported.findings);
        assert_eq!(piece.cuttings[0].how, HowCut::OnFold, "{bracket}");
        assert_eq!(imported.proposals.iter().filter(|one| one.what.contains("the fold")).count(), 1);
    }
    // A rectangle beside such words is a pocket, and so are three sides of one without words; the edge beside the
    // words lies on the fold all the same.
    let pocket = "<path d=\"M34 50V150\"/><path d=\"M34 50H24\"/><path d=\"M24 150H34\"/>";
    assert!(only(&with(pocket)).fold().is_none() && only(&with(pocket)).inner_lines.len() == 3);
    let whole = with(&format!("{pocket}<path d=\"M24 50V150\"/>{words}"));
    assert_eq!(only(&whole).inner_lines.len(), 4);
}

#[test]
fn an_edge_drawn_as_a_curve_that_is_straight_can_be_the_fold() {
    let drawn = |edge: &str| {
        imported(&format!(
            "<g fill=\"none\" stroke=\"black\"><path d=\"M180 20V180H20{edge}Z\"/><path d=\"M24 50H34V150H24\"/></g>"
        ))
    };
    for straight in ["C20 130 20 70 20 20", "V90V20"] {
        assert!(only(&drawn(straight)).fold().is_some(), "{straight}");
    }
    // One that bends by a tenth of a millimetre is none, and the piece stays.
    assert!(only(&drawn("C20.14 130 20.14 70 20 20")).fold().is_none());
}

#[test]
fn words_name_a_piece_and_say_how_it_is_cut() {
    let words = |lines: &[(&str, f64)]| -> String {
        let line = |(at, (text, size)): (usize, &(&str, f64))| {
            format!("<text x=\"90\" y=\"{}\" font-size=\"{size}\">{text}</text>", 80 + 15 * at)
        };
        lines.iter().enumerate().map(line).collect()
    };
    let front = with(&words(&[("2 FRONT", 12.0), ("Cut 2 fabric, cut 2 lining", 6.0)]));
    let piece = piece(&front, "FRONT");
    assert_eq!(piece.number, 2);
    let cut: Vec<_> = piece.cuttings.iter().map(|cut| (cut.cloth, cut.count, cut.how)).collect();
    assert_eq!(cut, [(ClothKind::Cloth, 2, HowCut::Single), (ClothKind::Lining, 2, HowCut::Single)]);
    assert!(!says(&front, "how often a piece is cut"));
    // On the fold, and nothing tells which edge: nothing is guessed, and the cutting waits.
    let lost = with(&words(&[("Back", 12.0), ("Cut 1 on fold", 6.0)]));
    assert!(super::finding(&lost, "which edge lies on it").severity == chalkbeam::finding::Severity::Stop);
    assert_eq!(only(&lost).cuttings[0].how, HowCut::Single);
    // Beside the edge they tell it.
    let beside = with("<text x=\"26\" y=\"100\" font-size=\"5\">cut 1 on fold</text>");
    assert!(only(&beside).fold().is_some_and(|fold| (fold.curve.start().x - 20.0).abs() < 1e-9));
}

#[test]
fn a_left_and_a_right_stay_a_pair_though_an_edge_is_a_fold() {
    let pair = with(
        "<path d=\"M24 50H34V150H24\"/><text x=\"60\" y=\"80\" font-size=\"9\">Cuff</text>
         <text x=\"60\" y=\"95\" font-size=\"5\">cut 2, a mirrored pair</text>",
    );
    let cuff = piece(&pair, "Cuff");
    assert!(cuff.fold().is_some());
    assert_eq!(cuff.cuttings[0].how, HowCut::MirroredPair);
    assert!(says(&pair, "cut more than once"));
}

#[test]
fn two_legs_that_meet_inside_are_a_dart_with_its_mouth_as_an_edge() {
    for legs in
        ["<path d=\"M80 180L95 100L110 180\"/>", "<path d=\"M80 180L95 100\"/><path d=\"M110 180L95 100\"/>"]
    {
        let imported = with(legs);
        let piece = only(&imported);
        let [dart] = &piece.darts[..] else { panic!("{:?}", piece.darts) };
        assert!(dart.apex.distance((95.0, 100.0).into()) < 1e-9);
        let mouth = piece.dart_mouth(&dart.id).unwrap();
        assert!((mouth.curve.length() - 30.0).abs() < 1e-9);
        // The hem is two edges now, on either side of the mouth.
        assert_eq!(piece.edges.len(), 6);
        let along_hem =
            piece.edges.iter().filter(|edge| edge.curve.start().y < 21.0 && edge.curve.end().y < 21.0);
        assert_eq!(along_hem.count(), 3);
        assert!(piece.inner_lines.is_empty());
    }
}

#[test]
fn a_pair_of_lines_across_is_a_line_to_lengthen_or_shorten_at() {
    let imported = with("<path d=\"M20 100H180\"/><path d=\"M20 106H180\"/>");
    let [balance] = &only(&imported).balance_lines[..] else { panic!("none") };
    assert!((balance.line.p0.y - 97.0).abs() < 1e-9 && (balance.line.p1.y - 97.0).abs() < 1e-9);
    let worded = with(
        "<path d=\"M20 100H180\"/><text x=\"40\" y=\"98\" font-size=\"5\">Lengthen or shorten here</text>",
    );
    assert_eq!(only(&worded).balance_lines.len(), 1);
    // One line alone says nothing.
    let plain = with("<path d=\"M20 100H180\"/>");
    assert!(only(&plain).balance_lines.is_empty() && only(&plain).inner_lines.len() == 1);
}

#[test]
fn small_circles_and_crosses_are_drill_holes() {
    let imported = with(
        "<circle cx=\"60\" cy=\"60\" r=\"2\"/><path d=\"M96 100h8M100 96v8\"/><circle cx=\"120\" cy=\"120\" r=\"20\"/>",
    );
    let piece = only(&imported);
    let mut holes: Vec<_> =
        piece.drill_holes.iter().map(|hole| (hole.at.x.round(), hole.at.y.round())).collect();
    holes.sort_by(|a, b| a.partial_cmp(b).unwrap());
    assert_eq!(holes, [(60.0, 140.0), (100.0, 100.0)]);
    assert_eq!(piece.inner_lines.len(), 1, "a large circle is a line");
}

#[test]
fn edges_as_long_with_the_same_notches_are_proposed_as_mates() {
    // Two sides of 100 mm with a notch 30 mm from the top, and two of 100 mm without one.
    let imported = imported(
        "<g fill=\"none\" stroke=\"black\"><g id=\"a\"><path d=\"M10 20H70L90 120H10Z\"/><path d=\"M79 62l-6 1.2\"/></g>
         <g id=\"b\"><path d=\"M110 20H160V120H90.5Z\"/><path d=\"M101.75 62l6 1.2\"/></g></g>",
    );
    let [mates] = &imported.mates.iter().filter(|mates| mates.notches > 0).collect::<Vec<_>>()[..] else {
        panic!("{:?}", imported.mates)
    };
    assert!(mates.taken && mates.confidence >= 0.75, "{mates:?}");
    assert_eq!(imported.pattern.seams.len(), 1);
    assert!(imported.pattern.faults().is_empty());
    let edge = |run: &chalkbeam::pattern::Run| {
        piece(&imported, run.piece.as_str()).edge(&run.edges[0]).unwrap().clone()
    };
    // Travelled the same way when sewn: both from their upper ends, or both from their lower ones.
    let starts = mates.sides.each_ref().map(|run| {
        let edge = edge(run);
        if edge.from == run.from { edge.curve.start().y } else { edge.curve.end().y }
    });
    assert!((starts[0] - starts[1]).abs() < 1.0, "{starts:?}");
    assert!(matches!(edge(&mates.sides[0]).role, EdgeRole::Seam));
}

#[test]
fn hundreds_of_edges_as_long_as_each_other_are_nobodys_mates_and_are_compared_to_an_end() {
    // 400 squares of 40 mm side by side: 1600 edges, each as like all the others. Held pair against pair they would
    // be compared for hours.
    let squares: String =
        (0..400).map(|k| format!("<path d=\"M{} {}h40v40h-40z\"/>", 50 * (k % 20), 50 * (k / 20))).collect();
    let imported = imported(&format!("<g fill=\"none\" stroke=\"black\">{squares}</g>"));
    assert_eq!(imported.pattern.pieces.len(), 400);
    assert!(imported.mates.is_empty() && imported.pattern.seams.is_empty(), "{:?}", imported.mates.first());
}
