//! Outlines on a fine whole-number grid.
//!
//! No-fit polygons are computed on whole numbers, so that two outlines that touch along an edge touch exactly.
//! An outline is centred on its bounding box first; one unit is a power of two of a millimetre, about 4·10⁻⁶ mm
//! for a piece of two metres.

use crate::geometry::{Point, Vec2};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;

/// A point on the grid.
pub(super) type Node = IntPoint<i32>;

/// Largest coordinate of a centred outline, in units: sums of two stay inside the kernel's ±2³⁰.
const LARGEST: f64 = (1_u32 << 28) as f64;

/// Finest unit, 2⁻²⁰ mm: far below what the checker asks for.
const MOST_UNITS_A_MM: f64 = (1_u32 << 20) as f64;

/// A closed outline, counter-clockwise, centred on its bounding box.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Outline {
    /// The corners in mm.
    pub(super) points: Vec<Vec2>,
    /// The same on the grid.
    pub(super) nodes: Vec<Node>,
    /// Half the extents of the bounding box in mm.
    pub(super) half: Vec2,
    /// Area in mm².
    pub(super) area: f64,
}

/// How many units a millimetre has, for outlines up to the given half extent.
pub(super) fn units_a_mm(largest_half: f64) -> f64 {
    let most = (LARGEST / largest_half.max(1e-3)).log2().floor().exp2();
    most.min(MOST_UNITS_A_MM)
}

/// Middle of the bounding box and half its extents.
pub(super) fn middle_and_half(points: &[Vec2]) -> (Vec2, Vec2) {
    let (mut low, mut high) =
        (Vec2::new(f64::INFINITY, f64::INFINITY), Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY));
    for p in points {
        low = Vec2::new(low.x.min(p.x), low.y.min(p.y));
        high = Vec2::new(high.x.max(p.x), high.y.max(p.y));
    }
    ((low + high) / 2.0, (high - low) / 2.0)
}

/// Twice the signed area.
pub(super) fn twice_area(points: &[Vec2]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points.iter().zip(next).map(|(a, b)| a.cross(*b)).sum()
}

impl Outline {
    /// An outline from points centred on their bounding box. Loops and spikes are cleared away; of several
    /// parts the largest stays. `None` when nothing with an area is left.
    pub(super) fn new(given: &[Vec2], units_a_mm: f64) -> Option<Self> {
        let contour: Vec<Node> = given.iter().map(|p| node(*p, units_a_mm)).collect();
        let largest = inside_of(&[contour])
            .into_iter()
            .map(|contour| {
                let points: Vec<Vec2> = contour.iter().map(|n| vector(*n, units_a_mm)).collect();
                (twice_area(&points) / 2.0, points, contour)
            })
            .max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))?;
        let (area, mut points, mut nodes) = largest;
        if area < 0.0 {
            points.reverse();
            nodes.reverse();
        }
        // A spike has no area, and yet must not reach over an edge.
        let (_, half) = middle_and_half(given);
        (area.abs() > 0.0 && nodes.len() >= 3).then(|| Self { points, nodes, half, area: area.abs() })
    }

    /// The outline mirrored by signs, still counter-clockwise.
    pub(super) fn signed(&self, x: i32, y: i32) -> Vec<Node> {
        let mut nodes: Vec<Node> = self.nodes.iter().map(|n| Node::new(n.x * x, n.y * y)).collect();
        if x * y < 0 {
            nodes.reverse();
        }
        nodes
    }
}

#[expect(clippy::cast_possible_truncation, reason = "coordinates were bounded by the choice of the unit")]
fn node(p: Vec2, units_a_mm: f64) -> Node {
    Node::new((p.x * units_a_mm).round() as i32, (p.y * units_a_mm).round() as i32)
}

/// Back to mm.
pub(super) fn vector(n: Node, units_a_mm: f64) -> Vec2 {
    Vec2::new(f64::from(n.x) / units_a_mm, f64::from(n.y) / units_a_mm)
}

/// Everything inside closed walks, as contours: outer ones counter-clockwise, holes clockwise.
pub(super) fn inside_of(walks: &[Vec<Node>]) -> Vec<Vec<Node>> {
    let mut overlay = Overlay::new(walks.iter().map(Vec::len).sum());
    for walk in walks {
        overlay.add_contour(walk, ShapeType::Subject);
    }
    let shapes = overlay.overlay(OverlayRule::Subject, FillRule::NonZero);
    shapes.into_iter().flatten().collect()
}

/// Whether a point is finite and not absurd.
pub(super) fn is_sane(p: Point) -> bool {
    let largest = crate::geometry::tolerance::LARGEST_COORDINATE_MM;
    p.x.is_finite() && p.y.is_finite() && p.x.abs() <= largest && p.y.abs() <= largest
}
