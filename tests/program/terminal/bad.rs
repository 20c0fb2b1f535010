//! Bad input: one message that names the file, the place and what to do; exit 2; nothing touched.

use super::{GARMENT, PATTERN, Table, measured};

fn says(message: &str, wanted: &[&str]) {
    for word in wanted {
        assert!(message.contains(word), "no “{word}” in\n{message}");
    }
}

#[test]
fn a_file_with_nothing_in_it() {
    let table = Table::with_demo();
    let file = measured(&table, |_| " \n".to_owned());
    says(&table.refuses(&["aim", file]), &[file, "empty"]);
    table.write(PATTERN, "");
    says(&table.refuses(&["check", GARMENT]), &[PATTERN, "empty"]);
    table.write(GARMENT, "");
    says(&table.refuses(&["check", GARMENT]), &[GARMENT, "empty"]);
}

#[test]
fn a_file_that_was_cut_off() {
    let table = Table::with_demo();
    for name in [PATTERN, GARMENT] {
        let whole = table.read(name);
        // A cut at any place is noticed, in the middle of a word or a number as well.
        for eighths in 1..8 {
            let mut end = whole.len() * eighths / 8;
            while !whole.is_char_boundary(end) {
                end -= 1;
            }
            table.write(name, &whole[..end]);
            says(&table.refuses(&["check", GARMENT]), &[name]);
        }
        table.write(name, &whole);
    }
    let file = measured(&table, |text| text[..text.len() / 2].to_owned());
    says(&table.refuses(&["aim", file]), &[file]);
}

#[test]
fn a_number_that_no_table_has() {
    let million = "7".repeat(1_000_000);
    for number in ["1e9", "1e999", "-1e9", "NaN", "inf", &million] {
        let table = Table::with_demo();
        table.change(GARMENT, "stand: (at: (-590.0,", &format!("stand: (at: ({number},"));
        says(&table.refuses(&["check", GARMENT]), &[GARMENT]);

        let table = Table::with_demo();
        table.change(PATTERN, "start: (0.0, -720.0)", &format!("start: ({number}, -720.0)"));
        says(&table.refuses(&["check", GARMENT]), &[PATTERN]);

        let file = measured(&table, |text| text.replacen("96.0", number, 1));
        says(&table.refuses(&["aim", file, "--json"]), &[file]);
        let file = measured(&table, |text| text.replacen("mm: 1813.0", &format!("mm: {number}"), 1));
        says(&table.refuses(&["aim", file]), &[file]);
    }
    for length in ["1e9 mm", "NaN mm", "-5 mm", "wide", "138 furlongs"] {
        let table = Table::with_demo();
        table.change(GARMENT, "width: \"138 cm\"", &format!("width: \"{length}\""));
        says(&table.refuses(&["check", GARMENT]), &[GARMENT, "width"]);
    }
}

#[test]
fn an_outline_that_is_open_or_crosses_itself() {
    let table = Table::with_demo();
    let (open, crossing) = ("Line((0.0, -719.0))", "Line((500.0, 500.0)), Line((0.0, -720.0))");
    for (change, wanted) in [(open, "back"), (crossing, "back")] {
        let table = Table::with_demo();
        table.change(
            PATTERN,
            "start: (0.0, 400.0), path: [Line((0.0, -720.0))]",
            &format!("start: (0.0, 400.0), path: [{change}]"),
        );
        says(&table.refuses(&["check", GARMENT]), &[PATTERN, wanted, "84"]);
        table.refuses(&["still", GARMENT, "--out", "frame.png"]);
        table.refuses(&["export", GARMENT, "--out", "coat.svg"]);
    }
    assert_eq!(table.files().len(), 2);
}

#[test]
fn files_that_are_not_what_was_asked_for() {
    let table = Table::with_demo();
    says(&table.refuses(&["check", "coat.garment.ron"]), &["coat.garment.ron", "no such file"]);
    says(&table.refuses(&["check", "."]), &["folder"]);
    says(&table.refuses(&["aim", "."]), &["folder"]);
    says(&table.refuses(&["."]), &["folder"]);
    says(&table.refuses(&["check", PATTERN]), &[PATTERN, "chalkbeam garment"]);
    std::fs::write(table.path("picture.png"), [0x89, b'P', b'N', b'G', 0xff, 0xfe]).unwrap();
    says(&table.refuses(&["check", "picture.png"]), &["picture.png", "not a text"]);

    std::fs::remove_file(table.path(PATTERN)).unwrap();
    says(&table.refuses(&["check", GARMENT]), &[GARMENT, PATTERN]);
    std::fs::create_dir(table.path(PATTERN)).unwrap();
    says(&table.refuses(&["check", GARMENT]), &[GARMENT, PATTERN]);
}

#[test]
fn a_version_that_is_not_known() {
    for name in [GARMENT, PATTERN] {
        for version in ["2", "0", "99999999999999999999"] {
            let table = Table::with_demo();
            table.change(name, "version: 1", &format!("version: {version}"));
            says(&table.refuses(&["check", GARMENT]), &[name]);
        }
        let table = Table::with_demo();
        table.change(name, "version: 1", "version: 7");
        says(&table.refuses(&["check", GARMENT]), &[name, "7", "version"]);
    }
}

#[test]
fn a_misspelt_field_is_told_with_what_was_meant() {
    let table = Table::with_demo();
    table.change(GARMENT, "alterations:", "alteratons:");
    says(&table.refuses(&["check", GARMENT]), &["alteratons", "did you mean “alterations”", ".ron:16"]);
    let table = Table::with_demo();
    table.change(PATTERN, "balance_lines:", "balance_line:");
    says(&table.refuses(&["check", GARMENT]), &[PATTERN, "balance_line", "balance_lines"]);
    let file = measured(&table, |text| text.replacen("picture:", "pictur:", 1));
    says(&table.refuses(&["aim", file]), &["pictur", "did you mean “picture”"]);
    let table = Table::with_demo();
    table.change(GARMENT, "size: \"88\"", "size: \"89\"");
    says(&table.refuses(&["check", GARMENT]), &[GARMENT, "89", "84, 88, 92"]);
}

#[test]
fn results_that_cannot_be_written() {
    let table = Table::with_demo();
    let message = table.refuses(&["export", GARMENT, "--out", "missing/coat.svg"]);
    says(&message, &["missing/coat.svg"]);
    std::fs::create_dir(table.path("coat.svg")).unwrap();
    says(&table.refuses(&["export", GARMENT, "--out", "coat.svg"]), &["coat.svg"]);
    // The garment itself is never what is written to.
    for command in ["export", "still"] {
        for target in [GARMENT, PATTERN, "coat"] {
            says(&table.refuses(&[command, GARMENT, "--out", target]), &[target, "--out"]);
        }
    }
}

#[test]
fn a_size_that_is_none() {
    let table = Table::with_demo();
    for size in ["big", "1920", "x", "0x0", "-5x5", "1920x", "99999x99999", "1e3x1e3", "1920x1080x3", ""] {
        let message = table.refuses(&["still", GARMENT, "--out", "f.png", &format!("--size={size}")]);
        says(&message, &["1920x1080"]);
    }
}

#[test]
fn commands_that_are_not_whole() {
    let table = Table::with_demo();
    table.refuses(&["still", GARMENT]);
    table.refuses(&["check"]);
    table.refuses(&["aim", "a.ron", "--jsn"]);
    table.refuses(&["export", GARMENT, "--out"]);
}

#[test]
fn marks_that_give_no_aim() {
    let table = Table::with_demo();
    let three = measured(&table, |text| {
        let mark = "(picture: (96.0, 54.0)),";
        assert!(text.contains(mark));
        text.replacen(mark, "", 1)
    });
    says(&table.refuses(&["aim", three]), &[three]);

    let placed = |marks: [((f64, f64), (f64, f64)); 4]| {
        let lines = marks.map(|(picture, surface)| format!("(picture: {picture:?}, surface: {surface:?}),"));
        format!("(picture_size: (1920, 1080), marks: [{}])", lines.join("\n"))
    };
    let picks = [(96.0, 1026.0), (1824.0, 1026.0), (1824.0, 54.0), (96.0, 54.0)];
    let places = [(0.0, 0.0), (1800.0, 0.0), (1750.0, 1000.0), (30.0, 990.0)];
    let pair = |order: [usize; 4], places: [(f64, f64); 4]| {
        let marks = [0, 1, 2, 3].map(|mark| (picks[order[mark]], places[mark]));
        placed(marks)
    };
    table.write("good.ron", &pair([0, 1, 2, 3], places));
    table.prints(&["aim", "good.ron"]);

    table.write("crossed.ron", &pair([0, 2, 1, 3], places));
    says(&table.refuses(&["aim", "crossed.ron"]), &["crossed.ron", "cross"]);
    table.write("mirrored.ron", &pair([1, 0, 3, 2], places));
    says(&table.refuses(&["aim", "mirrored.ron", "--json"]), &["mirrored.ron", "mirror"]);
    let line = [(0.0, 0.0), (600.0, 0.0), (1200.0, 0.0), (1800.0, 0.0)];
    table.write("collinear.ron", &pair([0, 1, 2, 3], line));
    says(&table.refuses(&["aim", "collinear.ron"]), &["collinear.ron", "line"]);
}

#[test]
fn a_garment_with_no_aim_has_no_frame_but_can_be_checked() {
    let table = Table::with_demo();
    let text = table.read(GARMENT);
    let aims = text.find("    aims: [").unwrap();
    table.write(GARMENT, &format!("{})\n", &text[..aims]));
    table.prints(&["check", GARMENT]);
    says(&table.refuses(&["still", GARMENT, "--out", "frame.png"]), &["aim", "four marks"]);
}
