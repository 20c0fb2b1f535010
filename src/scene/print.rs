//! The cloth's edges and the nodes of its repeat.

use super::clear::holds;
use super::signs;
use super::{Item, Layer, Meaning, Scene, Shape, Show};
use crate::cloth::{Cloth, Print};
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
        scene.items.push(Item { meaning, piece: None, shape });
    };
    push(Meaning::ClothEdge, extent.to_path(1e-3));
    let seen = extent.intersect(view);
    if seen.is_zero_area() {
        return;
    }
    let mut ticks = BezPath::new();
    let nodes = nodes(cloth, seen);
    for node in nodes.into_iter().filter(|node| !is_taken(surface_from_cloth * *node)) {
        ticks.extend(signs::cross(node, Vec2::new(1.0, 0.0), show.sign_scale.min(LARGEST_TICKS) * TICK_MM));
    }
    if !ticks.is_empty() {
        push(Meaning::PrintNode, ticks);
    }
}

/// The nodes on the table: those of the ply that is seen, turned as the print is.
fn nodes(cloth: &Cloth, seen: Rect) -> Vec<Point> {
    nodes_every(cloth, seen, TICKS_EVERY_MM, false)
}

/// The same; along a bar of bars one way a node every so many mm, unless straight bars may have them at their ends.
fn nodes_every(cloth: &Cloth, seen: Rect, every_mm: f64, always: bool) -> Vec<Point> {
    let (Some(print), Some(ply)) = (cloth.sound_print(), cloth.seen_ply()) else {
        return Vec::new();
    };
    let seen = seen.intersect(ply.area);
    let print_from_table = print.print_from_sheet() * ply.sheet_from_table;
    let on_print = nodes_on_print(print, print_from_table.transform_rect_bbox(seen), every_mm, always);
    // A node on the very edge counts, rounded as it may be by the way there and back.
    let within = seen.inflate(1e-6, 1e-6);
    let on_table = on_print.into_iter().map(|node| print_from_table.inverse() * node);
    on_table.filter(|&node| within.contains(node)).collect()
}

fn nodes_on_print(print: &Print, seen: Rect, every_mm: f64, always: bool) -> Vec<Point> {
    if let Some(motif) = &print.motif {
        return motif.nodes_in(seen);
    }
    let lengthwise =
        print.lengthwise.as_ref().map(|bars| repeats(bars.start_mm, bars.period_mm(), seen.y0, seen.y1));
    let crosswise =
        print.crosswise.as_ref().map(|bars| repeats(bars.start_mm, bars.period_mm(), seen.x0, seen.x1));
    // Bars one way only: ticks where the eye can follow the bar, at both ends of what is seen; of a print at an
    // angle those lie beyond, and ticks come every so often.
    let along = |from: f64, to: f64| {
        if print.angle_degrees == 0.0 && !always { vec![from, to] } else { repeats(0.0, every_mm, from, to) }
    };
    let (xs, ys) = match (lengthwise, crosswise) {
        (Some(ys), Some(xs)) => (xs, ys),
        (Some(ys), None) => (along(seen.x0, seen.x1), ys),
        (None, Some(xs)) => (xs, along(seen.y0, seen.y1)),
        (None, None) => return Vec::new(),
    };
    xs.iter().flat_map(|&x| ys.iter().map(move |&y| Point::new(x, y))).collect()
}

/// Distance of ticks along a bar that runs at an angle, in mm.
const TICKS_EVERY_MM: f64 = 200.0;

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

/// Room that a light of the print wants to the edge of what is lit, in mm.
const INSIDE_MM: f64 = 40.0;

/// Three nodes of the print in use that lie within the light, as far apart as may be: one, one on its row along the
/// cloth, one in its column across; on the sheet. `None` where the light or the cloth shows too little of it.
#[must_use]
pub fn print_places(cloth: &Cloth, surface_from_cloth: Affine, lit: &[Point; 4]) -> Option<[Point; 3]> {
    /// Nodes of one row differ by less across the print, in mm.
    const IN_ROW_MM: f64 = 0.01;
    let (print, ply) = (cloth.sound_print()?, cloth.seen_ply()?);
    let [first, rest @ ..] = lit;
    let bounds = rest.iter().fold(Rect::from_points(*first, *first), |all, corner| all.union_pt(*corner));
    let seen = surface_from_cloth.inverse().transform_rect_bbox(bounds.inset(-INSIDE_MM));
    let is_lit = |node: &Point| {
        let at = surface_from_cloth * *node;
        let around = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
        around.iter().all(|(x, y)| holds(lit, at + INSIDE_MM * Vec2::new(*x, *y)))
    };
    let to_print = print.print_from_sheet() * ply.sheet_from_table;
    let inside = cloth.extent().intersect(seen);
    if inside.is_zero_area() {
        return None;
    }
    let lit_nodes = nodes_every(cloth, inside, ALONG_BARS_MM, true).into_iter().filter(is_lit);
    let nodes: Vec<Point> = lit_nodes.map(|node| to_print * node).collect();
    let low = nodes.iter().copied().reduce(|a, b| Point::new(a.x.min(b.x), a.y.min(b.y)))?;
    let mut starts = nodes.clone();
    starts.sort_by(|a, b| a.distance_squared(low).total_cmp(&b.distance_squared(low)));
    // A few starts near the corner are enough: of them one has the longest row and column.
    let triples = starts.iter().take(MOST_STARTS).filter_map(|&start| {
        let row = nodes.iter().filter(|node| (node.y - start.y).abs() < IN_ROW_MM);
        let column = nodes.iter().filter(|node| (node.x - start.x).abs() < IN_ROW_MM);
        let along = row.copied().max_by(|a, b| a.x.total_cmp(&b.x))?;
        let across = column.copied().max_by(|a, b| a.y.total_cmp(&b.y))?;
        let least = (along.x - start.x).min(across.y - start.y);
        (least > LEAST_APART_MM).then_some((least, [start, along, across]))
    });
    let (_, triple) = triples.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let sheet_from_print = print.print_from_sheet().inverse();
    Some(triple.map(|node| sheet_from_print * node))
}

/// Distance of places along a bar that has no marks of its own, in mm.
const ALONG_BARS_MM: f64 = 50.0;

/// Nodes that are tried as the first of three.
const MOST_STARTS: usize = 24;

/// Nodes closer than this give no repeat, in mm.
const LEAST_APART_MM: f64 = 100.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cloth::{Bar, Bars, Colour, Motif, MotifWay, Plies, RightSides};

    fn cloth(print: Print) -> Cloth {
        let (width, length) = ("100 cm".parse().unwrap(), "1000 mm".parse().unwrap());
        let mut cloth = Cloth::plain("cloth", width, length, Colour([0; 3]));
        cloth.print = Some(print);
        cloth
    }

    /// One node of a wide repeat lies at (300, 420) on the sheet. Folded along y = 500 right sides in, the ply on
    /// top is the turned one, where it lies 80 mm from the fold; right sides out it lies below and is not seen.
    #[test]
    fn the_repeat_is_that_of_the_ply_that_is_seen() {
        let mut cloth = cloth(Print {
            motif: Some(Motif {
                origin: Point::new(300.0, 420.0),
                steps: [Vec2::new(2000.0, 0.0), Vec2::new(0.0, 2000.0)],
                way: MotifWay::TwoWay,
                mirrors: true,
            }),
            ..Print::default()
        });
        let seen = Rect::new(0.0, 0.0, 1000.0, 1000.0);
        assert_eq!(nodes(&cloth, seen), [Point::new(300.0, 420.0)]);
        for (right_sides, expected) in
            [(RightSides::In, vec![Point::new(300.0, 80.0)]), (RightSides::Out, Vec::new())]
        {
            cloth.plies = Plies::FoldedLengthwise { right_sides };
            assert_eq!(nodes(&cloth, seen), expected);
        }
    }

    #[test]
    fn ticks_of_bars_at_an_angle_lie_on_the_bars() {
        let print = Print {
            lengthwise: Some(Bars::new(
                20.0,
                vec![Bar { width_mm: 10.0, gap_mm: 90.0, colour: Colour([9; 3]) }],
            )),
            angle_degrees: 30.0,
            ..Print::default()
        };
        let found = nodes(&cloth(print.clone()), Rect::new(0.0, 0.0, 1000.0, 1000.0));
        assert!(found.len() > 20);
        for node in found {
            let off = (print.print_from_sheet() * node).y - 20.0;
            assert!((off - (off / 100.0).round() * 100.0).abs() < 1e-6, "{node:?}");
        }
    }
}
