//! What picks and an aim that is a little off add up to over several stands, in simulated rooms.

use super::{PICTURE, corners, ground, room};
use crate::aim::errors::Noise;
use chalkbeam::aim::{
    Aim, Cross, Ground, Measured, MeasuredMark, Motion, Registration, STRETCH_MM, StandError, Stands,
    drift_sigma_mm,
};
use chalkbeam::floor::few_crosses;
use chalkbeam::garment::{CHALK_MM, OneStand, StandWork};
use chalkbeam::geometry::{Point, Rect, Vec2};

/// What one simulated cutting in stands came to, in mm.
struct Cutting {
    /// How far the worst place is from where the first stand's lines put it.
    drift: f64,
    /// The same for one far end of the piece.
    far_end: f64,
    /// The worst place of all stands after the best rigid alignment: what the piece is out of shape.
    shape: f64,
    /// What the registrations predict for the drift, 1σ.
    predicted: f64,
    refused: u32,
}

/// Cuts a piece in its stands in a room with a noisy person; `aim` is what the desk believes of the light.
fn cut(stands: &Stands, truth: &Aim, aim: &Aim, noise: &mut Noise) -> Cutting {
    let pick = |surface: Point, noise: &mut Noise| {
        let light = truth.picture_from_surface().map(surface).unwrap();
        light + aim.pick_sigma_px() * Vec2::new(noise.normal(), noise.normal())
    };
    let mut refused = 0;
    let handled = |stand: usize, noise: &mut Noise| {
        let plan = stands.stands[stand].surface_from_cloth;
        let (turn, shift) = (0.02 * noise.normal(), 4.0 * Vec2::new(noise.normal(), noise.normal()));
        let middle = stands.stands[stand].on_cloth.center();
        Motion::taking(middle, plan.apply(middle) + shift, plan.turn + turn)
    };
    let mut lies = vec![handled(0, noise)];
    let mut believed = lies.clone();
    let mut moves: Vec<Registration> = Vec::new();
    for join in &stands.joins {
        loop {
            let next = handled(join.to, noise);
            let laid: Vec<Point> = join
                .crosses
                .iter()
                .map(|cross| *cross + 3.0 * Vec2::new(noise.normal(), noise.normal()))
                .collect();
            let crosses: Vec<Cross> = laid
                .iter()
                .map(|place| {
                    let seen = pick(lies[join.from].apply(*place), noise);
                    aim.cross_at(&believed[join.from], seen).unwrap()
                })
                .collect();
            let picks: Vec<Point> = laid.iter().map(|place| pick(next.apply(*place), noise)).collect();
            match aim.register(&crosses, &picks, STRETCH_MM) {
                Ok(found) => {
                    lies.push(next);
                    believed.push(found.surface_from_cloth);
                    moves.push(found);
                    break;
                }
                Err(StandError::Stretched { .. } | StandError::CrossOff { .. }) => refused += 1,
                Err(error) => panic!("{error}"),
            }
        }
    }
    // Where each place of the cloth is cut that the desk takes for `place`.
    let cut_at = |stand: usize, place: Point| {
        let light = aim.picture_from_surface().map(believed[stand].apply(place)).unwrap();
        let surface = truth.surface_from_picture().map(light).unwrap();
        lies[stand].inverse().apply(surface)
    };
    let (mut wanted, mut found) = (Vec::new(), Vec::new());
    for (stand, place) in stands.stands.iter().enumerate() {
        for corner in corners(place.on_cloth.inset(-10.0)) {
            wanted.push(corner);
            found.push(cut_at(stand, corner));
        }
    }
    let last = wanted.len() - 1;
    let way = stands.way_to(stands.stands.len() - 1);
    let last_moves: Vec<Registration> = way[1..].iter().map(|&stand| moves[stand - 1].clone()).collect();
    let gaps = found.iter().zip(&wanted).map(|(a, b)| a.distance(*b));
    Cutting {
        drift: gaps.fold(0.0, f64::max),
        far_end: found[last].distance(wanted[last]),
        shape: out_of_shape(&wanted, &found),
        predicted: drift_sigma_mm(&last_moves, wanted[last]),
        refused,
    }
}

/// Largest distance after the best shift and turn.
fn out_of_shape(wanted: &[Point], found: &[Point]) -> f64 {
    let count = f64::from(u32::try_from(wanted.len()).unwrap());
    let mean =
        |points: &[Point]| points.iter().fold(Vec2::ZERO, |sum, p| sum + p.to_vec2() / count).to_point();
    let (from, to) = (mean(found), mean(wanted));
    let arms = || found.iter().zip(wanted).map(|(a, b)| (*a - from, *b - to));
    let turn = f64::atan2(arms().map(|(a, b)| a.cross(b)).sum(), arms().map(|(a, b)| a.dot(b)).sum());
    let back = Motion::taking(from, to, turn);
    let gaps = found.iter().zip(wanted).map(|(a, b)| back.apply(*a).distance(*b));
    gaps.fold(0.0, f64::max)
}

fn part_of(mut values: Vec<f64>, part: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let rank = part * f64::from(u32::try_from(values.len() - 1).unwrap());
    let below = (0..values.len()).take_while(|&index| f64::from(u32::try_from(index).unwrap()) <= rank);
    values[below.last().unwrap()]
}

/// Nine marks with known places, picked as well as a careful person does (0.4 px).
fn nine_marks(truth: &Aim, noise: &mut Noise) -> Measured {
    let mut marks = Vec::new();
    for (x, y) in (0..9).map(|index| (f64::from(index % 3), f64::from(index / 3))) {
        let pick = Point::new(1920.0 * (0.05 + 0.45 * x), 1080.0 * (0.05 + 0.45 * y));
        let place = truth.surface_from_picture().map(pick).unwrap();
        let seen = pick + 0.4 * Vec2::new(noise.normal(), noise.normal());
        marks.push(MeasuredMark::new(seen.into(), Some(place.into())));
    }
    Measured { pick_sigma_px: 0.4, ..Measured::new(PICTURE, marks, Vec::new()) }
}

/// Limits of drift and shape in mm at 95 %. Picks alone keep to 1.5 mm with four crosses a join; two come close. An aim
/// of nine marks, itself off by some 0.3 mm at the corners, bends every stand alike and brings it to 2.3 mm.
fn limits(crosses: usize, exact_aim: bool) -> (f64, f64) {
    match (crosses, exact_aim) {
        (4, true) => (1.5, 1.0),
        (_, true) => (1.8, 1.2),
        (_, false) => (2.7, 1.8),
    }
}

/// A piece of 1000 × 2400 mm in four stands, picks good to 0.4 px.
#[test]
fn a_long_piece_in_four_stands_keeps_its_shape() {
    let truth = Aim::from_homography(PICTURE, room().map()).unwrap();
    let outline = corners(Rect::new(0.0, 0.0, 1000.0, 2400.0));
    for crosses in [2, 4] {
        let stands = Stands::divide(&Ground {
            lit: truth.lit_rectangle(),
            crosses,
            ..ground(&outline, (0.0, 0.0), &[])
        })
        .unwrap();
        assert_eq!((stands.stands.len(), stands.is_turned), (4, false));
        let mut noise = Noise(7);
        let exact = Aim::solve(&nine_marks(&truth, &mut Noise(0))).unwrap();
        let believing = |noise: &mut Noise, exactly: bool| {
            if exactly {
                let mut measured = exact.measured();
                for mark in &mut measured.marks {
                    let light = truth.picture_from_surface().map(mark.surface.unwrap().into()).unwrap();
                    mark.picture = light.into();
                }
                Aim::solve(&measured).unwrap()
            } else {
                Aim::solve(&nine_marks(&truth, noise)).unwrap()
            }
        };
        for exactly in [true, false] {
            let runs: Vec<Cutting> =
                (0..300).map(|_| cut(&stands, &truth, &believing(&mut noise, exactly), &mut noise)).collect();
            let drift = part_of(runs.iter().map(|run| run.drift).collect(), 0.95);
            let shape = part_of(runs.iter().map(|run| run.shape).collect(), 0.95);
            let rms = (runs.iter().map(|run| run.far_end * run.far_end).sum::<f64>() / 300.0).sqrt();
            let predicted =
                (runs.iter().map(|run| run.predicted * run.predicted).sum::<f64>() / 300.0).sqrt();
            let refused: u32 = runs.iter().map(|run| run.refused).sum();
            let (drift_limit, shape_limit) = limits(crosses, exactly);
            assert!(drift <= drift_limit && shape <= shape_limit, "{crosses} {exactly}: {drift} {shape}");
            if exactly {
                assert!((rms / predicted - 1.0).abs() < 0.15, "{rms} {predicted}");
                assert!(refused < 60, "{refused} of 900");
            }
        }
    }
}

/// What the desk says of two crosses is what comes of them: chalked along the light as truly as is common, picked as
/// the aim says, in three hundred cuttings of the same piece.
#[test]
fn the_drift_that_is_said_of_two_crosses_is_that_of_the_simulation() {
    let truth = Aim::from_homography(PICTURE, room().map()).unwrap();
    let aim = Aim::solve(&nine_marks(&truth, &mut Noise(0))).unwrap();
    let outline = corners(Rect::new(0.0, 0.0, 1000.0, 2400.0));
    let divided = Stands::divide(&Ground { lit: truth.lit_rectangle(), ..ground(&outline, (0.0, 0.0), &[]) });
    let divided = divided.unwrap();
    let stands = OneStand::planned(&divided);
    let work = StandWork { copy: None, stands, at: 0, begun: Vec::new(), marks: Vec::new() };
    let words = few_crosses(&work, &aim).unwrap();
    let number = |after: &str, until: &str| -> f64 {
        words.split(after).nth(1).unwrap().split(until).next().unwrap().parse().unwrap()
    };
    let (said_mm, named) = (number("drift by ", " mm"), number("Stand ", " is held"));
    let named = (0..4).find(|&stand| (f64::from(u8::try_from(stand).unwrap()) + 1.0 - named).abs() < 0.1);
    let named = named.unwrap();
    // The aim is exact here, as the desk's words take it to be: they are about the moves.
    let mut noise = Noise(3);
    let mut gaps: Vec<Vec<f64>> = vec![Vec::new(); 4];
    let (mut runs, mut tried) = (0, 0);
    while runs < 300 {
        tried += 1;
        assert!(tried < 600, "hardly any move is taken");
        if let Some(moves) = moved_by_crosses(&divided, &aim, &mut noise) {
            runs += 1;
            let (believed, lies) = &moves[named];
            for (gaps, corner) in gaps.iter_mut().zip(corners(divided.stands[named].on_cloth)) {
                gaps.push(lies.inverse().apply(believed.apply(corner)).distance(corner));
            }
        }
    }
    let found_mm = gaps.into_iter().map(|gaps| part_of(gaps, 0.95)).fold(0.0, f64::max);
    // A turn about two crosses shifts a far end along one line only, where one run in twenty is 1.96 σ off and not 1.73.
    assert!((0.87..1.2).contains(&(found_mm / said_mm)), "{found_mm} {said_mm}");
}

/// How the cloth is believed to lie and does lie, stand by stand; `None` when a move is refused.
fn moved_by_crosses(divided: &Stands, aim: &Aim, noise: &mut Noise) -> Option<Vec<(Motion, Motion)>> {
    let first = divided.stands[0].surface_from_cloth;
    let mut moves = vec![(first, first)];
    for join in &divided.joins {
        let (believed, lies) = moves[join.from];
        let next = divided.stands[join.to].surface_from_cloth;
        let sigma = |motion: &Motion, cross: Point| {
            aim.cross_at(motion, aim.picture_of_cloth(motion.apply(cross)).unwrap()).unwrap().sigma_mm
        };
        let (mut crosses, mut picks) = (Vec::new(), Vec::new());
        for &cloth in &join.crosses {
            // Chalked along the light, to what a pixel and a hand allow.
            let wide = sigma(&believed, cloth).hypot(CHALK_MM);
            let on_surface = believed.apply(cloth) + wide * Vec2::new(noise.normal(), noise.normal());
            let chalked = lies.inverse().apply(on_surface);
            let seen = aim.picture_of_cloth(next.apply(chalked)).unwrap();
            picks.push(seen + aim.pick_sigma_px() * Vec2::new(noise.normal(), noise.normal()));
            crosses.push(Cross { cloth, sigma_mm: wide });
        }
        let found = aim.register(&crosses, &picks, STRETCH_MM).ok()?;
        moves.push((found.surface_from_cloth, next));
    }
    Some(moves)
}
