//! Folds: a fold edge on the cloth's fold, and whether the cloth may be cut folded at all.

use super::{Breach, Only};
use crate::cloth::{FoldWay, Repeat, RightSides};
use crate::finding::{Finding, Severity};
use crate::geometry::Vec2;
use crate::lay::Rule;
use crate::lay::laid::{ON_EDGE_MM, Table, Under};
use crate::lay::matching::PRINT_TOLERANCE_MM;
use crate::pattern::HowCut;

pub(super) fn check(table: &Table<'_>, only: Only, found: &mut Vec<Breach>) {
    if only.is_none() {
        plies(table, found);
    }
    let Some(fold) = table.laid.cloth.fold() else {
        no_fold(table, only, found);
        return;
    };
    for spot in table.spots.iter().filter(|spot| only.is_none_or(|only| only == spot.index)) {
        if spot.under == Under::Both {
            let what = format!("{} lies partly on one ply and partly on two", spot.name());
            let remedy = "move it wholly onto the double part or wholly off it";
            let finding = Finding::new(Severity::Stop, what, remedy);
            found.push(Breach::new(Rule::Plies, finding).of(spot.id(), spot.place.copy));
            continue;
        }
        let (Under::Double, Some(edge)) = (spot.under, spot.part.fold()) else {
            continue;
        };
        let off = [edge.p0, edge.p1].map(|end| {
            let end = spot.table_from_piece * end;
            match fold.way {
                FoldWay::Lengthwise => end.y,
                FoldWay::Crosswise => end.x,
            }
        });
        let furthest = off.into_iter().map(f64::abs).fold(0.0, f64::max);
        if furthest > ON_EDGE_MM {
            let what = format!(
                "the fold edge of {} lies {furthest:.2} mm off the fold of the cloth: it would come out {} and cut in \
                 two",
                spot.name(),
                if off[0] > 0.0 || off[1] > 0.0 { "too wide" } else { "too narrow" }
            );
            let remedy =
                "move it until its fold edge lies on the fold, or open the piece out on a single ply";
            let finding =
                Finding::new(Severity::Stop, what, remedy).at(edge.p0.midpoint(edge.p1)).by_mm(furthest);
            let onto = -0.5 * (off[0] + off[1]);
            let by = match fold.way {
                FoldWay::Lengthwise => Vec2::new(0.0, onto),
                FoldWay::Crosswise => Vec2::new(onto, 0.0),
            };
            let breach = Breach::new(Rule::Fold, finding).of(spot.id(), spot.place.copy);
            found.push(
                breach.mended(format!("move it by {:.2} mm onto the fold", onto.abs()), spot.moved(by)),
            );
        }
    }
    no_fold(table, only, found);
}

/// Pieces to be cut on the fold that have no fold edge.
fn no_fold(table: &Table<'_>, only: Only, found: &mut Vec<Breach>) {
    for spot in table.spots.iter().filter(|spot| only.is_none_or(|only| only == spot.index)) {
        if matches!(spot.part.how, HowCut::OnFold | HowCut::OpenedOut) && spot.part.fold().is_none() {
            let what = format!("{} is to be cut on the fold, but no edge of it is a fold", spot.name());
            let remedy = "say in the pattern which of its edges is the fold";
            let finding = Finding::new(Severity::Stop, what, remedy);
            found.push(Breach::new(Rule::Fold, finding).of(spot.id(), spot.place.copy));
        }
    }
}

fn plies(table: &Table<'_>, found: &mut Vec<Breach>) {
    let cloth = table.laid.cloth;
    if let Some(unlike) = cloth.why_not_folded() {
        let what = format!(
            "“{}” can't be cut folded: {unlike}. What is cut of the lower ply would not agree with the upper",
            cloth.name
        );
        let remedy = "lay it flat in a single ply, all tops one way";
        found.push(Breach::new(Rule::Plies, Finding::new(Severity::Stop, what, remedy)));
    } else if let Some((way, error)) = cloth.fold_phase_error_mm()
        && error.abs() > PRINT_TOLERANCE_MM
    {
        let along = match way {
            FoldWay::Lengthwise => "across",
            FoldWay::Crosswise => "along",
        };
        let what = format!(
            "the plies of “{}” do not agree: the print of one lies {:.1} mm off the other's mirror image",
            cloth.name,
            error.abs()
        );
        let remedy = format!(
            "move the fold by {:.1} mm {along} the cloth, to the middle of a bar or gap, and pin the layers bar to bar",
            0.5 * error.abs()
        );
        let finding = Finding::new(Severity::Warning, what, remedy).by_mm(error.abs());
        found.push(Breach::new(Rule::Plies, finding));
    }
    let printed = !matches!(cloth.repeat(), Repeat::Plain);
    if printed && cloth.plies.right_sides() == Some(RightSides::In) {
        let what = format!("“{}” is folded with its print inside, where no light can show it", cloth.name);
        let remedy = "fold it right sides out, so that bars can be pinned to bars";
        found.push(Breach::new(Rule::Plies, Finding::new(Severity::Note, what, remedy)));
    }
}
