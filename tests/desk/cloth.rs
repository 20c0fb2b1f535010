//! The card of the stop Cloth: every field is a command, units stay as typed, what follows is shown, flaws are drawn.

use crate::seat::{Seat, demo, empty};
use chalkbeam::cloth::{Cloth, MotifWay, Plies, RightSides};
use chalkbeam::desk::Stop;
use chalkbeam::finding::Severity;
use chalkbeam::garment::Command;
use chalkbeam::geometry::Length;
use chalkbeam::pattern::ClothKind;
use egui::Key;
use egui::accesskit::Role;

fn cloth(seat: &Seat) -> Cloth {
    seat.session().open.plan().cloth().unwrap().clone()
}

/// A desk at the stop Cloth with a plain cloth just begun.
fn plain() -> Seat {
    let mut seat = Seat::with_size(empty(), (1366.0, 2600.0));
    seat.go_to(Stop::Cloth);
    seat.click(Role::Button, "Begin with");
    seat
}

fn finding(seat: &Seat, words: &str) -> Option<Severity> {
    let findings = seat.session().findings();
    findings.iter().find(|found| found.what.contains(words)).map(|found| found.severity)
}

#[test]
fn sizes_and_state_are_typed_with_their_units_and_taken_back_one_by_one() {
    let mut seat = plain();
    seat.enter("between selvedges", "60 in");
    seat.enter("usable width", "57 1/2 in");
    seat.enter("a metre costs", "18,50 kroner");
    seat.enter("shrinks along it by", "4 %");
    seat.enter("shrinks across it by", "2.5");
    let now = cloth(&seat);
    assert_eq!(now.between_selvedges.as_ref().unwrap().to_string(), "60 in");
    assert_eq!(now.width.to_string(), "57 1/2 in");
    assert_eq!(now.cost_per_metre.as_ref().unwrap().to_string(), "18.50 kroner");
    assert_eq!((now.shrinkage.along_percent, now.shrinkage.across_percent), (4.0, 2.5));
    assert!(seat.says("All of it costs 37.00 kroner"), "{:?}", seat.labels(Role::Label));
    assert_eq!(finding(&seat, "1920 mm by 1424 mm will be left"), Some(Severity::Stop));
    seat.click(Role::CheckBox, "pre-shrunk");
    assert_eq!(finding(&seat, "pre-shrunk"), None);
    seat.click(Role::Button, "measure whether its weft is square");
    seat.enter("it arrives off square by", "22 mm");
    assert_eq!(finding(&seat, "1.5 %"), Some(Severity::Warning));
    assert!(seat.says("straighten it before it is cut"));
    for _ in 0..3 {
        seat.click(Role::Button, "Take back");
    }
    assert!(cloth(&seat).shear.is_none() && !cloth(&seat).shrinkage.pre_shrunk);
    seat.enter("between selvedges", "");
    assert_eq!(cloth(&seat).between_selvedges, None);
}

#[test]
fn what_can_not_be_stays_in_its_field_with_the_reason_beside_it() {
    let mut seat = plain();
    let before = cloth(&seat);
    for (field, text, reason) in [
        ("usable width", "0 cm", "more than nothing"),
        ("length at hand", "two m", "not a length"),
        ("length at hand", "-2 m", "more than nothing"),
        ("a metre costs", "dear", "no cost"),
        ("shrinks along it by", "a lot", "no percentage"),
    ] {
        seat.enter(field, text);
        assert_eq!(seat.value(field), text);
        assert!(seat.says(reason), "{field}: {:?}", seat.labels(Role::Label));
    }
    assert_eq!(cloth(&seat), before);
    seat.type_into("usable width", "0 cm");
    seat.press(Key::Escape);
    assert_eq!(seat.value("usable width"), "140 cm");
}

#[test]
fn the_cloth_is_laid_flat_or_folded_in_every_way() {
    let mut seat = plain();
    seat.click(Role::Button, "folded lengthwise");
    seat.click(Role::Button, "right sides out");
    assert_eq!(cloth(&seat).plies, Plies::FoldedLengthwise { right_sides: RightSides::Out });
    seat.click(Role::Button, "folded crosswise");
    assert_eq!(cloth(&seat).plies, Plies::FoldedCrosswise { right_sides: RightSides::Out });
    seat.click(Role::Button, "folded in part");
    seat.enter("folded over by", "12 in");
    let folded_over = Length::parse("12 in", None).unwrap();
    assert_eq!(cloth(&seat).plies, Plies::PartFolded { folded_over, right_sides: RightSides::Out });
    seat.enter("folded over by", "90 cm");
    assert_eq!(finding(&seat, "900 mm folded over can't be"), Some(Severity::Stop));
    assert_eq!(seat.value("folded over by"), "90 cm", "what was typed is kept");
    seat.click(Role::Button, "flat");
    assert_eq!(finding(&seat, "folded over"), None);
}

#[test]
fn bars_are_added_typed_moved_and_taken_out_and_their_evenness_follows() {
    let mut seat = plain();
    seat.click(Role::Button, "it has bars along the cloth");
    seat.enter("bar 1 along", "3/8 in");
    seat.enter("ground after 1 along", "20 mm");
    assert_eq!(seat.value("bar 1 along"), "3/8 in");
    // 25.4 mm to the inch, as any tape has it.
    let inch = |inches: f64| inches * 25.4;
    let bars = |seat: &Seat| {
        let bars = cloth(seat).print.unwrap().lengthwise.unwrap().bars;
        bars.iter().map(|bar| (bar.width_mm, bar.gap_mm)).collect::<Vec<_>>()
    };
    assert_eq!(bars(&seat), [(inch(0.375), 20.0)]);
    assert!(seat.says("even; it reads the same both ways"));
    seat.click(Role::Button, "add a bar along");
    seat.click(Role::Button, "add a bar along");
    seat.enter("bar 2 along", "4 mm");
    seat.enter("ground after 2 along", "5 mm");
    seat.enter("bar 3 along", "30 mm");
    assert!(seat.says("uneven; read backwards"), "{:?}", seat.labels(Role::Label));
    assert!(seat.says("It can't be cut folded lengthwise: the bars along the cloth are uneven."));
    assert!(seat.says("One-way, every piece the same way up") || seat.says("Two-way"));
    seat.click_nth(Role::Button, "down", 0);
    assert_eq!(bars(&seat), [(4.0, 5.0), (inch(0.375), 20.0), (30.0, 20.0)]);
    assert_eq!(seat.value("bar 2 along"), "3/8 in", "the unit goes with the measure");
    seat.click_nth(Role::Button, "take it out", 2);
    assert_eq!(bars(&seat).len(), 2);
    seat.click(Role::Button, "Take back");
    assert_eq!(bars(&seat).len(), 3);
    // The garment's file keeps the unit.
    let text = seat.session().open.garment().to_text("c.garment.ron".as_ref()).unwrap();
    assert!(text.contains("3/8 in"), "{text}");
}

#[test]
fn absurd_bars_and_angles_are_findings_with_numbers_and_stay_as_typed() {
    let mut seat = plain();
    seat.click(Role::Button, "it has bars across the cloth");
    seat.enter("bar 1 across", "0 mm");
    assert_eq!(finding(&seat, "bar 1 across the cloth is 0.0 mm wide"), Some(Severity::Stop));
    seat.enter("bar 1 across", "60 mm");
    seat.enter("one repeat across", "5 cm");
    assert_eq!(finding(&seat, "take 60.0 mm, but a repeat is 50.0 mm"), Some(Severity::Stop));
    assert_eq!(seat.value("one repeat across"), "5 cm");
    seat.enter("one repeat across", "");
    seat.enter("runs off the warp by", "70");
    assert_eq!(finding(&seat, "70.0°"), Some(Severity::Stop));
    assert_eq!(seat.value("runs off the warp by"), "70°");
    seat.enter("runs off the warp by", "-30");
    assert_eq!(finding(&seat, "°"), None);
    seat.click(Role::Button, "take it out");
    assert_eq!(cloth(&seat).print, None);
}

#[test]
fn a_motif_has_its_half_drop_its_ways_up_and_its_place() {
    let mut seat = plain();
    seat.click(Role::Button, "it has a motif");
    seat.enter("comes again after", "14 cm");
    seat.enter("columns are apart by", "96 mm");
    seat.click(Role::Button, "half-drop");
    let motif = |seat: &Seat| cloth(seat).print.unwrap().motif.unwrap();
    assert_eq!(motif(&seat).steps.map(|step| (step.x, step.y)), [(70.0, 96.0), (140.0, 0.0)]);
    assert_eq!(seat.value("comes again after"), "14 cm");
    assert!(seat.says("One-way: the motif has a top"));
    seat.click(Role::Button, "two-way");
    assert_eq!(motif(&seat).way, MotifWay::TwoWay);
    assert!(seat.says("Two-way: turned by half a turn it looks the same"), "{:?}", seat.labels(Role::Label));
    seat.enter("one lies from the cut end", "1 in");
    assert!((motif(&seat).origin.x - 25.4).abs() < 1e-12);
    seat.enter("comes again after", "0");
    assert_eq!(finding(&seat, "are parallel or nothing"), Some(Severity::Stop));
    assert_eq!(seat.value("comes again after"), "0 cm");
    seat.click(Role::Button, "it has no motif");
    assert_eq!(cloth(&seat).print, None);
}

#[test]
fn a_change_of_what_is_written_down_ends_what_was_measured() {
    let mut open = demo();
    let mut known = open.plan().cloth().unwrap().clone();
    known.measured_print = known.print.clone();
    open.perform(&Command::SetCloth(ClothKind::Cloth, known), None).unwrap();
    let mut seat = Seat::with_size(open, (1366.0, 2600.0));
    seat.go_to(Stop::Cloth);
    assert!(seat.says("As measured on this cloth"));
    seat.enter("columns are apart by", "97 mm");
    assert!(cloth(&seat).measured_print.is_none() && !seat.says("As measured on this cloth"));
    seat.click(Role::Button, "Take back");
    assert!(cloth(&seat).measured_print.is_some());
}

/// Clicks a place of the surface, in mm; the demo's cloth lies with its corner at the stand.
fn click_on_table(seat: &mut Seat, x: f64, y: f64) {
    let stand = seat.session().open.stand().surface_from_cloth();
    let at = stand * chalkbeam::geometry::Point::new(x, y);
    let pos = seat.on_surface((at.x, at.y));
    seat.click_at(pos);
}

#[test]
fn a_flaw_is_drawn_on_the_board_named_and_struck_out() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Cloth);
    let before = cloth(&seat);
    seat.click(Role::Button, "draw round a flaw");
    for (x, y) in [(300.0, 200.0), (420.0, 210.0), (400.0, 320.0)] {
        click_on_table(&mut seat, x, y);
    }
    assert_eq!(cloth(&seat), before, "nothing is written down before it is whole");
    assert!(seat.says("3 so far"), "{:?}", seat.labels(Role::Label));
    seat.click(Role::Button, "that is all of it");
    let drawn = cloth(&seat).flaws[0].outline.clone();
    for (corner, wanted) in drawn.iter().zip([(300.0, 200.0), (420.0, 210.0), (400.0, 320.0)]) {
        assert!(corner.distance(wanted.into()) < 3.0, "{corner:?}");
    }
    assert!(seat.labels(Role::Label).iter().any(|words| words.starts_with("3 corners")));
    seat.enter("flaw 1", "pulled thread");
    assert_eq!(cloth(&seat).flaws[0].what, "pulled thread");
    assert!(finding(&seat, "pulled thread").is_some(), "the front lies on it");
    seat.click(Role::Button, "strike it out");
    assert_eq!(cloth(&seat).flaws, []);
    seat.click(Role::Button, "Take back");
    assert_eq!(cloth(&seat).flaws[0].what, "pulled thread");
}

#[test]
fn a_flaw_ends_at_its_first_corner_and_one_beyond_the_cloth_is_said() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Cloth);
    seat.click(Role::Button, "draw round a flaw");
    for (x, y) in [(300.0, -60.0), (420.0, -60.0), (400.0, -20.0), (300.0, -60.0)] {
        click_on_table(&mut seat, x, y);
    }
    assert_eq!(cloth(&seat).flaws.len(), 1);
    assert!(seat.session().desk.flaw.is_none());
    assert_eq!(finding(&seat, "off the cloth"), Some(Severity::Warning), "{:?}", seat.session().findings());
    seat.click(Role::Button, "draw round a flaw");
    click_on_table(&mut seat, 100.0, 100.0);
    seat.click(Role::Button, "take the last corner back");
    assert!(seat.says("0 so far"));
    seat.click(Role::Button, "leave it");
    assert_eq!(cloth(&seat).flaws.len(), 1);
}
