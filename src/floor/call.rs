//! The piece that is shown alone, called by its name: which it is, where it lies, and which way is up.

use super::FloorView;
use super::legend::{Taken, free_place};
use crate::garment::{CutState, OpenGarment};
use crate::geometry::{Affine, Point, Rect, Vec2};
use crate::light::label_width_mm;
use crate::scene::{Item, Meaning, Scene, Shape, add_arrow};
use kurbo::Shape as _;

/// Height of the piece's name, in mm.
const NAME_MM: f64 = 20.0;
/// Height of the words under it, in mm.
const WORDS_MM: f64 = 13.0;
/// Length of the arrow that shows which way is up, in mm.
const UP_MM: f64 = 90.0;
/// Space between arrow and words, in mm.
const GAP_MM: f64 = 20.0;
/// Length of the arrow that leads to a piece beyond the light, in mm.
const LEAD_MM: f64 = 220.0;

/// Adds the call of the piece that is shown alone; `lit` are the corners of the light on the surface, in mm.
pub(super) fn add_call(scene: &mut Scene, open: &OpenGarment, view: &FloorView, lit: &[Point; 4]) {
    let place = view.only.and_then(|index| Some((index, open.plan().lay.get(index)?)));
    let Some((index, place)) = place else { return };
    let Some(piece) = open.evaluated().piece(&place.piece) else { return };
    let stand = open.stand().surface_from_cloth();
    let up = Affine::rotate(open.stand().turn_degrees.to_radians()) * place.up_on_cloth().to_point();
    let path = piece.cutting_path.clone().unwrap_or_else(|| piece.altered.outline());
    let covers = (stand * place.cloth_from_piece(&piece.altered) * path).bounding_box();
    let state = match open.state_of(&place.piece, place.copy) {
        None => "to be cut",
        Some(CutState::Cut) => "cut, to be marked",
        Some(CutState::Marked) => "cut and marked",
    };
    let turned = if place.mirrored { ", turned over" } else { "" };
    let name = format!("{} {}", place.piece, place.copy);
    let words = format!("{} of {}, {state}{turned}", index + 1, open.plan().lay.len());
    let scale = view.show.sign_scale;
    let (name_mm, words_mm, arrow_mm, gap_mm) =
        (scale * NAME_MM, scale * WORDS_MM, scale * UP_MM, scale * GAP_MM);
    let wide = label_width_mm(&name, name_mm).max(label_width_mm(&words, words_mm));
    let angle = view.show.reading_angle;
    let reader_from_surface = Affine::rotate(-angle);
    let surface_from_reader = reader_from_surface.inverse();
    let lit_here = lit.map(|corner| reader_from_surface * corner);
    let size = Vec2::new(arrow_mm + gap_mm + wide, arrow_mm.max(3.0 * name_mm));
    let Some((_, whole)) = free_place(&Taken::of(scene, reader_from_surface), &lit_here, &[size]) else {
        return;
    };
    let centre = surface_from_reader * Point::new(whole.x0 + 0.5 * arrow_mm, whole.center().y);
    let half = 0.5 * arrow_mm * up.to_vec2();
    add_arrow(scene, centre - half, centre + half, &view.show);
    let left = whole.x0 + arrow_mm + gap_mm;
    let mut say = |words: &str, height_mm: f64, foot: f64| {
        let at = Point::new(left + 0.5 * label_width_mm(words, height_mm), foot);
        let shape = Shape::Label { words: words.to_owned(), at: surface_from_reader * at, height_mm, angle };
        scene.items.push(Item { meaning: Meaning::PieceName, piece: None, shape });
    };
    say(&name, name_mm, whole.center().y + 0.3 * name_mm);
    say(&words, words_mm, whole.center().y - 1.4 * words_mm);
    say("the arrow: up", words_mm, whole.center().y - 3.0 * words_mm);
    lead(scene, covers, lit, view);
}

/// An arrow from the middle of the light towards a piece of which nothing is lit.
fn lead(scene: &mut Scene, piece: Rect, lit: &[Point; 4], view: &FloorView) {
    let bounds = lit.iter().fold(Rect::from_points(lit[0], lit[0]), |all, corner| all.union_pt(*corner));
    let shared = bounds.intersect(piece);
    if shared.width() > 0.0 && shared.height() > 0.0 {
        return;
    }
    let way = piece.center() - bounds.center();
    let along = way / way.hypot().max(f64::MIN_POSITIVE);
    let from = bounds.center();
    add_arrow(scene, from, from + LEAD_MM * view.show.sign_scale * along, &view.show);
}
