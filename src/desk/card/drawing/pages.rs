//! The pages of a sheet that is cut into pages: put to their places by hand.

use super::super::part;
use crate::desk::{Intake, Session, Wish, say};
use crate::geometry::{Length, Vec2};
use crate::import::Correction;
use egui::{Button, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, intake: &Intake, wishes: &mut Vec<Wish>) {
    let Some(tiles) = intake.tiles() else { return };
    part(ui, "Pages");
    let pages = tiles.pages().len();
    ui.label(match tiles.grid() {
        Some((columns, rows, _)) => format!("{pages} pages, {columns} across and {rows} down"),
        None => format!("{pages} pages that do not tell how they lie"),
    });
    ui.horizontal_wrapped(|ui| {
        for (words, shown) in [("what was understood", false), ("the pages, to put them right", true)] {
            if ui.selectable_label(intake.shows_pages() == shown, words).clicked()
                && let Some(intake) = &mut session.desk.intake
            {
                intake.show_pages(shown);
            }
        }
    });
    if !intake.shows_pages() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        for page in 0..pages {
            let name = tiles.name_of(page);
            let words = if intake.is_used(page) { name } else { format!("{name} left out") };
            if ui.selectable_label(intake.picked_page() == Some(page), words).clicked()
                && let Some(intake) = &mut session.desk.intake
            {
                intake.pick_page(Some(page));
            }
        }
    });
    match intake.picked_page() {
        Some(page) => picked(ui, session, intake, page, wishes),
        None => drop(ui.label("Click a page, on the board or here.")),
    }
    part(ui, "All pages");
    columns(ui, session, intake, wishes);
}

/// What can be done with the page that is picked.
fn picked(ui: &mut Ui, session: &mut Session, intake: &Intake, index: usize, wishes: &mut Vec<Wish>) {
    let (page, sheet) = (index + 1, intake.sheet);
    let mut say = |correction: Correction| wishes.push(Wish::Correct(Box::new(correction)));
    let used = intake.is_used(index);
    let words = if used { "leave it out (Delete)" } else { "take it up again (Delete)" };
    if ui.add(Button::new(words).wrap()).clicked() {
        say(Correction::PageDropped { page, dropped: used, sheet });
    }
    if !used {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        for (words, quarters) in [("turn left (Home)", 1), ("turn right (End)", 3)] {
            if ui.button(words).clicked() {
                say(Correction::PageTurned { page, quarters, sheet });
            }
        }
    });
    let nothing = || Length::from_mm(0.0);
    for (words, field, across) in
        [("move it right by (left: −)", "page right", true), ("move it up by (down: −)", "page up", false)]
    {
        ui.horizontal_wrapped(|ui| {
            let label = say::label(ui, words).id;
            if let Some(by) = session.desk.typing.length(ui, field, label, &nothing()) {
                let (right, up) = if across { (by, nothing()) } else { (nothing(), by) };
                say(Correction::PageMoved { page, right, up, sheet });
            }
        });
    }
}

/// Columns and overlaps, for sheets that tell nothing or the wrong thing.
fn columns(ui: &mut Ui, session: &mut Session, intake: &Intake, wishes: &mut Vec<Wish>) {
    let Some(tiles) = intake.tiles().filter(|tiles| tiles.has_tiles()) else {
        ui.label("No two pages are of one size: there are no columns to put them into.");
        return;
    };
    let scale = intake.shown().map_or(Vec2::new(1.0, 1.0), |sheet| sheet.laid.scale());
    let known = tiles
        .grid()
        .map(|(columns, _, overlap)| (columns, Vec2::new(scale.x * overlap.x, scale.y * overlap.y)));
    let overlap = known.map_or(Vec2::ZERO, |(_, overlap)| overlap);
    let [across, up] = [overlap.x, overlap.y].map(|mm| Length::from_mm((100.0 * mm).round() / 100.0));
    let sheet = intake.sheet;
    let mut say = |columns, across, up| {
        wishes.push(Wish::Correct(Box::new(Correction::Columns { columns, across, up, sheet })));
    };
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("columns").id;
        let shown = known.map(|(columns, _)| columns.to_string()).unwrap_or_default();
        if let Some(columns) = session.desk.typing.count(ui, "page columns", label, &shown) {
            say(columns, across.clone(), up.clone());
        }
    });
    let Some((columns, _)) = known else { return };
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("overlap across").id;
        if let Some(across) = session.desk.typing.length(ui, "page overlap across", label, &across) {
            say(columns, across, up.clone());
        }
    });
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("overlap up").id;
        if let Some(up) = session.desk.typing.length(ui, "page overlap up", label, &up) {
            say(columns, across.clone(), up);
        }
    });
}
