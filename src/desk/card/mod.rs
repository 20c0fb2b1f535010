//! The card: the facts of what is selected, and under them what can be done with it.

mod aim;
mod alter;
mod body;
mod cloth;
mod cut;
mod lay;
mod offers;
mod pattern;
mod sheet;

use super::{Session, Stop, Wish};
use egui::{RichText, ScrollArea, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    ui.add_space(8.0);
    ui.label(RichText::new(session.desk.stop.words()).heading());
    ui.add_space(4.0);
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(ui, |ui| match session.desk.stop {
            Stop::Pattern => pattern::ui(ui, session, wishes),
            Stop::Body => body::ui(ui, session, wishes),
            Stop::Alter => alter::ui(ui, session, wishes),
            Stop::Cloth => cloth::ui(ui, session, wishes),
            Stop::Lay => lay::ui(ui, session, wishes),
            Stop::Aim => aim::ui(ui, session, wishes),
            Stop::Cut => cut::ui(ui, session, wishes),
            Stop::Sheet => sheet::ui(ui, session),
        });
}

/// A heading inside the card.
fn part(ui: &mut Ui, words: &str) {
    ui.add_space(10.0);
    ui.label(RichText::new(words).strong());
}

/// Chooses the piece on the board.
fn choose_piece(ui: &mut Ui, session: &mut Session) {
    let names: Vec<String> = session
        .open
        .evaluated()
        .pieces
        .iter()
        .map(|piece| piece.altered.id.to_string())
        .collect();
    ui.horizontal_wrapped(|ui| {
        for (index, name) in names.iter().enumerate() {
            if ui.selectable_label(session.desk.piece == index, name).clicked() {
                session.desk.piece = index;
            }
        }
    });
}
