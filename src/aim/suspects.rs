//! Which tape reading may be wrong, and what it should read.
//!
//! Baarda's data snooping: each reading's residual is divided by its own standard deviation σ·√r, where r is the
//! part of a slip that shows in the residual (the redundancy number). Beyond 3.29, which chance exceeds once in a
//! thousand, something is wrong. Six tapes on four marks have one redundancy, so all six then exceed it alike: that
//! *something* is wrong is seen, *what* is not. So every candidate is listed with the reading that the others ask
//! of it, those first that a person could have made: two entries exchanged, a round number off, two digits
//! exchanged. A tape read twice needs no guessing.
//!
//! Source: Baarda, A testing procedure for use in geodetic networks (1968).

use super::refine::{Guess, Reading, Survey};

/// The normal distribution's two-sided limit for one chance in a thousand.
pub(super) const CHANCE_LIMIT: f64 = 3.29;
/// Candidates within this part of the largest test value can't be told from it.
const TIE_PART: f64 = 0.9;
/// Part of a slip that must show in its residual for a reading to be tested at all.
const TESTABLE_PART: f64 = 1e-6;
/// Exchanged entries are sought among so many tapes at most: every pair costs an adjustment.
const EXCHANGE_TAPES: usize = 15;

/// A tape reading that may be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspect {
    /// Number of the mark at one end, from 0.
    pub from: usize,
    /// Number of the mark at the other end.
    pub to: usize,
    /// What it should read if it is the one that is wrong, in mm.
    pub should_read_mm: f64,
}

/// How a person may have come by a wrong reading, the likeliest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Slip {
    EntriesExchanged,
    DigitsExchanged,
    HundredsOff,
    FiftyOff,
    Other,
}

/// Readings that may be wrong, the likeliest first; none when all fit as well as chance lets them. `guess` must be
/// where the survey's sum of squares is least.
pub(super) fn suspects(survey: &Survey, guess: &Guess) -> Vec<Suspect> {
    let Some(tests) = tests(survey, guess) else {
        return Vec::new();
    };
    let largest = tests.iter().map(|test| test.value).fold(0.0, f64::max);
    if largest <= CHANCE_LIMIT {
        return Vec::new();
    }
    let exchanged = exchange(survey, guess);
    let mut found: Vec<(Slip, f64, Suspect)> = Vec::new();
    for (index, test) in tests.iter().enumerate() {
        let tape = survey.tapes[index];
        let partner = exchanged.and_then(|(a, b)| {
            let other = if index == a { b } else { a };
            [a, b].contains(&index).then_some(other)
        });
        let (slip, should_read_mm) = if let Some(other) = partner {
            (Slip::EntriesExchanged, survey.tapes[other].mm)
        } else {
            if test.value < (TIE_PART * largest).max(CHANCE_LIMIT) {
                continue;
            }
            let Some(mm) = left_out(survey, guess, index) else {
                continue;
            };
            (kind_of(tape.mm, mm, 2.0 * test.sigma_mm), mm)
        };
        let suspect = Suspect { from: tape.from, to: tape.to, should_read_mm };
        found.push((slip, (should_read_mm - tape.mm).abs(), suspect));
    }
    // Of like slips the smaller first: it is what a person would rather overlook.
    found.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    found.into_iter().map(|(_, _, suspect)| suspect).collect()
}

/// Baarda's test of one reading.
struct Test {
    /// |residual| over its standard deviation; 0 where no slip could show.
    value: f64,
    /// Standard deviation of what the other readings predict for this one, less this one, in mm.
    sigma_mm: f64,
}

fn tests(survey: &Survey, guess: &Guess) -> Option<Vec<Test>> {
    let linear = survey.linearise(guess)?;
    let first = 2 * survey.picks.len();
    let solved = if linear.jacobian.ncols() > 0 {
        linear.normal().cholesky()?.solve(&linear.jacobian.transpose())
    } else {
        linear.jacobian.transpose()
    };
    let test = |(index, tape): (usize, &Reading)| {
        let row = first + index;
        let redundancy = 1.0 - (linear.jacobian.row(row) * solved.column(row)).x;
        if redundancy < TESTABLE_PART {
            return Test { value: 0.0, sigma_mm: f64::INFINITY };
        }
        Test {
            value: linear.residuals[row].abs() / redundancy.sqrt(),
            sigma_mm: tape.sigma_mm / redundancy.sqrt(),
        }
    };
    Some(survey.tapes.iter().enumerate().map(test).collect())
}

/// What the other readings ask of one, in mm.
fn left_out(survey: &Survey, guess: &Guess, index: usize) -> Option<f64> {
    let mut without = survey.clone();
    let tape = without.tapes.remove(index);
    let (found, _) = without.refined(guess.clone())?;
    Some(found.places[tape.from].distance(found.places[tape.to]))
}

/// Two readings that fit, together with all the others, when they are exchanged.
fn exchange(survey: &Survey, guess: &Guess) -> Option<(usize, usize)> {
    let count = survey.tapes.len();
    if count > EXCHANGE_TAPES {
        return None;
    }
    let mut best: Option<(f64, (usize, usize))> = None;
    for (a, b) in (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b))) {
        let mut exchanged = survey.clone();
        exchanged.tapes[a].mm = survey.tapes[b].mm;
        exchanged.tapes[b].mm = survey.tapes[a].mm;
        let Some((found, _)) = exchanged.refined(guess.clone()) else {
            continue;
        };
        let Some(tests) = tests(&exchanged, &found) else {
            continue;
        };
        let largest = tests.iter().map(|test| test.value).fold(0.0, f64::max);
        // Well within chance, or any two readings of nearly equal length would do.
        if largest < CHANCE_LIMIT / 2.0 && best.is_none_or(|(least, _)| largest < least) {
            best = Some((largest, (a, b)));
        }
    }
    best.map(|(_, pair)| pair)
}

/// How one reading may have become the other, known to within `tolerance` mm.
fn kind_of(read: f64, should: f64, tolerance: f64) -> Slip {
    let off_multiple = |step: f64| {
        let steps = ((should - read) / step).round();
        steps.abs() > 0.5 && (should - read - steps * step).abs() < tolerance.min(step / 8.0)
    };
    if digits_exchanged(read).any(|other| (other - should).abs() < tolerance.min(4.0)) {
        Slip::DigitsExchanged
    } else if off_multiple(100.0) {
        Slip::HundredsOff
    } else if off_multiple(50.0) {
        Slip::FiftyOff
    } else {
        Slip::Other
    }
}

/// The whole millimetres of a reading with two neighbouring digits exchanged, where that makes a difference.
fn digits_exchanged(read: f64) -> impl Iterator<Item = f64> {
    let whole = read.round();
    (0..5).filter_map(move |place| {
        let unit = 10_f64.powi(place);
        if whole < 10.0 * unit {
            return None;
        }
        let digit = |unit: f64| (whole / unit).floor() % 10.0;
        let (low, high) = (digit(unit), digit(10.0 * unit));
        let change = (low - high) * 9.0 * unit;
        (change.abs() > 0.5).then_some(whole + change)
    })
}

#[cfg(test)]
mod tests_of_slips {
    use super::*;

    #[test]
    fn a_slip_is_known_by_its_shape() {
        assert_eq!(kind_of(1203.0, 1230.4, 2.0), Slip::DigitsExchanged);
        assert_eq!(kind_of(1203.0, 1302.0, 3.0), Slip::HundredsOff);
        assert_eq!(kind_of(1203.0, 1252.0, 3.0), Slip::FiftyOff);
        assert_eq!(kind_of(1203.0, 1215.0, 3.0), Slip::Other);
        assert_eq!(digits_exchanged(1203.0).collect::<Vec<_>>(), [1230.0, 1023.0, 2103.0]);
    }
}
