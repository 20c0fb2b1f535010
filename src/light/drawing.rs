//! A scene made ready for the graphics processor, once: it doesn't depend on the aim, but for how short its stretches
//! must be for a lens to bend them.
//!
//! Lines become straight stretches within [`FLATTEN_MM`], fills and words become triangles with a soft rim.
//! Coordinates are mm from the middle of the scene, so that f32 keeps its digits for what is near.

use super::fill::{self, Corner, Mesh};
use super::label::{self, Placed};
use super::stroke::{self, Polyline, Stretch};
use crate::geometry::tolerance::FLATTEN_MM;
use crate::geometry::{Affine, BezPath, Point, Rect};
use crate::scene::{Item, Lamp, Rhythm, Scene, Shape, Style, style_of};
use lyon::tessellation::FillTessellator;
use std::ops::Range;

/// A tessellated scene. Make it anew when the scene or the lamp changes, never when the aim does.
#[derive(Debug, Clone, Default)]
pub struct Drawing {
    pub(super) origin: Point,
    pub(super) stretches: Vec<Stretch>,
    pub(super) mesh: Mesh,
    pub(super) runs: Vec<Run>,
    longest_mm: Option<f64>,
    left_out: usize,
}

/// What is drawn in one go, in the scene's order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Run {
    /// A range of stretches.
    Strokes(Range<u32>),
    /// A range of stretches of closed lines without a rhythm, which are drawn with less work: the rims of letters are.
    Unbroken(Range<u32>),
    /// A range of triangle corners.
    Fills(Range<u32>),
}

/// Width in px of the line that softens the edge of a fill: narrower leaves steps, wider makes words fat.
const RIM_PX: f64 = 0.5;

impl Drawing {
    /// The scene in the lamp's colours, items in their order.
    #[must_use]
    pub fn new(scene: &Scene, lamp: &Lamp) -> Self {
        Self::cut_up(scene, lamp, None)
    }

    /// The same with no stretch of a line or of a fill's edge longer than so many mm, so that a lens can bend it
    /// ([`Throw::longest_mm`](super::Throw::longest_mm)). Letters are short as they are.
    #[must_use]
    pub fn cut_up(scene: &Scene, lamp: &Lamp, longest_mm: Option<f64>) -> Self {
        let mut drawing = Self { origin: middle(scene), longest_mm, ..Self::default() };
        let mut tessellator = FillTessellator::new();
        for item in &scene.items {
            drawing.add(item, lamp, &mut tessellator);
        }
        drawing
    }

    /// Number of straight stretches of line.
    #[must_use]
    pub fn segments(&self) -> usize {
        self.stretches.len()
    }

    /// Number of triangles.
    #[must_use]
    pub fn triangles(&self) -> usize {
        self.mesh.indices.len() / 3
    }

    /// Number of items that could not be drawn, because a coordinate is not a number or a fill is too large
    /// to be cut into triangles. Not 0 is a bug of whoever made the scene.
    #[must_use]
    pub const fn left_out(&self) -> usize {
        self.left_out
    }

    fn add(&mut self, item: &Item, lamp: &Lamp, tessellator: &mut FillTessellator) {
        let style = widened(style_of(item.meaning), lamp.line_scale);
        let [r, g, b] = lamp.colour(style.ink, style.brightness);
        let colour = [r, g, b, 1.0];
        let drawn = match &item.shape {
            Shape::Stroke(path) => self.add_stroke(path, &style, colour),
            Shape::Fill(path) => self.add_fill(path, colour, tessellator),
            Shape::Label { words, at, height_mm, angle } => label::letters(words, *at, *height_mm, *angle)
                .is_some_and(|letters| self.add_letters(&letters, colour)),
        };
        self.left_out += usize::from(!drawn);
    }

    fn add_stroke(&mut self, path: &BezPath, style: &Style, colour: [f32; 4]) -> bool {
        if !path.is_finite() {
            return false;
        }
        let runs = self.flat(path);
        self.append_lines(&runs, style, colour)
    }

    fn flat(&self, path: &BezPath) -> Vec<Polyline> {
        self.short(stroke::flatten(path, FLATTEN_MM, self.origin))
    }

    fn short(&self, runs: Vec<Polyline>) -> Vec<Polyline> {
        match self.longest_mm {
            Some(longest) => runs.iter().map(|run| run.cut_up(longest)).collect(),
            None => runs,
        }
    }

    fn add_fill(&mut self, path: &BezPath, colour: [f32; 4], tessellator: &mut FillTessellator) -> bool {
        if !path.is_finite() {
            return false;
        }
        let mut runs = stroke::flatten(path, FLATTEN_MM, self.origin);
        for run in &mut runs {
            run.closed = run.points.len() > 2;
        }
        let runs = self.short(runs);
        let before = self.mesh.indices.len();
        if !fill::append(&runs, colour, tessellator, &mut self.mesh) {
            self.mesh.indices.truncate(before);
            return false;
        }
        self.note_fills(before) && self.append_lines(&runs, &rim(), colour)
    }

    /// Letters that are cut already are only moved to their places.
    fn add_letters(&mut self, letters: &[Placed], colour: [f32; 4]) -> bool {
        let before = self.mesh.indices.len();
        let mut runs = Vec::new();
        for Placed { letter, surface_from_face } in letters {
            let drawing_from_face = Affine::translate(-self.origin.to_vec2()) * *surface_from_face;
            let Ok(first) = u32::try_from(self.mesh.vertices.len()) else { return false };
            self.mesh.vertices.extend(letter.mesh.vertices.iter().map(|corner| {
                let [x, y] = corner.at.map(f64::from);
                Corner { at: stroke::pair(drawing_from_face * Point::new(x, y)), colour }
            }));
            self.mesh.indices.extend(letter.mesh.indices.iter().map(|index| first + index));
            runs.extend(letter.runs.iter().map(|run| Polyline {
                points: run.points.iter().map(|&point| drawing_from_face * point).collect(),
                closed: run.closed,
            }));
        }
        self.note_fills(before) && self.append_lines(&runs, &rim(), colour)
    }

    /// Notes that the triangles from index `before` on come next in the order of drawing.
    fn note_fills(&mut self, before: usize) -> bool {
        let (Ok(start), Ok(end)) = (u32::try_from(before), u32::try_from(self.mesh.indices.len())) else {
            return false;
        };
        match self.runs.last_mut() {
            Some(Run::Fills(range)) if range.end == start => range.end = end,
            _ => self.runs.push(Run::Fills(start..end)),
        }
        true
    }

    fn append_lines(&mut self, runs: &[Polyline], style: &Style, colour: [f32; 4]) -> bool {
        for run in runs {
            let before = self.stretches.len();
            stroke::append(run, style, colour, &mut self.stretches);
            let (Ok(start), Ok(end)) = (u32::try_from(before), u32::try_from(self.stretches.len())) else {
                self.stretches.truncate(before);
                return false;
            };
            let is_unbroken = run.closed && matches!(style.rhythm, Rhythm::Full);
            match self.runs.last_mut() {
                Some(Run::Unbroken(range)) if is_unbroken && range.end == start => range.end = end,
                Some(Run::Strokes(range)) if !is_unbroken && range.end == start => range.end = end,
                _ if is_unbroken => self.runs.push(Run::Unbroken(start..end)),
                _ => self.runs.push(Run::Strokes(start..end)),
            }
        }
        true
    }

    /// Corners of the upright rectangle around all stretches, mm from the origin; `None` without any.
    pub(super) fn stroke_corners(&self) -> Option<[Point; 4]> {
        let [low, high] = self.stretches.iter().fold(
            [[f32::INFINITY; 2], [f32::NEG_INFINITY; 2]],
            |[low, high], stretch| {
                let least = |axis: usize| low[axis].min(stretch.from[axis]).min(stretch.to[axis]);
                let most = |axis: usize| high[axis].max(stretch.from[axis]).max(stretch.to[axis]);
                [[least(0), least(1)], [most(0), most(1)]]
            },
        );
        let [x0, y0, x1, y1] = [low[0], low[1], high[0], high[1]].map(f64::from);
        (x0 <= x1).then(|| [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(Point::from))
    }
}

/// The line that softens the edge of a fill.
fn rim() -> Style {
    let of_words = style_of(crate::scene::Meaning::Note);
    Style { width_mm: 0.0, least_px: RIM_PX, rhythm: Rhythm::Full, ..of_words }
}

/// The style with lines so many times wider.
fn widened(style: Style, scale: f64) -> Style {
    Style { width_mm: scale * style.width_mm, least_px: scale * style.least_px, ..style }
}

/// Middle of everything finite in the scene.
fn middle(scene: &Scene) -> Point {
    let boxes = scene.items.iter().filter_map(|item| {
        let extent = match &item.shape {
            Shape::Stroke(path) | Shape::Fill(path) if path.is_empty() => return None,
            Shape::Stroke(path) | Shape::Fill(path) => path.control_box(),
            Shape::Label { at, .. } => Rect::from_points(*at, *at),
        };
        extent.is_finite().then_some(extent)
    });
    boxes.reduce(|a, b| a.union(b)).map_or(Point::ORIGIN, |extent| extent.center())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Meaning;
    use kurbo::Shape as _;

    fn item(meaning: Meaning, shape: Shape) -> Item {
        Item { meaning, piece: None, shape }
    }

    fn square(side: f64) -> BezPath {
        Rect::new(0.0, 0.0, side, side).to_path(0.1)
    }

    fn label(words: &str) -> Shape {
        Shape::Label { words: words.into(), at: Point::new(30.0, 40.0), height_mm: 12.0, angle: 0.0 }
    }

    #[test]
    fn strokes_and_fills_keep_the_scenes_order() {
        let scene = Scene {
            items: vec![
                item(Meaning::CuttingLine, Shape::Stroke(square(100.0))),
                item(Meaning::SeamLine, Shape::Stroke(square(80.0))),
                item(Meaning::Notch, Shape::Fill(square(8.0))),
                item(Meaning::CuttingLine, Shape::Stroke(square(50.0))),
            ],
        };
        let drawing = Drawing::new(&scene, &Lamp::default());
        // The rim of the fill (4 stretches) goes with the line after it; the seam line is dashed.
        assert_eq!(
            drawing.runs,
            [Run::Unbroken(0..4), Run::Strokes(4..8), Run::Fills(0..6), Run::Unbroken(8..16)]
        );
        assert_eq!((drawing.segments(), drawing.triangles()), (16, 2));
        assert_eq!(drawing.origin, Point::new(50.0, 50.0));
    }

    #[test]
    fn a_label_costs_tens_of_triangles_a_letter() {
        let scene = Scene { items: vec![item(Meaning::PieceName, label("Back facing ×2"))] };
        let drawing = Drawing::new(&scene, &Lamp::default());
        assert!((100..600).contains(&drawing.triangles()), "{} triangles", drawing.triangles());
        assert_eq!(drawing.left_out(), 0);
    }

    #[test]
    fn what_is_not_a_number_is_left_out_and_counted() {
        let mut bad = square(10.0);
        bad.line_to((f64::NAN, 0.0));
        let scene = Scene {
            items: vec![
                item(Meaning::CuttingLine, Shape::Stroke(bad.clone())),
                item(Meaning::Notch, Shape::Fill(bad)),
                item(
                    Meaning::Note,
                    Shape::Label {
                        words: "x".into(),
                        at: Point::new(f64::INFINITY, 0.0),
                        height_mm: 12.0,
                        angle: 0.0,
                    },
                ),
                item(Meaning::CuttingLine, Shape::Stroke(square(10.0))),
            ],
        };
        let drawing = Drawing::new(&scene, &Lamp::default());
        assert_eq!((drawing.left_out(), drawing.segments()), (3, 4));
    }

    #[test]
    fn an_empty_scene_is_an_empty_drawing() {
        let drawing = Drawing::new(&Scene::default(), &Lamp::default());
        assert_eq!((drawing.segments(), drawing.triangles()), (0, 0));
        assert!(drawing.stroke_corners().is_none());
    }
}
