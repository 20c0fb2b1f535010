//! The pages of a drawing on the board: their frames and names, the one that is dragged, and the keys for the one that
//! is picked.

use super::hold::Board;
use crate::desk::{Intake, Look, Session, Stop, Wish, theme};
use crate::geometry::{BezPath, Point, Rect, Vec2};
use crate::import::Correction;
use crate::scene::{Item, Meaning, Scene, Shape};
use egui::{Key, Shape as Drawn, Stroke, Ui};
use kurbo::Shape as _;

/// Height of a page's name, in mm at sign scale 1.
const NAME_MM: f64 = 12.0;
/// Radius of the ring round a line that does not go on, in mm at sign scale 1.
const BROKEN_MM: f64 = 5.0;
/// The picked page's frame is drawn so far inside, in mm at sign scale 1: a neighbour's would hide it.
const INSIDE_MM: f64 = 3.0;
/// A page whose frame is smaller than this many names has none.
const ROOM: f64 = 2.5;
/// Steps of the arrow keys, in mm: plain, with Shift, with Control.
const STEPS_MM: [f64; 3] = [1.0, 10.0, 0.1];

/// Adds the frames of the pages, their names, and where lines end at a seam that do not go on.
pub(super) fn add(scene: &mut Scene, intake: &Intake, unit_mm: f64) {
    let Some(tiles) = intake.tiles().filter(|_| intake.shows_pages()) else { return };
    let mut push = |meaning, shape| scene.items.push(Item { meaning, piece: None, shape });
    for (page, frame) in intake.frames() {
        let used = intake.is_used(page);
        let picked = intake.picked_page() == Some(page);
        let meaning = if used { Meaning::LightEdge } else { Meaning::Before };
        push(meaning, Shape::Stroke(frame.to_path(0.1)));
        if picked {
            let inside = frame.inflate(-INSIDE_MM * unit_mm, -INSIDE_MM * unit_mm);
            push(Meaning::Pointed, Shape::Stroke(inside.to_path(0.1)));
        }
        let name = tiles.name_of(page);
        let words = if used { name } else { format!("{name} left out") };
        let height_mm = NAME_MM * unit_mm;
        if frame.height() > ROOM * height_mm {
            let at = Point::new(frame.center().x, frame.y1 - 2.0 * height_mm);
            let meaning = if used { Meaning::Note } else { Meaning::Quiet };
            push(meaning, Shape::Label { words, at, height_mm, angle: 0.0 });
        }
    }
    let sheet_from_pages = intake.sheet_from_pages();
    let mut seams = BezPath::new();
    for seam in intake.seams() {
        seams.move_to(sheet_from_pages * seam.from);
        seams.line_to(sheet_from_pages * seam.to);
        for broken in &seam.broken {
            let at = sheet_from_pages * *broken;
            push(Meaning::Error, Shape::Stroke(kurbo::Circle::new(at, BROKEN_MM * unit_mm).to_path(0.05)));
        }
    }
    if !seams.elements().is_empty() {
        push(Meaning::TapeLine, Shape::Stroke(seams));
    }
}

/// The page that is dragged, over the picture of the board: its frame and lines where they would lie.
pub(super) fn pulled(ui: &Ui, session: &Session, look: &Look, board: &Board) {
    let Some(pulled) = session.desk.intake.as_ref().and_then(|intake| intake.pulled.as_ref()) else { return };
    let seen = |place: Point| board.pos_of(look.px_of(place + pulled.by, board.size));
    let painter = ui.painter().with_clip_rect(board.rect);
    let pen = Stroke::new(1.5, theme::warning(ui));
    for line in pulled.lines.iter() {
        painter.add(Drawn::line(line.iter().map(|at| seen(*at)).collect(), pen));
    }
    let Rect { x0, y0, x1, y1 } = pulled.frame;
    let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|corner| seen(corner.into()));
    painter.add(Drawn::closed_line(corners.to_vec(), pen));
    let words = format!("{} to the right, {} up", signed(pulled.by.x), signed(pulled.by.y));
    let font = egui::TextStyle::Body.resolve(ui.style());
    let galley = painter.layout_no_wrap(words, font, theme::ink(ui));
    let at = corners[3] + egui::vec2(8.0, 8.0);
    painter.rect_filled(
        egui::Rect::from_min_size(at, galley.size()).expand(4.0),
        3.0,
        egui::Color32::from_black_alpha(200),
    );
    painter.galley(at, galley, theme::ink(ui));
}

fn signed(mm: f64) -> String {
    format!("{mm:+.1} mm").replace('-', "−")
}

/// The page that was dragged is put down where it is.
pub(super) fn put_down(session: &mut Session) -> Option<Wish> {
    let intake = session.desk.intake.as_mut()?;
    let pulled = intake.pulled.take().filter(|pulled| pulled.by != Vec2::ZERO)?;
    Some(Wish::Correct(Box::new(intake.page_moved(pulled.page, pulled.by))))
}

/// What the keys do to the page that is picked. A field that is typed into, and a button that was reached by Tab, keep
/// theirs.
pub(super) fn keys(ui: &Ui, response: &egui::Response, session: &mut Session, wishes: &mut Vec<Wish>) {
    if session.desk.stop != Stop::Pattern {
        return;
    }
    let Some(intake) = session.desk.intake.as_mut().filter(|intake| intake.shows_pages()) else { return };
    let focused = ui.memory(|memory| memory.focused());
    if focused.is_some_and(|id| id != response.id) {
        return;
    }
    let pressed = |key| ui.input(|input| input.key_pressed(key));
    let step = |key| pressed(key).then_some(if key == Key::PageDown { 1_isize } else { -1 });
    if let (Some(step), Some(tiles)) = (step(Key::PageDown).or_else(|| step(Key::PageUp)), intake.tiles()) {
        let pages = tiles.pages().len();
        let first = if step > 0 { 0 } else { pages - 1 };
        let next = intake.picked_page().map_or(first, |page| page.saturating_add_signed(step).min(pages - 1));
        intake.pick_page(Some(next));
    }
    let Some(picked) = intake.picked_page() else { return };
    let [plain, coarse, fine] = STEPS_MM;
    let mm = ui.input(|input| match (input.modifiers.shift, input.modifiers.command) {
        (true, _) => coarse,
        (false, true) => fine,
        (false, false) => plain,
    });
    for (key, x, y) in [
        (Key::ArrowLeft, -1.0, 0.0),
        (Key::ArrowRight, 1.0, 0.0),
        (Key::ArrowDown, 0.0, -1.0),
        (Key::ArrowUp, 0.0, 1.0),
    ] {
        if pressed(key) {
            wishes.push(Wish::NudgePage(mm * x, mm * y));
        }
    }
    let (page, sheet) = (picked + 1, intake.sheet);
    let mut say = |correction| wishes.push(Wish::Correct(Box::new(correction)));
    if pressed(Key::Delete) {
        say(Correction::PageDropped { page, dropped: intake.is_used(picked), sheet });
    }
    for (key, quarters) in [(Key::Home, 1), (Key::End, 3)] {
        if pressed(key) {
            say(Correction::PageTurned { page, quarters, sheet });
        }
    }
}
