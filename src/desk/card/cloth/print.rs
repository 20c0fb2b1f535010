//! What is printed or woven on the cloth: bars both ways, a motif, its angle; and where it was found to lie.

use super::{bars, field, motif};
use crate::cloth::{Cloth, Print};
use crate::desk::{Session, Wish, say, theme};
use crate::floor::Action;
use crate::pattern::ClothKind;
use egui::{Grid, Ui};

pub(super) fn ui(
    ui: &mut Ui,
    session: &mut Session,
    kind: ClothKind,
    changed: &mut Cloth,
    wishes: &mut Vec<Wish>,
) {
    let before = changed.print.clone();
    let mut print = before.clone().unwrap_or_default();
    let typing = &mut session.desk.typing;
    for way in bars::WAYS {
        bars::ui(ui, typing, kind, way, &mut print, changed.colour);
    }
    motif::ui(ui, typing, kind, &mut print);
    if has_something(&print) {
        Grid::new(field(kind, "print")).num_columns(3).show(ui, |ui| {
            let label = ui.label("runs off the warp by").id;
            let degrees = typing.degrees(ui, &field(kind, "print angle"), label, print.angle_degrees);
            print.angle_degrees = degrees.unwrap_or(print.angle_degrees);
        });
    }
    let after = has_something(&print).then_some(print);
    if after != before {
        changed.print = after;
        // It was measured against what was written down before.
        changed.measured_print = None;
    }
    measured(ui, session, changed, wishes);
}

fn has_something(print: &Print) -> bool {
    print.lengthwise.is_some() || print.crosswise.is_some() || print.motif.is_some()
}

/// Where the print really lies, once it was measured under the light.
fn measured(ui: &mut Ui, session: &Session, changed: &mut Cloth, wishes: &mut Vec<Wish>) {
    let Some(print) = changed.print_in_use() else { return };
    let written = changed.print.as_ref().map(Print::repeats_mm).unwrap_or_default();
    if changed.measured_print.is_some() {
        let repeat = |mm: Option<f64>| mm.map_or_else(|| "none".to_owned(), |mm| format!("{mm:.1} mm"));
        say::label(
            ui,
            format!(
                "As measured on this cloth, {:.2}° off the warp. Written down: along {}, across {}.",
                print.angle_degrees,
                repeat(written.0),
                repeat(written.1)
            ),
        );
    }
    if let Some(seek) = &session.floor.print_seek {
        let (words, refused) = seek.words(&session.open);
        for words in words {
            say::label(ui, words);
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
