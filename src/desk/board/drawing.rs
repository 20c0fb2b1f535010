//! The sheet of a drawing with what was understood over it.

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
    for stroke in intake.sheets.iter().flat_map(|sheet| &sheet.groups).flat_map(|group| &group.strokes) {
        lines.move_to(stroke.curve.start());
        stroke.curve.append_to(&mut lines);
    }
    if !lines.elements().is_empty() {
        scene.items.push(Item { meaning: Meaning::Quiet, piece: None, shape: Shape::Stroke(lines) });
    }
    if let Some(imported) = intake.imported() {
        let mut show = show.clone();
        show.layers.remove(&Layer::MirroredHalf);
        let allowances = Allowances::of(&imported.pattern);
        for sized in &imported.pattern.pieces {
            let Some(piece) = sized.by_size.get(intake.size).or_else(|| sized.by_size.last()) else {
                continue;
            };
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
