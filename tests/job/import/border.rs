//! The border that is printed round the pieces of a sheet is no piece, and a rectangular piece with pockets no border.

use super::{read, says};
use chalkbeam::import::Imported;

const LEFT_OUT: &str = "taken for a frame";

/// A piece of 100 mm by 160 mm with a slanting side, its lower left corner at x.
fn outline(x: u32) -> String {
    format!("<path d=\"M{x} 180V60L{} 20H{}V180Z\"/>", x + 60, x + 100)
}

fn grainline(x: u32) -> String {
    format!("<path d=\"M{x} 160V80M{} 86L{x} 80L{} 86\"/>", x - 3, x + 3)
}

/// A sheet of 500 mm by 500 mm that nothing names.
fn sheet(content: &str) -> Imported {
    let text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"500mm\" height=\"500mm\" viewBox=\"0 0 500 500\">
         <g fill=\"none\" stroke=\"black\">{content}</g></svg>"
    );
    read(&text).unwrap_or_else(|error| panic!("{error}"))
}

/// Width and height of each piece, in whole millimetres.
fn extents(imported: &Imported) -> Vec<(f64, f64)> {
    let boxes = imported.pattern.pieces.iter().map(|piece| piece.by_size[0].bounding_box());
    boxes.map(|bounds| (bounds.width().round(), bounds.height().round())).collect()
}

const ONE: (f64, f64) = (100.0, 160.0);

const ALONG_THE_SHEET: &str = "<rect x=\"8\" y=\"8\" width=\"484\" height=\"484\"/>";

#[test]
fn a_border_round_pieces_with_grainlines_is_left_out_and_told() {
    let pieces = [30, 160].map(|x| outline(x) + &grainline(x + 70)).concat();
    for border in [
        ALONG_THE_SHEET,
        // Wherever it stands, with two lines, and as four lines.
        "<rect x=\"20\" y=\"10\" width=\"260\" height=\"200\"/>",
        "<rect x=\"8\" y=\"8\" width=\"484\" height=\"484\"/><rect x=\"12\" y=\"12\" width=\"476\" height=\"476\"/>",
        "<path d=\"M8 8H492\"/><path d=\"M492 8V492\"/><path d=\"M492 492H8\"/><path d=\"M8 492V8\"/>",
    ] {
        let found = sheet(&format!("{border}{pieces}"));
        assert_eq!(extents(&found), [ONE, ONE], "{border}: {:?}", found.findings);
        assert!(says(&found, LEFT_OUT), "{border}");
    }
    let one = sheet(&format!("{ALONG_THE_SHEET}{}{}", outline(30), grainline(100)));
    assert_eq!(extents(&one), [ONE]);
    assert!(says(&one, LEFT_OUT));
}

#[test]
fn without_grainlines_a_border_is_told_by_its_place_or_by_all_that_it_holds() {
    let pieces = [30, 140, 250].map(outline).concat();
    let tall = pieces.replace("180", "450");
    let close = "<rect x=\"25\" y=\"15\" width=\"330\" height=\"170\"/>";
    for (border, pieces) in [(ALONG_THE_SHEET, tall), (close, pieces)] {
        let found = sheet(&format!("{border}{pieces}"));
        assert_eq!(found.pattern.pieces.len(), 3, "{border}: {:?}", found.findings);
        assert!(says(&found, LEFT_OUT), "{border}");
    }
}

#[test]
fn a_rectangular_piece_stays_one_with_pockets_on_it_or_a_seam_line_in_it() {
    let pockets = [60, 180, 300].map(outline).concat();
    let with_own_grain =
        sheet(&format!("{ALONG_THE_SHEET}{pockets}<path d=\"M250 460V240M247 246L250 240L253 246\"/>"));
    assert_eq!(extents(&with_own_grain), [(484.0, 484.0)], "{:?}", with_own_grain.findings);
    let with_two = sheet(&format!(
        "<rect x=\"50\" y=\"10\" width=\"300\" height=\"300\"/>{}{}",
        outline(60),
        outline(180)
    ));
    assert_eq!(extents(&with_two), [(300.0, 300.0)], "{:?}", with_two.findings);
    let sewn = sheet(&format!(
        "{ALONG_THE_SHEET}<rect x=\"18\" y=\"18\" width=\"464\" height=\"464\"/>{}",
        grainline(250)
    ));
    assert_eq!(extents(&sewn), [(464.0, 464.0)], "{:?}", sewn.findings);
    assert!(!says(&with_own_grain, LEFT_OUT) && !says(&with_two, LEFT_OUT) && !says(&sewn, LEFT_OUT));
}

#[test]
fn a_border_is_no_size_beside_sizes_by_colour_or_one_inside_another() {
    let size = |x: u32, step: u32, colour: &str| {
        let (left, right) = (x + 10 - step, x + 90 + step);
        format!(
            "<path stroke=\"{colour}\" d=\"M{left} {}V60L{} {}H{right}V{}Z\"/>",
            450 + step,
            x + 50,
            30 - step,
            450 + step
        )
    };
    for colours in [["red", "green", "blue"], ["black", "black", "black"]] {
        let pieces: String = [40, 200, 360]
            .iter()
            .flat_map(|x| colours.iter().zip([0, 4, 8]).map(move |(colour, step)| size(*x, step, colour)))
            .collect();
        let found = sheet(&format!("{ALONG_THE_SHEET}{pieces}"));
        let count = (found.pattern.pieces.len(), found.pattern.sizes.len());
        assert_eq!(count, (3, 3), "{colours:?}: {:?}", found.findings);
    }
}
