//! The card at the stop Pattern: sizes, pieces, the cutting list, the edges.

use super::edge::role_words;
use super::{choose_piece, drawing, part};
use crate::desk::{Session, Wish, say};
use crate::garment::Command;
use crate::pattern::{ClothKind, Cutting, HowCut};
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    the_pattern(ui, session, wishes);
    drawing::open_one(ui, session, wishes);
}

fn the_pattern(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let pattern = session.open.garment().pattern.clone();
    ui.label(format!("“{}”", pattern.name));
    let chosen = session.open.plan().size.clone();
    let looked_at = session.desk.size.clone().unwrap_or_else(|| chosen.clone());
    part(ui, "Size");
    ui.horizontal_wrapped(|ui| {
        for size in &pattern.sizes {
            if ui.selectable_label(*size == looked_at, size.as_str()).clicked() {
                session.desk.size = Some(size.clone());
            }
        }
    });
    if looked_at == chosen {
        ui.label(format!("The garment starts from size {chosen}."));
    } else if ui.button(format!("Start from size {looked_at} instead of {chosen}")).clicked() {
        wishes.push(Wish::of(Command::ChooseSize(looked_at.clone())));
    }
    part(ui, "Piece");
    choose_piece(ui, session);
    let Some(piece) = pattern
        .size_index(&looked_at)
        .and_then(|size| pattern.pieces.get(session.desk.piece)?.by_size.get(size))
    else {
        return;
    };
    part(ui, "Cut");
    for cutting in &piece.cuttings {
        ui.label(cutting_words(cutting));
    }
    part(ui, "Edges");
    Grid::new("edges").num_columns(3).striped(true).show(ui, |ui| {
        for edge in &piece.edges {
            ui.label(edge.id.as_str());
            ui.label(role_words(&edge.role));
            say::label(ui, format!("{:.1} mm", edge.curve.length()));
            ui.end_row();
        }
    });
    ui.label(format!(
        "{}, {}, {}",
        say::counted(piece.notches.len(), "notch", "notches"),
        say::counted(piece.darts.len(), "dart", "darts"),
        say::counted(piece.balance_lines.len(), "lengthen/shorten line", "lengthen/shorten lines")
    ));
}

fn cutting_words(cutting: &Cutting) -> String {
    let cloth = match cutting.cloth {
        ClothKind::Cloth => "cloth",
        ClothKind::Lining => "lining",
        ClothKind::Interfacing => "interfacing",
    };
    let how = match cutting.how {
        HowCut::Single => "as drawn",
        HowCut::MirroredPair => "a left and a right",
        HowCut::OnFold => "on the fold",
        HowCut::OpenedOut => "opened out",
    };
    format!("{} of {cloth}, {how}", cutting.count)
}
