//! The board: the piece, the lay or the surface, drawn by the renderer that also lights the cloth.
//!
//! The panel does not draw. It says what is to be seen ([`BoardRequest`]) and turns the pointer into wishes; the
//! window's owner has the renderer fill the texture that is shown here.

use super::grip::{Grip, Selected, grip_at, selected_at};
use super::{Look, Session, Stop, Wish};
use crate::aim::Homography;
use crate::alter::{Allowances, cutting_line};
use crate::floor::floor_scene;
use crate::garment::{Command, GestureId};
use crate::geometry::{Point, Rect, Vec2};
use crate::pattern::{ClothKind, Piece};
use crate::scene::{
    Layer, Meaning, Scene, Shape, Show, View, add_light, add_tapes, all_pieces, before_and_after,
    lit_on_surface, overlay, printed_piece,
};
use egui::{Color32, Sense, Ui};
use kurbo::Shape as _;

/// What the board is to show.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardRequest {
    /// The things.
    pub scene: Scene,
    /// From mm to px of the board.
    pub picture_from_plane: Option<Homography>,
    /// Size of the board in px.
    pub size: (u32, u32),
}

/// How close the pointer must be to a mark to take hold of it, in px.
const HOLD_PX: f64 = 24.0;
/// How close it must be to a line of the piece, in px.
const GRIP_PX: f64 = 9.0;

pub(super) fn ui(
    ui: &mut Ui,
    session: &mut Session,
    texture: egui::TextureId,
    wishes: &mut Vec<Wish>,
) -> BoardRequest {
    let scale = f64::from(ui.ctx().pixels_per_point());
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
    let size = Vec2::new(f64::from(rect.width()) * scale, f64::from(rect.height()) * scale);
    let stop = session.desk.stop;
    let scene = scene_of(session);
    let mut look = session.desk.looks.of(stop, bounds_of(session, &scene), size);
    let px_of = |pos: egui::Pos2| {
        Point::new(
            f64::from(pos.x - rect.left()) * scale,
            f64::from(pos.y - rect.top()) * scale,
        )
    };

    if let Some(pointer) = response.hover_pos() {
        let scroll = ui.input(|input| f64::from(input.smooth_scroll_delta.y));
        if scroll != 0.0 {
            look.zoom((scroll * 0.003).exp(), px_of(pointer), size);
            session.desk.looks.keep(stop, look);
        }
    }
    if response.clicked()
        && session.desk.stop == Stop::Alter
        && let Some(pointer) = response.interact_pointer_pos()
        && let Some(piece) = session.open.evaluated().pieces.get(session.desk.piece)
    {
        let place = look.place_at(px_of(pointer), size);
        session.desk.selected = selected_at(&piece.altered, place, GRIP_PX / look.px_per_mm);
    }
    if response.double_clicked() {
        session.desk.looks.fit(stop);
        look = session.desk.looks.of(stop, bounds_of(session, &scene), size);
    }
    drag(ui, &response, session, &mut look, size, &px_of, scale, wishes);

    ui.painter().rect_filled(rect, 0.0, Color32::BLACK);
    let whole = egui::Rect::from_min_max(egui::Pos2::ZERO, egui::Pos2::new(1.0, 1.0));
    ui.painter().image(texture, rect, whole, Color32::WHITE);
    let words = board_words(session);
    let corner = rect.left_bottom() + egui::vec2(10.0, -10.0);
    let font = egui::TextStyle::Small.resolve(ui.style());
    ui.painter().text(
        corner,
        egui::Align2::LEFT_BOTTOM,
        words,
        font,
        super::theme::CHALK,
    );
    BoardRequest {
        scene,
        picture_from_plane: look.homography(size),
        size: (whole_px(size.x), whole_px(size.y)),
    }
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

/// What a drag took hold of.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Held {
    Mark(usize),
    Amount(Grip),
    Place(usize),
    Board,
}

#[expect(clippy::too_many_arguments, reason = "one frame's pointer, all of it")]
fn drag(
    ui: &Ui,
    response: &egui::Response,
    session: &mut Session,
    look: &mut Look,
    size: Vec2,
    px_of: &impl Fn(egui::Pos2) -> Point,
    scale: f64,
    wishes: &mut Vec<Wish>,
) {
    let memory = response.id.with("held");
    if response.drag_started()
        && let Some(pressed) = ui.input(|input| input.pointer.press_origin())
    {
        let place = look.place_at(px_of(pressed), size);
        let gesture = ui.input(|input| input.time.to_bits());
        let mut held = held_at(session, place, HOLD_PX / look.px_per_mm);
        if let Held::Mark(mark) = held {
            session.floor.active_mark = mark;
        }
        if session.desk.stop == Stop::Alter
            && let Some((grip, begin)) = grip_at(session, place, GRIP_PX / look.px_per_mm)
        {
            held = Held::Amount(grip);
            if let Some(record) = begin {
                wishes.push(Wish::in_gesture(
                    Command::AddAlteration(record),
                    GestureId(gesture),
                ));
            }
        }
        ui.data_mut(|data| data.insert_temp(memory, (HeldMemory(held), gesture)));
    }
    let Some((HeldMemory(held), gesture)) = ui.data(|data| data.get_temp(memory)) else {
        return;
    };
    if !response.dragged() {
        return;
    }
    let delta = response.drag_delta();
    let by_px = Vec2::new(f64::from(delta.x) * scale, f64::from(delta.y) * scale);
    if by_px == Vec2::ZERO {
        return;
    }
    let by_mm = Vec2::new(by_px.x, -by_px.y) / look.px_per_mm;
    match held {
        Held::Board => {
            look.drag(by_px);
            session.desk.looks.keep(session.desk.stop, *look);
        }
        Held::Amount(grip) => {
            let Some((from, to)) =
                ui.input(|input| Some((input.pointer.press_origin()?, input.pointer.latest_pos()?)))
            else {
                return;
            };
            let by = look.place_at(px_of(to), size) - look.place_at(px_of(from), size);
            if let Some(command) = grip.command(session, by) {
                wishes.push(Wish::in_gesture(command, GestureId(gesture)));
            }
        }
        Held::Mark(mark) => {
            let aim = session.open.aim().good.as_ref();
            let picture = session
                .open
                .measured()
                .and_then(|measured| measured.marks.get(mark))
                .map(|m| m.picture);
            if let (Some(aim), Some(picture)) = (aim, picture) {
                let moved = aim
                    .surface_from_picture()
                    .map(picture.into())
                    .map(|place| place + by_mm);
                if let Some(at_px) = moved.and_then(|place| aim.picture_from_surface().map(place)) {
                    wishes.push(Wish::of(Command::PlaceMark { mark, at_px }));
                }
            }
        }
        Held::Place(index) => {
            if let Some(mut place) = session.open.plan().lay.get(index).cloned() {
                let cloth_from_surface = session.open.plan().stand.surface_from_cloth().inverse();
                let origin = cloth_from_surface * Point::ORIGIN;
                place.at += cloth_from_surface * by_mm.to_point() - origin;
                wishes.push(Wish::in_gesture(Command::SetPlace(place), GestureId(gesture)));
            }
        }
    }
}

#[derive(Debug, Clone, Copy)]
struct HeldMemory(Held);

fn held_at(session: &Session, place: Point, reach_mm: f64) -> Held {
    let open = &session.open;
    if session.desk.stop == Stop::Aim
        && let (Some(aim), Some(measured)) = (&open.aim().good, open.measured())
    {
        let distances = measured.marks.iter().enumerate().filter_map(|(index, mark)| {
            let at = aim.surface_from_picture().map(mark.picture.into())?;
            Some((index, at.distance(place)))
        });
        let nearest = distances.min_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((mark, distance)) = nearest
            && distance <= reach_mm
        {
            return Held::Mark(mark);
        }
    }
    if session.desk.stop == Stop::Lay {
        let surface_from_cloth = open.plan().stand.surface_from_cloth();
        for (index, laid) in open.plan().lay.iter().enumerate().rev() {
            let Some(piece) = open.evaluated().piece(&laid.piece) else {
                continue;
            };
            let motion = surface_from_cloth * laid.cloth_from_piece(&piece.altered);
            let inside = motion.inverse() * place;
            let mirrored = piece.altered.mirror_about_fold().map(|mirror| mirror * inside);
            let outline = piece
                .cutting_path
                .clone()
                .unwrap_or_else(|| piece.altered.outline());
            if outline.winding(inside) != 0 || mirrored.is_some_and(|place| outline.winding(place) != 0) {
                return Held::Place(index);
            }
        }
    }
    Held::Board
}

/// What is to be seen at the stop.
fn scene_of(session: &Session) -> Scene {
    let open = &session.open;
    let show = board_show();
    match session.desk.stop {
        Stop::Pattern => printed_scene(session, &show),
        Stop::Body | Stop::Alter => {
            let Some(piece) = open.evaluated().pieces.get(session.desk.piece) else {
                return Scene::default();
            };
            let amounts = open.evaluated().balance_line_amounts(open.plan());
            let mut scene = before_and_after(piece, &amounts, &format!("size {}", open.plan().size), &show);
            add_pointed(&mut scene, session, &piece.altered);
            add_selected(&mut scene, session, &piece.altered);
            scene
        }
        Stop::Cloth | Stop::Lay => overlay(open, &View::of(&show)),
        Stop::Aim => {
            let mut scene = Scene::default();
            let mut aiming = Show::only_cutting_lines();
            aiming.layers.extend([Layer::AimMarks, Layer::Proof]);
            if let Some(aim) = &open.aim().good {
                add_light(&mut scene, aim);
                add_tapes(&mut scene, aim);
                let view = View {
                    active_mark: Some(session.floor.active_mark),
                    ..View::of(&aiming)
                };
                scene.items.extend(overlay(open, &view).items);
                return scene;
            }
            let size = open
                .measured()
                .map_or((1920, 1080), |measured| measured.picture_size);
            floor_scene(open, &session.floor, size)
        }
        Stop::Cut => {
            let size = open
                .aim()
                .good
                .as_ref()
                .map_or((1920, 1080), crate::aim::Aim::picture_size);
            let mut scene = floor_scene(open, &session.floor, size);
            if let Some(aim) = &open.aim().good {
                add_light(&mut scene, aim);
            }
            scene
        }
        Stop::Sheet => all_pieces(open.evaluated(), &show),
    }
}

/// On the board the lines that only help on cloth are left out.
fn board_show() -> Show {
    let mut show = Show::for_cutting();
    for layer in [Layer::Legend, Layer::MirroredHalf] {
        show.layers.remove(&layer);
    }
    show
}

fn printed_scene(session: &Session, show: &Show) -> Scene {
    let pattern = &session.open.garment().pattern;
    let size = session.desk.size.as_ref().unwrap_or(&session.open.plan().size);
    let Some(index) = pattern.size_index(size) else {
        return Scene::default();
    };
    let Some(piece) = pattern
        .pieces
        .get(session.desk.piece)
        .and_then(|piece| piece.by_size.get(index))
    else {
        return Scene::default();
    };
    let cutting = cutting_line(piece, &Allowances::of(pattern))
        .ok()
        .map(|line| line.outline());
    printed_piece(piece, cutting.as_ref(), &format!("size {size}"), show)
}

fn add_pointed(scene: &mut Scene, session: &Session, piece: &Piece) {
    if let Some((_, at)) = session.desk.pointed.as_ref().filter(|(id, _)| id == &piece.id) {
        let ring = kurbo::Circle::new(*at, 12.0).to_path(1e-2);
        scene.items.push(crate::scene::Item {
            meaning: Meaning::Pointed,
            piece: None,
            shape: Shape::Stroke(ring),
        });
    }
}

/// The selected edge or dart, strong.
fn add_selected(scene: &mut Scene, session: &Session, piece: &Piece) {
    let path = match &session.desk.selected {
        Some(Selected::Edge(id)) => piece.edge(id).map(|edge| edge.curve.to_bezpath()),
        Some(Selected::Dart(id)) => piece.dart_mouth(id).map(|mouth| mouth.curve.to_bezpath()),
        None => None,
    };
    if let Some(path) = path {
        let shape = Shape::Stroke(path);
        scene.items.push(crate::scene::Item {
            meaning: Meaning::Pointed,
            piece: None,
            shape,
        });
    }
}

/// What the board is fitted to, in mm.
fn bounds_of(session: &Session, scene: &Scene) -> Rect {
    let open = &session.open;
    let lit = open.aim().good.as_ref().map(lit_on_surface);
    let cloth = open.plan().cloths.get(&ClothKind::Cloth).map(|cloth| {
        open.plan()
            .stand
            .surface_from_cloth()
            .transform_rect_bbox(cloth.extent())
    });
    match session.desk.stop {
        Stop::Aim | Stop::Cut => lit.unwrap_or_else(|| bounds_of_scene(scene)),
        Stop::Cloth | Stop::Lay => cloth.unwrap_or_else(|| bounds_of_scene(scene)),
        _ => bounds_of_scene(scene),
    }
}

fn bounds_of_scene(scene: &Scene) -> Rect {
    let boxes = scene.items.iter().map(|item| match &item.shape {
        Shape::Stroke(path) | Shape::Fill(path) => path.bounding_box(),
        Shape::Label { at, .. } => Rect::from_points(*at, *at),
    });
    boxes
        .reduce(|a, b| a.union(b))
        .unwrap_or(Rect::new(0.0, 0.0, 1000.0, 1000.0))
}

fn board_words(session: &Session) -> &'static str {
    match session.desk.stop {
        Stop::Aim => "Drag a mark, or press Tab and the arrows. Wheel: nearer. Double click: all of it.",
        Stop::Lay => "Drag a piece. Wheel: nearer. Double click: all of it.",
        Stop::Body | Stop::Alter => {
            "Dashed and faint: before. Numbered: changed. Wheel: nearer. Double click: all of it."
        }
        _ => "Drag to move, wheel: nearer. Double click: all of it.",
    }
}
