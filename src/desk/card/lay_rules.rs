//! On the card of the stop Lay: what is set about the rules, and which of them are let pass, each with a written reason.

use super::part;
use crate::desk::{Held, Session, Wish, say};
use crate::garment::Command;
use crate::geometry::Length;
use crate::lay::{CentreOn, Grain, LayRules, LetPass, Rule};
use crate::pattern::{PieceId, SeamId};
use egui::{Grid, Ui};

/// A rule that is to be let pass, before the reason is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LetPassDraft {
    rule: Rule,
    piece: Option<PieceId>,
    seam: Option<SeamId>,
}

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    part(ui, "Rules");
    let mut rules = session.open.plan().lay_rules.clone();
    numbers(ui, session, &mut rules);
    centre(ui, session, &mut rules);
    grain(ui, session, &mut rules);
    passed(ui, session, &mut rules);
    kept(ui, session, &mut rules);
    if rules != session.open.plan().lay_rules {
        wishes.push(Wish::of(Command::SetLayRules(rules)));
    }
}

fn field(session: &Session, name: &str) -> String {
    format!("{} lay {name}", session.open.plan().on_table.words())
}

fn numbers(ui: &mut Ui, session: &mut Session, rules: &mut LayRules) {
    let (gap, tolerance) = (field(session, "gap"), field(session, "tolerance"));
    let typing = &mut session.desk.typing;
    Grid::new("lay rules").num_columns(3).show(ui, |ui| {
        let label = ui.label("room between pieces").id;
        let unit = rules.gap.unit();
        let read = |text: &str| {
            let length = Length::parse(text, Some(unit)).map_err(|error| error.to_string())?;
            if length.mm() < 0.0 { Err(format!("{length} is less than none")) } else { Ok(length) }
        };
        if let Some(length) = typing.reading(ui, &gap, label, &rules.gap.to_string(), read) {
            rules.gap = length;
        }
        ui.end_row();
        let label = ui.label("grain may be off by").id;
        let typed = typing.degrees(ui, &tolerance, label, rules.grain_tolerance_degrees);
        rules.grain_tolerance_degrees = typed.map_or(rules.grain_tolerance_degrees, f64::abs);
        ui.end_row();
    });
}

/// What lies on centres and folds; only where the print has something to lie there.
fn centre(ui: &mut Ui, session: &Session, rules: &mut LayRules) {
    let Some(print) = session.open.plan().cloth().and_then(|cloth| cloth.sound_print()) else { return };
    let mut choices = vec![
        ("the widest bar".to_owned(), CentreOn::WidestBar),
        ("the widest gap".to_owned(), CentreOn::WidestGap),
    ];
    let bars = print.lengthwise.as_ref().map_or(0, |bars| bars.bars.len());
    for number in (1..).take(bars) {
        choices.push((format!("bar {number}"), CentreOn::Bar(number)));
        choices.push((format!("gap {number}"), CentreOn::Gap(number)));
    }
    choices.push(("whatever comes".to_owned(), CentreOn::Anything));
    ui.label("On centre front, centre back and fold lies");
    ui.horizontal_wrapped(|ui| {
        for (words, choice) in choices {
            if ui.selectable_label(rules.centre == choice, words).clicked() {
                rules.centre = choice;
            }
        }
    });
}

/// How the piece in hand lies to the grain.
fn grain(ui: &mut Ui, session: &Session, rules: &mut LayRules) {
    let Some(Held::Place(piece, _)) = &session.desk.held else { return };
    say::label(ui, format!("The grainline of “{piece}” lies"));
    ui.horizontal_wrapped(|ui| {
        let ways =
            [("along the cloth", Grain::Warp), ("across it", Grain::Weft), ("on the true bias", Grain::Bias)];
        for (words, way) in ways {
            if ui.selectable_label(rules.grain_of(piece) == way, words).clicked() {
                match way {
                    Grain::Warp => drop(rules.grain.remove(piece)),
                    way => drop(rules.grain.insert(piece.clone(), way)),
                }
            }
        }
    });
}

/// The rules that are let pass, each with its reason.
fn passed(ui: &mut Ui, session: &mut Session, rules: &mut LayRules) {
    let mut again = None;
    for (index, by) in rules.let_pass.iter_mut().enumerate() {
        say::label(
            ui,
            format!("Let pass: “{}” {}, because", by.rule, where_words(by.piece.as_ref(), by.seam.as_ref())),
        );
        let name = field(session, &format!("reason {index}"));
        ui.horizontal(|ui| {
            let label = ui.label("reason").id;
            if let Some(reason) = session.desk.typing.wide_words(ui, &name, label, &by.reason) {
                by.reason = reason;
            }
        });
        if ui.button("keep it again").clicked() {
            again = Some(index);
        }
    }
    if let Some(index) = again {
        rules.let_pass.remove(index);
        let fields = field(session, "reason");
        session.desk.typing.forget_all(&fields);
    }
}

fn where_words(piece: Option<&PieceId>, seam: Option<&SeamId>) -> String {
    match (piece, seam) {
        (None, None) => "everywhere".to_owned(),
        (Some(piece), None) => format!("on “{piece}”"),
        (None, Some(seam)) => format!("at the seam “{seam}”"),
        (Some(piece), Some(seam)) => format!("on “{piece}” at the seam “{seam}”"),
    }
}

/// The rules that are kept; one that is chosen can be let pass, once a reason is written.
fn kept(ui: &mut Ui, session: &mut Session, rules: &mut LayRules) {
    ui.label("A lay keeps these rules; choose one to let it pass, with a reason.");
    let mut draft = session.desk.let_pass.clone();
    ui.horizontal_wrapped(|ui| {
        for rule in Rule::ALL.into_iter().filter(|rule| !rules.lets_pass(*rule)) {
            let chosen = draft.as_ref().is_some_and(|draft| draft.rule == rule);
            if ui.selectable_label(chosen, rule.to_string()).clicked() {
                draft = (!chosen).then_some(LetPassDraft { rule, piece: None, seam: None });
            }
        }
    });
    if let Some(draft) = &mut draft {
        where_to(ui, session, draft);
    }
    let name = field(session, "new reason");
    let mut done = false;
    if let Some(draft) = &draft {
        let label = ui
            .label(format!(
                "Let “{}” pass {}, because",
                draft.rule,
                where_words(draft.piece.as_ref(), draft.seam.as_ref())
            ))
            .id;
        if let Some(reason) = session.desk.typing.wide_words(ui, &name, label, "") {
            let LetPassDraft { rule, piece, seam } = draft.clone();
            rules.let_pass.push(LetPass { rule, piece, seam, reason });
            done = true;
        }
    } else {
        session.desk.typing.forget(&name);
    }
    session.desk.let_pass = draft.filter(|_| !done);
}

/// Where a rule is let pass: everywhere, on one piece, or at one seam.
fn where_to(ui: &mut Ui, session: &Session, draft: &mut LetPassDraft) {
    ui.horizontal_wrapped(|ui| {
        if ui.selectable_label(draft.piece.is_none() && draft.seam.is_none(), "everywhere").clicked() {
            (draft.piece, draft.seam) = (None, None);
        }
        let evaluated = session.open.evaluated();
        for part in evaluated.parts.all() {
            let id = &part.piece.id;
            if ui.selectable_label(draft.piece.as_ref() == Some(id), format!("on “{id}”")).clicked() {
                (draft.piece, draft.seam) = (Some(id.clone()), None);
            }
        }
        for seam in evaluated.replay.seams.iter().filter(|_| draft.rule == Rule::Match) {
            let id = &seam.id;
            if ui.selectable_label(draft.seam.as_ref() == Some(id), format!("at seam “{id}”")).clicked() {
                (draft.piece, draft.seam) = (None, Some(id.clone()));
            }
        }
    });
}
