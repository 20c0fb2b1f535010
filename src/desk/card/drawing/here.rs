//! What can be said of the place that was pointed to, as sentences.

use super::super::part;
use crate::desk::{Intake, Session, Wish, say};
use crate::geometry::Point;
use crate::import::{Correction, LineIs};
use egui::{Button, Ui};

/// What can be said of the place that was pointed to.
pub(super) fn here(ui: &mut Ui, session: &mut Session, intake: &Intake, wishes: &mut Vec<Wish>) {
    part(ui, "Here");
    if intake.wants_scale {
        ui.label("The drawing is only shown as long as its scale is missing.");
        return;
    }
    let Some(at) = intake.place else {
        ui.label("Click a place on the sheet; then say here what is there.");
        return;
    };
    say::label(ui, format!("{:.1} mm from the left, {:.1} mm up", at.x, at.y));
    let mut say = |correction: Correction| wishes.push(Wish::Correct(Box::new(correction)));
    let sheet = intake.sheet;
    for (words, correction) in [
        ("a corner is here", Correction::Corner { at, sheet }),
        ("no corner is here", Correction::NoCorner { at, sheet }),
        ("this edge lies on the fold: the piece is mirrored there", Correction::Fold { at, sheet }),
        ("split the line here", Correction::Split { at, sheet }),
        ("leave this line out", Correction::Drop { at, sheet }),
    ] {
        if ui.add(Button::new(words).wrap()).clicked() {
            say(correction);
        }
    }
    ui.horizontal_wrapped(|ui| {
        ui.label("this line is");
        for is in [LineIs::BalanceLine, LineIs::Grain, LineIs::Inner, LineIs::Notch, LineIs::Drill] {
            if ui.button(is.words()).clicked() {
                say(Correction::Mark { at, is, sheet });
            }
        }
    });
    if let Some(from) = intake.place_before {
        ui.label("Together with the place before (the smaller ring):");
        if ui.add(Button::new("join the two ends of lines").wrap()).clicked() {
            say(Correction::Join { from, to: at, sheet });
        }
        if ui.add(Button::new("the grain runs from there up to here").wrap()).clicked() {
            say(Correction::Grain { from, to: at, sheet });
        }
    }
    type Made = fn(Point, String, usize) -> Correction;
    const NAMES: [(&str, &str, Made); 3] = [
        ("this edge is called", "drawing edge", |at, name, sheet| Correction::NameEdge { at, name, sheet }),
        ("this piece is called", "drawing piece", |at, name, sheet| Correction::NamePiece {
            at,
            name,
            sheet,
        }),
        ("this line belongs to size", "drawing size", |at, size, sheet| Correction::Size { at, size, sheet }),
    ];
    for (words, field, made) in NAMES {
        ui.horizontal_wrapped(|ui| {
            let label = say::label(ui, words).id;
            if let Some(name) = session.desk.typing.words(ui, field, label, "") {
                say(made(at, name, sheet));
            }
        });
    }
}
