//! Pictures of paper pieces become outlines.
//!
//! The pictures were drawn by Pillow 13.0, a library made by others, from the coat's own drawing: `front-scan.png` shows the front's
//! seam line as a line 0.7 mm wide at 100 dots per inch, turned by 0.7° as paper lies in a scanner, in greys with
//! noise about it. The others show a rectangle of 60 mm by 40 mm.

use super::{read_with, says};
use crate::coat::drafted;
use crate::coat::svg::SIZE;
use chalkbeam::geometry::{Affine, Curve, Length, Point};
use chalkbeam::import::scan::{Ruler, ScanError};
use chalkbeam::import::{self, ImportError, Imported, Options};

const FRONT: &[u8] = include_bytes!("../data/import/front-scan.png");
const JPEG: &[u8] = include_bytes!("../data/import/rectangle-scan.jpg");
const TIFF: &[u8] = include_bytes!("../data/import/rectangle-scan.tif");
const LIGHT: &[u8] = include_bytes!("../data/import/light-piece-scan.png");
const WITHOUT_SCALE: &[u8] = include_bytes!("../data/import/rectangle-scan-without-scale.png");

const WITHIN_MM: f64 = 0.3;

fn read(bytes: &[u8], options: &Options) -> Result<Imported, ImportError> {
    import::read(bytes, options)
}

fn only(imported: &Imported) -> Vec<Curve> {
    assert_eq!(imported.pattern.pieces.len(), 1, "{:?}", imported.findings);
    imported.pattern.pieces[0].by_size[0].edges.iter().map(|edge| edge.curve.clone()).collect()
}

/// The furthest that one line is from another.
fn off(from: &[Curve], to: &[Curve]) -> f64 {
    let nearest = |at: Point| to.iter().map(|curve| curve.nearest(at).1).fold(f64::INFINITY, f64::min);
    let points = from
        .iter()
        .flat_map(|curve| (0..=400).map(|step| curve.point_at(curve.length() * f64::from(step) / 400.0)));
    points.map(nearest).fold(0.0, f64::max)
}

#[test]
fn the_outline_of_a_scanned_front_lies_within_three_tenths_of_a_millimetre() {
    let imported = read(FRONT, &Options::default()).unwrap();
    let found = only(&imported);
    let coat = drafted();
    let front = coat.piece(&"front".into(), &SIZE.into()).unwrap();
    // As the picture was made: y down, turned by 0.7° clockwise on the page, moved into it; 1210 mm high, in whole pixels.
    let height = (1210.0 * 100.0 / 25.4_f64).round() * 25.4 / 100.0;
    let page = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, height])
        * Affine::translate((60.0, 465.0))
        * Affine::rotate(0.7_f64.to_radians())
        * Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 0.0]);
    let truth: Vec<Curve> = front.edges.iter().map(|edge| edge.curve.transformed(page)).collect();
    let (there, back) = (off(&truth, &found), off(&found, &truth));
    eprintln!("front from a scan: {there:.3} mm and {back:.3} mm off, {} edges", found.len());
    assert!(there.max(back) <= WITHIN_MM, "{there} mm, {back} mm");
    // Few smooth curves: no edge is made of more than some.
    let segments: usize = found.iter().map(|curve| curve.segments().len()).sum();
    assert!(segments <= 40, "{segments}");
    // Its corners are corners: the shoulder and both ends of the front edge.
    for corner in ["shoulder neck", "shoulder tip", "hem front edge", "hem side"] {
        let Some(at) = front.corner(&corner.into()) else { continue };
        let nearest =
            found.iter().map(|curve| curve.start().distance(page * at)).fold(f64::INFINITY, f64::min);
        assert!(nearest <= 0.5, "{corner}: {nearest}");
    }
    assert!(says(&imported, "100 dots per inch"));
}

fn assert_rectangle(imported: &Imported) {
    let edges = only(imported);
    assert_eq!(edges.len(), 4);
    let mut lengths: Vec<f64> = edges.iter().map(Curve::length).collect();
    lengths.sort_by(f64::total_cmp);
    for (found, expected) in lengths.iter().zip([40.0, 40.0, 60.0, 60.0]) {
        assert!((found - expected).abs() <= WITHIN_MM, "{lengths:?}");
    }
}

#[test]
fn jpeg_and_tiff_and_light_pieces_on_a_dark_ground_are_read() {
    for bytes in [JPEG, TIFF, LIGHT] {
        assert_rectangle(&read(bytes, &Options::default()).unwrap());
    }
}

#[test]
fn a_picture_without_a_scale_asks_for_one_and_takes_dots_or_a_ruler() {
    let asked = read(WITHOUT_SCALE, &Options::default()).unwrap_err();
    assert_eq!(asked, ImportError::Scan(ScanError::NoResolution));
    assert_rectangle(&read(WITHOUT_SCALE, &Options { dpi: Some(100.0), ..Options::default() }).unwrap());
    // The rectangle's own upper side as a ruler: from 15 mm to 75 mm at 100 dots per inch.
    let px = |mm: f64| mm * 100.0 / 25.4;
    let ruler = Ruler {
        from_px: Point::new(px(15.0), px(12.0)),
        to_px: Point::new(px(75.0), px(12.0)),
        apart: Length::from_mm(60.0),
    };
    assert_rectangle(
        &read(WITHOUT_SCALE, &Options { ruler: Some(ruler.clone()), ..Options::default() }).unwrap(),
    );
    let point = Ruler { to_px: ruler.from_px, ..ruler };
    let bad = read(WITHOUT_SCALE, &Options { ruler: Some(point), ..Options::default() }).unwrap_err();
    assert_eq!(bad, ImportError::Scan(ScanError::BadRuler));
    let absurd = read(WITHOUT_SCALE, &Options { dpi: Some(3.0), ..Options::default() }).unwrap_err();
    assert!(absurd.to_string().contains("20 to 10000"));
}

#[test]
fn broken_pictures_are_refused_in_words() {
    for bytes in [FRONT, JPEG, TIFF, LIGHT] {
        for length in [9, 20, 60, bytes.len() / 3] {
            let cut = &bytes[..length.min(bytes.len() - 1)];
            // What is left of a JPEG may still show something; nothing panics.
            if let Err(error) = read(cut, &Options { dpi: Some(100.0), ..Options::default() }) {
                assert!(error.to_string().len() > 20, "{error}");
            }
        }
    }
    let svg = read_with("<svg xmlns=\"http://www.w3.org/2000/svg\"/>", &Options::default());
    assert!(svg.is_err());
}
