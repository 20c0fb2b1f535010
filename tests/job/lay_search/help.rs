//! What would help where the cloth is too short: each is tried, and comes with its number.

use super::lay;
use super::pieces::{band, item};
use chalkbeam::cloth::{Cloth, Colour};
use chalkbeam::demo::garden_coat;
use chalkbeam::garment::{LayAnswer, LayProblem, reliefs};
use chalkbeam::geometry::Length;
use chalkbeam::lay::search::{Problem, Relief, Settings, relief};
use chalkbeam::pattern::EdgeRole;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

fn helps(problem: &Problem) -> (f64, Vec<Relief>) {
    let outcome = lay(problem, 1, 300).unwrap();
    let settings = Settings { moves: Some(300), ..Settings::default() };
    (outcome.used_mm, relief(problem, &outcome, &settings, &AtomicBool::new(false)).unwrap())
}

fn with<'a>(found: &'a [Relief], words: &str) -> &'a Relief {
    found.iter().find(|relief| relief.what.contains(words)).unwrap_or_else(|| panic!("{words}: {found:?}"))
}

#[test]
fn a_long_piece_is_tried_in_two_parts() {
    let problem =
        Problem { width: 210.0, items: vec![item("belt", band(1000.0, 100.0), 1)], ..Problem::default() };
    let (used, found) = helps(&problem);
    assert!((used - 1000.0).abs() < 0.01);
    // Two parts of 515 mm, side by side.
    let seam = with(&found, "a seam across belt, 500 mm from its lower end");
    assert!((seam.used_mm - 515.0).abs() < 0.01 && (seam.saves_mm - 485.0).abs() < 0.02, "{seam:?}");
    assert!(
        !found.iter().any(|relief| relief.what.contains("along belt")),
        "it would save nothing: {found:?}"
    );
}

#[test]
fn a_second_length_is_as_long_as_what_the_first_can_not_hold() {
    let problem = Problem {
        width: 220.0,
        length: Some(1300.0),
        items: vec![item("panel", band(600.0, 200.0), 3)],
        ..Problem::default()
    };
    let (used, found) = helps(&problem);
    assert!((used - 1800.0).abs() < 0.01);
    let second = with(&found, "a second length");
    assert!(second.what.ends_with("of 600 mm"), "{second:?}");
    assert!((second.used_mm - 1200.0).abs() < 0.01, "{second:?}");
}

#[test]
fn a_strip_along_the_selvedge_is_as_wide_as_what_is_lacking() {
    let problem = Problem {
        width: 300.0,
        length: Some(600.0),
        items: vec![item("panel", band(500.0, 200.0), 2)],
        ..Problem::default()
    };
    let (used, found) = helps(&problem);
    assert!((used - 1000.0).abs() < 0.01);
    // 300 mm · (1000 − 600) / 600 = 200 mm are lacking; a tenth more, and two allowances of 15 mm.
    let strip = with(&found, "a strip 250 mm wide");
    assert!((strip.used_mm - 500.0).abs() < 0.01, "{strip:?}");
    // That is enough: a wider one is not spoken of.
    assert_eq!(found.iter().filter(|relief| relief.what.contains("a strip")).count(), 1, "{found:?}");
}

#[test]
fn a_piece_too_wide_is_offered_a_join_and_a_seam_with_their_numbers() {
    let problem =
        Problem { width: 900.0, items: vec![item("cape", band(700.0, 950.0), 1)], ..Problem::default() };
    let said = lay(&problem, 1, 10).unwrap_err().to_string();
    // 950 − 900 and two allowances; 950 / 2 and two allowances.
    assert!(said.contains("a strip 80 mm wide joined") && said.contains("in 2 parts of 505 mm"), "{said}");
}

/// The coat's hem of 25 mm: 15 mm less of it are 15 mm less of each piece at its hem, and nothing elsewhere.
#[test]
fn a_narrower_hem_takes_its_width_off_the_cutting_line() {
    let open = garden_coat().unwrap();
    let parts = &open.evaluated().parts;
    assert!((parts.widest_hem_mm() - 25.0).abs() < 0.1, "{}", parts.widest_hem_mm());
    let narrow = parts.with_hems(10.0, |piece| piece.as_str() == "front").unwrap();
    for (before, after) in parts.all().iter().zip(narrow.all()) {
        let id = before.piece.id.as_str();
        let hems = before.piece.edges.iter().filter(|edge| edge.role == EdgeRole::Hem);
        let length: f64 = hems.map(|edge| edge.curve.length()).sum();
        let lost = before.half().area_mm2() - after.half().area_mm2();
        if id == "front" || length == 0.0 {
            assert_eq!(before.half(), after.half(), "{id}");
        } else {
            // The allowances of the side, 15 mm, are part of what is cut off.
            let by_hem = lost / 15.0 - length;
            assert!((-10.0..40.0).contains(&by_hem), "{id}: {lost} mm² of {length} mm");
        }
        let moved = before.half().points().iter().zip(after.half().points()).map(|(a, b)| (*a - *b).hypot());
        assert!(moved.fold(0.0, f64::max) < 15.2, "{id}");
    }
    assert!(parts.with_hems(30.0, |_| false).is_none());
}

#[test]
fn the_coat_on_cloth_a_little_short_is_told_how_narrow_its_hem_must_be() {
    let open = garden_coat().unwrap();
    let (parts, rules) = (&open.evaluated().parts, &open.plan().lay_rules);
    let plain =
        |length: f64| Cloth::plain("plain", Length::from_mm(900.0), Length::from_mm(length), Colour([90; 3]));
    let long = LayProblem::of(&plain(6000.0), parts, rules, &[]).unwrap();
    let used = lay(&long.problem, 1, 800).unwrap().used_mm;
    let cloth = plain(used - 8.0);
    let made = LayProblem::of(&cloth, parts, rules, &[]).unwrap();
    let outcome = lay(&made.problem, 1, 800).unwrap();
    let settings = Settings { moves: Some(800), ..Settings::default() };
    let stop = AtomicBool::new(false);
    let found = reliefs((&cloth, parts, rules, &[]), &made.problem, &outcome, &settings, &stop).unwrap();
    let hem = with(&found, "a hem of");
    assert!(hem.what.ends_with("instead of 25 mm"), "{hem:?}");
    assert!(hem.used_mm <= used - 8.0 + 1e-6 || hem.what.starts_with("a hem of 10 mm"), "{hem:?}");
    let answer = LayAnswer::of(&cloth, &made.problem, &outcome, &found);
    let finding = answer.too_short().unwrap();
    assert!(finding.remedy.contains(&hem.what), "{}", finding.remedy);
}

/// However many changes there are to try, all together have the time that is given.
#[test]
fn all_tries_together_keep_to_their_time() {
    let settings = Settings::seconds(6.0, 1);
    let shared = settings.shared_by(12);
    assert_eq!(shared.time, Some(Duration::from_millis(500)));
    assert_eq!((shared.seed, shared.moves), (settings.seed, settings.moves));
    // A search that was stopped tries nothing more.
    let problem =
        Problem { width: 210.0, items: vec![item("belt", band(1000.0, 100.0), 1)], ..Problem::default() };
    let outcome = lay(&problem, 1, 10).unwrap();
    let found = relief(&problem, &outcome, &Settings::seconds(600.0, 1), &AtomicBool::new(true)).unwrap();
    assert_eq!(found, vec![]);
}
