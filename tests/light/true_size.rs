//! The job: a cutting line is light where the cutter must go, and 100 mm are 100 mm.
//!
//! Rendered lines are measured as a camera would: the centre of the light along each row (or column) that
//! crosses the line, against the true place from the simulated room. Nothing of the library's own mapping is
//! used for the truth.

use crate::room::{Dice, Room};
use crate::studio::{device, item, light, linear, scene};
use chalkbeam::geometry::{BezPath, CubicBez, Line, Point, Vec2};
use chalkbeam::light::{Picture, picture};
use chalkbeam::scene::{Lamp, Meaning, Scene, Shape};
use kurbo::{ParamCurve as _, Shape as _};

const ROOMS: u64 = 54;
/// Half the number of pixels that are looked at across a line.
const LOOK_PX: f64 = 7.0;

/// Centre of the light around `near` px along a row or column through pixel middle `across`.
fn centre(picture: &Picture, rows: bool, across: u32, near: f64) -> Option<f64> {
    let (low, high) = ((near - LOOK_PX).floor(), (near + LOOK_PX).ceil());
    let limit = f64::from(picture.size()[usize::from(!rows)]);
    if low < 0.0 || high >= limit {
        return None;
    }
    let (mut sum, mut moment) = (0.0, 0.0);
    for along in low as u32..=high as u32 {
        let here = if rows { light(picture, along, across) } else { light(picture, across, along) };
        sum += here;
        moment += here * (f64::from(along) + 0.5);
    }
    (sum > 0.5).then(|| moment / sum)
}

/// Measured points of a line with their truth, in px: (measured, true, unit normal at the truth).
fn measure(
    picture: &Picture,
    truth: impl Fn(f64) -> Point, // px, parameter 0 to 1
    skip_ends_px: f64,
) -> Vec<(Point, Point, Vec2)> {
    const STEPS: u32 = 4000;
    let mut found = Vec::new();
    let points: Vec<Point> = (0..=STEPS).map(|step| truth(f64::from(step) / f64::from(STEPS))).collect();
    let (first, last) = (points[0], points[points.len() - 1]);
    for (index, pair) in points.windows(2).enumerate() {
        let along = pair[1] - pair[0];
        let rows = along.y.abs() > along.x.abs();
        let axis = |p: Point| if rows { (p.y, p.x) } else { (p.x, p.y) };
        let (a, b) = (axis(pair[0]).0, axis(pair[1]).0);
        // The pixel middle that lies between the two, if there is one.
        let middle = (a.min(b) - 0.5).ceil() + 0.5;
        if middle >= a.max(b) || middle < 0.0 {
            continue;
        }
        let share = (middle - a) / (b - a);
        let t = (index as f64 + share) / f64::from(STEPS);
        let at = truth(t);
        if at.distance(first) < skip_ends_px || at.distance(last) < skip_ends_px {
            continue;
        }
        let near = axis(at).1;
        let Some(centre) = centre(picture, rows, middle as u32, near) else {
            continue;
        };
        let measured = if rows { Point::new(centre, middle) } else { Point::new(middle, centre) };
        let normal = Vec2::new(-along.y, along.x) / along.hypot();
        found.push((measured, at, normal));
    }
    found
}

/// Largest distance of measured from true along the normal.
fn worst(found: &[(Point, Point, Vec2)]) -> f64 {
    found.iter().map(|(measured, truth, normal)| (*measured - *truth).dot(*normal).abs()).fold(0.0, f64::max)
}

/// Where the features of a room stand: eight cells of the picture, one feature each.
fn cell(room: &Room, number: u32) -> (Point, f64) {
    let [width, height] = room.size.map(f64::from);
    let (column, row) = (f64::from(number % 4), f64::from(number / 4));
    let middle = Point::new((column + 0.5) * width / 4.0, (row + 0.5) * height / 2.0);
    (middle, width / 4.0)
}

/// Five straight cutting lines and three curves of a room, in its eight cells, on the surface.
struct Lines {
    straight: Vec<(Point, Point)>,
    bent: Vec<CubicBez>,
}

impl Lines {
    fn of(room: &Room, dice: &mut Dice) -> Self {
        let mut straight = |place: u32| {
            let (middle, side) = cell(room, place);
            let reach = Vec2::from_angle(dice.between(0.0, 3.2)) * (0.45 * side);
            (room.surface_from_picture(middle - reach), room.surface_from_picture(middle + reach))
        };
        let straight = (0..5).map(&mut straight).collect();
        let mut bent = |place: u32| {
            let (middle, side) = cell(room, place);
            let turn = Vec2::from_angle(dice.between(0.0, 6.3));
            let [p0, p1, p2, p3] = [(-0.42, -0.1), (-0.2, 0.35), (0.15, 0.3), (0.4, -0.2)].map(|offset| {
                room.surface_from_picture(middle + turn.rotate_scale(Vec2::from(offset) * side))
            });
            CubicBez::new(p0, p1, p2, p3)
        };
        let bent = (5..8).map(&mut bent).collect();
        Self { straight, bent }
    }

    fn scene(&self) -> Scene {
        let mut paths: Vec<BezPath> = Vec::new();
        for (from, to) in &self.straight {
            paths.push(Line::new(*from, *to).to_path(1.0));
        }
        for curve in &self.bent {
            paths.push(curve.to_path(1.0));
        }
        scene(paths.into_iter().map(|path| item(Meaning::CuttingLine, Shape::Stroke(path))))
    }

    /// Largest error of the straight lines and of the curves, in px.
    fn errors(&self, room: &Room, picture: &Picture) -> (f64, f64) {
        let error = |place: &dyn Fn(f64) -> Point| {
            let found = measure(picture, |t| room.picture_from_surface(place(t)), 4.0);
            assert!(found.len() > 100, "{} rows in {room:?}", found.len());
            worst(&found)
        };
        let straight = self.straight.iter().map(|(from, to)| error(&|t| from.lerp(*to, t)));
        let bent = self.bent.iter().map(|curve| error(&|t| curve.eval(t)));
        (straight.fold(0.0, f64::max), bent.fold(0.0, f64::max))
    }
}

#[test]
fn cutting_lines_lie_where_they_should_in_every_room() {
    let (mut straight, mut bent) = (0.0_f64, 0.0_f64);
    for number in 0..ROOMS {
        let room = Room::numbered(number);
        let lines = Lines::of(&room, &mut Dice(number + 1000));
        let Some(picture) = linear(room.size, &room.aim(), &lines.scene()) else {
            return;
        };
        let errors = lines.errors(&room, &picture);
        straight = straight.max(errors.0);
        bent = bent.max(errors.1);
    }
    eprintln!("{ROOMS} rooms: straight lines within {straight:.4} px, curves within {bent:.4} px");
    assert!(straight <= 0.02, "a straight line is {straight} px off");
    assert!(bent <= 0.08, "a curve is {bent} px off");
}

#[test]
fn eight_bits_of_srgb_are_enough_to_keep_a_line_in_its_place() {
    let Some(device) = device() else { return };
    let (mut straight, mut bent) = (0.0_f64, 0.0_f64);
    for number in 0..6 {
        let room = Room::numbered(number);
        let lines = Lines::of(&room, &mut Dice(number + 3000));
        let shown = picture(device, room.size, &room.aim(), &lines.scene(), &Lamp::default()).unwrap();
        let errors = lines.errors(&room, &shown);
        straight = straight.max(errors.0);
        bent = bent.max(errors.1);
    }
    eprintln!("eight bits: straight lines within {straight:.4} px, curves within {bent:.4} px");
    assert!(straight <= 0.02, "a straight line is {straight} px off");
    assert!(bent <= 0.08, "a curve is {bent} px off");
}

/// A line through points by least squares (total), as a point and a unit direction.
fn fitted(points: &[Point]) -> (Point, Vec2) {
    let count = points.len() as f64;
    let mean = points.iter().map(|p| p.to_vec2()).sum::<Vec2>() / count;
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for point in points {
        let d = point.to_vec2() - mean;
        xx += d.x * d.x;
        xy += d.x * d.y;
        yy += d.y * d.y;
    }
    (mean.to_point(), Vec2::from_angle(0.5 * (2.0 * xy).atan2(xx - yy)))
}

#[test]
fn a_proof_square_measures_100_mm_on_the_surface() {
    const SIDE_MM: f64 = 100.0;
    let (mut worst_side, mut worst_angle) = (0.0_f64, 0.0_f64);
    for number in 0..ROOMS {
        let room = Room::numbered(number);
        let mut dice = Dice(number + 2000);
        let [width, height] = room.size.map(f64::from);
        let middle = room.surface_from_picture(Point::new(
            width * dice.between(0.2, 0.8),
            height * dice.between(0.2, 0.8),
        ));
        let turn = Vec2::from_angle(dice.between(0.0, 1.6));
        let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|corner| middle + turn.rotate_scale(Vec2::from(corner) * (SIDE_MM / 2.0)));
        let mut path = BezPath::new();
        path.move_to(corners[0]);
        for corner in &corners[1..] {
            path.line_to(*corner);
        }
        path.close_path();
        let square = scene([item(Meaning::Proof, Shape::Stroke(path))]);
        let Some(picture) = linear(room.size, &room.aim(), &square) else {
            return;
        };
        let sides: Vec<_> = (0..4)
            .map(|side| {
                let (from, to) = (corners[side], corners[(side + 1) % 4]);
                let found = measure(&picture, |t| room.picture_from_surface(from.lerp(to, t)), 12.0);
                assert!(found.len() > 20, "room {number}: {} rows", found.len());
                // Back on the surface, where a tape would be laid.
                let places: Vec<_> =
                    found.iter().map(|(measured, ..)| room.surface_from_picture(*measured)).collect();
                fitted(&places)
            })
            .collect();
        for (one, other) in [(0, 2), (1, 3)] {
            let ((a, along), (b, _)) = (sides[one], sides[other]);
            worst_side = worst_side.max(((b - a).cross(along).abs() - SIDE_MM).abs());
            worst_angle = worst_angle.max(sides[one].1.dot(sides[(one + 1) % 4].1).abs());
        }
    }
    eprintln!("proof squares within {worst_side:.4} mm, corners within {worst_angle:.5} rad of square");
    assert!(worst_side <= 0.05, "a side is {worst_side} mm off");
    assert!(worst_angle <= 1e-3, "a corner is {worst_angle} rad off square");
}
