//! Pairs of which both copies are alike, and copies that the cutting list does not ask for.

use super::Looked;
use crate::finding::{Finding, Severity};
use crate::garment::{Command, Found, Mend};
use crate::lay::Place;
use crate::pattern::{HowCut, Piece};

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let mut findings = Vec::new();
    for piece in looked.pieces.iter().map(|piece| &piece.altered) {
        let id = &piece.id;
        for cutting in piece.cuttings.iter().filter(|cutting| cutting.how == HowCut::MirroredPair) {
            if cutting.count % 2 == 1 {
                let what = format!(
                    "“{id}” is to be cut {} times as mirrored pairs: one copy has no mate",
                    cutting.count
                );
                let remedy = "make the count even, or cut it as Single, in the pattern's cutting list";
                findings.push(Finding::new(Severity::Warning, what, remedy).on(id).into());
            }
        }
        let on_table = looked.garment.plan.on_table;
        let on_cloth = piece.cuttings.iter().filter(|cutting| cutting.cloth == on_table);
        let wanted: u32 = on_cloth.clone().map(|cutting| cutting.count).sum();
        let pairs: u32 = on_cloth
            .clone()
            .filter(|cutting| cutting.how == HowCut::MirroredPair)
            .map(|cutting| cutting.count)
            .sum();
        let places: Vec<&Place> = looked.garment.plan.lay.iter().filter(|place| &place.piece == id).collect();
        findings.extend(too_many(piece, wanted, &places));
        if pairs == wanted {
            findings.extend(alike(piece, pairs, &places));
        } else if pairs == 0 && on_cloth.clone().all(|cutting| cutting.how == HowCut::Single) {
            findings.extend(turned_over(piece, &places));
        }
    }
    findings
}

/// More copies one way round than half of the pairs.
fn alike(piece: &Piece, pairs: u32, places: &[&Place]) -> Option<Found> {
    let half = usize::try_from(pairs.div_ceil(2)).unwrap_or(usize::MAX);
    let id = &piece.id;
    [false, true].into_iter().find_map(|mirrored| {
        let same: Vec<_> = places.iter().filter(|place| place.mirrored == mirrored).collect();
        let last = same.last().filter(|_| same.len() > half)?;
        let what =
            format!("“{id}” is cut as a mirrored pair, but {} copies lie the same way round", same.len());
        let remedy = format!("turn copy {} over, left for right", last.copy);
        let finding = Finding::new(Severity::Stop, what, &remedy).on(id);
        Some(Found::mended_by(finding, Some(turn_over(last, remedy))))
    })
}

/// Copies with their wrong side up that are no half of a pair.
fn turned_over(piece: &Piece, places: &[&Place]) -> Vec<Found> {
    let id = &piece.id;
    let mirrored = places.iter().filter(|place| place.mirrored);
    mirrored
        .map(|place| {
            let what =
                format!("“{id}”, copy {}, lies turned over, and the pattern asks for none so", place.copy);
            let remedy = format!("turn copy {} back, left for right", place.copy);
            let finding = Finding::new(Severity::Stop, what, &remedy).on(id);
            Found::mended_by(finding, Some(turn_over(place, remedy)))
        })
        .collect()
}

fn turn_over(place: &Place, words: String) -> Mend {
    let mirrored = !place.mirrored;
    let place = Place { mirrored, ..place.clone() };
    Mend { words, command: Command::SetPlace(place) }
}

fn too_many(piece: &Piece, wanted: u32, places: &[&Place]) -> Option<Found> {
    let id = &piece.id;
    let beyond = places.iter().find(|place| place.copy > wanted)?;
    let what = format!(
        "the lay has a copy {} of “{id}”, of which {wanted} are to be cut from the main cloth",
        beyond.copy
    );
    let remedy = format!("take copy {} out of the lay", beyond.copy);
    let mend = Mend { words: remedy.clone(), command: Command::RemovePlace(id.clone(), beyond.copy) };
    let finding = Finding::new(Severity::Warning, what, remedy).on(id);
    Some(Found::mended_by(finding, Some(mend)))
}
