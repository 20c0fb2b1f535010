//! Words that are thrown on the cloth for whoever stands two metres from the laptop.

use super::legend::{Taken, free_place};
use crate::geometry::{Affine, Line, Point, Rect, Vec2};
use crate::light::label_width_mm;
use crate::scene::{Item, Meaning, Scene, Shape, Show};

/// Height of a capital, in mm: read at a glance from standing height.
const HEIGHT_MM: f64 = 16.0;
/// From line to line, in heights.
const LINE: f64 = 1.7;
/// Parts of the light's width that words may take: the widest is taken in the middle.
const WIDTH_PARTS: [f64; 3] = [0.6, 0.36, 0.2];

/// Where words stand in the light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// In its middle.
    Middle,
    /// Where they hide least.
    Free,
}

/// Sentences in the light.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Notice {
    sentences: Vec<(String, Meaning)>,
    place: Place,
}

impl Notice {
    /// Sentences, each on lines of its own.
    pub(super) fn new(sentences: impl IntoIterator<Item = String>, place: Place) -> Self {
        Self { sentences: sentences.into_iter().map(|words| (words, Meaning::Note)).collect(), place }
    }

    /// One more sentence.
    pub(super) fn say(&mut self, words: String) {
        self.sentences.push((words, Meaning::Note));
    }

    /// One more sentence, about what must not be cut by yet.
    pub(super) fn warn(&mut self, words: String) {
        self.sentences.push((words, Meaning::Caution));
    }

    /// Adds the words where the light falls; `lit` are its corners on the surface, in mm.
    pub(super) fn add_to(&self, scene: &mut Scene, lit: &[Point; 4], show: &Show) {
        let reader_from_surface = Affine::rotate(-show.reading_angle);
        let lit = lit.map(|corner| reader_from_surface * corner);
        let bounds = lit.iter().fold(Rect::from_points(lit[0], lit[0]), |all, corner| all.union_pt(*corner));
        let height = HEIGHT_MM * show.sign_scale;
        let blocks: Vec<Block> = WIDTH_PARTS
            .iter()
            .map(|part| Block::of(&self.sentences, height, part * bounds.width()))
            .collect();
        let sizes: Vec<Vec2> = blocks.iter().map(|block| block.size(height)).collect();
        let found = match self.place {
            Place::Middle => {
                sizes.first().map(|size| (0, Rect::from_center_size(middle(&lit), size.to_size())))
            }
            Place::Free => free_place(&Taken::of(scene, reader_from_surface), &lit, &sizes),
        };
        let Some((block, whole)) = found.and_then(|(index, whole)| Some((blocks.get(index)?, whole))) else {
            return;
        };
        let surface_from_reader = Affine::rotate(show.reading_angle);
        let mut foot = whole.y1 - height;
        for (words, meaning) in &block.lines {
            let shape = Shape::Label {
                words: words.clone(),
                at: surface_from_reader * Point::new(whole.center().x, foot),
                height_mm: height,
                angle: show.reading_angle,
            };
            scene.items.push(Item { meaning: *meaning, piece: None, shape });
            foot -= LINE * height;
        }
    }
}

/// Where the diagonals of the light cross.
fn middle(lit: &[Point; 4]) -> Point {
    Line::new(lit[0], lit[2]).crossing_point(Line::new(lit[1], lit[3])).unwrap_or(lit[0])
}

/// Sentences broken into lines.
struct Block {
    lines: Vec<(String, Meaning)>,
}

impl Block {
    fn of(sentences: &[(String, Meaning)], height: f64, width: f64) -> Self {
        let broken = sentences.iter().flat_map(|(words, meaning)| {
            wrapped(words, height, width).into_iter().map(move |line| (line, *meaning))
        });
        Self { lines: broken.collect() }
    }

    fn size(&self, height: f64) -> Vec2 {
        let widest = self.lines.iter().map(|(words, _)| label_width_mm(words, height)).fold(0.0, f64::max);
        let count = u32::try_from(self.lines.len()).map_or(0.0, f64::from);
        Vec2::new(widest, count * LINE * height)
    }
}

/// Words broken into lines no wider than `width` mm; a word that is wider stands by itself.
fn wrapped(words: &str, height: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        match lines.last_mut() {
            Some(line) if label_width_mm(&format!("{line} {word}"), height) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_sentences_are_broken_and_none_of_their_words_is_lost() {
        let words = "Aiming again. Bring light 3 onto its cross with the arrows, then press Tab.";
        let lines = wrapped(words, 16.0, 500.0);
        assert!(lines.len() > 1 && lines.iter().all(|line| label_width_mm(line, 16.0) <= 500.0), "{lines:?}");
        assert_eq!(lines.join(" "), words);
        assert_eq!(wrapped("", 16.0, 500.0), Vec::<String>::new());
        assert_eq!(wrapped("width", 16.0, 1.0), ["width"]);
    }

    #[test]
    fn words_stay_within_the_light_from_whichever_side_they_are_read() {
        let lit = [(-700.0, 400.0), (650.0, 420.0), (900.0, -500.0), (-900.0, -480.0)].map(Point::from);
        for place in [Place::Middle, Place::Free] {
            let mut notice = Notice::new(["A stand of the cloth.".to_owned()], place);
            notice.warn("It moved.".to_owned());
            let mut show = Show::for_cutting();
            for _ in 0..4 {
                let mut scene = Scene::default();
                notice.add_to(&mut scene, &lit, &show);
                assert!(scene.items.len() >= 2, "each sentence on lines of its own");
                for item in &scene.items {
                    let Shape::Label { at, .. } = &item.shape else { panic!("words") };
                    let sides = lit.iter().zip(lit.iter().cycle().skip(1));
                    assert!(sides.into_iter().all(|(a, b)| (*b - *a).cross(*at - *a) < 0.0), "{at}");
                }
                show.reading_angle += std::f64::consts::FRAC_PI_2;
            }
        }
    }
}
