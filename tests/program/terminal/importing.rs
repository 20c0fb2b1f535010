//! `chalkbeam import`: results and their shape, several files, choices, corrections, and what is refused.

use super::{Table, stderr};
use serde_json::Value;

/// Two nested sizes on layers, with a fold that both share.
const LAYERS: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200">
  <title>Apron</title><g fill="none" stroke="black">
  <path id="fold" d="M20 10V190"/>
  <g id="s1" aria-label="size 38"><path d="M20 40H120V160H20"/></g>
  <g id="s2" aria-label="size 40"><path d="M20 30H130V170H20"/></g>
  <path d="M60 60V140"/><path d="M57 66L60 60L63 66"/>
  <text x="70" y="100" font-size="10">Bib</text></g></svg>"#;

fn json(output: &std::process::Output) -> Value {
    assert!(output.status.success(), "{}", stderr(output));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn the_json_of_an_import_names_pieces_sizes_lengths_areas_and_findings() {
    let table = Table::with_demo();
    table.write("apron.svg", LAYERS);
    let output = table.run(&["import", "apron.svg", "--out", "apron.pattern.ron", "--json"]);
    let report = json(&output);
    let keys: Vec<&str> = report.as_object().unwrap().keys().map(String::as_str).collect();
    assert_eq!(keys, ["findings", "pieces"]);
    let piece = &report["pieces"][0];
    assert_eq!(piece["name"], "Bib");
    let sizes = piece["sizes"].as_array().unwrap();
    assert_eq!(sizes.len(), 2);
    for (size, (name, width, height)) in sizes.iter().zip([("38", 100.0, 120.0), ("40", 110.0, 140.0)]) {
        assert_eq!(size["size"], name);
        let close = |key: &str, expected: f64| (size[key].as_f64().unwrap() - expected).abs() < 1e-3;
        assert!(close("outline_mm", 2.0 * (width + height)), "{size}");
        assert!(close("area_mm2", width * height), "{size}");
        assert_eq!(size["notches"], 0);
    }
    for finding in report["findings"].as_array().unwrap() {
        for key in ["what", "severity", "piece", "at_mm", "amount_mm", "remedy"] {
            assert!(finding.get(key).is_some(), "{key} in {finding}");
        }
    }
    assert!(table.read("apron.pattern.ron").contains("Apron"));
}

#[test]
fn several_files_are_sizes_and_a_person_chooses_how_sizes_are_told() {
    let table = Table::with_demo();
    let one = |side: u32| {
        format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200"><path id="cuff" d="M20 20h{side}v60h-{side}z"/></svg>"#
        )
    };
    table.write("cuff-38.svg", &one(100));
    table.write("cuff-40.svg", &one(110));
    let report =
        json(&table.run(&["import", "cuff-38.svg", "cuff-40.svg", "--out", "cuff.pattern.ron", "--json"]));
    let sizes: Vec<&Value> =
        report["pieces"][0]["sizes"].as_array().unwrap().iter().map(|size| &size["size"]).collect();
    assert_eq!(sizes, ["38", "40"]);
    table.write("apron.svg", LAYERS);
    let nested =
        one(100).replace("</svg>", "<path d=\"M24 24h92v52h-92z\"/><path d=\"M28 28h84v44h-84z\"/></svg>");
    table.write("nested.svg", &nested);
    for (how, sizes) in [("nesting", 3), ("nothing", 1)] {
        let output =
            table.run(&["import", "nested.svg", "--out", "x.pattern.ron", "--sizes-by", how, "--json"]);
        assert_eq!(json(&output)["pieces"][0]["sizes"].as_array().unwrap().len(), sizes);
    }
    let refused = table.run(&["import", "apron.svg", "--out", "y.pattern.ron", "--sizes-by", "dash"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        stderr(&refused).contains("apron.svg") && stderr(&refused).contains("no sizes by dash"),
        "{}",
        stderr(&refused)
    );
    assert!(!table.path("y.pattern.ron").exists());
    let unknown = table.run(&["import", "apron.svg", "--out", "y.pattern.ron", "--sizes-by", "smell"]);
    assert!(stderr(&unknown).contains("layer, dash, colour, text, nesting, nothing"), "{}", stderr(&unknown));
}

#[test]
fn corrections_beside_the_drawing_are_found_and_refused_once_it_has_changed() {
    let table = Table::with_demo();
    table.write("apron.svg", LAYERS);
    let bytes = std::fs::read(table.path("apron.svg")).unwrap();
    let source = chalkbeam::import::corrections::Source::of("apron", &bytes);
    let corrections = format!(
        r#"(format: "chalkbeam corrections", version: 1, sources: [(file: "apron", sha256: "{}")],
        corrections: [NamePiece(at: (80.0, 100.0), name: "apron bib"), NameEdge(at: (130.0, 100.0), name: "side")])"#,
        source.sha256
    );
    table.write("apron.svg.corrections.ron", &corrections);
    let named = json(&table.run(&["import", "apron.svg", "--out", "a.pattern.ron", "--json"]));
    assert_eq!(named["pieces"][0]["name"], "apron bib");
    assert!(table.read("a.pattern.ron").contains("\"side\""));
    table.write("apron.svg", &LAYERS.replace("H130", "H131"));
    let refused = table.run(&["import", "apron.svg", "--out", "b.pattern.ron"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(stderr(&refused).contains("another file"), "{}", stderr(&refused));
    assert!(!table.path("b.pattern.ron").exists());
    let missing =
        table.run(&["import", "apron.svg", "--out", "b.pattern.ron", "--corrections", "nowhere.ron"]);
    assert!(stderr(&missing).contains("nowhere.ron"));
}

#[test]
fn a_scan_without_a_scale_asks_for_it() {
    let table = Table::with_demo();
    let scan = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/job/data/import/rectangle-scan-without-scale.png");
    std::fs::copy(scan, table.path("scan.png")).unwrap();
    let asked = table.run(&["import", "scan.png", "--out", "s.pattern.ron"]);
    assert_eq!(asked.status.code(), Some(2));
    assert!(stderr(&asked).contains("how many dots make an inch"), "{}", stderr(&asked));
    let by_dots = table.run(&["import", "scan.png", "--out", "s.pattern.ron", "--dpi", "100", "--json"]);
    let outline = json(&by_dots)["pieces"][0]["sizes"][0]["outline_mm"].as_f64().unwrap();
    assert!((outline - 200.0).abs() < 1.0, "{outline}");
    let ruler = "59.06,47.24 295.28,47.24 = 60 mm";
    let by_ruler = table.run(&["import", "scan.png", "--out", "r.pattern.ron", "--ruler", ruler, "--json"]);
    let outline = json(&by_ruler)["pieces"][0]["sizes"][0]["outline_mm"].as_f64().unwrap();
    assert!((outline - 200.0).abs() < 1.0, "{outline}");
    assert_eq!(
        table.run(&["import", "scan.png", "--out", "z.pattern.ron", "--ruler", "here"]).status.code(),
        Some(2)
    );
}
