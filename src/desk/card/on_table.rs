//! Which cloth is on the table: it is drawn, laid, sought for, lit and cut; the others wait with their lays.

use crate::desk::{Session, Wish};
use crate::garment::Command;
use crate::pattern::ClothKind;
use egui::Ui;

pub(super) fn ui(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let plan = session.open.plan();
    ui.horizontal_wrapped(|ui| {
        ui.label("On the table:");
        for kind in ClothKind::ALL {
            let here = plan.on_table == kind;
            let chosen = ui.selectable_label(here, kind.words()).on_hover_text(state(session, kind));
            if chosen.clicked() && !here {
                wishes.push(Wish::of(Command::PutOnTable(kind)));
            }
        }
    });
}

/// What there is of a kind of cloth.
fn state(session: &Session, kind: ClothKind) -> String {
    let plan = session.open.plan();
    let asked: u32 = session
        .open
        .evaluated()
        .pieces
        .iter()
        .flat_map(|piece| &piece.altered.cuttings)
        .filter(|cutting| cutting.cloth == kind)
        .map(|cutting| cutting.count)
        .sum();
    let laid = plan.lay_on(kind).len();
    match plan.cloths.get(&kind) {
        Some(cloth) => format!(
            "“{}”, {} × {}; {laid} places, {asked} copies to cut",
            cloth.name, cloth.width, cloth.length
        ),
        None => format!("none is written down yet; {asked} copies are cut from it"),
    }
}
