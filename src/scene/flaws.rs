//! The flaws of the cloth: hatched, with their names, where the pieces keep off them.

use super::{Item, Layer, Meaning, Scene, Shape, Show};
use crate::cloth::{Cloth, Flaw, Ply};
use crate::geometry::{Affine, BezPath, Line, Point, Rect, Vec2};
use kurbo::{ParamCurve as _, Shape as _};

/// Distance of the hatching's lines, in mm at sign scale 1.
const HATCH_MM: f64 = 14.0;
/// A large flaw is hatched more coarsely: by so many lines at most.
const MOST_LINES: f64 = 200.0;
/// Height of a flaw's name, in mm at sign scale 1.
const NAME_MM: f64 = 10.0;

/// Adds every flaw that lies within `view` (on the cloth): its outline and a hatching at 45° to the cloth, and its
/// name above it. Of folded cloth those of both plies, for a cut goes through both.
pub fn add_flaws(scene: &mut Scene, cloth: &Cloth, surface_from_cloth: Affine, view: Rect, show: &Show) {
    if !show.has(Layer::Print) || cloth.strange_number().is_some() {
        return;
    }
    let mut push = |shape| scene.items.push(Item { meaning: Meaning::Flaw, piece: None, shape });
    for ply in cloth.plies() {
        for flaw in &cloth.flaws {
            let path = surface_from_cloth * hatched(flaw, &ply, HATCH_MM * show.sign_scale);
            if path.is_empty()
                || surface_from_cloth.transform_rect_bbox(view).intersect(path.bounding_box()).is_zero_area()
            {
                continue;
            }
            let reader_from_surface = Affine::rotate(-show.reading_angle);
            let bounds = (reader_from_surface * path.clone()).bounding_box();
            let height_mm = NAME_MM * show.sign_scale;
            let at =
                reader_from_surface.inverse() * Point::new(bounds.center().x, bounds.y1 + 0.5 * height_mm);
            push(Shape::Stroke(path));
            let words = if is_below(cloth, &ply, flaw) {
                format!("{}, on the ply below", flaw.what)
            } else {
                flaw.what.clone()
            };
            push(Shape::Label { words, at, height_mm, angle: show.reading_angle });
        }
    }
}

/// Whether another ply lies over a flaw.
fn is_below(cloth: &Cloth, ply: &Ply, flaw: &Flaw) -> bool {
    let table_from_sheet = ply.sheet_from_table.inverse();
    let is_double =
        |corner: &Point| cloth.double_area().is_some_and(|area| area.contains(table_from_sheet * *corner));
    cloth.seen_ply().is_some_and(|seen| seen != *ply) && flaw.outline.iter().any(is_double)
}

/// The outline and the hatching of a flaw as it lies on a ply, on the table; nothing where it is on another.
fn hatched(flaw: &Flaw, ply: &Ply, step: f64) -> BezPath {
    let table_from_sheet = ply.sheet_from_table.inverse();
    let corners: Vec<Point> = flaw.outline.iter().map(|corner| table_from_sheet * *corner).collect();
    let mut path = BezPath::new();
    if corners.len() < 3 {
        return path;
    }
    let sides = corners.iter().zip(corners.iter().cycle().skip(1)).map(|(a, b)| Line::new(*a, *b));
    for line in sides.chain(hatching(&corners, step)).filter_map(|line| clipped(line, ply.area)) {
        path.move_to(line.p0);
        path.line_to(line.p1);
    }
    path
}

/// The lines at 45° inside a polygon.
fn hatching(corners: &[Point], step: f64) -> Vec<Line> {
    let turn = Affine::rotate(-std::f64::consts::FRAC_PI_4);
    let turned: Vec<Point> = corners.iter().map(|corner| turn * *corner).collect();
    let heights = turned.iter().map(|corner| corner.y);
    let (low, high) =
        heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), y| (low.min(y), high.max(y)));
    let step = step.max((high - low) / MOST_LINES);
    let mut lines = Vec::new();
    // Counted from the table's origin, so that flaws side by side are hatched alike.
    let mut number = (low / step).floor();
    while step > 0.0 && number * step <= high {
        let y = number * step;
        let sides = turned.iter().zip(turned.iter().cycle().skip(1));
        let crossed = sides.filter(|(a, b)| (a.y > y) != (b.y > y));
        let mut places: Vec<f64> =
            crossed.map(|(a, b)| a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x)).collect();
        places.sort_by(f64::total_cmp);
        for pair in places.chunks_exact(2).filter(|pair| pair[0] < pair[1]) {
            let ends = [pair[0], pair[1]].map(|x| turn.inverse() * Point::new(x, y));
            lines.push(Line::new(ends[0], ends[1]));
        }
        number += 1.0;
    }
    lines
}

/// What of a line lies in a rectangle (after Liang and Barsky, *A New Concept and Method for Line Clipping*, ACM
/// Transactions on Graphics 3, 1984).
fn clipped(line: Line, area: Rect) -> Option<Line> {
    let way: Vec2 = line.p1 - line.p0;
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let sides = [
        (-way.x, line.p0.x - area.x0),
        (way.x, area.x1 - line.p0.x),
        (-way.y, line.p0.y - area.y0),
        (way.y, area.y1 - line.p0.y),
    ];
    for (towards, room) in sides {
        if towards == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if towards < 0.0 {
            from = from.max(room / towards);
        } else {
            to = to.min(room / towards);
        }
    }
    (from < to).then(|| Line::new(line.eval(from), line.eval(to)))
}
