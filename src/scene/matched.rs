//! What the board shows of a lay beside the pieces: where they are brought together when sewn, with how far the print
//! is off there; and the other half of a piece on the fold while it is held.

use super::clear::{Taken, words_box, words_width};
use super::piece::without_fold;
use super::{Item, Meaning, Scene, Shape, Show};
use crate::garment::OpenGarment;
use crate::geometry::{Affine, BezPath, Point, Vec2};
use crate::lay::{BarOrder, Failing, Match, PRINT_TOLERANCE_MM};
use crate::pattern::PieceId;
use kurbo::{Circle, Shape as _};

/// Radius of the dot at a match point, in mm at sign scale 1.
const DOT_MM: f64 = 4.0;
/// Height of the words at a line, in mm at sign scale 1.
const WORDS_MM: f64 = 12.0;
/// Room that the words want, in mm at sign scale 1.
const ROOM_MM: f64 = 6.0;

/// Adds a dot on both pieces and a thin line between them for each of some matches; where the print is off by more
/// than [`PRINT_TOLERANCE_MM`], the line is strong and bears the amount. Places where the tops of both pieces meet
/// can't match and are left out.
pub fn add_matches(scene: &mut Scene, matches: &[Match], surface_from_cloth: Affine, show: &Show) {
    let scale = show.sign_scale;
    let mut push = |meaning, shape| scene.items.push(Item { meaning, piece: None, shape });
    let mut said: Vec<(Point, Point, String)> = Vec::new();
    for found in matches.iter().filter(|found| !tops_meet(found)) {
        let ends = [&found.first, &found.second].map(|end| surface_from_cloth * end.on_table);
        let words = off_words(found);
        let meaning = if words.is_some() { Meaning::LinkOff } else { Meaning::Link };
        let mut line = BezPath::new();
        line.move_to(ends[0]);
        line.line_to(ends[1]);
        push(meaning, Shape::Stroke(line));
        for end in ends {
            push(meaning, Shape::Fill(Circle::new(end, scale * DOT_MM).to_path(1e-2)));
        }
        said.extend(words.map(|words| (ends[0], ends[1], words)));
    }
    let mut taken = Taken::of(scene, 0, None, show.reading_angle, scale);
    let height = scale * WORDS_MM;
    for (from, to, words) in said {
        let size = Vec2::new(words_width(&words, height), 1.4 * height);
        let beside =
            if from.distance(to) > 1e-6 { (to - from).normalize().turn_90() } else { Vec2::new(0.0, 1.0) };
        let places = [0.5, 0.35, 0.65, 0.2, 0.8].into_iter().flat_map(|share| {
            let on_line = from.lerp(to, share);
            [1.0, -1.0].map(|side| taken.reader_from_surface() * (on_line + side * 1.5 * height * beside))
        });
        let places: Vec<Point> = places.collect();
        let Some((place, _)) = taken.clearest(size, places, ROOM_MM) else { continue };
        let at = place - Vec2::new(0.0, 0.5 * height);
        taken.add_box(words_box(&words, at, height));
        let at = taken.reader_from_surface().inverse() * at;
        let shape = Shape::Label { words, at, height_mm: height, angle: show.reading_angle };
        scene.items.push(Item { meaning: Meaning::Note, piece: None, shape });
    }
}

fn tops_meet(found: &Match) -> bool {
    found.failing.iter().any(|failing| matches!(failing, Failing::TopsMeet { .. }))
}

/// By how much the print is off, along and across the cloth; `None` where it agrees in all that can.
fn off_words(found: &Match) -> Option<String> {
    let across = found.across_mm.filter(|_| !matches!(found.order, BarOrder::Breaks(_)));
    let parts: Vec<String> = [(found.along_mm, "along"), (across, "across")]
        .into_iter()
        .filter_map(|(error, way)| Some((error.filter(|mm| mm.abs() > PRINT_TOLERANCE_MM)?, way)))
        .map(|(error, way)| format!("{:.1} mm {way}", error.abs()))
        .collect();
    (!parts.is_empty()).then(|| format!("off {}", parts.join(", ")))
}

/// Adds the other half of a copy, across its fold, faintly: where its print will come from, or where it lies when the
/// piece is opened out. Nothing for a piece without a fold.
pub fn add_other_half(scene: &mut Scene, open: &OpenGarment, (piece, copy): (&PieceId, u32)) {
    let lay = &open.plan().lay;
    let Some(place) = lay.iter().find(|place| &place.piece == piece && place.copy == copy) else { return };
    let Some(evaluated) = open.evaluated().piece(piece) else { return };
    let Some(mirror) = evaluated.altered.mirror_about_fold() else { return };
    let surface_from_piece = open.stand().surface_from_cloth() * place.cloth_from_piece(&evaluated.altered);
    let outline = evaluated.cutting_path.clone().unwrap_or_else(|| evaluated.altered.outline());
    let path = surface_from_piece * mirror * without_fold(outline, &evaluated.altered);
    scene.items.push(Item {
        meaning: Meaning::MirroredHalf,
        piece: Some(piece.clone()),
        shape: Shape::Stroke(path),
    });
}
