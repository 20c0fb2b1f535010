//! The card at the stop Cut: the copies, what is lit, the keys.

use super::{part, rehearse};
use crate::desk::{Session, Wish, say, theme};
use crate::finding::Severity;
use crate::floor::{Action, KEYS, few_crosses, stand_words};
use crate::garment::{Command, CutState};
use crate::geometry::Length;
use crate::remote::Reach;
use crate::scene::LAMP_COLOURS;
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let stops = session.findings().iter().filter(|finding| finding.severity == Severity::Stop).count();
    if stops > 0 {
        ui.colored_label(
            theme::stop(ui),
            format!("{stops} to settle before cutting; they stand at the foot."),
        );
    }
    part(ui, "Copies");
    if session.open.plan().lay.is_empty() {
        ui.label("Nothing is laid yet; the stop Lay puts pieces on the cloth.");
    }
    copies(ui, session, wishes);
    if session.refused.is_some() && ui.button("do it all the same (key U)").clicked() {
        wishes.push(Wish::Act(Action::Overrule));
    }
    rehearse::ui(ui, session, wishes);
    part(ui, "Cutting in stands");
    stands(ui, session, wishes);
    if session.open.stands().is_none() {
        part(ui, "The cloth under the light");
        stand(ui, session, wishes);
    }
    part(ui, "Light");
    light(ui, session, wishes);
    part(ui, "A phone as a remote");
    phone(ui, session, wishes);
    part(ui, "Keys, here and on the floor");
    for entry in &KEYS {
        ui.horizontal(|ui| {
            let lit = session.floor.is_on(entry.action).unwrap_or(false);
            let size = egui::vec2(84.0, ui.spacing().interact_size.y);
            ui.add_sized(size, egui::Label::new(entry.key).halign(egui::Align::LEFT));
            let words = egui::Button::selectable(lit, entry.words).wrap();
            if ui.add(words).clicked() {
                wishes.push(Wish::Act(entry.action));
            }
        });
    }
    part(ui, "Take care");
    ui.label(CAUTIONS);
}

/// Every copy, ply by ply, with its ticks.
fn copies(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let open = &session.open;
    for (index, place) in open.plan().lay.iter().enumerate() {
        let of_place = open.copies_at(index);
        for (ply, &copy) in of_place.iter().enumerate() {
            ui.horizontal_wrapped(|ui| {
                let alone = session.floor.only == Some(index);
                let name = format!("{} {copy}", place.piece);
                if ui.selectable_label(alone, &name).clicked() {
                    session.floor.only = (!alone).then_some(index);
                }
                let state = open.state_of(&place.piece, copy);
                let (mut cut, mut marked) = (state.is_some(), state == Some(CutState::Marked));
                let was = (cut, marked);
                for (tick, word) in [(&mut cut, "cut"), (&mut marked, "marked")] {
                    let tick = ui.checkbox(tick, word);
                    say::about(ui, &tick, &name);
                }
                let stale = open.evaluated().stale.contains(&place.piece);
                let word = match (state, stale, ply) {
                    (None, true, _) => "stale",
                    (_, _, 0) if of_place.len() > 1 => "upper ply",
                    (_, _, 1) => "lower ply",
                    _ => "",
                };
                if !word.is_empty() {
                    ui.label(word);
                }
                if (cut, marked) != was {
                    let state = match (cut, marked) {
                        (_, true) if !was.1 => Some(CutState::Marked),
                        (true, _) => Some(CutState::Cut),
                        (false, _) => None,
                    };
                    wishes.push(Wish::of(Command::SetProgress(place.piece.clone(), copy, state)));
                }
            });
        }
    }
}

/// A lay larger than the picture: which stand this is, and how to go on.
fn stands(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    if let Some(work) = session.floor.work.as_deref() {
        for words in work.words().iter().filter(|words| !words.is_empty()) {
            say::label(ui, words);
        }
    }
    match session.open.stands() {
        None => {
            ui.label("What is larger than the picture is cut in stands: the cloth is moved, and found again by crosses.");
            let words = match session.floor.only_copy(&session.open) {
                Some((piece, copy)) => format!("cut {piece} {copy} in stands (key X)"),
                None => "cut the whole lay in stands (key X)".to_owned(),
            };
            if ui.add(egui::Button::new(words).wrap()).clicked() {
                wishes.push(Wish::Act(Action::NextStand));
            }
        }
        Some(stands) => {
            for words in stand_words(stands) {
                say::label(ui, words);
            }
            let aim = session.open.aim().good.as_ref();
            if let Some(words) = aim.and_then(|aim| few_crosses(stands, aim)) {
                say::label(ui, words);
            }
            ui.horizontal_wrapped(|ui| {
                if ui.button("next stand (key X)").clicked() {
                    wishes.push(Wish::Act(Action::NextStand));
                }
                if ui.button("leave the stands").clicked() {
                    wishes.push(Wish::of(Command::SetStands(None)));
                }
            });
        }
    }
    if let Some(aim) = session.open.garment().aims.first() {
        let shown = aim.watch_px.map_or_else(|| "as chance allows".to_owned(), |px| px.to_string());
        let label = ui.label("a check mark may be off by (px)").id;
        if let Some(typed) = session.desk.typing.words(ui, "watch", label, &shown) {
            let number = typed.trim_end_matches("px").trim().replace(',', ".");
            wishes.push(Wish::of(Command::SetWatch(number.parse().ok())));
        }
    }
}

/// The way in for a phone.
fn phone(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    match (session.remote.reach(), session.remote.way_in()) {
        (None, _) => {
            ui.label(
                "Off. It serves a page with these keys; whoever reads the code from the cloth is let in, once. Nothing \
                 is encrypted: only on a network whose others you trust.",
            );
            ui.horizontal_wrapped(|ui| {
                for (words, reach) in
                    [("open to the network", Reach::Network), ("on this computer only", Reach::ThisComputer)]
                {
                    if ui.button(words).clicked() {
                        wishes.push(Wish::Remote(Some(reach)));
                    }
                }
            });
        }
        (Some(reach), way_in) => {
            ui.label(match (reach, way_in) {
                (Reach::Network, Some(address)) => {
                    format!("Open to the network: read the code, or type {address}")
                }
                (Reach::ThisComputer, Some(address)) => format!("Open on this computer: {address}"),
                (_, None) => "A phone is let in, and no other.".to_owned(),
            });
            if ui.button("close it").clicked() {
                wishes.push(Wish::Remote(None));
            }
        }
    }
}

/// The lamp's colour, and how wide lines are.
fn light(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let colour = session.floor.lamp.and_then(|lamp| LAMP_COLOURS.get(lamp));
    let colour = colour.map_or("chosen against the cloth", |(name, _)| name);
    say::label(
        ui,
        format!("Colour: {colour}. Lines are {:.1} times as wide as usual.", session.floor.line_scale()),
    );
    ui.horizontal_wrapped(|ui| {
        for (words, action) in [
            ("another colour", Action::NextLamp),
            ("narrower", Action::Narrower),
            ("wider", Action::Wider),
            ("easy to see", Action::Bold),
        ] {
            let on = session.floor.is_on(action).unwrap_or(false);
            if ui.selectable_label(on, words).clicked() {
                wishes.push(Wish::Act(action));
            }
        }
    });
}

/// Where the cloth lies on the surface: its corner, and how it is turned.
fn stand(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let stand = session.open.plan().stand;
    let mut changed = stand;
    Grid::new("stand").num_columns(3).show(ui, |ui| {
        let typing = &mut session.desk.typing;
        let label = ui.label("its corner lies along, at").id;
        if let Some(x) = typing.length(ui, "stand x", label, &Length::from_mm(stand.at.x)) {
            changed.at.x = x.mm();
        }
        ui.end_row();
        let label = ui.label("and across, at").id;
        if let Some(y) = typing.length(ui, "stand y", label, &Length::from_mm(stand.at.y)) {
            changed.at.y = y.mm();
        }
        ui.end_row();
        let label = ui.label("it is turned by").id;
        if let Some(turn) = typing.degrees(ui, "stand turn", label, stand.turn_degrees) {
            changed.turn_degrees = turn;
        }
        ui.end_row();
    });
    ui.label("Or drag a piece on the board until the lit ticks lie on the print.");
    if changed != stand {
        wishes.push(Wish::of(Command::SetStand(changed)));
    }
}

/// What is said before light and blade.
pub(super) const CAUTIONS: &str = "Never look into the lens; press Esc for no light before reaching near it. A \
    projector overhead belongs on structure, with a second safety cable, put up by somebody competent. Close the \
    cutter's guard whenever you are not cutting, and cut away from yourself. Keep cables off the dark floor. The \
    makers' manuals and local codes come first.";
