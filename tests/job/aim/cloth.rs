//! Cloth of some thickness, against a pinhole projector that lights its top.

use super::laws::Projector;
use super::{PICTURE, known};
use chalkbeam::aim::{Aim, AimError, ClothRise, Measured};
use chalkbeam::geometry::{Point, Vec2};

/// 20° of tilt, 1.8 m up, its lens shifted by half the picture's height as many are.
fn projector() -> Projector {
    Projector {
        tilt: 20.0,
        pan: 3.0,
        roll: -4.0,
        height: 1800.0,
        throw_ratio: 1.125,
        shift: (0.0, 0.5),
        foot: (120.0, -340.0),
    }
}

/// Four marks on the bare surface.
fn measured() -> Measured {
    let picks = [(96.0, 1026.0), (1824.0, 1020.0), (1800.0, 60.0), (110.0, 54.0)];
    let back = Aim::from_homography(PICTURE, projector().map()).unwrap().surface_from_picture();
    let places = picks.map(|pick: (f64, f64)| back.map(pick.into()).unwrap().into());
    known(&places, &picks)
}

fn rise(thickness_mm: f64, lens_height_mm: f64, foot: Option<(f64, f64)>) -> Option<ClothRise> {
    Some(ClothRise { thickness_mm, lens_height_mm, foot })
}

/// Where light meant for places over the picture truly falls on cloth of a thickness: offsets in mm. The truth is the
/// same projector, lower by the thickness over a bare surface.
fn offsets(aim: &Aim, thickness_mm: f64) -> Vec<(Point, Vec2)> {
    let raised = Projector { height: projector().height - thickness_mm, ..projector() };
    let truth = Aim::from_homography(PICTURE, raised.map()).unwrap().surface_from_picture();
    let places = (0..25).map(|index| {
        let pick = Point::new(480.0 * f64::from(index % 5), 270.0 * f64::from(index / 5));
        truth.map(pick).unwrap()
    });
    places
        .map(|place| {
            let pick = aim.picture_from_cloth().map(place).unwrap();
            (place, truth.map(pick).unwrap() - place)
        })
        .collect()
}

/// Largest offset after the mean one is taken out.
fn bend(offsets: &[(Point, Vec2)]) -> f64 {
    let mean = offsets.iter().fold(Vec2::ZERO, |sum, (_, offset)| sum + *offset / 25.0);
    offsets.iter().map(|(_, offset)| (*offset - mean).hypot()).fold(0.0, f64::max)
}

#[test]
fn thick_cloth_is_lit_where_it_should_be() {
    let aim = Aim::solve(&measured()).unwrap();
    for thickness in [0.3, 1.0, 5.0, 40.0] {
        let cloth = aim.with_cloth(rise(thickness, 1800.0, Some(projector().foot))).unwrap();
        for (place, offset) in offsets(&cloth, thickness) {
            assert!(offset.hypot() < 1e-6, "{thickness} mm at {place}: {offset}");
        }
        assert_eq!(cloth.picture_from_surface(), aim.picture_from_surface());
    }
    // Uncorrected, lengths come out wrong by t/(h − t), 2.8 mm/m: the drawing falls on the cloth too small.
    let bare = offsets(&aim, 5.0);
    let (a, b) = (bare[0], bare[4]);
    let way = b.0 - a.0;
    let per_metre = 1000.0 * (b.1 - a.1).dot(way) / way.hypot2();
    assert!((per_metre + 5.0 / 1800.0 * 1000.0).abs() < 0.01, "{per_metre}");
}

#[test]
fn a_wrong_foot_displaces_all_the_light_alike_and_a_wrong_height_hardly_bends_it() {
    let aim = Aim::solve(&measured()).unwrap();
    let middle = aim.with_cloth(rise(5.0, 1800.0, None)).unwrap();
    let found = offsets(&middle, 5.0);
    assert!(found[0].1.hypot() > 0.1 && bend(&found) < 1e-6);
    let low = aim.with_cloth(rise(5.0, 1750.0, None)).unwrap();
    assert!(bend(&offsets(&low, 5.0)) < 0.1);
    assert!(bend(&offsets(&aim, 5.0)) > 1.0);
}

#[test]
fn cloth_is_measured_with_the_marks_kept_by_a_nudge_and_refused_when_it_cannot_be() {
    let mut measured = measured();
    measured.cloth = ron::from_str("Some((thickness_mm: 1.5, lens_height_mm: 1800))").unwrap();
    let aim = Aim::solve(&measured).unwrap();
    assert_ne!(aim.picture_from_cloth(), aim.picture_from_surface());
    let nudged = aim.nudged(0, 2.0, 0.0).unwrap();
    assert_eq!(nudged.cloth(), measured.cloth);
    assert_ne!(nudged.picture_from_cloth(), nudged.picture_from_surface());
    for (thickness, height) in
        [(-1.0, 1800.0), (f64::NAN, 1800.0), (1.0, 0.0), (1.0, f64::INFINITY), (900.0, 1800.0)]
    {
        measured.cloth = rise(thickness, height, None);
        assert!(matches!(Aim::solve(&measured), Err(AimError::Cloth { .. })));
    }
    measured.cloth = rise(1.0, 1800.0, Some((f64::NAN, 0.0)));
    assert!(Aim::solve(&measured).is_err());
}
