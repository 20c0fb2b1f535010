//! The card at the stop Lay: where each copy lies.

use super::part;
use crate::desk::{Session, Wish, way};
use crate::garment::Command;
use crate::geometry::Point;
use crate::lay::Place;
use crate::pattern::{ClothKind, HowCut};
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let open = &session.open;
    let lay = &open.plan().lay;
    ui.label(format!(
        "{} of {} copies laid",
        lay.len(),
        way::copies_wanted(open)
    ));
    part(ui, "On the cloth");
    Grid::new("places").num_columns(4).striped(true).show(ui, |ui| {
        for place in lay {
            ui.label(format!("{} {}", place.piece, place.copy));
            ui.label(format!("({:.0}, {:.0})", place.at.x, place.at.y));
            let turn = ui.button("turn").on_hover_text("by half a turn");
            if turn.clicked() {
                let turned = Place {
                    turn_degrees: (place.turn_degrees + 180.0) % 360.0,
                    ..place.clone()
                };
                wishes.push(Wish::of(Command::SetPlace(turned)));
            }
            if ui.button("off").on_hover_text("take it off the cloth").clicked() {
                wishes.push(Wish::of(Command::RemovePlace(place.piece.clone(), place.copy)));
            }
            ui.end_row();
        }
    });
    part(ui, "Not laid yet");
    let mut none = true;
    for piece in &open.evaluated().pieces {
        for cutting in piece
            .altered
            .cuttings
            .iter()
            .filter(|cutting| cutting.cloth == ClothKind::Cloth)
        {
            for copy in 1..=cutting.count {
                if lay
                    .iter()
                    .any(|place| place.piece == piece.altered.id && place.copy == copy)
                {
                    continue;
                }
                none = false;
                let mirrored = cutting.how == HowCut::MirroredPair && copy % 2 == 0;
                if ui.button(format!("lay {} {copy}", piece.altered.id)).clicked() {
                    let at = Point::new(600.0, 600.0);
                    let place = Place {
                        piece: piece.altered.id.clone(),
                        copy,
                        at,
                        turn_degrees: 0.0,
                        mirrored,
                    };
                    wishes.push(Wish::of(Command::SetPlace(place)));
                }
            }
        }
    }
    if none {
        ui.label("every copy has its place");
    }
}
