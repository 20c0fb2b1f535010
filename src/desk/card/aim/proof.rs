//! The proof of the size: what a tape reads on the lit bars; and the cloth's thickness.

use crate::aim::{ClothRise, Measured, Verdict};
use crate::desk::{Session, Wish, say, theme};
use crate::floor::Action;
use crate::garment::{Command, ProofSheet};
use crate::geometry::{Length, Unit};
use crate::scene::Layer;
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let Some(aim) = &session.open.aim().good else {
        ui.label("Aim first; then bars are lit that a tape is held against.");
        return;
    };
    let kept = session.open.garment().aims.first().and_then(|aim| aim.proof.clone());
    let sheet = kept.unwrap_or_else(|| ProofSheet::of(aim));
    if ui.selectable_label(session.floor.show.has(Layer::Proof), "light the bars (key P)").clicked() {
        wishes.push(Wish::Act(Action::Toggle(Layer::Proof)));
    }
    ui.label("Lay a tape along each bar, from end to end, and write down what it reads.");
    let bars = sheet.bars();
    Grid::new("bars").num_columns(2).striped(true).show(ui, |ui| {
        for (bar, (way, lit)) in ["across", "along", "diagonal"].into_iter().zip(&bars).enumerate() {
            let label = say::label(ui, format!("bar {way}, {:.0} mm", lit.length_mm())).id;
            let reading = sheet.readings.get(bar).and_then(Option::as_ref);
            let field = format!("bar {bar}");
            let typed = session.desk.typing.optional_length(ui, &field, label, reading, Unit::Mm);
            if let Some(reading) = typed {
                wishes.push(Wish::of(Command::ReadBar { bar, reading }));
            }
            ui.end_row();
        }
    });
    if bars.iter().any(|bar| !bar.is_long()) {
        ui.label("The picture is small: a bar under a metre is a gross check only.");
    }
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("500 mm may be off by").id;
        let tolerance = &sheet.tolerance_in_500;
        if let Some(tolerance) = session.desk.typing.length(ui, "proof tolerance", label, tolerance) {
            wishes.push(Wish::of(Command::SetProofTolerance(tolerance)));
        }
    });
    match sheet.proof() {
        None => {}
        Some(Ok(proof)) => {
            let colour = match proof.verdict() {
                Verdict::Good => theme::ink(ui),
                Verdict::Unsure => theme::warning(ui),
                Verdict::Bad => theme::stop(ui),
            };
            ui.colored_label(colour, say::words(ui, format!("Proved: {proof}.")));
        }
        Some(Err(error)) => drop(ui.colored_label(theme::stop(ui), say::words(ui, error.to_string()))),
    }
}

/// How thick the cloth is, and how high the lens hangs: without the height a thickness says nothing.
pub(super) fn thickness(ui: &mut Ui, session: &mut Session, measured: &Measured, wishes: &mut Vec<Wish>) {
    let rise = measured.cloth;
    let height =
        rise.map(|rise| Length::from_mm(rise.lens_height_mm)).or_else(|| session.desk.lens_height.clone());
    Grid::new("thickness").num_columns(2).show(ui, |ui| {
        let label = ui.label("the lens above the table").id;
        let typed = session.desk.typing.optional_length(ui, "lens height", label, height.as_ref(), Unit::Cm);
        if let Some(height) = typed {
            if let (Some(rise), Some(height)) = (rise, &height) {
                take(measured, Some(ClothRise { lens_height_mm: height.mm(), ..rise }), wishes);
            }
            session.desk.lens_height = height;
        }
        ui.end_row();
        if let Some(height) = &height {
            let label = ui.label("all plies together are thick").id;
            let thick = rise.map(|rise| Length::from_mm(rise.thickness_mm));
            let typed = session.desk.typing.optional_length(ui, "thickness", label, thick.as_ref(), Unit::Mm);
            if let Some(thick) = typed {
                let rise = thick.filter(|thick| thick.mm() > 0.0).map(|thick| ClothRise {
                    thickness_mm: thick.mm(),
                    lens_height_mm: height.mm(),
                    foot: rise.and_then(|rise| rise.foot),
                });
                take(measured, rise, wishes);
            }
            ui.end_row();
        }
    });
    ui.label("From half a millimetre on it pays to say so. Measure the lens's height with a tape.");
    if let Some(guess) = session.open.aim().good.as_ref().and_then(|aim| aim.lens_height_guess()) {
        say::label(
            ui,
            format!(
                "By the marks alone the lens would hang {:.0} cm high, give or take {:.0} cm: a check of the tape, no more, \
             and wrong for a lens with an offset.",
                0.1 * guess.height_mm,
                0.1 * guess.sigma_mm
            ),
        );
    }
}

fn take(measured: &Measured, cloth: Option<ClothRise>, wishes: &mut Vec<Wish>) {
    let measured = Measured { cloth, ..measured.clone() };
    wishes.push(Wish::of(Command::TakeAim(Box::new(measured))));
}
