//! What a lens bends is bent the other way before it is drawn.
//!
//! The renderer's map is straight (a homography); a lens displaces light in the picture. So each place p of the
//! scene is moved to where the straight map puts the pixel that the lens throws onto p:
//! p ↦ H⁻¹(bent(H(p))). Lines are cut into short stretches first; over a stretch of a centimetre a lens of 1 %
//! leaves its chord by less than a hundredth of a pixel. Letters keep their shape and move as a whole.

use crate::aim::{Aim, Homography};
use crate::geometry::tolerance::FLATTEN_MM;
use crate::geometry::{BezPath, Point};
use crate::scene::{Scene, Shape};
use kurbo::{ParamCurve as _, PathEl};

/// Longest stretch that is drawn straight, in mm.
const STRETCH_MM: f64 = 10.0;

/// The scene as it must be drawn for the aim's lens; as it is, where the aim has none.
pub(super) fn bent(mut scene: Scene, aim: &Aim) -> Scene {
    if aim.lens().is_none() && aim.residual_grid().is_none() {
        return scene;
    }
    let picture_from_cloth = aim.picture_from_cloth();
    let Ok(cloth_from_picture) = picture_from_cloth.inverse(Point::ORIGIN) else { return scene };
    let bend = Bend { aim, picture_from_cloth, cloth_from_picture };
    for item in &mut scene.items {
        match &mut item.shape {
            Shape::Stroke(path) | Shape::Fill(path) => *path = bend.path(path),
            Shape::Label { at, .. } => *at = bend.place(*at),
        }
    }
    scene
}

struct Bend<'a> {
    aim: &'a Aim,
    picture_from_cloth: Homography,
    cloth_from_picture: Homography,
}

impl Bend<'_> {
    /// A place behind the lens stays: it is not lit anyway.
    fn place(&self, place: Point) -> Point {
        let lit = self.picture_from_cloth.map(place).map(|ideal| self.aim.bent(ideal));
        lit.and_then(|lit| self.cloth_from_picture.map(lit)).unwrap_or(place)
    }

    fn path(&self, path: &BezPath) -> BezPath {
        let mut bent = BezPath::new();
        let (mut start, mut last) = (Point::ORIGIN, Point::ORIGIN);
        let line_to = |bent: &mut BezPath, from: Point, to: Point| {
            let steps = (from.distance(to) / STRETCH_MM).ceil().clamp(1.0, 10_000.0);
            let mut step = 1.0;
            while step <= steps {
                bent.line_to(self.place(kurbo::Line::new(from, to).eval(step / steps)));
                step += 1.0;
            }
        };
        kurbo::flatten(path, FLATTEN_MM, |element| match element {
            PathEl::MoveTo(point) => {
                bent.move_to(self.place(point));
                (start, last) = (point, point);
            }
            PathEl::LineTo(point) => {
                line_to(&mut bent, last, point);
                last = point;
            }
            PathEl::ClosePath => {
                if last != start {
                    line_to(&mut bent, last, start);
                }
                bent.close_path();
                last = start;
            }
            // Flattening leaves only lines.
            PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
        });
        bent
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::aim::{Lens, Measured, MeasuredMark};
    use crate::scene::{Item, Meaning};

    #[test]
    fn light_falls_where_the_lens_throws_it() {
        let corners = [(-900.0, -500.0), (900.0, -500.0), (850.0, 480.0), (-850.0, 480.0)];
        let picks = [(100.0, 1000.0), (1800.0, 1010.0), (1790.0, 60.0), (90.0, 70.0)];
        let marks =
            picks.into_iter().zip(corners).map(|(pick, at)| MeasuredMark::new(pick, Some(at))).collect();
        let mut measured = Measured::new((1920, 1080), marks, Vec::new());
        measured.lens = Some(Lens { radial: 0.01, ..Lens::straight((1920, 1080)) });
        let aim = Aim::solve(&measured).unwrap();

        let mut line = BezPath::new();
        line.move_to((-800.0, 400.0));
        line.line_to((800.0, 400.0));
        let item = Item { meaning: Meaning::CuttingLine, piece: None, shape: Shape::Stroke(line) };
        let scene = bent(Scene { items: vec![item] }, &aim);
        let Shape::Stroke(drawn) = &scene.items[0].shape else { panic!("a line stays a line") };
        // Each point that is drawn lies, in the picture, where the aim says that its place on the cloth is lit.
        let steps = drawn.elements().len() - 1;
        let share =
            |k: usize| f64::from(u32::try_from(k).unwrap()) / f64::from(u32::try_from(steps).unwrap());
        for (index, element) in drawn.elements().iter().enumerate() {
            let lit = aim.picture_from_cloth().map(element.end_point().unwrap()).unwrap();
            let wanted = aim.picture_of(Point::new(-800.0 + 1600.0 * share(index), 400.0)).unwrap();
            assert!(lit.distance(wanted) < 1e-6, "{index}: {lit} for {wanted}");
        }
        // And it is no straight line any more: a percent at the corner of the picture is some ten pixels.
        let middle = drawn.elements()[steps / 2].end_point().unwrap();
        let ends = [0, steps].map(|at| drawn.elements()[at].end_point().unwrap());
        let off = (middle - ends[0]).cross(ends[1] - ends[0]).abs() / ends[0].distance(ends[1]);
        assert!(off > 2.0, "{off}");
    }
}
