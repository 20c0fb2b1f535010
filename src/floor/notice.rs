//! Words that are thrown on the cloth for whoever stands two metres from the laptop.

use crate::aim::Aim;
use crate::geometry::{Affine, Point, Rect};
use crate::light::label_width_mm;
use crate::scene::{Item, Meaning, Scene, Shape, Show};

/// Height of a capital, in mm: read at a glance from standing height.
const HEIGHT_MM: f64 = 16.0;
/// From line to line, in heights.
const LINE: f64 = 1.7;
/// Part of the light's width that words may take.
const WIDTH_PART: f64 = 0.62;
/// Distance from the border of the light, in mm.
const BORDER_MM: f64 = 20.0;

/// Where words stand in the light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// In its middle.
    Middle,
    /// At its foot, seen from where they are read.
    Foot,
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

    /// Adds the words where the aim's light is.
    pub(super) fn add_to(&self, scene: &mut Scene, aim: &Aim, show: &Show) {
        let reader_from_surface = Affine::rotate(-show.reading_angle);
        let middle = reader_from_surface * aim.lit_rectangle().center();
        let bounds = reader_from_surface.transform_rect_bbox(aim.lit_rectangle());
        self.add_within(scene, Rect::from_center_size(middle, bounds.size()), show);
    }

    fn add_within(&self, scene: &mut Scene, room: Rect, show: &Show) {
        let height = HEIGHT_MM * show.sign_scale;
        let width = WIDTH_PART * room.width();
        let lines: Vec<(String, Meaning)> = self
            .sentences
            .iter()
            .flat_map(|(words, meaning)| {
                wrapped(words, height, width).into_iter().map(move |line| (line, *meaning))
            })
            .collect();
        let count = u32::try_from(lines.len()).map_or(0.0, f64::from);
        let tall = count * LINE * height;
        let top = match self.place {
            Place::Middle => room.center().y + 0.5 * tall,
            Place::Foot => room.y0 + BORDER_MM * show.sign_scale + tall,
        };
        let surface_from_reader = Affine::rotate(show.reading_angle);
        let mut foot = top - height;
        for (words, meaning) in lines {
            let shape = Shape::Label {
                words,
                at: surface_from_reader * Point::new(room.center().x, foot),
                height_mm: height,
                angle: show.reading_angle,
            };
            scene.items.push(Item { meaning, piece: None, shape });
            foot -= LINE * height;
        }
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
        let mut notice = Notice::new(["A stand of the cloth.".to_owned()], Place::Foot);
        notice.warn("It moved.".to_owned());
        let mut show = Show::for_cutting();
        let room = Rect::new(-400.0, -250.0, 400.0, 250.0);
        for _ in 0..4 {
            let mut scene = Scene::default();
            notice.add_within(&mut scene, room, &show);
            assert_eq!(scene.items.len(), 2);
            for item in &scene.items {
                let Shape::Label { at, angle, .. } = &item.shape else { panic!("words") };
                assert!(room.contains(Affine::rotate(-angle) * *at));
            }
            show.reading_angle += std::f64::consts::FRAC_PI_2;
        }
    }
}
