//! Bars one way of the cloth, each with its width, the ground after it and its colour; added, moved and taken out.

use super::field;
use crate::cloth::{Bar, Bars, Colour, Print};
use crate::desk::{Typing, say};
use crate::geometry::{Length, Unit};
use crate::pattern::ClothKind;
use egui::{Grid, RichText, Ui};

/// Which way bars run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    Along,
    Across,
}

pub(super) const WAYS: [Way; 2] = [Way::Along, Way::Across];

impl Way {
    const fn words(self) -> &'static str {
        match self {
            Self::Along => "along",
            Self::Across => "across",
        }
    }

    /// From where the first bar is measured.
    const fn edge(self) -> &'static str {
        match self {
            Self::Along => "measured from the edge of the usable width",
            Self::Across => "measured from the cut end",
        }
    }

    fn bars(self, print: &mut Print) -> &mut Option<Bars> {
        match self {
            Self::Along => &mut print.lengthwise,
            Self::Across => &mut print.crosswise,
        }
    }
}

/// What is done to the list.
enum Done {
    Out(usize),
    Up(usize),
    Down(usize),
    Add,
}

pub(super) fn ui(
    ui: &mut Ui,
    typing: &mut Typing,
    kind: ClothKind,
    way: Way,
    print: &mut Print,
    ground: Colour,
) {
    let words = way.words();
    let fields = field(kind, &format!("bars {words}"));
    let Some(mut bars) = way.bars(print).clone() else {
        if ui.button(format!("it has bars {words} the cloth")).clicked() {
            *way.bars(print) = Some(Bars::new(0.0, vec![first_bar(ground)]));
        }
        return;
    };
    ui.label(RichText::new(format!("Bars {words} the cloth")).underline());
    let mut typed = Vec::new();
    let mut done = None;
    for (index, bar) in bars.bars.iter_mut().enumerate() {
        let number = index + 1;
        Grid::new((&fields, number)).num_columns(3).show(ui, |ui| {
            let measures = [
                (format!("bar {number} {words}"), "width", &mut bar.width_mm),
                (format!("ground after {number} {words}"), "gap", &mut bar.gap_mm),
            ];
            for (label, name, mm) in measures {
                let label = ui.label(label).id;
                let name = format!("{fields} {number} {name}");
                if let Some(length) = typing.length(ui, &name, label, &print.typed(*mm)) {
                    *mm = length.mm();
                    typed.push(length);
                }
                ui.end_row();
            }
        });
        ui.horizontal_wrapped(|ui| {
            let name = format!("bar {number} {words}");
            let label = ui.label("its colour").id;
            let mut rgb = bar.colour.0;
            let colour = ui.color_edit_button_srgb(&mut rgb).labelled_by(label);
            say::about(ui, &colour, &name);
            if colour.changed() {
                bar.colour = Colour(rgb);
            }
            for (words, wish) in
                [("up", Done::Up(index)), ("down", Done::Down(index)), ("take it out", Done::Out(index))]
            {
                let button = ui.button(words);
                say::about(ui, &button, &name);
                if button.clicked() {
                    done = Some(wish);
                }
            }
        });
    }
    if ui.button(format!("add a bar {words}")).clicked() {
        done = Some(Done::Add);
    }
    Grid::new((&fields, "all")).num_columns(3).show(ui, |ui| {
        let label = say::label(ui, format!("bar 1 {words} begins at")).on_hover_text(way.edge()).id;
        let start = typing.length(ui, &format!("{fields} start"), label, &print.typed(bars.start_mm));
        if let Some(start) = start {
            bars.start_mm = start.mm();
            typed.push(start);
        }
        ui.end_row();
        let hint = "measured over many repeats; else bars and ground are added up";
        let label = say::label(ui, format!("one repeat {words}")).on_hover_text(hint).id;
        let known = bars.repeat.clone();
        let unit = known.as_ref().map_or(Unit::Mm, Length::unit);
        let repeat = typing.optional_length(ui, &format!("{fields} repeat"), label, known.as_ref(), unit);
        bars.repeat = repeat.unwrap_or(known);
        ui.end_row();
    });
    if let Some(done) = done {
        // Their fields go with the bars.
        typing.forget_all(&fields);
        put(&mut bars.bars, done);
    }
    *way.bars(print) = (!bars.bars.is_empty()).then_some(bars);
    for length in typed {
        print.keep_typed(length);
    }
}

fn put(bars: &mut Vec<Bar>, done: Done) {
    match done {
        Done::Out(index) => drop(bars.remove(index)),
        Done::Up(index) if index > 0 => bars.swap(index - 1, index),
        Done::Down(index) if index + 1 < bars.len() => bars.swap(index, index + 1),
        Done::Up(_) | Done::Down(_) => {}
        Done::Add => bars.extend(bars.last().cloned()),
    }
}

/// A bar to begin with, of a colour that shows on the ground.
fn first_bar(ground: Colour) -> Bar {
    let sum: u16 = ground.0.iter().map(|channel| u16::from(*channel)).sum();
    let colour = if sum > 3 * 128 { Colour([40; 3]) } else { Colour([230; 3]) };
    Bar { width_mm: 10.0, gap_mm: 30.0, colour }
}
