//! What is refused, in one clear sentence each, and what must do no harm.

use super::{read, says, sheet};
use chalkbeam::import::{self, ImportError, Options, svg::SvgError as Svg};
use proptest::prelude::*;

const SQUARE: &str = "<path id=\"square\" d=\"M20 40H120V140H20Z\"/>";

#[test]
fn each_bad_drawing_gets_one_clear_error_with_its_place() {
    let with = |contents: &str| sheet(&format!("\n{SQUARE}\n  {contents}"));
    let cases = [
        (String::new(), "the file is empty"),
        ("   \n".to_owned(), "the file is empty"),
        ("{\"json\": 1}".to_owned(), "line 1, column 1"),
        ("<html><body/></html>".to_owned(), "this is a “html” file, not SVG"),
        (with("<g>"), "line 3, column"),
        (with("<path d=\"M0 0 L 1e400 5\"/>"), "line 3, column 3"),
        (with("<path d=\"M0 0 L 100 nan\"/>"), "is no path data"),
        (with("<path d=\"bad\"/>"), "in <path>, d=“bad” is no path data"),
        (with("<path d=\"M0 0 L 1e12 5\"/>"), "reaches more than 100 m"),
        (with("<rect width=\"-5\" height=\"5\"/>"), "is below 0"),
        (with("<rect width=\"5 apples\" height=\"5\"/>"), "width=“5 apples” is no length"),
        (with("<circle r=\"1em\"/>"), "measured in letters"),
        (with("<polygon points=\"1,2 3\"/>"), "is not pairs of numbers"),
        (with("<g transform=\"spin(5)\"/>"), "is no transform that can be followed"),
        (with("<use id=\"u\" href=\"#u\"/>"), "the clone (use) of “u” holds itself"),
        (with("<g id=\"g\"><use href=\"#g\"/></g>"), "the clone (use) of “g” holds itself"),
        (with("<g id=\"a\"><use href=\"#b\"/></g><g id=\"b\"><use href=\"#a\"/></g>"), "holds itself"),
        (sheet(""), "no piece was found"),
        (sheet("<path d=\"M10 10H50\"/>"), "no piece was found: the drawing has 1 line(s)"),
        (
            sheet("<path d=\"M20 40L120 140V40L20 120Z\"/>"),
            "no piece was found: The piece was left out: the outline crosses itself at (64.4, 115.6)",
        ),
        (
            sheet(SQUARE).replace("viewBox=\"0 0 200 200\"", "viewBox=\"0 0 0 200\""),
            "viewBox=“0 0 0 200” is not four numbers",
        ),
        (
            sheet(SQUARE).replace("width=\"200mm\"", "width=\"1e300mm\""),
            "is no size that a drawing could have",
        ),
        (sheet(SQUARE).replace("width=\"200mm\"", "width=\"0mm\""), "width or height is 0"),
    ];
    for (text, expected) in cases {
        let error = read(&text).expect_err(expected).to_string();
        assert!(error.contains(expected), "“{expected}” is not in: {error}");
        assert!(!error.contains('\n'));
    }
}

#[test]
fn bytes_that_are_no_text_are_refused_and_both_unicode_forms_are_read() {
    let read = |bytes: &[u8]| import::svg::read(bytes, &Options::default());
    assert_eq!(read(&[0x1f, 0x8b, 8, 0]).unwrap_err(), ImportError::Svg(Svg::Compressed));
    assert_eq!(read(&[0xff, 0x00, 0xfe, 0x80]).unwrap_err(), ImportError::Svg(Svg::NotText));
    assert_eq!(read(&[0xff, 0xfe, 0x3c]).unwrap_err(), ImportError::Svg(Svg::NotText));
    let text = sheet(SQUARE);
    let marked = format!("\u{feff}{text}");
    assert!(read(marked.as_bytes()).is_ok());
    for (mark, bytes) in
        [([0xff, 0xfe], u16::to_le_bytes as fn(u16) -> [u8; 2]), ([0xfe, 0xff], u16::to_be_bytes)]
    {
        let mut wide = mark.to_vec();
        wide.extend(text.encode_utf16().flat_map(bytes));
        assert!(read(&wide).is_ok());
    }
}

#[test]
fn a_doctype_is_read_and_a_bomb_of_entities_is_not() {
    let doctype = |subset: &str, body: &str| {
        format!(
            "<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\" \"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd\"{subset}>{}",
            sheet(body)
        )
    };
    assert!(read(&doctype("", SQUARE)).is_ok());
    // Short names for namespaces, as some drawing programs write.
    let names = " [<!ENTITY d \"M20 40H120V140H20Z\">]";
    assert!(read(&doctype(names, "<path d=\"&d;\"/>")).is_ok());
    // “Billion laughs”, and one long entity used often.
    let mut bomb = "<!ENTITY a0 \"ha\">".to_owned();
    for k in 1..12 {
        bomb.push_str(&format!("<!ENTITY a{k} \"{}\">", format!("&a{};", k - 1).repeat(10)));
    }
    let laughs = doctype(&format!(" [{bomb}]"), "<text>&a11;</text>");
    assert!(matches!(read(&laughs), Err(ImportError::Svg(Svg::Entities { .. }))));
    let long = doctype(&format!(" [<!ENTITY a \"{}\">]", "x".repeat(100_000)), &"&a;".repeat(10_000));
    assert!(matches!(read(&long), Err(ImportError::Svg(Svg::Entities { .. }))));
    let foreign = doctype(" [<!ENTITY a SYSTEM \"file:///etc/passwd\">]", "<text>&a;</text>");
    assert!(matches!(read(&foreign), Err(ImportError::Svg(Svg::Entities { .. }))));
}

#[test]
fn arcs_of_no_extent_and_of_endless_radius_do_no_harm() {
    let ends = ["1e-287 0", "1e-160 1e-170", "5 5", "1e200 1e200", "0 1e-9"];
    let radii = ["0 0", "1e-300 1e-300", "1e300 1e300", "1e300 1", "1e-300 1", "-5 5"];
    for end in ends {
        for radius in radii {
            for transform in ["", "scale(1e-3)", "scale(1e300)", "scale(0)", "scale(1 0)", "skewX(90)"] {
                let arc = format!("<path transform=\"{transform}\" d=\"M0 0A{radius} 30 1 1 {end}z\"/>");
                if let Ok(imported) = read(&sheet(&format!("{SQUARE}{arc}"))) {
                    assert!(imported.pattern.faults().is_empty());
                }
            }
        }
    }
}

#[test]
fn deep_groups_and_many_clones_do_no_harm() {
    let deep = sheet(&format!("{}{SQUARE}{}", "<g>".repeat(200_000), "</g>".repeat(200_000)));
    assert!(read(&deep).is_ok());
    // Each level clones the one before ten times: 10⁹ in all.
    let mut fan = format!("<g id=\"c0\">{SQUARE}</g>");
    for k in 1..10 {
        let uses = format!("<use href=\"#c{}\"/>", k - 1).repeat(10);
        fan.push_str(&format!("<g id=\"c{k}\">{uses}</g>"));
    }
    assert!(matches!(read(&sheet(&fan)), Err(ImportError::Svg(Svg::TooMany { .. }))));
}

#[test]
fn attributes_styles_and_clones_that_would_drown_the_reader_are_refused_or_read() {
    let refused = |text: &str, expected: &str| {
        let error = read(text).expect_err(expected).to_string();
        assert!(error.contains(expected), "“{expected}” is not in: {error}");
    };
    let many = |count: usize, one: fn(usize) -> String| (0..count).map(one).collect::<String>();
    let attributes = format!("<g {}>{SQUARE}</g>", many(200_000, |k| format!("a{k}=\"x\" ")));
    refused(&sheet(&attributes), "more than 1000 attributes of one element");
    let names = many(60_000, |k| format!("<g xmlns:a{k}=\"u{k}\">"));
    refused(&sheet(&format!("{names}{SQUARE}{}", "</g>".repeat(60_000))), "more than 100 prefixes");
    refused(&sheet(&"<g/>".repeat(4_000_000)), "more than 4000000 elements");
    let clones = "<use href=\"#p\"/>".repeat(90_000);
    let points = "l1 0 0 1 -1 0 0 -1".repeat(25_000);
    refused(
        &sheet(&format!("<path id=\"p\" d=\"M20 40{points}\"/>{clones}")),
        "more than 4000000 parts of lines",
    );
    let style = "a:b;".repeat(50_000);
    refused(
        &sheet(&format!("<path id=\"p\" style=\"{style}\" d=\"M2 4h9v9z\"/>{clones}")),
        "letters in clones",
    );
    let words = "ab ".repeat(50_000);
    refused(&sheet(&format!("<text id=\"p\">{words}</text>{clones}")), "letters in clones");
    let lines = format!("<path d=\"M20 40{}\"/>", "h1v1h-1v-1".repeat(400_000)).repeat(3);
    refused(&sheet(&lines), "more than 4000000 parts of lines");
    // A rule for each of many lines, and a later one that counts.
    let rules = many(100_000, |k| format!(".c{k}{{stroke:red}}"));
    let classes = many(200, |k| format!("c{k} "));
    let styled = format!("<path class=\"{classes}\" d=\"M1 1h2v2z\"/>").repeat(2000);
    let style = format!("<style>{rules}.x{{display:none}}path.x{{display:inline}}</style>");
    let square = SQUARE.replace("<path", "<path class=\"x\"");
    assert_eq!(read(&sheet(&format!("{style}{styled}{square}"))).unwrap().pattern.pieces.len(), 1);
}

#[test]
fn a_pile_of_filled_shapes_is_read_in_a_few_seconds_and_told() {
    let filled = format!("<g stroke=\"none\" fill=\"black\">{}</g>", SQUARE.repeat(30_000));
    let copies = import::read(sheet(&filled).as_bytes(), &Options::default()).unwrap();
    assert_eq!(copies.pattern.pieces.len(), 1, "one square, drawn again and again");
    assert!(says(&copies, "too many filled shapes close together"), "{:?}", copies.findings);
}

/// Each square lies in the next and has the same middle; filled and drawn in turn.
#[test]
fn squares_one_in_the_other_by_the_ten_thousand_are_refused() {
    let square = |k: u32| {
        let half = 5.0 + 0.01 * f64::from(k);
        let look = if k.is_multiple_of(2) { "fill=\"black\" stroke=\"none\"" } else { "stroke=\"red\"" };
        format!(
            "<rect x=\"{}\" y=\"{}\" width=\"{w}\" height=\"{w}\" {look}/>",
            600.0 - half,
            600.0 - half,
            w = 2.0 * half
        )
    };
    let error = read(&sheet(&(0..30_000).map(square).collect::<String>())).unwrap_err().to_string();
    assert!(error.contains("are too many to be pieces"), "{error}");
}

#[test]
fn a_hundred_thousand_lines_are_read_in_a_few_seconds() {
    let lines: String =
        (0..100_000_u32).map(|k| format!("<path d=\"M{} {}h1\"/>", 21 + k % 97, 41 + k % 89)).collect();
    let before = std::time::Instant::now();
    let imported = read(&sheet(&format!("<g id=\"square\">{SQUARE}{lines}</g>"))).unwrap();
    assert_eq!(imported.pattern.pieces[0].by_size[0].inner_lines.len(), 100_000);
    // Well under two seconds; a test machine may be busy.
    assert!(before.elapsed().as_secs() < 20, "{:?}", before.elapsed());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn a_drawing_with_random_changes_is_read_or_refused_without_harm(
        changes in proptest::collection::vec((any::<proptest::sample::Index>(), any::<u8>()), 1..10),
        shapes in any::<bool>(),
    ) {
        let text = if shapes {
            include_str!("../data/import/shapes.svg").to_owned()
        } else {
            crate::coat::svg::drawing(&crate::coat::drafted(), "1500mm", "1250mm")
        };
        let mut bytes = text.into_bytes();
        for (index, byte) in changes {
            let at = index.index(bytes.len());
            match byte % 4 {
                0 => bytes[at] = byte,
                1 if bytes.len() > 1 => { bytes.remove(at); }
                2 => bytes.truncate(at.max(1)),
                _ => bytes.insert(at, b"0123456789.-eMLCAZ()<>\"= "[usize::from(byte) % 25]),
            }
        }
        if let Ok(imported) = import::svg::read(&bytes, &Options::default()) {
            prop_assert!(imported.pattern.faults().is_empty());
        }
    }

    #[test]
    fn any_numbers_in_a_path_are_drawn_or_refused_without_harm(
        numbers in proptest::collection::vec(prop_oneof![-300.0..300.0_f64, any::<f64>(), Just(0.0)], 7..40),
        commands in "[MLHVCSQTAZmlhvcsqtaz]{1,12}",
    ) {
        let mut numbers = numbers.iter().cycle();
        let mut d = "M0 0".to_owned();
        for command in commands.chars() {
            let count = match command.to_ascii_lowercase() {
                'm' | 'l' | 't' => 2,
                'h' | 'v' => 1,
                's' | 'q' => 4,
                'c' => 6,
                'a' => 7,
                _ => 0,
            };
            d.push(command);
            for k in 0..count {
                let number = if command.eq_ignore_ascii_case(&'a') && (k == 3 || k == 4) {
                    "1".to_owned()
                } else {
                    numbers.next().unwrap().to_string()
                };
                d.push_str(&number);
                d.push(' ');
            }
        }
        if let Ok(imported) = read(&sheet(&format!("{SQUARE}<path d=\"{d}\"/>"))) {
            prop_assert!(imported.pattern.faults().is_empty());
        }
    }
}

#[test]
fn more_closed_lines_than_any_pattern_has_are_no_pieces() {
    let squares: String = (0..10_001)
        .map(|index| format!("<path d=\"M{} {}h30v30h-30Z\"/>", 40 * (index % 100), 40 * (index / 100)))
        .collect();
    let error = read(&sheet(&squares)).unwrap_err().to_string();
    assert!(
        error.contains("10001 closed lines, each larger than a mark, are too many to be pieces"),
        "{error}"
    );
}
