//! The card at the stop Aim: marks, tapes, and what they give.

mod marks;
mod proof;
mod tapes;

use super::cut::CAUTIONS;
use super::part;
use crate::aim::{Aim, AimError, Measured};
use crate::desk::{ScreenName, Session, Wish, say, theme};
use crate::floor::Action;
use crate::garment::{Command, Mount};
use crate::scene::Layer;
use egui::Ui;

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    screens(ui, session, wishes);
    named_aims(ui, session, wishes);
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
    ui.horizontal_wrapped(|ui| {
        let lit = session.marks_are_lit();
        let mut key = |ui: &mut Ui, on: bool, words: &str, action: Action| {
            if ui.selectable_label(on, words).clicked() {
                wishes.push(Wish::Act(action));
            }
        };
        key(ui, lit, "light the marks on the cloth (key M)", Action::Aiming);
        let shows = session.floor.show.has(Layer::ErrorMap);
        key(ui, shows, "show the likely error everywhere (key D)", Action::Toggle(Layer::ErrorMap));
    });
    again(ui, session, wishes);
    found(ui, session, &measured, wishes);
    part(ui, "Marks");
    marks::ui(ui, session, &measured, wishes);
    part(ui, "Tapes");
    tapes::ui(ui, session, &measured, wishes);
    part(ui, "Proof of the size");
    proof::ui(ui, session, wishes);
    part(ui, "The cloth's thickness");
    proof::thickness(ui, session, &measured, wishes);
    part(ui, "How the projector hangs");
    mount(ui, session, wishes);
    begin(ui, session, wishes);
    part(ui, "Take care");
    ui.label(CAUTIONS);
}

/// The aims by name: table, floor, mat.
fn named_aims(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let aims = &session.open.garment().aims;
    if aims.len() > 1 {
        part(ui, "Aims");
    }
    ui.horizontal_wrapped(|ui| {
        for (index, aim) in aims.iter().enumerate() {
            if ui.selectable_label(index == 0, &aim.name).clicked() && index != 0 {
                wishes.push(Wish::of(Command::ChooseAim(aim.name.clone())));
            }
        }
    });
}

/// What is done after the projector was moved, or may have been.
fn again(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    part(ui, "After the projector was moved");
    match session.floor.work.as_deref() {
        Some(work) => {
            for words in work.words().iter().filter(|words| !words.is_empty()) {
                say::label(ui, words);
            }
            ui.horizontal_wrapped(|ui| {
                if ui.button("take it (Enter)").clicked() {
                    wishes.push(Wish::Act(Action::Tick));
                }
                if ui.button("leave it as it was (Esc)").clicked() {
                    wishes.push(Wish::Act(Action::Dark));
                }
            });
        }
        None => {
            ui.label("The crosses lie where they lay: bring their lights back onto them. No new taping.");
            ui.horizontal_wrapped(|ui| {
                let aimed = session.open.aim().good.is_some();
                if ui.add_enabled(aimed, egui::Button::new("aim again (key I)")).clicked() {
                    wishes.push(Wish::Act(Action::Reaim));
                }
                if ui.add_enabled(aimed, egui::Button::new("has it moved? (key V)")).clicked() {
                    wishes.push(Wish::Act(Action::Look));
                }
            });
        }
    }
}

/// What the measurement gives, or why it gives nothing and what may be wrong.
fn found(ui: &mut Ui, session: &Session, measured: &Measured, wishes: &mut Vec<Wish>) {
    let attempt = session.open.aim();
    if let Some(trouble) = &attempt.trouble {
        ui.colored_label(theme::stop(ui), trouble.to_string());
        let order = match trouble {
            AimError::Crossed { order, .. } | AimError::Mirrored { order } => order.as_deref(),
            _ => None,
        };
        if let Some(dealt) = order.and_then(|order| measured.with_picks_in_order(order))
            && Aim::solve(&dealt).is_ok()
            && ui.button("exchange the marks so that they fit").clicked()
        {
            wishes.push(Wish::of(Command::TakeAim(Box::new(dealt))));
        }
        if matches!(trouble, AimError::Mirrored { .. }) {
            ui.label("If the light comes by a mirror, say so under “How the projector hangs”.");
        }
        if let AimError::TapesDisagree { suspects, .. } = trouble {
            tapes::suspects(ui, suspects);
        }
        if attempt.good.is_some() {
            ui.label("The last aim that could be solved stays lit.");
        }
        return;
    }
    let Some(aim) = &attempt.good else { return };
    let report = aim.report();
    let corners = report.pixel_pitch_mm.corners.iter().fold(0.0_f64, |worst, pitch| worst.max(*pitch));
    say::label(
        ui,
        format!(
            "One pixel lights {:.2} mm in the middle, {corners:.2} mm in the worst corner.",
            report.pixel_pitch_mm.centre
        ),
    );
    if let Some(error) = &report.error {
        say::label(
            ui,
            format!(
                "Lines fall within ±{:.1} mm in the worst corner and ±{:.1} mm in the middle, lengths within ±{:.1} mm in a \
             metre, two times out of three (1σ, from how finely tapes and pixels are read).",
                error.worst_corner_mm, error.centre_mm, error.length_mm_per_m
            ),
        );
    }
    if let Some(lens) = &report.lens {
        say::label(
            ui,
            format!(
                "The lens bends lines by {:.1} % of their way to the corner; they are drawn bent the other way.",
                100.0 * lens.radial
            ),
        );
    }
    tapes::suspects(ui, aim.suspects());
    for outlier in aim.outliers() {
        ui.colored_label(theme::warning(ui), capital(&outlier.to_string()));
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect::<String>() + ".")
}

/// On which screen the floor window is, and whether its pixels are the projector's own.
fn screens(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    part(ui, "The floor window");
    let projector = &session.projector;
    let (width, height) = session.floor.window_size;
    say::label(ui, format!("It is {width} × {height} px."));
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
    if let Some(warning) = &projector.pixels {
        ui.colored_label(theme::warning(ui), warning);
    }
}

/// A projector that hangs upside down or shines by a mirror: the picture is turned before it is lit.
fn mount(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let was = session.open.mount();
    let mut mount: Mount = was;
    ui.checkbox(&mut mount.mirrored, "the light comes by a mirror: turn left for right");
    ui.checkbox(&mut mount.upside_down, "it hangs upside down: turn the picture round");
    ui.checkbox(&mut mount.on_its_side, "it lies on its side: turn the picture by a quarter");
    if mount != was {
        wishes.push(Wish::of(Command::SetMount(mount)));
    }
}

fn begin(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let picture_size = session.open.mount().picture_size(session.floor.window_size);
    let (width, height) = picture_size;
    part(ui, "A new aim");
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("of the surface called").id;
        let name = session.desk.aim_name.clone();
        if let Some(name) = session.desk.typing.words(ui, "aim name", label, &name) {
            session.desk.aim_name = name;
        }
    });
    let name = session.desk.aim_name.clone();
    let replaces = session.open.garment().aims.iter().any(|aim| aim.name == name);
    let words = format!("Begin an aim anew, {width} × {height} px");
    let hover = if replaces {
        format!("the marks and tapes of the aim “{name}” are replaced; Ctrl Z takes it back")
    } else {
        "the other aims are kept".to_owned()
    };
    if ui.button(words).on_hover_text(hover).clicked() {
        wishes.push(Wish::of(Command::BeginAim { name, picture_size }));
    }
}
