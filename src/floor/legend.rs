//! The keys, written on the cloth in a corner of the light.

use super::{Action, FloorView, KEYS};
use crate::geometry::{Affine, BezPath, Point, Rect, Vec2};
use crate::scene::{Item, Meaning, Scene, Shape};

/// Height of the words, in mm: what is read from standing height is at least so high.
const HEIGHT_MM: f64 = 12.0;
/// Distance between lines, in mm.
const LINE_MM: f64 = 19.0;
/// Width of a letter by its height, on average.
const LETTER: f64 = 0.98;
/// Space between columns and to the light's edge, in mm.
const SPACE_MM: f64 = 15.0;
/// How many lines of the light's diagonals are tried for a corner.
const STEPS: u32 = 24;

/// Adds the legend where it lies within the light and covers least of the pieces. `lit` are the corners of the
/// light on the surface, in mm; what is switched off is written faintly.
pub fn add_legend(scene: &mut Scene, lit: &[Point; 4], view: &FloorView) {
    let angle = view.show.reading_angle;
    let reader_from_surface = Affine::rotate(-angle);
    let lit = lit.map(|corner| reader_from_surface * corner);
    let lines: Vec<(String, Meaning)> = KEYS
        .iter()
        .filter(|entry| entry.on_cloth)
        .map(|entry| {
            // The panic keys are read best while they are off.
            let is_layer = matches!(entry.action, Action::Toggle(_) | Action::Aiming);
            let meaning = if is_layer && view.is_on(entry.action) == Some(false) {
                Meaning::Quiet
            } else {
                Meaning::Note
            };
            (format!("{}  {}", entry.key, entry.words), meaning)
        })
        .collect();
    let taken: Vec<Point> = scene
        .items
        .iter()
        .filter_map(|item| match &item.shape {
            Shape::Stroke(path) if covers(item.meaning) => Some(path),
            _ => None,
        })
        .flat_map(|path| samples(path, reader_from_surface))
        .collect();
    let best = (1..=4_usize)
        .flat_map(|columns| {
            let block = Block::of(&lines, columns);
            (0..4).filter_map(move |corner| Some((block, block.within(&lit, corner)?)))
        })
        .min_by_key(|(block, place)| {
            let whole = block.at(*place);
            taken.iter().filter(|place| whole.contains(**place)).count()
        });
    let Some((block, place)) = best else { return };
    let whole = block.at(place);
    for (number, (words, meaning)) in lines.into_iter().enumerate() {
        let (column, row) = (number / block.rows, number % block.rows);
        // Labels are placed by their middle; the column begins at its left.
        let width = text_width(&words);
        let at = Point::new(
            whole.x0 + count(column) * (block.column_mm + SPACE_MM) + 0.5 * width,
            whole.y1 - count(row) * LINE_MM - HEIGHT_MM,
        );
        let shape = Shape::Label {
            words,
            at: reader_from_surface.inverse() * at,
            height_mm: HEIGHT_MM,
            angle,
        };
        scene.items.push(Item {
            meaning,
            piece: None,
            shape,
        });
    }
}

/// Lines that words must not hide.
const fn covers(meaning: Meaning) -> bool {
    !matches!(meaning, Meaning::PrintNode | Meaning::ClothEdge | Meaning::OldHem)
}

fn samples(path: &BezPath, motion: Affine) -> Vec<Point> {
    /// Places that stand for a line, in mm.
    const STEP_MM: f64 = 12.0;
    let mut places: Vec<Point> = Vec::new();
    kurbo::flatten(motion * path.clone(), 1.0, |element| {
        let Some(to) = element.end_point() else { return };
        if let (Some(&from), kurbo::PathEl::LineTo(_)) = (places.last(), element) {
            let steps = (from.distance(to) / STEP_MM).ceil().min(10_000.0);
            let mut step = 1.0;
            while step < steps {
                places.push(from.lerp(to, step / steps));
                step += 1.0;
            }
        }
        places.push(to);
    });
    places
}

fn text_width(words: &str) -> f64 {
    words.chars().fold(0.0, |sum, _| sum + 1.0) * LETTER * HEIGHT_MM
}

fn count(number: usize) -> f64 {
    u32::try_from(number).map_or(0.0, f64::from)
}

/// The legend as a block of columns, in the reader's frame.
#[derive(Debug, Clone, Copy)]
struct Block {
    rows: usize,
    column_mm: f64,
    size: Vec2,
}

impl Block {
    fn of(lines: &[(String, Meaning)], columns: usize) -> Self {
        let rows = lines.len().div_ceil(columns).max(1);
        let column_mm = lines
            .iter()
            .map(|(words, _)| text_width(words))
            .fold(0.0, f64::max);
        let size = Vec2::new(
            count(columns) * (column_mm + SPACE_MM) - SPACE_MM,
            count(rows) * LINE_MM,
        );
        Self {
            rows,
            column_mm,
            size,
        }
    }

    fn at(&self, middle: Point) -> Rect {
        Rect::from_center_size(middle, self.size.to_size())
    }

    /// The block's middle as far into a corner of the light as it goes; `None` when it does not fit in.
    fn within(&self, lit: &[Point; 4], corner: usize) -> Option<Point> {
        let centre = lit.iter().fold(Vec2::ZERO, |sum, corner| sum + corner.to_vec2()) / 4.0;
        let corner = *lit.get(corner)?;
        (0..=STEPS)
            .map(|step| corner.lerp(centre.to_point(), f64::from(step) / f64::from(STEPS)))
            .find(|&middle| {
                let whole = self.at(middle).inflate(SPACE_MM, SPACE_MM);
                let corners = [
                    (whole.x0, whole.y0),
                    (whole.x1, whole.y0),
                    (whole.x1, whole.y1),
                    (whole.x0, whole.y1),
                ];
                corners.iter().all(|&corner| is_lit(lit, corner.into()))
            })
    }
}

/// Whether a place lies within the light, a convex quadrilateral whichever way round.
fn is_lit(lit: &[Point; 4], place: Point) -> bool {
    let sides = lit.iter().zip(lit.iter().cycle().skip(1));
    let turns: Vec<f64> = sides.map(|(a, b)| (*b - *a).cross(place - *a)).collect();
    turns.iter().all(|turn| *turn >= 0.0) || turns.iter().all(|turn| *turn <= 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape as _;

    /// A keystone, as from a projector that leans.
    const LIT: [(f64, f64); 4] = [(-700.0, 400.0), (650.0, 420.0), (900.0, -500.0), (-900.0, -480.0)];

    fn extent(scene: &Scene) -> Vec<Point> {
        let corners = |item: &Item| match &item.shape {
            Shape::Label { words, at, angle, .. } => {
                let half = 0.5 * text_width(words) * Vec2::from_angle(*angle);
                let up = HEIGHT_MM * Vec2::from_angle(*angle + std::f64::consts::FRAC_PI_2);
                vec![*at + half, *at - half, *at + half + up, *at - half + up]
            }
            _ => Vec::new(),
        };
        scene.items.iter().flat_map(corners).collect()
    }

    #[test]
    fn the_legend_lies_within_the_light_from_whichever_side_it_is_read() {
        let lit = LIT.map(Point::from);
        let mut view = FloorView::default();
        for _ in 0..4 {
            let mut scene = Scene::default();
            add_legend(&mut scene, &lit, &view);
            assert_eq!(
                scene.items.len(),
                KEYS.iter().filter(|entry| entry.on_cloth).count()
            );
            assert!(extent(&scene).iter().all(|&place| is_lit(&lit, place)));
            view.turn_words();
        }
    }

    #[test]
    fn the_legend_goes_where_no_piece_lies() {
        let lit = LIT.map(Point::from);
        let mut scene = Scene::default();
        let piece = Rect::new(-800.0, -480.0, 350.0, 400.0).to_path(0.1);
        scene.items.push(Item {
            meaning: Meaning::CuttingLine,
            piece: None,
            shape: Shape::Stroke(piece),
        });
        add_legend(&mut scene, &lit, &FloorView::default());
        let words = scene.items.split_off(1);
        let places = extent(&Scene { items: words });
        assert!(places.iter().all(|place| place.x > 350.0), "{places:?}");
    }

    #[test]
    fn what_is_switched_off_is_written_faintly() {
        let mut view = FloorView::default();
        view.show.toggle(crate::scene::Layer::SeamLines);
        let mut scene = Scene::default();
        add_legend(&mut scene, &LIT.map(Point::from), &view);
        let of = |sought: &str| {
            let found = scene
                .items
                .iter()
                .find(|item| matches!(&item.shape, Shape::Label { words, .. } if words.ends_with(sought)));
            found.unwrap().meaning
        };
        assert_eq!(
            (of("seam lines"), of("cutting lines")),
            (Meaning::Quiet, Meaning::Note)
        );
    }
}
