//! A printed test square that was stretched scales what other programs wrote, across and up each by itself.
//!
//! The files were made once by `data/import/by_hand.py`: a page by reportlab, a drawing by ezdxf, a picture by Pillow.
//! Each shows a front of 60 mm by 140 mm and a square of 100 mm, printed at 97 % across and 102 % up.

use super::{finding, read_with, says, sheet};
use chalkbeam::finding::Severity;
use chalkbeam::geometry::{Curve, Point};
use chalkbeam::import::{self, Correction, Options};

/// How the files are stretched, across and up.
const STRETCH: (f64, f64) = (0.97, 1.02);

/// The files, and how true each format comes back: the numbers of reportlab have six digits, and a scan has dots.
const FILES: [(&str, &[u8], f64); 3] = [
    ("PDF", include_bytes!("../data/import/stretched.pdf"), 1e-3),
    ("DXF", include_bytes!("../data/import/stretched.dxf"), 1e-6),
    ("scan", include_bytes!("../data/import/stretched-scan.png"), 0.3),
];

/// A place of the file, as it was before it was stretched.
fn printed(x: f64, y: f64) -> Point {
    Point::new(x * STRETCH.0, y * STRETCH.1)
}

fn read(bytes: &[u8], list: &[Correction]) -> import::Imported {
    let options = Options { corrections: list.to_vec(), ..Options::default() };
    import::read(bytes, &options).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn a_stretched_page_drawing_or_scan_comes_back_as_large_as_its_square_says() {
    for (format, bytes, within) in FILES {
        let (from, to) = (printed(10.0, 40.0), printed(110.0, 140.0));
        let side = || "10 cm".parse().unwrap();
        let list = [
            // Named on the stretched sheet, and followed to where it lies afterwards.
            Correction::NameEdge { at: printed(150.0, 170.0), name: "top".to_owned(), sheet: 0 },
            Correction::TestSquare { from, to, side: side(), sheet: 0 },
            Correction::BySquare { from, to, side: side(), sheet: 0 },
        ];
        let stretched = read(bytes, &list[..2]);
        let told = finding(&stretched, "printed at 97.0 % across and 102.0 % up?");
        assert_eq!(told.severity, Severity::Stop, "{format}");
        let (width, height) = (60.0 * STRETCH.0, 140.0 * STRETCH.1);
        let right = read(bytes, &list);
        assert!(!says(&right, "was not done"), "{format}: {:?}", right.findings);
        let measured = finding(&right, "The test square measures 100.00 mm across and 100.00 mm up");
        assert_eq!(measured.severity, Severity::Note, "{format}");
        for (imported, [narrow, long]) in [(&stretched, [width, height]), (&right, [60.0, 140.0])] {
            let [front] = &imported.pattern.pieces[..] else {
                panic!("{format}: the square is no piece: {:?}", imported.findings)
            };
            let front = &front.by_size[0];
            assert_eq!(front.edges.len(), 4, "{format}");
            let top = front.edge(&"top".into()).unwrap_or_else(|| panic!("{format}: no top"));
            assert!((top.curve.length() - narrow).abs() <= within, "{format}: {}", top.curve.length());
            let longest = front.edges.iter().map(|edge| Curve::length(&edge.curve)).fold(0.0, f64::max);
            assert!((longest - long).abs() <= within, "{format}: {longest} mm for {long} mm");
        }
        // Two corners on one side are no square, and no scale.
        let side_only = Correction::BySquare { from, to: printed(110.0, 40.0), side: side(), sheet: 0 };
        let none = read(bytes, &[list[1].clone(), side_only]);
        assert!(says(&none, "was not done"), "{format}: {:?}", none.findings);
        assert_eq!(none.pattern.pieces.len(), 1, "{format}");
    }
}

#[test]
fn a_square_that_is_named_plainly_is_found_however_it_was_stretched() {
    let front = "<path d=\"M110 20H180L190 180H110Z\"/>";
    let drawn = |rectangle: (f64, f64), words: &str, more: &str| {
        let (width, height) = rectangle;
        let contents = format!(
            "<g fill=\"none\" stroke=\"black\">{front}<rect x=\"5\" y=\"60\" width=\"{width}\" height=\"{height}\"/>
             <text x=\"8\" y=\"100\" font-size=\"4\">{words}</text>{more}</g>"
        );
        read_with(&sheet(&contents), &Options::default()).unwrap()
    };
    for words in ["TEST SQUARE 10 cm", "Check the scale: 10 cm x 10 cm", "This square measures 100 mm"] {
        let found = drawn((78.0, 100.0), words, "");
        let told = finding(&found, "printed at 78.0 % across and 100.0 % up?");
        assert_eq!(told.severity, Severity::Stop, "{words}");
        assert_eq!(found.pattern.pieces.len(), 1, "{words}: {:?}", found.findings);
    }
    // Smaller rectangles inside are stretched with it, and tell nothing themselves.
    let nested = "<rect x=\"6\" y=\"140\" width=\"19.5\" height=\"25\"/>";
    assert!(says(&drawn((78.0, 100.0), "test square 10 cm", nested), "printed at 78.0 % across"));
    let cases = [
        // Not said plainly, or of something else.
        ((78.0, 100.0), "10 cm", ""),
        ((78.0, 100.0), "Pocket, 10 cm square", ""),
        ((78.0, 100.0), "test square 10 cm, cut 2", ""),
        ((78.0, 100.0), "test square 5 cm", ""),
        // More than any paper is stretched.
        ((62.0, 100.0), "test square 10 cm", ""),
        // With a line on it, like a piece.
        ((78.0, 100.0), "test square 10 cm", "<path d=\"M30 110V150\"/>"),
        // Beside it.
        ((33.0, 39.0), "test square 4 cm", ""),
        // A square on the same page was not stretched; or another was stretched otherwise.
        (
            (78.0, 100.0),
            "test square 10 cm",
            "<rect x=\"5\" y=\"5\" width=\"50\" height=\"50\"/><text x=\"8\" y=\"30\" font-size=\"4\">test square 5 cm</text>",
        ),
        (
            (78.0, 100.0),
            "test square 10 cm",
            "<rect x=\"5\" y=\"5\" width=\"50\" height=\"42\"/><text x=\"8\" y=\"30\" font-size=\"4\">test square 5 cm</text>",
        ),
    ];
    for (rectangle, words, more) in cases {
        let found = drawn(rectangle, words, more);
        assert!(!says(&found, "across and 100.0 % up?"), "{words} {more}: {:?}", found.findings);
        assert!(found.pattern.pieces.len() >= 2, "{words} {more}: {:?}", found.findings);
    }
}
