//! What a residual grid displaces is displaced before it is drawn.
//!
//! Map and lens are the renderer's; the grid, a table of splines that few aims ask for, is taken here: each place p of
//! the scene is moved to where map and lens throw the pixel at which the grid wants p's light,
//! p ↦ H⁻¹(lens⁻¹(bent(H(p)))). Lines are cut into short stretches first; over a stretch of a centimetre splines with
//! knots a third of the picture apart leave their chord by less than a hundredth of a pixel. Letters keep their shape and
//! move as a whole.

use crate::aim::{Aim, Homography};
use crate::geometry::tolerance::FLATTEN_MM;
use crate::geometry::{BezPath, Point};
use crate::scene::{Scene, Shape};
use kurbo::{ParamCurve as _, PathEl};

/// Longest stretch that is drawn straight, in mm.
const STRETCH_MM: f64 = 10.0;

/// The scene as it must be drawn for the aim's residual grid; as it is, where the aim has none.
pub(super) fn bent(mut scene: Scene, aim: &Aim) -> Scene {
    if aim.residual_grid().is_none() {
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
        let ideal = lit.map(|lit| self.aim.lens().map_or(lit, |lens| lens.undistort(lit)));
        ideal.and_then(|ideal| self.cloth_from_picture.map(ideal)).unwrap_or(place)
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
    fn light_falls_where_the_grid_wants_it() {
        let flat = Homography::flat_view(1.0, Point::new(960.0, 540.0)).unwrap();
        let back = flat.inverse(Point::ORIGIN).unwrap();
        let marks = (0..25_u8).map(|k| {
            let pick = Point::new(96.0 + 432.0 * f64::from(k % 5), 54.0 + 243.0 * f64::from(k / 5));
            let wave = 2.0 * (pick.y / 170.0).sin();
            MeasuredMark::new((pick.x + wave, pick.y), Some(back.map(pick).unwrap().into()))
        });
        let mut measured = Measured::new((1920, 1080), marks.collect(), Vec::new());
        measured.residual_grid = true;
        measured.lens = Some(Lens { radial: 0.01, ..Lens::straight((1920, 1080)) });
        let aim = Aim::solve(&measured).unwrap();

        let mut line = BezPath::new();
        line.move_to((-800.0, 400.0));
        line.line_to((800.0, 400.0));
        let item = Item { meaning: Meaning::CuttingLine, piece: None, shape: Shape::Stroke(line) };
        let scene = bent(Scene { items: vec![item] }, &aim);
        let Shape::Stroke(drawn) = &scene.items[0].shape else { panic!("a line stays a line") };
        // Each point that is drawn is lit, through map and lens, where the aim says that its place on the cloth is.
        let steps = drawn.elements().len() - 1;
        let share =
            |k: usize| f64::from(u32::try_from(k).unwrap()) / f64::from(u32::try_from(steps).unwrap());
        let mut most = 0.0_f64;
        for (index, element) in drawn.elements().iter().enumerate() {
            let ideal = aim.picture_from_cloth().map(element.end_point().unwrap()).unwrap();
            let lit = aim.lens().unwrap().distort(ideal);
            let place = Point::new(-800.0 + 1600.0 * share(index), 400.0);
            let wanted = aim.picture_of(place).unwrap();
            assert!(lit.distance(wanted) < 1e-6, "{index}: {lit} for {wanted}");
            most = most.max(element.end_point().unwrap().distance(place));
        }
        assert!(most > 0.5, "the grid moves nothing: {most}");
    }
}
