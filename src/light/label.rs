//! Words as outlines: the glyphs of one bold face, laid side by side in mm.
//!
//! The face is DejaVu Sans Bold (free licence beside it in `assets/`): bold, because thin strokes fall between
//! the pixels at two metres; cut down to Latin, fractions, arrows and signs. A character that it lacks shows
//! as the face's empty box, so that nothing goes missing unseen. No kerning and no right-to-left scripts.

use super::fill::{self, Corner, Mesh};
use super::stroke::{self, Polyline};
use crate::geometry::{Affine, BezPath, Point};
use lyon::tessellation::FillTessellator;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::raw::TableProvider as _;
use skrifa::{FontRef, GlyphId, MetadataProvider as _};
use std::sync::{LazyLock, OnceLock};

/// Chord error of a label's outline as a share of a capital's height: for letters of 12 mm a sixth of a
/// projector's pixel. At the tolerance of a cutting line a name would cost more triangles than its piece.
const FLATTEN_SHARE: f64 = 1.0 / 80.0;

static FACE: &[u8] = include_bytes!("../../assets/DejaVuSans-Bold-subset.ttf");

/// The face with its letters cut into triangles, each when it is first used: the same few stand in every label.
/// `None` when the face can't be read.
static LETTERS: LazyLock<Option<Letters>> = LazyLock::new(Letters::read);

struct Letters {
    face: FontRef<'static>,
    /// Height of a capital in the face's units.
    capital: f64,
    by_glyph: Vec<OnceLock<Letter>>,
}

/// A letter in the face's units, at the origin of its baseline.
#[derive(Debug, Default)]
pub(super) struct Letter {
    advance: f64,
    /// Its outline, closed.
    pub(super) runs: Vec<Polyline>,
    /// Its inside; the colour means nothing.
    pub(super) mesh: Mesh,
}

/// A letter of a label, and where it stands.
pub(super) struct Placed {
    /// The letter.
    pub(super) letter: &'static Letter,
    /// From the face's units to the surface's mm.
    pub(super) surface_from_face: Affine,
}

impl Letters {
    fn read() -> Option<Self> {
        let face = FontRef::new(FACE).ok()?;
        let metrics = GlyphMetrics::new(&face, Size::unscaled(), LocationRef::default());
        let capital = f64::from(metrics.bounds(face.charmap().map('H')?)?.y_max);
        let count = usize::from(face.maxp().ok()?.num_glyphs());
        let by_glyph = (0..count).map(|_| OnceLock::new()).collect();
        (capital > 0.0).then_some(Self { face, capital, by_glyph })
    }

    /// The letters of a line of words; control characters are left out.
    fn of(&'static self, words: &str) -> impl Iterator<Item = &'static Letter> {
        let characters = self.face.charmap();
        let shown = words.chars().filter(|character| !character.is_control());
        shown.filter_map(move |character| self.letter(characters.map(character).unwrap_or_default()))
    }

    fn letter(&'static self, glyph: GlyphId) -> Option<&'static Letter> {
        let place = self.by_glyph.get(usize::try_from(glyph.to_u32()).ok()?)?;
        Some(place.get_or_init(|| self.cut(glyph)))
    }

    /// A glyph cut into triangles; without ink where that fails.
    fn cut(&self, glyph: GlyphId) -> Letter {
        let metrics = GlyphMetrics::new(&self.face, Size::unscaled(), LocationRef::default());
        let advance = f64::from(metrics.advance_width(glyph).unwrap_or_default());
        let mut outline = BezPath::new();
        let settings = DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
        let shape = self.face.outline_glyphs().get(glyph);
        let is_drawn = shape.is_some_and(|shape| shape.draw(settings, &mut Pen(&mut outline)).is_ok());
        let mut letter = Letter { advance, ..Letter::default() };
        if !is_drawn {
            return letter;
        }
        letter.runs = stroke::flatten(&outline, FLATTEN_SHARE * self.capital, Point::ORIGIN);
        for run in &mut letter.runs {
            run.closed = run.points.len() > 2;
        }
        let mut tessellator = FillTessellator::new();
        if !fill::append(&letter.runs, Corner::default().colour, &mut tessellator, &mut letter.mesh) {
            letter.mesh = Mesh::default();
        }
        letter
    }
}

/// Width of a line of words whose capitals are `height_mm` high, in mm: the sum of the glyphs' advances; 0 when the
/// face can't be read. For whoever puts words under each other.
#[must_use]
pub fn label_width_mm(words: &str, height_mm: f64) -> f64 {
    LETTERS.as_ref().map_or(0.0, |letters| {
        let advance: f64 = letters.of(words).map(|letter| letter.advance).sum();
        advance * height_mm / letters.capital
    })
}

/// The letters of one line of words: middle of the baseline at `at`, capitals `height_mm` high, the baseline
/// turned by `angle` radians from the x axis, y up. `None` when the face can't be read or a number is none.
pub(super) fn letters(words: &str, at: Point, height_mm: f64, angle: f64) -> Option<Vec<Placed>> {
    let letters = LETTERS.as_ref()?;
    let whole: f64 = letters.of(words).map(|letter| letter.advance).sum();
    let line = Affine::translate(at.to_vec2())
        * Affine::rotate(angle)
        * Affine::scale(height_mm / letters.capital)
        * Affine::translate((-0.5 * whole, 0.0));
    if !line.is_finite() {
        return None;
    }
    let mut passed = 0.0;
    let placed = letters.of(words).map(|letter| {
        let surface_from_face = line * Affine::translate((passed, 0.0));
        passed += letter.advance;
        Placed { letter, surface_from_face }
    });
    Some(placed.collect())
}

/// Takes a glyph's outline into a path.
struct Pen<'a>(&'a mut BezPath);

fn at(x: f32, y: f32) -> Point {
    Point::new(f64::from(x), f64::from(y))
}

impl OutlinePen for Pen<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to(at(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to(at(x, y));
    }

    fn quad_to(&mut self, cx0: f32, cy0: f32, x: f32, y: f32) {
        self.0.quad_to(at(cx0, cy0), at(x, y));
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        self.0.curve_to(at(cx0, cy0), at(cx1, cy1), at(x, y));
    }

    fn close(&mut self) {
        self.0.close_path();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Rect;

    fn ink_at(words: &str, place: Point, angle: f64) -> Rect {
        let letters = letters(words, place, 12.0, angle).unwrap();
        let points = letters.iter().flat_map(|placed| {
            let points = placed.letter.runs.iter().flat_map(|run| &run.points);
            points.map(|&point| placed.surface_from_face * point)
        });
        points.map(|point| Rect::from_points(point, point)).reduce(|all, point| all.union(point)).unwrap()
    }

    fn ink_box(words: &str) -> Rect {
        ink_at(words, Point::ORIGIN, 0.0)
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
        let ink = ink_at("HH", Point::new(50.0, 20.0), std::f64::consts::FRAC_PI_2);
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
    fn every_letter_of_the_face_is_filled_with_triangles() {
        let letters = LETTERS.as_ref().unwrap();
        for glyph in 0..letters.by_glyph.len() {
            let letter = letters.letter(GlyphId::new(u32::try_from(glyph).unwrap())).unwrap();
            // The shoelace formula on the outline, counters (turned the other way) taken off.
            let outlined: f64 = letter
                .runs
                .iter()
                .map(|run| {
                    let next = run.points.iter().cycle().skip(1);
                    run.points
                        .iter()
                        .zip(next)
                        .map(|(a, b)| 0.5 * a.to_vec2().cross(b.to_vec2()))
                        .sum::<f64>()
                })
                .sum();
            let place = |index: u32| letter.mesh.vertices[usize::try_from(index).unwrap()].at.map(f64::from);
            let filled: f64 = letter
                .mesh
                .indices
                .chunks(3)
                .map(|triangle| {
                    let [a, b, c] = [triangle[0], triangle[1], triangle[2]].map(|index| {
                        let [x, y] = place(index);
                        Point::new(x, y)
                    });
                    0.5 * (b - a).cross(c - a).abs()
                })
                .sum();
            assert!(
                (outlined.abs() - filled).abs() <= 0.01 * filled,
                "glyph {glyph}: {outlined} and {filled}"
            );
        }
    }

    #[test]
    fn an_unknown_character_shows_as_a_box_and_control_characters_as_nothing() {
        assert!(ink_box("\u{4e2d}").area() > 10.0);
        assert!((ink_box("H\n").width() - ink_box("H").width()).abs() < 1e-9);
    }
}
