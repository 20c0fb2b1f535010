//! The whole overlay of a garment: what the projector throws on the cloth.

use super::{
    CopyOfPiece, Item, Layer, Meaning, Scene, Shape, Show, add_copy, add_marks, add_print, add_proof,
};
use crate::aim::Aim;
use crate::garment::OpenGarment;
use crate::geometry::{Affine, Point, Rect, Vec2};
use crate::lay::Place;
use crate::pattern::{ClothKind, HowCut, PieceId};
use kurbo::Shape as _;

/// What the overlay depends on beside the garment.
#[derive(Debug, Clone)]
pub struct View<'a> {
    /// What is shown.
    pub show: &'a Show,
    /// Only this copy is shown; all, when `None`.
    pub only: Option<(&'a PieceId, u32)>,
    /// The mark that the keys move, from 0.
    pub active_mark: Option<usize>,
    /// A place on a piece that a finding points to.
    pub pointed: Option<(&'a PieceId, Point)>,
}

impl<'a> View<'a> {
    /// All pieces, no mark, nothing pointed at.
    #[must_use]
    pub const fn of(show: &'a Show) -> Self {
        Self {
            show,
            only: None,
            active_mark: None,
            pointed: None,
        }
    }
}

/// The overlay in surface mm, for the aim in use.
#[must_use]
pub fn overlay(open: &OpenGarment, view: &View<'_>) -> Scene {
    let mut scene = Scene::default();
    let (plan, show) = (open.plan(), view.show);
    let surface_from_cloth = plan.stand.surface_from_cloth();
    let cloth = plan.cloths.get(&ClothKind::Cloth);
    let aim = open.aim().good.as_ref();
    if let (Some(cloth), Some(seen)) = (cloth, aim.map(lit_on_surface)) {
        let on_cloth = surface_from_cloth.inverse().transform_rect_bbox(seen);
        add_print(&mut scene, cloth, surface_from_cloth, on_cloth, show);
    }
    let amounts = open.evaluated().balance_line_amounts(plan);
    let one_way = cloth.is_some_and(crate::cloth::Cloth::is_one_way);
    for place in &plan.lay {
        if view
            .only
            .is_some_and(|(piece, copy)| piece != &place.piece || copy != place.copy)
        {
            continue;
        }
        let Some(evaluated) = open.evaluated().piece(&place.piece) else {
            continue;
        };
        let how = how_on_cloth(&evaluated.altered);
        let note = copy_note(place, how, &plan.size.to_string());
        let surface_from_piece = surface_from_cloth * place.cloth_from_piece(&evaluated.altered);
        let copy = CopyOfPiece {
            piece: &evaluated.altered,
            cutting_line: evaluated.cutting_path.as_ref(),
            margins: evaluated.margins(),
            how,
            note: &note,
            surface_from_piece,
            print_top: one_way.then(|| Vec2::from_angle(plan.stand.turn_degrees.to_radians())),
            hold: false,
        };
        add_copy(&mut scene, &copy, &amounts, show);
        if let Some((_, at)) = view.pointed.filter(|(piece, _)| *piece == &place.piece) {
            add_pointer(&mut scene, surface_from_piece, at);
        }
    }
    if let Some(aim) = aim {
        if show.has(Layer::AimMarks) {
            let places = mark_places(open, aim);
            add_marks(&mut scene, &places, view.active_mark, show.reading_angle);
        }
        if show.has(Layer::Proof)
            && let Some(centre) = picture_centre(aim)
        {
            add_proof(&mut scene, centre, show.reading_angle);
        }
    }
    scene
}

fn how_on_cloth(piece: &crate::pattern::Piece) -> HowCut {
    let of_cloth = piece
        .cuttings
        .iter()
        .find(|cutting| cutting.cloth == ClothKind::Cloth);
    of_cloth
        .or_else(|| piece.cuttings.first())
        .map_or(HowCut::Single, |cutting| cutting.how)
}

fn copy_note(place: &Place, how: HowCut, size: &str) -> String {
    let way = match how {
        HowCut::Single => "",
        HowCut::MirroredPair if place.mirrored => ", turned over",
        HowCut::MirroredPair => ", as drawn",
        HowCut::OnFold => ", on the fold",
        HowCut::OpenedOut => ", opened out",
    };
    format!("size {size}, copy {}{way}", place.copy)
}

/// A ring around a place on a piece.
fn add_pointer(scene: &mut Scene, surface_from_piece: Affine, at: Point) {
    /// Radius of the ring, in mm: a thumb's.
    const RING_MM: f64 = 15.0;
    let ring = kurbo::Circle::new(surface_from_piece * at, RING_MM).to_path(1e-3);
    scene.items.push(Item {
        meaning: Meaning::Pointed,
        piece: None,
        shape: Shape::Stroke(ring),
    });
}

/// Where each mark's pick lies: the light is to fall on the very pixel that was picked, also where more than
/// four marks leave a residual, and whatever lies on the surface.
fn mark_places(open: &OpenGarment, aim: &Aim) -> Vec<Point> {
    let Some(measured) = open.measured() else {
        return Vec::new();
    };
    let Ok(cloth_from_picture) = aim.picture_from_cloth().inverse(Point::ORIGIN) else {
        return Vec::new();
    };
    measured
        .marks
        .iter()
        .filter_map(|mark| cloth_from_picture.map(mark.picture.into()))
        .collect()
}

fn picture_centre(aim: &Aim) -> Option<Point> {
    let (width, height) = aim.picture_size();
    aim.surface_from_picture()
        .map(Point::new(0.5 * f64::from(width), 0.5 * f64::from(height)))
}

/// Upright rectangle around what the projector lights.
#[must_use]
pub fn lit_on_surface(aim: &Aim) -> Rect {
    let [first, rest @ ..] = aim.lit_quad();
    rest.into_iter()
        .fold(Rect::from_points(first, first), |all, place| all.union_pt(place))
}
