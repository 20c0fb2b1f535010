//! The way in for a phone, as a QR code in the light.

use super::WayIn;
use crate::geometry::{Affine, BezPath, Point, Rect};
use crate::scene::{Item, Meaning, Scene, Shape, Show};
use kurbo::Shape as _;

/// Side of a module, in mm: read by a phone from two metres.
const MODULE_MM: f64 = 7.0;
/// Light around the code, in modules (ISO/IEC 18004 asks for four).
const QUIET: usize = 4;
/// Height of the address under it, in mm.
const WORDS_MM: f64 = 12.0;

/// Adds the code around a place on the surface. Light modules are lit and dark ones are left dark, so that it is read
/// as printed on white.
pub(super) fn add_code(scene: &mut Scene, way_in: &WayIn, middle: Point, show: &Show) {
    let (modules, angle) = (&way_in.modules, show.reading_angle);
    let count = modules.len() + 2 * QUIET;
    let cells = |index: usize| u32::try_from(index).map_or(0.0, f64::from);
    let side = MODULE_MM * show.sign_scale;
    let half = 0.5 * side * cells(count);
    let surface_from_code = Affine::translate(middle.to_vec2()) * Affine::rotate(angle);
    let is_dark = |row: usize, column: usize| {
        let of_code = row.checked_sub(QUIET).zip(column.checked_sub(QUIET));
        of_code.and_then(|(row, column)| modules.get(row)?.get(column).copied()).unwrap_or(false)
    };
    let mut light = BezPath::new();
    for row in 0..count {
        let top = half - side * cells(row);
        // Light modules side by side are one bar: no seam is seen between them.
        let mut from = None;
        for column in 0..=count {
            let lit = column < count && !is_dark(row, column);
            match (lit, from) {
                (true, None) => from = Some(column),
                (false, Some(start)) => {
                    let (left, right) = (side * cells(start) - half, side * cells(column) - half);
                    light.extend(Rect::new(left, top - side, right, top).path_elements(0.1));
                    from = None;
                }
                _ => {}
            }
        }
    }
    light.apply_affine(surface_from_code);
    scene.items.push(Item { meaning: Meaning::Note, piece: None, shape: Shape::Fill(light) });
    let words = "Only where you trust the network: this lets one phone press keys.".to_owned();
    for (line, words) in [way_in.address.clone(), words].into_iter().enumerate() {
        let foot = -half - (2.0 + 1.7 * cells(line)) * show.sign_scale * WORDS_MM;
        let shape = Shape::Label {
            words,
            at: surface_from_code * Point::new(0.0, foot),
            height_mm: show.sign_scale * WORDS_MM,
            angle,
        };
        scene.items.push(Item { meaning: Meaning::Note, piece: None, shape });
    }
}
