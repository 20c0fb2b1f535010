//! PDF files that other programs made come back as the coat and the shapes that went in.
//!
//! The files were made once by `data/import/pdf/make.py`: by cairo 1.16 (through cairocffi 1.7), by reportlab 5.1, by
//! pdfTeX 1.40 with pgf, and by qpdf (through pikepdf 10.18), which put cairo's pages into layers, linearised them,
//! packed their objects and locked them with an empty password. MuPDF 1.21 drew cairo's page anew and rewrote the
//! layers. The coat's numbers came out of `garden-coat.pattern.ron`.

mod clips;
mod filled;
mod mutants;
mod pieces;
mod poppler;
mod tiles;
mod turned;

use crate::coat::drafted;
use chalkbeam::geometry::{Affine, Curve, Point, Rect, Vec2};
use chalkbeam::import::pdf::{Page, PageLine, PdfError, drawing_of_page, read_pages};
use chalkbeam::import::{self, Drawing, ImportError, Imported, Look, Options, Stroke};
use chalkbeam::pattern::{Pattern, SizeId};
use std::path::PathBuf;

pub(super) const EDGE_MM: f64 = 0.05;
pub(super) const NOTCH_MM: f64 = 0.2;

pub(super) fn file(name: &str) -> Vec<u8> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/job/data/import/pdf");
    std::fs::read(folder.join(name)).unwrap()
}

pub(super) fn pages(name: &str) -> Vec<Page> {
    let mut pages = Vec::new();
    read_pages(&file(name), |page| pages.push(page)).unwrap();
    pages
}

fn page(name: &str) -> Drawing {
    let mut pages = pages(name);
    assert_eq!(pages.len(), 1);
    drawing_of_page(&pages.remove(0)).0
}

fn options() -> Options {
    Options { pdf_reader: Some(env!("CARGO_BIN_EXE_chalkbeam").into()), ..Options::default() }
}

fn read(name: &str) -> Result<Imported, ImportError> {
    import::read(&file(name), &options())
}

/// Where `coat.py` lays the pieces on its sheet.
const PLACES: [(&str, (f64, f64)); 6] = [
    ("back", (60.0, 800.0)),
    ("front", (560.0, 800.0)),
    ("front facing", (1160.0, 800.0)),
    ("back neck facing", (1500.0, 800.0)),
    ("front armhole facing", (1500.0, 300.0)),
    ("back armhole facing", (1700.0, 100.0)),
];

/// The looks that `coat.py` gives the sizes: red, green, blue and the dashes in tenths of a millimetre.
const LOOKS: [([u8; 3], &[u32]); 5] = [
    ([204, 0, 0], &[]),
    ([0, 128, 0], &[90, 30]),
    ([0, 0, 204], &[30, 30]),
    ([153, 77, 0], &[90, 30, 10, 30]),
    ([0, 0, 0], &[15, 15]),
];

/// That strokes show a piece of the coat: every edge and notch in its place.
pub(super) fn shows(strokes: &[&Stroke], coat: &Pattern, id: &str, size: &SizeId, sheet_from_piece: Affine) {
    let drawn = coat.piece(&id.into(), size).unwrap();
    let curves: Vec<(Rect, &Curve)> =
        strokes.iter().map(|stroke| (stroke.curve.bounding_box().inflate(1.0, 1.0), &stroke.curve)).collect();
    let off = |point: Point| {
        let near = curves.iter().filter(|(bounds, _)| bounds.contains(point));
        near.map(|(_, curve)| curve.nearest(point).1).fold(f64::INFINITY, f64::min)
    };
    for edge in &drawn.edges {
        let length = edge.curve.length();
        for step in 0..=60 {
            let point = sheet_from_piece * edge.curve.point_at(length * f64::from(step) / 60.0);
            assert!(off(point) <= EDGE_MM, "{id} {size}, {} at {point}: {} mm off", edge.id, off(point));
        }
    }
    for notch in &drawn.notches {
        let at = sheet_from_piece * drawn.notch_point(notch).unwrap();
        let scale = sheet_from_piece.determinant().sqrt();
        // A notch is drawn as a tick of 8 mm across its edge.
        let ticks = strokes.iter().filter(|stroke| (stroke.curve.length() - 8.0 * scale).abs() < 0.01);
        let middles = ticks.map(|tick| tick.curve.point_at(4.0 * scale).distance(at));
        let off = middles.fold(f64::INFINITY, f64::min);
        assert!(off <= NOTCH_MM, "{id} {size}, {}: {off} mm off", notch.id);
    }
}

fn moved(place: (f64, f64)) -> Affine {
    Affine::translate(Vec2::new(place.0, place.1))
}

#[test]
fn the_coat_by_cairo_comes_back_in_five_sizes_by_colour_and_dash() {
    let drawing = page("coat-cairo.pdf");
    let coat = drafted();
    assert_eq!(drawing.groups.len(), 1);
    for (size, (colour, dashes)) in coat.sizes.iter().zip(LOOKS) {
        let of_size = |stroke: &&Stroke| stroke.look.colour == Some(colour);
        let strokes: Vec<&Stroke> = drawing.groups[0].strokes.iter().filter(of_size).collect();
        let outline = |stroke: &&&Stroke| stroke.closed && (stroke.curve.length() - 400.0).abs() > 0.01;
        let outlines: Vec<_> = strokes.iter().filter(outline).collect();
        assert_eq!(outlines.len(), 6, "{size}");
        for outline in outlines {
            let look = Look { colour: Some(colour), width: 50, dashes: dashes.to_vec(), fill: None };
            assert_eq!(outline.look, look, "{size}");
        }
        for (id, place) in PLACES {
            shows(&strokes, &coat, id, size, moved(place));
        }
    }
    let words: Vec<_> = drawing.groups[0].words.iter().collect();
    let back = words.iter().find(|words| words.words == "1 Back, size 84").unwrap();
    assert!(back.at.distance(Point::new(170.0, 500.0)) < 0.01, "{}", back.at);
    assert!((back.height_mm - 14.0).abs() < 0.01);
    assert!(words.iter().any(|words| words.words == "Test square 10 cm"), "{words:?}");
}

#[test]
fn layers_of_forms_under_a_turned_cropped_page_with_a_unit_come_back_also_when_they_are_off() {
    let coat = drafted();
    for name in ["coat-layers.pdf", "coat-locked-aes.pdf", "coat-locked-rc4.pdf"] {
        let drawing = page(name);
        let names: Vec<_> = drawing.groups.iter().filter_map(|group| group.name.as_deref()).collect();
        assert_eq!(names, ["Größe 84", "Größe 88", "Größe 92", "Größe 96", "Größe 100"], "{name}");
        for (size, group) in coat.sizes.iter().zip(&drawing.groups[1..]) {
            let strokes: Vec<&Stroke> = group.strokes.iter().collect();
            for (id, place) in PLACES {
                shows(&strokes, &coat, id, size, moved(place));
            }
            // What a membership of all five shows is in each of them: the test square.
            let square = |stroke: &&Stroke| (stroke.curve.length() - 400.0).abs() < 0.01 && stroke.closed;
            assert_eq!(group.strokes.iter().filter(square).count(), 1, "{name} {size}");
        }
        let page = drawing.page.unwrap();
        assert!((page.width() - 2050.0).abs() < 0.02 && (page.height() - 1300.0).abs() < 0.02, "{page:?}");
    }
}

#[test]
fn layers_become_sizes_of_a_pattern() {
    let imported = read("coat-layers.pdf").unwrap();
    let mut sizes: Vec<_> = imported.pattern.sizes.iter().map(ToString::to_string).collect();
    sizes.sort_by_key(|size| size.trim_start_matches("Größe ").parse::<u32>().unwrap_or(0));
    assert_eq!(sizes.len(), 5);
    assert_eq!(imported.pattern.pieces.len(), 6);
    assert!(imported.pattern.faults().is_empty());
    let says = |words: &str| imported.findings.iter().any(|finding| finding.what.contains(words));
    assert!(says("switched off in the file were read too: Größe 92"), "{:?}", imported.findings);
    assert!(says("The test square measures 100.00 mm across and 100.00 mm up, as written (10 cm)"));
}

#[test]
fn a_wrong_scale_is_named_and_mended() {
    let coat = drafted();
    let imported = read("coat-reportlab.pdf").unwrap();
    let said: Vec<_> = imported.findings.iter().map(|finding| finding.what.as_str()).collect();
    let expected = "The test square measures 9.4 in where 10 in is written: printed at 94 %?";
    assert!(said.contains(&expected), "{said:?}");
    // As it is printed, the drawing is 94 parts of 100.
    let drawing = page("coat-reportlab.pdf");
    for (size, (colour, _)) in coat.sizes.iter().zip(LOOKS) {
        let of_size = |stroke: &&Stroke| stroke.look.colour == Some(colour);
        let strokes: Vec<&Stroke> = drawing.groups[0].strokes.iter().filter(of_size).collect();
        for (id, place) in PLACES {
            shows(&strokes, &coat, id, size, Affine::scale(0.94) * moved(place));
        }
    }
    let mended = Options { millimetres_per_unit: Some(25.4 / 72.0 / 0.94), ..options() };
    let imported = import::read(&file("coat-reportlab.pdf"), &mended).unwrap();
    let said = |words: &str| imported.findings.iter().any(|finding| finding.what.contains(words));
    assert!(
        said("10.00") || said("254.00 mm across and 254.00 mm up, as written"),
        "{:?}",
        imported.findings
    );
    let pointed =
        import::PointedSquare { side: "9 in".parse().unwrap(), at: Some(Point::new(1760.0, 960.0)) };
    let pointed = Options { test_square: Some(pointed), ..options() };
    let imported = import::read(&file("coat-reportlab.pdf"), &pointed).unwrap();
    let said: Vec<_> = imported.findings.iter().map(|finding| finding.what.as_str()).collect();
    assert!(said.iter().any(|said| said.contains("9.4 in where 9 in is written")), "{said:?}");
}

#[test]
fn what_cannot_be_read_is_refused_in_one_sentence() {
    let refused = |bytes: &[u8]| import::read(bytes, &options()).unwrap_err();
    assert_eq!(refused(&file("password.pdf")), ImportError::Pdf(PdfError::Locked));
    assert_eq!(refused(b"%PDF-1.4 nothing else"), ImportError::Pdf(PdfError::NoPages));
    let gone = Options { pdf_reader: Some("/nowhere/chalkbeam".into()), ..Options::default() };
    let error = import::read(&file("kinds.pdf"), &gone).unwrap_err().to_string();
    assert!(error.contains("/nowhere/chalkbeam") && !error.contains('\n'), "{error}");
    let scale = Options { millimetres_per_unit: Some(-1.0), ..options() };
    let error = import::read(&file("kinds.pdf"), &scale).unwrap_err().to_string();
    assert!(error.contains("-1 millimetres in one unit is no scale"), "{error}");
}

/// A file of one page with these commands, as a person would write it.
pub(super) fn written(commands: &str, page: &str, more: &str) -> Vec<u8> {
    format!(
        "%PDF-1.6\n1 0 obj\n<< /Type /Catalog /Pages 2 0 R >>\nendobj\n2 0 obj\n<< /Type /Pages /Kids [3 0 R] /Count 1 >>\nendobj\n\
         3 0 obj\n<< /Type /Page /Parent 2 0 R /MediaBox [0 0 720 720] {page} /Contents 4 0 R >>\nendobj\n\
         4 0 obj\n<< /Length {} >> stream\n{commands}\nendstream\nendobj\n{more}\ntrailer << /Root 1 0 R >>\n%%EOF\n",
        commands.len()
    )
    .into_bytes()
}

fn only_page(bytes: &[u8]) -> Page {
    let mut pages = Vec::new();
    read_pages(bytes, |page| pages.push(page)).unwrap();
    assert_eq!(pages.len(), 1);
    pages.remove(0)
}

#[test]
fn a_page_that_may_be_incomplete_says_so_and_one_without_anything_too() {
    let says = |page: &Page, words: &str| page.findings.iter().any(|finding| finding.what.contains(words));
    let broken = only_page(&written("0 0 m 72 72 l S >> 1.5e2 0 m 1 9 l S frob 1 1 m 9 9 l", "", ""));
    assert_eq!(broken.lines.len(), 2);
    assert!(
        says(
            &broken,
            "Page 1 may be incomplete: 3 of its drawing commands could not be read (the first at byte 16"
        ),
        "{:?}",
        broken.findings
    );
    assert!(says(&broken, "it ends in the middle of a line"));
    let empty = only_page(&written("q Q", "", ""));
    assert!(says(&empty, "Page 1 has nothing on it"));
    let absurd = only_page(&written("0 0 m 999999999 5 l S 0 0 m 9 9 l S", "", ""));
    assert_eq!(absurd.lines.len(), 1);
    assert!(says(&absurd, "1 line(s) of page 1 with places that are none"), "{:?}", absurd.findings);
    // Half of a file has no end mark, and no pages or no lines; it never looks whole.
    let whole = file("coat-cairo.pdf");
    match import::read(&whole[..whole.len() / 2], &options()) {
        Ok(imported) => assert!(imported.findings.iter().any(|finding| finding.what.contains("cut short"))),
        Err(error) => assert!(
            error.to_string().contains("cut short") || error.to_string().contains("no piece"),
            "{error}"
        ),
    }
}

#[test]
fn marked_content_expressions_and_layers_inside_layers_are_followed() {
    // ISO 32000-1, §8.11.2: groups, memberships, visibility expressions.
    let resources = "/Resources << /Properties << /A 10 0 R /B 11 0 R /M 12 0 R /N 13 0 R >> >>";
    let more = "10 0 obj\n<< /Type /OCG /Name (88) >>\nendobj\n11 0 obj\n<< /Type /OCG /Name (88) >>\nendobj\n\
                12 0 obj\n<< /Type /OCMD /VE [/Or 10 0 R [/And 11 0 R]] >>\nendobj\n\
                13 0 obj\n<< /Type /OCMD /VE [/Not 10 0 R] >>\nendobj\n";
    let line = |at: u32| format!("{at} 0 m {at} 72 l S ");
    let commands = format!(
        "/OC /A BDC {} /OC /B BDC {} EMC EMC /OC /M BDC {} EMC /OC /N BDC {} EMC /Span << /X 1 >> BDC {} EMC",
        line(10),
        line(20),
        line(30),
        line(40),
        line(50)
    );
    let page = only_page(&written(&commands, resources, more));
    let told: Vec<(u32, Option<usize>)> =
        page.layers.iter().map(|layer| (layer.object, layer.parent)).collect();
    assert_eq!(told, [(0, None), (10, Some(0)), (11, Some(1)), (11, Some(0))]);
    let x = |line: &PageLine| line.stroke.curve.start().x / 25.4 * 72.0;
    let lines: Vec<_> = page.lines.iter().map(|line| (x(line).round(), line.layer)).collect();
    assert_eq!(lines, [(10.0, 1), (20.0, 2), (30.0, 1), (30.0, 3), (40.0, 0), (50.0, 0)]);
    assert!(page.findings.is_empty(), "{:?}", page.findings);
}
