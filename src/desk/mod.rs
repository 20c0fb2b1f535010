//! The operator's window: the way, the board, the card, the findings.
//!
//! Panels read a [`Session`] and push [`Wish`]es; the window's owner grants them after the frame. So a panel can be
//! tested without a window, and nothing changes in the middle of a frame.

mod board;
mod card;
mod findings;
mod flaw;
mod intake;
mod keyboard;
mod lay_finder;
mod looks;
mod pointer;
mod preferences;
mod print_seek;
mod projector;
mod remote;
mod say;
mod screen;
mod session;
mod shown;
mod theme;
mod ticking;
mod typing;
mod under_light;
mod way;
mod windows;
#[cfg(all(unix, not(target_os = "macos")))]
mod x11_screens;

pub use board::{BoardMemory, BoardRequest, Held};
pub use card::{FitMemory, LetPassDraft};
pub use flaw::FlawDrawing;
pub use intake::Intake;
pub use lay_finder::{LayFinder, LayFinderError, LayWish, Standing};
pub use looks::{Look, Looks};
pub use preferences::Preferences;
pub use projector::{Projector, ScreenName};
pub use remote::RemoteDoor;
pub use session::{DeskView, Session, Stop, Wish};
pub use theme::set as set_theme;
pub use typing::Typing;
pub use way::way_words;
pub use windows::{WindowError, has_display, run};

use egui::{CentralPanel, Panel, Ui};
use std::path::PathBuf;

/// Where a copy of the built-in demo is kept.
fn copy_path() -> PathBuf {
    PathBuf::from("garden-coat.garment.ron")
}

/// How often a reading that is going on is asked how far it is.
const LOOK_AGAIN: std::time::Duration = std::time::Duration::from_millis(100);

/// Drawings that are dropped on the window, and the one that is being read.
fn take_in_drawings(ui: &Ui, session: &mut Session, stop: &mut Stop, wishes: &mut Vec<Wish>) {
    let dropped: Vec<PathBuf> = ui.input(|input| {
        input
            .raw
            .dropped_files
            .iter()
            .map(|file| file.path().to_path_buf())
            .filter(|path| !path.as_os_str().is_empty())
            .collect()
    });
    if !dropped.is_empty() {
        *stop = Stop::Pattern;
        wishes.push(Wish::OpenDrawing(dropped));
    }
    if let Some(intake) = &mut session.desk.intake {
        if intake.look() {
            session.desk.looks.fit(Stop::Pattern);
        }
        if intake.doing().is_some() {
            ui.ctx().request_repaint_after(LOOK_AGAIN);
        }
    }
}

/// The whole desk. `board` is the texture that holds the board's picture; what it must show is answered.
pub fn ui(
    ui: &mut Ui,
    session: &mut Session,
    board: egui::TextureId,
    wishes: &mut Vec<Wish>,
) -> BoardRequest {
    // Small windows (a laptop at 150 %) leave the board its share.
    let whole = ui.available_size();
    let way_width = (0.17 * whole.x).clamp(204.0, 236.0);
    let card_width = (0.27 * whole.x).clamp(316.0, 400.0);
    let foot_height = (0.17 * whole.y).clamp(84.0, 150.0);
    let theme = if session.desk.preferred.bright_room { egui::Theme::Light } else { egui::Theme::Dark };
    ui.ctx().set_theme(theme);
    say::keep(ui, session.desk.preferred.units);
    // The window's own name, which a screen reader says first.
    ui.ctx().accesskit_node_builder(egui::accesskit_root_id(), |node| node.set_label("chalkbeam desk"));
    let mut stop = session.desk.stop;
    take_in_drawings(ui, session, &mut stop, wishes);
    Panel::left("way").exact_size(way_width).show(ui, |ui| way::ui(ui, session, wishes, &mut stop));
    Panel::bottom("findings")
        .exact_size(foot_height)
        .show(ui, |ui| findings::ui(ui, session, &mut stop, wishes));
    Panel::right("card").exact_size(card_width).show(ui, |ui| card::ui(ui, session, wishes));
    let request = CentralPanel::no_frame().show(ui, |ui| board::ui(ui, session, board, wishes));
    if stop != session.desk.stop {
        session.desk.stop = stop;
        session.desk.held = None;
        ui.ctx().request_repaint();
    }
    request.inner
}
