//! The card at the stop Lay: where each copy lies.

use super::{lay_found, part, rehearse};
use crate::desk::{Held, Session, Wish, theme, way};
use crate::finding::Severity;
use crate::garment::Command;
use crate::geometry::Point;
use crate::lay::{Place, check_place};
use crate::pattern::{ClothKind, HowCut, Piece};
use egui::Ui;

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let open = &session.open;
    let lay = &open.plan().lay;
    ui.label(format!("{} of {} copies laid", lay.len(), way::copies_wanted(open)));
    if !open.plan().cloths.contains_key(&ClothKind::Cloth) {
        ui.label("There is no cloth yet; the stop Cloth writes one down.");
    }
    lay_found::ui(ui, session, wishes);
    let open = &session.open;
    let lay = &open.plan().lay;
    let mut chosen = None;
    part(ui, "On the cloth");
    if lay.is_empty() {
        ui.label("nothing yet");
    }
    for place in lay {
        // A row wraps where the card is narrow: a large face on a small screen.
        ui.horizontal_wrapped(|ui| {
            let held = Some(Held::Place(place.piece.clone(), place.copy));
            let name = format!("{} {}", place.piece, place.copy);
            let row = ui.selectable_label(session.desk.held == held, name);
            let lies = format!("{:.1} mm along the cloth, {:.1} mm across", place.at.x, place.at.y);
            if row.on_hover_text(lies).clicked() {
                chosen = held;
            }
            let (piece, copy) = (&place.piece, place.copy);
            let moves = !open.stays(piece, copy);
            let turn = ui.add_enabled(moves, egui::Button::new("turn")).on_hover_text("by half a turn");
            if turn.clicked() {
                let turned = Place { turn_degrees: (place.turn_degrees + 180.0) % 360.0, ..place.clone() };
                wishes.push(Wish::of(Command::SetPlace(turned)));
            }
            let off = ui.add_enabled(moves, egui::Button::new("off"));
            if off.on_hover_text("take it off the cloth").clicked() {
                wishes.push(Wish::of(Command::RemovePlace(piece.clone(), copy)));
            }
            let pinned = open.plan().lay_rules.is_pinned(piece, copy);
            if open.state_of(piece, copy).is_some() {
                ui.label("cut");
            } else if ui.selectable_label(pinned, "pin").on_hover_text("it stays where it lies").clicked() {
                let mut rules = open.plan().lay_rules.clone();
                if !rules.pinned.remove(&(piece.clone(), copy)) {
                    rules.pinned.insert((piece.clone(), copy));
                }
                wishes.push(Wish::of(Command::SetLayRules(rules)));
            }
        });
    }
    if chosen.is_some() {
        session.desk.held = chosen;
    }
    in_hand(ui, session);
    rehearse::ui(ui, session, wishes);
    let open = &session.open;
    let lay = &open.plan().lay;
    part(ui, "Not laid yet");
    let mut none = true;
    for piece in &open.evaluated().pieces {
        for cutting in piece.altered.cuttings.iter().filter(|cutting| cutting.cloth == ClothKind::Cloth) {
            for copy in 1..=cutting.count {
                if lay.iter().any(|place| place.piece == piece.altered.id && place.copy == copy) {
                    continue;
                }
                none = false;
                let mirrored = cutting.how == HowCut::MirroredPair && copy % 2 == 0;
                if ui.button(format!("lay {} {copy}", piece.altered.id)).clicked() {
                    let at = near_the_start(&piece.altered);
                    let place =
                        Place { piece: piece.altered.id.clone(), copy, at, turn_degrees: 0.0, mirrored };
                    wishes.push(Wish::of(Command::SetPlace(place)));
                }
            }
        }
    }
    if none {
        ui.label("every copy has its place");
    }
}

/// Where the piece in hand lies, and the rules that it breaks there.
fn in_hand(ui: &mut Ui, session: &Session) {
    let open = &session.open;
    let Some(Held::Place(piece, copy)) = &session.desk.held else { return };
    let Some(laid) = open.evaluated().laid(open.plan()) else { return };
    let found = laid.places.iter().position(|place| &place.piece == piece && place.copy == *copy);
    let Some((index, place)) = found.and_then(|index| Some((index, laid.places.get(index)?))) else { return };
    part(ui, &format!("In hand: {piece} {copy}"));
    ui.label(format!("{:.1} mm along the cloth, {:.1} mm across", place.at.x, place.at.y));
    let findings = check_place(&laid, index);
    for finding in &findings {
        let colour = match finding.severity {
            Severity::Stop => theme::stop(ui),
            Severity::Warning => theme::warning(ui),
            Severity::Note => continue,
        };
        ui.colored_label(colour, format!("{}.", finding.what));
    }
    if findings.iter().all(|finding| finding.severity == Severity::Note) {
        ui.label("It keeps every rule.");
    }
}

/// A first place for a piece: its outline's corner a hand from the cloth's corner.
fn near_the_start(piece: &Piece) -> Point {
    /// Distance from both edges of the cloth, in mm.
    const IN_MM: f64 = 100.0;
    let lying =
        Place { piece: piece.id.clone(), copy: 1, at: Point::ORIGIN, turn_degrees: 0.0, mirrored: false };
    let bounds = lying.cloth_from_piece(piece).transform_rect_bbox(piece.bounding_box());
    Point::new(IN_MM - bounds.x0, IN_MM - bounds.y0)
}
