//! A piece larger than the picture: divided into stands, and found again by its crosses in simulated rooms.

mod drift;
mod keys;

use crate::aim::laws::Projector;
use chalkbeam::aim::{
    Aim, CROSSES_APART_MM, Cross, Ground, Motion, OVERLAP_MM, STRETCH_MM, StandError, Stands, positions,
};
use chalkbeam::geometry::{Point, Rect, Vec2};
use proptest::prelude::*;

const PICTURE: (u32, u32) = (1920, 1080);

fn corners(rect: Rect) -> [Point; 4] {
    [(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)].map(Point::from)
}

fn ground<'a>(outline: &'a [Point], lit: (f64, f64), cutting_lines: &'a [Vec<Point>]) -> Ground<'a> {
    Ground {
        outline,
        lit: Rect::from_center_size(Point::ORIGIN, lit),
        overlap_mm: OVERLAP_MM,
        cloth: Rect::new(-1e4, -1e4, 1e4, 1e4),
        cutting_lines,
        crosses: 2,
    }
}

/// The opened back of the garden coat, in its box of 808 × 1126 mm, as an outline with a waist.
fn opened_back() -> Vec<Point> {
    let right = [(404.0, 0.0), (300.0, 460.0), (260.0, 700.0), (350.0, 1000.0), (80.0, 1126.0)];
    let left = right.iter().rev().map(|&(x, y)| (-x, y));
    let ring = right.into_iter().chain(left).chain([right[0]]);
    ring.map(Point::from).collect()
}

/// Worked example of the demo coat: 808 × 1126 mm on a table of 1200 × 700 under 960 × 540, overlap 60 (computed with
/// ceil((L − o)/(I − o)), common practice).
#[test]
fn the_opened_back_takes_three_stands_with_the_picture_across() {
    assert_eq!(positions(808.0, 960.0, 60.0), Some(1));
    assert_eq!(positions(1126.0, 540.0, 60.0), Some(3));
    assert_eq!((positions(808.0, 540.0, 60.0), positions(1126.0, 960.0, 60.0)), (Some(2), Some(2)));
    let outline = opened_back();
    let found = Stands::divide(&ground(&outline, (960.0, 540.0), &[])).unwrap();
    assert!(!found.is_turned);
    assert_eq!((found.stands.len(), found.joins.len()), (3, 2));
    assert_eq!((found.way_to(1), found.way_to(2)), (vec![0, 1], vec![0, 2]), "from the middle");
    let turned = Stands::divide(&ground(&outline, (540.0, 960.0), &[])).unwrap();
    assert!(turned.is_turned && turned.stands.len() == 3);
    for stand in &turned.stands {
        let middle = stand.surface_from_cloth.apply(stand.on_cloth.center());
        assert!(middle.distance(Point::ORIGIN) < 1e-9, "the light falls on the view");
    }
}

#[test]
fn crosses_are_seen_in_both_stands_and_keep_clear_of_what_is_cut() {
    let outline = opened_back();
    let lines = vec![outline.clone(), vec![Point::new(0.0, 0.0), Point::new(0.0, 1126.0)]];
    for wanted in [2, 4] {
        let found =
            Stands::divide(&Ground { crosses: wanted, ..ground(&outline, (960.0, 540.0), &lines) }).unwrap();
        for join in &found.joins {
            assert_eq!(join.crosses.len(), wanted);
            assert!(join.crosses[0].distance(join.crosses[1]) >= CROSSES_APART_MM);
            for cross in &join.crosses {
                for stand in [join.from, join.to] {
                    assert!(found.stands[stand].on_cloth.inset(-19.9).contains(*cross));
                }
                for line in lines.iter().flat_map(|line| line.windows(2)) {
                    let nearest = (0..=1000)
                        .map(|part| line[0].lerp(line[1], f64::from(part) / 1000.0).distance(*cross))
                        .fold(f64::INFINITY, f64::min);
                    assert!(nearest > 24.5, "{cross} {nearest}");
                }
            }
        }
    }
}

#[test]
fn what_cannot_be_divided_is_refused_with_a_remedy() {
    let outline = opened_back();
    let fails = |ground: Ground<'_>| Stands::divide(&ground).unwrap_err().to_string();
    let plain = ground(&outline, (960.0, 540.0), &[]);
    assert!(fails(Ground { outline: &[], ..plain }).contains("choose a piece"));
    assert!(fails(Ground { overlap_mm: 990.0, ..plain }).contains("smaller overlap"));
    assert!(fails(Ground { lit: Rect::ZERO, ..plain }).contains("larger picture"));
    assert!(fails(Ground { lit: Rect::new(0.0, 0.0, 62.0, 62.0), ..plain }).contains("stands of the cloth"));
    let narrow = Rect::new(-100.0, -2000.0, 100.0, 2000.0);
    assert_eq!(
        fails(Ground { cloth: narrow, ..plain }),
        "stands 1 and 2 share no room for two crosses 300 mm apart and clear of the cutting lines; use a greater \
         overlap"
    );
    assert!(fails(Ground { outline: &[Point::new(f64::NAN, 0.0)], ..plain }).contains("choose a piece"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_part_of_an_outline_is_lit_in_some_stand(
        outline in prop::collection::vec((-1500.0..1500.0, -1200.0..1200.0).prop_map(Point::from), 3..9),
        lit in (500.0..1600.0, 400.0..1000.0),
    ) {
        let found = Stands::divide(&ground(&outline, lit, &[])).unwrap();
        for (a, b) in (0..outline.len()).flat_map(|a| (0..a).map(move |b| (a, b))) {
            for part in 0..=50 {
                let place = outline[a].lerp(outline[b], f64::from(part) / 50.0);
                let is_lit = found.stands.iter().any(|stand| stand.on_cloth.inset(1e-6).contains(place));
                prop_assert!(is_lit, "{} of {:?}", place, found);
            }
        }
        for (stand, join) in found.joins.iter().enumerate() {
            prop_assert_eq!(join.to, stand + 1);
            prop_assert!(join.from < join.to);
            prop_assert_eq!(found.way_to(join.to)[0], 0);
            let shared = found.stands[join.from].on_cloth.intersect(found.stands[join.to].on_cloth);
            prop_assert!(shared.width().min(shared.height()) > OVERLAP_MM - 1e-6);
        }
    }

    #[test]
    fn a_moved_cloth_is_found_again(
        turn in -0.3..0.3_f64, shift in (-40.0..40.0, -40.0..40.0), apart in 300.0..900.0_f64,
    ) {
        let aim = Aim::from_homography(PICTURE, room().map()).unwrap();
        let truth = Motion { turn, shift: Vec2::from(shift) };
        let cloth = [Point::new(-apart / 2.0, 20.0), Point::new(apart / 2.0, -15.0), Point::new(0.0, 0.0)];
        let crosses = cloth.map(|cloth| Cross { cloth, sigma_mm: 0.3 });
        let picks = cloth.map(|place| aim.picture_from_surface().map(truth.apply(place)).unwrap());
        let found = aim.register(&crosses, &picks, STRETCH_MM).unwrap();
        prop_assert!((found.surface_from_cloth.turn - turn).abs() < 1e-9);
        prop_assert!((found.surface_from_cloth.shift - truth.shift).hypot() < 1e-6);
        prop_assert!(found.residuals_mm.iter().all(|residual| *residual < 1e-6));
    }
}

/// A projector that lights about 1200 × 680 mm of a table, a little tilted.
fn room() -> Projector {
    Projector {
        tilt: 8.0,
        pan: -2.0,
        roll: 1.0,
        height: 1650.0,
        throw_ratio: 1.4,
        shift: (0.0, 0.0),
        foot: (0.0, 230.0),
    }
}

#[test]
fn stretched_cloth_and_bad_picks_are_refused_by_name_and_amount() {
    let aim = Aim::from_homography(PICTURE, room().map()).unwrap();
    let crosses = [(-400.0, 0.0), (400.0, 10.0)].map(|at| Cross { cloth: at.into(), sigma_mm: 0.2 });
    let seen = |places: &[(f64, f64)]| -> Vec<Point> {
        let light = |&at: &(f64, f64)| aim.picture_from_surface().map(at.into()).unwrap();
        places.iter().map(light).collect()
    };
    assert!(aim.register(&crosses, &seen(&[(-400.4, 0.0), (400.4, 10.0)]), STRETCH_MM).is_ok());
    let error = aim.register(&crosses, &seen(&[(-400.0, 0.0), (403.0, 10.0)]), STRETCH_MM).unwrap_err();
    assert_eq!(
        error.to_string(),
        "crosses 1 and 2 are 3.0 mm further apart than before (800.1 mm then, 803.1 mm now): the cloth is stretched \
         or a cross is picked wrongly; smooth the cloth and pick both again. If every move says the same, the aim \
         bends: aim again with more marks"
    );
    assert!(matches!(
        aim.register(&crosses, &seen(&[(-400.0, 0.0)]), STRETCH_MM),
        Err(StandError::Unpaired { crosses: 2, picks: 1 })
    ));
    assert!(matches!(
        aim.register(&crosses[..1], &seen(&[(-400.0, 0.0)]), STRETCH_MM),
        Err(StandError::TooFewCrosses { count: 1 })
    ));
    let near = [(0.0, 0.0), (100.0, 0.0)].map(|at| Cross { cloth: at.into(), sigma_mm: 0.2 });
    assert!(matches!(
        aim.register(&near, &seen(&[(0.0, 0.0), (100.0, 0.0)]), STRETCH_MM),
        Err(StandError::CrossesTooClose { first: 0, second: 1, .. })
    ));
    let nowhere = [Point::new(f64::NAN, 0.0); 2];
    assert!(matches!(aim.register(&crosses, &nowhere, STRETCH_MM), Err(StandError::OutOfLight { cross: 0 })));
}

#[test]
fn when_the_projector_moves_instead_the_crosses_are_its_marks() {
    let before = Aim::from_homography(PICTURE, room().map()).unwrap();
    let moved = Projector { foot: (160.0, 300.0), tilt: 11.0, ..room() };
    let after = Aim::from_homography(PICTURE, moved.map()).unwrap();
    let lies = Motion { turn: 0.2, shift: Vec2::new(30.0, -10.0) };
    let places = [(-350.0, -200.0), (420.0, -180.0), (400.0, 210.0), (-330.0, 190.0)].map(Point::from);
    let seen = |aim: &Aim| places.map(|place| aim.picture_from_surface().map(place).unwrap());
    let crosses = seen(&before).map(|pick| before.cross_at(&lies, pick).unwrap());
    let measured = before.measured_by_crosses(&crosses, &lies, &seen(&after)).unwrap();
    let aim = Aim::solve(&measured).unwrap();
    for (found, truth) in aim.lit_quad().iter().zip(after.lit_quad()) {
        assert!(found.distance(truth) < 1e-6);
    }
}
