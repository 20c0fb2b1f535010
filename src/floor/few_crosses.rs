//! What to expect of stands that are held by fewer crosses than four.

use crate::aim::{Aim, Motion, Registration, drift_sigma_mm};
use crate::garment::{CHALK_MM, CROSSES, OneStand, StandWork};
use crate::geometry::Point;

/// Of a shift whose root mean square in the plane is 1, the value that one run in twenty exceeds (Rayleigh: √ln 20).
const ONE_IN_TWENTY: f64 = 1.73;

/// Says of the worst stand that has fewer than four crosses how far it may drift, and what would help; `None` where all
/// have four.
#[must_use]
pub fn few_crosses(stands: &StandWork, aim: &Aim) -> Option<String> {
    let few = |stand: &OneStand| !stand.crosses.is_empty() && stand.crosses.len() < CROSSES;
    let worst = (0..stands.stands.len())
        .filter(|&index| few(&stands.stands[index]))
        .filter_map(|index| Some((index, foreseen_mm(stands, aim, index)?)))
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    let (index, mm) = worst;
    let numbers = match stands.stands[index].crosses.len() {
        2 => "two crosses".to_owned(),
        count => format!("{count} crosses"),
    };
    Some(format!(
        "Stand {} is held by {numbers} only: its far end may drift by {mm:.1} mm (one time in twenty by more). Four \
         drift less: leave more room between the pieces, or lay the long ones along the light.",
        index + 1,
    ))
}

/// How far the far corner of a stand may drift by all moves that lead there, in mm, one time in twenty by more.
fn foreseen_mm(stands: &StandWork, aim: &Aim, index: usize) -> Option<f64> {
    let mut moves = Vec::new();
    let mut at = index;
    while let Some(from) = stands.stands[at].from {
        moves.push(foreseen_move(&stands.stands[at], stands.stands.get(from)?, aim)?);
        at = from;
    }
    let (x0, y0, x1, y1) = stands.stands[index].on_cloth;
    let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(Point::from);
    let worst = corners.iter().map(|&corner| drift_sigma_mm(&moves, corner)).fold(0.0, f64::max);
    Some(ONE_IN_TWENTY * worst)
}

/// How sure a move will be whose crosses are chalked in one stand and found again in the next.
fn foreseen_move(stand: &OneStand, before: &OneStand, aim: &Aim) -> Option<Registration> {
    let sigma = |lies: &Motion, cross: Point| {
        let pick = aim.picture_of_cloth(lies.apply(cross))?;
        Some(aim.cross_at(lies, pick)?.sigma_mm)
    };
    let (then, now) = (before.lies.unwrap_or(before.planned).motion(), stand.planned.motion());
    let crosses: Vec<Point> = stand.crosses.iter().map(|&at| at.into()).collect();
    let weights: Vec<f64> = crosses
        .iter()
        .map(|&cross| {
            let chalked = sigma(&then, cross)?.hypot(CHALK_MM);
            Some(chalked.hypot(sigma(&now, cross)?).powi(2).recip())
        })
        .collect::<Option<_>>()?;
    let sum: f64 = weights.iter().sum();
    let pivot = crosses
        .iter()
        .zip(&weights)
        .fold(Point::ORIGIN, |at, (cross, weight)| at + cross.to_vec2() * (weight / sum));
    let arms: f64 =
        crosses.iter().zip(&weights).map(|(cross, weight)| weight * cross.distance_squared(pivot)).sum();
    Some(Registration {
        surface_from_cloth: now,
        residuals_mm: Vec::new(),
        pivot,
        shift_sigma_mm: sum.recip().sqrt(),
        turn_sigma: arms.recip().sqrt(),
    })
}
