//! DXF files written by ezdxf 1.4.5, a library made by others, come back as the coat and the shapes that went in.
//!
//! `garden-coat.dxf`: three sizes of the coat as ezdxf writes R12: a block a size, outlines as polylines with
//! chords within 0.03 mm on layer 1, turn points 2, curve points 3, notches 4, mirror lines 6, grainlines 7, drill holes
//! 13, texts with the keys of ASTM D6673. `kinds.dxf` and `kinds-binary.dxf`: every kind of line in R2010 in inches,
//! blocks turned, mirrored and stretched; `kinds.json`: where ezdxf's own `virtual_entities` and `flattening` see
//! them, in mm, with chords within 0.05 mm. The files were made once; the coat's numbers came out of
//! `garden-coat.pattern.ron`.

use super::{piece, says};
use crate::coat::drafted;
use chalkbeam::finding::Severity;
use chalkbeam::geometry::{Curve, Point, Vec2};
use chalkbeam::import::dxf::{DxfError, LayerUse};
use chalkbeam::import::{self, File, ImportError, Imported, Options, Part};
use chalkbeam::pattern::{ClothKind, EdgeRole, HowCut};
use proptest::prelude::*;
use std::collections::BTreeMap;

const COAT: &[u8] = include_bytes!("../data/import/garden-coat.dxf");
const KINDS: &[u8] = include_bytes!("../data/import/kinds.dxf");
const BINARY: &[u8] = include_bytes!("../data/import/kinds-binary.dxf");

const EDGE_MM: f64 = 0.05;
const NOTCH_MM: f64 = 0.2;

pub(super) fn read(bytes: &[u8]) -> Result<Imported, ImportError> {
    import::read(bytes, &Options::default())
}

fn error(text: &str) -> String {
    read(text.as_bytes()).expect_err(text).to_string()
}

/// `nameless.dxf` was found by the fuzz target: a damaged `cuff` in which a piece's name is nothing.
#[test]
fn a_name_of_nothing_names_no_piece() {
    let bytes = include_bytes!("../data/import/nameless.dxf");
    let options = Options { millimetres_per_unit: Some(1.0), ..Options::default() };
    let imported = import::read(bytes, &options).unwrap();
    assert_eq!(imported.pattern.faults(), []);
}

#[test]
fn the_coat_comes_back_in_three_sizes_with_every_edge_and_notch_in_its_place() {
    let imported = read(COAT).unwrap();
    let coat = drafted();
    assert_eq!(imported.pattern.name, "GARDEN COAT");
    let sizes: Vec<_> = imported.pattern.sizes.iter().map(ToString::to_string).collect();
    assert_eq!(sizes, ["84", "92", "100"]);
    assert_eq!(imported.pattern.pieces.len(), coat.pieces.len());
    for (place, drawn_sizes) in coat.pieces.iter().enumerate() {
        let id = &drawn_sizes.id;
        let moved = Vec2::new(1000.0 * place as f64, 0.0);
        for size in &imported.pattern.sizes {
            let (drawn, found) = (coat.piece(id, size).unwrap(), imported.pattern.piece(id, size).unwrap());
            // The mouth of the dart has a corner at its tip.
            assert_eq!(found.edges.len(), drawn.edges.len() + drawn.darts.len(), "{id} {size}");
            for edge in &drawn.edges {
                let mut length = 0.0;
                let mut at = edge.curve.start() + moved;
                while at.distance(edge.curve.end() + moved) > EDGE_MM {
                    let same = found.edges.iter().find(|other| other.curve.start().distance(at) <= EDGE_MM);
                    let same = same.unwrap_or_else(|| panic!("no edge of {id} {size} begins at {at}"));
                    for step in 0..=200 {
                        let point =
                            same.curve.point_at(same.curve.length() * f64::from(step) / 200.0) - moved;
                        let (_, off) = edge.curve.nearest(point);
                        assert!(off <= EDGE_MM, "{id} {size}, {}: {off} mm off", edge.id);
                    }
                    length += same.curve.length();
                    at = same.curve.end();
                    if edge.role == EdgeRole::Fold {
                        assert_eq!(same.role, EdgeRole::Fold, "{id} {size}");
                    }
                }
                let drafted = edge.curve.length();
                assert!(
                    (length - drafted).abs() <= EDGE_MM,
                    "{id} {size}, {}: {length} for {drafted}",
                    edge.id
                );
            }
            assert_eq!(found.notches.len(), drawn.notches.len(), "{id} {size}");
            for notch in &drawn.notches {
                let at = drawn.notch_point(notch).unwrap() + moved;
                let offs = found.notches.iter().map(|other| found.notch_point(other).unwrap().distance(at));
                let off = offs.fold(f64::INFINITY, f64::min);
                assert!(off <= NOTCH_MM, "{id} {size}, {}: {off} mm off", notch.id);
            }
            assert!(found.grainline.to.distance(drawn.grainline.to + moved) <= EDGE_MM);
            assert_eq!(found.drill_holes.len(), drawn.drill_holes.len());
        }
    }
    let front = &piece(&imported, "front").cuttings[0];
    assert_eq!((front.count, front.how, front.cloth), (2, HowCut::MirroredPair, ClothKind::Cloth));
    assert_eq!(piece(&imported, "back").cuttings[0].how, HowCut::OnFold);
    assert!(imported.findings.iter().all(|finding| finding.severity != Severity::Stop));
    assert!(imported.pattern.faults().is_empty());
    assert!(imported.matches.iter().all(|matched| matched.confidence > 0.8 && matched.dissolved == 0));
}

fn off(from: &Curve, to: &[Curve]) -> f64 {
    let points = (0..=300).map(|step| from.point_at(from.length() * f64::from(step) / 300.0));
    let nearest = |point: Point| to.iter().map(|curve| curve.nearest(point).1).fold(f64::INFINITY, f64::min);
    points.map(nearest).fold(0.0, f64::max)
}

#[test]
fn every_kind_of_line_lies_where_ezdxf_sees_it_in_text_and_binary_files() {
    let expected: BTreeMap<String, Vec<Vec<(f64, f64)>>> =
        serde_json::from_str(include_str!("../data/import/kinds.json")).unwrap();
    for bytes in [KINDS, BINARY] {
        let imported = read(bytes).unwrap();
        assert_eq!(imported.pattern.pieces.len(), expected.len());
        for (name, lines) in &expected {
            let other: Vec<Curve> = lines
                .iter()
                .map(|line| {
                    Curve::polyline(&line.iter().map(|at| Point::from(*at)).collect::<Vec<_>>()).unwrap()
                })
                .collect();
            let own: Vec<Curve> =
                piece(&imported, name).edges.iter().map(|edge| edge.curve.clone()).collect();
            let there = other.iter().map(|line| off(line, &own)).fold(0.0, f64::max);
            let back = own.iter().map(|edge| off(edge, &other)).fold(0.0, f64::max);
            assert!(there.max(back) <= 0.1, "{name}: {there} mm and {back} mm apart");
        }
    }
}

/// A file of pairs.
pub(super) fn file(units: &str, entities: &str) -> String {
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n{units}\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )
}

pub(super) fn polyline(layer: &str, points: &[(f64, f64)]) -> String {
    let vertex = |(x, y): &(f64, f64)| format!("0\nVERTEX\n8\n{layer}\n10\n{x}\n20\n{y}\n");
    let vertices: String = points.iter().map(vertex).collect();
    format!("0\nPOLYLINE\n8\n{layer}\n66\n1\n70\n1\n{vertices}0\nSEQEND\n")
}

pub(super) const SQUARE: [(f64, f64); 4] = [(0.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0)];

#[test]
fn the_unit_comes_from_words_or_header_and_is_asked_for_without_both() {
    let square = polyline("1", &SQUARE);
    let text = |words: &str| format!("0\nTEXT\n8\n1\n10\n1\n20\n1\n40\n2\n1\n{words}\n");
    let width = |text: &str| piece(&read(text.as_bytes()).unwrap(), "piece 1").bounding_box().width();
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} for {b}");
    close(width(&file("4", &square)), 100.0);
    close(width(&file("5", &square)), 1000.0);
    close(width(&file("0", &format!("{}{square}", text("UNITS: ENGLISH")))), 2540.0);
    let both = read(file("4", &format!("{}{square}", text("Units: English"))).as_bytes()).unwrap();
    assert!(says(&both, "two units") && both.findings[0].severity == Severity::Stop);
    let none = read(file("0", &square).as_bytes()).unwrap_err();
    assert_eq!(none, ImportError::Dxf(DxfError::NoUnit));
    let told = Options { millimetres_per_unit: Some(10.0), ..Options::default() };
    let told = import::read(file("0", &square).as_bytes(), &told).unwrap();
    close(piece(&told, "piece 1").bounding_box().width(), 1000.0);
}

#[test]
fn a_sew_line_inside_a_cutting_line_gives_the_allowance() {
    let inner = [(10.0, 15.0), (90.0, 15.0), (90.0, 65.0), (10.0, 65.0)];
    let notch = "0\nPOINT\n8\n4\n10\n50\n20\n0\n";
    let imported =
        read(file("4", &format!("{}{}{notch}", polyline("1", &SQUARE), polyline("14", &inner))).as_bytes());
    let imported = imported.unwrap();
    let found = piece(&imported, "piece 1");
    assert!((found.bounding_box().width() - 80.0).abs() < 1e-9);
    let widths: Vec<f64> = found.edges.iter().map(|edge| edge.allowance.as_ref().unwrap().mm()).collect();
    assert_eq!(widths, [15.0, 10.0, 15.0, 10.0]);
    // The notch stands on the cutting line; its place on the sew line is nearest to it.
    assert!(found.notch_point(&found.notches[0]).unwrap().distance(Point::new(50.0, 15.0)) < 1e-9);
    assert!(!says(&imported, "no allowance"));
}

#[test]
fn unknown_layers_are_kept_and_the_layer_table_can_be_told() {
    let line = "0\nLINE\n8\n20\n10\n50\n20\n0\n11\n50\n21\n4\n";
    let text = file("4", &format!("{}{line}", polyline("1", &SQUARE)));
    let kept = read(text.as_bytes()).unwrap();
    assert!(says(&kept, "layer table does not name") && piece(&kept, "piece 1").inner_lines.len() == 1);
    let mut options = Options::default();
    options.layers.set("20", LayerUse::Holds(Part::Notch));
    let told = import::read(text.as_bytes(), &options).unwrap();
    assert!(piece(&told, "piece 1").notches.len() == 1 && piece(&told, "piece 1").inner_lines.is_empty());
    assert!("nocth".parse::<LayerUse>().unwrap_err().contains("notch"));
}

#[test]
fn a_file_a_size_makes_one_pattern() {
    let sized = |by: f64| {
        let grown: Vec<_> = SQUARE.iter().map(|(x, y)| (x * by, y * by)).collect();
        file("4", &polyline("1", &grown))
    };
    let (small, large) = (sized(1.0), sized(1.1));
    let files = [("apron-38", &small), ("apron-40", &large)]
        .map(|(name, text)| File { name, bytes: text.as_bytes() });
    let imported = import::read_files(&files, &Options::default(), &import::Unwatched).unwrap();
    let sizes: Vec<_> = imported.pattern.sizes.iter().map(ToString::to_string).collect();
    assert_eq!(sizes, ["38", "40"]);
    let by_size = &imported.pattern.pieces[0].by_size;
    assert!((by_size[1].edges[1].curve.length() - 88.0).abs() < 1e-9);
    assert_eq!(by_size[0].edges[1].id, by_size[1].edges[1].id);
}

#[test]
fn each_bad_file_gets_one_clear_error_with_its_place() {
    let square = polyline("1", &SQUARE);
    let good = file("4", &square);
    let cases = [
        (good.replace("\n100\n20\n0", "\n200,0\n20\n0"), "line 36: “200,0” (group 10) is no number"),
        (good.replace("\n100\n20\n0", "\n1e999\n20\n0"), "is no number"),
        (good.replace("\n100\n20\n0", "\n1e9\n20\n0"), "a POLYLINE reaches more than 100 m"),
        (good.replace("0\nSEQEND\n", ""), "the file ends inside a POLYLINE"),
        (good.replace("0\nPOLYLINE\n", "0\nPOINT\n"), "a VERTEX stands outside of a POLYLINE"),
        (good[..good.len() / 2].to_owned(), "the file ends inside a"),
        (good.replace("ENTITIES", "OBJECTS"), "no BLOCKS and no ENTITIES"),
        (good.replace("8\n1\n66", "eight\n1\n66"), "“eight” stands where DXF has a group code"),
        (file("4", "0\nCIRCLE\n8\n1\n10\n0\n20\n0\n"), "line 16: a CIRCLE has no radius"),
        (
            file(
                "4",
                "0\nLWPOLYLINE\n8\n1\n70\n1\n10\n0\n20\n0\n42\n1e300\n10\n100\n20\n2\n10\n100\n20\n100\n",
            ),
            "a LWPOLYLINE reaches more than 100 m",
        ),
        (file("4", ""), "no piece was found"),
    ];
    for (text, expected) in cases {
        let said = error(&text);
        assert!(said.contains(expected), "“{expected}” is not in: {said}");
        assert!(!said.contains('\n'));
    }
    let insert = |name: &str| format!("0\nINSERT\n8\n0\n2\n{name}\n10\n0\n20\n0\n");
    let block = |name: &str, body: &str| format!("0\nBLOCK\n2\n{name}\n10\n0\n20\n0\n{body}0\nENDBLK\n");
    let blocks = |blocks: &str, body: &str| {
        file("4", body).replace(
            "0\nSECTION\n2\nENT",
            &format!("0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n0\nSECTION\n2\nENT"),
        )
    };
    let itself = blocks(&block("A", &insert("A")), &insert("A"));
    assert!(error(&itself).contains("the block “A” inserts itself"));
    let mut fan = block("B0", &square);
    for k in 1..12 {
        fan.push_str(&block(&format!("B{k}"), &insert(&format!("B{}", k - 1)).repeat(10)));
    }
    let said = error(&blocks(&fan, &insert("B11")));
    assert!(said.contains("more than 1000000"), "{said}");
}

#[test]
fn a_file_without_end_mark_and_with_other_line_ends_and_letters_is_read() {
    let text =
        file("4", &format!("{}0\nTEXT\n8\n15\n10\n50\n20\n40\n40\n5\n1\nArmelé\n", polyline("1", &SQUARE)));
    let open = read(text.replace("0\nEOF\n", "").as_bytes()).unwrap();
    assert!(says(&open, "no end mark"));
    let windows = text.replace('\n', "\r\n");
    let latin: Vec<u8> = windows.chars().map(|c| u8::try_from(c).unwrap()).collect();
    for bytes in [windows.into_bytes(), latin] {
        // The only words on a piece that nothing else names are its name.
        assert_eq!(piece(&read(&bytes).unwrap(), "Armelé").texts[0].words, "Armelé");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(192))]

    #[test]
    fn a_file_with_random_changes_is_read_or_refused_without_harm(
        changes in proptest::collection::vec((any::<proptest::sample::Index>(), any::<u8>()), 1..10),
        binary in any::<bool>(),
    ) {
        let mut bytes = if binary { BINARY.to_vec() } else { KINDS.to_vec() };
        for (index, byte) in changes {
            let at = index.index(bytes.len());
            match byte % 4 {
                0 => bytes[at] = byte,
                1 if bytes.len() > 1 => { bytes.remove(at); }
                2 if byte > 200 => bytes.truncate(at.max(1)),
                _ => bytes.insert(at, b"0123456789.-eE \n"[usize::from(byte) % 16]),
            }
        }
        if let Ok(imported) = import::dxf::read(&bytes, &Options::default()) {
            prop_assert!(imported.pattern.faults().is_empty());
        }
    }
}

/// Three sizes of a cuff, a block a size, as ezdxf 1.4.5 writes each release; the name has a letter beyond ASCII, in
/// Windows-1252 up to 2004 and in UTF-8 since 2007.
const RELEASES: [(&str, &[u8]); 5] = [
    ("R12", include_bytes!("../data/import/cuff-R12.dxf")),
    ("2000", include_bytes!("../data/import/cuff-R2000.dxf")),
    ("2007", include_bytes!("../data/import/cuff-R2007.dxf")),
    ("2018", include_bytes!("../data/import/cuff-R2018.dxf")),
    ("2018, binary", include_bytes!("../data/import/cuff-R2018-binary.dxf")),
];

#[test]
fn sizes_in_blocks_are_read_from_every_release() {
    for (release, bytes) in RELEASES {
        let imported = read(bytes).unwrap_or_else(|error| panic!("{release}: {error}"));
        let sizes: Vec<_> = imported.pattern.sizes.iter().map(ToString::to_string).collect();
        assert_eq!(sizes, ["36", "38", "40"], "{release}");
        let [cuff] = &imported.pattern.pieces[..] else { panic!("{release}: {:?}", imported.findings) };
        assert_eq!(cuff.id.as_str(), "MANSCHETTE ä", "{release}");
        for (piece, width) in cuff.by_size.iter().zip([100.0, 110.0, 120.0]) {
            assert!((piece.bounding_box().width() - width).abs() < 1e-6, "{release}");
            assert_eq!((piece.edges.len(), piece.notches.len()), (4, 1), "{release}");
            let cut = &piece.cuttings[0];
            assert_eq!((cut.count, cut.how, cut.cloth), (2, HowCut::MirroredPair, ClothKind::Interfacing));
        }
    }
}

#[test]
fn sizes_by_line_type_in_a_plain_drawing() {
    let imported = read(include_bytes!("../data/import/line-types.dxf")).unwrap();
    assert_eq!(imported.readings[0].by, import::SizesBy::Dash);
    assert_eq!((imported.pattern.pieces.len(), imported.pattern.sizes.len()), (1, 3));
    let widths: Vec<f64> =
        imported.pattern.pieces[0].by_size.iter().map(|piece| piece.bounding_box().width()).collect();
    for (found, expected) in widths.iter().zip([100.0, 112.0, 124.0]) {
        assert!((found - expected).abs() < 1e-9, "{widths:?}");
    }
}

/// `layers-inch.dxf` was made by ezdxf (`data/import/by_hand.py`).
#[test]
fn layers_of_a_plain_drawing_are_sizes_and_lines_of_words_are_read_one_by_one() {
    let imported = read(include_bytes!("../data/import/layers-inch.dxf")).unwrap();
    assert_eq!(imported.readings[0].by, import::SizesBy::Layer);
    let sizes: Vec<_> = imported.pattern.sizes.iter().map(ToString::to_string).collect();
    assert_eq!(sizes, ["S", "M", "L"]);
    let [pocket] = &imported.pattern.pieces[..] else { panic!("{:?}", imported.findings) };
    assert_eq!(pocket.id.as_str(), "POCKET");
    for (piece, inches) in pocket.by_size.iter().zip([8.0, 9.0, 10.0]) {
        assert!((piece.bounding_box().width() - 25.4 * inches).abs() < 1e-6);
        assert_eq!(piece.cuttings[0].count, 2);
        // The grainline and a line to be marked lie on layers of no size, and so in every size.
        assert_eq!(piece.inner_lines.len(), 1);
        assert!((piece.grainline.to.distance(piece.grainline.from) - 127.0).abs() < 1e-6);
    }
}

#[test]
fn only_the_pieces_without_an_allowance_are_named_when_others_have_one() {
    let moved = |by: f64| SQUARE.map(|(x, y)| (x + by, y));
    let inner = [(10.0, 10.0), (90.0, 10.0), (90.0, 70.0), (10.0, 70.0)];
    let text = |name: &str, x: f64| format!("0\nTEXT\n8\n1\n10\n{x}\n20\n40\n40\n5\n1\nPiece Name: {name}\n");
    let block = |name: &str, body: &str| format!("0\nBLOCK\n2\n{name}\n10\n0\n20\n0\n{body}0\nENDBLK\n");
    let insert = |name: &str| format!("0\nINSERT\n8\n0\n2\n{name}\n10\n0\n20\n0\n");
    let sewn = polyline("1", &SQUARE) + &polyline("14", &inner) + &text("CUFF", 50.0);
    let bare = polyline("1", &moved(200.0)) + &text("YOKE", 250.0);
    let drawn = file("4", &(insert("A") + &insert("B"))).replace(
        "0\nSECTION\n2\nENT",
        &format!(
            "0\nSECTION\n2\nBLOCKS\n{}{}0\nENDSEC\n0\nSECTION\n2\nENT",
            block("A", &sewn),
            block("B", &bare)
        ),
    );
    let imported = read(drawn.as_bytes()).unwrap();
    assert!(says(&imported, "The outline of YOKE was taken for seam lines"), "{:?}", imported.findings);
    assert!(piece(&imported, "CUFF").edges.iter().all(|edge| edge.allowance.is_some()));
}

#[test]
fn what_is_said_of_one_of_several_files_names_it() {
    let whole = file("4", &polyline("1", &SQUARE));
    let open = whole.replace("0\nEOF\n", "");
    let named =
        [("apron-38", &whole), ("apron-40", &open)].map(|(name, text)| File { name, bytes: text.as_bytes() });
    let imported = import::read_files(&named, &Options::default(), &import::Unwatched).unwrap();
    assert!(says(&imported, "apron-40: The file has no end mark"), "{:?}", imported.findings);
    assert!(!says(&imported, "apron-38: The file has no end mark"));
}

/// A polyline of a thousand points in a block that is inserted 120 times by a block that is inserted 120 times: some
/// ten thousand entities, and tens of millions of numbers.
#[test]
fn fat_blocks_in_blocks_are_refused_by_what_they_weigh() {
    let points: Vec<(f64, f64)> =
        (0..1000).map(|step| (f64::from(step), f64::from(step * step % 97))).collect();
    let line = "0\nLINE\n8\n8\n10\n0\n20\n0\n11\n1\n21\n1\n";
    let insert = |name: &str| format!("0\nINSERT\n8\n0\n2\n{name}\n10\n0\n20\n0\n");
    let block = |name: &str, body: &str| format!("0\nBLOCK\n2\n{name}\n10\n0\n20\n0\n{body}0\nENDBLK\n");
    let nested = |times: usize| {
        let blocks = block("B0", &polyline("1", &points))
            + &block("B1", &format!("{line}{}", insert("B0").repeat(times)))
            + &block("B2", &format!("{line}{}", insert("B1").repeat(times)));
        file("4", &insert("B2")).replace(
            "0\nSECTION\n2\nENT",
            &format!("0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n0\nSECTION\n2\nENT"),
        )
    };
    let fat = nested(120);
    assert!(fat.len() < 64_000, "{} bytes", fat.len());
    let said = error(&fat);
    assert!(said.contains("more than 30000000 numbers and words, blocks counted"), "{said}");
    // A few of them are no reason.
    let few = read(nested(2).as_bytes()).err();
    assert!(few.is_none_or(|error| !error.to_string().contains("blocks counted")));
}

#[test]
fn words_run_as_they_were_turned_and_further_lines_stand_beside_them() {
    // The angle of TEXT, and the direction of MTEXT with its lines five thirds of their height apart.
    let text = "0\nTEXT\n8\n15\n10\n20\n20\n30\n40\n3\n50\n90\n1\nup\n";
    let lines = "0\nMTEXT\n8\n15\n10\n50\n20\n40\n40\n6\n11\n0\n21\n-1\n1\nfirst\\Psecond\n";
    let bytes = file("4", &format!("{}{text}{lines}", polyline("1", &SQUARE)));
    let files = [File { name: "", bytes: bytes.as_bytes() }];
    let drawings =
        import::drawings_of(&files, &Options::default(), &import::Unwatched, &mut Vec::new()).unwrap();
    let all: Vec<_> = drawings[0].1.groups.iter().flat_map(|group| &group.words).collect();
    let told = |words: &str| {
        let found = all.iter().find(|one| one.words == words).unwrap_or_else(|| panic!("{words}: {all:?}"));
        (found.at, found.along)
    };
    let close = |(at, along): (Point, Vec2), place: (f64, f64), way: (f64, f64)| {
        assert!(at.distance(Point::from(place)) < 1e-9, "{at} for {place:?}");
        assert!((along - Vec2::from(way)).hypot() < 1e-9, "{along} for {way:?}");
    };
    close(told("up"), (20.0, 30.0), (0.0, 1.0));
    close(told("first"), (50.0, 40.0), (0.0, -1.0));
    close(told("second"), (40.0, 40.0), (0.0, -1.0));
}
