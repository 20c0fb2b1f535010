//! Closed lines that are no pieces: frames around words, tables, page frames, the test square.

use super::pdf::file;
use super::{finding, read_with, says, sheet};
use chalkbeam::finding::Severity;
use chalkbeam::import::{self, ImportError, Imported, Options};
use std::fmt::Write as _;

fn read(text: &str) -> Result<Imported, ImportError> {
    read_with(text, &Options::default())
}

/// Lines of words in a place, as a text document prints them.
fn lines_of_words(x: u32, y: u32, count: u32) -> String {
    (0..count).fold(String::new(), |mut text, line| {
        let words = "press the seams open and trim them where they are thick before the next";
        writeln!(text, "<text x=\"{x}\" y=\"{}\" font-size=\"4\">{words}</text>", y + 5 * line).unwrap();
        text
    })
}

/// A table with rules, five rows by four columns, a number in each cell.
fn table(x: u32, y: u32) -> String {
    let mut text = format!("<path d=\"M{x} {y}h120v50h-120z\"/>");
    for row in 1..5 {
        write!(text, "<path d=\"M{x} {}h120\"/>", y + 10 * row).unwrap();
    }
    for column in 1..4 {
        write!(text, "<path d=\"M{} {y}v50\"/>", x + 30 * column).unwrap();
    }
    for cell in 0..20 {
        let (x, y) = (x + 5 + 30 * (cell % 4), y + 7 + 10 * (cell / 4));
        write!(text, "<text x=\"{x}\" y=\"{y}\" font-size=\"5\">{}</text>", 80 + cell).unwrap();
    }
    text
}

const OPEN: &str = "<g fill=\"none\" stroke=\"black\">";

#[test]
fn a_text_with_frames_and_tables_is_no_pattern() {
    let frame = "<path d=\"M10 10h180v90h-180z\"/>";
    let text = sheet(&format!("{OPEN}{frame}{}{}</g>", lines_of_words(15, 20, 14), table(20, 120)));
    let error = read(&text).unwrap_err().to_string();
    assert!(error.contains("no piece was found: This seems to be a text and no pattern"), "{error}");
    // A title in a box has few words; the page around it tells.
    let title =
        "<path d=\"M10 10h180v20h-180z\"/><text x=\"20\" y=\"24\" font-size=\"8\">How to sew a coat</text>";
    let imported = read(&sheet(&format!("{OPEN}{title}{}</g>", lines_of_words(15, 50, 20)))).unwrap();
    let stop = finding(&imported, "This seems to be a text and no pattern");
    assert_eq!(stop.severity, Severity::Stop);
}

#[test]
fn instructions_and_a_size_chart_beside_a_piece_are_left_out_of_it() {
    let piece = "<path d=\"M20 20C60 10 90 10 120 20V70H20Z\"/>";
    let text = sheet(&format!(
        "{OPEN}{piece}{}<path d=\"M10 138h185v58h-185z\"/>{}</g>",
        table(20, 80),
        lines_of_words(15, 146, 9)
    ));
    let imported = read(&text).unwrap();
    assert_eq!(imported.pattern.pieces.len(), 1);
    assert!(says(&imported, "2 frame(s) around words and tables are no pieces and were left out"));
    assert!(!says(&imported, "no pattern"));
}

#[test]
fn bare_outlines_are_pieces() {
    let words = |text: &str| format!("<text x=\"30\" y=\"60\" font-size=\"6\">{text}</text>");
    for contents in [
        "<path d=\"M20 40H120V140H20Z\"/>".to_owned(),
        format!("<path d=\"M20 40H120V140H20Z\"/>{}", words("pocket")),
        // Ruled into quarters, with a word in each: a piece with lines on it, because it has a grainline.
        format!("<path d=\"M20 40H120V140H20Z\"/>{}<path id=\"grain\" d=\"M70 60V120\"/>", table(20, 40)),
        format!("<path d=\"M10 10h180v90h-180z\"/>{}{}", lines_of_words(15, 20, 14), words("cut 2")),
    ] {
        let imported = read(&sheet(&format!("{OPEN}{contents}</g>")))
            .unwrap_or_else(|error| panic!("{contents}: {error}"));
        assert!(!imported.pattern.pieces.is_empty() && !says(&imported, "no pattern"), "{contents}");
    }
}

#[test]
fn a_test_square_on_every_layer_is_one_square_and_no_piece() {
    let square =
        "<path d=\"M140 10h50v50h-50z\"/><text x=\"142\" y=\"30\" font-size=\"5\">test square 5 cm</text>";
    let layer = |size: u32| {
        let reach = size;
        format!(
            "<g id=\"size-{size}\">{OPEN}<path d=\"M10 10H{}L{reach} 190H10Z\"/>{square}</g></g>",
            reach + 60
        )
    };
    let imported = read(&sheet(&format!("{}{}{}", layer(38), layer(40), layer(42)))).unwrap();
    assert_eq!(imported.pattern.pieces.len(), 1, "{:?}", imported.findings);
    assert_eq!(imported.pattern.sizes.len(), 3);
    assert!(says(&imported, "The test square measures 50.00 mm across and 50.00 mm up, as written (5 cm)"));
    assert!(
        imported.findings.iter().all(|finding| finding.severity != Severity::Stop),
        "{:?}",
        imported.findings
    );
}

/// A file with a page for each of the commands.
fn with_pages(pages: &[&str]) -> Vec<u8> {
    let kids: String = (0..pages.len()).map(|page| format!("{} 0 R ", 3 + 2 * page)).collect();
    let mut text = format!(
        "%PDF-1.6\n1 0 obj\n<< /Type /Catalog /Pages 2 0 R >>\nendobj\n2 0 obj\n<< /Type /Pages /Kids [{kids}] /Count {} >>\nendobj\n",
        pages.len()
    );
    for (index, commands) in pages.iter().enumerate() {
        write!(
            text,
            "{} 0 obj\n<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents {} 0 R >>\nendobj\n{} 0 obj\n<< /Length {} >> stream\n{commands}\nendstream\nendobj\n",
            3 + 2 * index,
            4 + 2 * index,
            4 + 2 * index,
            commands.len()
        )
        .unwrap();
    }
    text.push_str("trailer << /Root 1 0 R >>\n%%EOF\n");
    text.into_bytes()
}

#[test]
fn the_frame_that_is_printed_on_every_page_is_no_piece() {
    let frame = "30 30 535 782 re S";
    // A piece a page, none of which goes on over the edge.
    let front = format!("{frame} 100 100 m 400 100 l 380 500 l 240 560 l 100 500 l h S");
    let back = format!("{frame} 150 200 m 420 200 l 400 640 l 150 620 l h S");
    let imported = import::read(&with_pages(&[&front, &back]), &Options::default()).unwrap();
    assert_eq!(imported.pattern.pieces.len(), 2, "{:?}", imported.findings);
    for piece in &imported.pattern.pieces {
        let bounds = piece.by_size[0].bounding_box();
        assert!(bounds.width() < 120.0, "{bounds:?}");
    }
}

#[test]
fn a_sheet_of_true_pieces_is_untouched_by_all_that() {
    let imported = import::read(&file("coat-cairo.pdf"), &Options::default()).unwrap();
    assert!(
        !says(&imported, "no pattern") && !says(&imported, "words and tables"),
        "{:?}",
        imported.findings
    );
}
