//! Flaws on the board that lie off the cloth, and the one that is being drawn.

use crate::cloth::{Cloth, Ply};
use crate::desk::FlawDrawing;
use crate::geometry::{Affine, BezPath, Point};
use crate::scene::{Item, Meaning, Scene, Shape};
use kurbo::Shape as _;

/// Radius of the dot at a corner that was clicked, in mm at sign scale 1.
const DOT_MM: f64 = 4.0;
/// Height of a flaw's name, in mm at sign scale 1.
const NAME_MM: f64 = 12.0;

pub(super) fn add_flaws(
    scene: &mut Scene,
    cloth: &Cloth,
    drawn: Option<&FlawDrawing>,
    surface_from_table: Affine,
    unit_mm: f64,
) {
    let plies = cloth.plies();
    let mut push = |meaning, shape| scene.items.push(Item { meaning, piece: None, shape });
    for flaw in &cloth.flaws {
        let lies_on = |ply: &Ply| {
            let table = ply.sheet_from_table.inverse();
            flaw.outline.iter().any(|corner| ply.area.contains(table * *corner))
        };
        // Those on the cloth are part of what is lit.
        let Some(ply) = plies.first().filter(|_| !plies.iter().any(lies_on)) else { continue };
        let surface_from_sheet = surface_from_table * ply.sheet_from_table.inverse();
        let outline = line(&flaw.outline, surface_from_sheet, true);
        let at = outline.bounding_box().center();
        push(Meaning::Flaw, Shape::Stroke(outline));
        let words = flaw.what.clone();
        push(Meaning::Flaw, Shape::Label { words, at, height_mm: NAME_MM * unit_mm, angle: 0.0 });
    }
    let Some(drawn) = drawn else { return };
    // Corners may lie beyond the cloth, or on either ply: each is shown where it was clicked.
    let shown: Vec<Point> = drawn.corners().iter().map(|corner| on_table(cloth, *corner)).collect();
    for corner in &shown {
        let dot = kurbo::Circle::new(surface_from_table * *corner, DOT_MM * unit_mm).to_path(0.05);
        push(Meaning::Pointed, Shape::Fill(dot));
    }
    push(Meaning::Pointed, Shape::Stroke(line(&shown, surface_from_table, false)));
}

/// Where a place of the sheet is seen on the table.
fn on_table(cloth: &Cloth, on_sheet: Point) -> Point {
    let plies = cloth.plies();
    let places = plies.iter().rev().map(|ply| (ply, ply.sheet_from_table.inverse() * on_sheet));
    let mut places = places.collect::<Vec<_>>();
    places.sort_by_key(|(ply, place)| !ply.area.contains(*place));
    places.first().map_or(on_sheet, |(_, place)| *place)
}

fn line(corners: &[Point], motion: Affine, close: bool) -> BezPath {
    let mut path = BezPath::new();
    for (index, corner) in corners.iter().enumerate() {
        if index == 0 {
            path.move_to(motion * *corner);
        } else {
            path.line_to(motion * *corner);
        }
    }
    if close && !corners.is_empty() {
        path.close_path();
    }
    path
}
