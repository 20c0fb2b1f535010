//! Lines become outlines, edges and marks.

use super::{finding, imported, piece, read, says, sheet};
use chalkbeam::finding::Severity;
use chalkbeam::pattern::{EdgeRole, NotchKind};

/// A square of 100 mm, from (20, 40) to (120, 140) on the drawing, y down.
const SQUARE: &str = "<path id=\"outline\" d=\"M20 40H120V140H20Z\"/>";

#[test]
fn an_outline_is_counter_clockwise_with_y_up_whichever_way_it_was_drawn() {
    for d in ["M20 40H120V140H20Z", "M20 40V140H120V40Z"] {
        let imported = imported(&format!("<g id=\"square\"><path d=\"{d}\"/></g>"));
        let square = piece(&imported, "square");
        assert_eq!(square.edges.len(), 4);
        let area: f64 = square
            .edges
            .iter()
            .map(|edge| {
                let (a, b) = (edge.curve.start(), edge.curve.end());
                0.5 * (a.x * b.y - b.x * a.y)
            })
            .sum();
        assert!((area - 10_000.0).abs() < 1e-6, "{area}");
        let bounds = square.bounding_box();
        assert!((bounds.y0 - 60.0).abs() < 1e-9 && (bounds.y1 - 160.0).abs() < 1e-9, "{bounds:?}");
    }
}

#[test]
fn loose_lines_that_nearly_meet_are_joined_and_told() {
    let imported = imported(
        "<g id=\"square\"><path id=\"square-hem\" d=\"M20 140H120\"/><path id=\"square-side\" d=\"M120.2 140V40\"/>
         <path d=\"M20 40L120 40.1\"/><path id=\"square-fold\" d=\"M20 40V140\"/></g>",
    );
    let square = piece(&imported, "square");
    let names: Vec<_> = square.edges.iter().map(|edge| (edge.id.to_string(), edge.role.clone())).collect();
    assert_eq!(names.len(), 4);
    assert!(names.contains(&("hem".to_owned(), EdgeRole::Hem)), "{names:?}");
    assert!(names.contains(&("fold".to_owned(), EdgeRole::Fold)), "{names:?}");
    assert!(names.contains(&("side".to_owned(), EdgeRole::Seam)), "{names:?}");
    let joined = finding(&imported, "joined over a gap");
    assert!(joined.amount_mm.is_some_and(|gap| gap > 0.19 && gap < 0.3), "{joined:?}");
}

#[test]
fn an_outline_with_a_gap_is_no_piece_and_the_place_is_told() {
    let with_gap = "<g id=\"a\"><path d=\"M20 140H120V40H20V139\"/></g>";
    let error = read(&sheet(with_gap)).unwrap_err().to_string();
    assert!(error.contains("no piece was found") && error.contains("meet end to end"), "{error}");
    let beside =
        imported(&format!("<g id=\"b\">{SQUARE}</g><g id=\"a\"><path d=\"M140 140H190V40H140V139\"/></g>"));
    let outside = finding(&beside, "outside every piece");
    assert!(outside.at.is_some() && outside.severity == Severity::Warning);
}

#[test]
fn corners_lie_where_the_outline_turns_by_more_than_twenty_degrees() {
    // A circle drawn as 36 straight lines turns by ten degrees at each: one edge. A hexagon has six.
    let polygon = |count: u32| {
        let points: Vec<_> = (0..count)
            .map(|k| {
                let angle = std::f64::consts::TAU * f64::from(k) / f64::from(count);
                format!("{},{}", 100.0 + 50.0 * angle.cos(), 100.0 + 50.0 * angle.sin())
            })
            .collect();
        format!("<polygon id=\"p\" points=\"{}\"/>", points.join(" "))
    };
    assert_eq!(piece(&imported(&polygon(36)), "p").edges.len(), 1);
    assert_eq!(piece(&imported(&polygon(6)), "p").edges.len(), 6);
    assert_eq!(piece(&imported("<circle id=\"p\" cx=\"100\" cy=\"100\" r=\"50\"/>"), "p").edges.len(), 1);
}

#[test]
fn names_make_marks() {
    let imported = imported(&format!(
        "<g id=\"square\">{SQUARE}
         <line id=\"grain\" x1=\"50\" y1=\"60\" x2=\"50\" y2=\"120\"/>
         <line id=\"notch-hem\" x1=\"90\" y1=\"140\" x2=\"90\" y2=\"134\"/>
         <path id=\"notch-side-double\" d=\"M120 77H115V83H120\"/>
         <circle id=\"drill-hole-tip\" cx=\"70\" cy=\"80\" r=\"1\"/>
         <path id=\"fold-line\" d=\"M20 40V140\"/>
         <path id=\"notch-lost\" d=\"M60 90h4\"/>
         <path id=\"fold-lost\" d=\"M40 60V100\"/>
         <path id=\"pocket\" d=\"M60 100h30v20h-30z\"/>
         <text x=\"30\" y=\"60\" font-size=\"10\">Square, <tspan>size 88</tspan></text></g>"
    ));
    let square = piece(&imported, "square");
    // The lower end of the drawn line came second; the upper end is up.
    assert!(square.grainline.to.y > square.grainline.from.y);
    assert!(says(&imported, "grainline"));
    let kinds: Vec<_> = square.notches.iter().map(|notch| (notch.id.as_str(), notch.kind)).collect();
    assert_eq!(kinds, [("hem", NotchKind::Single), ("side", NotchKind::Double)]);
    let places: Vec<_> = square.notches.iter().map(|notch| square.notch_point(notch).unwrap()).collect();
    assert!(
        places[0].distance((90.0, 60.0).into()) < 1e-6 && places[1].distance((120.0, 120.0).into()) < 1e-6,
        "{places:?}"
    );
    assert_eq!(square.drill_holes[0].name, "tip");
    assert!(square.drill_holes[0].at.distance((70.0, 120.0).into()) < 1e-9);
    assert!(square.edges.iter().any(|edge| edge.role == EdgeRole::Fold));
    let inner: Vec<_> = square.inner_lines.iter().map(|line| line.name.as_str()).collect();
    assert_eq!(inner, ["notch lost", "fold lost", "pocket"]);
    assert_eq!(
        imported.findings.iter().filter(|finding| finding.what.contains("became an inner line")).count(),
        2
    );
    assert_eq!(square.texts[0].words, "Square, size 88");
    assert!((square.texts[0].height_mm - 7.0).abs() < 1e-9);
}

#[test]
fn a_piece_without_grainline_says_so_and_an_arrow_is_one() {
    let without = imported(&format!("<g id=\"square\">{SQUARE}</g>"));
    assert_eq!(finding(&without, "grainline").severity, Severity::Warning);
    let arrow = imported(&format!(
        "<defs><marker id=\"m\"/></defs><g id=\"square\">{SQUARE}
         <path marker-end=\"url(#m)\" d=\"M30 100H90\"/></g>"
    ));
    assert!(!says(&arrow, "grainline"));
    let grain = piece(&arrow, "square").grainline;
    assert!((grain.direction().x - 1.0).abs() < 1e-12);
}

#[test]
fn hidden_clipped_and_foreign_parts_are_told() {
    let imported = imported(&format!(
        "<style>.off {{ display: none }} g > path {{ fill: none }}</style>
         <g id=\"square\">{SQUARE}<g class=\"off\"><path d=\"M0 0H90V90H0Z\"/></g>
         <path visibility=\"hidden\" d=\"M5 5H6\"/><path style=\"stroke:none;fill:none\" d=\"M5 5H6\"/>
         <path clip-path=\"url(#c)\" d=\"M30 60H50\"/><image href=\"x.png\"/></g>"
    ));
    assert_eq!(imported.pattern.pieces.len(), 1);
    assert!(finding(&imported, "hidden part").what.starts_with("3 "));
    for words in ["clip(s)", "picture(s)", "rule(s) of style"] {
        assert!(says(&imported, words), "{words}");
    }
}

#[test]
fn a_frame_is_no_piece() {
    let imported = imported(
        "<rect width=\"200\" height=\"200\"/><g id=\"a\"><path d=\"M20 40H90V140H20Z\"/></g>
         <g id=\"b\"><path d=\"M110 40H190V140H110Z\"/></g>",
    );
    let names: Vec<_> = imported.pattern.pieces.iter().map(|piece| piece.id.to_string()).collect();
    assert_eq!(names, ["a", "b"]);
    assert!(says(&imported, "frame"));
}

#[test]
fn pieces_side_by_side_in_one_group_are_told_apart_and_keep_what_lies_in_them() {
    let imported = imported(
        "<path id=\"left\" d=\"M20 40H90V140H20Z\"/><path id=\"right\" d=\"M110 40H190V140H110Z\"/>
         <path id=\"in-right\" d=\"M120 60H150\"/><path d=\"M5 5H15\"/>",
    );
    assert_eq!(piece(&imported, "right").inner_lines[0].name, "in right");
    assert!(piece(&imported, "left").inner_lines.is_empty());
    assert!(finding(&imported, "outside every piece").what.starts_with("1 "));
}

#[test]
fn a_group_is_called_by_its_label_and_not_by_an_id_that_a_program_made_up() {
    let named = |head: &str| {
        let imported = imported(&format!("<g xmlns:x=\"urn:x\" {head}>{SQUARE}</g>"));
        imported.pattern.pieces[0].id.to_string()
    };
    assert_eq!(named("id=\"g1234\" x:label=\"Left  front\""), "Left front");
    assert_eq!(named("id=\"layer1\" aria-label=\"Sleeve\""), "Sleeve");
    assert_eq!(named("id=\"left_front\""), "left front");
    assert_eq!(named("id=\"g1234\""), "outline");
    let titled = imported(&format!("<g id=\"g7\"><title>Yoke</title>{SQUARE}</g>"));
    assert_eq!(titled.pattern.pieces[0].id.as_str(), "Yoke");
}

#[test]
fn letters_that_are_drawn_as_numbered_symbols_are_no_sizes() {
    // As cairo writes words in SVG, and all that draws by cairo.
    let letter = |number: u32| format!("<symbol id=\"glyph0-{number}\"><path d=\"M0 0h3v5h-3Z\"/></symbol>");
    let shown = |number: u32| format!("<use href=\"#glyph0-{number}\" x=\"{}\" y=\"80\"/>", 30 + 4 * number);
    let letters: String = (10..16).map(letter).collect();
    let words: String = (10..16).map(shown).collect();
    let imported = imported(&format!("<defs>{letters}</defs><g id=\"front\">{SQUARE}{words}</g>"));
    assert_eq!(
        (imported.pattern.sizes.len(), imported.pattern.pieces.len()),
        (1, 1),
        "{:?}",
        imported.findings
    );
}

#[test]
fn the_wrapping_of_a_single_shape_is_no_group_unless_it_has_a_name() {
    let wrapped = |shape: &str, inside: &str| {
        format!("<g class=\"com.sun.star.drawing.{shape}\"><g id=\"id3\">{inside}</g></g>")
    };
    let sides = ["M20 40H120", "M120 40V140", "M120 140H20", "M20 140V40", "M20 90h6"];
    let sides: String = sides.map(|d| wrapped("LineShape", &format!("<path d=\"{d}\"/>"))).concat();
    let one = imported(&sides);
    let square = &one.pattern.pieces[0].by_size[0];
    assert_eq!((square.edges.len(), square.notches.len()), (4, 1), "{:?}", one.findings);
    let called = wrapped("ClosedBezierShape", &format!("<title>Yoke</title>{SQUARE}"));
    assert_eq!(imported(&called).pattern.pieces[0].id.as_str(), "Yoke");
}

#[test]
fn a_line_that_touches_the_outline_splits_nothing() {
    // Four lines, a line across from corner to corner, and one that hangs loose at a corner.
    let imported = imported(
        "<g id=\"square\"><path d=\"M20 40H120\"/><path d=\"M120 40V140\"/><path d=\"M120 140H20\"/><path d=\"M20 140V40\"/>
         <path id=\"across\" d=\"M20 40L120 140\"/><path id=\"loose\" d=\"M120 40L90 90\"/></g>",
    );
    let square = piece(&imported, "square");
    assert_eq!(square.edges.len(), 4);
    assert_eq!(square.inner_lines.len(), 2);
    assert!(says(&imported, "More than two lines meet"));
}

#[test]
fn a_line_that_runs_evenly_inside_the_outline_is_its_seam_line() {
    let small = imported(&format!(
        "<g id=\"square\">{SQUARE}<rect stroke-dasharray=\"3\" x=\"40\" y=\"60\" width=\"50\" height=\"60\"/></g>"
    ));
    assert!(!says(&small, "seam line is"), "a third of the piece is a pocket");
    assert_eq!(piece(&small, "square").inner_lines.len(), 1);
    let sewn = imported(&format!(
        "<g id=\"square\">{SQUARE}<rect stroke-dasharray=\"3\" x=\"25\" y=\"45\" width=\"90\" height=\"75\"/>
         <path d=\"M70 140v-6\"/></g>"
    ));
    let square = piece(&sewn, "square");
    let mut widths: Vec<f64> =
        square.edges.iter().map(|edge| edge.allowance.as_ref().map_or(0.0, |length| length.mm())).collect();
    widths.sort_by(f64::total_cmp);
    // Five on three sides, twenty at the hem: 140 less 120.
    assert_eq!(widths, [5.0, 5.0, 5.0, 20.0]);
    assert!((square.bounding_box().width() - 90.0).abs() < 1e-9);
    assert!(sewn.proposals.iter().any(|one| one.what.contains("seam line") && one.confidence >= 0.8));
    assert!(square.inner_lines.is_empty());
    // The tick on the cutting line is a notch on the seam line.
    let [notch] = &square.notches[..] else { panic!("{:?}", square.notches) };
    assert!(square.notch_point(notch).unwrap().distance((70.0, 80.0).into()) < 1e-6);
}

#[test]
fn an_outline_of_lines_that_cross_is_taken_between_the_crossings() {
    let piece_of = |contents: &str| {
        let imported = imported(&format!("<g fill=\"none\" stroke=\"black\">{contents}</g>"));
        assert_eq!(imported.pattern.pieces.len(), 1, "{contents}: {:?}", imported.findings);
        let bounds = imported.pattern.pieces[0].by_size[0].bounding_box();
        assert!(says(&imported, "Lines cross here instead of meeting"), "{contents}");
        let sure = imported.proposals.iter().find(|one| one.what.contains("edges")).unwrap();
        assert!(sure.what.contains("4 edges") && sure.confidence < 0.7, "{sure:?}");
        for (found, expected) in
            [(bounds.x0, 20.0), (bounds.y0, 60.0), (bounds.x1, 120.0), (bounds.y1, 160.0)]
        {
            assert!((found - expected).abs() < 1e-6, "{contents}: {bounds:?}");
        }
    };
    // Four lines that overshoot at each corner; three that meet and one that crosses; one line that crosses itself.
    piece_of("<path d=\"M10 40H130M20 30V150M10 140H130M120 30V150\"/>");
    piece_of("<path d=\"M20 35V140H120V40H15\"/>");
    piece_of("<path d=\"M20 35V140\"/><path d=\"M20 140H120V40\"/><path d=\"M125 40H15\"/>");
    // What crosses inside of a piece is marks on it.
    let inside = imported(&format!(
        "<g fill=\"none\" stroke=\"black\">{SQUARE}<path d=\"M40 60H100M40 120H100M50 50V130M90 50V130\"/></g>"
    ));
    assert!(!says(&inside, "Lines cross") && inside.pattern.pieces.len() == 1);
}

#[test]
fn a_stretch_that_two_lines_share_is_taken_once() {
    for contents in [
        // Two halves that share the whole hem, and two sides that share a part in the middle.
        "<path d=\"M20 140H120V40\"/><path d=\"M120 40H20V140H120\"/>",
        "<path d=\"M120 90V40H20V140H60\"/><path d=\"M30 140H120V60\"/>",
        "<path d=\"M20 140H90\"/><path d=\"M60 140H120\"/><path d=\"M120 140V40H20V140\"/>",
    ] {
        let imported = imported(&format!("<g fill=\"none\" stroke=\"black\">{contents}</g>"));
        assert_eq!(imported.pattern.pieces.len(), 1, "{contents}");
        let piece = &imported.pattern.pieces[0].by_size[0];
        let length: f64 = piece.edges.iter().map(|edge| edge.curve.length()).sum();
        assert!(
            (length - 400.0).abs() < 1e-6 && piece.edges.len() == 4,
            "{contents}: {length}, {}",
            piece.edges.len()
        );
    }
}
