//! Flaws that pieces keep off: drawn on the board by clicking their corners, named, and struck out.

use super::field;
use crate::cloth::Cloth;
use crate::desk::{FlawDrawing, Session, say};
use crate::geometry::{Point, Rect};
use crate::pattern::ClothKind;
use egui::{Button, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, kind: ClothKind, cloth: &mut Cloth) {
    let typing = &mut session.desk.typing;
    let mut out = None;
    for (index, flaw) in cloth.flaws.iter_mut().enumerate() {
        ui.horizontal_wrapped(|ui| {
            let label = say::label(ui, format!("flaw {}", index + 1)).id;
            if let Some(what) = typing.words(ui, &field(kind, &format!("flaw {index}")), label, &flaw.what) {
                flaw.what = what;
            }
            if ui.button("strike it out").clicked() {
                out = Some(index);
            }
        });
        say::label(ui, lies(&flaw.outline));
    }
    if let Some(index) = out {
        cloth.flaws.remove(index);
        typing.forget_all(&field(kind, "flaw"));
    }
    if session.desk.flaw.is_none() {
        if ui.button("draw round a flaw").clicked() {
            session.desk.flaw = Some(FlawDrawing::default());
        }
        return;
    }
    let corners = session.desk.flaw.as_ref().map_or(0, |flaw| flaw.corners().len());
    say::label(ui, format!("Click its corners on the board, one after the other; {corners} so far."));
    ui.horizontal_wrapped(|ui| {
        let enough = corners >= FlawDrawing::LEAST_CORNERS;
        if ui.add_enabled(enough, Button::new("that is all of it")).clicked()
            && let Some(drawn) = session.desk.flaw.take()
        {
            cloth.flaws.extend(drawn.flaw());
        }
        let back = ui.add_enabled(corners > 0, Button::new("take the last corner back"));
        if back.clicked()
            && let Some(drawn) = &mut session.desk.flaw
        {
            drawn.take_back();
        }
        if ui.button("leave it").clicked() {
            session.desk.flaw = None;
        }
    });
    // What ends the drawing stays in sight while corners come.
    let memory = egui::Id::unique("flaw corners");
    if ui.data(|data| data.get_temp(memory)) != Some(corners) {
        ui.data_mut(|data| data.insert_temp(memory, corners));
        ui.scroll_to_cursor(Some(egui::Align::BOTTOM));
    }
}

/// “4 corners, 40 by 25 mm, 310 mm from the cut end and 200 mm from the edge”
fn lies(outline: &[Point]) -> String {
    let Some(&first) = outline.first() else { return "no corners".to_owned() };
    let around = Rect::from_points(first, first);
    let bounds = outline.iter().fold(around, |all, corner| all.union_pt(*corner));
    format!(
        "{} corners, {:.0} by {:.0} mm, {:.0} mm from the cut end and {:.0} mm from the edge",
        outline.len(),
        bounds.width(),
        bounds.height(),
        bounds.x0,
        bounds.y0
    )
}
