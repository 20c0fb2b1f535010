//! The pattern file: what is refused, and in which words.

use super::{demo, drafted};
use chalkbeam::pattern::{FaultKind, Pattern, PatternFileError};
use proptest::prelude::*;
use std::fs;

fn text() -> String {
    drafted().to_ron()
}

/// A demo file in which the first `from` after `after` is replaced.
fn mended(after: &str, from: &str, to: &str) -> String {
    let text = text();
    let start = text.find(after).expect("the place is in the file");
    let (before, rest) = text.split_at(start);
    assert!(rest.contains(from), "{from}");
    format!("{before}{}", rest.replacen(from, to, 1))
}

/// The message for a bad text, which must name the file, a line and a column.
fn message(text: &str) -> String {
    let error = Pattern::parse(text, "coat.pattern.ron").expect_err("the text is bad");
    let message = error.to_string();
    assert!(message.contains("coat.pattern.ron"), "{message}");
    message
}

fn kinds(text: &str) -> Vec<FaultKind> {
    match Pattern::parse(text, "coat") {
        Err(PatternFileError::Faulty { faults, .. }) => {
            assert!(faults.iter().all(|fault| fault.place.is_some()), "{faults:?}");
            faults.into_iter().map(|fault| fault.fault.kind).collect()
        }
        other => panic!("{other:?}"),
    }
}

/// Each text is refused, in a message that names a line and holds the words.
fn refuses(cases: Vec<(String, &[&str])>) {
    for (bad, expected) in cases {
        let message = message(&bad);
        assert!(message.contains("line "), "{message}");
        for words in expected {
            assert!(message.contains(words), "“{words}” is not in:\n{message}");
        }
    }
}

#[test]
fn misspelt_words_and_other_formats_are_refused_with_line_and_remedy() {
    refuses(vec![
        (
            mended("", "allowance: \"15 mm\"", "alowance: \"15 mm\""),
            &["line 7, column 5", "no field “alowance”", "Did you mean “allowance”?", "^"],
        ),
        (mended("", "role: Hem", "role: Hemm"), &["line 17", "“Hemm”", "Did you mean “Hem”?"]),
        (mended("", "number: 1,", ""), &["“number” is missing", "Add"]),
        (mended("", "number: 1,", "number: one,"), &["line 12", "number"]),
        (mended("", "\"15 mm\"", "\"15\""), &["line 7", "has no unit"]),
        (mended("", "\"15 mm\"", "\"-15 mm\""), &["line 7", "allowance of -15 mm", "between 0 and 500 mm"]),
        (
            mended("", "version: 1", "version: 7"),
            &["line 4", "version 7", "reads version 1", "chalkbeam that wrote it"],
        ),
        (
            mended("", "chalkbeam pattern", "knitting chart"),
            &["line 3", "“knitting chart”", "Choose a .pattern.ron file"],
        ),
    ]);
}

#[test]
fn shapes_that_cannot_be_cut_are_refused_with_piece_size_and_place() {
    refuses(vec![
        (
            mended("", "(390.556247, -668.582295)", "(390.556247, -667.5)"),
            &[
                "piece “back”, size 88, edge “hem”",
                "the outline is open",
                "“side” begins 1.08 mm away",
                "(390.56, -668.58)",
                "Move",
            ],
        ),
        (
            mended("", "Line((265.0, -200.0))", "Line((265.0, NaN))"),
            &["piece “back”, size 88, edge “side”", "not finite"],
        ),
        (mended("", "Line((265.0, -200.0))", "Line((265.0, inf))"), &["size 88", "not finite"]),
        (mended("", "Line((265.0, -200.0))", "Line((265000.0, -200.0))"), &["265000 mm is more than 100 m"]),
        (
            mended("", "Cubic((239.118095, -103.407417)", "Cubic((-400.0, -900.0)"),
            &["size 88", "the outline crosses itself at (", "Move the lines apart"],
        ),
        (
            mended(
                "",
                "(edge: \"hem\", start: (0.0, -720.0), path: [Arc",
                "(edge: \"hem\", start: (0.0, -720.0), path: [Bow",
            ),
            &["“Bow”", "Line, Cubic, Arc"],
        ),
        (mended("", "sweep_degrees: 15.0", "sweep_degrees: 400.0"), &["sweeps 400 degrees"]),
    ]);
}

#[test]
fn names_that_stand_for_nothing_are_refused_with_the_closest_that_does() {
    refuses(vec![
        (
            mended("", "id: \"side\", from: \"hem side\"", "id: \"hem\", from: \"hem side\""),
            &["edge “hem”", "twice"],
        ),
        (
            mended("", "to: \"underarm\"", "to: \"underarn\""),
            &["edge “side”", "ends at corner “underarn”", "“armhole”, begins at “underarm”"],
        ),
        (
            mended("", "edge: \"armhole\", from", "edge: \"amhole\", from"),
            &["line 25", "Did you mean “armhole”?"],
        ),
        (
            mended("", "edge: \"armhole\", from: \"underarm\"", "edge: \"armhole\", from: \"hem side\""),
            &["line 25", "no end of the edge “armhole”", "“underarm” or “shoulder tip”"],
        ),
        (
            mended(
                "",
                "(notch: \"armhole back\", distance: 95.0)",
                "(notch: \"armhole back\", distance: 950.0)",
            ),
            &["size 84, notch “armhole back”", "950.00 mm along", "232.96 mm long"],
        ),
        (mended("", "size: \"88\"", "size: \"89\""), &["no size “89”"]),
        (mended("", "size: \"88\"", "size: \"84\""), &["piece “back”", "size “84” is there twice"]),
    ]);
}

#[test]
fn darts_folds_seams_and_sizes_that_do_not_fit_are_refused() {
    refuses(vec![
        (
            mended("", "role: DartMouth(\"bust\")", "role: DartMouth(\"best\")"),
            &["no dart “best”", "Did you mean “bust”?"],
        ),
        (mended("", "role: DartMouth(\"bust\")", "role: Seam"), &["dart “bust”", "no edge has the role"]),
        (
            mended("darts: [", "pressed_toward: \"dart lower\"", "pressed_toward: \"underarm\""),
            &["pressed toward “underarm”", "“dart lower” or “dart upper”"],
        ),
        (mended("", "role: Fold", "role: Seam"), &["cutting list", "no edge has the role Fold"]),
        (
            mended(
                "seams",
                "edges: [\"side upper\", \"side lower\"]",
                "edges: [\"side lower\", \"side upper\"]",
            ),
            &["seam “side”", "“side lower” does not begin at corner “underarm”"],
        ),
        (
            mended("seams", "edges: [\"side upper\", \"side lower\"]", "edges: [\"side uper\"]"),
            &["seam “side”", "no edge “side uper”", "Did you mean “side upper”?"],
        ),
        (mended("seams", "piece: \"front\"", "piece: \"frond\""), &["no piece “frond”", "“front”"]),
        (mended("seams", "from: \"underarm\"", "from: \"under\""), &["no corner “under”"]),
        (mended("", "sizes: [\"84\", \"88\"", "sizes: [\"84\", \"84\""), &["size “84” is there twice"]),
        (
            mended("", "grainline: (from: (90.0, -450.0)", "grainline: (from: (90.0, 250.0)"),
            &["grainline", "same place"],
        ),
        (mended("", "    pieces: [", "    pieces: [ ["), &["line"]),
        (format!("{}x", text()), &["ended"]),
    ]);
}

#[test]
fn a_clockwise_outline_is_refused() {
    // The square of the smallest file, drawn the wrong way round.
    let square = |points: [(f64, f64); 4]| {
        let corners = ["a", "b", "c", "d"];
        let edges: Vec<_> = (0..4)
            .map(|k| {
                format!(
                    "(id: \"{k}\", from: \"{}\", to: \"{}\", role: Seam)",
                    corners[k],
                    corners[(k + 1) % 4]
                )
            })
            .collect();
        let drawn: Vec<_> = (0..4)
            .map(|k| {
                format!("(edge: \"{k}\", start: {:?}, path: [Line({:?})])", points[k], points[(k + 1) % 4])
            })
            .collect();
        format!(
            "(format: \"chalkbeam pattern\", version: 1, name: \"Square\", sizes: [\"one\"], allowance: \"1 cm\",
              hem_allowance: \"5/8 in\", pieces: [(id: \"square\", number: 1, cuttings: [(cloth: Lining, count: 1,
              how: Single)], edges: [{}], drawn: [(size: \"one\", edges: [{}],
              grainline: (from: (50, 10), up: (50, 90)))])])",
            edges.join(", "),
            drawn.join(", ")
        )
    };
    let points = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)];
    let pattern = Pattern::parse(&square(points), "square").unwrap();
    assert_eq!(pattern.hem_allowance.to_string(), "5/8 in");
    let backwards = square([points[0], points[3], points[2], points[1]]);
    assert!(kinds(&backwards).contains(&FaultKind::Clockwise));
    assert!(message(&backwards).contains("the other way round"));
    let bow_tie = square([points[0], points[2], points[1], points[3]]);
    assert!(matches!(kinds(&bow_tie)[..], [FaultKind::CrossesItself(_) | FaultKind::NoArea(_)]));
    let spike = square([points[0], points[1], points[2], (100.0, -50.0)]);
    assert!(matches!(kinds(&spike)[..], [FaultKind::DoublesBack(_)]));
}

#[test]
fn every_fault_of_a_file_is_told_at_once() {
    let bad = mended("", "distance: 95.0", "distance: 950.0").replacen(
        "from: (90.0, -450.0)",
        "from: (90.0, 250.0)",
        1,
    );
    assert_eq!(kinds(&bad).len(), 2);
}

#[test]
fn no_file_an_empty_file_and_a_file_of_another_kind_are_told_apart() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("nothing.pattern.ron");
    assert!(Pattern::read(&path).unwrap_err().to_string().contains("cannot be read"));
    for text in ["", " \n\t ", "// only a comment\n"] {
        fs::write(&path, text).unwrap();
        assert!(matches!(Pattern::read(&path), Err(PatternFileError::Empty { .. })));
    }
    fs::write(&path, b"(name: \"\xff\xfe\")").unwrap();
    let message = Pattern::read(&path).unwrap_err().to_string();
    assert!(message.contains("line 1, column 9") && message.contains("not text"), "{message}");
    let huge = fs::File::create(&path).unwrap();
    huge.set_len(65 * 1024 * 1024).unwrap();
    assert!(matches!(Pattern::read(&path), Err(PatternFileError::TooLarge { .. })));
    assert!(matches!(Pattern::read(folder.path()), Err(PatternFileError::Unreadable { .. })));
}

#[test]
fn a_file_cut_short_says_so() {
    let text = text();
    for part in [2, 3, 10] {
        let cut = &text[..text.len() / part];
        assert!(matches!(Pattern::parse(cut, "coat"), Err(PatternFileError::CutShort { .. })));
    }
}

#[test]
fn deep_brackets_are_refused() {
    for open in ["(", "[", "(pieces: [", "{"] {
        assert!(Pattern::parse(&open.repeat(100_000), "deep").is_err());
    }
}

#[test]
fn writing_replaces_the_file_as_a_whole_and_leaves_nothing_else_behind() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("coat.pattern.ron");
    fs::write(&path, "something older").unwrap();
    drafted().write(&path).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), text());
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    // A pattern with a fault could not be read back; the old file stays.
    let mut bad = drafted();
    bad.sizes.clear();
    assert!(matches!(bad.write(&path), Err(PatternFileError::Faulty { .. })));
    assert_eq!(fs::read_to_string(&path).unwrap(), text());
    let nowhere = folder.path().join("no folder").join("coat.pattern.ron");
    assert!(matches!(drafted().write(nowhere), Err(PatternFileError::Unwritable { .. })));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn a_file_cut_anywhere_is_refused_without_harm(cut in 0.0..1.0_f64) {
        let text = text();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a small length")]
        let cut = (cut * (text.len() - 2) as f64) as usize;
        prop_assert!(Pattern::parse(&text[..cut], "cut").is_err());
    }

    #[test]
    fn a_file_with_random_changes_is_read_or_refused_without_harm(
        changes in proptest::collection::vec((any::<proptest::sample::Index>(), any::<u8>()), 1..12)
    ) {
        let mut bytes = text().into_bytes();
        for (index, byte) in changes {
            let at = index.index(bytes.len());
            match byte % 3 {
                0 => bytes[at] = byte,
                1 => { bytes.remove(at); }
                _ => bytes.insert(at, b"0123456789.-e()[]\",:"[usize::from(byte) % 20]),
            }
        }
        if let Ok(pattern) = Pattern::parse(&String::from_utf8_lossy(&bytes), "changed") {
            prop_assert!(pattern.faults().is_empty());
        }
    }

    #[test]
    fn any_written_shape_is_read_back(
        points in proptest::collection::vec((-900_000..900_000_i32, -900_000..900_000_i32), 6),
        size in 0..5_usize,
    ) {
        // Bend the back's side by whole thousandths of a millimetre, and move a mark: names and all stay.
        let mut pattern = drafted();
        let piece = &mut pattern.pieces[0].by_size[size];
        let mut bent = chalkbeam::pattern::Piece::clone(piece);
        let mm = |k: usize| chalkbeam::geometry::Point::new(f64::from(points[k].0) / 1e3, f64::from(points[k].1) / 1e3);
        bent.grainline.from = mm(0);
        bent.grainline.to = mm(1);
        bent.inner_lines = vec![chalkbeam::pattern::InnerLine {
            name: "bent, \"with\" \\ signs\n".to_owned(),
            curve: chalkbeam::geometry::Curve::cubic(mm(2), mm(3), mm(4), mm(5)),
        }];
        prop_assume!(bent.grainline.from.distance(bent.grainline.to) > 1.0);
        *piece = std::sync::Arc::new(bent);
        let text = pattern.to_ron();
        let read = Pattern::parse(&text, "bent").unwrap();
        prop_assert_eq!(&read.pieces[0].by_size[size].inner_lines, &pattern.pieces[0].by_size[size].inner_lines);
        prop_assert_eq!(read.pieces[0].by_size[size].grainline, pattern.pieces[0].by_size[size].grainline);
        let again = Pattern::parse(&read.to_ron(), "again").unwrap();
        prop_assert!(again == read);
    }
}

#[test]
fn the_demo_file_is_small_enough_to_read_by_eye() {
    let bytes = fs::metadata(demo("garden-coat.pattern.ron")).unwrap().len();
    assert!(bytes < 100_000, "{bytes}");
}
