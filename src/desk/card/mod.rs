//! The card: the facts of what is selected, and under them what can be done with it.

mod aim;
mod alter;
mod body;
mod cloth;
mod cut;
mod drawing;
mod edge;
mod lay;
mod lay_found;
mod lay_rules;
mod offers;
mod on_table;
mod pattern;
mod rehearse;
mod sheet;

pub use body::FitMemory;
pub use lay_rules::LetPassDraft;

use super::{Session, Stop, Wish, theme};
use crate::floor::Action;
use egui::{RichText, ScrollArea, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    ui.add_space(8.0);
    darkness(ui, session, wishes);
    ui.label(RichText::new(session.desk.stop.words()).heading());
    ui.add_space(4.0);
    // A drawing begins at the top, wherever the card of the pattern was scrolled to.
    let shown = match (&session.desk.intake, session.desk.stop) {
        (Some(_), Stop::Pattern) => "drawing",
        (_, stop) => stop.words(),
    };
    ScrollArea::vertical().id_salt(shown).auto_shrink([false, false]).show(ui, |ui| {
        match session.desk.stop {
            Stop::Pattern if session.desk.intake.is_some() => drawing::ui(ui, session, wishes),
            Stop::Pattern => pattern::ui(ui, session, wishes),
            Stop::Body => body::ui(ui, session, wishes),
            Stop::Alter => alter::ui(ui, session, wishes),
            Stop::Cloth => cloth::ui(ui, session, wishes),
            Stop::Lay => lay::ui(ui, session, wishes),
            Stop::Aim => aim::ui(ui, session, wishes),
            Stop::Cut => cut::ui(ui, session, wishes),
            Stop::Sheet => sheet::ui(ui, session),
        }
        ui.add_space(12.0);
    });
}

/// Whoever finds the floor dark looks here first.
fn darkness(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let (words, action) = if session.floor.dark {
        ("The floor is dark (Esc lights it again)", Action::Dark)
    } else if session.floor.only_cutting_lines {
        ("Only cutting lines are lit (Space shows all again)", Action::OnlyCuttingLines)
    } else {
        return;
    };
    let words = RichText::new(words).strong().color(theme::warning(ui));
    if ui.add(egui::Button::new(words).wrap()).clicked() {
        wishes.push(Wish::Act(action));
    }
    ui.add_space(4.0);
}

/// A heading inside the card.
fn part(ui: &mut Ui, words: &str) {
    ui.add_space(10.0);
    ui.label(RichText::new(words).strong());
}

/// Chooses the piece on the board.
fn choose_piece(ui: &mut Ui, session: &mut Session) {
    let names: Vec<String> =
        session.open.evaluated().pieces.iter().map(|piece| piece.altered.id.to_string()).collect();
    ui.horizontal_wrapped(|ui| {
        for (index, name) in names.iter().enumerate() {
            if ui.selectable_label(session.desk.piece == index, name).clicked() {
                session.desk.piece = index;
                session.desk.held = None;
            }
        }
    });
}
