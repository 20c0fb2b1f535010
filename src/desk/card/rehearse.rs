//! On the cards of the stops Lay and Cut: the cutting is walked through before the first cut.

use super::part;
use crate::desk::{Session, Wish, say, theme};
use crate::floor::Action;
use crate::garment::{Command, along_the_cloth, rehearsal};
use egui::Ui;

pub(super) fn ui(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let open = &session.open;
    if open.plan().lay.is_empty() {
        return;
    }
    part(ui, "Rehearse");
    if !session.floor.rehearsing {
        ui.label("Copy by copy, alone in the light, in the order in which they are cut; nothing is ticked.");
        ui.horizontal_wrapped(|ui| {
            if ui.button("rehearse the cutting").clicked() {
                wishes.push(Wish::Rehearse(true));
            }
            let in_order = along_the_cloth(open, open.plan().lay.clone());
            if in_order != open.plan().lay && ui.button("put them in order along the cloth").clicked() {
                wishes.push(Wish::of(Command::SetLay(in_order)));
            }
        });
        return;
    }
    let steps = rehearsal(open);
    match session.floor.only.and_then(|only| steps.iter().find(|step| step.place == only)) {
        Some(step) => {
            ui.strong(&step.title);
            for words in &step.words {
                say::label(ui, words);
            }
            if let Some(why) = &step.waits {
                ui.colored_label(theme::stop(ui), format!("Do not cut it yet: {why}."));
            }
        }
        None => {
            ui.label("That is the whole of it. Nothing was cut, and nothing ticked.");
            for step in steps.iter().filter(|step| step.waits.is_some()) {
                ui.colored_label(theme::stop(ui), format!("{} must wait.", step.title));
            }
        }
    }
    ui.horizontal_wrapped(|ui| {
        if ui.button("copy before (key ,)").clicked() {
            wishes.push(Wish::Act(Action::PreviousCopy));
        }
        if ui.button("next copy (key .)").clicked() {
            wishes.push(Wish::Act(Action::NextCopy));
        }
        if ui.button("end the rehearsal").clicked() {
            wishes.push(Wish::Rehearse(false));
        }
    });
}
