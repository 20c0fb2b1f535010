//! Laws that every aim keeps, on random projectors and quads.

use super::{PICTURE, distances, known, taped};
use chalkbeam::aim::{Aim, AimError, Homography, Measured, MeasuredMark, Tape};
use chalkbeam::geometry::Point;
use glam::{DMat3, DVec3};
use proptest::prelude::*;

/// A pinhole projector above the surface: angles in degrees, lengths in mm, the lens shifted by parts of the
/// picture's height.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Projector {
    pub(crate) tilt: f64,
    pub(crate) pan: f64,
    pub(crate) roll: f64,
    pub(crate) height: f64,
    pub(crate) throw_ratio: f64,
    pub(crate) shift: (f64, f64),
    pub(crate) foot: (f64, f64),
}

impl Projector {
    /// K·[r₁ r₂ t] for a camera looking down, its picture's x along the surface's x and y against the surface's.
    pub(crate) fn map(self) -> Homography {
        let (w, h) = (f64::from(PICTURE.0), f64::from(PICTURE.1));
        let focal = w * self.throw_ratio;
        let lens = DMat3::from_cols(
            DVec3::new(focal, 0.0, 0.0),
            DVec3::new(0.0, focal, 0.0),
            DVec3::new(w / 2.0 + self.shift.0 * h, h / 2.0 + self.shift.1 * h, 1.0),
        );
        let down = DMat3::from_diagonal(DVec3::new(1.0, -1.0, -1.0));
        let turned = DMat3::from_rotation_x(self.tilt.to_radians())
            * DMat3::from_rotation_y(self.pan.to_radians())
            * DMat3::from_rotation_z(self.roll.to_radians())
            * down;
        let lens_at = DVec3::new(self.foot.0, self.foot.1, self.height);
        let view = DMat3::from_cols(turned.x_axis, turned.y_axis, -(turned * lens_at));
        let beneath = Point::new(self.foot.0, self.foot.1);
        Homography::new(lens * view, beneath).unwrap()
    }
}

fn projectors() -> impl Strategy<Value = Projector> {
    (
        (-30.0..30.0, -15.0..15.0, -20.0..20.0),
        (1500.0..2800.0, 1.1..1.7, -0.5..0.5, -0.1..0.1),
        (-300.0..300.0, -300.0..300.0),
    )
        .prop_map(|((tilt, pan, roll), (height, throw_ratio, up, side), foot)| Projector {
            tilt,
            pan,
            roll,
            height,
            throw_ratio,
            shift: (side, up),
            foot,
        })
        .prop_filter("its picture lands, as a ceiling projector's does", |projector: &Projector| {
            Aim::from_homography(PICTURE, projector.map())
                .is_ok_and(|aim| aim.pixel_pitch().corners_mm.iter().all(|&pitch| pitch < 10.0))
        })
}

/// Picks a little in from the corners, counter-clockwise from the bottom left.
fn picks() -> impl Strategy<Value = Vec<(f64, f64)>> {
    let (w, h) = (f64::from(PICTURE.0), f64::from(PICTURE.1));
    let corner = move |x: f64, y: f64| {
        (-0.1..0.1, -0.1..0.1).prop_map(move |(dx, dy): (f64, f64)| ((x + dx) * w, (y + dy) * h))
    };
    (corner(0.15, 0.85), corner(0.85, 0.85), corner(0.85, 0.15), corner(0.15, 0.15))
        .prop_map(|(a, b, c, d)| vec![a, b, c, d])
}

fn seen_by(projector: Projector, picks: &[(f64, f64)]) -> Measured {
    let back = Aim::from_homography(PICTURE, projector.map()).unwrap().surface_from_picture();
    let places: Vec<(f64, f64)> = picks.iter().map(|&pick| back.map(pick.into()).unwrap().into()).collect();
    known(&places, picks)
}

/// Any quad whose corners go round counter-clockwise, none of them nearly flat.
fn convex_quads() -> impl Strategy<Value = [Point; 4]> {
    let place = || (-2000.0..2000.0, -2000.0..2000.0).prop_map(Point::from);
    [place(), place(), place(), place()]
        .prop_map(|mut quad| {
            let mean = quad.iter().fold(Point::ORIGIN, |sum, p| sum + p.to_vec2() / 4.0);
            quad.sort_by(|a, b| (*a - mean).atan2().total_cmp(&(*b - mean).atan2()));
            quad
        })
        .prop_filter("convex, and no three corners nearly in line", |quad| {
            let longest = (0..4).map(|i| quad[i].distance(quad[(i + 2) % 4])).fold(0.0, f64::max);
            (0..4).all(|i| {
                let (a, b, c) = (quad[i], quad[(i + 1) % 4], quad[(i + 2) % 4]);
                (b - a).cross(c - b) > 0.03 * longest * longest
            })
        })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn four_exact_marks_recover_the_projector_all_over_its_picture(projector in projectors(), picks in picks()) {
        let (truth, aim) = (projector.map(), Aim::solve(&seen_by(projector, &picks)).unwrap());
        for x in 0..=8 {
            for y in 0..=8 {
                let pick = Point::new(240.0 * f64::from(x), 135.0 * f64::from(y));
                let place = truth.inverse(projector.foot.into()).unwrap().map(pick).unwrap();
                let gap = aim.picture_from_surface().map(place).unwrap().distance(pick);
                prop_assert!(gap < 1e-6, "{gap} px at {pick}");
            }
        }
    }

    #[test]
    fn any_convex_quad_comes_back_from_its_six_tapes(quad in convex_quads(), picks in picks()) {
        let places: Vec<(f64, f64)> = quad.iter().map(|&place| place.into()).collect();
        let mut measured = taped(&known(&places, &picks));
        // The picture is that of some projector, but its far corners need not land: only the marks matter here.
        match Aim::solve(&measured) {
            Ok(aim) => {
                for tape in aim.tapes() {
                    prop_assert!(tape.residual_mm.abs() < 1e-6, "{tape:?}");
                }
                for (from, to) in [(0, 1), (1, 3), (2, 0)] {
                    let marks = [from, to].map(|mark: usize| aim.marks()[mark].surface);
                    let gap = marks[0].distance(marks[1]) - quad[from].distance(quad[to]);
                    prop_assert!(gap.abs() < 1e-6);
                }
            }
            Err(AimError::BeyondHorizon { .. }) => {}
            Err(error) => prop_assert!(false, "{error}"),
        }
        measured.tapes.truncate(5);
        let loose = matches!(Aim::solve(&measured), Err(AimError::NotRigid { .. }));
        prop_assert!(!loose, "five tapes hold a quad");
    }

    #[test]
    fn tapes_and_places_give_the_same_light(projector in projectors(), picks in picks()) {
        let measured = seen_by(projector, &picks);
        let (placed, taped) = (Aim::solve(&measured).unwrap(), Aim::solve(&taped(&measured)).unwrap());
        for (a, b) in distances(&placed).iter().zip(distances(&taped)) {
            prop_assert!((a - b).abs() < 1e-6 * a.max(1.0), "{a} {b}");
        }
    }

    #[test]
    fn two_exchanged_picks_are_refused_and_the_order_offered_works(
        projector in projectors(), picks in picks(), first in 0..4usize, step in 1..4usize,
    ) {
        let measured = seen_by(Projector { roll: projector.roll / 2.0, ..projector }, &picks);
        let mut order = vec![0, 1, 2, 3];
        order.swap(first, (first + step) % 4);
        let exchanged = measured.with_picks_in_order(&order).unwrap();
        let error = Aim::solve(&exchanged).unwrap_err();
        let (AimError::Crossed { order: Some(offered), .. } | AimError::Mirrored { order: Some(offered) }) = error
        else {
            return Err(TestCaseError::fail(error.to_string()));
        };
        let mended = exchanged.with_picks_in_order(&offered).unwrap();
        prop_assert_eq!(&mended, &measured);
        prop_assert!(Aim::solve(&mended).is_ok());
    }

    #[test]
    fn two_neighbours_exchanged_are_seen_from_tapes_too(
        projector in projectors(), picks in picks(), first in 0..4usize,
    ) {
        let measured = taped(&seen_by(projector, &picks));
        let mut order = vec![0, 1, 2, 3];
        order.swap(first, (first + 1) % 4);
        let error = Aim::solve(&measured.with_picks_in_order(&order).unwrap()).unwrap_err();
        prop_assert!(matches!(error, AimError::Crossed { order: Some(_), .. }), "{}", error);
    }

    #[test]
    fn rubbish_is_refused_or_solved_without_a_panic(
        marks in prop::collection::vec((rubbish(), rubbish(), prop::option::of((rubbish(), rubbish()))), 0..9),
        tapes in prop::collection::vec((0..9usize, 0..9usize, rubbish()), 0..20),
        picture_size in (0..5000u32, prop::num::u32::ANY),
    ) {
        let marks = marks.into_iter().map(|(x, y, surface)| MeasuredMark::new((x, y), surface));
        let tapes = tapes.into_iter().map(|(from, to, mm)| Tape::new(from, to, mm));
        let measured = Measured::new(picture_size, marks.collect(), tapes.collect());
        match Aim::solve(&measured) {
            Ok(aim) => prop_assert!(!serde_json::to_string(&aim.report()).unwrap().contains("null")),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }

    #[test]
    fn a_good_measurement_with_two_spoilt_numbers_is_refused_or_solved_without_a_panic(
        spoils in prop::collection::vec((0..26usize, rubbish()), 1..3), places in prop::bool::ANY,
    ) {
        let mut measured = taped(&super::quad());
        if places {
            measured = Aim::solve(&measured).unwrap().measured();
        }
        for (at, number) in spoils {
            let mark = &mut measured.marks[at % 4];
            match (at / 4, &mut mark.surface) {
                (0, _) => mark.picture.0 = number,
                (1, _) => mark.picture.1 = number,
                (2, Some(place)) => place.0 = number,
                (3, Some(place)) => place.1 = number,
                _ => measured.tapes[at % 6].mm = number,
            }
        }
        match Aim::solve(&measured) {
            Ok(aim) => prop_assert!(!serde_json::to_string(&aim.report()).unwrap().contains("null")),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }
}

/// Numbers of every size and kind.
fn rubbish() -> impl Strategy<Value = f64> {
    prop_oneof![-3000.0..3000.0, prop::num::f64::ANY, Just(0.0), Just(f64::NAN), Just(1e5), Just(-1e308),]
}
