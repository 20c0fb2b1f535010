//! Bars that prove the scale.

use super::laws::Projector;
use super::{PICTURE, known};
use chalkbeam::aim::{Aim, Bar, BarWay, Homography, PROOF_TOLERANCE_MM_PER_M, Proof, ProofError, Verdict};
use chalkbeam::geometry::Point;

fn aim() -> Aim {
    let room = Projector {
        tilt: 20.0,
        pan: 3.0,
        roll: 5.0,
        height: 1700.0,
        throw_ratio: 1.125,
        shift: (0.0, 0.0),
        foot: (0.0, 0.0),
    };
    Aim::from_homography(PICTURE, room.map()).unwrap()
}

#[test]
fn bars_are_as_long_as_the_picture_allows_and_round_numbers() {
    let aim = aim();
    let bars = aim.proof_bars();
    assert_eq!(bars.map(|bar| bar.way), [BarWay::Across, BarWay::Along, BarWay::Diagonal]);
    for bar in &bars {
        assert!((bar.length_mm() / 50.0 - (bar.length_mm() / 50.0).round()).abs() < 1e-9);
        for end in [bar.from, bar.to] {
            let pick = aim.picture_from_surface().map(end).unwrap();
            let is_lit = (0.0..=1920.0).contains(&pick.x) && (0.0..=1080.0).contains(&pick.y);
            assert!(is_lit, "{pick}");
        }
    }
    assert!(bars[0].is_long() && bars[2].is_long());
    assert!((bars[0].from.y - bars[0].to.y).abs() < 1e-9 && (bars[1].from.x - bars[1].to.x).abs() < 1e-9);
    // No level bar anywhere in the light is 100 mm longer.
    let quad = aim.lit_quad();
    let widest =
        quad.iter().map(|p| p.x).fold(f64::MIN, f64::max) - quad.iter().map(|p| p.x).fold(f64::MAX, f64::min);
    assert!(bars[0].length_mm() > 0.8 * widest, "{} {widest}", bars[0].length_mm());
    // A small picture still gets bars, and they say that they are short.
    let small = Homography::flat_view(2.0, Point::new(960.0, 540.0)).unwrap();
    let small = Aim::from_homography(PICTURE, small).unwrap().proof_bars();
    assert!(small.iter().all(|bar| bar.length_mm() > 0.0) && !small[1].is_long());
}

/// What a tape reads on a bar that an aim lights wrongly.
fn read(bars: &[Bar; 3], lit: &Aim, truth: &Aim) -> [f64; 3] {
    bars.map(|bar| {
        let lands = |place: Point| {
            let pick = lit.picture_from_surface().map(place).unwrap();
            truth.surface_from_picture().map(pick).unwrap()
        };
        lands(bar.from).distance(lands(bar.to))
    })
}

#[test]
fn a_scale_that_is_wrong_on_one_axis_is_told_from_both() {
    let truth = aim();
    // Marks whose places are 4 mm in a metre too short across: everything is lit so much too long.
    for (x, y, expected) in [(1.0, 1.0, (0.0, 0.0)), (0.996, 1.0, (4.016, 0.0)), (1.0, 1.003, (0.0, -2.991))]
    {
        let picks = [(96.0, 1026.0), (1824.0, 1026.0), (1824.0, 54.0), (96.0, 54.0)];
        let places = picks.map(|pick| {
            let place = truth.surface_from_picture().map(pick.into()).unwrap();
            (place.x * x, place.y * y)
        });
        let lit = Aim::solve(&known(&places, &picks)).unwrap();
        let bars = lit.proof_bars();
        let proof = Proof::of(&bars, read(&bars, &lit, &truth), PROOF_TOLERANCE_MM_PER_M).unwrap();
        assert!((proof.across.error_mm_per_m - expected.0).abs() < 0.01, "{proof:?}");
        assert!((proof.along.error_mm_per_m - expected.1).abs() < 0.01, "{proof:?}");
        assert!(proof.off_square.abs() < 1e-6);
        let wanted = if (x - y).abs() < 1e-9 { Verdict::Good } else { Verdict::Bad };
        assert_eq!(proof.verdict(), wanted, "{proof}");
    }
}

#[test]
fn axes_that_are_not_square_show_on_the_diagonal_only() {
    let bar = |way, to: (f64, f64)| Bar { way, from: Point::ORIGIN, to: to.into() };
    let bars = [
        bar(BarWay::Across, (1200.0, 0.0)),
        bar(BarWay::Along, (0.0, 700.0)),
        bar(BarWay::Diagonal, (1200.0, 700.0)),
    ];
    // Law of cosines with an angle of 90.5° opposite the diagonal's complement.
    let gamma = 0.5_f64.to_radians();
    let diagonal = (1200.0_f64.powi(2) + 700.0_f64.powi(2) + 2.0 * 1200.0 * 700.0 * gamma.sin()).sqrt();
    let proof = Proof::of(&bars, [1200.0, 700.0, diagonal], 2.0).unwrap();
    assert!((proof.off_square - gamma).abs() < 1e-9);
    assert_eq!(proof.verdict(), Verdict::Bad);
    // Within the tape's own tolerance of the limit: 1200 mm may read 0.7 mm wrong (class II), and 2.4 mm are allowed.
    let unsure = Proof::of(&bars, [1202.9, 700.0, bars[2].length_mm()], 2.0).unwrap();
    assert_eq!(unsure.verdict(), Verdict::Unsure);
    assert!(unsure.to_string().contains("read the bars again"));
    let good = Proof::of(&bars, [1201.0, 699.0, bars[2].length_mm()], 2.0).unwrap();
    assert_eq!(good.verdict(), Verdict::Good);
    for reading in [f64::NAN, 120.0, -1200.0] {
        let error = Proof::of(&bars, [reading, 700.0, 1389.0], 2.0).unwrap_err();
        assert!(matches!(error, ProofError::Reading { .. }), "{error}");
    }
    assert!(matches!(Proof::of(&bars, [1200.0, 700.0, 1389.0], 0.0), Err(ProofError::Tolerance(_))));
}
