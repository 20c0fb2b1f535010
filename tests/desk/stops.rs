//! Every stop, with an empty garment, with the demo, with a broken one; at every size of window.

use crate::seat::{Seat, broken, demo, empty};
use chalkbeam::desk::Stop;
use chalkbeam::floor::floor_scene;
use chalkbeam::garment::OpenGarment;
use chalkbeam::scene::Shape;
use egui::accesskit::Role;

/// 1366×768 and 1920×1080 px at 100 % and 150 %, in points.
const SIZES: [(f32, f32); 4] = [(1366.0, 768.0), (1920.0, 1080.0), (910.7, 512.0), (1280.0, 720.0)];

fn garments() -> [(&'static str, OpenGarment); 3] {
    [("empty", empty()), ("demo", demo()), ("broken", broken())]
}

#[test]
fn no_stop_fails_on_any_garment_at_any_size() {
    for (_, open) in garments() {
        for size in [SIZES[1], SIZES[2]] {
            let mut seat = Seat::with_size(open.clone(), size);
            for stop in Stop::ALL {
                // The harness fails on inputs without accessible names and on signs that the faces lack.
                seat.go_to(stop);
                assert!(!seat.board().scene.items.is_empty() || seat.board().size.0 > 0);
            }
        }
    }
}

/// In a window so high that nothing scrolls, whatever stands on something else or sticks out is wrong.
#[test]
fn nothing_overlaps_and_nothing_sticks_out() {
    for (name, open) in garments() {
        for (width, _) in SIZES {
            let mut seat = Seat::with_size(open.clone(), (width, 3500.0));
            for stop in Stop::ALL {
                seat.go_to(stop);
                let places = seat.places();
                let right = width + 8.0;
                for (index, (rect, words)) in places.iter().enumerate() {
                    assert!(
                        rect.right() <= right + 0.5 && rect.left() >= 7.5,
                        "{name}, {stop:?}, {width}: “{words}” sticks out at {rect:?}"
                    );
                    for (other, others) in &places[index + 1..] {
                        // Words that run on over several rows begin behind others and span all rows.
                        let runs_on = (rect.top() - other.top()).abs() < 0.5
                            && (rect.height() - other.height()).abs() > 8.0;
                        if runs_on {
                            continue;
                        }
                        let shared = rect.intersect(*other);
                        assert!(
                            shared.width() < 1.0 || shared.height() < 1.0,
                            "{name}, {stop:?}, {width}: “{words}” {rect:?} lies on “{others}” {other:?}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn an_empty_garment_says_at_each_stop_what_is_missing() {
    let mut seat = Seat::at(empty());
    for (stop, words) in [
        (Stop::Body, "nothing measured yet"),
        (Stop::Alter, "none yet"),
        (Stop::Cloth, "No cloth is written down yet"),
        (Stop::Lay, "There is no cloth yet"),
        (Stop::Aim, "Not aimed yet"),
        (Stop::Cut, "Nothing is laid yet"),
        (Stop::Sheet, "No edge was changed"),
    ] {
        seat.go_to(stop);
        assert!(seat.says(words), "{stop:?}: {:?}", seat.labels(Role::Label));
    }
}

#[test]
fn a_broken_garment_says_what_is_wrong_and_keeps_the_rest() {
    let mut seat = Seat::with_size(broken(), (1366.0, 2500.0));
    for words in [
        "is not cut from this cloth",
        "The marks as they stand give no aim",
        "“nowhere”",
        "is turned against the other pieces",
    ] {
        assert!(seat.says(words), "{words}: {:?}", seat.labels(Role::Button));
    }
    seat.go_to(Stop::Cut);
    assert!(seat.says("to settle before cutting"));
}

#[test]
fn a_garment_is_made_ready_from_nothing_by_hand() {
    let mut seat = Seat::with_size(empty(), (1366.0, 2000.0));
    seat.go_to(Stop::Cloth);
    seat.click(Role::Button, "Begin with");
    seat.enter("usable width", "150");
    seat.enter("called", "garden linen");
    let cloth = seat.session().open.plan().cloths.values().next().unwrap().clone();
    assert_eq!((cloth.name.as_str(), cloth.width.mm()), ("garden linen", 1500.0));
    seat.go_to(Stop::Lay);
    seat.click(Role::Button, "lay back 1");
    assert_eq!(seat.session().open.plan().lay.len(), 1);
    let off =
        |seat: &Seat| seat.session().findings().iter().any(|finding| finding.what.contains("off the cloth"));
    assert!(!off(&seat), "a first place lies on the cloth: {:?}", seat.session().findings());
}

#[test]
fn lengths_are_said_in_inches_at_the_desk_and_on_the_cloth_when_she_prefers_it() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Lay);
    let says = |seat: &Seat, end: &str| seat.places().iter().any(|(_, words)| words.ends_with(end));
    assert!(says(&seat, " cm to spare") && !says(&seat, " in to spare"));
    let on_the_floor = |seat: &Seat| -> Vec<String> {
        let session = seat.session();
        let scene = floor_scene(&session.open, &session.floor, (1920, 1080));
        let words = scene.items.into_iter().filter_map(|item| match item.shape {
            Shape::Label { words, .. } => Some(words),
            _ => None,
        });
        words.filter(|words| words.ends_with(" mm") || words.ends_with(" in")).collect()
    };
    let metric = on_the_floor(&seat);
    assert!(!metric.is_empty() && metric.iter().all(|words| words.ends_with(" mm")), "{metric:?}");
    seat.click(Role::CheckBox, "lengths in inches");
    assert!(says(&seat, " in to spare") && !says(&seat, " cm to spare"));
    let inches = on_the_floor(&seat);
    assert_eq!(inches.len(), metric.len());
    for (metric, inches) in metric.iter().zip(&inches) {
        let number = |words: &str| words.trim_end_matches(|c: char| !c.is_ascii_digit()).replace('−', "-");
        let mm: f64 = number(metric).parse().unwrap();
        let inches: f64 = number(inches).parse().unwrap();
        assert!((inches * 25.4 - mm).abs() <= 1.3, "{mm} mm, {inches} in");
    }
    seat.click(Role::CheckBox, "lengths in inches");
    assert_eq!(on_the_floor(&seat), metric);
}
