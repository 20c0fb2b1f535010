//! How large the drawing is: by two places of known distance, by the test square, or by what its file does not tell.

use super::super::part;
use crate::desk::{Intake, Session, Wish, say};
use crate::geometry::{Length, Point, Rect, Unit};
use crate::import::{Correction, is_true_size};
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
    if let Some(ruler) = by_square(intake)
        && ui.add(Button::new("the square is right: scale the drawing by it").wrap()).clicked()
    {
        say(ruler);
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

/// The scale that makes the test square, which was pointed to last, as large as is printed at it; none where it is so
/// already, or is not square: one scale mends both ways alike.
fn by_square(intake: &Intake) -> Option<Correction> {
    let Some(Correction::TestSquare { from, to, side, sheet }) = intake.options.corrections.last() else {
        return None;
    };
    let bounds = Rect::from_points(*from, *to);
    let mean = 0.5 * (bounds.width() + bounds.height());
    let alike = is_true_size(bounds.width(), bounds.height());
    if *sheet != intake.sheet || !alike || is_true_size(mean, side.mm()) {
        return None;
    }
    let from = Point::new(bounds.x0, bounds.y0);
    Some(Correction::Ruler {
        from,
        to: Point::new(from.x + mean, from.y),
        apart: side.clone(),
        sheet: *sheet,
    })
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
