//! Words as outlines: the glyphs of one bold face, laid side by side in mm.
//!
//! The face is DejaVu Sans Bold (free licence beside it in `assets/`): bold, because thin strokes fall between
//! the pixels at two metres; cut down to Latin, fractions, arrows and signs. A character that it lacks shows
//! as the face's empty box, so that nothing goes missing unseen. No kerning and no right-to-left scripts.

use crate::geometry::{Affine, BezPath, Point, Vec2};
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, MetadataProvider as _};

/// Chord error of a label's outline as a share of a capital's height: for letters of 12 mm a sixth of a
/// projector's pixel. At the tolerance of a cutting line a name would cost more triangles than its piece.
pub(super) const LABEL_FLATTEN_SHARE: f64 = 1.0 / 80.0;

static FACE: &[u8] = include_bytes!("../../assets/DejaVuSans-Bold-subset.ttf");

/// Width of a line of words whose capitals are `height_mm` high, in mm: the sum of the glyphs' advances; 0 when the
/// face can't be read. For whoever puts words under each other.
#[must_use]
pub fn label_width_mm(words: &str, height_mm: f64) -> f64 {
    let width = || {
        let face = FontRef::new(FACE).ok()?;
        let metrics = GlyphMetrics::new(&face, Size::unscaled(), LocationRef::default());
        let characters = face.charmap();
        let capital = metrics.bounds(characters.map('H')?)?.y_max;
        let advances = words
            .chars()
            .filter(|character| !character.is_control())
            .map(|character| characters.map(character).unwrap_or_default())
            .filter_map(|glyph| metrics.advance_width(glyph));
        Some(f64::from(advances.sum::<f32>()) * height_mm / f64::from(capital))
    };
    width().unwrap_or_default()
}

/// The outline of one line of words: middle of the baseline at `at`, capitals `height_mm` high, the baseline
/// turned by `angle` radians from the x axis, y up. `None` when the face can't be read.
pub(super) fn outline(words: &str, at: Point, height_mm: f64, angle: f64) -> Option<BezPath> {
    let face = FontRef::new(FACE).ok()?;
    let metrics = GlyphMetrics::new(&face, Size::unscaled(), LocationRef::default());
    let characters = face.charmap();
    let glyphs = face.outline_glyphs();
    let capital = metrics.bounds(characters.map('H')?)?.y_max;

    let mut line = BezPath::new();
    let mut advance = 0.0;
    for character in words.chars().filter(|character| !character.is_control()) {
        let glyph = characters.map(character).unwrap_or_default();
        if let Some(shape) = glyphs.get(glyph) {
            let mut pen = Pen { path: &mut line, shift: Vec2::new(advance, 0.0) };
            let settings = DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
            shape.draw(settings, &mut pen).ok()?;
        }
        advance += f64::from(metrics.advance_width(glyph).unwrap_or_default());
    }
    let placed = Affine::translate(at.to_vec2())
        * Affine::rotate(angle)
        * Affine::scale(height_mm / f64::from(capital))
        * Affine::translate((-advance / 2.0, 0.0));
    line.apply_affine(placed);
    Some(line)
}

/// Takes a glyph's outline into a path.
struct Pen<'a> {
    path: &'a mut BezPath,
    shift: Vec2,
}

impl Pen<'_> {
    fn at(&self, x: f32, y: f32) -> Point {
        Point::new(f64::from(x), f64::from(y)) + self.shift
    }
}

impl OutlinePen for Pen<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.at(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.at(x, y));
    }

    fn quad_to(&mut self, cx0: f32, cy0: f32, x: f32, y: f32) {
        self.path.quad_to(self.at(cx0, cy0), self.at(x, y));
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        self.path.curve_to(self.at(cx0, cy0), self.at(cx1, cy1), self.at(x, y));
    }

    fn close(&mut self) {
        self.path.close_path();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape as _;

    fn ink_box(words: &str) -> kurbo::Rect {
        outline(words, Point::ORIGIN, 12.0, 0.0).unwrap().bounding_box()
    }

    #[test]
    fn a_capital_is_as_high_as_asked() {
        let ink = ink_box("H");
        assert!((ink.height() - 12.0).abs() < 1e-6 && ink.y0.abs() < 1e-6, "{ink:?}");
    }

    #[test]
    fn the_width_is_that_of_the_ink_and_the_space_around_letters() {
        let (ink, width) = (ink_box("HHHH"), label_width_mm("HHHH", 12.0));
        assert!(width > ink.width() && width < 1.1 * ink.width(), "{width} {ink:?}");
    }

    #[test]
    fn words_stand_about_the_middle_of_their_baseline() {
        let ink = ink_box("HH");
        assert!((ink.x0 + ink.x1).abs() < 0.5, "{ink:?}");
        let turned = outline("HH", Point::new(50.0, 20.0), 12.0, std::f64::consts::FRAC_PI_2).unwrap();
        let ink = turned.bounding_box();
        // Turned a quarter to the left, the letters' feet are on the right.
        assert!((ink.x1 - 50.0).abs() < 1e-6 && (ink.center().y - 20.0).abs() < 0.5, "{ink:?}");
    }

    #[test]
    fn the_signs_of_the_trade_are_in_the_face() {
        let face = FontRef::new(FACE).unwrap();
        let characters = face.charmap();
        for sign in
            "ÆØÅæøåéüßñçłőŞ0123456789½¼¾⅛⅜⅝⅞×÷±°′″–—−“”‘’«»…·•←↑→↓↔↕↺↻≤≥≈⌀%&@#*()[]{}/\\|+=<>€£".chars()
        {
            assert!(characters.map(sign).is_some() || sign == '⌀', "{sign} is missing");
        }
    }

    #[test]
    fn an_unknown_character_shows_as_a_box_and_control_characters_as_nothing() {
        assert!(ink_box("\u{4e2d}").area() > 10.0);
        assert!((ink_box("H\n").width() - ink_box("H").width()).abs() < 1e-9);
    }
}
