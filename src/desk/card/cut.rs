//! The card at the stop Cut: the copies, what is lit, the keys.

use super::part;
use crate::desk::{Session, Wish, theme};
use crate::finding::Severity;
use crate::floor::KEYS;
use crate::garment::{Command, CutState};
use crate::geometry::Length;
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let open = &session.open;
    let stops = session.findings().iter().filter(|finding| finding.severity == Severity::Stop).count();
    if stops > 0 {
        ui.colored_label(theme::STOP, format!("{stops} to settle before cutting; they stand at the foot."));
    }
    part(ui, "Copies");
    if open.plan().lay.is_empty() {
        ui.label("Nothing is laid yet; the stop Lay puts pieces on the cloth.");
    }
    Grid::new("copies").num_columns(3).striped(true).show(ui, |ui| {
        for (index, place) in open.plan().lay.iter().enumerate() {
            let alone = session.floor.only == Some(index);
            if ui.selectable_label(alone, format!("{} {}", place.piece, place.copy)).clicked() {
                session.floor.only = (!alone).then_some(index);
            }
            let state = open.state_of(&place.piece, place.copy);
            let (mut cut, mut marked) = (state.is_some(), state == Some(CutState::Marked));
            let was = (cut, marked);
            ui.checkbox(&mut cut, "cut");
            ui.checkbox(&mut marked, "marked");
            if (cut, marked) != was {
                let state = match (cut, marked) {
                    (_, true) if !was.1 => Some(CutState::Marked),
                    (true, _) => Some(CutState::Cut),
                    (false, _) => None,
                };
                wishes.push(Wish::of(Command::SetProgress(place.piece.clone(), place.copy, state)));
            }
            ui.end_row();
        }
    });
    part(ui, "The cloth under the light");
    stand(ui, session, wishes);
    part(ui, "Keys, here and on the floor");
    for entry in &KEYS {
        ui.horizontal(|ui| {
            let lit = session.floor.is_on(entry.action).unwrap_or(false);
            let size = egui::vec2(84.0, ui.spacing().interact_size.y);
            ui.add_sized(size, egui::Label::new(entry.key).halign(egui::Align::LEFT));
            let words = egui::Button::selectable(lit, entry.words).wrap();
            if ui.add(words).clicked() {
                wishes.push(Wish::Act(entry.action));
            }
        });
    }
    part(ui, "Take care");
    ui.label(CAUTIONS);
}

/// Where the cloth lies on the surface: its corner, and how it is turned.
fn stand(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let stand = session.open.plan().stand;
    let mut changed = stand;
    Grid::new("stand").num_columns(3).show(ui, |ui| {
        let typing = &mut session.desk.typing;
        let label = ui.label("its corner lies along, at").id;
        if let Some(x) = typing.length(ui, "stand x", label, &Length::from_mm(stand.at.x)) {
            changed.at.x = x.mm();
        }
        ui.end_row();
        let label = ui.label("and across, at").id;
        if let Some(y) = typing.length(ui, "stand y", label, &Length::from_mm(stand.at.y)) {
            changed.at.y = y.mm();
        }
        ui.end_row();
        let label = ui.label("it is turned by").id;
        if let Some(turn) = typing.degrees(ui, "stand turn", label, stand.turn_degrees) {
            changed.turn_degrees = turn;
        }
        ui.end_row();
    });
    ui.label("Or drag a piece on the board until the lit ticks lie on the print.");
    if changed != stand {
        wishes.push(Wish::of(Command::SetStand(changed)));
    }
}

/// What is said before light and blade.
pub(super) const CAUTIONS: &str = "Never look into the lens; press Esc for no light before reaching near it. A \
    projector overhead belongs on structure, with a second safety cable, put up by somebody competent. Close the \
    cutter's guard whenever you are not cutting, and cut away from yourself. Keep cables off the dark floor. The \
    makers' manuals and local codes come first.";
