//! The card while a drawing becomes a pattern: what was understood and what not, and what can be put right, as
//! sentences about the place that was pointed to on the sheet.

use super::part;
use crate::desk::{Intake, Session, Wish, theme};
use crate::finding::Severity;
use crate::geometry::Point;
use crate::import::{Correction, LineIs, Proposal, SizesBy};
use egui::{Button, RichText, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let Some(intake) = session.desk.intake.clone() else { return };
    ui.label(format!("A drawing is becoming a pattern: {}", intake.name()));
    ui.horizontal_wrapped(|ui| {
        if intake.doing().is_none() && ui.button("leave it").clicked() {
            wishes.push(Wish::CloseDrawing);
        }
        if let Some(doing) = intake.doing() {
            ui.label(doing);
            if ui.button("stop").clicked() {
                wishes.push(Wish::StopReading);
            }
        }
    });
    match &intake.understood {
        None => {}
        Some(Err(words)) => {
            ui.colored_label(theme::stop(ui), words.as_str());
            scale(ui, session, wishes);
        }
        Some(Ok(imported)) => {
            let pattern = &imported.pattern;
            ui.label(format!("{} pieces in {} sizes", pattern.pieces.len(), pattern.sizes.len()));
            if ui.add(Button::new(RichText::new("take these pieces").strong()).wrap()).clicked() {
                wishes.push(Wish::TakePieces);
            }
            part(ui, "Size on the board");
            ui.horizontal_wrapped(|ui| {
                for (index, size) in pattern.sizes.iter().enumerate() {
                    if ui.selectable_label(intake.size == index, size.as_str()).clicked()
                        && let Some(intake) = &mut session.desk.intake
                    {
                        intake.show_size(index);
                    }
                }
            });
        }
    }
    sizes_by(ui, &intake, wishes);
    here(ui, session, &intake, wishes);
    corrections(ui, &intake, wishes);
    lists(ui, session, &intake);
}

/// A drawing that tells no scale is asked for one.
fn scale(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let Some(intake) = &session.desk.intake else { return };
    let mut options = intake.options.clone();
    let known = options.millimetres_per_unit.map(|mm| mm.to_string()).unwrap_or_default();
    let number = |text: String| text.replace(',', ".").parse::<f64>().ok();
    let label = ui.label("If the scale is missing: millimetres in one unit of the drawing").id;
    let entered = session.desk.typing.words(ui, "drawing scale", label, &known);
    if let Some(mm) = entered.and_then(number) {
        options.millimetres_per_unit = Some(mm);
        wishes.push(Wish::ReadAgain(Box::new(options.clone())));
    }
    let known = options.dpi.map(|dpi| dpi.to_string()).unwrap_or_default();
    let label = ui.label("Of a scan: dots in an inch").id;
    let entered = session.desk.typing.words(ui, "drawing dots", label, &known);
    if let Some(dpi) = entered.and_then(number) {
        options.dpi = Some(dpi);
        wishes.push(Wish::ReadAgain(Box::new(options)));
    }
}

fn sizes_by(ui: &mut Ui, intake: &Intake, wishes: &mut Vec<Wish>) {
    part(ui, "Sizes are told apart by");
    let taken = intake.options.corrections.iter().rev().find_map(|correction| match correction {
        Correction::SizesBy(by) => Some(*by),
        _ => None,
    });
    let shown =
        taken.or_else(|| intake.imported().and_then(|all| all.readings.first()).map(|first| first.by));
    ui.horizontal_wrapped(|ui| {
        for by in SizesBy::ALL {
            let chosen = shown == Some(by) || (shown.is_none() && by == SizesBy::Nothing);
            if ui.selectable_label(chosen, by.word()).clicked() && taken != Some(by) {
                wishes.push(Wish::Correct(Box::new(Correction::SizesBy(by))));
            }
        }
    });
    for reading in intake.imported().into_iter().flat_map(|all| &all.readings) {
        ui.label(
            RichText::new(format!(
                "{}: {} ({}); {:.0} of 100",
                reading.by.word(),
                reading.reason,
                reading.sizes.join(", "),
                100.0 * reading.confidence
            ))
            .small(),
        );
    }
}

/// What can be said of the place that was pointed to.
fn here(ui: &mut Ui, session: &mut Session, intake: &Intake, wishes: &mut Vec<Wish>) {
    part(ui, "Here");
    let Some(at) = intake.place else {
        ui.label("Click a place on the sheet; then say here what is there.");
        return;
    };
    ui.label(format!("{:.1} mm from the left, {:.1} mm up", at.x, at.y));
    let mut say = |correction: Correction| wishes.push(Wish::Correct(Box::new(correction)));
    let sheet = 0;
    for (words, correction) in [
        ("a corner is here", Correction::Corner { at }),
        ("no corner is here", Correction::NoCorner { at }),
        ("this edge lies on the fold: the piece is mirrored there", Correction::Fold { at }),
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
            say(Correction::Grain { from, to: at });
        }
    }
    type Made = fn(Point, String) -> Correction;
    const NAMES: [(&str, &str, Made); 3] = [
        ("this edge is called", "drawing edge", |at, name| Correction::NameEdge { at, name }),
        ("this piece is called", "drawing piece", |at, name| Correction::NamePiece { at, name }),
        ("this line belongs to size", "drawing size", |at, size| Correction::Size { at, size, sheet: 0 }),
    ];
    for (words, field, made) in NAMES {
        ui.horizontal_wrapped(|ui| {
            let label = ui.label(words).id;
            if let Some(name) = session.desk.typing.words(ui, field, label, "") {
                say(made(at, name));
            }
        });
    }
}

fn corrections(ui: &mut Ui, intake: &Intake, wishes: &mut Vec<Wish>) {
    let list = &intake.options.corrections;
    part(ui, "Put right");
    if list.is_empty() {
        ui.label("nothing yet");
        return;
    }
    for correction in list {
        ui.label(correction.words());
    }
    if ui.button("take back the last").clicked() {
        wishes.push(Wish::TakeBack);
    }
}

/// What was understood and what was not; a click shows the place.
fn lists(ui: &mut Ui, session: &mut Session, intake: &Intake) {
    let Some(imported) = intake.imported() else { return };
    let mut place = None;
    part(ui, "Not understood, or to be looked at");
    if imported.findings.is_empty() {
        ui.label("nothing");
    }
    for finding in &imported.findings {
        let colour = match finding.severity {
            Severity::Stop => theme::stop(ui),
            Severity::Warning => theme::warning(ui),
            Severity::Note => theme::ink(ui),
        };
        let of = finding.piece.as_ref().map(|piece| format!("{piece}: ")).unwrap_or_default();
        let words = RichText::new(format!("{of}{}", finding.what)).color(colour);
        let row = ui.add(Button::selectable(false, words).wrap()).on_hover_text(&finding.remedy);
        if row.clicked() {
            place = finding.at;
        }
    }
    part(ui, "Understood");
    let mut by_doubt: Vec<&Proposal> = imported.proposals.iter().collect();
    // What is least sure is looked at first.
    by_doubt.sort_by(|a, b| a.confidence.total_cmp(&b.confidence));
    for proposal in by_doubt {
        let of = proposal.piece.as_ref().map(|piece| format!("{piece}: ")).unwrap_or_default();
        let words = format!("{of}{} ({:.0} of 100)", proposal.what, 100.0 * proposal.confidence);
        if ui.add(Button::selectable(false, words).wrap()).clicked() {
            place = proposal.at;
        }
    }
    for mates in imported.mates.iter().filter(|mates| mates.taken) {
        let words = format!("{} ({:.0} of 100)", mates.words(), 100.0 * mates.confidence);
        ui.add(egui::Label::new(words).wrap());
    }
    if let (Some(place), Some(intake)) = (place, &mut session.desk.intake) {
        intake.point_to(place, 0.0);
    }
}

/// Where a drawing is opened, on the card of the stop Pattern.
pub(super) fn open_one(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    part(ui, "Another pattern");
    // Labels that run over several rows leave no room beside their last.
    let label = ui.label("Open a drawing or a scan: its path, or drop it on this window").id;
    if let Some(path) = session.desk.typing.path(ui, "drawing path", label) {
        wishes.push(Wish::OpenDrawing(vec![path]));
    }
}
