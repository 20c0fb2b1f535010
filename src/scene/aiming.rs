//! What is shown while aiming: the marks, and the square that a tape proves.

use super::signs;
use super::{Item, Meaning, Scene, Shape, Show};
use crate::geometry::{BezPath, Point, Vec2};
use kurbo::{Circle, Shape as _};

/// Arm of a mark's cross, in mm.
const MARK_ARM_MM: f64 = 20.0;
/// Radius of a mark's ring, in mm.
const MARK_RING_MM: f64 = 10.0;
/// Side of the proof square, in mm.
pub const PROOF_SIDE_MM: f64 = 100.0;
/// Height of the words, in mm.
const WORDS_MM: f64 = 12.0;

fn stroke(meaning: Meaning, path: BezPath) -> Item {
    Item { meaning, piece: None, shape: Shape::Stroke(path) }
}

/// Adds the marks of an aim at their places on the surface, numbered from 1; the active one is stronger.
pub fn add_marks(scene: &mut Scene, places: &[Point], active: Option<usize>, show: &Show) {
    let (reading_angle, scale) = (show.reading_angle, show.sign_scale);
    let arm = scale * MARK_ARM_MM;
    let along = Vec2::from_angle(reading_angle);
    let up = Vec2::new(-along.y, along.x);
    for (index, &at) in places.iter().enumerate() {
        let meaning = if active == Some(index) { Meaning::ActiveMark } else { Meaning::Mark };
        scene.items.push(stroke(meaning, signs::cross(at, along, arm)));
        scene.items.push(stroke(Meaning::Mark, Circle::new(at, scale * MARK_RING_MM).to_path(1e-3)));
        let beside = at + 1.3 * arm * along + 0.6 * arm * up;
        let shape = Shape::Label {
            words: (index + 1).to_string(),
            at: beside,
            height_mm: scale * WORDS_MM,
            angle: reading_angle,
        };
        scene.items.push(Item { meaning: Meaning::Mark, piece: None, shape });
    }
}

/// Adds the proof square around a place, its sides along the surface's axes.
pub fn add_proof(scene: &mut Scene, centre: Point, show: &Show) {
    let (reading_angle, scale) = (show.reading_angle, show.sign_scale);
    let half = 0.5 * PROOF_SIDE_MM;
    let square = kurbo::Rect::new(centre.x - half, centre.y - half, centre.x + half, centre.y + half);
    scene.items.push(stroke(Meaning::Proof, square.to_path(1e-3)));
    let words = format!("{PROOF_SIDE_MM:.0} mm");
    // Inside the square where the words fit in, else below it.
    let below = if scale > 1.3 { half + 1.6 * scale * WORDS_MM } else { 0.5 * scale * WORDS_MM };
    let at = centre - below * Vec2::from_angle(reading_angle + std::f64::consts::FRAC_PI_2);
    scene.items.push(Item {
        meaning: Meaning::Proof,
        piece: None,
        shape: Shape::Label { words, at, height_mm: scale * WORDS_MM, angle: reading_angle },
    });
}
