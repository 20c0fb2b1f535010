//! The way: the job's stops, each with a few words on where it stands.

use super::{Stop, Wish, say};
use crate::alter::Outcome;
use crate::finding::{Severity, Subject};
use crate::floor::Action;
use crate::garment::{CutState, OpenGarment};
use crate::geometry::Units;
use egui::{RichText, Ui};
use kurbo::Shape as _;

/// The words of each stop.
#[must_use]
pub fn way_words(open: &OpenGarment) -> Vec<(&'static str, String)> {
    Stop::ALL.into_iter().map(|stop| (stop.words(), words_of(open, stop))).collect()
}

fn words_of(open: &OpenGarment, stop: Stop) -> String {
    let (garment, plan) = (open.garment(), open.plan());
    match stop {
        Stop::Pattern => {
            format!("{}, {} pieces, size {}", garment.pattern.name, garment.pattern.pieces.len(), plan.size)
        }
        Stop::Body => match plan.wearer.measurements.len() {
            0 => "nothing measured yet".to_owned(),
            1 => "1 measurement".to_owned(),
            count => format!("{count} measurements"),
        },
        Stop::Alter => alter_words(open),
        Stop::Cloth => match plan.cloth() {
            Some(cloth) => format!("{}, {} × {}", cloth.name, cloth.width, cloth.length),
            None => format!("no {} yet", plan.on_table.words()),
        },
        Stop::Lay => match plan.lay.len() {
            0 => "nothing laid yet".to_owned(),
            count => lay_words(open, count),
        },
        Stop::Aim => aim_words(open),
        Stop::Cut => {
            let cut = open.progress().count();
            let marked = open.progress().filter(|done| done.state == CutState::Marked).count();
            let stops = open.findings().iter().filter(|finding| finding.severity == Severity::Stop).count();
            match (stops, cut) {
                (0, _) if plan.lay.is_empty() => "nothing laid yet".to_owned(),
                (0, 0) => "ready to cut".to_owned(),
                (0, _) => format!("{cut} cut, {marked} marked"),
                (1, _) => "1 thing to settle first".to_owned(),
                (count, _) => format!("{count} things to settle first"),
            }
        }
        Stop::Sheet => "pieces at true size".to_owned(),
    }
}

fn lay_words(open: &OpenGarment, laid: usize) -> String {
    let plan = open.plan();
    let wanted = copies_wanted(open);
    if usize::try_from(wanted).is_ok_and(|wanted| laid < wanted) {
        return format!("{laid} of {wanted} copies laid");
    }
    let Some(cloth) = plan.cloth() else {
        return format!("laid, but there is no {}", plan.on_table.words());
    };
    let ends = plan.lay.iter().filter_map(|place| {
        let piece = open.evaluated().piece(&place.piece)?;
        let path = piece.cutting_path.clone()?;
        Some((place.cloth_from_piece(&piece.altered) * path).bounding_box().x1)
    });
    let spare = cloth.length.mm() - ends.fold(0.0, f64::max);
    if spare < 0.0 {
        format!("{:.0} cm short", -0.1 * spare)
    } else {
        format!("{:.0} cm to spare", 0.1 * spare)
    }
}

fn alter_words(open: &OpenGarment) -> String {
    let steps = &open.evaluated().replay.steps;
    let failed = steps.iter().filter(|step| matches!(step.outcome, Outcome::Failed(_))).count();
    let unmet = open
        .findings()
        .iter()
        .filter(|finding| finding.severity == Severity::Stop && finding.about == Some(Subject::Alterations))
        .count()
        .saturating_sub(failed);
    match (steps.len(), failed) {
        (_, 0) if unmet == 1 => "1 thing does not fit".to_owned(),
        (_, 0) if unmet > 1 => format!("{unmet} things don't fit"),
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
        Some(aim) => aim
            .error_map()
            .map_or_else(|| "aimed".to_owned(), |map| format!("aimed, ±{:.1} mm", map.worst_corner_mm())),
    }
}

/// How many copies the cutting list asks for from the cloth on the table.
pub(super) fn copies_wanted(open: &OpenGarment) -> u32 {
    let pieces = open.evaluated().pieces.iter();
    pieces
        .flat_map(|piece| &piece.altered.cuttings)
        .filter(|cutting| cutting.cloth == open.plan().on_table)
        .map(|cutting| cutting.count)
        .sum()
}

/// The left part of the desk.
pub(super) fn ui(ui: &mut Ui, session: &mut super::Session, wishes: &mut Vec<Wish>, chosen: &mut Stop) {
    egui::Panel::bottom("saving")
        .resizable(false)
        .show_separator_line(false)
        .show(ui, |ui| saving(ui, session, wishes));
    egui::ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        ui.add_space(8.0);
        ui.label(RichText::new(&session.open.garment().name).heading());
        ui.add_space(8.0);
        for stop in Stop::ALL {
            let here = *chosen == stop;
            let words = say::words(ui, words_of(&session.open, stop));
            let mut text = egui::text::LayoutJob::default();
            let style = ui.style();
            let (font, left) = (egui::FontSelection::Default, egui::Align::LEFT);
            RichText::new(stop.words()).strong().append_to(&mut text, style, font.clone(), left);
            RichText::new(format!("\n{words}")).small().append_to(&mut text, style, font, left);
            let width = ui.available_width();
            let button = egui::Button::selectable(here, text).min_size(egui::vec2(width, 44.0)).wrap();
            if ui.add(button).clicked() {
                *chosen = stop;
            }
        }
    });
}

fn saving(ui: &mut Ui, session: &mut super::Session, wishes: &mut Vec<Wish>) {
    ui.add_space(4.0);
    let mut preferred = session.desk.preferred;
    ui.checkbox(&mut preferred.bright_room, "for a bright room");
    let mut inches = preferred.units == Units::Inches;
    if ui.checkbox(&mut inches, "lengths in inches").changed() {
        preferred.units = if inches { Units::Inches } else { Units::Metric };
    }
    if preferred != session.desk.preferred {
        wishes.push(Wish::Prefer(preferred));
    }
    let session = &*session;
    let open = &session.open;
    ui.horizontal_wrapped(|ui| {
        // Both fit beside each other in the narrowest way.
        ui.spacing_mut().button_padding.x = 6.0;
        ui.spacing_mut().item_spacing.x = 5.0;
        let mut key = |ui: &mut Ui, enabled: bool, words: &str, action: Action| {
            if ui.add_enabled(enabled, egui::Button::new(words)).clicked() {
                wishes.push(Wish::Act(action));
            }
        };
        key(ui, open.can_undo(), "Take back", Action::Undo);
        key(ui, open.can_redo(), "Do again", Action::Redo);
        if open.path().is_some() {
            key(ui, !open.is_saved(), "Save", Action::Save);
        }
    });
    if open.path().is_none() && ui.add(egui::Button::new("Keep a copy in this folder").wrap()).clicked() {
        wishes.push(Wish::SaveAs(super::copy_path()));
    }
    let words = match (&session.saved_at, open.is_saved(), open.path()) {
        (_, _, None) => "in no file yet".to_owned(),
        (Some(time), true, _) => format!("saved at {}", time.strftime("%H:%M:%S")),
        (None, true, _) => "as on the disk".to_owned(),
        (_, false, _) => "not saved yet".to_owned(),
    };
    ui.label(RichText::new(words).small());
    if let Some(path) = open.path() {
        let name = path
            .file_name()
            .map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
        let label = egui::Label::new(RichText::new(name).small().weak()).truncate();
        ui.add(label).on_hover_text(path.display().to_string());
    }
    ui.add_space(4.0);
}
