//! What is shown while aiming: the marks, and the square that a tape proves.

use super::signs;
use super::{Item, Meaning, Scene, Shape};
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
    Item {
        meaning,
        piece: None,
        shape: Shape::Stroke(path),
    }
}

/// Adds the marks of an aim at their places on the surface, numbered from 1; the active one is stronger.
pub fn add_marks(scene: &mut Scene, places: &[Point], active: Option<usize>, reading_angle: f64) {
    let along = Vec2::from_angle(reading_angle);
    let up = Vec2::new(-along.y, along.x);
    for (index, &at) in places.iter().enumerate() {
        let meaning = if active == Some(index) {
            Meaning::ActiveMark
        } else {
            Meaning::Mark
        };
        scene
            .items
            .push(stroke(meaning, signs::cross(at, along, MARK_ARM_MM)));
        scene
            .items
            .push(stroke(Meaning::Mark, Circle::new(at, MARK_RING_MM).to_path(1e-3)));
        let beside = at + 1.3 * MARK_ARM_MM * along + 0.6 * MARK_ARM_MM * up;
        let shape = Shape::Label {
            words: (index + 1).to_string(),
            at: beside,
            height_mm: WORDS_MM,
            angle: reading_angle,
        };
        scene.items.push(Item {
            meaning: Meaning::Mark,
            piece: None,
            shape,
        });
    }
}

/// Adds the proof square around a place, its sides along the surface's axes.
pub fn add_proof(scene: &mut Scene, centre: Point, reading_angle: f64) {
    let half = 0.5 * PROOF_SIDE_MM;
    let square = kurbo::Rect::new(centre.x - half, centre.y - half, centre.x + half, centre.y + half);
    scene.items.push(stroke(Meaning::Proof, square.to_path(1e-3)));
    let words = format!("{PROOF_SIDE_MM:.0} mm");
    let at = centre - 0.5 * WORDS_MM * Vec2::from_angle(reading_angle + std::f64::consts::FRAC_PI_2);
    scene.items.push(Item {
        meaning: Meaning::Proof,
        piece: None,
        shape: Shape::Label {
            words,
            at,
            height_mm: WORDS_MM,
            angle: reading_angle,
        },
    });
}
