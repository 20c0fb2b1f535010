//! The card at the stop Cloth: all that is known of the cloth on the table, and what follows from it.
//!
//! Every field is a command of its own. What can't be read stays in its field; what can be read and can't be so is
//! taken as typed and said among the findings.

mod bars;
mod flaws;
mod follows;
mod motif;
mod print;
mod state;

use super::{on_table, part};
use crate::cloth::{Cloth, Plies, RightSides};
use crate::desk::{Session, Typing, Wish, say, theme};
use crate::garment::{Command, GestureId};
use crate::geometry::Length;
use crate::pattern::ClothKind;
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    on_table::ui(ui, session, wishes);
    let kind = session.open.plan().on_table;
    let Some(cloth) = session.open.plan().cloth().cloned() else {
        say::label(ui, format!("No {} is written down yet.", kind.words()));
        if ui.button("Begin with 140 cm by 200 cm").clicked()
            && let Some(cloth) = plain_cloth(kind)
        {
            wishes.push(Wish::of(Command::SetCloth(kind, cloth)));
        }
        return;
    };
    let mut changed = cloth.clone();
    let typing = &mut session.desk.typing;
    sizes(ui, typing, kind, &mut changed);
    colour(ui, &mut changed);
    ui.checkbox(&mut changed.nap, "it has a nap: every piece the same way up");
    part(ui, "How it lies");
    plies(ui, typing, kind, &mut changed);
    part(ui, "Print");
    print::ui(ui, session, kind, &mut changed, wishes);
    part(ui, "What follows");
    let used_mm = session.open.evaluated().laid(session.open.plan()).map(|laid| laid.used_length_mm());
    for words in follows::words(&changed, used_mm.filter(|mm| *mm > 0.0)) {
        say::label(ui, words);
    }
    part(ui, "Shrinking and straightness");
    state::ui(ui, &mut session.desk.typing, kind, &mut changed);
    part(ui, "Flaws");
    flaws::ui(ui, session, kind, &mut changed);
    if changed != cloth {
        let command = Command::SetCloth(kind, changed);
        wishes.push(match gesture(ui) {
            Some(gesture) => Wish::in_gesture(command, gesture),
            None => Wish::of(command),
        });
    }
}

/// What is changed while the pointer is down, as a colour is, is one gesture.
fn gesture(ui: &Ui) -> Option<GestureId> {
    ui.input(|input| {
        let began = input.pointer.press_start_time().filter(|_| input.pointer.any_down());
        began.map(|time| GestureId(time.to_bits()))
    })
}

/// The name of a field: cloths don't share what is being typed.
fn field(kind: ClothKind, name: &str) -> String {
    format!("{} {name}", kind.words())
}

fn sizes(ui: &mut Ui, typing: &mut Typing, kind: ClothKind, cloth: &mut Cloth) {
    ui.horizontal(|ui| {
        let label = ui.label("called").id;
        if let Some(name) = typing.wide_words(ui, &field(kind, "name"), label, &cloth.name) {
            cloth.name = name;
        }
    });
    Grid::new("cloth").num_columns(3).show(ui, |ui| {
        let label = ui.label("between selvedges").id;
        let (whole, unit) = (cloth.between_selvedges.clone(), cloth.width.unit());
        let name = field(kind, "between selvedges");
        if let Some(whole) = typing.optional_length(ui, &name, label, whole.as_ref(), unit) {
            cloth.between_selvedges = whole;
        }
        ui.end_row();
        let label = ui.label("usable width").id;
        if let Some(width) = typing.size(ui, &field(kind, "width"), label, &cloth.width) {
            cloth.width = width;
        }
        ui.end_row();
        let label = ui.label("length at hand").id;
        if let Some(length) = typing.size(ui, &field(kind, "length"), label, &cloth.length) {
            cloth.length = length;
        }
        ui.end_row();
        state::cost(ui, typing, kind, cloth);
        ui.end_row();
    });
}

/// A part fold begins so wide.
const FOLDED_OVER_MM: f64 = 300.0;

fn plies(ui: &mut Ui, typing: &mut Typing, kind: ClothKind, cloth: &mut Cloth) {
    let sides = cloth.plies.right_sides();
    let right_sides = sides.unwrap_or(RightSides::In);
    let folded_over = match &cloth.plies {
        Plies::PartFolded { folded_over, .. } => folded_over.clone(),
        _ => Length::from_mm(FOLDED_OVER_MM),
    };
    let ways = [
        ("flat", Plies::Flat),
        ("folded lengthwise", Plies::FoldedLengthwise { right_sides }),
        ("folded crosswise", Plies::FoldedCrosswise { right_sides }),
        ("folded in part", Plies::PartFolded { folded_over, right_sides }),
    ];
    ui.horizontal_wrapped(|ui| {
        for (words, plies) in ways {
            if ui.selectable_label(cloth.plies == plies, words).clicked() {
                cloth.plies = plies;
            }
        }
    });
    if sides.is_some() {
        ui.horizontal_wrapped(|ui| {
            for (words, sides) in [("right sides in", RightSides::In), ("right sides out", RightSides::Out)] {
                if ui.selectable_label(right_sides == sides, words).clicked() {
                    turn_sides(&mut cloth.plies, sides);
                }
            }
        });
    }
    if let Plies::PartFolded { folded_over, .. } = &mut cloth.plies {
        ui.horizontal_wrapped(|ui| {
            let label = ui.label("folded over by").id;
            if let Some(over) = typing.length(ui, &field(kind, "folded over"), label, folded_over) {
                *folded_over = over;
            }
        });
    }
    if let Some(unlike) = cloth.why_not_folded() {
        ui.colored_label(theme::stop(ui), format!("It can't be cut folded: {unlike}. Lay it flat."));
    } else if let Some((_, off)) = cloth.fold_phase_error_mm().filter(|(_, off)| off.abs() > FOLD_OFF_MM) {
        let words = format!(
            "The halves are {:.1} mm apart in print: fold it {:.1} mm beside.",
            off.abs(),
            0.5 * off.abs()
        );
        ui.colored_label(theme::warning(ui), say::words(ui, words));
    }
}

/// Less apart than this the halves of a folded cloth agree, in mm.
const FOLD_OFF_MM: f64 = crate::lay::PRINT_TOLERANCE_MM;

fn turn_sides(plies: &mut Plies, sides: RightSides) {
    match plies {
        Plies::Flat => {}
        Plies::FoldedLengthwise { right_sides }
        | Plies::FoldedCrosswise { right_sides }
        | Plies::PartFolded { right_sides, .. } => *right_sides = sides,
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
        say::label(
            ui,
            format!(
                "lines are lit in {}, what must not be cut yet in {}",
                lamp_words(lamp.lamp),
                lamp_words(lamp.caution)
            ),
        );
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

fn plain_cloth(kind: ClothKind) -> Option<Cloth> {
    let (width, length) = ("140 cm".parse().ok()?, "200 cm".parse().ok()?);
    let colour = crate::cloth::Colour([200, 195, 185]);
    Some(Cloth::plain(format!("plain {}", kind.words()), width, length, colour))
}
