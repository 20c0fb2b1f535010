//! A motif: how often it comes, from where, and how it can be looked at.

use super::field;
use crate::cloth::{Columns, Motif, MotifWay, Print};
use crate::desk::{Typing, say};
use crate::geometry::Point;
use crate::pattern::ClothKind;
use egui::{Grid, RichText, Ui};

pub(super) fn ui(ui: &mut Ui, typing: &mut Typing, kind: ClothKind, print: &mut Print) {
    let Some(mut motif) = print.motif else {
        if ui.button("it has a motif").clicked() {
            print.motif = Some(first_motif());
        }
        return;
    };
    ui.label(RichText::new("A motif").underline());
    let mut typed = Vec::new();
    let mut read = |ui: &mut Ui, words: &str, mm: &mut f64| {
        let label = say::label(ui, words).id;
        let name = field(kind, &format!("motif {words}"));
        if let Some(length) = typing.length(ui, &name, label, &print.typed(*mm)) {
            *mm = length.mm();
            typed.push(length);
        }
        ui.end_row();
    };
    let columns = Columns::of(&motif.lattice());
    Grid::new(field(kind, "motif")).num_columns(3).show(ui, |ui| {
        if let Some(before) = columns {
            let mut columns = before;
            read(ui, "comes again after", &mut columns.repeat_mm);
            read(ui, "columns are apart by", &mut columns.apart_mm);
            read(ui, "next column is dropped by", &mut columns.drop_mm);
            if columns != before {
                motif.steps = columns.steps();
            }
        } else {
            let [a, b] = &mut motif.steps;
            read(ui, "one step along the cloth", &mut a.x);
            read(ui, "the same step across", &mut a.y);
            read(ui, "another step along", &mut b.x);
            read(ui, "that step across", &mut b.y);
        }
        read(ui, "one lies from the cut end", &mut motif.origin.x);
        read(ui, "and from the edge", &mut motif.origin.y);
    });
    if let Some(columns) = Columns::of(&motif.lattice()) {
        ui.horizontal_wrapped(|ui| {
            for (words, drop_mm) in [("no drop", 0.0), ("half-drop", 0.5 * columns.repeat_mm)] {
                let is_so = (columns.drop_mm - drop_mm).abs() < DROP_MM;
                if ui.selectable_label(is_so, words).clicked() && !is_so {
                    motif.steps = Columns { drop_mm, ..columns }.steps();
                }
            }
        });
    }
    ui.horizontal_wrapped(|ui| {
        let ways = [
            ("it has a top", MotifWay::OneWay),
            ("two-way", MotifWay::TwoWay),
            ("no way up", MotifWay::NoWay),
        ];
        for (words, way) in ways {
            if ui.selectable_label(motif.way == way, words).clicked() {
                motif.way = way;
            }
        }
    });
    ui.checkbox(&mut motif.mirrors, "it looks the same left for right");
    let out = ui.button("it has no motif").clicked();
    print.motif = Some(motif);
    for length in typed {
        print.keep_typed(length);
    }
    if out {
        print.motif = None;
        typing.forget_all(&field(kind, "motif"));
    }
}

/// Drops that differ by less are the same, in mm.
const DROP_MM: f64 = 0.05;

/// A motif to begin with.
fn first_motif() -> Motif {
    let columns = Columns { repeat_mm: 100.0, apart_mm: 100.0, drop_mm: 0.0 };
    Motif { origin: Point::new(0.0, 0.0), steps: columns.steps(), way: MotifWay::OneWay, mirrors: true }
}
