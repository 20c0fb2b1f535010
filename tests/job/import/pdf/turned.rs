//! However a page is turned, its sizes, their words and its grainlines are read the same.
//!
//! `turned-sizes.pdf` was made once by `data/import/pdf/turned.py`: drawn by reportlab 5.1, its page turned by qpdf.

use super::{file, options, written};
use chalkbeam::geometry::{Affine, Vec2};
use chalkbeam::import::{self, Imported, Options, SizesBy};
use proptest::prelude::*;
use std::fmt::Write as _;

const FONT: &str = "/Resources << /Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >> >>";

/// The page's middle, in mm.
const MIDDLE: f64 = 127.0;

/// How much larger each size is on every side, in mm.
const STEP: f64 = 8.0;

/// Left and lower end, width and height of both pieces in the smallest size.
const PIECES: [(f64, f64, f64, f64); 2] = [(46.0, 80.0, 60.0, 80.0), (148.0, 85.0, 52.0, 84.0)];

/// Two pieces in three sizes, each with its name and a grainline with a head; in these colours, the size in words that
/// end at the left side of its line, if there are any.
fn commands(colours: [&str; 3], names: Option<[&str; 3]>) -> String {
    let mut commands = "0.4 w ".to_owned();
    for (rank, colour) in colours.into_iter().enumerate() {
        let out = STEP * rank as f64;
        write!(commands, "{colour} RG ").unwrap();
        for (x, y, width, height) in PIECES {
            let (left, right, low, high) = (x - out, x + width + out, y - out, y + height + out);
            write!(commands, "{left} {low} m {right} {low} l {} {high} l {left} {high} l h S ", right - 8.0)
                .unwrap();
            if let Some(names) = names {
                // The digits of Helvetica are 0.556 of the size wide.
                let start = left - 0.6 - 0.556 * 5.0 * names[rank].len() as f64;
                write!(commands, "BT /F 5 Tf {start} 120 Td ({}) Tj ET ", names[rank]).unwrap();
            }
        }
    }
    for ((x, y, ..), name) in PIECES.into_iter().zip(["Front", "Band"]) {
        let (x, y) = (x + 16.0, y + 10.0);
        let (tip, head) = (y + 50.0, y + 45.0);
        write!(
            commands,
            "0 0 0 RG {x} {y} m {x} {tip} l S {} {head} m {x} {tip} l {} {head} l S ",
            x - 2.5,
            x + 2.5
        )
        .unwrap();
        write!(commands, "BT /F 8 Tf {} {} Td ({name}) Tj ET ", x + 4.0, y + 25.0).unwrap();
    }
    commands
}

/// The commands in mm, turned to the left about the middle of a page that is turned to the right, both in degrees.
fn turned(commands: &str, drawing: f64, page: u32) -> Vec<u8> {
    let mm = 72.0 / 25.4;
    let middle = Vec2::new(MIDDLE, MIDDLE);
    let motion = Affine::scale(mm)
        * Affine::translate(middle)
        * Affine::rotate(drawing.to_radians())
        * Affine::translate(-middle);
    let matrix: Vec<String> = motion.as_coeffs().iter().map(|number| format!("{number:.9}")).collect();
    written(&format!("q {} cm {commands} Q", matrix.join(" ")), &format!("{FONT} /Rotate {page}"), "")
}

/// That both pieces are there in three sizes, each of its own area and with the grainline along its drawn side.
fn assert_whole(imported: &Imported, sizes: [&str; 3], by: SizesBy, place: &str) {
    let found: Vec<_> = imported.pattern.sizes.iter().map(ToString::to_string).collect();
    assert_eq!(found, sizes, "{place}: {:?}", imported.findings);
    assert_eq!(imported.readings[0].by, by, "{place}");
    let ids: Vec<_> = imported.pattern.pieces.iter().map(|sized| sized.id.to_string()).collect();
    assert_eq!(ids, ["Front", "Band"], "{place}");
    for (sized, (_, _, width, height)) in imported.pattern.pieces.iter().zip(PIECES) {
        for (rank, piece) in sized.by_size.iter().enumerate() {
            let more = 2.0 * STEP * rank as f64;
            let expected = (width + more - 4.0) * (height + more);
            let area = kurbo::Shape::area(&piece.outline());
            assert!((area - expected).abs() < 0.5, "{place}: {} {rank}: {area} for {expected}", sized.id);
            assert!((piece.grainline.from.distance(piece.grainline.to) - 50.0).abs() < 0.01, "{place}");
            let side = piece.edges.iter().map(|edge| edge.curve.end() - edge.curve.start());
            let grain = piece.grainline.direction();
            let along = side.filter(|side| grain.cross(*side / side.hypot()).abs() < 1e-3);
            assert_eq!(along.count(), 1, "{place}: {}", sized.id);
        }
    }
    let without = imported.findings.iter().filter(|finding| finding.what.contains("no grainline")).count();
    assert_eq!(without, 0, "{place}: {:?}", imported.findings);
}

const BLACK: [&str; 3] = ["0 0 0"; 3];
const COLOURS: [&str; 3] = ["0.8 0 0", "0 0 0", "0 0 0.8"];

#[test]
fn sizes_in_words_beside_their_lines_are_read_on_a_page_turned_any_way() {
    for names in [["8", "10", "12"], ["S", "M", "L"]] {
        let drawn = commands(BLACK, Some(names));
        let mut told: Option<Vec<import::Reading>> = None;
        for page in [0, 90, 180, 270] {
            for drawing in [0.0, 37.0, 90.0, 180.0, 270.0] {
                let place = format!("{drawing}° on a page of {page}°");
                let imported = import::read(&turned(&drawn, drawing, page), &options()).unwrap();
                assert_whole(&imported, names, SizesBy::Text, &place);
                let told = told.get_or_insert_with(|| imported.readings.clone());
                assert_eq!(*told, imported.readings, "{place}");
            }
        }
    }
}

#[test]
fn a_grainline_in_the_colour_of_one_size_is_that_of_all() {
    let drawn = commands(COLOURS, None);
    for (drawing, page) in [(0.0, 0), (0.0, 90), (90.0, 180), (37.0, 0)] {
        let imported = import::read(&turned(&drawn, drawing, page), &options()).unwrap();
        let place = format!("{drawing}° on a page of {page}°");
        assert_whole(&imported, ["size 1", "size 2", "size 3"], SizesBy::Colour, &place);
    }
    // Sizes that have grainlines of their own keep them.
    let own = format!("{drawn} 0.8 0 0 RG 70 90 m 70 130 l S 67 125 m 70 130 l 73 125 l S");
    let imported = import::read(&turned(&own, 0.0, 0), &options()).unwrap();
    let front = &imported.pattern.pieces[0].by_size;
    let long: Vec<f64> =
        front.iter().map(|piece| piece.grainline.from.distance(piece.grainline.to).round()).collect();
    assert_eq!(long, [40.0, 50.0, 50.0], "{:?}", imported.findings);
}

#[test]
fn an_edge_along_the_grain_is_the_fold_that_words_tell_of_however_the_piece_lies() {
    // Wider than long, the words too far from every edge to be beside one.
    let drawn = "0.4 w 47 84 m 207 84 l 190 170 l 47 170 l h S \
                 100 100 m 100 150 l S 97.5 145 m 100 150 l 102.5 145 l S \
                 BT /F 5 Tf 125 125 Td (Cut 1 on fold) Tj ET";
    for (drawing, page) in [(0.0, 0), (0.0, 90), (37.0, 0), (-45.0, 180)] {
        let imported = import::read(&turned(drawn, drawing, page), &options()).unwrap();
        let place = format!("{drawing}° on a page of {page}°");
        let [piece] = &imported.pattern.pieces[..] else { panic!("{place}: {:?}", imported.findings) };
        let fold = piece.by_size[0].fold().unwrap_or_else(|| panic!("{place}: {:?}", imported.findings));
        assert!((fold.curve.length() - 86.0).abs() < 0.01, "{place}: {}", fold.curve.length());
    }
}

#[test]
fn a_page_of_another_program_that_was_turned_shows_its_sizes() {
    let imported = import::read(&file("turned-sizes.pdf"), &options()).unwrap();
    assert_whole(&imported, ["8", "10", "12"], SizesBy::Text, "turned-sizes.pdf");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn a_drawing_turned_by_any_angle_gives_the_same_readings(angle in -180.0..180.0_f64) {
        let drawn = commands(BLACK, Some(["8", "10", "12"]));
        let upright = import::read(&turned(&drawn, 0.0, 0), &Options::default()).unwrap();
        let imported = import::read(&turned(&drawn, angle, 0), &Options::default()).unwrap();
        prop_assert_eq!(&imported.readings, &upright.readings);
        assert_whole(&imported, ["8", "10", "12"], SizesBy::Text, &angle.to_string());
    }
}
