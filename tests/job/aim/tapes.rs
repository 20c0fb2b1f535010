//! Wrong tape readings: seen, listed, and named when every tape is read twice.

use super::errors::Noise;
use super::{known, quad, taped};
use chalkbeam::aim::{Aim, AimError, Measured, Tape};

/// A rectangle of 1600 × 900 mm by its six tapes: 01, 02, 03, 12, 13, 23.
fn rectangle() -> Measured {
    taped(&known(
        &[(-800.0, -450.0), (800.0, -450.0), (800.0, 450.0), (-800.0, 450.0)],
        &[(90.0, 1020.0), (1830.0, 1010.0), (1740.0, 70.0), (170.0, 80.0)],
    ))
}

/// Parts of a slip that show in the residuals of a rectangle's six tapes: as l²/Σl², since the only dependence among
/// them is side : side : diagonal = w : h : −√(w² + h²).
fn redundancies(measured: &Measured) -> Vec<f64> {
    let sum: f64 = measured.tapes.iter().map(|tape| tape.mm * tape.mm).sum();
    measured.tapes.iter().map(|tape| tape.mm * tape.mm / sum).collect()
}

/// Chance that a standard normal number, moved by `by`, is beyond ±3.29 (Simpson's rule).
fn chance_beyond(by: f64) -> f64 {
    let density = |x: f64| (-0.5 * (x - by).powi(2)).exp() / std::f64::consts::TAU.sqrt();
    let step = 2.0 * 3.29 / 1000.0;
    let within: f64 = (0..500)
        .map(|index| {
            let x = -3.29 + 2.0 * f64::from(index) * step;
            (density(x) + 4.0 * density(x + step) + density(x + 2.0 * step)) * step / 3.0
        })
        .sum();
    1.0 - within
}

#[test]
fn six_good_tapes_have_no_suspects_and_one_wrong_makes_six() {
    let mut measured = taped(&quad());
    assert_eq!(Aim::solve(&measured).unwrap().suspects(), []);
    let truth = measured.tapes[4].mm;
    measured.tapes[4].mm -= 25.0;
    let aim = Aim::solve(&measured).unwrap();
    assert_eq!(aim.suspects().len(), 6);
    let it = aim.suspects().iter().find(|suspect| (suspect.from, suspect.to) == (1, 3)).unwrap();
    assert!((it.should_read_mm - truth).abs() < 1e-6);
    let json = serde_json::to_value(aim.report()).unwrap();
    assert_eq!(json["suspects"].as_array().unwrap().len(), 6);
    assert!(json["suspects"][0]["should_read_mm"].is_number());
}

#[test]
fn a_slip_that_a_person_makes_comes_first() {
    let truth = rectangle();
    // 1836 mm with its last digits exchanged; a hundred too many; fifty and two hundred too few.
    for (first, wrong) in [(1, 1863.0), (0, 1700.0), (5, 1550.0), (1, 1636.0)] {
        let mut measured = truth.clone();
        measured.tapes[first].mm = wrong;
        let suspects = match Aim::solve(&measured) {
            Ok(aim) => aim.suspects().to_vec(),
            Err(AimError::TapesDisagree { suspects, .. }) => suspects,
            Err(error) => panic!("{error}"),
        };
        let (from, to) = (truth.tapes[first].from, truth.tapes[first].to);
        assert_eq!((suspects[0].from, suspects[0].to), (from, to), "{suspects:?}");
        assert!((suspects[0].should_read_mm - truth.tapes[first].mm).abs() < 1.0);
    }
}

#[test]
fn exchanged_entries_are_refused_and_offered_back() {
    let mut measured = rectangle();
    let (a, b) = (measured.tapes[0].mm, measured.tapes[1].mm);
    measured.tapes[0].mm = b;
    measured.tapes[1].mm = a;
    let error = Aim::solve(&measured).unwrap_err();
    let AimError::TapesDisagree { suspects, .. } = &error else {
        panic!("{error}");
    };
    let pairs: Vec<_> = suspects[..2].iter().map(|suspect| (suspect.from, suspect.to)).collect();
    assert_eq!(pairs, [(0, 1), (0, 2)]);
    assert!((suspects[0].should_read_mm - a).abs() < 1e-9 && (suspects[1].should_read_mm - b).abs() < 1e-9);
    assert!(error.to_string().contains("from mark 0 to mark 1 1600 mm"), "{error}");
}

/// Power of Baarda's test: a slip of s on a reading of redundancy r moves the test value by s·√r/σ.
#[test]
fn one_reading_a_tape_finds_slips_as_often_as_baarda_says() {
    let exact = rectangle();
    let redundancies = redundancies(&exact);
    for (slip_mm, seed) in [(10.0, 1), (5.0, 2)] {
        let expected = redundancies.iter().map(|r| chance_beyond(slip_mm * r.sqrt())).sum::<f64>() / 6.0;
        let mut noise = Noise(seed);
        let days = 600;
        let found = (0..days)
            .filter(|day| {
                let mut measured = noise.shake(&exact);
                measured.tapes[day % 6].mm += slip_mm;
                !Aim::solve(&measured).unwrap().suspects().is_empty()
            })
            .count();
        let found = f64::from(u32::try_from(found).unwrap()) / 600.0;
        // Four standard deviations of a share among 600.
        let room = 4.0 * (expected * (1.0 - expected) / 600.0).sqrt();
        assert!((found - expected).abs() < room, "{slip_mm} mm: {found} {expected}");
    }
}

#[test]
fn two_readings_a_tape_find_and_name_the_wrong_one() {
    let exact = rectangle();
    let mut noise = Noise(3);
    let (mut named, mut right, mut decided) = (0, 0, 0);
    let days = 600;
    for day in 0..days {
        let mut measured = noise.shake(&exact);
        for (tape, exact) in measured.tapes.iter_mut().zip(&exact.tapes) {
            tape.second_reading = Some(exact.mm + noise.normal());
        }
        let wrong = &mut measured.tapes[day % 6];
        let good = wrong.second_reading.unwrap();
        wrong.mm += if noise.uniform() < 0.5 { 10.0 } else { -10.0 };
        let wrong = *wrong;
        match Aim::solve(&measured) {
            Ok(aim) => {
                let suspects = aim.suspects();
                decided += 1;
                named += usize::from(
                    suspects.len() == 1 && (suspects[0].from, suspects[0].to) == (wrong.from, wrong.to),
                );
                right +=
                    usize::from(suspects.first().is_some_and(|it| (it.should_read_mm - good).abs() < 1e-9));
            }
            Err(AimError::ReadingsDiffer { from, to, .. }) => {
                named += usize::from((from, to) == (wrong.from, wrong.to));
            }
            Err(error) => panic!("{error}"),
        }
    }
    assert!(named * 100 >= days * 98, "named {named} of {days}");
    assert!(right * 100 >= decided * 98, "right {right} of {decided} decided");
}

#[test]
fn two_readings_that_nothing_decides_between_ask_for_a_third() {
    let mut measured = taped(&quad());
    measured.tapes.remove(5);
    measured.tapes[2].second_reading = Some(measured.tapes[2].mm + 12.0);
    let error = Aim::solve(&measured).unwrap_err();
    assert!(matches!(error, AimError::ReadingsDiffer { from: 0, to: 3, .. }), "{error}");
    measured.tapes[2].second_reading = Some(measured.tapes[2].mm + 2.0);
    let aim = Aim::solve(&measured).unwrap();
    assert!((aim.tapes()[2].mm - measured.tapes[2].mm - 1.0).abs() < 1e-12);
    assert_eq!(aim.measured().tapes, measured.tapes);
    let twice: Tape = ron::from_str("(from: 0, to: 3, mm: 900, second_reading: Some(901.5))").unwrap();
    assert_eq!(twice.second_reading, Some(901.5));
}
