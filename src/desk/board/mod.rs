//! The board: the piece, the lay or the surface, drawn by the renderer that also lights the cloth.
//!
//! The panel does not draw. It says what is to be seen ([`BoardRequest`]) and turns the pointer into wishes; the
//! window's owner has the renderer fill the texture that is shown here.
//!
//! Where the board shows the surface small, words, signs and the rhythms of lines would be too small to read. The
//! scene is then drawn in units larger than a millimetre ([`unit_mm`]): places keep their proportion, signs their
//! size on the screen.

mod amount;
mod drawing;
mod fabric;
mod flaws;
mod hold;
mod pages;
mod scenes;

pub use hold::Held;

use super::{Look, Session, Stop, Wish, say, theme};
use crate::aim::Homography;
use crate::geometry::Vec2;
use crate::scene::Scene;
use egui::{Color32, Sense, Ui};
use std::sync::Arc;

/// What the board is to show.
#[derive(Debug, Clone)]
pub struct BoardRequest {
    /// The things, in units of the board.
    pub scene: Arc<Scene>,
    /// Counts the scenes that were made: the same number is the same scene.
    pub number: u64,
    /// From the board's units to px of the board.
    pub picture_from_plane: Option<Homography>,
    /// Size of the board in px.
    pub size: (u32, u32),
    /// Millimetres in a unit of the board.
    pub unit_mm: f64,
}

impl BoardRequest {
    /// Whether a picture of `other` shows the same.
    #[must_use]
    pub fn is_same_as(&self, other: &Self) -> bool {
        self.number == other.number
            && self.size == other.size
            && self.picture_from_plane == other.picture_from_plane
    }
}

/// The scene that was made last and what it was made for, kept while nothing of that changes.
#[derive(Debug, Clone, Default)]
pub struct BoardMemory {
    made: Option<(scenes::Shown, Arc<Scene>)>,
    number: u64,
}

/// Px of the screen (at 100 %) that a millimetre of a sign has at least: words of 12 mm then stand like 13 px type.
const LEAST_PX: f64 = 0.8;

/// The board's unit in mm: one at true size and nearer, larger where the surface is shown small.
fn unit_mm(px_per_mm: f64, px_per_point: f64) -> f64 {
    steady_unit_mm(px_per_mm, px_per_point).max(1.0)
}

/// The unit at which signs keep their size on the screen from near, too.
fn steady_unit_mm(px_per_mm: f64, px_per_point: f64) -> f64 {
    LEAST_PX * px_per_point / px_per_mm
}

pub(super) fn ui(
    ui: &mut Ui,
    session: &mut Session,
    texture: egui::TextureId,
    wishes: &mut Vec<Wish>,
) -> BoardRequest {
    let scale = f64::from(ui.ctx().pixels_per_point());
    let foot = caption(ui, session);
    let room = ui.available_size() - egui::vec2(0.0, foot.size().y + 2.0 * CAPTION_GAP);
    let (rect, response) = ui.allocate_exact_size(room.max(egui::Vec2::splat(1.0)), Sense::click_and_drag());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, "board"));
    say::about(ui, &response, scenes::caption(session));
    let size = Vec2::new(f64::from(rect.width()) * scale, f64::from(rect.height()) * scale);
    let stop = session.desk.stop;
    let bounds = scenes::bounds_of(session);
    let mut look = session.desk.looks.of(stop, bounds, size);
    let board = hold::Board { rect, scale, size };

    if let Some(pointer) = response.hover_pos() {
        let scroll = ui.input(|input| f64::from(input.smooth_scroll_delta.y));
        if scroll != 0.0 {
            look.zoom((scroll * 0.003).exp(), board.px_of(pointer), size);
            session.desk.looks.keep(stop, look);
        }
    }
    if response.double_clicked() && session.desk.flaw.is_none() {
        session.desk.looks.fit(stop);
        look = session.desk.looks.of(stop, bounds, size);
    }
    hold::take(ui, &response, session, &mut look, &board, wishes);
    pages::keys(ui, &response, session, wishes);

    // On a drawing a place is pointed to, to a hair: looked at from near, no sign may hide it.
    let points = stop == Stop::Pattern && session.desk.intake.is_some();
    let unit = if points { steady_unit_mm(look.px_per_mm, scale) } else { unit_mm(look.px_per_mm, scale) };
    let shown = scenes::Shown::now(session, unit);
    if session.desk.board.made.as_ref().is_none_or(|(made, _)| *made != shown) {
        let scene = scenes::scene_of(session, unit).said_in(session.desk.preferred.units).scaled(1.0 / unit);
        let memory = &mut session.desk.board;
        memory.made = Some((shown, Arc::new(scene)));
        memory.number += 1;
    }
    let memory = &session.desk.board;

    ui.painter().rect_filled(ui.max_rect(), 0.0, ui.visuals().panel_fill);
    ui.painter().rect_filled(rect, 0.0, Color32::BLACK);
    let whole = egui::Rect::from_min_max(egui::Pos2::ZERO, egui::Pos2::new(1.0, 1.0));
    if session.desk.preferred.bright_room {
        // Dark lines on paper: the cloth is a tint over them.
        ui.painter().image(texture, rect, whole, Color32::WHITE);
        fabric::paint(ui, session, &look, &board);
    } else {
        // Light is added to what lies there, as on the cloth.
        fabric::paint(ui, session, &look, &board);
        ui.painter().image(texture, rect, whole, Color32::from_rgb_additive(255, 255, 255));
    }
    pages::pulled(ui, session, &look, &board);
    absence(ui, session, rect);
    let corner = rect.left_bottom() + egui::vec2(10.0, CAPTION_GAP);
    ui.painter().galley(corner, foot, theme::ink(ui));
    let in_units =
        Look { centre: (look.centre.to_vec2() / unit).to_point(), px_per_mm: look.px_per_mm * unit };
    BoardRequest {
        scene: memory.made.as_ref().map(|(_, scene)| Arc::clone(scene)).unwrap_or_default(),
        number: memory.number,
        picture_from_plane: in_units.homography(size),
        size: (whole_px(size.x), whole_px(size.y)),
        unit_mm: unit,
    }
}

/// Space above and below the words under the board, in points.
const CAPTION_GAP: f32 = 4.0;

/// The words under the board: how it is used. What is no news is left out where it would take another row.
fn caption(ui: &Ui, session: &Session) -> Arc<egui::Galley> {
    let small = egui::TextStyle::Small.resolve(ui.style());
    let width = (ui.available_width() - 20.0).max(80.0);
    let lay = |words: String| ui.painter().layout(words, small.clone(), theme::ink(ui), width);
    let words = scenes::caption(session);
    let whole = lay(format!("{words} Wheel: nearer. Double click: all of it."));
    if whole.rows.len() == 1 {
        return whole;
    }
    lay(words.to_owned())
}

/// What is missing before there is anything to see, in the middle of the board.
fn absence(ui: &Ui, session: &Session, rect: egui::Rect) {
    let Some(missing) = scenes::missing(session) else {
        return;
    };
    let body = egui::TextStyle::Body.resolve(ui.style());
    // The board is dark in any room.
    let pale = Color32::from_gray(230);
    let galley = ui.painter().layout(missing, body, pale, 0.8 * rect.width());
    let corner = rect.center() - 0.5 * galley.size();
    let ground = egui::Rect::from_min_size(corner, galley.size()).expand(6.0);
    ui.painter().rect_filled(ground, 3.0, Color32::from_black_alpha(200));
    ui.painter().galley(corner, galley, pale);
}

/// A side in whole px, at least one.
fn whole_px(side: f64) -> u32 {
    /// Wider than any screen.
    const WIDEST: f64 = 16_384.0;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to 1..=16384 before"
    )]
    let px = side.round().clamp(1.0, WIDEST) as u32;
    px
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_on_a_drawing_are_as_large_from_near_as_from_far() {
        for px_per_mm in [0.05, 0.4, 1.0, 4.0, 40.0] {
            let sign_px = steady_unit_mm(px_per_mm, 1.5) * px_per_mm;
            assert!((sign_px - 1.5 * LEAST_PX).abs() < 1e-12, "{sign_px}");
        }
    }

    #[test]
    fn words_never_stand_smaller_than_13_px_type() {
        // Capitals of DejaVu and of the desk's face are 0.73 of the type's size.
        for px_per_mm in [0.05, 0.3, 0.4, 0.8, 1.0, 4.0] {
            for px_per_point in [1.0, 1.5, 2.0] {
                let capital_px = 12.0 * unit_mm(px_per_mm, px_per_point) * px_per_mm;
                assert!(capital_px / 0.73 >= 13.0 * px_per_point || px_per_mm > px_per_point);
            }
        }
        assert!((unit_mm(4.0, 1.0) - 1.0).abs() < 1e-12, "true size and nearer is as on the cloth");
    }
}
