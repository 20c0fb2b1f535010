//! The card while a drawing becomes a pattern: what was understood and what not, and what can be put right, as
//! sentences about the place that was pointed to on the sheet.

mod here;
mod pages;
mod scale;

use super::part;
use crate::desk::{Intake, Session, Wish, say, theme};
use crate::finding::Severity;
use crate::geometry::Point;
use crate::import::{Correction, Proposal, SizesBy};
use crate::pattern::{PieceId, SizeId};
use egui::{Button, RichText, Ui};
use std::path::PathBuf;

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let Some(intake) = session.desk.intake.clone() else { return };
    say::label(ui, format!("A drawing is becoming a pattern: {}", intake.name()));
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
        }
        Some(Ok(imported)) => {
            let pattern = &imported.pattern;
            let pieces = say::counted(pattern.pieces.len(), "piece", "pieces");
            say::label(ui, format!("{pieces} in {}", say::counted(pattern.sizes.len(), "size", "sizes")));
            if ui.add(Button::new(RichText::new("take these pieces").strong()).wrap()).clicked() {
                wishes.push(Wish::TakePieces);
            }
            if !intake.shows_pages() {
                sizes(ui, session, &intake, &pattern.sizes);
            }
        }
    }
    sheets(ui, session, &intake);
    pages::ui(ui, session, &intake, wishes);
    if !intake.shows_pages() {
        if !intake.wants_scale {
            sizes_by(ui, &intake, wishes);
        }
        here::here(ui, session, &intake, wishes);
        scale::ui(ui, session, &intake, wishes);
    }
    corrections(ui, &intake, wishes);
    lists(ui, session, &intake);
}

/// The size that is on the board.
fn sizes(ui: &mut Ui, session: &mut Session, intake: &Intake, sizes: &[SizeId]) {
    part(ui, "Size on the board");
    ui.horizontal_wrapped(|ui| {
        for (index, size) in sizes.iter().enumerate() {
            if ui.selectable_label(intake.size == index, size.as_str()).clicked()
                && let Some(intake) = &mut session.desk.intake
            {
                intake.show_size(index);
            }
        }
    });
}

/// Of several drawings one is on the board; what is said is said of it.
fn sheets(ui: &mut Ui, session: &mut Session, intake: &Intake) {
    let names = intake.sheet_names();
    if names.is_empty() {
        return;
    }
    part(ui, "File on the board");
    ui.horizontal_wrapped(|ui| {
        for (sheet, name) in names.iter().enumerate() {
            if ui.selectable_label(intake.sheet == sheet, name).clicked()
                && let Some(intake) = &mut session.desk.intake
            {
                intake.show_sheet(sheet);
            }
        }
    });
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

fn corrections(ui: &mut Ui, intake: &Intake, wishes: &mut Vec<Wish>) {
    let list = &intake.options.corrections;
    part(ui, "Put right");
    if list.is_empty() {
        ui.label("nothing yet");
        return;
    }
    let names = intake.sheet_names();
    for correction in list {
        let of = correction.sheet().and_then(|sheet| names.get(sheet));
        let of = of.map(|name| format!("{name}: ")).unwrap_or_default();
        say::label(ui, format!("{of}{}", correction.words()));
    }
    if ui.button("take back the last").clicked() {
        wishes.push(Wish::TakeBack);
    }
}

/// What was understood and what was not; a click shows the place.
fn lists(ui: &mut Ui, session: &mut Session, intake: &Intake) {
    let imported = intake.imported();
    let findings = imported.map_or(&intake.said, |imported| &imported.findings);
    if imported.is_none() && findings.is_empty() {
        return;
    }
    let mut clicked: Option<(Option<Point>, Option<usize>)> = None;
    part(ui, "Not understood, or to be looked at");
    if findings.is_empty() {
        ui.label("nothing");
    }
    for finding in findings {
        let colour = match finding.severity {
            Severity::Stop => theme::stop(ui),
            Severity::Warning => theme::warning(ui),
            Severity::Note => theme::ink(ui),
        };
        let of = finding.piece.as_ref().map(|piece| format!("{piece}: ")).unwrap_or_default();
        let words = RichText::new(format!("{of}{}", finding.what)).color(colour);
        let row = ui.add(Button::selectable(false, words).wrap()).on_hover_text(&finding.remedy);
        if row.clicked() {
            clicked = Some((finding.at, sheet_of(intake, finding.piece.as_ref())));
        }
    }
    let Some(imported) = imported else { return show(session, clicked) };
    part(ui, "Understood");
    let mut by_doubt: Vec<&Proposal> = imported.proposals.iter().collect();
    // What is least sure is looked at first.
    by_doubt.sort_by(|a, b| a.confidence.total_cmp(&b.confidence));
    for proposal in by_doubt {
        let of = proposal.piece.as_ref().map(|piece| format!("{piece}: ")).unwrap_or_default();
        let words = format!("{of}{} ({:.0} of 100)", proposal.what, 100.0 * proposal.confidence);
        if ui.add(Button::selectable(false, words).wrap()).clicked() {
            clicked = Some((proposal.at, sheet_of(intake, proposal.piece.as_ref())));
        }
    }
    for mates in imported.mates.iter().filter(|mates| mates.taken) {
        let words = format!("{} ({:.0} of 100)", mates.words(), 100.0 * mates.confidence);
        ui.add(egui::Label::new(words).wrap());
    }
    show(session, clicked);
}

/// On which sheet a piece lies in the size that is looked at.
fn sheet_of(intake: &Intake, piece: Option<&PieceId>) -> Option<usize> {
    let imported = intake.imported()?;
    let place = imported.pattern.pieces.iter().position(|sized| Some(&sized.id) == piece)?;
    let on = imported.sheets.get(place)?;
    on.get(intake.size).or_else(|| on.last()).copied()
}

/// Shows the place of what was clicked in a list.
fn show(session: &mut Session, clicked: Option<(Option<Point>, Option<usize>)>) {
    if let (Some((Some(place), sheet)), Some(intake)) = (clicked, &mut session.desk.intake) {
        if let Some(sheet) = sheet {
            intake.show_sheet(sheet);
        }
        intake.point_to(place, 0.0);
    }
}

/// Where a drawing is opened, on the card of the stop Pattern.
pub(super) fn open_one(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    part(ui, "Another pattern");
    // Labels that run over several rows leave no room beside their last.
    let label = ui
        .label("Open a drawing or a scan: its path, or drop it on this window; several files of one pattern with ; between")
        .id;
    if let Some(path) = session.desk.typing.path(ui, "drawing path", label) {
        let typed = path.to_string_lossy();
        let several = typed.split(';').map(str::trim).filter(|part| !part.is_empty()).map(PathBuf::from);
        let paths = if path.exists() { vec![path.clone()] } else { several.collect() };
        wishes.push(Wish::OpenDrawing(paths));
    }
}
