//! The card at the stop Sheet: what can leave the program.

use super::edge::change;
use super::part;
use crate::desk::{Session, say};
use crate::pattern::Piece;
use crate::scene::changed_edges;
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &Session) {
    let pieces = &session.open.evaluated().pieces;
    if pieces.iter().all(|piece| changed_edges(piece).is_empty()) {
        ui.label("No edge was changed: every piece is as printed.");
    }
    for piece in pieces {
        let changed = changed_edges(piece);
        if changed.is_empty() {
            continue;
        }
        let name = &piece.altered.id;
        part(ui, &format!("{} {name}, changed edges", piece.altered.number));
        Grid::new(name.as_str()).num_columns(2).striped(true).show(ui, |ui| {
            for id in changed {
                let length = |of: &Piece| of.edge(&id).map_or(0.0, |edge| edge.curve.length());
                ui.label(id.as_str());
                say::label(ui, change(length(&piece.printed), length(&piece.altered)));
                ui.end_row();
            }
        });
    }
    part(ui, "The pieces at true size");
    ui.label("In a terminal: chalkbeam export GARMENT --out FILE.svg");
}
