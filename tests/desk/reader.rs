//! What a screen reader is told: every field's name and value, and what a short button is about.

use crate::seat::{Seat, demo};
use chalkbeam::desk::Stop;

#[test]
fn every_field_has_a_name_and_says_what_stands_in_it() {
    let mut seat = Seat::with_size(demo(), (1366.0, 1600.0));
    let mut seen = 0;
    for stop in Stop::ALL {
        seat.go_to(stop);
        for (name, value, text) in seat.fields() {
            assert!(!name.trim().is_empty(), "{stop:?}: a field of “{text}” without a name");
            assert_eq!(value.as_deref(), Some(text.as_str()), "{stop:?}: “{name}”");
            seen += usize::from(!text.is_empty());
        }
    }
    assert!(seen > 15, "{seen} fields with something in them");
    seat.go_to(Stop::Aim);
    assert_eq!(seat.value("1–2"), "1813 mm");
}

#[test]
fn a_short_button_says_which_alteration_it_is_about() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Alter);
    for words in ["earlier", "later", "take out"] {
        let about = seat.descriptions(words);
        assert_eq!(about.len(), 3, "{words}: {about:?}");
        for (index, about) in about.iter().enumerate() {
            assert!(about.starts_with(&format!("{}. ", index + 1)) && about.len() > 6, "{words}: {about}");
        }
    }
}

#[test]
fn of_several_short_buttons_each_says_which_copy_or_bar_it_is_about() {
    let mut seat = Seat::with_size(demo(), (1366.0, 1600.0));
    let stops = [
        (Stop::Lay, &["turn", "off", "pin"][..], "front facing 2"),
        (Stop::Cut, &["cut", "marked"][..], "front facing 2"),
        (Stop::Cloth, &["up", "down", "take it out"][..], "bar 2 along"),
    ];
    for (stop, buttons, one) in stops {
        seat.go_to(stop);
        for words in buttons {
            let about = seat.descriptions(words);
            let apart: std::collections::BTreeSet<&String> = about.iter().collect();
            assert!(about.len() > 2 && apart.len() == about.len(), "{words}: {about:?}");
            assert!(apart.contains(&one.to_owned()), "{words}: {about:?}");
        }
    }
}
