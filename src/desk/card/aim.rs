//! The card at the stop Aim: marks, tapes, and what they give.

use super::cut::CAUTIONS;
use super::edge::signed;
use super::part;
use crate::desk::{ScreenName, Session, Wish, theme};
use crate::floor::Action;
use crate::garment::Command;
use crate::geometry::{Length, Unit};
use egui::{Grid, Ui};

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let aims: Vec<String> = session.open.garment().aims.iter().map(|aim| aim.name.clone()).collect();
    screens(ui, session, wishes);
    if aims.len() > 1 {
        part(ui, "Aims");
    }
    ui.horizontal_wrapped(|ui| {
        for (index, name) in aims.iter().enumerate() {
            if ui.selectable_label(index == 0, name).clicked() && index != 0 {
                wishes.push(Wish::of(Command::ChooseAim(name.clone())));
            }
        }
    });
    let Some(measured) = session.open.measured().cloned() else {
        part(ui, "Not aimed yet");
        ui.label(
            "Begin, and four marks are lit near the corners of the picture. Lay a cross of tape under each, measure \
             all six distances between the crosses, and write them down here.",
        );
        begin(ui, session, wishes);
        part(ui, "Take care");
        ui.label(CAUTIONS);
        return;
    };
    let lit = session.marks_are_lit();
    if ui.selectable_label(lit, "light the marks on the cloth (key M)").clicked() {
        wishes.push(Wish::Act(Action::Aiming));
    }
    match (&session.open.aim().trouble, &session.open.aim().good) {
        (Some(trouble), good) => {
            ui.colored_label(theme::STOP, trouble.to_string());
            if good.is_some() {
                ui.label("The last aim that could be solved stays lit.");
            }
        }
        (None, Some(aim)) => {
            let report = aim.report();
            let corners =
                report.pixel_pitch_mm.corners.iter().fold(0.0_f64, |worst, pitch| worst.max(*pitch));
            ui.label(format!(
                "One pixel lights {:.2} mm in the middle, {corners:.2} mm in the worst corner.",
                report.pixel_pitch_mm.centre
            ));
            if let Some(error) = &report.error {
                ui.label(format!(
                    "Lines fall within ±{:.1} mm in the worst corner and ±{:.1} mm in the middle, two times out of \
                     three (1σ, from how finely tapes and pixels are read).",
                    error.worst_corner_mm, error.centre_mm
                ));
            }
            for suspect in &report.suspects {
                ui.colored_label(
                    theme::WARNING,
                    format!(
                        "The tape {}–{} may be wrong: by the others it should read {:.0} mm.",
                        suspect.from + 1,
                        suspect.to + 1,
                        suspect.should_read_mm
                    ),
                );
            }
        }
        (None, None) => {}
    }
    part(ui, "Marks");
    Grid::new("marks").num_columns(3).striped(true).show(ui, |ui| {
        let solved = session.open.aim().good.as_ref().map(|aim| aim.marks().to_vec()).unwrap_or_default();
        for (index, mark) in measured.marks.iter().enumerate() {
            let active = session.floor.active_mark == index;
            if ui.selectable_label(active, format!("mark {}", index + 1)).clicked() {
                session.floor.active_mark = index;
            }
            ui.label(format!("{:.1}, {:.1} px", mark.picture.0, mark.picture.1));
            if let Some(solved) = solved.get(index) {
                ui.label(format!("off {:.2} mm", solved.residual_mm));
            }
            ui.end_row();
        }
    });
    part(ui, "Tapes");
    Grid::new("tapes").num_columns(3).striped(true).show(ui, |ui| {
        let solved = session.open.aim().good.as_ref().map(|aim| aim.tapes().to_vec()).unwrap_or_default();
        for from in 0..measured.marks.len().min(4) {
            for to in from + 1..measured.marks.len().min(4) {
                tape(ui, session, &measured, &solved, (from, to), wishes);
                ui.end_row();
            }
        }
    });
    part(ui, "After the projector was moved");
    ui.label("Light the marks (M). Tab goes from mark to mark; the arrows move the light until it falls on its cross. No new taping.");
    begin(ui, session, wishes);
    part(ui, "Take care");
    ui.label(CAUTIONS);
}

/// On which screen the floor window is.
fn screens(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    part(ui, "The floor window");
    let projector = &session.projector;
    let (width, height) = session.floor.window_size;
    ui.label(format!("It is {width} × {height} px."));
    let mut choice = |ui: &mut Ui, words: &str, screen: Option<&ScreenName>| {
        let here = projector.on.as_ref() == screen;
        if ui.selectable_label(here, words).clicked() && !here {
            wishes.push(Wish::ShowFloorOn(screen.cloned()));
        }
    };
    ui.horizontal_wrapped(|ui| {
        choice(ui, "in a window", None);
        for screen in &projector.screens {
            choice(ui, &format!("all of {}", screen.words()), Some(screen));
        }
    });
}

fn tape(
    ui: &mut Ui,
    session: &mut Session,
    measured: &crate::aim::Measured,
    solved: &[crate::aim::TapeFit],
    (from, to): (usize, usize),
    wishes: &mut Vec<Wish>,
) {
    let joins = |a: usize, b: usize| (a, b) == (from, to) || (a, b) == (to, from);
    let label = ui.label(format!("{}–{}", from + 1, to + 1)).id;
    let reading =
        measured.tapes.iter().find(|tape| joins(tape.from, tape.to)).map(|tape| Length::from_mm(tape.mm));
    let field = format!("tape {from} {to}");
    let typed = session.desk.typing.optional_length(ui, &field, label, reading.as_ref(), Unit::Mm);
    if let Some(Some(reading)) = typed {
        wishes.push(Wish::of(Command::ReadTape { from, to, reading }));
    }
    if let Some(fit) = solved.iter().find(|tape| joins(tape.from, tape.to)) {
        ui.label(signed(fit.residual_mm));
    }
}

fn begin(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let picture_size = session.floor.window_size;
    let (width, height) = picture_size;
    let words = format!("Begin an aim anew, {width} × {height} px");
    if ui.button(words).on_hover_text("the marks and tapes of the aim “table” are replaced").clicked() {
        wishes.push(Wish::of(Command::BeginAim { name: "table".to_owned(), picture_size }));
    }
}
