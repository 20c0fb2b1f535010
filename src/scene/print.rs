//! The cloth's edges and the nodes of its repeat.

use super::signs;
use super::{Item, Layer, Meaning, Scene, Shape, Show};
use crate::cloth::Cloth;
use crate::geometry::{Affine, BezPath, Point, Rect, Vec2};
use kurbo::Shape as _;

/// Arm of the tick at a node, in mm.
const TICK_MM: f64 = 6.0;

/// Ticks grow with other signs up to here: a repeat of 100 mm would else be a mesh.
const LARGEST_TICKS: f64 = 2.0;

/// Adds the cloth's edges and a tick at each node of its repeat within `view` (on the cloth): the nodes of the
/// motif, else the starts of the bars' repeats along the cloth's edges. No tick is set where `is_taken` says that
/// the place on the surface is.
pub fn add_print(
    scene: &mut Scene,
    cloth: &Cloth,
    surface_from_cloth: Affine,
    view: Rect,
    show: &Show,
    is_taken: &dyn Fn(Point) -> bool,
) {
    if !show.has(Layer::Print) {
        return;
    }
    let extent = cloth.extent();
    let mut push = |meaning, path: BezPath| {
        let shape = Shape::Stroke(surface_from_cloth * path);
        scene.items.push(Item {
            meaning,
            piece: None,
            shape,
        });
    };
    push(Meaning::ClothEdge, extent.to_path(1e-3));
    let seen = extent.intersect(view);
    if seen.is_zero_area() {
        return;
    }
    let mut ticks = BezPath::new();
    let nodes = nodes(cloth, seen);
    for node in nodes
        .into_iter()
        .filter(|node| !is_taken(surface_from_cloth * *node))
    {
        ticks.extend(signs::cross(
            node,
            Vec2::new(1.0, 0.0),
            show.sign_scale.min(LARGEST_TICKS) * TICK_MM,
        ));
    }
    if !ticks.is_empty() {
        push(Meaning::PrintNode, ticks);
    }
}

fn nodes(cloth: &Cloth, seen: Rect) -> Vec<Point> {
    let Some(print) = &cloth.print else {
        return Vec::new();
    };
    if let Some(motif) = &print.motif {
        return motif.nodes_in(seen);
    }
    let lengthwise = print
        .lengthwise
        .as_ref()
        .map(|bars| repeats(bars.start_mm, bars.period_mm(), seen.y0, seen.y1));
    let crosswise = print
        .crosswise
        .as_ref()
        .map(|bars| repeats(bars.start_mm, bars.period_mm(), seen.x0, seen.x1));
    match (lengthwise, crosswise) {
        (Some(ys), Some(xs)) => xs
            .iter()
            .flat_map(|&x| ys.iter().map(move |&y| Point::new(x, y)))
            .collect(),
        // Bars one way only: ticks at both ends of what is seen, where the eye can follow the bar.
        (Some(ys), None) => ys
            .iter()
            .flat_map(|&y| [seen.x0, seen.x1].map(|x| Point::new(x, y)))
            .collect(),
        (None, Some(xs)) => xs
            .iter()
            .flat_map(|&x| [seen.y0, seen.y1].map(|y| Point::new(x, y)))
            .collect(),
        (None, None) => Vec::new(),
    }
}

/// Starts of repeats between two places; none when the period is no positive number or absurdly small.
fn repeats(start: f64, period: f64, from: f64, to: f64) -> Vec<f64> {
    /// Less than a thread.
    const SMALLEST_PERIOD_MM: f64 = 1.0;
    if !period.is_finite() || period < SMALLEST_PERIOD_MM || !start.is_finite() {
        return Vec::new();
    }
    let mut place = start + ((from - start) / period).ceil() * period;
    let mut places = Vec::new();
    while place <= to {
        places.push(place);
        place += period;
    }
    places
}
