//! What is said of seams: by how much to move, or why nothing can be done.

use super::link::links;
use super::{BarOrder, Failing, Match, MatchedAt, PRINT_TOLERANCE_MM};
use crate::finding::{Finding, Severity};
use crate::geometry::Vec2;
use crate::lay::Rule;
use crate::lay::check::{Breach, Only};
use crate::lay::laid::{Table, Under, name};
use std::collections::BTreeSet;

pub(in crate::lay) fn check(table: &Table<'_>, only: Only, found: &mut Vec<Breach>) {
    let mut said = BTreeSet::new();
    for link in links(table) {
        if only.is_some_and(|only| !link.places.contains(&only)) {
            continue;
        }
        let matched = &link.matched;
        let breach = |finding: Finding| {
            let breach = Breach::new(Rule::Match, finding)
                .of(&matched.first.piece, matched.first.copy)
                .of(&matched.second.piece, matched.second.copy);
            match &matched.at {
                MatchedAt::Seam(seam) => breach.at_seam(seam),
                MatchedAt::Centre(_) => breach,
            }
        };
        let spot = table.spots.iter().find(|spot| spot.index == link.places[0]);
        let place = |finding: Finding| match spot {
            Some(spot) => finding.at(spot.on_piece(matched.first.on_table)),
            None => finding,
        };
        let second = name(&matched.second.piece, matched.second.copy);
        let first = format!("“{}”, copy {}", matched.first.piece, matched.first.copy);
        let across = matched.across_mm.filter(|_| !matches!(matched.order, BarOrder::Breaks(_)));
        for (error, way) in [(matched.along_mm, "along"), (across, "across")] {
            let Some(error) = error.filter(|mm| mm.abs() > PRINT_TOLERANCE_MM) else {
                continue;
            };
            let what = format!(
                "at {} {second} does not match {first}: its print lies {:.1} mm off {way} the cloth",
                matched.at,
                error.abs()
            );
            let halves = if matched.order == BarOrder::Mirrors && way == "across" {
                ", or both by half of it, until a bar or gap lies midway"
            } else {
                ""
            };
            let remedy =
                format!("move “{}” by {:.1} mm {way} the cloth{halves}", matched.second.piece, error.abs());
            let finding = Finding::new(Severity::Warning, what, &remedy).by_mm(error.abs());
            let missing = match (way, matched.order) {
                ("along", _) => Vec2::new(error, 0.0),
                // Twice the way of the middle between both from a mirror line.
                (_, BarOrder::Mirrors) => Vec2::new(0.0, -error),
                _ => Vec2::new(0.0, error),
            };
            let breach = breach(place(finding));
            let second = table.spots.iter().find(|spot| spot.index == link.places[1]);
            // Under two plies one copy can't be moved without the other.
            found.push(match second.filter(|spot| spot.under == Under::Single) {
                Some(spot) => breach.mended(remedy, spot.moved(link.move_of_second(missing))),
                None => breach,
            });
        }
        // What can't be mended is said once a seam, not once a side of the body.
        if only.is_none() && said.insert(matched.at.clone()) {
            for (what, amount) in cannot(matched) {
                let remedy = "nothing to do; it is so for every lay";
                let finding = Finding::new(Severity::Note, what, remedy).by_mm(amount);
                found.push(breach(place(finding)));
            }
        }
    }
}

/// Where the print must fail to agree, in words, with the amount.
fn cannot(matched: &Match) -> Vec<(String, f64)> {
    let at = &matched.at;
    let mut all = Vec::new();
    if let BarOrder::Breaks(unlike) = matched.order
        && !matched.tops_meet()
    {
        let apart = matched.across_mm.unwrap_or_default().abs();
        let level = match matched.along_mm {
            Some(mm) if mm.abs() <= PRINT_TOLERANCE_MM => "the level agrees, but ",
            _ => "",
        };
        all.push((
            format!(
                "at {at} {level}the order of the bars breaks: {unlike}, and the seam lines lean apart. At the match \
                 point the bars are {apart:.1} mm apart"
            ),
            apart,
        ));
    }
    for failing in &matched.failing {
        all.push(match *failing {
            Failing::TopsMeet { drift_mm } => (
                format!(
                    "at {at} the print can't match: the tops of both pieces meet there, and along it the print drifts \
                     by {drift_mm:.1} mm"
                ),
                drift_mm,
            ),
            Failing::EdgesDiffer { drift_mm } => (
                format!(
                    "at {at} the print can match at one point only: both seam lines run at different angles, and it \
                     drifts by {drift_mm:.1} mm"
                ),
                drift_mm,
            ),
            Failing::BeyondDart { drift_mm } => (
                format!("at {at} the print can't match beyond the dart: it is up to {drift_mm:.1} mm apart there"),
                drift_mm,
            ),
        });
    }
    all
}
