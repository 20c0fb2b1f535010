//! The yes or no of a place, asked of all pieces at once: jagua-rs's collision engine, a quadtree over their edges.
//!
//! It needs nothing made for pairs of pieces, so that it answers at once where there are many different ones; it does
//! not say how deep two overlap, and takes some four times as long as a look into a table of `field`. It reckons in f32 and counts touching as a collision: every piece is therefore widened by half the gap
//! and [`WIDENED_MM`], as the sum of its outline with a polygon around a circle, so that what it calls free is free.
//! Edges of the cloth and the fold are not its business; they are kept by `freedom`, in f64.

use super::layout::Layout;
use super::model::{Kind, Model, Shape};
use super::no_fit;
use super::polygon::{Node, twice_area, vector};
use crate::geometry::{Point, Rect, Vec2};
use jagua_rs::collision_detection::hazards::filter::HazardFilter;
use jagua_rs::collision_detection::hazards::{HazKey, Hazard, HazardEntity};
use jagua_rs::collision_detection::{CDEConfig, CDEngine};
use jagua_rs::geometry::Transformation;
use jagua_rs::geometry::fail_fast::SPSurrogateConfig;
use jagua_rs::geometry::geo_enums::GeoPosition;
use jagua_rs::geometry::geo_traits::{Transformable as _, TransformableFrom as _};
use jagua_rs::geometry::primitives::{Point as Corner, Rect as Box32, SPolygon};
use std::sync::Arc;

/// Room added round each piece, in mm: a step of f32 is 0.001 mm at 16 m, and both pieces are rounded.
const WIDENED_MM: f64 = 0.004;

/// Corners of the polygon around a circle, where there is a gap to keep: it is 1.7 % wider at its corners.
const ROUND_CORNERS: u32 = 16;

/// Room round the cloth in which the engine still knows its way, in mm.
const MARGIN_MM: f64 = 100.0;

/// Halvings of the cloth, and edges in a leaf that are looked at without going on.
const DEPTH: u8 = 7;
const EDGES_A_LEAF: u8 = 16;

/// Circles inside each piece that are asked before its edges: a dozen cover most of it.
const CIRCLES: SPSurrogateConfig = SPSurrogateConfig {
    n_pole_limits: [(12, 0.0), (8, 0.75), (5, 0.9)],
    ff_pole_area_ratio: 0.8,
    n_ff_piers: 0,
};

/// What lies on the cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Lying {
    Beyond,
    Piece(usize),
}

impl HazardEntity for Lying {
    fn scope(&self) -> GeoPosition {
        match self {
            Self::Beyond => GeoPosition::Exterior,
            Self::Piece(_) => GeoPosition::Interior,
        }
    }

    fn is_dynamic(&self) -> bool {
        matches!(self, Self::Piece(_))
    }
}

/// Leaves out what lies from a number on: flaws come after all pieces.
struct From(usize);

impl HazardFilter<Lying> for From {
    fn is_irrelevant(&self, _: HazKey, lying: &Lying) -> bool {
        matches!(lying, Lying::Piece(piece) if *piece >= self.0)
    }
}

/// All pieces that lie, as the engine sees them.
#[derive(Debug, Clone)]
pub(super) struct Quadtree {
    engine: CDEngine<Lying>,
    /// Each kind's shapes, widened, about their middle.
    solids: Arc<Vec<Vec<SPolygon>>>,
    /// A copy of each that is moved about.
    moving: Vec<Vec<SPolygon>>,
    /// From which number on what lies is none of a kind's business.
    blind_from: Arc<Vec<usize>>,
    extent: Rect,
}

impl Quadtree {
    /// An empty cloth up to a length. `None` when the engine can't take some outline.
    pub(super) fn new(model: &Model, length: f64) -> Option<Self> {
        let mut made: Vec<((usize, i32, i32), SPolygon)> = Vec::new();
        let mut solid = |shape: &Shape| {
            let [x, y] = [shape.sign.x, shape.sign.y].map(|sign| if sign < 0.0 { -1 } else { 1 });
            if let Some((_, known)) = made.iter().find(|(key, _)| *key == (shape.base, x, y)) {
                return Some(known.clone());
            }
            let polygon = match made.iter().find(|(key, _)| *key == (shape.base, -x, -y)) {
                // Circles inside are dear to find; a half turn keeps them.
                Some((_, turned)) => {
                    turned.transform_clone(&Transformation::from_rotation(std::f32::consts::PI))
                }
                None => widened(&model.bases[shape.base].outline.signed(x, y), model)?,
            };
            made.push(((shape.base, x, y), polygon.clone()));
            Some(polygon)
        };
        let solids: Option<Vec<Vec<SPolygon>>> =
            model.kinds.iter().map(|kind| kind.shapes.iter().map(&mut solid).collect()).collect();
        let solids = Arc::new(solids?);
        let moving = solids.to_vec();
        let pinned = model.kinds.iter().filter_map(|kind| Some((kind.pinned?, kind.shapes.first()?.half)));
        let extent = pinned.fold(Rect::new(model.min_x, 0.0, length, model.width), |extent, (at, half)| {
            extent.union(Rect::from_points(at - half, at + half))
        });
        // A piece that reaches over an edge is still told apart from the others.
        let halves = model.kinds.iter().flat_map(|kind| kind.shapes.iter().map(|shape| shape.half.hypot()));
        let room = MARGIN_MM + model.gap + 2.0 * halves.fold(0.0, f64::max);
        let extent = extent.inflate(room, room);
        let engine = engine(extent)?;
        let over_flaws = |kind: &Kind| {
            let mut bases = kind.shapes.iter().map(|shape| &model.bases[shape.base]);
            if bases.any(|base| base.over_flaws) { model.wanted } else { usize::MAX }
        };
        let blind_from = Arc::new(model.kinds.iter().map(over_flaws).collect());
        Some(Self { engine, solids, moving, blind_from, extent })
    }

    /// The same pieces, and nothing lying yet on cloth up to a length.
    pub(super) fn emptied(&self, length: f64) -> Option<Self> {
        let extent = Rect { x1: length.max(self.extent.x1), ..self.extent };
        Some(Self { engine: engine(extent)?, extent, ..self.clone() })
    }

    /// Lays a piece down where the layout has it.
    pub(super) fn lay(&mut self, model: &Model, layout: &Layout, piece: usize) {
        let solid = &self.solids[model.pieces[piece]][layout.shapes[piece]];
        let shape = Arc::new(solid.transform_clone(&shift(layout.at[piece])));
        self.engine.register_hazard(Hazard::new(Lying::Piece(piece), shape));
    }

    /// Takes a piece up again.
    pub(super) fn take_up(&mut self, piece: usize) {
        if let Some(key) = self.engine.haz_key(&Lying::Piece(piece)) {
            self.engine.deregister_hazard_by_key(key);
        }
    }

    /// Whether a shape of a kind, its middle at a place, is clear of all that lies.
    pub(super) fn is_free(&mut self, kind: usize, shape: usize, at: Point) -> bool {
        let (solid, moving) = (&self.solids[kind][shape], &mut self.moving[kind][shape]);
        let (shift, filter) = (shift(at), From(self.blind_from[kind]));
        if self.engine.detect_surrogate_collision(solid.surrogate(), &shift, &filter) {
            return false;
        }
        moving.transform_from(solid, &shift);
        !self.engine.detect_poly_collision(moving, &filter)
    }
}

/// An engine for a rectangle in which nothing lies.
fn engine(extent: Rect) -> Option<CDEngine<Lying>> {
    let inner = extent.inflate(-0.5 * MARGIN_MM, -0.5 * MARGIN_MM);
    let beyond = Hazard::new(Lying::Beyond, Arc::new(SPolygon::from(box32(inner)?)));
    let config =
        CDEConfig { quadtree_depth: DEPTH, cd_threshold: EDGES_A_LEAF, item_surrogate_config: CIRCLES };
    Some(CDEngine::new(box32(extent)?, vec![beyond], config))
}

#[expect(clippy::cast_possible_truncation, reason = "a hundredth of a millimetre is kept free for it")]
fn box32(rect: Rect) -> Option<Box32> {
    Box32::try_new(rect.x0 as f32, rect.y0 as f32, rect.x1 as f32, rect.y1 as f32).ok()
}

#[expect(clippy::cast_possible_truncation, reason = "a hundredth of a millimetre is kept free for it")]
fn shift(to: Point) -> Transformation {
    Transformation::from_translation((to.x as f32, to.y as f32))
}

/// An outline with room all round. What the engine can't take as it is, it is given as a rectangle, which only leaves
/// more room.
fn widened(outline: &[Node], model: &Model) -> Option<SPolygon> {
    let (corners, radius) = if model.gap > 0.0 {
        let half = std::f64::consts::PI / f64::from(ROUND_CORNERS);
        (ROUND_CORNERS, (0.5 * model.gap + WIDENED_MM) / half.cos())
    } else {
        (4, WIDENED_MM * std::f64::consts::SQRT_2)
    };
    let round = (0..corners).map(|n| {
        let turn = std::f64::consts::TAU * (f64::from(n) + 0.5) / f64::from(corners);
        let corner = Vec2::from_angle(turn) * radius * model.units;
        #[expect(clippy::cast_possible_truncation, reason = "half a gap")]
        Node::new(corner.x.round() as i32, corner.y.round() as i32)
    });
    let contours = no_fit::sum(outline, &round.collect::<Vec<Node>>());
    let points = contours.into_iter().map(|contour| {
        let points: Vec<Vec2> = contour.into_iter().map(|node| vector(node, model.units)).collect();
        (twice_area(&points), points)
    });
    let (_, points) = points.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let bounds = points.iter().fold(Rect::ZERO, |bounds, p| bounds.union_pt(p.to_point()));
    let polygon = SPolygon::new(corners32(&points)).ok();
    let mut polygon = polygon.or_else(|| Some(SPolygon::from(box32(bounds)?)))?;
    polygon.generate_surrogate(CIRCLES).ok()?;
    Some(polygon)
}

/// Corners in f32, none twice.
fn corners32(points: &[Vec2]) -> Vec<Corner> {
    #[expect(clippy::cast_possible_truncation, reason = "a hundredth of a millimetre is kept free for it")]
    let mut corners: Vec<Corner> = points.iter().map(|p| Corner(p.x as f32, p.y as f32)).collect();
    corners.dedup();
    if corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    corners
}
