//! Where a piece that is dragged comes to rest, so that its print agrees.

use super::laid::Table;
use super::matching::{Failing, Phases, centre_bands, links};
use super::{Grain, Laid, Place, Rule};
use crate::cloth::{Cloth, Repeat};
use crate::geometry::{Point, Vec2};

/// A place moved to somewhere, but only by ways of the print's repeat, so that whatever was matched stays matched:
/// along a stripe by any way, across it and on a lattice by whole repeats. On plain cloth, or where bars and motif
/// have no repeat in common, it goes where it is asked to.
#[must_use]
pub fn kept_in_phase(place: &Place, to: Point, cloth: &Cloth) -> Place {
    let at = match cloth.repeat() {
        Repeat::Plain | Repeat::Never => to,
        repeat => place.at + repeat.nearest_way(to - place.at),
    };
    Place { at, ..place.clone() }
}

/// The nearest place at which a piece's print agrees with what is laid already: with the first mate in the order in
/// which seams are matched, else with the bar chosen for the centre; else the place as it is. `laid` may hold the
/// copy already; its place there is put aside.
#[must_use]
pub fn snapped(place: &Place, laid: &Laid<'_>) -> Place {
    let Some(print) = laid.cloth.sound_print() else {
        return place.clone();
    };
    let same = |known: &Place| known.piece == place.piece && known.copy == place.copy;
    let mut places: Vec<Place> = laid.places.iter().filter(|known| !same(known)).cloned().collect();
    places.push(place.clone());
    let index = places.len() - 1;
    let table = Laid { places: &places, ..*laid }.table();
    let phases = Phases::of(print);
    let Some(on_print) = shift(&table, index, &phases, laid) else {
        return place.clone();
    };
    // Plies differ from the table by a shift, and the first one by nothing else.
    let by = phases.print_from_sheet.inverse() * on_print.to_point();
    Place { at: place.at + by.to_vec2(), ..place.clone() }
}

/// By how much the place is to move, on the unturned print.
fn shift(table: &Table<'_>, index: usize, phases: &Phases, laid: &Laid<'_>) -> Option<Vec2> {
    let spot = table.spots.iter().find(|spot| spot.index == index)?;
    if laid.rules.grain_of(spot.id()) != Grain::Warp {
        return None;
    }
    if !matches!(phases.repeat, Repeat::Never) {
        for link in links(table) {
            let sign = match link.places {
                [first, second] if first == index && second != index => 1.0,
                // A second one on its head moves against the way it is looked at.
                [first, second] if second == index && first != index && !link.turned => -1.0,
                [first, second] if second == index && first != index => 1.0,
                _ => continue,
            };
            if laid.rules.lets_pass_at(&link.matched) {
                continue;
            }
            let tops_meet = |failing: &Failing| matches!(failing, Failing::TopsMeet { .. });
            if link.matched.failing.iter().any(tops_meet) {
                continue;
            }
            let way = sign * link.apart;
            return Some(phases.repeat.nearest_way(way) - way);
        }
    }
    if laid.rules.lets_pass(Rule::Centre) {
        return None;
    }
    let bands = centre_bands(laid.cloth.sound_print()?, laid.rules.centre).ok()??;
    let centre = spot.part.centre()?;
    let half = spot.copies.first()?.halves.first()?;
    let middle = phases.print_from_sheet * half.sheet_from_piece * centre.p0.midpoint(centre.p1);
    Some(Vec2::new(0.0, -bands.error(middle)))
}
