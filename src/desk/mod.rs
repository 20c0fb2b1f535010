//! The operator's window: the way, the board, the card, the findings.
//!
//! Panels read a [`Session`] and push [`Wish`]es; the window's owner grants them after the frame. So a panel can be
//! tested without a window, and nothing changes in the middle of a frame.

mod board;
mod card;
mod findings;
mod grip;
mod keyboard;
mod looks;
mod screen;
mod session;
mod theme;
mod typing;
mod way;
mod windows;

pub use board::BoardRequest;
pub use grip::Selected;
pub use looks::{Look, Looks};
pub use session::{DeskView, Session, Stop, Wish};
pub use typing::Typing;
pub use way::way_words;
pub use windows::{WindowError, has_display, run};

use egui::{CentralPanel, Panel, Ui};
use std::path::PathBuf;

/// Where a copy of the built-in demo is kept.
fn copy_path() -> PathBuf {
    PathBuf::from("garden-coat.garment.ron")
}

/// The whole desk. `board` is the texture that holds the board's picture; what it must show is answered.
pub fn ui(
    ui: &mut Ui,
    session: &mut Session,
    board: egui::TextureId,
    wishes: &mut Vec<Wish>,
) -> BoardRequest {
    let mut stop = session.desk.stop;
    Panel::left("way")
        .exact_size(210.0)
        .show(ui, |ui| way::ui(ui, session, wishes, &mut stop));
    Panel::bottom("findings")
        .exact_size(132.0)
        .show(ui, |ui| findings::ui(ui, session));
    Panel::right("card")
        .exact_size(348.0)
        .show(ui, |ui| card::ui(ui, session, wishes));
    let request = CentralPanel::no_frame().show(ui, |ui| board::ui(ui, session, board, wishes));
    session.desk.stop = stop;
    request.inner
}
