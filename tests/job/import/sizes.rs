//! Sizes are told apart by layer, dash, colour, words, or as outlines that lie one in the other; a person may choose.
//!
//! The drawings show what bought patterns show (common practice): every size as a line of its own rhythm or colour,
//! a legend, a fold that all sizes share and that is drawn once.

use super::{finding, read_with, says, sheet};
use chalkbeam::finding::Severity;
use chalkbeam::import::{Imported, Options, SizesBy};

/// Hem, side and top of a half piece whose left edge is the fold at x = 20, open at the fold; in three sizes.
fn open_half(size: u32) -> String {
    let out = 8.0 * f64::from(size);
    format!("M20 {} H{} V{} H20", 150.0 + out, 100.0 + out, 50.0 - out)
}

/// Another piece, closed, beside it.
fn closed_piece(size: u32) -> String {
    let out = 3.0 * f64::from(size);
    format!("M{} {} H{} V{} Z", 140.0 - out, 150.0 + out, 180.0 + out, 90.0 - out)
}

const FOLD: &str = "<path id=\"fold\" d=\"M20 20 V180\"/>";

/// Areas of the two pieces in each size.
fn areas(size: u32) -> (f64, f64) {
    let (a, b) = (8.0 * f64::from(size), 3.0 * f64::from(size));
    ((80.0 + a) * (100.0 + 2.0 * a), (40.0 + 2.0 * b) * (60.0 + b + b) * 0.5)
}

fn options(by: Option<SizesBy>) -> Options {
    Options { sizes_by: by, ..Options::default() }
}

/// Both pieces in the three sizes, and each corner, edge and size followed through.
fn assert_both_pieces(imported: &Imported, sizes: [&str; 3], by: SizesBy) {
    let found: Vec<_> = imported.pattern.sizes.iter().map(ToString::to_string).collect();
    assert_eq!(found, sizes, "{:?}", imported.findings);
    assert_eq!(imported.readings[0].by, by);
    assert_eq!(imported.pattern.pieces.len(), 2, "{:?}", imported.findings);
    for sized in &imported.pattern.pieces {
        for (piece, rank) in sized.by_size.iter().zip(0_u32..) {
            let (half, triangle) = areas(rank);
            let bounds = piece.bounding_box();
            let expected = if bounds.x0 < 50.0 { half } else { triangle };
            let area = kurbo::Shape::area(&piece.outline());
            assert!(
                (area - expected).abs() < 0.5,
                "{} in {}: {area} for {expected}",
                piece.id,
                sizes[rank as usize]
            );
        }
    }
    assert!(imported.pattern.faults().is_empty());
}

#[test]
fn sizes_by_layer_take_the_lines_of_the_common_layer() {
    let layers: String = [("38", 0), ("40", 1), ("42", 2)]
        .map(|(name, size)| {
            format!(
                "<g id=\"l{name}\" aria-label=\"{name}\"><path d=\"{}\"/><path d=\"{}\"/></g>",
                open_half(size),
                closed_piece(size)
            )
        })
        .concat();
    let imported = read_with(
        &sheet(&format!("<g id=\"common\">{FOLD}<rect id=\"pocket\" x=\"40\" y=\"80\" width=\"30\" height=\"30\"/></g>{layers}")),
        &options(None),
    )
    .unwrap();
    assert_both_pieces(&imported, ["38", "40", "42"], SizesBy::Layer);
    // What all share is on the piece in each size.
    let half =
        imported.pattern.pieces.iter().find(|sized| sized.by_size[0].bounding_box().x0 < 50.0).unwrap();
    assert!(half.by_size.iter().all(|piece| piece.inner_lines.iter().any(|line| line.name == "pocket")));
    assert!(half.by_size.iter().all(|piece| piece.fold().is_some()), "the common fold");
}

/// One group, a look a size, and the fold in a look of its own.
fn in_looks(look: impl Fn(u32) -> String, words: &str) -> String {
    let lines: String = (0..3)
        .map(|size| {
            let look = look(size);
            format!("<path {look} d=\"{}\"/><path {look} d=\"{}\"/>", open_half(size), closed_piece(size))
        })
        .collect();
    sheet(&format!("<g fill=\"none\" stroke=\"black\">{FOLD}{lines}{words}</g>"))
}

#[test]
fn sizes_by_dash_are_named_by_the_legend() {
    let dash = |size: u32| format!("stroke-dasharray=\"{} 2\"", 3 + 4 * size);
    let legend: String = (0..3)
        .map(|size| {
            let y = 10 + 6 * size;
            format!(
                "<path {} d=\"M120 {y}H150\"/><text x=\"152\" y=\"{}\" font-size=\"4\">size {}</text>",
                dash(size),
                y + 1,
                36 + 2 * size
            )
        })
        .collect();
    let imported = read_with(&in_looks(dash, &legend), &options(None)).unwrap();
    assert_both_pieces(&imported, ["36", "38", "40"], SizesBy::Dash);
    assert!(imported.readings[0].confidence > 0.8 && imported.readings[0].reason.contains("name the sizes"));
    let without = read_with(&in_looks(dash, ""), &options(None)).unwrap();
    assert_both_pieces(&without, ["size 1", "size 2", "size 3"], SizesBy::Dash);
    let told = finding(&without, "told apart by dash");
    assert_eq!(told.severity, Severity::Warning);
    assert!(without.readings[0].confidence < imported.readings[0].confidence);
}

#[test]
fn sizes_by_colour() {
    let colour = |size: u32| format!("stroke=\"{}\"", ["red", "green", "blue"][size as usize]);
    let words = "<text x=\"60\" y=\"190\" font-size=\"4\">Sizes 8, 10, 12</text>";
    let imported = read_with(&in_looks(colour, words), &options(None)).unwrap();
    assert_both_pieces(&imported, ["8", "10", "12"], SizesBy::Colour);
}

#[test]
fn sizes_by_words_beside_the_lines_and_by_nesting_without_any() {
    let words: String = (0..3)
        .map(|size| {
            // On the hem of each size.
            format!(
                "<text x=\"60\" y=\"{}\" font-size=\"3\">{}</text>",
                149 + 8 * size,
                ["S", "M", "L"][size as usize]
            )
        })
        .collect();
    let imported = read_with(&in_looks(|_| String::new(), &words), &options(None)).unwrap();
    assert_both_pieces(&imported, ["S", "M", "L"], SizesBy::Text);
    let without = read_with(&in_looks(|_| String::new(), ""), &options(None)).unwrap();
    assert_both_pieces(&without, ["size 1", "size 2", "size 3"], SizesBy::Nesting);
}

#[test]
fn what_is_a_notch_of_one_size_is_not_told_to_lie_outside_of_the_others() {
    // A tick from the side of each size of a piece outwards, 6 mm long, and the sizes in words at the hems.
    let marks: String = (0..3)
        .map(|size| {
            let out = 10 * size;
            let (name, hem, side) = (["S", "M", "L"][size as usize], 140 + out, 60 - out);
            format!(
                "<path d=\"M{} {hem}H{}V{}H{side}Z\"/><path d=\"M{side} 95H{}\"/><text x=\"90\" y=\"{hem}\" font-size=\"3\">{name}</text>",
                side,
                140 + out,
                60 - out,
                side - 6
            )
        })
        .collect();
    // In no group: there all of it would be on the piece.
    let drawing = |more: &str| sheet(&format!("{marks}{more}"));
    let imported = read_with(&drawing(""), &options(None)).unwrap();
    assert_eq!(imported.readings[0].by, SizesBy::Text);
    let [sized] = &imported.pattern.pieces[..] else { panic!("{:?}", imported.findings) };
    assert_eq!(sized.by_size.len(), 3);
    assert!(sized.by_size.iter().all(|piece| piece.notches.len() == 1), "{:?}", imported.findings);
    assert!(!says(&imported, "outside every piece"), "{:?}", imported.findings);
    // What is nobody's is told once, and no more than that.
    let imported = read_with(&drawing("<path d=\"M5 190H15\"/>"), &options(None)).unwrap();
    let told: Vec<_> =
        imported.findings.iter().filter(|finding| finding.what.contains("outside every piece")).collect();
    assert!(matches!(told[..], [one] if one.what.starts_with("1 line(s)")), "{told:?}");
}

#[test]
fn a_person_may_choose_another_reading() {
    // Two layers called like sizes, which the colours contradict.
    let colour = |size: u32| format!("stroke=\"{}\"", ["red", "green", "blue"][size as usize]);
    let drawing = in_looks(colour, "");
    let nested = read_with(&drawing, &options(Some(SizesBy::Nesting))).unwrap();
    assert_both_pieces(&nested, ["size 1", "size 2", "size 3"], SizesBy::Nesting);
    let error = read_with(&drawing, &options(Some(SizesBy::Dash))).unwrap_err().to_string();
    assert!(error.contains("no sizes by dash"), "{error}");
    let one = read_with(&drawing, &options(Some(SizesBy::Nothing))).unwrap();
    assert_eq!(one.pattern.sizes.len(), 1);
    let free = read_with(&drawing, &options(None)).unwrap();
    assert!(says(&free, "may also be told apart by nesting"), "{:?}", free.findings);
}

#[test]
fn a_seam_line_in_its_cutting_line_is_no_second_size() {
    let drawing = sheet(
        "<g fill=\"none\" stroke=\"black\"><path d=\"M20 40H120V140H20Z\"/>
         <path stroke-dasharray=\"4\" d=\"M30 50H110V130H30Z\"/></g>",
    );
    let imported = read_with(&drawing, &options(None)).unwrap();
    assert_eq!(imported.pattern.sizes.len(), 1);
    assert!(imported.readings.is_empty(), "{:?}", imported.readings);
}
