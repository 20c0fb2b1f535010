//! The whole overlay of a garment: what the projector throws on the cloth.

use super::clear::words_box;
use super::{
    CopyOfPiece, Item, Layer, Meaning, Scene, Shape, Show, add_bars, add_copy, add_error_map, add_flaws,
    add_marks, add_print, add_proof,
};
use crate::aim::Aim;
use crate::cloth::Cloth;
use crate::garment::{OpenGarment, ProofSheet};
use crate::geometry::{Affine, Point, Rect, Vec2};
use crate::lay::Place;
use crate::pattern::{ClothKind, HowCut, Piece, PieceId};
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
    /// What a finding points to.
    pub pointed: Option<&'a Pointed>,
    /// Whether all of the cloth is looked at, and not only what is lit.
    pub whole_cloth: bool,
}

/// A place on a piece, or a whole piece, that a finding points to.
#[derive(Debug, Clone, PartialEq)]
pub struct Pointed {
    /// The piece.
    pub piece: PieceId,
    /// The place on it, in its own coordinates; the whole piece, when `None`.
    pub at: Option<Point>,
}

impl<'a> View<'a> {
    /// All pieces, no mark, nothing pointed at.
    #[must_use]
    pub const fn of(show: &'a Show) -> Self {
        Self { show, only: None, active_mark: None, pointed: None, whole_cloth: false }
    }
}

/// The overlay in surface mm, for the aim in use.
#[must_use]
pub fn overlay(open: &OpenGarment, view: &View<'_>) -> Scene {
    let mut scene = cloth_overlay(open, view);
    scene.items.extend(aim_overlay(open, view).items);
    scene
}

/// The part of the overlay that lies on the cloth: pieces and print. Of the light it depends on [`steady_light`]
/// only, so that it stays as it is while a mark is nudged.
#[must_use]
pub fn cloth_overlay(open: &OpenGarment, view: &View<'_>) -> Scene {
    let mut scene = Scene::default();
    let (plan, show) = (open.plan(), view.show);
    let surface_from_cloth = open.stand().surface_from_cloth();
    let cloth = plan.cloth();
    let lit = open.aim().good.as_ref().filter(|_| !view.whole_cloth).map(steady_light);
    let amounts = open.evaluated().balance_line_amounts(plan);
    let one_way = cloth.is_some_and(Cloth::is_one_way);
    for place in &plan.lay {
        if view.only.is_some_and(|(piece, copy)| piece != &place.piece || copy != place.copy) {
            continue;
        }
        let Some(evaluated) = open.evaluated().piece(&place.piece) else {
            continue;
        };
        let how = how_on_cloth(&evaluated.altered, plan.on_table);
        let note = copy_note(place, how, &plan.size.to_string());
        let surface_from_piece = surface_from_cloth * place.cloth_from_piece(&evaluated.altered);
        let copy = CopyOfPiece {
            piece: &evaluated.altered,
            cutting_line: evaluated.cutting_path.as_ref(),
            margins: evaluated.margins(),
            how,
            note: &note,
            surface_from_piece,
            print_top: one_way.then(|| Vec2::from_angle(open.stand().turn_degrees.to_radians())),
            hold: open.why_not_cut(&place.piece).is_some(),
            lit,
        };
        add_copy(&mut scene, &copy, &amounts, show);
        if let Some(pointed) = view.pointed.filter(|pointed| pointed.piece == place.piece) {
            add_pointer(&mut scene, &evaluated.altered, surface_from_piece, pointed.at, show);
        }
    }
    if let Some(cloth) = cloth {
        // Without an aim all of the cloth is looked at.
        let on_cloth = lit.map_or(cloth.extent(), |lit| {
            let reach = 2.0 * STEADY_MM;
            surface_from_cloth.inverse().transform_rect_bbox(around(lit).inflate(reach, reach))
        });
        let under = under_words(&scene, cloth, (surface_from_cloth, on_cloth), show);
        scene.items.splice(0..0, under.items);
    }
    scene
}

/// The part of the overlay that moves with the light: the marks and the square that proves the scale.
#[must_use]
pub fn aim_overlay(open: &OpenGarment, view: &View<'_>) -> Scene {
    let mut scene = Scene::default();
    let Some(aim) = &open.aim().good else { return scene };
    if view.show.has(Layer::AimMarks) {
        add_marks(&mut scene, &mark_places(open, aim), view.active_mark, view.show);
    }
    if view.show.has(Layer::Proof)
        && let Some(centre) = picture_centre(aim)
    {
        add_proof(&mut scene, centre, view.show);
        // What was read belongs to the bars as they were lit then.
        let sheet = open.garment().aims.first().and_then(|aim| aim.proof.as_ref());
        let bars = sheet.map_or_else(|| aim.proof_bars(), ProofSheet::bars);
        add_bars(&mut scene, &bars, centre, view.show);
    }
    if view.show.has(Layer::ErrorMap)
        && let Some(map) = aim.error_map()
    {
        // Every other place of nine rows: more would cover the cloth with numbers.
        let rows = map.places().chunks(9).step_by(2);
        let places = rows.flat_map(|row| row.iter().step_by(2));
        let places: Vec<(Point, f64)> =
            places.map(|place| (inside(aim, place.picture), place.sigma_mm)).collect();
        add_error_map(&mut scene, &places, view.show);
    }
    scene
}

/// Where a place of the picture falls, drawn in a little towards the middle so that its number is lit.
fn inside(aim: &Aim, picture: Point) -> Point {
    /// How far, as part of the way to the middle.
    const PART: f64 = 0.06;
    let (width, height) = aim.picture_size();
    let middle = Point::new(0.5 * f64::from(width), 0.5 * f64::from(height));
    aim.cloth_of(picture.lerp(middle, PART)).unwrap_or_default()
}

/// Steps of a steady place, in mm: a nudge of a few px seldom changes it.
pub const STEADY_MM: f64 = 40.0;

/// Corners of a surface's quad that is surely lit, on a grid of [`STEADY_MM`]: words that are placed by it don't
/// jump about while the aim is nudged.
#[must_use]
pub fn steady_light(aim: &Aim) -> [Point; 4] {
    let lit = aim.lit_quad();
    let middle = around(lit).center();
    lit.map(|corner| {
        // As far inwards as rounding may lead outwards.
        let inward = |off: f64| off.clamp(-0.5 * STEADY_MM, 0.5 * STEADY_MM);
        let off = middle - corner;
        steady(corner + Vec2::new(inward(off.x), inward(off.y)))
    })
}

/// The place of the grid of [`STEADY_MM`] next to a place.
#[must_use]
pub fn steady(place: Point) -> Point {
    let round = |value: f64| (value / STEADY_MM).round() * STEADY_MM;
    Point::new(round(place.x), round(place.y))
}

fn around(quad: [Point; 4]) -> Rect {
    let [first, rest @ ..] = quad;
    rest.into_iter().fold(Rect::from_points(first, first), |all, place| all.union_pt(place))
}

fn how_on_cloth(piece: &Piece, cloth: ClothKind) -> HowCut {
    let of_cloth = piece.cuttings.iter().find(|cutting| cutting.cloth == cloth);
    of_cloth.or_else(|| piece.cuttings.first()).map_or(HowCut::Single, |cutting| cutting.how)
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

/// The print, its ticks kept off words, and the flaws.
fn under_words(
    scene: &Scene,
    cloth: &Cloth,
    (surface_from_cloth, view): (Affine, Rect),
    show: &Show,
) -> Scene {
    let reader_from_surface = Affine::rotate(-show.reading_angle);
    let boxes: Vec<Rect> = scene
        .items
        .iter()
        .filter_map(|item| match &item.shape {
            Shape::Label { words, at, height_mm, .. } => {
                Some(words_box(words, reader_from_surface * *at, *height_mm))
            }
            _ => None,
        })
        .map(|taken| taken.inflate(6.0 * show.sign_scale, 6.0 * show.sign_scale))
        .collect();
    let mut under = Scene::default();
    let is_taken = |place: Point| boxes.iter().any(|taken| taken.contains(reader_from_surface * place));
    add_print(&mut under, cloth, surface_from_cloth, view, show, &is_taken);
    add_flaws(&mut under, cloth, surface_from_cloth, view, show);
    under
}

/// A ring around a place on a piece, or its outline.
pub(super) fn add_pointer(
    scene: &mut Scene,
    piece: &Piece,
    surface_from_piece: Affine,
    at: Option<Point>,
    show: &Show,
) {
    /// Radius of the ring, in mm: a thumb's.
    const RING_MM: f64 = 15.0;
    let ring = match at {
        Some(at) => kurbo::Circle::new(surface_from_piece * at, RING_MM * show.sign_scale).to_path(1e-3),
        None => surface_from_piece * piece.outline(),
    };
    scene.items.push(Item { meaning: Meaning::Pointed, piece: None, shape: Shape::Stroke(ring) });
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
    // What a lens displaces is put right at the end, for the whole scene.
    let ideal = |picked: Point| aim.straightened(picked);
    measured.marks.iter().filter_map(|mark| cloth_from_picture.map(ideal(mark.picture.into()))).collect()
}

fn picture_centre(aim: &Aim) -> Option<Point> {
    let (width, height) = aim.picture_size();
    aim.surface_of(Point::new(0.5 * f64::from(width), 0.5 * f64::from(height)))
}

/// Upright rectangle around what the projector lights.
#[must_use]
pub fn lit_on_surface(aim: &Aim) -> Rect {
    around(aim.lit_quad())
}
