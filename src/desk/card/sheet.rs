//! The card at the stop Sheet: what can leave the program.

use crate::desk::Session;
use crate::scene::changed_edges;
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &Session) {
    ui.label("Every edge that was changed, before and after:");
    Grid::new("sheet").num_columns(3).striped(true).show(ui, |ui| {
        for piece in &session.open.evaluated().pieces {
            for id in changed_edges(piece) {
                let length =
                    |of: &crate::pattern::Piece| of.edge(&id).map_or(0.0, |edge| edge.curve.length());
                ui.label(format!("{}, {id}", piece.altered.id));
                ui.label(format!("{:.1}", length(&piece.printed)));
                ui.label(format!("{:.1} mm", length(&piece.altered)));
                ui.end_row();
            }
        }
    });
    ui.label("The pieces at true size: chalkbeam export GARMENT --out FILE.svg");
}
