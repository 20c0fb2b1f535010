//! Tape readings as they go into the adjustment: one value and one standard deviation a tape.
//!
//! A tape read twice counts with its mean and 1/√2 of the deviation, unless the two readings are further apart than
//! chance allows (3.29·√2·σ). Then one of them is a slip, and the other tapes say which; where they cannot, the tape
//! has to be read a third time.

use super::AimError;
use super::layout::adjusted_cost;
use super::measured::Measured;
use super::refine::Reading;
use super::suspects::{CHANCE_LIMIT, Suspect};
use crate::geometry::Point;

/// One of two readings is taken when the other is so much less likely: the sum of squares differs by this much
/// (a likelihood of about one in 90).
const DECISION: f64 = 9.0;

/// The readings to adjust, and the tapes whose two readings contradict each other with the reading that was taken.
///
/// # Errors
/// [`AimError::ReadingsDiffer`] when nothing tells which of two readings is right.
pub(super) fn decide(
    measured: &Measured,
    upright: &[Point],
    given: &[Option<Point>],
) -> Result<(Vec<Reading>, Vec<Suspect>), AimError> {
    let sigma_mm = measured.tape_sigma_mm;
    let mut torn = Vec::new();
    let mut readings: Vec<Reading> = Vec::new();
    for (index, tape) in measured.tapes.iter().enumerate() {
        let mut reading = Reading { from: tape.from, to: tape.to, mm: tape.mm, sigma_mm };
        if let Some(second) = tape.second_reading {
            if (second - tape.mm).abs() > CHANCE_LIMIT * std::f64::consts::SQRT_2 * sigma_mm {
                torn.push((index, second));
            } else {
                reading.mm = f64::midpoint(tape.mm, second);
                reading.sigma_mm = sigma_mm / std::f64::consts::SQRT_2;
            }
        }
        readings.push(reading);
    }
    // Twice over, since a later choice may change an earlier one.
    let mut margins = vec![0.0; torn.len()];
    for _ in 0..2 {
        for (&(index, second), margin) in torn.iter().zip(&mut margins) {
            let first = measured.tapes[index].mm;
            let [with_first, with_second] = [first, second].map(|mm| {
                readings[index].mm = mm;
                adjusted_cost(upright, given, &readings)
            });
            *margin = (with_first - with_second).abs();
            readings[index].mm = if with_first <= with_second { first } else { second };
        }
    }
    let undecided = torn.iter().zip(&margins).find(|(_, margin)| **margin < DECISION);
    if let Some((&(index, second_mm), _)) = undecided {
        let tape = measured.tapes[index];
        return Err(AimError::ReadingsDiffer { from: tape.from, to: tape.to, first_mm: tape.mm, second_mm });
    }
    let named = torn.iter().map(|&(index, _)| Suspect {
        from: readings[index].from,
        to: readings[index].to,
        should_read_mm: readings[index].mm,
    });
    let named = named.collect();
    Ok((readings, named))
}
