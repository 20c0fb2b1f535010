//! The facts of what was taken hold of on the board: an edge, a dart, a lengthen/shorten line.

use super::part;
use crate::desk::{Held, Session, say, theme};
use crate::garment::EvaluatedPiece;
use crate::pattern::{BalanceLineId, DartId, EdgeId, EdgeRole, Piece};
use egui::Ui;

pub(super) fn facts(ui: &mut Ui, session: &Session) {
    let Some(piece) = session.open.evaluated().pieces.get(session.desk.piece) else {
        return;
    };
    match &session.desk.held {
        Some(Held::Edge(id)) => edge(ui, session, piece, id),
        Some(Held::Dart(id)) => dart(ui, piece, id),
        Some(Held::BalanceLine(id)) => balance_line(ui, session, piece, id),
        _ => {}
    }
}

fn edge(ui: &mut Ui, session: &Session, piece: &EvaluatedPiece, id: &EdgeId) {
    let altered = &piece.altered;
    let Some((index, edge)) =
        altered.edge_index(id).and_then(|index| Some((index, altered.edges.get(index)?)))
    else {
        return;
    };
    part(ui, &format!("Edge “{id}”, {}", role_words(&edge.role)));
    let after = edge.curve.length();
    match piece.printed.edge(id).map(|edge| edge.curve.length()) {
        Some(before) if (before - after).abs() > 0.05 => {
            say::label(ui, change(before, after));
        }
        _ => drop(say::label(ui, format!("{after:.1} mm, as long as printed"))),
    }
    let allowance = session.open.evaluated().replay.allowances.width_mm(altered, index);
    say::label(ui, format!("allowance {allowance:.1} mm"));
    for seam in session.open.garment().pattern.seams_of(&altered.id, id) {
        for side in &seam.sides {
            if !side.holds(&altered.id, id) {
                let names: Vec<&str> = side.edges.iter().map(EdgeId::as_str).collect();
                ui.label(format!("sewn to “{}”, {} (seam “{}”)", side.piece, names.join(" and "), seam.id));
            }
        }
    }
    let marks = altered.notches.iter().filter(|notch| &notch.edge == id);
    for notch in marks {
        let from_start = notch.distance_from_start(edge);
        say::label(ui, format!("notch “{}” {from_start:.1} mm from “{}”", notch.id, edge.from));
    }
    if edge.role == EdgeRole::Hem {
        ui.label("Drag it on the board to make it longer or shorter.");
    }
}

fn dart(ui: &mut Ui, piece: &EvaluatedPiece, id: &DartId) {
    part(ui, &format!("Dart “{id}”"));
    let figures = |of: &Piece| -> Option<[f64; 3]> {
        let (dart, mouth) = (of.dart(id)?, of.dart_mouth(id)?);
        let (start, end) = (mouth.curve.start(), mouth.curve.end());
        Some([start.distance(end), start.distance(dart.apex), end.distance(dart.apex)])
    };
    let (Some(before), Some(after)) = (figures(&piece.printed), figures(&piece.altered)) else {
        return;
    };
    for (name, (before, after)) in ["mouth", "one leg", "other leg"].iter().zip(before.iter().zip(after)) {
        if (before - after).abs() > 0.05 {
            say::label(ui, format!("{name} {before:.1} → {after:.1} mm"));
        } else {
            say::label(ui, format!("{name} {after:.1} mm"));
        }
    }
    if let Some(dart) = piece.altered.dart(id) {
        ui.label(format!("pressed towards “{}”", dart.pressed_toward));
    }
    let [_, one, other] = after;
    if (one - other).abs() > 0.5 {
        let words = say::words(ui, format!("the legs differ by {:.1} mm", (one - other).abs()));
        ui.colored_label(theme::warning(ui), words);
    }
}

fn balance_line(ui: &mut Ui, session: &Session, piece: &EvaluatedPiece, id: &BalanceLineId) {
    part(ui, &format!("Lengthen/shorten line “{id}”"));
    let amounts = session.open.evaluated().balance_line_amounts(session.open.plan());
    match amounts.iter().find(|(line, _)| line == id) {
        Some((_, amount)) => drop(say::label(ui, format!("changed by {}", signed(*amount)))),
        None => drop(ui.label("not changed")),
    }
    let others: Vec<String> = session
        .open
        .evaluated()
        .pieces
        .iter()
        .filter(|other| other.altered.id != piece.altered.id)
        .filter(|other| other.altered.balance_lines.iter().any(|line| &line.id == id))
        .map(|other| format!("“{}”", other.altered.id))
        .collect();
    if !others.is_empty() {
        ui.label(format!("also in {}", others.join(", ")));
    }
    ui.label("Drag it down on the board to lengthen, up to shorten.");
}

/// What becomes of an edge, in a few words.
pub(super) const fn role_words(role: &EdgeRole) -> &'static str {
    match role {
        EdgeRole::Seam => "seam",
        EdgeRole::Fold => "fold",
        EdgeRole::Hem => "hem",
        EdgeRole::Opening => "opening",
        EdgeRole::FacingEdge => "facing edge",
        EdgeRole::DartMouth(_) => "dart",
    }
}

/// A length before and after, in mm.
pub(super) fn change(before: f64, after: f64) -> String {
    let by = format!("{:+.1}", after - before).replace('-', "−");
    format!("{before:.1} → {after:.1} mm ({by})")
}

/// An amount in mm with its sign, a true minus.
pub(super) fn signed(mm: f64) -> String {
    format!("{mm:+.1} mm").replace('-', "−")
}
