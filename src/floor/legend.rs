//! The keys, written on the cloth in a corner of the light.

use super::KEYS;
use crate::geometry::{Point, Vec2};
use crate::scene::{Item, Meaning, Scene, Shape};
use std::f64::consts::FRAC_PI_2;

/// Height of the words, in mm.
const HEIGHT_MM: f64 = 12.0;
/// Distance between lines, in mm.
const LINE_MM: f64 = 20.0;
/// Width of the widest line's half, in mm: labels are placed by their middle.
const HALF_WIDTH_MM: f64 = 130.0;

/// Adds the legend; `corner` is the upper left corner of the light as the reader sees it, in surface mm.
pub fn add_legend(scene: &mut Scene, corner: Point, reading_angle: f64) {
    let (along, down) = (
        Vec2::from_angle(reading_angle),
        Vec2::from_angle(reading_angle - FRAC_PI_2),
    );
    let mut at = corner + HALF_WIDTH_MM * along + LINE_MM * down;
    for entry in KEYS.iter().filter(|entry| entry.on_cloth) {
        let words = format!("{}  {}", entry.key, entry.words);
        let shape = Shape::Label {
            words,
            at,
            height_mm: HEIGHT_MM,
            angle: reading_angle,
        };
        scene.items.push(Item {
            meaning: Meaning::Note,
            piece: None,
            shape,
        });
        at += LINE_MM * down;
    }
}
