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
    let mut changed = cloth.clone();
    Grid::new("cloth").num_columns(3).show(ui, |ui| {
        let label = ui.label("called").id;
        if let Some(name) = session.desk.typing.words(ui, "cloth name", label, &cloth.name) {
            changed.name = name;
        }
        ui.end_row();
        let label = ui.label("usable width").id;
        if let Some(width) = session.desk.typing.length(ui, "cloth width", label, &cloth.width) {
            changed.width = width;
        }
        ui.end_row();
        let label = ui.label("length at hand").id;
        if let Some(length) = session.desk.typing.length(ui, "cloth length", label, &cloth.length) {
            changed.length = length;
        }
        ui.end_row();
    });
    colour(ui, &mut changed);
    ui.checkbox(&mut changed.nap, "it has a nap: every piece the same way up");
    part(ui, "Print");
    match &cloth.print {
        None => drop(ui.label("plain")),
        Some(print) => {
            if let Some(bars) = &print.lengthwise {
                ui.label(format!("bars along the cloth, a repeat of {:.1} mm", bars.period_mm()));
            }
            if let Some(bars) = &print.crosswise {
                ui.label(format!("bars across the cloth, a repeat of {:.1} mm", bars.period_mm()));
            }
            if let Some(motif) = &print.motif {
                let [a, b] = motif.steps;
                ui.label(format!("a motif, steps ({:.1}, {:.1}) and ({:.1}, {:.1}) mm", a.x, a.y, b.x, b.y));
            }
        }
    }
    if changed != cloth {
        wishes.push(Wish::of(Command::SetCloth(ClothKind::Cloth, changed)));
    }
}

/// The cloth's own colour: the lamp colour is chosen against it.
fn colour(ui: &mut Ui, cloth: &mut Cloth) {
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("its main colour").id;
        let mut rgb = cloth.colour.0;
        if ui.color_edit_button_srgb(&mut rgb).labelled_by(label).changed() {
            cloth.colour = crate::cloth::Colour(rgb);
        }
        let lamp = crate::scene::lamp_colour_for(rgb);
        ui.label(format!(
            "lines are lit in {}, what must not be cut yet in {}",
            lamp_words(lamp.lamp),
            lamp_words(lamp.caution)
        ));
    });
}

/// A lamp colour's name, by the channels that it has.
fn lamp_words(lamp: [f32; 3]) -> &'static str {
    match lamp.map(|channel| channel > 0.5) {
        [true, true, true] => "white",
        [true, true, false] => "yellow",
        [false, true, true] => "cyan",
        [false, true, false] => "green",
        [true, false, true] => "magenta",
        [true, false, false] => "red",
        [false, false, true] => "blue",
        [false, false, false] => "nothing",
    }
}

fn plain_cloth() -> Option<Cloth> {
    let (width, length) = ("140 cm".parse().ok()?, "200 cm".parse().ok()?);
    let colour = crate::cloth::Colour([200, 195, 185]);
    Some(Cloth::plain("plain cloth", width, length, colour))
}
