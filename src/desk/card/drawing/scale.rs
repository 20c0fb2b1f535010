//! How large the drawing is: by two places of known distance, by the test square, or by what its file does not tell.

use super::super::part;
use crate::desk::{Intake, Session, Wish, say};
use crate::geometry::{Length, Point, Unit};
use crate::import::Correction;
use egui::{Button, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, intake: &Intake, wishes: &mut Vec<Wish>) {
    if intake.shown().is_none() {
        return;
    }
    part(ui, "Scale");
    let sheet = intake.sheet;
    let mut say = |correction: Correction| wishes.push(Wish::Correct(Box::new(correction)));
    match (intake.place_before, intake.place) {
        (Some(from), Some(to)) if from != to => {
            let apart = to - from;
            say::label(
                ui,
                format!(
                    "Between the two rings: {:.1} mm ({:.1} across, {:.1} up)",
                    apart.hypot(),
                    apart.x.abs(),
                    apart.y.abs()
                ),
            );
            let label = ui.label("On the paper they are apart by").id;
            if let Some(apart) = typed(ui, session, "drawing ruler", label) {
                say(Correction::Ruler { from, to, apart, sheet });
            }
            let label =
                ui.label("They are two corners, across, of the test square; at its side is printed").id;
            if let Some(side) = typed(ui, session, "drawing square", label) {
                say(Correction::TestSquare { from, to, side, sheet });
            }
        }
        _ => {
            ui.label(
                "Click two places whose distance you know, of a ruler that was scanned with the piece or of a line \
                 that you measured; or two corners, across, of the printed test square.",
            );
        }
    }
    if let Some((words, scale)) = by_square(intake)
        && ui.add(Button::new(words).wrap()).clicked()
    {
        say(scale);
    }
    if intake.wants_scale {
        missing(ui, session, sheet, &mut say);
    }
}

/// A length that was typed over an empty field, in mm where it names no unit.
fn typed(ui: &mut Ui, session: &mut Session, field: &str, label: egui::Id) -> Option<Length> {
    let length = session.desk.typing.optional_length(ui, field, label, None, Unit::Mm).flatten()?;
    (length.mm() > 0.0).then_some(length)
}

/// The scale that makes the test square, found or pointed to, as large as is printed at it, with its words; none where
/// it is so already. Of several the largest tells best.
fn by_square(intake: &Intake) -> Option<(&'static str, Correction)> {
    let squares = &intake.shown()?.test_squares;
    let square = squares.iter().max_by(|a, b| a.bounds.area().total_cmp(&b.bounds.area()))?;
    if square.is_true_size() {
        return None;
    }
    let (bounds, apart, sheet) = (square.bounds, square.side.clone(), intake.sheet);
    let from = Point::new(bounds.x0, bounds.y0);
    if square.is_even() {
        // What a hand is off by across and up is shared.
        let to = Point::new(from.x + 0.5 * (bounds.width() + bounds.height()), from.y);
        let words = "the square is right: scale the drawing by it";
        return Some((words, Correction::Ruler { from, to, apart, sheet }));
    }
    let words = "the square is right: scale the drawing by it, across and up apart";
    let to = Point::new(bounds.x1, bounds.y1);
    Some((words, Correction::BySquare { from, to, side: apart, sheet }))
}

/// A drawing that tells no scale is asked for one.
fn missing(ui: &mut Ui, session: &mut Session, sheet: usize, say: &mut impl FnMut(Correction)) {
    type Made = fn(f64, usize) -> Correction;
    const ASKED: [(&str, &str, Made); 2] = [
        ("If the scale is missing: millimetres in one unit of the drawing", "drawing scale", |mm, sheet| {
            Correction::Unit { mm, sheet }
        }),
        ("Of a scan: dots in an inch", "drawing dots", |per_inch, sheet| Correction::Dots {
            per_inch,
            sheet,
        }),
    ];
    for (words, field, made) in ASKED {
        let label = say::label(ui, words).id;
        if let Some(number) = session.desk.typing.number(ui, field, label) {
            say(made(number, sheet));
        }
    }
}
