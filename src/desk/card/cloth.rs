//! The card at the stop Cloth: what lies on the table.

use super::part;
use crate::cloth::{Cloth, Print};
use crate::desk::{Session, Wish, theme};
use crate::floor::Action;
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
    print(ui, session, &mut changed, wishes);
    if changed != cloth {
        wishes.push(Wish::of(Command::SetCloth(ClothKind::Cloth, changed)));
    }
}

/// The print in use, and where it really lies.
fn print(ui: &mut Ui, session: &Session, changed: &mut Cloth, wishes: &mut Vec<Wish>) {
    let Some(print) = changed.print_in_use() else {
        ui.label("plain");
        return;
    };
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
    let written = changed.print.as_ref().map(Print::repeats_mm).unwrap_or_default();
    if changed.measured_print.is_some() {
        let repeat = |mm: Option<f64>| mm.map_or_else(|| "none".to_owned(), |mm| format!("{mm:.1} mm"));
        ui.label(format!(
            "As measured on this cloth, {:.2}° off the warp. Written down: along {}, across {}.",
            print.angle_degrees,
            repeat(written.0),
            repeat(written.1)
        ));
    }
    if let Some(seek) = &session.floor.print_seek {
        let (words, refused) = seek.words(&session.open);
        for words in words {
            ui.label(words);
        }
        if let Some(why) = &refused {
            ui.colored_label(theme::stop(ui), why);
        }
        ui.horizontal_wrapped(|ui| {
            let take = ui.add_enabled(refused.is_none(), egui::Button::new("take it so (Enter)"));
            if take.clicked() {
                wishes.push(Wish::Act(Action::Tick));
            }
            for (words, action) in [("next light (Tab)", Action::NextMark), ("leave it (Esc)", Action::Dark)]
            {
                if ui.button(words).clicked() {
                    wishes.push(Wish::Act(action));
                }
            }
        });
        return;
    }
    ui.horizontal_wrapped(|ui| {
        if ui.button("measure it under the light").clicked() {
            wishes.push(Wish::MeasurePrint);
        }
        if changed.measured_print.is_some() && ui.button("go by what is written down").clicked() {
            changed.measured_print = None;
        }
    });
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
