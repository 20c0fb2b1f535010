//! Let out or take in along a seam.
//!
//! The seam moves square to itself, outwards to let out: fully at one place, fading to nothing at another and, if
//! asked for, at a third; beyond the full place it stays full to the end of the seam (a side seam let out from
//! the hip down). Every piece that is sewn along the seam changes alike, at the same sewn distances, so mates stay
//! equal within what a curve gains on its outer side. The edges beside the seam (hem, armhole) are carried on, or
//! cut, to meet it.
//!
//! `by` is the change of **each** side of the seam: 5 mm on a side seam with front and back, left and right, is
//! 20 mm round the body. The report gives both.

use super::draft::{Change, Draft};
use super::place::{Place, Spot, edges_of_run, sewn_along};
use super::reshape::{Profile, moved_out};
use super::{AlterError, Amount, Figure};
use crate::geometry::Length;
use crate::pattern::{ClothKind, HowCut, Piece, PieceId, Run};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// Let out or take in along a seam.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Width {
    /// The piece on which the places are named; its mates follow.
    pub piece: PieceId,
    /// Where the amount is full.
    pub full: Place,
    /// Where it has faded to nothing.
    pub nothing: Place,
    /// Where it has faded to nothing on the other side of the full place; when absent it stays full there.
    #[serde(default)]
    pub also_nothing: Option<Place>,
    /// How far each side of the seam is let out; negative takes in.
    pub let_out: Length,
}

impl Width {
    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let by = self.let_out.mm();
        let source = draft.piece(&self.piece)?;
        let nothing = self.nothing.on(source)?;
        let full = self.full.on(source)?;
        let also = self.also_nothing.as_ref().map(|place| place.on(source)).transpose()?;
        let runs: Vec<Run> = self.runs(draft, source, nothing);
        let mut change = Change::default();
        if by == 0.0 {
            return Ok(change);
        }
        let own = runs.first().ok_or_else(|| off_seam(source))?;
        let at = |spot: Spot| at_run(source, own, spot).ok_or_else(|| off_seam(source));
        let (full, nothing) = (at(full)?, at(nothing)?);
        let also = also.map(at).transpose()?;
        let profile = Profile {
            full,
            nothing_before: [Some(nothing), also].into_iter().flatten().find(|&place| place < full),
            nothing_after: [Some(nothing), also].into_iter().flatten().find(|&place| place > full),
        };
        let mut done = BTreeSet::new();
        let mut copies = 0;
        for run in &runs {
            if !done.insert(run.piece.clone()) {
                continue;
            }
            let old = draft.piece(&run.piece)?;
            let (mut edges, forward) = edges_of_run(old, run).ok_or_else(|| off_seam(old))?;
            let length: f64 = edges.iter().map(|&edge| old.edges[edge].curve.length()).sum();
            let profile = if forward { profile } else { profile.reversed(length) };
            if !forward {
                edges.reverse();
            }
            change.pieces.push(moved_out(old, &edges, by, &profile)?);
            copies += copies_of(old);
        }
        change.figures.push(Figure {
            name: "change all round, at the full place",
            piece: None,
            before: None,
            after: Amount::Mm(by * f64::from(copies)),
        });
        Ok(change)
    }

    /// The run of the named piece, and those of everything sewn to it there.
    fn runs(&self, draft: &Draft<'_>, source: &Piece, place: Spot) -> Vec<Run> {
        // A corner belongs to two edges: the seam is the one that both places lie on.
        let candidates = draft.seams.iter().flat_map(|seam| seam.sides.iter().map(move |run| (seam, run)));
        let on_it = |run: &Run| {
            let holds = |spot: Spot| at_run(source, run, spot).is_some();
            let full = self.full.on(source).is_ok_and(holds);
            run.piece == source.id && holds(place) && full
        };
        let mut runs: Vec<Run> = Vec::new();
        for (seam, run) in candidates.filter(|(_, run)| on_it(run)) {
            if runs.is_empty() {
                runs.push(run.clone());
            }
            runs.extend(seam.sides.iter().filter(|side| side.piece != source.id).cloned());
        }
        runs
    }
}

/// Sewn distance of a spot along a run, where a corner counts for both edges that meet in it.
fn at_run(piece: &Piece, run: &Run, spot: Spot) -> Option<f64> {
    let count = piece.edges.len();
    sewn_along(piece, run, spot).or_else(|| {
        let length = piece.edges[spot.edge].curve.length();
        let close = crate::geometry::tolerance::JOIN_MM;
        let neighbour = if spot.along <= close {
            let edge = (spot.edge + count - 1) % count;
            Spot { edge, along: piece.edges[edge].curve.length() }
        } else if spot.along >= length - close {
            Spot { edge: (spot.edge + 1) % count, along: 0.0 }
        } else {
            return None;
        };
        sewn_along(piece, run, neighbour)
    })
}

fn off_seam(piece: &Piece) -> AlterError {
    AlterError::NotOneSeam { piece: piece.id.clone() }
}

/// How many edges like the drawn one the garment has: copies from the main cloth, two each on a fold.
fn copies_of(piece: &Piece) -> u32 {
    let cloth = piece.cuttings.iter().filter(|cutting| cutting.cloth == ClothKind::Cloth);
    cloth
        .map(|cutting| match cutting.how {
            HowCut::Single | HowCut::MirroredPair => cutting.count,
            HowCut::OnFold | HowCut::OpenedOut => 2 * cutting.count,
        })
        .sum()
}
