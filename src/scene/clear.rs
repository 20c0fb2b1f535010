//! Where words and signs stand clear of lines.
//!
//! What is drawn already is kept as places a few millimetres apart; a box of words is tried on a grid of places
//! inside the piece and goes where it is clearest. Coarse, but words on a cutting line cost cloth, and a few
//! millimetres more or less between them do not. Works in the reader's frame, in which words run along x.

use super::occupied::Occupied;
use super::{Scene, Shape};
use crate::geometry::{Affine, BezPath, Line, Point, Rect, Vec2};
use kurbo::ParamCurve as _;
use std::rc::Rc;

/// Distance of the places that stand for a line, in mm at sign scale 1; half of it is the error of a clearance.
const STEP_MM: f64 = 5.0;
/// More room than this makes words no clearer, in mm at sign scale 1.
const ENOUGH_MM: f64 = 20.0;
/// Grid places a side.
const GRID: u32 = 21;
/// Width of a letter by its height: the average of the bold face, and a little.
const LETTER: f64 = 0.98;

/// Width of a line of words by the height of its capitals, estimated from the number of letters.
pub(super) fn words_width(words: &str, height_mm: f64) -> f64 {
    words.chars().fold(0.0, |sum, _| sum + 1.0) * LETTER * height_mm
}

/// The box of words whose baseline's middle is at `at`, in the reader's frame: with room for what hangs below.
pub(super) fn words_box(words: &str, at: Point, height_mm: f64) -> Rect {
    let half = 0.5 * words_width(words, height_mm);
    Rect::new(at.x - half, at.y - 0.3 * height_mm, at.x + half, at.y + 1.1 * height_mm)
}

/// What is drawn already.
#[derive(Debug, Clone)]
pub(super) struct Taken {
    reader_from_surface: Affine,
    scale: f64,
    places: Rc<Occupied>,
    boxes: Vec<Rect>,
}

impl Taken {
    /// Everything drawn from item `from` on, and another line given on the surface, for words that run along
    /// `reading_angle`.
    pub(super) fn of(
        scene: &Scene,
        from: usize,
        other: Option<&BezPath>,
        reading_angle: f64,
        scale: f64,
    ) -> Self {
        let reader_from_surface = Affine::rotate(-reading_angle);
        let step = STEP_MM * scale;
        let (mut places, mut boxes) = (Vec::new(), Vec::new());
        for item in scene.items.iter().skip(from) {
            match &item.shape {
                Shape::Stroke(path) | Shape::Fill(path) => {
                    add_path(&mut places, reader_from_surface, path, step)
                }
                Shape::Label { words, at, height_mm, .. } => {
                    boxes.push(words_box(words, reader_from_surface * *at, *height_mm));
                }
            }
        }
        if let Some(path) = other {
            add_path(&mut places, reader_from_surface, path, step);
        }
        Self { reader_from_surface, scale, places: Rc::new(Occupied::new(places, step)), boxes }
    }

    /// From the surface into the reader's frame.
    pub(super) const fn reader_from_surface(&self) -> Affine {
        self.reader_from_surface
    }

    /// Adds a box, given in the reader's frame.
    pub(super) fn add_box(&mut self, taken: Rect) {
        self.boxes.push(taken);
    }

    /// Distance of a box from what is nearest, in mm, at most `enough`; negative where it covers something.
    /// Gives up below `least`.
    fn clearance(&self, wanted: Rect, least: f64, enough: f64) -> f64 {
        let (centre, half_width, half_height) =
            (wanted.center(), 0.5 * wanted.width(), 0.5 * wanted.height());
        if least.is_finite() && self.places.surely_touches(wanted.inflate(least, least)) {
            return f64::NEG_INFINITY;
        }
        let mut clear = enough;
        for taken in &self.boxes {
            let off = taken.center() - centre;
            let apart = (off.x.abs() - half_width - 0.5 * taken.width())
                .max(off.y.abs() - half_height - 0.5 * taken.height());
            clear = clear.min(apart);
        }
        for place in self.places.near(wanted.inflate(enough, enough)) {
            if clear < least {
                break;
            }
            let off = place - centre;
            clear = clear.min((off.x.abs() - half_width).max(off.y.abs() - half_height));
        }
        clear
    }

    /// The clearest of some places for the middle of a box of `size`, in the reader's frame, with its clearance in
    /// mm: the first that is `enough` clear (mm at sign scale 1), else the one with most room.
    pub(super) fn clearest(
        &self,
        size: Vec2,
        places: impl IntoIterator<Item = Point>,
        enough: f64,
    ) -> Option<(Point, f64)> {
        let enough = enough * self.scale;
        let mut best: Option<(Point, f64)> = None;
        for place in places {
            let wanted = Rect::from_center_size(place, size.to_size());
            let least = best.map_or(f64::NEG_INFINITY, |(_, clear)| clear);
            let clear = self.clearance(wanted, least, enough);
            if clear > least {
                best = Some((place, clear));
            }
            if clear >= enough {
                break;
            }
        }
        best
    }

    /// The clearest place for the middle of a box of `size` inside a polygon, in the reader's frame. Places whose
    /// box is not all within `lit` come last.
    pub(super) fn inside(
        &self,
        polygon: &[Point],
        size: Vec2,
        lit: Option<&[Point; 4]>,
    ) -> Option<(Point, f64)> {
        let first = *polygon.first()?;
        let bounds = polygon.iter().fold(Rect::from_points(first, first), |all, &point| all.union_pt(point));
        let middle = bounds.center();
        let share = |index: u32| f64::from(index) / f64::from(GRID + 1);
        let mut places: Vec<Point> = (1..=GRID)
            .flat_map(|row| (1..=GRID).map(move |column| (row, column)))
            .map(|(row, column)| {
                Point::new(
                    bounds.x0 + share(column) * bounds.width(),
                    bounds.y0 + share(row) * bounds.height(),
                )
            })
            .filter(|&place| holds(polygon, place))
            .collect();
        // From the middle outwards: of two places that are clear enough the middle one is looked for first.
        places.sort_by(|a, b| a.distance_squared(middle).total_cmp(&b.distance_squared(middle)));
        let Some(lit) = lit else {
            return self.clearest(size, places, ENOUGH_MM);
        };
        let is_lit = |place: &Point| {
            let wanted = Rect::from_center_size(*place, size.to_size());
            corners(wanted).iter().all(|&corner| holds(lit, corner))
        };
        let (seen, unseen): (Vec<Point>, Vec<Point>) = places.into_iter().partition(is_lit);
        self.clearest(size, seen, ENOUGH_MM).or_else(|| self.clearest(size, unseen, ENOUGH_MM))
    }
}

/// Adds places along a path, given on the surface, at most `step` mm apart.
fn add_path(places: &mut Vec<Point>, reader_from_surface: Affine, path: &BezPath, step: f64) {
    let (mut start, mut last) = (Point::ORIGIN, Point::ORIGIN);
    let mut add = |chord: Line| {
        let length = chord.length();
        let mut along = 0.0;
        while along < length {
            places.push(chord.eval(along / length));
            along += step;
        }
        places.push(chord.p1);
    };
    kurbo::flatten(reader_from_surface * path, 0.2 * step, |element| match element {
        kurbo::PathEl::MoveTo(to) => (start, last) = (to, to),
        kurbo::PathEl::LineTo(to) => {
            add(Line::new(last, to));
            last = to;
        }
        kurbo::PathEl::ClosePath => {
            add(Line::new(last, start));
            last = start;
        }
        // Flattened there are no curves.
        kurbo::PathEl::QuadTo(..) | kurbo::PathEl::CurveTo(..) => {}
    });
}

/// The corners of an upright rectangle.
pub(super) fn corners(of: Rect) -> [Point; 4] {
    [(of.x0, of.y0), (of.x1, of.y0), (of.x1, of.y1), (of.x0, of.y1)].map(Point::from)
}

/// Whether a place lies inside a closed polygon.
pub(super) fn holds(polygon: &[Point], place: Point) -> bool {
    let chords = polygon.iter().zip(polygon.iter().cycle().skip(1));
    let crossings = chords.filter(|(a, b)| {
        (a.y > place.y) != (b.y > place.y) && place.x < a.x + (place.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossings.count() % 2 == 1
}

/// A path as a polygon in the reader's frame.
pub(super) fn polygon(path: &BezPath, motion: Affine) -> Vec<Point> {
    /// Chord error, in mm: words keep off further than that.
    const COARSE_MM: f64 = 0.5;
    let mut points = Vec::new();
    kurbo::flatten(motion * path.clone(), COARSE_MM, |element| {
        points.extend(element.end_point());
    });
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Item, Meaning};
    use kurbo::Shape as _;

    fn square() -> BezPath {
        Rect::new(0.0, 0.0, 300.0, 300.0).to_path(0.1)
    }

    fn scene_with(line: &str) -> Scene {
        let paths = [square(), BezPath::from_svg(line).unwrap()];
        let items =
            paths.map(|path| Item { meaning: Meaning::Grainline, piece: None, shape: Shape::Stroke(path) });
        Scene { items: items.into() }
    }

    #[test]
    fn words_keep_off_a_line_through_the_middle() {
        let scene = scene_with("M150,20 L150,280");
        let taken = Taken::of(&scene, 0, None, 0.0, 1.0);
        let room = polygon(&square(), Affine::IDENTITY);
        let (place, clear) = taken.inside(&room, Vec2::new(100.0, 20.0), None).unwrap();
        assert!(clear > 5.0 && (place.x - 150.0).abs() > 55.0, "{place} {clear}");
    }

    #[test]
    fn words_go_where_they_are_lit() {
        let taken = Taken::of(&scene_with("M150,20 L150,21"), 0, None, 0.0, 1.0);
        let room = polygon(&square(), Affine::IDENTITY);
        let lit = corners(Rect::new(-50.0, -50.0, 140.0, 140.0));
        let (place, _) = taken.inside(&room, Vec2::new(60.0, 20.0), Some(&lit)).unwrap();
        assert!(place.x < 110.0 && place.y < 130.0, "{place}");
    }

    #[test]
    fn what_covers_a_line_has_less_than_no_room() {
        let taken = Taken::of(&scene_with("M150,20 L150,280"), 0, None, 0.0, 1.0);
        let (_, clear) = taken.clearest(Vec2::new(100.0, 20.0), [Point::new(150.0, 150.0)], 5.0).unwrap();
        assert!(clear < -5.0);
    }
}
