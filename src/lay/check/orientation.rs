//! How a piece is turned: on the grain, the same way up as the others, one left and one right.

use super::{Breach, Only};
use crate::cloth::Direction;
use crate::finding::{Finding, Severity};
use crate::geometry::Vec2;
use crate::lay::laid::{CopyOnSheet, Spot, Table, name};
use crate::lay::{Grain, Place, Rule};
use crate::pattern::HowCut;

pub(super) fn check(table: &Table<'_>, only: Only, found: &mut Vec<Breach>) {
    let wanted = |spot: &&Spot<'_>| only.is_none_or(|only| only == spot.index);
    for spot in table.spots.iter().filter(wanted) {
        grain(table, spot, found);
    }
    direction(table, only, found);
    pairs(table, only, found);
}

/// Off the direction that its grain asks for, in degrees, within a quarter turn of it.
fn off_grain_degrees(turn_degrees: f64, grain: Grain) -> f64 {
    let (asked, every) = match grain {
        Grain::Warp => (0.0, 180.0),
        Grain::Weft => (90.0, 180.0),
        Grain::Bias => (45.0, 90.0),
    };
    let off = turn_degrees - asked;
    off - (off / every).round() * every
}

fn grain(table: &Table<'_>, spot: &Spot<'_>, found: &mut Vec<Breach>) {
    let rules = table.laid.rules;
    let grain = rules.grain_of(spot.id());
    let off = off_grain_degrees(spot.place.turn_degrees, grain);
    // Rounding of a turn that was typed.
    const EXACT_DEGREES: f64 = 1e-9;
    if off.abs() <= rules.grain_tolerance_degrees.max(0.0) + EXACT_DEGREES {
        return;
    }
    let line = spot.part.piece.grainline;
    let length = (line.to - line.from).hypot();
    let by_mm = length * off.abs().to_radians().sin();
    let way = match grain {
        Grain::Warp => "the warp",
        Grain::Weft => "the weft",
        Grain::Bias => "the true bias",
    };
    let what = format!(
        "{} lies {:.1}° off {way}: {by_mm:.0} mm over its grainline of {length:.0} mm; {:.1}° are allowed",
        spot.name(),
        off.abs(),
        rules.grain_tolerance_degrees
    );
    let remedy = "turn it until both ends of the grainline are the same distance from the selvedge";
    let finding = Finding::new(Severity::Stop, what, remedy).at(line.from.midpoint(line.to)).by_mm(by_mm);
    let breach = Breach::new(Rule::Grain, finding).of(spot.id(), spot.place.copy);
    found.push(breach.mended(format!("turn it by {:.1}°, onto the grain", off.abs()), spot.turned(-off)));
}

/// Cosine below which a piece lies sideways rather than up or down: 45°.
const SIDEWAYS: f64 = std::f64::consts::FRAC_1_SQRT_2 - 1e-9;

fn up_on_sheet(spot: &Spot<'_>, copy: &CopyOnSheet) -> Vec2 {
    let up = spot.part.piece.grainline.direction();
    copy.halves.first().map_or(Vec2::ZERO, |half| half.direction(up))
}

fn direction(table: &Table<'_>, only: Only, found: &mut Vec<Breach>) {
    let direction = table.laid.cloth.direction();
    if direction == Direction::Free {
        return;
    }
    let copies = || table.spots.iter().flat_map(|spot| spot.copies.iter().map(move |copy| (spot, copy)));
    let ups = |up: f64| copies().filter(|(spot, copy)| up_on_sheet(spot, copy).x * up > SIDEWAYS).count();
    // Without a top, the way up is that of most pieces.
    let (up, why) = match direction {
        Direction::Top => (1.0, "the print has a top"),
        _ if ups(1.0) >= ups(-1.0) => (1.0, ""),
        _ => (-1.0, ""),
    };
    for (spot, copy) in copies().filter(|(spot, _)| only.is_none_or(|only| only == spot.index)) {
        let along = up * up_on_sheet(spot, copy).x;
        if along > SIDEWAYS {
            continue;
        }
        let who = name(spot.id(), copy.number);
        let pair = spot.part.how == HowCut::MirroredPair
            && copies().any(|(other, mate)| {
                other.part_index == spot.part_index
                    && mate.number != copy.number
                    && up * up_on_sheet(other, mate).x > SIDEWAYS
            });
        let (severity, what, remedy) = if along > -SIDEWAYS {
            // A piece on the bias or the weft lies across the print by its own wish.
            if table.laid.rules.grain_of(spot.id()) != Grain::Warp {
                continue;
            }
            (
                Severity::Warning,
                format!("{who} lies sideways on cloth that has a direction"),
                "turn it with its top to the top of the cloth",
            )
        } else if direction == Direction::Top {
            let pair = if pair { ", against the other of its pair" } else { "" };
            (
                Severity::Stop,
                format!("{who} lies upside down{pair}: {why}, and its top points away from it"),
                "turn it by half a turn, with its top to the print's",
            )
        } else {
            let Direction::OneWay(unlike) = direction else {
                continue;
            };
            let against = if pair { "the other of its pair" } else { "the other pieces" };
            (
                Severity::Stop,
                format!("{who} is turned against {against}: {unlike}, and would show it"),
                "turn it by half a turn, so that all tops point the same way",
            )
        };
        let line = spot.part.piece.grainline;
        let finding = Finding::new(severity, what, remedy).at(line.to);
        let breach = Breach::new(Rule::Direction, finding).of(spot.id(), copy.number);
        // What lies wrong on the turned ply only, lies right on the other.
        let mendable = severity == Severity::Stop && spot.copies.len() == 1;
        found.push(if mendable {
            breach.mended("turn it by half a turn", spot.turned(180.0))
        } else {
            breach
        });
    }
}

/// Left for right about its origin, so that a centre on it stays where it is.
fn turned_over(spot: &Spot<'_>) -> Place {
    Place { mirrored: !spot.place.mirrored, ..spot.place.clone() }
}

fn pairs(table: &Table<'_>, only: Only, found: &mut Vec<Breach>) {
    let all: Vec<(&Spot<'_>, &CopyOnSheet)> =
        table.spots.iter().flat_map(|spot| spot.copies.iter().map(move |copy| (spot, copy))).collect();
    let mirrored = |copy: &CopyOnSheet| copy.halves.first().is_some_and(|half| half.is_mirrored());
    for &(spot, copy) in &all {
        match spot.part.how {
            HowCut::Single if mirrored(copy) => {
                if only.is_some_and(|only| only != spot.index) {
                    continue;
                }
                let what = format!(
                    "{} would be cut mirrored, but all its copies are to be as drawn",
                    name(spot.id(), copy.number)
                );
                let remedy = if spot.place.mirrored {
                    "turn it over"
                } else {
                    "lay it where the cloth lies in a single ply"
                };
                let finding = Finding::new(Severity::Stop, what, remedy);
                let breach = Breach::new(Rule::Pair, finding).of(spot.id(), copy.number);
                found.push(if spot.place.mirrored && spot.copies.len() == 1 {
                    breach.mended("turn it over, left for right", turned_over(spot))
                } else {
                    breach
                });
            }
            HowCut::MirroredPair if copy.number % 2 == 1 => {
                let mate = all.iter().find(|(other, mate)| {
                    other.part_index == spot.part_index && mate.number == copy.number + 1
                });
                let Some(&(other, mate)) = mate else { continue };
                let concerned = only.is_none_or(|only| only == spot.index || only == other.index);
                if !concerned || mirrored(copy) != mirrored(mate) {
                    continue;
                }
                let both = if mirrored(copy) { "mirrored" } else { "as drawn" };
                let what = format!(
                    "“{}”, copies {} and {}, both lie {both}: that gives two for the same side",
                    spot.id(),
                    copy.number,
                    mate.number
                );
                let finding = Finding::new(Severity::Stop, what, "turn one of them over");
                let breach = Breach::new(Rule::Pair, finding).of(spot.id(), copy.number);
                let words = format!("turn copy {} over, left for right", mate.number);
                found.push(breach.of(spot.id(), mate.number).mended(words, turned_over(other)));
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn off_the_grain_is_counted_from_the_nearest_turn_that_is_on_it() {
        for (turn, grain, off) in [
            (181.0, Grain::Warp, 1.0),
            (-0.5, Grain::Warp, -0.5),
            (270.0, Grain::Weft, 0.0),
            (88.0, Grain::Weft, -2.0),
            (136.0, Grain::Bias, 1.0),
            (-45.0, Grain::Bias, 0.0),
        ] {
            assert!((off_grain_degrees(turn, grain) - off).abs() < 1e-9, "{turn} {grain:?}");
        }
    }
}
