//! Checks: each fires where it should, by numbers that can be read off the drawing, and is silent elsewhere.

mod facings;
mod laws;
mod pieces;
mod seams;
mod states;

use crate::garments::{bare_coat, said};
use chalkbeam::demo::garden_coat;
use chalkbeam::finding::{Severity, Subject};
use chalkbeam::garment::Command;

#[test]
fn the_unaltered_coat_is_free_of_complaints_in_every_size() {
    for size in ["84", "88", "92", "96", "100"] {
        let grave: Vec<_> =
            said(&bare_coat(size)).into_iter().filter(|found| found.severity > Severity::Note).collect();
        assert!(grave.is_empty(), "size {size}: {grave:#?}");
    }
}

#[test]
fn the_altered_demo_is_free_of_complaints() {
    let open = garden_coat().unwrap();
    let grave: Vec<_> = said(&open).into_iter().filter(|found| found.severity > Severity::Note).collect();
    assert!(grave.is_empty(), "{grave:#?}");
    // What no lay of an uneven stripe can do is told, and nothing else.
    let notes = said(&open);
    assert!(notes.iter().all(|found| found.about == Some(Subject::Lay)), "{notes:#?}");
}

#[test]
fn as_json_a_finding_names_what_place_amount_remedy_and_mend() {
    let mut open = garden_coat().unwrap();
    let record: chalkbeam::alter::Record = chalkbeam::document::parse(
        "Hem(pieces: Only([\"front\", \"back\"]), longer_by: \"-30 mm\")",
        std::path::Path::new("record"),
    )
    .unwrap();
    open.perform(&Command::AddAlteration(record), None).unwrap();
    let json = serde_json::to_value(open.findings()).unwrap();
    let first = &json[0];
    let mut keys: Vec<_> = first.as_object().unwrap().keys().map(String::as_str).collect();
    keys.sort_unstable();
    assert_eq!(keys, ["amount_mm", "at_mm", "mend", "piece", "remedy", "severity", "what"]);
    assert_eq!(first["severity"], "stop");
    assert_eq!(first["piece"], "front facing");
    assert_eq!(first["mend"], "hem shorter by 30 mm, front, back, front facing");
}

#[test]
fn a_line_down_to_the_hem_ends_at_the_new_one() {
    use kurbo::Shape as _;
    let open = garden_coat().unwrap();
    let front = open.evaluated().piece(&"front".into()).unwrap();
    let ends = |piece: &chalkbeam::pattern::Piece| {
        let line = piece.inner_lines.iter().find(|line| line.name.starts_with("centre front")).unwrap();
        (line.curve.start(), line.curve.end())
    };
    let (printed, altered) = (ends(&front.printed), ends(&front.altered));
    // Printed down to -720; lengthened by 21 and shortened by 80 the centre front hem lies at -661.
    let lowest = |(a, b): (chalkbeam::geometry::Point, chalkbeam::geometry::Point)| a.y.min(b.y);
    assert!((lowest(printed) + 720.0).abs() < 0.01 && (lowest(altered) + 661.0).abs() < 0.02, "{altered:?}");
    let cutting = front.cutting_path.as_ref().unwrap();
    assert!(cutting.contains(altered.0) && cutting.contains(altered.1));
}
