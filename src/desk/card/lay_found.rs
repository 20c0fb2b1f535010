//! On the card of the stop Lay: a lay is sought, shown as it gets better, taken or left; and what other cloth would need.

use super::part;
use crate::desk::{LayWish, Session, Standing, Wish, say, theme};
use crate::pattern::ClothKind;
use egui::{Button, Ui};
use std::time::Duration;

/// How often the words are written anew while the search goes on.
const LOOK_AGAIN: Duration = Duration::from_millis(250);

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    if session.open.plan().cloth().is_none() {
        return;
    }
    part(ui, "Find a lay");
    let standing = session.lay_finder.standing(&session.open);
    match &standing {
        None => {
            if session.lay_finder.is_outdated(&session.open) {
                ui.label("What was found is for the cloth and the pieces as they were before.");
            }
            let stay = session.open.staying().len();
            ui.label(match stay {
                0 => "All copies are laid anew, for the least length; nothing is pinned.".to_owned(),
                1 => "One copy stays where it lies; all others are laid anew.".to_owned(),
                stay => format!("{stay} copies stay where they lie; all others are laid anew."),
            });
            if ui.button("find a lay").clicked() {
                wishes.push(Wish::Lay(LayWish::Find));
            }
        }
        Some(standing) => found(ui, standing, wishes),
    }
    need(ui, session, wishes);
    let asks = session.lay_finder.need().is_some_and(|need| need.goes_on);
    if asks || standing.is_some_and(|standing| standing.goes_on) {
        ui.ctx().request_repaint_after(LOOK_AGAIN);
    }
}

/// How the search stands, and what can be done with its lay.
fn found(ui: &mut Ui, standing: &Standing, wishes: &mut Vec<Wish>) {
    let seconds = standing.seconds;
    ui.label(match (standing.goes_on, standing.tries_help) {
        (true, true) => format!("Trying what would make it shorter; {seconds:.0} s."),
        (true, false) => format!("Seeking a shorter lay; {seconds:.0} s."),
        (false, _) => format!("Sought for {seconds:.0} s."),
    });
    if let Some(why) = &standing.failed {
        ui.colored_label(theme::stop(ui), why);
    }
    if let Some(answer) = &standing.answer {
        for (number, words) in answer.sentences().into_iter().enumerate() {
            if number == 0 && answer.short_mm.is_some() {
                ui.colored_label(theme::stop(ui), words);
            } else {
                say::label(ui, words);
            }
        }
    }
    ui.horizontal_wrapped(|ui| {
        let mut button = |ui: &mut Ui, enabled: bool, words: &str, wish: LayWish| {
            if ui.add_enabled(enabled, Button::new(words)).clicked() {
                wishes.push(Wish::Lay(wish));
            }
        };
        button(ui, standing.answer.is_some(), "take this lay", LayWish::Take);
        if standing.goes_on {
            button(ui, true, "stop", LayWish::Stop);
        } else {
            button(ui, true, "seek once more", LayWish::Find);
        }
        button(ui, true, "leave the lay as it was", LayWish::Leave);
    });
}

/// What is needed of cloth of another width, and of the other cloths of the garment.
fn need(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let on_table = session.open.plan().on_table;
    let Some(cloth) = session.open.plan().cloth() else { return };
    let width = cloth.width.clone();
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("needed of cloth as wide as").id;
        let typed = session.desk.typing.length(ui, "need width", label, &width);
        if let Some(width) = typed {
            wishes.push(Wish::Lay(LayWish::HowMuch(on_table, Some(width))));
        }
    });
    ui.horizontal_wrapped(|ui| {
        for kind in ClothKind::ALL.into_iter().filter(|kind| *kind != on_table) {
            let known = session.open.plan().cloths.contains_key(&kind);
            if known && ui.button(format!("how much {}?", kind.words())).clicked() {
                wishes.push(Wish::Lay(LayWish::HowMuch(kind, None)));
            }
        }
    });
    let Some(standing) = session.lay_finder.need() else { return };
    if let Some(why) = &standing.failed {
        ui.colored_label(theme::stop(ui), why);
    }
    if let Some(answer) = &standing.answer {
        let more = if standing.goes_on { " Seeking a shorter lay." } else { "" };
        say::label(ui, format!("{}{more}", answer.need()));
    }
}
