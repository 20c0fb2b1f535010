//! The foot of the desk: what the checks have to say. Resting on a line shows its place on board and cloth, a click
//! goes to the stop and the piece where it is mended; where one step mends it, a button does.

use super::{Session, Stop, Wish, say, theme};
use crate::finding::{Finding, Severity, Subject};
use crate::garment::Found;
use crate::scene::Pointed;
use egui::{RichText, ScrollArea, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, stop: &mut Stop, wishes: &mut Vec<Wish>) {
    ui.add_space(4.0);
    let findings = session.findings();
    let mut pointed = None;
    ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        let projector = &session.projector;
        let said = [&session.complaint, &session.unsaved_because, &projector.notice, &projector.pixels];
        let mut said_any = false;
        for words in said.into_iter().flatten() {
            let words = say::words(ui, words);
            ui.colored_label(theme::stop(ui), words);
            said_any = true;
        }
        if findings.is_empty() && !said_any {
            ui.label("Nothing to complain of.");
        }
        let mut chosen = None;
        for finding in &findings {
            let row = line(ui, finding, wishes);
            if row.clicked() {
                chosen = Some(finding.clone());
            }
            if (row.hovered() || row.has_focus())
                && let Some(piece) = &finding.piece
            {
                pointed = Some(Pointed { piece: piece.clone(), at: finding.at });
            }
        }
        if let Some(finding) = chosen {
            go_to(session, &finding, stop);
        }
    });
    session.floor.pointed = pointed;
}

fn line(ui: &mut Ui, finding: &Found, wishes: &mut Vec<Wish>) -> egui::Response {
    let (word, colour) = match finding.severity {
        Severity::Stop => ("Before cutting", theme::stop(ui)),
        Severity::Warning => ("Look at", theme::warning(ui)),
        Severity::Note => ("Note", theme::ink(ui)),
    };
    let row = ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(word).color(colour).strong());
        let said = ui.add(egui::Button::selectable(false, sentence(&say::words(ui, &finding.what))).wrap());
        ui.label(RichText::new(sentence(&say::words(ui, &finding.remedy))).weak());
        said
    });
    // On a line of its own: a wrapped row leaves no room beside its last words.
    if let Some(mend) = &finding.mend
        && ui.add(egui::Button::new(say::words(ui, &mend.words)).wrap()).clicked()
    {
        wishes.push(Wish::of(mend.command.clone()));
    }
    let stop = stop_of(finding).words();
    row.inner.on_hover_text(format!("go to {stop}"))
}

/// Findings begin small, to be put behind other words; here each stands by itself.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect::<String>() + if words.ends_with('.') { "" } else { "." }
    })
}

/// Where a finding is mended.
fn stop_of(finding: &Finding) -> Stop {
    match finding.about {
        Some(Subject::Pattern) => Stop::Pattern,
        Some(Subject::Alterations) | None => Stop::Alter,
        Some(Subject::Lay) => Stop::Lay,
        Some(Subject::Aim) => Stop::Aim,
    }
}

fn go_to(session: &mut Session, finding: &Finding, stop: &mut Stop) {
    *stop = stop_of(finding);
    let Some(piece) = &finding.piece else { return };
    let pieces = &session.open.evaluated().pieces;
    if let Some(index) = pieces.iter().position(|known| &known.altered.id == piece) {
        session.desk.piece = index;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_finding_stands_as_a_sentence() {
        assert_eq!(sentence("“front” lies off the cloth"), "“front” lies off the cloth.");
        assert_eq!(sentence("move it onto the cloth."), "Move it onto the cloth.");
        assert_eq!(sentence(""), "");
    }
}
