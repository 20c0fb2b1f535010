//! The card at the stop Lay: where each copy lies.

use super::{lay_found, lay_rules, on_table, part, rehearse};
use crate::cloth::Direction;
use crate::desk::{Held, Session, Wish, say, theme, way};
use crate::finding::Severity;
use crate::garment::{Command, OpenGarment};
use crate::geometry::{Affine, Point};
use crate::lay::{Grain, Place, Rule, check_place, snapped};
use crate::pattern::{HowCut, Piece, PieceId};
use egui::Ui;
use kurbo::Shape as _;

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    on_table::ui(ui, session, wishes);
    let open = &session.open;
    let lay = &open.plan().lay;
    let kind = open.plan().on_table;
    say::label(ui, format!("{} of {} copies laid", lay.len(), way::copies_wanted(open)));
    if open.plan().cloth().is_none() {
        say::label(ui, format!("There is no {} yet; the stop Cloth writes one down.", kind.words()));
    }
    lay_found::ui(ui, session, wishes);
    let open = &session.open;
    let lay = &open.plan().lay;
    let mut chosen = None;
    part(ui, &format!("On the {}", kind.words()));
    if lay.is_empty() {
        ui.label("nothing yet");
    }
    for place in lay {
        // A row wraps where the card is narrow: a large face on a small screen.
        ui.horizontal_wrapped(|ui| {
            let held = Some(Held::Place(place.piece.clone(), place.copy));
            let name = format!("{} {}", place.piece, place.copy);
            let row = ui.selectable_label(session.desk.held == held, &name);
            let lies = format!("{:.1} mm along the cloth, {:.1} mm across", place.at.x, place.at.y);
            if row.on_hover_text(lies).clicked() {
                chosen = held;
            }
            let (piece, copy) = (&place.piece, place.copy);
            let moves = !open.stays(piece, copy);
            let one_way = why_not_turned(open, piece);
            let turn = ui.add_enabled(moves && one_way.is_none(), egui::Button::new("turn"));
            say::about(ui, &turn, &name);
            let turn = turn.on_hover_text("by half a turn, as the grain allows");
            let turn = match one_way {
                Some(why) => turn.on_disabled_hover_text(why),
                None => turn,
            };
            if turn.clicked() {
                wishes.push(Wish::of(Command::SetPlace(turned(open, place))));
            }
            let off = ui.add_enabled(moves, egui::Button::new("off"));
            say::about(ui, &off, &name);
            if off.on_hover_text("take it off the cloth").clicked() {
                wishes.push(Wish::of(Command::RemovePlace(piece.clone(), copy)));
            }
            let pinned = open.plan().lay_rules.is_pinned(piece, copy);
            if open.state_of(piece, copy).is_some() {
                ui.label("cut");
                return;
            }
            let pin = ui.selectable_label(pinned, "pin").on_hover_text("it stays where it lies");
            say::about(ui, &pin, &name);
            if pin.clicked() {
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
    lay_rules::ui(ui, session, wishes);
    rehearse::ui(ui, session, wishes);
    let open = &session.open;
    let lay = &open.plan().lay;
    part(ui, "Not laid yet");
    let mut none = true;
    for piece in &open.evaluated().pieces {
        for cutting in piece.altered.cuttings.iter().filter(|cutting| cutting.cloth == kind) {
            for copy in 1..=cutting.count {
                if lay.iter().any(|place| place.piece == piece.altered.id && place.copy == copy) {
                    continue;
                }
                none = false;
                let mirrored = cutting.how == HowCut::MirroredPair && copy % 2 == 0;
                if ui.button(format!("lay {} {copy}", piece.altered.id)).clicked() {
                    let place = near_the_start(
                        &piece.altered,
                        copy,
                        mirrored,
                        open.plan().lay_rules.grain_of(&piece.altered.id),
                    );
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
    say::label(ui, format!("{:.1} mm along the cloth, {:.1} mm across", place.at.x, place.at.y));
    let findings = check_place(&laid, index);
    for finding in &findings {
        let colour = match finding.severity {
            Severity::Stop => theme::stop(ui),
            Severity::Warning => theme::warning(ui),
            Severity::Note => theme::ink(ui),
        };
        ui.colored_label(colour, format!("{}.", finding.what));
    }
    if findings.iter().all(|finding| finding.severity == Severity::Note) {
        ui.label("It keeps every rule.");
    }
}

/// Why a piece may not be turned upside down; `None` where it may.
fn why_not_turned(open: &OpenGarment, piece: &PieceId) -> Option<String> {
    let bound = !open.plan().lay_rules.lets_pass_on(Rule::Direction, piece);
    let cloth = open.plan().cloth().filter(|_| bound)?;
    match cloth.direction() {
        Direction::Top => Some("the motif has a top: every piece lies the same way up".to_owned()),
        Direction::OneWay(unlike) => Some(format!("{unlike}: every piece lies the same way up")),
        Direction::Free => None,
    }
}

/// A place turned by half a turn about the middle of what is cut. On a fold a piece is turned over too, so that its
/// fold edge stays where it is; on a print it comes to rest where that agrees.
fn turned(open: &OpenGarment, place: &Place) -> Place {
    let Some(piece) = open.evaluated().piece(&place.piece) else { return place.clone() };
    let outline = piece.cutting_path.clone().unwrap_or_else(|| piece.altered.outline());
    let middle = (place.cloth_from_piece(&piece.altered) * outline).bounding_box().center();
    let folded = open.plan().cloth().is_some_and(|cloth| cloth.fold().is_some());
    let on_fold = folded && piece.altered.fold().is_some();
    let at = if on_fold {
        Point::new(2.0 * middle.x - place.at.x, place.at.y)
    } else {
        Affine::rotate_about(std::f64::consts::PI, middle) * place.at
    };
    let turn_degrees = (place.turn_degrees + 180.0).rem_euclid(360.0);
    let turned = Place { at, turn_degrees, mirrored: place.mirrored != on_fold, ..place.clone() };
    match open.evaluated().laid(open.plan()) {
        Some(laid) => snapped(&turned, &laid),
        None => turned,
    }
}

/// A first place for a piece, on its grain: its outline's corner a hand from the cloth's corner.
fn near_the_start(piece: &Piece, copy: u32, mirrored: bool, grain: Grain) -> Place {
    /// Distance from both edges of the cloth, in mm.
    const IN_MM: f64 = 100.0;
    let turn_degrees = match grain {
        Grain::Warp => 0.0,
        Grain::Weft => 90.0,
        Grain::Bias => 45.0,
    };
    let lying = Place { piece: piece.id.clone(), copy, at: Point::ORIGIN, turn_degrees, mirrored };
    let bounds = (lying.cloth_from_piece(piece) * piece.outline()).bounding_box();
    Place { at: Point::new(IN_MM - bounds.x0, IN_MM - bounds.y0), ..lying }
}
