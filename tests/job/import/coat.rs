//! The garden coat, drawn as SVG, comes back as it was drafted.

use super::{piece, read, says};
use crate::coat::svg::{PAGE, SIZE, drawing, page_from_piece};
use crate::coat::{demo, drafted};
use chalkbeam::finding::Severity;
use chalkbeam::geometry::Point;
use chalkbeam::pattern::{Edge, EdgeRole, Piece};
use std::fs;

const WITHIN_MM: f64 = 0.01;

/// The imported edge that begins at a place.
fn edge_from(piece: &Piece, start: Point) -> &Edge {
    let edge = piece.edges.iter().find(|edge| edge.curve.start().distance(start) <= WITHIN_MM);
    edge.unwrap_or_else(|| panic!("no edge of {} begins at {start}", piece.id))
}

#[test]
fn every_edge_of_the_coat_comes_back_within_a_hundredth_of_a_millimetre() {
    let imported = read(&fs::read_to_string(demo("garden-coat.svg")).unwrap()).unwrap();
    let coat = drafted();
    assert_eq!(imported.pattern.name, "Garden coat");
    assert_eq!(imported.pattern.pieces.len(), coat.pieces.len());
    for sized in &coat.pieces {
        let id = sized.id.as_str();
        let (drawn, found) = (coat.piece(&sized.id, &SIZE.into()).unwrap(), piece(&imported, id));
        let page = page_from_piece(id);
        for edge in &drawn.edges {
            // An edge of the coat is an edge of the drawing; the mouth of a dart is found by the dart's legs.
            let same = edge_from(found, page * edge.curve.start());
            let length = same.curve.length();
            for step in 0..=100 {
                let point = page.inverse() * same.curve.point_at(length * f64::from(step) / 100.0);
                let (_, off) = edge.curve.nearest(point);
                assert!(off <= WITHIN_MM, "{id}, {}: {off} mm off", edge.id);
            }
            let end = same.curve.end();
            assert!(end.distance(page * edge.curve.end()) <= WITHIN_MM, "{id}, {} was cut in two", edge.id);
            let drafted = edge.curve.length();
            assert!((length - drafted).abs() <= WITHIN_MM, "{id}, {}: {length} for {drafted}", edge.id);
        }
        assert_eq!(found.edges.len(), drawn.edges.len(), "{id}");
        assert_eq!(found.darts.len(), drawn.darts.len(), "{id}");
        for (dart, other) in drawn.darts.iter().zip(&found.darts) {
            assert!(other.apex.distance(page * dart.apex) <= WITHIN_MM, "{id}");
            let mouth = found.dart_mouth(&other.id).unwrap();
            assert_eq!(mouth.role, EdgeRole::DartMouth(other.id.clone()));
        }
    }
}

#[test]
fn the_coats_marks_come_back_at_their_places() {
    let imported = read(&drawing(&drafted(), "1500mm", "1250mm")).unwrap();
    let coat = drafted();
    for sized in &coat.pieces {
        let id = sized.id.as_str();
        let (drawn, found) = (coat.piece(&sized.id, &SIZE.into()).unwrap(), piece(&imported, id));
        let page = page_from_piece(id);
        assert_eq!(found.notches.len(), drawn.notches.len(), "{id}");
        for notch in &drawn.notches {
            let at = page * drawn.notch_point(notch).unwrap();
            let same = found.notches.iter().find(|other| other.id == notch.id).unwrap();
            let off = found.notch_point(same).unwrap().distance(at);
            // A double notch is drawn by its two ticks; its place is midway between them along the edge.
            assert!(off <= 0.02, "{id}, {}: {off} mm off", notch.id);
            assert_eq!(same.kind, notch.kind, "{id}, {}", notch.id);
        }
        let grain = (page * drawn.grainline.from, page * drawn.grainline.to);
        assert!(found.grainline.from.distance(grain.0) <= WITHIN_MM, "{id}");
        assert!(found.grainline.to.distance(grain.1) <= WITHIN_MM, "{id}");
        assert_eq!(found.drill_holes.len(), drawn.drill_holes.len());
        for (hole, other) in drawn.drill_holes.iter().zip(&found.drill_holes) {
            assert_eq!(hole.name, other.name);
            assert!(other.at.distance(page * hole.at) <= WITHIN_MM);
        }
        assert_eq!(found.inner_lines.len(), drawn.inner_lines.len(), "{id}");
        for (text, other) in drawn.texts.iter().zip(&found.texts) {
            assert_eq!(text.words, other.words);
            assert!(other.at.distance(page * text.at) <= WITHIN_MM);
            assert!((other.height_mm - text.height_mm).abs() <= WITHIN_MM);
        }
    }
    assert_eq!(piece(&imported, "front").edge(&"hem".into()).unwrap().role, EdgeRole::Hem);
    assert!(says(&imported, "hidden part") && says(&imported, "no allowance"));
    assert!(imported.findings.iter().all(|finding| finding.severity != Severity::Stop));
    let square = imported.findings.iter().find(|finding| finding.what.contains("test square")).unwrap();
    assert!((square.amount_mm.unwrap() - 100.0).abs() <= WITHIN_MM, "{square:?}");
}

#[test]
fn the_same_drawing_in_every_unit_gives_the_same_pieces() {
    let coat = drafted();
    let expected = read(&drawing(&coat, "1500mm", "1250mm")).unwrap();
    // One inch is 25.4 mm exactly; CSS has 96 px, 72 pt and 6 pc in it (CSS Values and Units Level 3, §6.2).
    for (unit, per_mm) in [
        ("mm", 1.0),
        ("cm", 0.1),
        ("in", 1.0 / 25.4),
        ("pt", 72.0 / 25.4),
        ("pc", 6.0 / 25.4),
        ("px", 96.0 / 25.4),
    ] {
        let size = |mm: f64| format!("{:.12}{unit}", mm * per_mm);
        let found = read(&drawing(&coat, &size(PAGE.0), &size(PAGE.1))).unwrap();
        assert_eq!(says(&found, "in pixels") && unit == "px", unit == "px");
        for (sized, other) in expected.pattern.pieces.iter().zip(&found.pattern.pieces) {
            assert_eq!(sized.id, other.id);
            let (one, two) = (&sized.by_size[0], &other.by_size[0]);
            assert_eq!(one.edges.len(), two.edges.len());
            for (a, b) in one.edges.iter().zip(&two.edges) {
                assert!((a.curve.length() - b.curve.length()).abs() < 1e-6, "{unit}");
                assert!(a.curve.start().distance(b.curve.start()) < 1e-6, "{unit}");
            }
        }
    }
}
