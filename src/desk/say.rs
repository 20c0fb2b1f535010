//! Lengths at the desk in the units that she reads, and counts of things.

use crate::geometry::Units;
use egui::{Id, Response, Ui};

fn key() -> Id {
    Id::unique("units in which lengths are said")
}

/// Keeps the units for this frame, so that every card can say its lengths in them.
pub(super) fn keep(ui: &Ui, units: Units) {
    ui.ctx().data_mut(|data| data.insert_temp(key(), units));
}

/// The units of this frame.
pub(super) fn units(ui: &Ui) -> Units {
    ui.ctx().data(|data| data.get_temp(key())).unwrap_or_default()
}

/// Words with their lengths in these units.
pub(super) fn words(ui: &Ui, words: impl AsRef<str>) -> String {
    units(ui).say(words.as_ref()).into_owned()
}

/// How many there are of a thing, as it is called when there is one and when there are more or none.
pub(super) fn counted(count: usize, one: &str, more: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { more })
}

/// A label of such words.
pub(super) fn label(ui: &mut Ui, said: impl AsRef<str>) -> Response {
    let said = words(ui, said);
    ui.label(said)
}

/// Tells a screen reader what a short word on a button is about: of several that say “take out”, which.
pub(super) fn about(ui: &Ui, response: &Response, what: &str) {
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_description(what));
}
