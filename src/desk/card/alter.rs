//! The card at the stop Alter: the list of alterations, and sentences to add one.

use super::edge::{change, facts};
use super::offers::Offer;
use super::{choose_piece, offers, part};
use crate::alter::{Alteration, DartsAcross, Hem, Lengthen, LengthenAt, Outcome, Pieces, Record};
use crate::desk::{Held, Session, Wish, say, theme};
use crate::garment::Command;
use crate::geometry::Length;
use crate::pattern::{BalanceLineId, EdgeRole, Piece};
use crate::scene::changed_edges;
use egui::{Grid, RichText, Ui};
use std::sync::Arc;

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    choose_piece(ui, session);
    facts(ui, session);
    with_held(ui, session, wishes);
    part(ui, "Changed edges of this piece");
    let changed = session.open.evaluated().pieces.get(session.desk.piece).cloned();
    if let Some(piece) = changed {
        let edges = changed_edges(&piece);
        if edges.is_empty() {
            ui.label("as printed");
        }
        Grid::new("changed").num_columns(2).striped(true).show(ui, |ui| {
            for (number, id) in edges.iter().enumerate() {
                let length = |of: &Piece| of.edge(id).map_or(0.0, |edge| edge.curve.length());
                let (before, after) = (length(&piece.printed), length(&piece.altered));
                let held = Some(Held::Edge(id.clone()));
                let name = format!("{} {id}", number + 1);
                if ui.selectable_label(session.desk.held == held, name).clicked() {
                    session.desk.held = held;
                }
                say::label(ui, change(before, after));
                ui.end_row();
            }
        });
    }
    part(ui, "Alterations, in this order");
    let alterations = session.open.plan().alterations.clone();
    if alterations.is_empty() {
        ui.label("none yet");
    }
    let last = alterations.len().saturating_sub(1);
    for (index, alteration) in alterations.iter().enumerate() {
        one(ui, session, alteration, index, last, wishes);
    }
    part(ui, "Add");
    add(ui, session, wishes);
    let piece =
        session.open.evaluated().pieces.get(session.desk.piece).map(|piece| Arc::clone(&piece.altered));
    if let Some(piece) = piece {
        let offers = offers::for_piece(&session.open.garment().pattern, &piece);
        show_offers(ui, session, piece.id.as_str(), offers, wishes);
    }
}

fn one(
    ui: &mut Ui,
    session: &mut Session,
    alteration: &Alteration,
    index: usize,
    last: usize,
    wishes: &mut Vec<Wish>,
) {
    let id = alteration.id;
    ui.separator();
    let label = ui
        .horizontal_wrapped(|ui| {
            let mut on = alteration.on;
            let name = format!("{}. {}", index + 1, alteration.record.words());
            let ticked = ui.checkbox(&mut on, name);
            if ticked.changed() {
                wishes.push(Wish::of(Command::SwitchAlteration(id, on)));
            }
            ticked.id
        })
        .inner;
    let amounts = alteration.record.amounts();
    let mut amount_field = |ui: &mut Ui, session: &mut Session, label, place: usize, length: &Length| {
        let field = format!("alteration {id} {place}");
        if let Some(typed) = session.desk.typing.length(ui, &field, label, length) {
            let record = alteration.record.with_amount(place, typed);
            wishes.push(Wish::of(Command::ChangeAlteration(id, record)));
        }
    };
    // One amount is told by the sentence above it; of several each has its own words.
    if let [only] = amounts.as_slice() {
        amount_field(ui, session, label, 0, &only.length);
    } else {
        for (place, amount) in amounts.iter().enumerate() {
            ui.horizontal_wrapped(|ui| {
                let label = ui.label(&amount.words).id;
                amount_field(ui, session, label, place, &amount.length);
            });
        }
    }
    ui.horizontal_wrapped(|ui| {
        let whole = format!("{}. {}", index + 1, alteration.record.words());
        let earlier = ui.add_enabled(index > 0, egui::Button::new("earlier"));
        say::about(ui, &earlier, &whole);
        if earlier.clicked() {
            wishes.push(Wish::of(Command::MoveAlteration(id, index - 1)));
        }
        let later = ui.add_enabled(index < last, egui::Button::new("later"));
        say::about(ui, &later, &whole);
        if later.clicked() {
            wishes.push(Wish::of(Command::MoveAlteration(id, index + 1)));
        }
        let take_out = ui.button("take out");
        say::about(ui, &take_out, &whole);
        if take_out.clicked() {
            session.desk.typing.forget(&format!("alteration {id} "));
            wishes.push(Wish::of(Command::RemoveAlteration(id)));
        }
    });
    let step = session.open.evaluated().replay.steps.get(index);
    match step.map(|step| &step.outcome) {
        Some(Outcome::Failed(error)) => {
            drop(ui.colored_label(theme::stop(ui), say::words(ui, error.to_string())))
        }
        Some(Outcome::NoEffect(why)) => drop(ui.colored_label(theme::warning(ui), say::words(ui, why))),
        Some(Outcome::Applied(report)) => {
            for figure in &report.figures {
                let of = figure.piece.as_ref().map_or_else(String::new, |piece| format!("{piece}: "));
                let before =
                    figure.before.map_or_else(String::new, |before| format!("{:.1} → ", before.number()));
                let after = figure.after;
                let words = format!("{of}{} {before}{after}", figure.name);
                ui.label(RichText::new(say::words(ui, words)).small());
            }
            for note in &report.notes {
                ui.label(RichText::new(say::words(ui, note)).small());
            }
        }
        Some(Outcome::Off) | None => {}
    }
}

/// What can be done with the edge or dart that was taken hold of.
fn with_held(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let pieces: Vec<_> =
        session.open.evaluated().pieces.iter().map(|piece| Arc::clone(&piece.altered)).collect();
    let pieces: Vec<&Piece> = pieces.iter().map(AsRef::as_ref).collect();
    let Some(piece) = pieces.get(session.desk.piece) else {
        return;
    };
    let pattern = Arc::clone(&session.open.garment().pattern);
    let mut offers = Vec::new();
    match session.desk.held.clone() {
        Some(Held::Edge(id)) if piece.edge(&id).is_some() => {
            let Some(edge) = piece.edge(&id) else { return };
            offers = offers::for_edge(&pattern, &pieces, piece, edge);
            let size = &session.open.plan().size;
            for other in pattern.sizes.iter().filter(|other| *other != size) {
                offers.extend(offers::blends(piece, edge, other));
            }
        }
        Some(Held::Dart(id)) if piece.dart(&id).is_some() => {
            let Some(dart) = piece.dart(&id) else { return };
            offers = offers::for_dart(piece, dart);
        }
        _ => {}
    }
    let of = piece.id.to_string();
    show_offers(ui, session, &of, offers, wishes);
}

/// Sentences with an amount to fill in, or a button each.
fn show_offers(ui: &mut Ui, session: &mut Session, of: &str, offers: Vec<Offer>, wishes: &mut Vec<Wish>) {
    let nothing = Length::nothing(say::units(ui).bare());
    for offer in offers {
        if offer.takes_amount {
            let label = ui.label(&offer.words).id;
            let field = format!("offer {of} {}", offer.words);
            if let Some(amount) = session.desk.typing.length(ui, &field, label, &nothing) {
                wishes.push(Wish::of(Command::AddAlteration(offer.filled(&amount))));
            }
        } else if ui.add(egui::Button::new(&offer.words).wrap()).clicked() {
            wishes.push(Wish::of(Command::AddAlteration(offer.record)));
        }
    }
}

/// Sentences with an amount to fill in.
fn add(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let nothing = Length::nothing(say::units(ui).bare());
    for (line, pieces) in balance_lines(session) {
        let label = ui
            .label(format!("Lengthen (with −, shorten) at the line “{line}” in {}, by", pieces.join(", ")))
            .id;
        if let Some(amount) = session.desk.typing.length(ui, &format!("add at {line}"), label, &nothing) {
            let at = LengthenAt::BalanceLine { line, half_band: None, darts: DartsAcross::default() };
            let record = Record::Lengthen(Lengthen { at, longer_by: amount });
            wishes.push(Wish::of(Command::AddAlteration(record)));
        }
    }
    let has_hem = session
        .open
        .evaluated()
        .pieces
        .iter()
        .any(|piece| piece.altered.edges.iter().any(|edge| edge.role == EdgeRole::Hem));
    if has_hem {
        let label = ui.label("Lengthen (with −, shorten) the hem of all pieces, square to itself, by").id;
        if let Some(amount) = session.desk.typing.length(ui, "add at hem", label, &nothing) {
            let record = Record::Hem(Hem::parallel(Pieces::All, amount));
            wishes.push(Wish::of(Command::AddAlteration(record)));
        }
    }
}

/// Every balance line with the pieces that carry it.
fn balance_lines(session: &Session) -> Vec<(BalanceLineId, Vec<String>)> {
    let mut lines: Vec<(BalanceLineId, Vec<String>)> = Vec::new();
    for piece in &session.open.evaluated().pieces {
        for line in &piece.altered.balance_lines {
            let name = piece.altered.id.to_string();
            match lines.iter_mut().find(|(id, _)| id == &line.id) {
                Some((_, pieces)) => pieces.push(name),
                None => lines.push((line.id.clone(), vec![name])),
            }
        }
    }
    lines
}
