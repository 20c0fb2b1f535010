//! What is shown while aiming: the marks, and the square that a tape proves.

use super::signs;
use super::{Item, Meaning, Scene, Shape, Show};
use crate::aim::{Bar, BarWay};
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

/// Adds the marks of an aim at their places on the surface, numbered from 1; the active one (counted from 0) is
/// stronger.
pub fn add_marks(scene: &mut Scene, places: &[Point], active: Option<usize>, show: &Show) {
    let numbered: Vec<(usize, Point)> = (1..).zip(places.iter().copied()).collect();
    add_numbered_marks(scene, &numbered, active.map(|active| active + 1), show);
}

/// Adds marks with their numbers; the one with the number `active` is stronger.
pub fn add_numbered_marks(scene: &mut Scene, marks: &[(usize, Point)], active: Option<usize>, show: &Show) {
    let (reading_angle, scale) = (show.reading_angle, show.sign_scale);
    let arm = scale * MARK_ARM_MM;
    let along = Vec2::from_angle(reading_angle);
    let up = Vec2::new(-along.y, along.x);
    for &(number, at) in marks {
        let meaning = if active == Some(number) { Meaning::ActiveMark } else { Meaning::Mark };
        scene.items.push(stroke(meaning, signs::cross(at, along, arm)));
        scene.items.push(stroke(Meaning::Mark, Circle::new(at, scale * MARK_RING_MM).to_path(1e-3)));
        let beside = at + 1.3 * arm * along + 0.6 * arm * up;
        let shape = Shape::Label {
            words: number.to_string(),
            at: beside,
            height_mm: scale * WORDS_MM,
            angle: reading_angle,
        };
        scene.items.push(Item { meaning: Meaning::Mark, piece: None, shape });
    }
}

/// Adds crosses that are to be chalked on the cloth, with their numbers, at their places on the surface. They have no
/// ring, so that they are not taken for the marks on the table.
pub fn add_crosses(scene: &mut Scene, crosses: &[(usize, Point)], show: &Show) {
    let along = Vec2::from_angle(show.reading_angle);
    let up = Vec2::new(-along.y, along.x);
    let arm = show.sign_scale * MARK_ARM_MM;
    for &(number, at) in crosses {
        scene.items.push(stroke(Meaning::Mark, signs::cross(at, along, arm)));
        let shape = Shape::Label {
            words: format!("+{number}"),
            at: at + 0.9 * arm * along + 0.35 * arm * up,
            height_mm: show.sign_scale * WORDS_MM,
            angle: show.reading_angle,
        };
        scene.items.push(Item { meaning: Meaning::Mark, piece: None, shape });
    }
}

/// Adds a strong arrow that shows a way.
pub fn add_arrow(scene: &mut Scene, from: Point, to: Point, show: &Show) {
    scene.items.push(stroke(Meaning::Pointed, signs::arrow(from, to, false, 1.6 * show.sign_scale)));
}

/// Adds the bars of the proof with what a tape should read on each, in mm.
///
/// The words stand on the side of `middle`, where the light is.
pub fn add_bars(scene: &mut Scene, bars: &[Bar], middle: Point, show: &Show) {
    /// Half the length of the line across a bar's end, in mm.
    const END_MM: f64 = 12.0;
    let scale = show.sign_scale;
    for bar in bars {
        let along = bar.to - bar.from;
        if along.hypot() < 1.0 {
            continue;
        }
        let across = END_MM * scale * Vec2::new(-along.y, along.x) / along.hypot();
        let mut path = BezPath::new();
        for end in [bar.from, bar.to] {
            path.move_to(end - across);
            path.line_to(end + across);
        }
        path.move_to(bar.from);
        path.line_to(bar.to);
        scene.items.push(stroke(Meaning::Proof, path));
        let way = match bar.way {
            BarWay::Across => "across",
            BarWay::Along => "along",
            BarWay::Diagonal => "diagonal",
        };
        // A quarter of the way, where the bars don't meet, and beside the line.
        let at = bar.from.lerp(bar.to, 0.25);
        let normal = Vec2::new(-along.y, along.x) / along.hypot();
        let inwards = if normal.dot(middle - at) < 0.0 { -normal } else { normal };
        // Words lie across a bar that runs the other way: half their length keeps them off it.
        let crosswise = inwards.dot(Vec2::from_angle(show.reading_angle)).abs();
        let off = 1.8 + 5.5 * crosswise;
        let shape = Shape::Label {
            words: format!("{way} {:.0} mm", bar.length_mm()),
            at: at + off * scale * WORDS_MM * inwards,
            height_mm: scale * WORDS_MM,
            angle: show.reading_angle,
        };
        scene.items.push(Item { meaning: Meaning::Proof, piece: None, shape });
    }
}

/// Adds how far off the light may be, in mm, at places of the picture: a ring as large as three times the likely
/// error (enlarged as said), and the number.
pub fn add_error_map(scene: &mut Scene, places: &[(Point, f64)], show: &Show) {
    /// A ring's radius for each mm of likely error, in mm.
    const ENLARGED: f64 = 10.0;
    let scale = show.sign_scale;
    for &(at, sigma_mm) in places {
        let ring = Circle::new(at, ENLARGED * scale * sigma_mm.min(10.0));
        scene.items.push(stroke(Meaning::Error, ring.to_path(1e-3)));
        let shape = Shape::Label {
            words: format!("±{sigma_mm:.1}"),
            at: at
                - 0.5 * scale * WORDS_MM * Vec2::from_angle(show.reading_angle + std::f64::consts::FRAC_PI_2),
            height_mm: scale * WORDS_MM,
            angle: show.reading_angle,
        };
        scene.items.push(Item { meaning: Meaning::Error, piece: None, shape });
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
