//! Sheets that reportlab cut into pages are whole again.
//!
//! `tiles-form-*.pdf`: every page draws the same form, moved and clipped. `tiles-cut-*.pdf`: lines end at the frame
//! (cut by `make.py`, chords within 0.02 mm). Frames, marks and labels are drawn on each page.

use super::{file, options, pages, shows};
use crate::coat::drafted;
use chalkbeam::finding::Severity;
use chalkbeam::geometry::{Affine, Vec2};
use chalkbeam::import::tiles::Tiles;
use chalkbeam::import::{self, Stroke};

/// Where `make.py` lays the three pieces on the sheet.
const PLACES: [(&str, (f64, f64)); 3] = [
    ("front armhole facing", (-90.0, -140.0)),
    ("back armhole facing", (60.0, -100.0)),
    ("back neck facing", (340.0, -310.0)),
];

/// File, overlap, and where the sheet's lower left corner lies below the drawing's.
const SHEETS: [(&str, f64, f64); 4] = [
    ("tiles-form-a4.pdf", 10.0, 544.0),
    ("tiles-form-letter.pdf", 0.0, 518.8),
    ("tiles-cut-a4.pdf", 0.0, 554.0),
    ("tiles-cut-letter.pdf", 10.0, 508.8),
];

#[test]
fn tiles_of_two_papers_with_and_without_overlap_in_any_order_make_the_sheet() {
    let coat = drafted();
    for (name, overlap, height) in SHEETS {
        let tiles = Tiles::of(pages(name));
        let (drawing, findings) = tiles.drawing();
        let said: Vec<_> = findings.iter().map(|finding| finding.what.as_str()).collect();
        let expected = format!(
            "6 pages were put together, 3 across and 2 down, overlapping by {overlap:.1} mm and {overlap:.1} mm"
        );
        assert!(said.contains(&expected.as_str()), "{name}: {said:?}");
        assert!(findings.iter().all(|finding| finding.severity == Severity::Note), "{name}: {said:?}");
        let strokes: Vec<&Stroke> = drawing.groups.iter().flat_map(|group| &group.strokes).collect();
        // The sheet begins at the top; below the drawing of 330 mm lies what the last row has left over.
        let sheet = Affine::translate(Vec2::new(0.0, height - 330.0));
        for (id, place) in PLACES {
            shows(&strokes, &coat, id, &"88".into(), sheet * super::moved(place));
        }
        // Nothing else is left: three outlines, three ticks, three grainlines.
        assert_eq!(strokes.iter().filter(|stroke| stroke.closed).count(), 3, "{name}");
        assert_eq!(strokes.len(), 9, "{name}");
        let seams = tiles.seams();
        assert_eq!(seams.len(), 7, "{name}");
        assert!(seams.iter().all(|seam| seam.off_mm <= 0.05 && seam.broken.is_empty()), "{name}: {seams:?}");
        let words: Vec<_> = drawing.groups.iter().flat_map(|group| &group.words).collect();
        let told = |text: &str| words.iter().filter(|words| words.words.starts_with(text)).count();
        assert_eq!(
            (told("5 Front armhole"), told("6 Back armhole"), told("A1")),
            (1, 1, 0),
            "{name}: {words:?}"
        );
    }
}

#[test]
fn a_tiled_file_becomes_a_pattern() {
    for (name, ..) in SHEETS {
        let imported = import::read(&file(name), &options()).unwrap();
        assert_eq!(imported.pattern.pieces.len(), 3, "{name}: {:?}", imported.findings);
        assert!(imported.pattern.faults().is_empty());
        // The same by hand.
        let by_hand = import::read_tiles(&Tiles::of(pages(name)), &options(), &import::Unwatched).unwrap();
        assert_eq!(by_hand, imported, "{name}");
    }
}

#[test]
fn pages_in_no_order_at_all_are_put_together_by_their_lines() {
    // The blank pages and the labels say nothing: pages 1, 2, 4 and 5 of the first file, shuffled.
    let mut shuffled: Vec<_> = pages("tiles-cut-a4.pdf");
    for page in &mut shuffled {
        page.words.clear();
    }
    shuffled = [4, 0, 3, 1].into_iter().map(|index| shuffled[index].clone()).collect();
    let tiles = Tiles::of(shuffled);
    let (drawing, findings) = tiles.drawing();
    let strokes = drawing.groups.iter().flat_map(|group| &group.strokes);
    assert_eq!(strokes.filter(|stroke| stroke.closed).count(), 2, "{findings:?}");
}

#[test]
fn a_page_can_be_moved_turned_and_dropped_and_the_damage_is_named() {
    let tiles = Tiles::of(pages("tiles-cut-a4.pdf"));
    let moved = tiles.with_page_moved(1, Vec2::new(0.0, 0.4));
    let worst = moved.seams().iter().map(|seam| seam.off_mm).fold(0.0, f64::max);
    assert!((0.3..=0.45).contains(&worst), "{worst}");
    assert_ne!(moved, tiles);
    assert_eq!(moved.with_page_moved(1, Vec2::new(0.0, -0.4)).seams().len(), tiles.seams().len());
    let dropped = tiles.with_page_dropped(1, true);
    let findings = dropped.drawing().1;
    let gap =
        findings.iter().find(|finding| finding.what.contains("where a page is missing right of page 1"));
    assert_eq!(gap.map(|gap| gap.severity), Some(Severity::Warning), "{findings:?}");
    assert_eq!(dropped.with_page_dropped(1, false), tiles);
    let turned = tiles.with_page_turned(1);
    assert!(turned.drawing().0 != tiles.drawing().0);
    let back = (0..3).fold(turned, |turned, _| turned.with_page_turned(1));
    assert_eq!(back, tiles);
    // By hand in three columns, as it is.
    let by_hand = tiles.with_columns(3, Vec2::ZERO);
    let off = |other: &Tiles| {
        let pairs = other.placements().iter().zip(tiles.placements());
        pairs.map(|(a, b)| (a.at - b.at).hypot()).fold(0.0, f64::max)
    };
    assert!(off(&by_hand) < 1e-6);
    assert!(off(&tiles.with_columns(2, Vec2::ZERO)) > 100.0);
    // A page that is not there changes nothing.
    assert_eq!(tiles.with_page_moved(99, Vec2::new(5.0, 5.0)), tiles);
}

#[test]
fn a_tile_that_was_printed_askew_is_moved_and_its_seam_is_named() {
    let mut askew = pages("tiles-cut-a4.pdf");
    // Page 2 lies 0.3 mm higher in its frame.
    for line in &mut askew[1].lines {
        let long = line.stroke.curve.bounding_box();
        if long.width().max(long.height()) < 150.0 {
            line.stroke.curve = line.stroke.curve.transformed(Affine::translate((0.0, 0.3)));
        }
    }
    let tiles = Tiles::of(askew);
    let seams = tiles.seams();
    let worst = seams.iter().map(|seam| seam.off_mm).fold(0.0, f64::max);
    assert!((0.05..0.5).contains(&worst), "{worst}");
    assert!(tiles.drawing().1.iter().any(|finding| finding.what.contains("The worst seam, between pages")));
}
