//! The card at the stop Cloth: what lies on the table.

use super::part;
use crate::cloth::Cloth;
use crate::desk::{Session, Wish};
use crate::garment::Command;
use crate::pattern::ClothKind;
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let Some(cloth) = session.open.plan().cloths.get(&ClothKind::Cloth).cloned() else {
        ui.label("No cloth is written down yet.");
        if ui.button("Begin with 140 cm by 200 cm").clicked()
            && let Some(cloth) = plain_cloth()
        {
            wishes.push(Wish::of(Command::SetCloth(ClothKind::Cloth, cloth)));
        }
        return;
    };
    ui.label(format!("“{}”", cloth.name));
    let mut changed = cloth.clone();
    Grid::new("cloth").num_columns(3).show(ui, |ui| {
        let label = ui.label("usable width").id;
        if let Some(width) = session.desk.typing.length(ui, "cloth width", label, &cloth.width) {
            changed.width = width;
        }
        ui.end_row();
        let label = ui.label("length at hand").id;
        if let Some(length) = session
            .desk
            .typing
            .length(ui, "cloth length", label, &cloth.length)
        {
            changed.length = length;
        }
        ui.end_row();
    });
    ui.checkbox(&mut changed.nap, "it has a nap: every piece the same way up");
    part(ui, "Print");
    match &cloth.print {
        None => drop(ui.label("plain")),
        Some(print) => {
            if let Some(bars) = &print.lengthwise {
                ui.label(format!(
                    "bars along the cloth, a repeat of {:.1} mm",
                    bars.period_mm()
                ));
            }
            if let Some(bars) = &print.crosswise {
                ui.label(format!(
                    "bars across the cloth, a repeat of {:.1} mm",
                    bars.period_mm()
                ));
            }
            if let Some(motif) = &print.motif {
                let [a, b] = motif.steps;
                ui.label(format!(
                    "a motif, steps ({:.1}, {:.1}) and ({:.1}, {:.1}) mm",
                    a.x, a.y, b.x, b.y
                ));
            }
        }
    }
    if changed != cloth {
        wishes.push(Wish::of(Command::SetCloth(ClothKind::Cloth, changed)));
    }
}

fn plain_cloth() -> Option<Cloth> {
    let (width, length) = ("140 cm".parse().ok()?, "200 cm".parse().ok()?);
    let colour = crate::cloth::Colour([200, 195, 185]);
    Some(Cloth::plain("plain cloth", width, length, colour))
}
