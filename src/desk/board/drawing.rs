//! The sheet of a drawing with what was understood over it.

use super::pages;
use crate::alter::{Allowances, cutting_line};
use crate::desk::Intake;
use crate::geometry::{BezPath, Point};
use crate::scene::{Item, Layer, Meaning, Scene, Shape, Show, printed_piece};
use kurbo::Shape as _;

/// Radius of the ring around the place that was pointed to, in mm at sign scale 1.
const RING_MM: f64 = 7.0;

/// The lines of the sheets faint, the pieces over them in the size that is looked at, the place that was pointed to.
pub(super) fn scene_of(intake: &Intake, unit_mm: f64, show: &Show) -> Scene {
    let mut scene = Scene::default();
    // One path: a sheet has many thousand lines.
    let mut lines = BezPath::new();
    let sheet = intake.shown();
    let strokes = sheet.into_iter().flat_map(|sheet| &sheet.groups).flat_map(|group| &group.strokes);
    let specks = sheet.into_iter().flat_map(|sheet| &sheet.specks);
    for curve in strokes.map(|stroke| &stroke.curve).chain(specks) {
        lines.move_to(curve.start());
        curve.append_to(&mut lines);
    }
    if !lines.elements().is_empty() {
        // At the pages nothing lies over the lines; they are what is looked at.
        let meaning = if intake.shows_pages() { Meaning::InnerLine } else { Meaning::Quiet };
        scene.items.push(Item { meaning, piece: None, shape: Shape::Stroke(lines) });
    }
    pages::add(&mut scene, intake, unit_mm);
    if let Some(imported) = intake.imported().filter(|_| !intake.shows_pages()) {
        let mut show = show.clone();
        show.layers.remove(&Layer::MirroredHalf);
        let allowances = Allowances::of(&imported.pattern);
        for piece in intake.pieces_shown() {
            let cutting = cutting_line(piece, &allowances).ok().map(|line| line.outline());
            scene.items.extend(printed_piece(piece, cutting.as_ref(), "", &show).items);
            for edge in &piece.edges {
                let corner = kurbo::Circle::new(edge.curve.start(), 1.6 * unit_mm).to_path(0.05);
                scene.items.push(Item {
                    meaning: Meaning::Notch,
                    piece: Some(piece.id.clone()),
                    shape: Shape::Fill(corner),
                });
            }
        }
    }
    for (place, radius) in [(intake.place, RING_MM), (intake.place_before, 0.5 * RING_MM)] {
        if let Some(place) = place {
            scene.items.push(ring(place, radius * unit_mm));
        }
    }
    scene
}

fn ring(at: Point, radius: f64) -> Item {
    let shape = Shape::Stroke(kurbo::Circle::new(at, radius).to_path(0.05));
    Item { meaning: Meaning::Pointed, piece: None, shape }
}
