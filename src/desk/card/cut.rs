//! The card at the stop Cut: the copies, what is lit, the keys.

use super::part;
use crate::desk::{Session, Wish, theme};
use crate::finding::Severity;
use crate::floor::{Action, KEYS};
use crate::garment::{Command, CutState};
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let open = &session.open;
    let stops = open
        .findings()
        .iter()
        .filter(|finding| finding.severity == Severity::Stop)
        .count();
    if stops > 0 {
        ui.colored_label(
            theme::STOP,
            format!("{stops} to settle before cutting; they stand at the foot."),
        );
    }
    part(ui, "Copies");
    Grid::new("copies").num_columns(3).striped(true).show(ui, |ui| {
        for (index, place) in open.plan().lay.iter().enumerate() {
            let alone = session.floor.only == Some(index);
            if ui
                .selectable_label(alone, format!("{} {}", place.piece, place.copy))
                .clicked()
            {
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
                wishes.push(Wish::of(Command::SetProgress(
                    place.piece.clone(),
                    place.copy,
                    state,
                )));
            }
            ui.end_row();
        }
    });
    part(ui, "Keys, here and on the floor");
    Grid::new("keys").num_columns(2).striped(true).show(ui, |ui| {
        for entry in &KEYS {
            let lit = match entry.action {
                Action::Toggle(layer) => session.floor.show.has(layer),
                Action::OnlyCuttingLines => session.floor.only_cutting_lines,
                Action::Dark => session.floor.dark,
                Action::Aiming => session.floor.is_aiming(),
                _ => false,
            };
            ui.label(entry.key);
            if ui.selectable_label(lit, entry.words).clicked() {
                wishes.push(Wish::Act(entry.action));
            }
            ui.end_row();
        }
    });
    part(ui, "Take care");
    ui.label(CAUTIONS);
}

/// What is said before light and blade.
pub(super) const CAUTIONS: &str = "Never look into the lens; press Esc for no light before reaching near it. \
    Close the cutter's guard whenever you are not cutting, and cut away from yourself. Keep cables off the dark \
    floor. The makers' manuals and local codes come first.";
