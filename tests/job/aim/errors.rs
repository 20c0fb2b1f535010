//! The error map against what happens when everything is measured again and again.

use super::laws::Projector;
use super::{PICTURE, known, taped};
use chalkbeam::aim::{Aim, Homography, Measured};
use chalkbeam::geometry::{Point, Vec2};

/// A made-up projector 1.8 m up that lights about 1.6 m, tilted by 20°.
fn projector() -> Homography {
    Projector {
        tilt: 20.0,
        pan: 0.0,
        roll: 0.0,
        height: 1800.0,
        throw_ratio: 1.125,
        shift: (0.0, 0.0),
        foot: (0.0, 0.0),
    }
    .map()
}

/// Marks in a grid whose outer ones are 5 % inside the picture, counter-clockwise or in rows.
fn grid(side: u16) -> Measured {
    let (w, h) = (f64::from(PICTURE.0), f64::from(PICTURE.1));
    let part = |index: u16| 0.05 + 0.9 * f64::from(index) / f64::from(side - 1);
    let picks: Vec<(f64, f64)> =
        (0..side).flat_map(|row| (0..side).map(move |column| (w * part(column), h * part(row)))).collect();
    let back = Aim::from_homography(PICTURE, projector()).unwrap().surface_from_picture();
    let places: Vec<(f64, f64)> = picks.iter().map(|&pick| back.map(pick.into()).unwrap().into()).collect();
    known(&places, &picks)
}

/// Normally distributed numbers from a fixed seed: splitmix64 and Box–Muller.
pub(crate) struct Noise(pub(crate) u64);

impl Noise {
    pub(crate) fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        let bits = u32::try_from((z ^ (z >> 31)) >> 32).unwrap();
        (f64::from(bits) + 0.5) / (f64::from(u32::MAX) + 1.0)
    }

    pub(crate) fn normal(&mut self) -> f64 {
        (-2.0 * self.uniform().ln()).sqrt() * (std::f64::consts::TAU * self.uniform()).cos()
    }

    /// The measurement as another day would give it.
    pub(crate) fn shake(&mut self, exact: &Measured) -> Measured {
        let mut shaken = exact.clone();
        for mark in &mut shaken.marks {
            mark.picture.0 += exact.pick_sigma_px * self.normal();
            mark.picture.1 += exact.pick_sigma_px * self.normal();
        }
        for tape in &mut shaken.tapes {
            tape.mm += exact.tape_sigma_mm * self.normal();
        }
        shaken
    }
}

/// Where the light of an aim truly falls, at the places of the exact aim's error map, after the best shift and
/// turn: offsets from where it should.
pub(super) fn offsets(exact: &Aim, shaken: &Aim) -> Vec<Vec2> {
    let wanted: Vec<Point> = exact.error_map().unwrap().places().iter().map(|place| place.surface).collect();
    let lit: Vec<Point> = wanted
        .iter()
        .map(|&place| {
            let pick = shaken.picture_of(place).unwrap();
            exact.surface_from_picture().map(pick).unwrap()
        })
        .collect();
    let mean = |points: &[Point]| {
        let count = f64::from(u32::try_from(points.len()).unwrap());
        points.iter().fold(Point::ORIGIN, |sum, p| sum + p.to_vec2() / count)
    };
    let (from, to) = (mean(&lit), mean(&wanted));
    let arms = lit.iter().zip(&wanted).map(|(&a, &b)| (a - from, b - to));
    let (cross, dot) =
        arms.clone().fold((0.0, 0.0), |(cross, dot), (a, b)| (cross + a.cross(b), dot + a.dot(b)));
    let turn = Vec2::from_angle(f64::atan2(cross, dot));
    arms.map(|(a, b)| Vec2::new(turn.x * a.x - turn.y * a.y, turn.y * a.x + turn.x * a.y) - b).collect()
}

/// Root mean square over many days, of the offset at each place and of the lengths between corners (mm/m).
fn monte_carlo(exact: &Measured, days: u32, seed: u64) -> (Vec<f64>, f64) {
    let aim = Aim::solve(exact).unwrap();
    let places = aim.error_map().unwrap().places();
    let corners = [0, 8, 80, 72];
    let mut noise = Noise(seed);
    let mut squares = vec![0.0; places.len()];
    let mut lengths = Vec::new();
    for _ in 0..days {
        let offsets = offsets(&aim, &Aim::solve(&noise.shake(exact)).unwrap());
        for (square, offset) in squares.iter_mut().zip(&offsets) {
            *square += offset.hypot2() / f64::from(days);
        }
        let pairs = (0..4).flat_map(|a| (0..a).map(move |b| (corners[a], corners[b])));
        lengths.push(
            pairs
                .map(|(a, b)| {
                    let way = places[a].surface - places[b].surface;
                    1000.0 * (offsets[a] - offsets[b]).dot(way) / way.hypot2()
                })
                .collect::<Vec<f64>>(),
        );
    }
    let worst_length = (0..6)
        .map(|pair| lengths.iter().map(|day| day[pair] * day[pair] / f64::from(days)).sum::<f64>())
        .fold(0.0, f64::max);
    (squares.into_iter().map(f64::sqrt).collect(), worst_length.sqrt())
}

#[test]
fn the_error_map_is_what_a_thousand_days_show() {
    let mut nine = taped(&grid(3));
    nine.marks[0].surface = grid(3).marks[0].surface;
    for (seed, exact) in [grid(2), taped(&grid(2)), grid(3), nine].into_iter().enumerate() {
        let aim = Aim::solve(&exact).unwrap();
        let map = aim.error_map().unwrap();
        let (seen, length) = monte_carlo(&exact, 1000, u64::try_from(seed).unwrap());
        let corner = [0, 8, 72, 80].map(|place| seen[place]).into_iter().fold(0.0, f64::max);
        for (place, seen) in map.places().iter().zip(&seen) {
            assert!((place.sigma_mm / seen - 1.0).abs() < 0.1, "{place:?}: {seen}");
        }
        assert!((map.length_mm_per_m() / length - 1.0).abs() < 0.1);
        assert!((map.worst_corner_mm() / corner - 1.0).abs() < 0.1);
    }
}

#[test]
fn an_aim_picked_again_is_no_surer_of_its_marks_than_the_tapes_were() {
    let sigma = |aim: &Aim| aim.error_map().unwrap().worst_corner_mm();
    let (placed, taped) = (Aim::solve(&grid(2)).unwrap(), Aim::solve(&taped(&grid(2))).unwrap());
    assert!(sigma(&taped) > 1.3 * sigma(&placed));
    let nudged = taped.nudged(1, 4.0, 3.0).unwrap();
    assert!((sigma(&nudged) / sigma(&taped) - 1.0).abs() < 0.05);
}

#[test]
fn surer_picks_and_tapes_make_a_surer_aim_in_proportion() {
    let coarse = taped(&grid(2));
    let mut fine = coarse.clone();
    fine.pick_sigma_px /= 5.0;
    fine.tape_sigma_mm /= 5.0;
    let [coarse, fine] = [coarse, fine].map(|measured| Aim::solve(&measured).unwrap());
    let ratio = coarse.error_map().unwrap().centre_mm() / fine.error_map().unwrap().centre_mm();
    assert!((ratio - 5.0).abs() < 1e-6);
    assert_eq!(Aim::from_homography(PICTURE, projector()).unwrap().error_map(), None);
}
