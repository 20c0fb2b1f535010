//! A lens that bends, in simulated rooms; and a good one, of which nothing is made.

use super::PICTURE;
use super::errors::Noise;
use super::laws::Projector;
use chalkbeam::aim::{Aim, AimError, Homography, Lens, Measured, MeasuredMark, Reaim, Tape};
use chalkbeam::geometry::{Point, Vec2};

/// A picture 1600 mm wide at 1.8 m, tilted by 20°, the axis so many picture heights below its middle.
fn map(shift: f64) -> Homography {
    Projector {
        tilt: 20.0,
        pan: 0.0,
        roll: 0.0,
        height: 1691.0,
        throw_ratio: 1.125,
        shift: (0.0, shift),
        foot: (0.0, 0.0),
    }
    .map()
}

/// A lens with 1 % of pincushion at half the picture's diagonal, about the axis of an offset projector.
fn pincushion(shift: f64) -> Lens {
    Lens { radial: 0.01, centre_px: (960.0, 540.0 + 1080.0 * shift), ..Lens::straight(PICTURE) }
}

/// Truth: which place of the surface a pick lights.
fn lands(map: &Homography, lens: Lens, pick: Point) -> Point {
    let foot = Point::ORIGIN;
    map.inverse(foot).unwrap().map(lens.undistort(pick)).unwrap()
}

/// Marks in a square grid, the outer ones 5 % inside the picture, at known places.
fn grid(map: &Homography, lens: Lens, side: u16) -> Measured {
    let part = |index: u16| 0.05 + 0.9 * f64::from(index) / f64::from(side - 1);
    let marks = (0..side).flat_map(|row| (0..side).map(move |column| (row, column)));
    let marks = marks.map(|(row, column)| {
        let pick = Point::new(1920.0 * part(column), 1080.0 * part(row));
        MeasuredMark::new(pick.into(), Some(lands(map, lens, pick).into()))
    });
    Measured::new(PICTURE, marks.collect(), Vec::new())
}

/// Offsets of the light over the picture after the best shift and turn, rows of nine.
fn offsets(map: &Homography, lens: Lens, aim: &Aim) -> Vec<f64> {
    let places = (0..81).map(|index| Point::new(240.0 * f64::from(index % 9), 135.0 * f64::from(index / 9)));
    let pairs: Vec<(Point, Point)> = places
        .map(|pick| {
            let wanted = lands(map, lens, pick);
            (lands(map, lens, aim.picture_of(wanted).unwrap()), wanted)
        })
        .collect();
    rigid_off(&pairs).into_iter().map(Vec2::hypot).collect()
}

/// How far places are from where they should be, after the best shift and turn.
fn rigid_off(pairs: &[(Point, Point)]) -> Vec<Vec2> {
    let mean = |part: fn(&(Point, Point)) -> Point| {
        let sum = pairs.iter().map(part).fold(Vec2::ZERO, |sum, at| sum + at.to_vec2() / 81.0);
        sum.to_point()
    };
    let (from, to) = (mean(|pair| pair.0), mean(|pair| pair.1));
    let arms = || pairs.iter().map(|(a, b)| (*a - from, *b - to));
    let turn = f64::atan2(arms().map(|(a, b)| a.cross(b)).sum(), arms().map(|(a, b)| a.dot(b)).sum());
    let turn = Vec2::from_angle(turn);
    let back = |a: Vec2| Vec2::new(turn.x * a.x - turn.y * a.y, turn.y * a.x + turn.x * a.y);
    arms().map(|(a, b)| back(a) - b).collect()
}

fn worst(offsets: &[f64]) -> f64 {
    offsets.iter().copied().fold(0.0, f64::max)
}

#[test]
fn exact_marks_show_the_lens_itself() {
    for shift in [0.0, 0.5] {
        let (map, lens) = (map(shift), pincushion(shift));
        let aim = Aim::solve(&grid(&map, lens, 5)).unwrap();
        let found = aim.lens().unwrap();
        // The weak priors pull a little.
        assert!((found.radial / lens.radial - 1.0).abs() < 0.05, "{found:?}");
        assert!(worst(&offsets(&map, lens, &aim)) < 0.1);
        for mark in aim.marks() {
            assert!(mark.residual_px < 0.1);
            assert!(aim.picture_of(mark.surface).unwrap().distance(mark.picture) < 0.1);
        }
        let json = serde_json::to_value(aim.report()).unwrap();
        assert!(json["lens"]["radial"].is_number());
    }
}

/// Target, set beforehand: 1 % with an offset lens, nine marks picked to 0.5 px, at most 1.0 mm. With the map alone it
/// was 5.9 mm in simulation.
#[test]
fn nine_marks_see_through_an_offset_lens() {
    let mut noise = Noise(31);
    for (shift, limit) in [(0.0, 1.0), (0.5, 1.0)] {
        let (map, lens) = (map(shift), pincushion(shift));
        let exact = grid(&map, lens, 3);
        let mut errors = Vec::new();
        let (mut seen, mut predicted) = (0.0, 0.0);
        for _ in 0..200 {
            let aim = Aim::solve(&noise.shake(&exact)).unwrap();
            assert!(aim.lens().is_some() && aim.outliers().is_empty());
            let offsets = offsets(&map, lens, &aim);
            errors.push(worst(&offsets));
            seen += [0, 8, 72, 80].map(|corner| offsets[corner].powi(2)).iter().sum::<f64>();
            let places = aim.error_map().unwrap().places();
            predicted += [0, 8, 72, 80].map(|corner| places[corner].sigma_mm.powi(2)).iter().sum::<f64>();
        }
        let mean = errors.iter().sum::<f64>() / 200.0;
        assert!(mean < limit, "{mean}");
        // The error map knows the lens is fitted; its priors make it a little too careful.
        assert!((0.75..1.2).contains(&(seen / predicted).sqrt()), "{seen} {predicted}");
    }
}

#[test]
fn of_a_good_lens_nothing_is_made() {
    let mut noise = Noise(77);
    for (side, days) in [(3, 300), (5, 100)] {
        let exact = grid(&map(0.0), Lens::straight(PICTURE), side);
        let mut fitted = 0;
        for _ in 0..days {
            let aim = Aim::solve(&noise.shake(&exact)).unwrap();
            if aim.lens().is_some() {
                fitted += 1;
            }
        }
        assert!(f64::from(fitted) <= 0.03 * f64::from(days), "{fitted} of {days}");
    }
}

#[test]
fn tapes_alone_show_the_lens_too() {
    let (map, lens) = (map(0.0), pincushion(0.0));
    let mut measured = grid(&map, lens, 3);
    let places: Vec<Point> = measured.marks.iter().map(|mark| mark.surface.unwrap().into()).collect();
    for (a, b) in (0..9).flat_map(|a| (a + 1..9).map(move |b| (a, b))) {
        measured.tapes.push(Tape::new(a, b, places[a].distance(places[b])));
    }
    for mark in &mut measured.marks {
        mark.surface = None;
    }
    let aim = Aim::solve(&measured).unwrap();
    assert!((aim.lens().unwrap().radial - 0.01).abs() < 0.002, "{:?}", aim.lens());
}

#[test]
fn a_lens_that_is_known_stays_through_the_file_and_through_a_bump() {
    let (before, lens) = (map(0.5), pincushion(0.5));
    let aim = Aim::solve(&grid(&before, lens, 5)).unwrap();
    let known = aim.lens().unwrap();
    let text = ron::to_string(&aim.measured()).unwrap();
    let again = Aim::solve(&ron::from_str(&text).unwrap()).unwrap();
    assert_eq!(again.lens(), Some(known));
    assert!(worst(&offsets(&before, lens, &again)) < 0.1);
    // Bumped: four of the marks are enough, because the lens is the projector's own.
    let after = Projector {
        tilt: 21.0,
        pan: 0.4,
        roll: -0.6,
        height: 1694.0,
        throw_ratio: 1.125,
        shift: (0.0, 0.5),
        foot: (8.0, -5.0),
    }
    .map();
    let mut reaim = Reaim::of(&aim).unwrap();
    while reaim.count_placed() < 4 {
        let surface = aim.marks()[reaim.active()].surface;
        reaim.drag(lens.distort(after.map(surface).unwrap()));
    }
    let found = reaim.aim().unwrap();
    assert_eq!(found.lens(), Some(known));
    let error = worst(&offsets(&after, lens, &found));
    assert!(error < 0.3, "{error}");
    let mut folded = aim.measured();
    folded.lens = Some(Lens { radial: -0.4, ..known });
    assert!(matches!(Aim::solve(&folded), Err(AimError::Lens { .. })));
}

/// Truth for a lens that bends otherwise than radially, or a table that is not flat: some px, smooth over the picture.
fn wave(at: Point) -> Vec2 {
    let (x, y) = (at.x / 1920.0, at.y / 1080.0);
    let turn = std::f64::consts::TAU;
    Vec2::new(2.5 * (0.7 * turn * y).sin() * (0.5 * turn * x).cos(), 2.0 * (0.6 * turn * x + 0.4).sin())
}

/// Mean square error in px over the picture, of light that should fall where the wave throws it.
fn off_px(map: &Homography, aim: &Aim, wave: impl Fn(Point) -> Vec2) -> f64 {
    let places = (0..99)
        .map(|index| Point::new(130.0 + 166.0 * f64::from(index % 11), 80.0 + 115.0 * f64::from(index / 11)));
    let squares = places.map(|ideal| {
        let surface = map.inverse(Point::ORIGIN).unwrap().map(ideal).unwrap();
        aim.picture_of(surface).unwrap().distance_squared(ideal + wave(ideal))
    });
    (squares.sum::<f64>() / 99.0).sqrt()
}

/// Twenty-five marks under a wave of so many parts of its height, picked with some noise.
fn waved(map: &Homography, part: f64, noise: &mut Noise) -> Measured {
    let mut measured = grid(map, Lens::straight(PICTURE), 5);
    for mark in &mut measured.marks {
        let ideal = Point::from(mark.picture);
        let seen = ideal + part * wave(ideal) + 0.4 * Vec2::new(noise.normal(), noise.normal());
        mark.picture = seen.into();
    }
    measured
}

/// Target, set beforehand: a smooth distortion that is not radial is halved, and noise is not fitted.
#[test]
fn a_residual_grid_halves_what_no_lens_explains_and_leaves_noise_alone() {
    let map = map(0.0);
    let mut noise = Noise(41);
    let mut sums = [[0.0; 2]; 2];
    for _ in 0..20 {
        for (row, part) in [1.0, 0.0].into_iter().enumerate() {
            let measured = waved(&map, part, &mut noise);
            for (column, residual_grid) in [false, true].into_iter().enumerate() {
                let aim = Aim::solve(&Measured { residual_grid, ..measured.clone() }).unwrap();
                assert_eq!(aim.residual_grid().is_some(), residual_grid, "only when it is asked for");
                sums[row][column] += off_px(&map, &aim, |at| part * wave(at)) / 20.0;
            }
        }
    }
    eprintln!(
        "wave: {:.2} px without, {:.2} with; noise alone: {:.2}, {:.2}",
        sums[0][0], sums[0][1], sums[1][0], sums[1][1]
    );
    assert!(sums[0][1] < 0.5 * sums[0][0], "{sums:?}");
    assert!(sums[1][1] < 1.25 * sums[1][0], "{sums:?}");
}

#[test]
fn a_residual_grid_of_few_marks_is_refused_and_survives_the_file() {
    let map = map(0.0);
    let few = Measured { residual_grid: true, ..grid(&map, Lens::straight(PICTURE), 4) };
    assert_eq!(Aim::solve(&few), Err(AimError::TooFewForGrid { count: 16, least: 25 }));
    let measured = Measured { residual_grid: true, ..waved(&map, 1.0, &mut Noise(2)) };
    let aim = Aim::solve(&measured).unwrap();
    let text = ron::to_string(&aim.measured()).unwrap();
    assert!(text.contains("residual_grid:true"));
    for at in [(100.0, 100.0), (960.0, 540.0), (1800.0, 900.0)].map(Point::from) {
        let surface = aim.surface_of(at).unwrap();
        assert!(aim.picture_of(surface).unwrap().distance(at) < 1e-6);
    }
    assert_eq!(serde_json::to_value(aim.report()).unwrap()["residual_grid"], serde_json::json!(true));
}

/// What many days of the same room show at the picture's 81 places, in mm² after the best shift and turn.
struct Days {
    /// Mean square of what is off.
    off: Vec<f64>,
    /// The part of it that changes from day to day.
    spread: Vec<f64>,
    /// What the error map says, mean of the squares.
    said: Vec<f64>,
}

impl Days {
    fn under_a_wave(part: f64, days: u32, noise: &mut Noise) -> Self {
        let map = map(0.0);
        let exact = grid(&map, Lens::straight(PICTURE), 5);
        let back = map.inverse(Point::ORIGIN).unwrap();
        let places = Aim::solve(&exact).unwrap().error_map().unwrap().places().to_vec();
        let share = 1.0 / f64::from(days);
        let (mut off, mut said, mut mean) = (vec![0.0; 81], vec![0.0; 81], vec![Vec2::ZERO; 81]);
        for _ in 0..days {
            let mut measured = Measured { residual_grid: true, ..exact.clone() };
            for mark in &mut measured.marks {
                let shake = measured.pick_sigma_px * Vec2::new(noise.normal(), noise.normal());
                let ideal = Point::from(mark.picture);
                mark.picture = (ideal + part * wave(ideal) + shake).into();
            }
            let aim = Aim::solve(&measured).unwrap();
            let lands = |place: Point| {
                let light = aim.picture_of(place).unwrap();
                // Where the wave throws it: the wave is taken off again.
                let ideal = (0..20).fold(light, |ideal, _| light - part * wave(ideal));
                back.map(ideal).unwrap()
            };
            let pairs: Vec<_> = places.iter().map(|place| (lands(place.surface), place.surface)).collect();
            for (index, away) in rigid_off(&pairs).into_iter().enumerate() {
                off[index] += share * away.hypot2();
                mean[index] += share * away;
                said[index] += share * aim.error_map().unwrap().places()[index].sigma_mm.powi(2);
            }
        }
        let spread = off.iter().zip(&mean).map(|(off, mean)| off - mean.hypot2()).collect();
        Self { off, spread, said }
    }
}

/// The root of one sum over another.
fn ratio(of: &[f64], to: &[f64]) -> f64 {
    (of.iter().sum::<f64>() / to.iter().sum::<f64>()).sqrt()
}

/// Target, set beforehand: within 10 %, in the middle, at the corners and over all on a flat surface; over all under a
/// wave, where what the smoothing takes away is part of what is off. No place changes more from day to day than is said.
#[test]
fn the_error_map_knows_what_a_residual_grid_adds() {
    let mut noise = Noise(53);
    let flat = Days::under_a_wave(0.0, 500, &mut noise);
    for place in [0, 8, 72, 80, 40] {
        let found = (flat.said[place] / flat.off[place]).sqrt();
        assert!((found - 1.0).abs() < 0.1, "place {place}: {found}");
    }
    let waved = Days::under_a_wave(1.0, 200, &mut noise);
    for days in [&flat, &waved] {
        let found = ratio(&days.said, &days.off);
        assert!((found - 1.0).abs() < 0.1, "over all: {found}");
        let least = days.said.iter().zip(&days.spread).map(|(said, spread)| (said / spread).sqrt());
        let least = least.fold(f64::MAX, f64::min);
        assert!(least > 0.9, "{least}");
    }
}
