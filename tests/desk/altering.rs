//! Size, measurements and the list of alterations, by hand.

use crate::seat::{Seat, demo, empty};
use chalkbeam::alter::Record;
use chalkbeam::body::BodyMeasurement;
use chalkbeam::desk::Stop;
use egui::Key;
use egui::accesskit::Role;

fn amounts(seat: &Seat) -> Vec<Option<String>> {
    let alterations = &seat.session().open.plan().alterations;
    alterations
        .iter()
        .map(|known| known.record.amounts().first().map(|amount| amount.length.to_string()))
        .collect()
}

fn order(seat: &Seat) -> Vec<u32> {
    let alterations = &seat.session().open.plan().alterations;
    alterations.iter().map(|known| known.id.0).collect()
}

#[test]
fn a_size_is_looked_at_first_and_then_chosen() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Pattern);
    seat.click(Role::Button, "92");
    assert_eq!(seat.session().open.plan().size.as_str(), "88");
    seat.click(Role::Button, "Start from size 92");
    assert_eq!(seat.session().open.plan().size.as_str(), "92");
    seat.click(Role::Button, "Take back");
    assert_eq!(seat.session().open.plan().size.as_str(), "88");
    seat.click(Role::Button, "Do again");
    assert_eq!(seat.session().open.plan().size.as_str(), "92");
}

#[test]
fn an_amount_is_typed_as_a_tape_is_read() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Alter);
    let before = amounts(&seat);
    assert_eq!(before[1].as_deref(), Some("21 mm"));
    seat.enter("2. longer", "1 1/2 in");
    assert_eq!(amounts(&seat)[1].as_deref(), Some("1 1/2 in"));
    let Record::Lengthen(record) = &seat.session().open.plan().alterations[1].record else {
        panic!("the second alteration lengthens");
    };
    // An inch is 25.4 mm (international yard and pound agreement of 1959).
    assert!((record.longer_by.mm() - 38.1).abs() < 1e-9);
    // A bare number is in the unit that stands there.
    seat.enter("2. longer", "2");
    assert_eq!(amounts(&seat)[1].as_deref(), Some("2 in"));
    seat.enter("2. longer", "40mm");
    assert_eq!(amounts(&seat)[1].as_deref(), Some("40mm"));
    for _ in 0..3 {
        seat.click(Role::Button, "Take back");
    }
    assert_eq!(amounts(&seat), before);
}

#[test]
fn what_is_no_length_changes_nothing_and_says_why() {
    let mut seat = Seat::at(demo());
    let before = amounts(&seat);
    seat.enter("3. hem", "a hand");
    assert_eq!(amounts(&seat), before);
    assert_eq!(seat.value("3. hem"), "a hand", "what was typed stays, to be mended");
    assert!(seat.says("“a hand”"), "{:?}", seat.labels(Role::Label));
    // Escape leaves the field as it was.
    seat.type_into("3. hem", "a hand's");
    seat.press(Key::Escape);
    assert_eq!(seat.value("3. hem"), "-80 mm");
    assert!(!seat.says("a hand"));
}

#[test]
fn alterations_are_switched_off_reordered_and_taken_out() {
    let mut seat = Seat::at(demo());
    assert_eq!(order(&seat), [3, 1, 2]);
    seat.click(Role::CheckBox, "2. longer");
    assert!(!seat.session().open.plan().alterations[1].on);
    seat.click(Role::CheckBox, "2. longer");
    assert!(seat.session().open.plan().alterations[1].on);
    seat.click_nth(Role::Button, "later", 0);
    assert_eq!(order(&seat), [1, 3, 2]);
    seat.click_nth(Role::Button, "earlier", 2);
    assert_eq!(order(&seat), [1, 2, 3]);
    seat.click_nth(Role::Button, "take out", 1);
    assert_eq!(order(&seat), [1, 3]);
    for _ in 0..5 {
        seat.click(Role::Button, "Take back");
    }
    assert_eq!(order(&seat), [3, 1, 2]);
    assert!(!seat.session().open.can_undo());
}

#[test]
fn a_sentence_with_an_amount_adds_an_alteration() {
    let mut seat = Seat::at(empty());
    assert!(seat.says("none yet"));
    seat.enter("Lengthen (with −, shorten) at the line “waist”", "−12");
    assert_eq!(
        amounts(&seat),
        [Some("-12 mm".to_owned())].map(|amount| amount.map(|words| words.replace('-', "−")))
    );
    let replay = &seat.session().open.evaluated().replay;
    assert!(matches!(replay.steps[0].outcome, chalkbeam::alter::Outcome::Applied(_)));
}

#[test]
fn the_wearer_is_measured_and_a_reading_struck_out() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Body);
    let reading = |seat: &Seat| {
        let measurements = &seat.session().open.plan().wearer.measurements;
        measurements.get(&BodyMeasurement::WaistGirth).map(ToString::to_string)
    };
    let label = BodyMeasurement::WaistGirth.words();
    seat.enter(label, "71,5");
    assert_eq!(reading(&seat).as_deref(), Some("71,5 cm"));
    seat.enter(label, "");
    assert_eq!(reading(&seat), None);
}
