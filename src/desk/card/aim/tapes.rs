//! The tapes of an aim: what each reads, what it read a second time, and which of them may be wrong.

use crate::aim::{Measured, Suspect, TapeFit};
use crate::desk::card::edge::signed;
use crate::desk::{Session, Wish, say, theme};
use crate::garment::Command;
use crate::geometry::{Length, Unit};
use egui::{Grid, Ui};

/// Between more marks than this only the tapes that were read are listed.
const ALL_PAIRS: usize = 6;

pub(super) fn ui(ui: &mut Ui, session: &mut Session, measured: &Measured, wishes: &mut Vec<Wish>) {
    let solved = session.open.aim().good.as_ref().map(|aim| aim.tapes().to_vec()).unwrap_or_default();
    let count = measured.marks.len();
    let mut pairs: Vec<(usize, usize)> =
        (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b))).collect();
    if count > ALL_PAIRS {
        pairs.retain(|pair| measured.tapes.iter().any(|tape| joins(tape.from, tape.to, *pair)));
    }
    Grid::new("tapes").num_columns(3).striped(true).show(ui, |ui| {
        for &pair in &pairs {
            tape(ui, session, measured, &solved, pair, wishes);
            ui.end_row();
        }
    });
    // What they contradict each other about is found by reading them again.
    let attempt = session.open.aim();
    let doubtful =
        attempt.trouble.is_some() || attempt.good.as_ref().is_some_and(|aim| !aim.suspects().is_empty());
    let twice = measured.tapes.iter().any(|tape| tape.second_reading.is_some());
    let open = (doubtful || twice).then_some(true);
    let header = egui::CollapsingHeader::new("Read each tape a second time").open(open);
    header.show(ui, |ui| {
        ui.label("Without looking at the first reading: then it is known which of them is wrong.");
        Grid::new("tapes again").num_columns(2).striped(true).show(ui, |ui| {
            for &pair in &pairs {
                if again(ui, session, measured, pair, wishes) {
                    ui.end_row();
                }
            }
        });
    });
}

fn joins(a: usize, b: usize, (from, to): (usize, usize)) -> bool {
    (a, b) == (from, to) || (a, b) == (to, from)
}

fn tape(
    ui: &mut Ui,
    session: &mut Session,
    measured: &Measured,
    solved: &[TapeFit],
    (from, to): (usize, usize),
    wishes: &mut Vec<Wish>,
) {
    let label = say::label(ui, format!("{}–{}", from + 1, to + 1)).id;
    let known = measured.tapes.iter().find(|tape| joins(tape.from, tape.to, (from, to)));
    let reading = known.map(|tape| Length::from_mm(tape.mm));
    let field = format!("tape {from} {to}");
    let typed = session.desk.typing.optional_length(ui, &field, label, reading.as_ref(), Unit::Mm);
    if let Some(Some(reading)) = typed {
        wishes.push(Wish::of(Command::ReadTape { from, to, reading }));
    }
    if let Some(fit) = solved.iter().find(|tape| joins(tape.from, tape.to, (from, to))) {
        say::label(ui, signed(fit.residual_mm));
    }
}

/// The second reading of a tape; whether there is a first.
fn again(
    ui: &mut Ui,
    session: &mut Session,
    measured: &Measured,
    (from, to): (usize, usize),
    wishes: &mut Vec<Wish>,
) -> bool {
    let known = measured.tapes.iter().find(|tape| joins(tape.from, tape.to, (from, to)));
    let Some(known) = known else { return false };
    let second = known.second_reading.map(Length::from_mm);
    let label = say::label(ui, format!("{}–{} again", from + 1, to + 1)).id;
    let field = format!("tape {from} {to} again");
    let typed = session.desk.typing.optional_length(ui, &field, label, second.as_ref(), Unit::Mm);
    if let Some(reading) = typed {
        wishes.push(Wish::of(Command::ReadTapeAgain { from, to, reading }));
    }
    true
}

/// Which reading may be wrong, and what it should read then.
pub(super) fn suspects(ui: &mut Ui, suspects: &[Suspect]) {
    if suspects.len() > 1 {
        ui.colored_label(
            theme::warning(ui),
            "The tapes contradict each other. If one alone is wrong, it should read:",
        );
    }
    for suspect in suspects {
        ui.colored_label(
            theme::warning(ui),
            format!(
                "The tape {}–{} should read {:.0} mm.",
                suspect.from + 1,
                suspect.to + 1,
                suspect.should_read_mm
            ),
        );
    }
}
