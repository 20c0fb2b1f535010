//! The way: the job's stops, each with a few words on where it stands.

use super::{Stop, Wish};
use crate::alter::Outcome;
use crate::finding::Severity;
use crate::floor::Action;
use crate::garment::{CutState, OpenGarment};
use crate::pattern::ClothKind;
use egui::{RichText, Ui};

/// The words of each stop.
#[must_use]
pub fn way_words(open: &OpenGarment) -> Vec<(&'static str, String)> {
    Stop::ALL
        .into_iter()
        .map(|stop| (stop.words(), words_of(open, stop)))
        .collect()
}

fn words_of(open: &OpenGarment, stop: Stop) -> String {
    let (garment, plan) = (open.garment(), open.plan());
    match stop {
        Stop::Pattern => format!(
            "{}, {} pieces, size {}",
            garment.pattern.name,
            garment.pattern.pieces.len(),
            plan.size
        ),
        Stop::Body => match plan.wearer.measurements.len() {
            0 => "nothing measured yet".to_owned(),
            count => format!("{count} measurements"),
        },
        Stop::Alter => alter_words(open),
        Stop::Cloth => match plan.cloths.get(&ClothKind::Cloth) {
            Some(cloth) => format!("{}, {} × {}", cloth.name, cloth.width, cloth.length),
            None => "no cloth yet".to_owned(),
        },
        Stop::Lay => match plan.lay.len() {
            0 => "nothing laid yet".to_owned(),
            count => format!("{count} of {} copies laid", copies_wanted(open)),
        },
        Stop::Aim => aim_words(open),
        Stop::Cut => {
            let cut = garment.progress.len();
            let marked = garment
                .progress
                .iter()
                .filter(|done| done.state == CutState::Marked)
                .count();
            let stops = open
                .findings()
                .iter()
                .filter(|finding| finding.severity == Severity::Stop)
                .count();
            match (stops, cut) {
                (0, 0) => "ready to cut".to_owned(),
                (0, _) => format!("{cut} cut, {marked} marked"),
                (1, _) => "1 thing to settle first".to_owned(),
                (count, _) => format!("{count} things to settle first"),
            }
        }
        Stop::Sheet => "pieces at true size".to_owned(),
    }
}

fn alter_words(open: &OpenGarment) -> String {
    let steps = &open.evaluated().replay.steps;
    let failed = steps
        .iter()
        .filter(|step| matches!(step.outcome, Outcome::Failed(_)))
        .count();
    match (steps.len(), failed) {
        (0, _) => "as printed".to_owned(),
        (1, 0) => "1 alteration".to_owned(),
        (count, 0) => format!("{count} alterations"),
        (count, failed) => format!("{failed} of {count} alterations don't fit"),
    }
}

fn aim_words(open: &OpenGarment) -> String {
    let attempt = open.aim();
    if attempt.trouble.is_some() {
        return "the marks don't fit".to_owned();
    }
    match &attempt.good {
        None => "not aimed yet".to_owned(),
        Some(aim) => format!("aimed, {:.2} mm a pixel", aim.report().pixel_pitch_mm.centre),
    }
}

/// How many copies the cutting list asks for from the main cloth.
pub(super) fn copies_wanted(open: &OpenGarment) -> u32 {
    let pieces = open.evaluated().pieces.iter();
    pieces
        .flat_map(|piece| &piece.altered.cuttings)
        .filter(|cutting| cutting.cloth == ClothKind::Cloth)
        .map(|cutting| cutting.count)
        .sum()
}

/// The left part of the desk.
pub(super) fn ui(ui: &mut Ui, session: &super::Session, wishes: &mut Vec<Wish>, chosen: &mut Stop) {
    ui.add_space(8.0);
    ui.label(RichText::new(&session.open.garment().name).heading());
    ui.add_space(8.0);
    for stop in Stop::ALL {
        let here = *chosen == stop;
        let words = words_of(&session.open, stop);
        let mut text = egui::text::LayoutJob::default();
        RichText::new(stop.words()).strong().append_to(
            &mut text,
            ui.style(),
            egui::FontSelection::Default,
            egui::Align::LEFT,
        );
        RichText::new(format!("\n{words}")).small().append_to(
            &mut text,
            ui.style(),
            egui::FontSelection::Default,
            egui::Align::LEFT,
        );
        let width = ui.available_width();
        let button = egui::Button::selectable(here, text)
            .min_size(egui::vec2(width, 44.0))
            .wrap();
        if ui.add(button).clicked() {
            *chosen = stop;
        }
    }
    ui.with_layout(egui::Layout::bottom_up(egui::Align::LEFT), |ui| {
        saving(ui, session, wishes)
    });
}

fn saving(ui: &mut Ui, session: &super::Session, wishes: &mut Vec<Wish>) {
    ui.add_space(8.0);
    let open = &session.open;
    let words = match (&session.saved_at, open.is_saved(), open.path()) {
        (_, _, None) => "the demo; not saved anywhere".to_owned(),
        (Some(time), true, _) => format!("saved at {}", time.strftime("%H:%M:%S")),
        (None, true, _) => "as on the disk".to_owned(),
        (_, false, _) => "not saved yet".to_owned(),
    };
    ui.label(RichText::new(words).small());
    if let Some(path) = open.path() {
        ui.label(RichText::new(path.display().to_string()).small().weak());
    }
    ui.horizontal(|ui| {
        let mut key = |ui: &mut Ui, enabled: bool, words: &str, action: Action| {
            if ui.add_enabled(enabled, egui::Button::new(words)).clicked() {
                wishes.push(Wish::Act(action));
            }
        };
        key(ui, open.can_undo(), "Take back", Action::Undo);
        key(ui, open.can_redo(), "Do again", Action::Redo);
    });
    if open.path().is_some() {
        if ui
            .add_enabled(!open.is_saved(), egui::Button::new("Save"))
            .clicked()
        {
            wishes.push(Wish::Act(Action::Save));
        }
    } else if ui.button("Keep a copy in this folder").clicked() {
        wishes.push(Wish::SaveAs(super::copy_path()));
    }
}
