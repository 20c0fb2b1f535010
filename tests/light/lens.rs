//! A lens that bends, drawn: measured in the picture against the aim's own arithmetic.

use crate::studio::{device, light, linear_studio, scene, stroke, total};
use chalkbeam::aim::{Aim, Lens, Measured, MeasuredMark};
use chalkbeam::floor::floor_throw;
use chalkbeam::garment::{Command, Mount};
use chalkbeam::geometry::{Affine, Point};
use chalkbeam::light::{Drawing, Picture, Throw, Uploaded};
use chalkbeam::scene::{Lamp, Meaning, Scene, style_of};

const SIZE: (u32, u32) = (1920, 1080);

/// A tilted aim through an offset lens whose light is 40 px off in the far corners.
fn aim(radial: f64) -> Aim {
    let corners = [(-900.0, -500.0), (900.0, -500.0), (850.0, 480.0), (-850.0, 480.0)];
    let picks = [(100.0, 1000.0), (1800.0, 1010.0), (1700.0, 60.0), (190.0, 70.0)];
    let marks = picks.into_iter().zip(corners).map(|(pick, at)| MeasuredMark::new(pick, Some(at))).collect();
    let mut measured = Measured::new(SIZE, marks, Vec::new());
    measured.lens = Some(Lens { radial, centre_px: (960.0, 900.0), ..Lens::straight(SIZE) });
    Aim::solve(&measured).unwrap()
}

fn throw(aim: &Aim, shown: Affine) -> Throw {
    let [a, b, c, d, e, f] = shown.as_coeffs();
    let matrix = glam::DMat3::from_cols_array(&[a, b, 0.0, c, d, 0.0, e, f, 1.0]);
    let map = aim.picture_from_cloth();
    let map = chalkbeam::aim::Homography::new(matrix * map.matrix(), Point::ORIGIN).unwrap();
    Throw::through(map, &aim.lens().unwrap(), shown)
}

fn drawn(size: (u32, u32), throw: &Throw, scene: &Scene) -> Option<Picture> {
    let drawing = Drawing::cut_up(scene, &Lamp::default(), throw.longest_mm(size));
    let uploaded = Uploaded::new(device()?, drawing);
    Some(linear_studio()?.take([size.0, size.1], throw, [0.0; 3], &[&uploaded]).unwrap())
}

/// The middle of the light of a column.
fn middle(picture: &Picture, x: u32) -> Option<f64> {
    let rows = (0..picture.size()[1]).map(|y| (light(picture, x, y), f64::from(y) + 0.5));
    let (sum, moment) = rows.fold((0.0, 0.0), |(sum, moment), (lit, y)| (sum + lit, moment + lit * y));
    (sum > 0.1).then(|| moment / sum)
}

/// Where a line at a height of the surface crosses a column's middle: by the aim, as the target shows it.
fn crossing(aim: &Aim, shown: Affine, y_mm: f64, column: f64) -> f64 {
    let lit = |x: f64| shown * aim.picture_of(Point::new(x, y_mm)).unwrap();
    let (mut low, mut high) = (-1400.0, 1400.0);
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if (lit(mid).x < column) == (lit(low).x < column) { low = mid } else { high = mid }
    }
    lit(low).y
}

#[test]
fn the_shader_bends_as_the_aim_says_within_a_tenth_of_a_pixel() {
    for radial in [0.03, -0.03] {
        let aim = aim(radial);
        // On the projector; in a window of another shape; turned over.
        for (size, shown) in [
            (SIZE, Affine::IDENTITY),
            ((1280, 600), Affine::scale_non_uniform(2.0 / 3.0, 600.0 / 1080.0)),
            (SIZE, Affine::new([-1.0, 0.0, 0.0, -1.0, 1920.0, 1080.0])),
        ] {
            let throw = throw(&aim, shown);
            for y_mm in [450.0, 100.0, -300.0] {
                let line = format!("M-1400,{y_mm} L1400,{y_mm}");
                let items = scene([stroke(Meaning::ActiveMark, &line)]);
                let Some(picture) = drawn(size, &throw, &items) else { return };
                let (mut worst, mut sag) = (0.0_f64, (f64::MAX, f64::MIN));
                for x in (20..size.0 - 20).step_by(7) {
                    let wanted = crossing(&aim, shown, y_mm, f64::from(x) + 0.5);
                    let Some(found) = middle(&picture, x) else { continue };
                    worst = worst.max((found - wanted).abs());
                    sag = (sag.0.min(found), sag.1.max(found));
                }
                assert!(worst < 0.1, "{radial} {size:?} {y_mm}: {worst} px");
                assert!(y_mm < 400.0 || sag.1 - sag.0 > 5.0, "it is not bent: {sag:?}");
            }
        }
    }
}

#[test]
fn a_bent_line_is_as_wide_as_its_mm() {
    let aim = aim(0.05);
    // Large enough that the line is as wide as its mm and not as its least pixels.
    let size = (2 * SIZE.0, 2 * SIZE.1);
    let throw = throw(&aim, Affine::scale(2.0));
    let width_mm = style_of(Meaning::ActiveMark).width_mm;
    // Short upright and level lines near a corner, where the lens stretches most, and not alike both ways.
    for (line, across) in [("M780,380 L780,460", (1.0, 0.0)), ("M760,420 L840,420", (0.0, 1.0))] {
        let Some(picture) = drawn(size, &throw, &scene([stroke(Meaning::ActiveMark, line)])) else { return };
        // All the light is the area of the line in the picture: its corners, through the aim.
        let path = chalkbeam::geometry::BezPath::from_svg(line).unwrap();
        let ends: Vec<Point> = path.elements().iter().filter_map(|element| element.end_point()).collect();
        let side = |end: Point, sign: f64| {
            let off = 0.5 * sign * width_mm;
            throw.map(Point::new(end.x + off * across.0, end.y + off * across.1)).unwrap()
        };
        let around = [side(ends[0], 1.0), side(ends[1], 1.0), side(ends[1], -1.0), side(ends[0], -1.0)];
        let area: f64 = (0..4).map(|k| 0.5 * around[k].to_vec2().cross(around[(k + 1) % 4].to_vec2())).sum();
        let lit = total(&picture);
        assert!((lit / area.abs() - 1.0).abs() < 0.01, "{line}: {lit} for {}", area.abs());
    }
}

#[test]
fn what_lies_far_outside_is_not_folded_into_the_picture() {
    let aim = aim(-0.09);
    let throw = throw(&aim, Affine::IDENTITY);
    let outside =
        "M-9000,1900 L9000,1900 M-9000,-1500 L9000,-1500 M2900,-9000 L2900,1900 M-2900,-9000 L-2900,1900";
    let Some(picture) = drawn(SIZE, &throw, &scene([stroke(Meaning::ActiveMark, outside)])) else { return };
    assert!(total(&picture) < 1e-3, "{} px of light", total(&picture));
}

#[test]
fn the_floor_is_lit_through_the_lens_whichever_way_the_projector_hangs() {
    let open = chalkbeam::demo::garden_coat().unwrap();
    let before = open.aim().good.clone().unwrap();
    let mut measured = before.measured();
    measured.lens = Some(Lens { radial: 0.02, centre_px: (960.0, 900.0), ..Lens::straight(SIZE) });
    let mut open = open;
    open.perform(&Command::TakeAim(Box::new(measured)), None).unwrap();
    let aim = open.aim().good.clone().unwrap();
    for (mirrored, upside_down, on_its_side) in
        [(false, false, false), (true, false, false), (false, true, false), (true, true, true)]
    {
        let mount = Mount { mirrored, upside_down, on_its_side };
        open.perform(&Command::SetMount(mount), None).unwrap();
        let window = mount.picture_size(SIZE);
        let throw = floor_throw(&open, window).unwrap();
        for place in [(-300.0, -200.0), (400.0, 300.0)].map(Point::from) {
            let lit = aim.picture_of_cloth(place).unwrap();
            let wanted = mount.in_window(lit.into(), (f64::from(SIZE.0), f64::from(SIZE.1)));
            assert!(throw.map(place).unwrap().distance(wanted.into()) < 1e-6, "{mount:?}");
            assert!(aim.picture_from_cloth().map(place).unwrap().distance(lit) > 0.3, "nothing is bent");
        }
    }
}
