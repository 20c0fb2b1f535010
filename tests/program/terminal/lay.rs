//! `chalkbeam lay`: what it answers, that it keeps the rules, and what it says of cloth that can't be.

use super::{GARMENT, PATTERN, Table};
use serde_json::Value;
use std::time::{Duration, Instant};

fn lay(table: &Table, more: &[&str]) -> Value {
    let mut arguments = vec!["lay", GARMENT, "--json"];
    arguments.extend(more);
    serde_json::from_str(&table.prints(&arguments)).unwrap()
}

fn whats(report: &Value, grade: &str) -> Vec<String> {
    let findings = report["findings"].as_array().unwrap().iter();
    let graded = findings.filter(|finding| finding["severity"] == grade);
    graded.map(|finding| format!("{}; {}", finding["what"], finding["remedy"])).collect()
}

fn has(words: &[String], parts: &[&str]) {
    assert!(
        words.iter().any(|words| parts.iter().all(|part| words.contains(part))),
        "no {parts:?} in {words:#?}"
    );
}

const BUDGET: [&str; 2] = ["--moves", "150"];

/// The demo with one thing changed in its garment.
fn changed(from: &str, to: &str) -> Table {
    let table = Table::with_demo();
    table.change(GARMENT, from, to);
    table
}

#[test]
fn two_seconds_lay_the_coat_with_every_rule_kept() {
    let table = Table::with_demo();
    let begun = Instant::now();
    let report = lay(&table, &["--seconds", "2"]);
    // The search, and what a busy machine takes to start a program and to read the files.
    assert!(begun.elapsed() < Duration::from_secs(20), "{:?}", begun.elapsed());
    let none: Vec<String> = Vec::new();
    assert_eq!((whats(&report, "stop"), whats(&report, "warning")), (none.clone(), none));
    let cloth = &report["cloths"][0];
    // By hand, as the demo comes, it takes 2386 mm; 2600 mm are at hand.
    assert!(cloth["used_mm"].as_f64().unwrap() <= 2386.0, "{cloth}");
    assert_eq!(cloth["short_by_mm"], Value::Null);
}

#[test]
fn the_answer_has_the_shape_that_is_promised_and_leaves_the_file_alone() {
    let table = Table::with_demo();
    let before = table.files();
    let report = lay(&table, &BUDGET);
    assert_eq!(table.files(), before);
    let mut keys: Vec<&String> = report.as_object().unwrap().keys().collect();
    keys.sort();
    assert_eq!(keys, ["cloths", "findings"]);
    let cloth = report["cloths"][0].as_object().unwrap();
    for key in ["name", "used_mm", "bound_mm", "bound_kind", "density", "places"] {
        assert!(cloth.contains_key(key), "{key}");
    }
    let (used, bound) = (cloth["used_mm"].as_f64().unwrap(), cloth["bound_mm"].as_f64().unwrap());
    assert!(bound > 0.0 && bound <= used && cloth["density"].as_f64().unwrap() <= 1.0);
    let places = cloth["places"].as_array().unwrap();
    // One back, two fronts, and two of three and one of one kind of facing (the cutting list of the pattern).
    assert_eq!(places.len(), 10);
    for place in places {
        let mut keys: Vec<&String> = place.as_object().unwrap().keys().collect();
        keys.sort();
        assert_eq!(keys, ["copy", "mirrored", "piece", "turn_degrees", "x_mm", "y_mm"]);
    }
}

#[test]
fn a_seed_with_a_number_of_moves_gives_the_same_lay_and_more_moves_no_longer_one() {
    let table = Table::with_demo();
    let of_seed = |moves: &str| lay(&table, &["--seed", "3", "--moves", moves])["cloths"][0].clone();
    let (first, again) = (of_seed("150"), of_seed("150"));
    assert_eq!(first, again);
    let longer = of_seed("400");
    assert!(longer["used_mm"].as_f64().unwrap() <= first["used_mm"].as_f64().unwrap());
}

#[test]
fn a_lay_that_is_written_is_the_garments_and_stops_nothing() {
    let table = Table::with_demo();
    let report = lay(&table, &["--moves", "150", "--write"]);
    let check: Value =
        serde_json::from_str(&String::from_utf8_lossy(&table.run(&["check", GARMENT, "--json"]).stdout))
            .unwrap();
    let used = report["cloths"][0]["used_mm"].as_f64().unwrap();
    assert!(used > 0.0);
    let again = lay(&table, &["--moves", "1", "--keep"]);
    assert!((again["cloths"][0]["used_mm"].as_f64().unwrap() - used).abs() < 0.01, "all of it is kept");
    let grave = check["findings"].as_array().unwrap().iter().filter(|finding| finding["about"] == "lay");
    assert!(grave.filter(|finding| finding["severity"] == "stop").count() == 0, "{check}");
}

#[test]
fn what_is_pinned_or_cut_stays_where_it_lies() {
    let at = |report: &Value, piece: &str, copy: u64| {
        let places = report["cloths"][0]["places"].as_array().unwrap().clone();
        let place =
            places.into_iter().find(|place| place["piece"] == piece && place["copy"] == copy).unwrap();
        (place["x_mm"].as_f64().unwrap(), place["y_mm"].as_f64().unwrap())
    };
    let pinned = changed("    stand: (at:", "    lay_rules: (pinned: [(\"back\", 1)]),\n    stand: (at:");
    assert_eq!(at(&lay(&pinned, &BUDGET), "back", 1), (700.0, 969.8));
    let cut = changed(
        "    stand: (at:",
        "    progress: [(piece: \"front\", copy: 2, state: Cut)],\n    stand: (at:",
    );
    assert_eq!(at(&lay(&cut, &BUDGET), "front", 2), (1960.0, 969.8));
}

#[test]
fn the_need_of_another_width_is_one_command() {
    let table = Table::with_demo();
    let used = |more: &[&str]| lay(&table, more)["cloths"][0]["used_mm"].as_f64().unwrap();
    let (wide, narrow) =
        (used(&["--moves", "150", "--width", "180cm"]), used(&["--moves", "150", "--width", "100 cm"]));
    assert!(narrow > wide, "{narrow} on 100 cm, {wide} on 180 cm");
    let refused = table.refuses(&["lay", GARMENT, "--width", "wide"]);
    assert!(refused.contains("--width"), "{refused}");
}

#[test]
fn cloth_that_is_too_short_says_by_how_much_and_what_would_help() {
    let table = changed("length: \"260 cm\"", "length: \"150 cm\"");
    let report = lay(&table, &BUDGET);
    let cloth = &report["cloths"][0];
    let (used, short) = (cloth["used_mm"].as_f64().unwrap(), cloth["short_by_mm"].as_f64().unwrap());
    assert!((used - 1500.0 - short).abs() < 0.01, "{cloth}");
    has(
        &whats(&report, "stop"),
        &["mm short", "1500.0 mm are at hand", "not matching the print would need", "mm less"],
    );
}

/// Each change that was tried comes with its number, in words and in JSON.
#[test]
fn what_would_help_has_numbers_of_its_own() {
    let table = changed("length: \"260 cm\"", "length: \"215 cm\"");
    let report = lay(&table, &BUDGET);
    let used = report["cloths"][0]["used_mm"].as_f64().unwrap();
    let reliefs = report["cloths"][0]["reliefs"].as_array().unwrap();
    let of =
        |words: &str| reliefs.iter().find(|relief| relief["what"].as_str().unwrap().contains(words)).unwrap();
    for words in ["a seam across “", "a second length of the same cloth", "a hem of "] {
        let relief = of(words);
        let sum = relief["used_mm"].as_f64().unwrap() + relief["saves_mm"].as_f64().unwrap();
        assert!((sum - used).abs() < 1e-6, "{relief}");
        has(&whats(&report, "stop"), &[relief["what"].as_str().unwrap()]);
    }
    // Of another width the length is asked, so that none is too short.
    let other = lay(&table, &["--moves", "150", "--width", "100 cm"]);
    assert_eq!(other["cloths"][0]["short_by_mm"], Value::Null);
    assert!(whats(&other, "stop").is_empty(), "{:?}", whats(&other, "stop"));
}

#[test]
fn a_cloth_that_nothing_is_cut_from_takes_nothing_from_the_others() {
    let table = changed(
        "    cloths: {\n",
        "    cloths: {\n        Lining: (name: \"satin\", width: \"140 cm\", length: \"200 cm\", colour: \"#ffffff\"),\n",
    );
    let report = lay(&table, &BUDGET);
    assert_eq!(report["cloths"].as_array().unwrap().len(), 1);
    has(&whats(&report, "note"), &["“satin” was not laid", "nothing is cut from “satin”"]);
}

#[test]
fn an_uneven_stripe_is_not_cut_folded_and_says_why() {
    let table = changed("width: \"138 cm\",", "width: \"138 cm\", plies: FoldedLengthwise(right_sides: In),");
    let said = table.refuses(&["lay", GARMENT]);
    assert!(said.contains("can't be cut folded") && said.contains("Lay it flat"), "{said}");
}

#[test]
fn cloth_that_can_not_be_is_said_with_its_number() {
    let narrow = changed("width: \"138 cm\"", "width: \"30 cm\"");
    let said = narrow.refuses(&["lay", GARMENT]);
    assert!(said.contains(GARMENT) || said.contains("striped sprig"), "{said}");
    assert!(said.contains("needs") && said.contains("300.0 mm are usable"), "{said}");

    let nothing = changed("(width_mm: 24.0, gap_mm: 12.0,", "(width_mm: 0.0, gap_mm: 12.0,");
    has(&whats(&lay(&nothing, &BUDGET), "stop"), &["bar 1", "0.0 mm"]);

    // Bars of 24, 16 and 4 mm in a repeat of 40 mm.
    let beyond =
        changed("                lengthwise: (\n", "                lengthwise: (\n repeat: \"40 mm\",\n");
    has(&whats(&lay(&beyond, &BUDGET), "stop"), &["44.0 mm", "40.0 mm"]);

    let askew =
        changed("                motif: (", "                angle_degrees: 70.0,\n                motif: (");
    has(&whats(&lay(&askew, &BUDGET), "stop"), &["70"]);

    let outside = changed(
        "            shrinkage: (pre_shrunk: true),",
        "            shrinkage: (pre_shrunk: true),\n            flaws: [(what: \"a hole\", outline: [(3000.0, 100.0), (3100.0, 100.0), (3050.0, 150.0)])],",
    );
    let said = lay(&outside, &BUDGET);
    let all: Vec<String> = ["stop", "warning"].iter().flat_map(|grade| whats(&said, grade)).collect();
    has(&all, &["a hole", "400 mm off"]);
}

#[test]
fn what_is_no_garment_and_no_outline_is_refused_by_name() {
    let table = Table::with_demo();
    for (arguments, wanted) in [
        (vec!["lay", PATTERN], PATTERN),
        (vec!["lay", "nowhere.garment.ron"], "nowhere.garment.ron"),
        (vec!["lay", "--shapes", "nowhere.json"], "nowhere.json"),
    ] {
        let said = table.refuses(&arguments);
        assert!(said.contains(wanted), "{said}");
    }
    for (text, wanted) in [
        ("", "shapes.json"),
        ("{\"name\":\"x\",\"width\":0.0,\"items\":[]}", "width of 0 mm"),
        ("{\"name\":\"x\",\"width\":9.0,\"items\":[]}", "nothing to lay"),
        (
            "{\"name\":\"x\",\"width\":-5.0,\"items\":[{\"points\":[[0,0],[1,0],[0,1]],\"copies\":1,\"turns_degrees\":[0]}]}",
            "-5",
        ),
        (
            "{\"name\":\"x\",\"width\":50.0,\"items\":[{\"points\":[[0,0],[90,0],[90,90],[0,90]],\"copies\":1,\"turns_degrees\":[0]}]}",
            "90.0 mm",
        ),
        (
            "{\"name\":\"x\",\"width\":50.0,\"items\":[{\"points\":[[0,0]],\"copies\":1,\"turns_degrees\":[0]}]}",
            "item 1",
        ),
    ] {
        table.write("shapes.json", text);
        let said = table.refuses(&["lay", "--shapes", "shapes.json"]);
        assert!(said.contains(wanted), "{text}: {said}");
    }
    // A hair more than five sides: pieces are kept a ten-thousandth of a millimetre apart.
    let square = "{\"name\":\"squares\",\"width\":50.01,\"items\":[{\"points\":[[0,0],[10,0],[10,10],[0,10]],\"copies\":5,\"turns_degrees\":[0]}]}";
    table.write("shapes.json", square);
    let report: Value =
        serde_json::from_str(&table.prints(&["lay", "--shapes", "shapes.json", "--moves", "50", "--json"]))
            .unwrap();
    assert!((report["cloths"][0]["used_mm"].as_f64().unwrap() - 10.0).abs() < 0.01, "{report}");
}
