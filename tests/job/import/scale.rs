//! How large a drawing is.

use super::{read, says, sheet};
use chalkbeam::geometry::Rect;
use chalkbeam::import::{self, ImportError, Imported, Options, svg::SvgError as Svg};

const SQUARE: &str = "<path id=\"square\" d=\"M10 10H60V60H10Z\"/>";

fn with_head(head: &str) -> String {
    format!("<svg xmlns=\"http://www.w3.org/2000/svg\" {head}>{SQUARE}</svg>")
}

fn bounds(imported: &Imported) -> Rect {
    imported.pattern.pieces[0].by_size[0].bounding_box()
}

fn close(found: Rect, expected: (f64, f64, f64, f64)) {
    let (x0, y0, x1, y1) = expected;
    for (a, b) in [(found.x0, x0), (found.y0, y0), (found.x1, x1), (found.y1, y1)] {
        assert!((a - b).abs() < 1e-9, "{found:?} instead of {expected:?}");
    }
}

#[test]
fn a_view_is_fitted_into_its_page_as_the_standard_says() {
    // SVG 2, §8.7: the view of 100 by 100 units lies in a page of 200 by 100 mm.
    let cases = [
        ("", (60.0, 40.0, 110.0, 90.0)),
        ("preserveAspectRatio=\"xMinYMin\"", (10.0, 40.0, 60.0, 90.0)),
        ("preserveAspectRatio=\"xMaxYMid meet\"", (110.0, 40.0, 160.0, 90.0)),
        ("preserveAspectRatio=\"xMinYMin slice\"", (20.0, -20.0, 120.0, 80.0)),
        ("preserveAspectRatio=\"xMidYMax slice\"", (20.0, 80.0, 120.0, 180.0)),
        ("preserveAspectRatio=\"none\"", (20.0, 40.0, 120.0, 90.0)),
    ];
    for (fit, expected) in cases {
        let text = with_head(&format!("width=\"200mm\" height=\"100mm\" viewBox=\"0 0 100 100\" {fit}"));
        let imported = read(&text).unwrap();
        close(bounds(&imported), expected);
        assert_eq!(says(&imported, "is stretched"), fit.contains("none"), "{fit}");
    }
}

#[test]
fn a_drawing_without_a_view_counts_in_css_pixels() {
    let text = with_head("width=\"200mm\" height=\"100mm\"");
    // Taken so, the square is 13 mm wide, too small for a piece; and that is what the error says.
    let error = read(&text).unwrap_err().to_string();
    assert!(error.contains("the largest closed line is 18.7 mm across; check the scale"), "{error}");
    let imported = read(&text.replace("M10 10H60V60H10Z", "M10 10H160V160H10Z")).unwrap();
    let px = 25.4 / 96.0;
    close(bounds(&imported), (10.0 * px, 100.0 - 160.0 * px, 160.0 * px, 100.0 - 10.0 * px));
}

#[test]
fn one_side_with_a_unit_and_a_view_are_enough() {
    for head in
        ["width=\"200mm\" viewBox=\"0 0 100 100\"", "width=\"200mm\" height=\"100%\" viewBox=\"0 0 100 100\""]
    {
        close(bounds(&read(&with_head(head)).unwrap()), (20.0, 80.0, 120.0, 180.0));
    }
}

#[test]
fn a_drawing_without_a_unit_is_refused_and_the_scale_can_be_given() {
    let heads = [
        "viewBox=\"0 0 100 100\"",
        "width=\"100\" height=\"100\" viewBox=\"0 0 100 100\"",
        "width=\"100%\" height=\"100%\" viewBox=\"0 0 100 100\"",
        "width=\"auto\" height=\"auto\" viewBox=\"0 0 100 100\"",
        "width=\"100\" height=\"100\"",
    ];
    for head in heads {
        let text = with_head(head);
        let error = read(&text).unwrap_err();
        assert!(matches!(error, ImportError::Svg(Svg::NoScale { .. })), "{head}: {error}");
        assert!(error.to_string().contains("--millimetres-per-unit"), "{error}");
        let options = Options { millimetres_per_unit: Some(2.0), ..Options::default() };
        close(bounds(&import::svg::read(text.as_bytes(), &options).unwrap()), (20.0, 80.0, 120.0, 180.0));
    }
    for scale in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e9] {
        let options = Options { millimetres_per_unit: Some(scale), ..Options::default() };
        let error = import::svg::read(with_head(heads[0]).as_bytes(), &options).unwrap_err();
        assert!(matches!(error, ImportError::Svg(Svg::BadScale(_))), "{error}");
    }
}

#[test]
fn lengths_with_units_inside_are_multiples_of_the_drawings_own_unit() {
    // 1in is 96 user units by CSS, whatever a unit is on the table: here 1 mm.
    let contents = "<rect id=\"r\" x=\"0\" y=\"0\" width=\"1in\" height=\"36pt\"/>";
    let imported = read(&sheet(contents)).unwrap();
    close(bounds(&imported), (0.0, 152.0, 96.0, 200.0));
}
