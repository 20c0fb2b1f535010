//! The foot of the desk: what the checks have to say. Resting on a line shows its place on board and cloth.

use super::{Session, theme};
use crate::finding::Severity;
use egui::{RichText, ScrollArea, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session) {
    ui.add_space(4.0);
    if let Some(complaint) = &session.complaint {
        ui.colored_label(theme::STOP, complaint);
    }
    let findings = session.open.findings();
    if findings.is_empty() && session.complaint.is_none() {
        ui.label("Nothing to complain of.");
    }
    let mut pointed = None;
    let mut chosen = None;
    ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        for finding in &findings {
            let (word, colour) = match finding.severity {
                Severity::Stop => ("Before cutting", theme::STOP),
                Severity::Warning => ("Look at", theme::WARNING),
                Severity::Note => ("Note", theme::CHALK),
            };
            let row = ui.horizontal_wrapped(|ui| {
                ui.label(RichText::new(word).color(colour).strong());
                let said = ui.selectable_label(false, &finding.what);
                ui.label(RichText::new(&finding.remedy).weak());
                said
            });
            let said = row.inner;
            if let Some(piece) = &finding.piece {
                if said.clicked() {
                    chosen = Some(piece.clone());
                }
                if let Some(at) = finding.at.filter(|_| said.hovered()) {
                    pointed = Some((piece.clone(), at));
                }
            }
        }
    });
    if let Some(piece) = chosen
        && let Some(index) = session
            .open
            .evaluated()
            .pieces
            .iter()
            .position(|known| known.altered.id == piece)
    {
        session.desk.piece = index;
    }
    session.desk.pointed = pointed;
}
