//! Where a piece that is dragged comes to rest, so that its print agrees and its fold edge lies on the fold.

use super::laid::{Spot, Table, Under};
use super::matching::{Failing, Phases, centre_bands, links};
use super::{Grain, Laid, Place, Rule};
use crate::cloth::{Cloth, FoldWay, Print, Repeat};
use crate::geometry::{Affine, Point, Vec2};
use crate::pattern::HowCut;

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

/// The nearest place at which a piece keeps what can be kept by moving it: its fold edge on the fold, where two plies
/// lie under it; its print in agreement with the first mate that is laid already, in the order in which seams are
/// matched; else the bar chosen for the centre on it, or its halves alike; else the place as it is. Rules let pass on
/// the piece are not looked at. `laid` may hold the copy already; its place there is put aside.
#[must_use]
pub fn snapped(place: &Place, laid: &Laid<'_>) -> Place {
    let same = |known: &Place| known.piece == place.piece && known.copy == place.copy;
    let mut places: Vec<Place> = laid.places.iter().filter(|known| !same(known)).cloned().collect();
    let index = places.len();
    let mut place = place.clone();
    places.push(place.clone());
    let table = Laid { places: &places, ..*laid }.table();
    let fold = table.spots.iter().find(|spot| spot.index == index).and_then(|spot| onto_fold(&table, spot));
    if let Some((_, by)) = fold {
        place.at += by;
        places[index] = place.clone();
    }
    let Some(print) = laid.cloth.sound_print() else {
        return place;
    };
    let table = Laid { places: &places, ..*laid }.table();
    let phases = Phases::of(print);
    let Some(by) = shift(&table, index, (print, &phases), fold.is_some()) else {
        return place;
    };
    place.at += match fold {
        Some((FoldWay::Lengthwise, _)) => Vec2::new(by.x, 0.0),
        Some((FoldWay::Crosswise, _)) => Vec2::new(0.0, by.y),
        None => by,
    };
    place
}

/// Which way the fold runs that a fold edge must lie on, and the way there.
fn onto_fold(table: &Table<'_>, spot: &Spot<'_>) -> Option<(FoldWay, Vec2)> {
    let (fold, edge) = (table.laid.cloth.fold()?, spot.part.fold()?);
    if spot.under != Under::Double || table.laid.rules.lets_pass_on(Rule::Fold, spot.id()) {
        return None;
    }
    let middle = spot.table_from_piece * edge.p0.midpoint(edge.p1);
    Some((
        fold.way,
        match fold.way {
            FoldWay::Lengthwise => Vec2::new(0.0, -middle.y),
            FoldWay::Crosswise => Vec2::new(-middle.x, 0.0),
        },
    ))
}

/// By how much the place is to move on the table.
fn shift(table: &Table<'_>, index: usize, (print, phases): (&Print, &Phases), on_fold: bool) -> Option<Vec2> {
    let rules = table.laid.rules;
    let spot = table.spots.iter().find(|spot| spot.index == index)?;
    if rules.grain_of(spot.id()) != Grain::Warp {
        return None;
    }
    if !matches!(phases.repeat, Repeat::Never) {
        for link in links(table) {
            let [first, second] = link.places;
            let is_second = second == index && first != index;
            if first == second || (first != index && second != index) || rules.lets_pass_at(&link.matched) {
                continue;
            }
            let tops_meet = |failing: &Failing| matches!(failing, Failing::TopsMeet { .. });
            if link.matched.failing.iter().any(tops_meet) {
                continue;
            }
            // What is cut of the lower ply moves there as its mirror image does.
            let end = usize::from(is_second);
            let table_from_print = (phases.print_from_sheet * link.sheet_from_table[end]).inverse();
            // A second one on its head moves against the way it is looked at.
            let on_its_head = is_second && link.turned;
            let sign = if is_second && !link.turned { -1.0 } else { 1.0 };
            let along = -sign * phases.along_error(link.apart).unwrap_or_default();
            if on_fold {
                return Some(moved(table_from_print, Vec2::new(along, 0.0)));
            }
            if let Some(error) = link.mirrors_mm {
                let across = if on_its_head { error } else { -error };
                return Some(moved(table_from_print, Vec2::new(along, across)));
            }
            let way = sign * link.apart;
            return Some(moved(table_from_print, phases.repeat.nearest_way(way) - way));
        }
    }
    // A facing shows no print.
    if spot.part.is_facing() {
        return None;
    }
    let centre = spot.part.centre()?;
    let halves = &spot.copies.first()?.halves;
    let on_sheet = halves.first()?.sheet_from_piece * centre.p0.midpoint(centre.p1);
    let bands = centre_bands(print, rules.centre).ok().flatten();
    if let Some(bands) = bands.filter(|_| !rules.lets_pass_on(Rule::Centre, spot.id())) {
        // The first ply differs from the table by nothing but a shift.
        let on_print = Vec2::new(0.0, -bands.error(phases.print_from_sheet * on_sheet));
        return Some(moved(phases.print_from_sheet.inverse(), on_print));
    }
    // Both halves of a piece are alike, opened out or cut in two on two plies. On folded cloth both sides of the body are,
    // for one cut through two plies may give both of a mate.
    let folded = table.laid.cloth.fold().is_some() && !rules.lets_pass_on(Rule::Match, spot.id());
    let two_sides = halves.len() > 1 || spot.part.how == HowCut::MirroredPair;
    let halves_alike = halves.len() > 1 && !rules.lets_pass_on(Rule::FoldPrint, spot.id());
    let alike = halves_alike || (folded && two_sides);
    if !alike {
        return None;
    }
    let error = table.laid.cloth.mirror_lines(FoldWay::Lengthwise).phase_error(on_sheet.y)?;
    Some(Vec2::new(0.0, -0.5 * error))
}

/// Where a motion brings a way.
fn moved(motion: Affine, way: Vec2) -> Vec2 {
    motion * way.to_point() - motion * Point::ORIGIN
}
