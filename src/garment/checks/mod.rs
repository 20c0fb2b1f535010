//! Checks: each looks at the altered pieces and says what it found. One file a check.

mod allowances;
mod alterations;
mod blends;
mod cloth;
mod corners;
mod cutting;
mod darts;
mod ease;
mod facings;
#[cfg(test)]
mod fixture;
mod grain;
mod hems;
mod lay;
mod mates;
mod outlines;
mod pairs;
mod seams;
mod stale;

pub use cloth::cloth_findings;

use super::evaluate::LaidAside;
use super::{EvaluatedPiece, Found, Garment};
use crate::alter::{Allowances, Replay};
use crate::finding::Subject;
use crate::geometry::tolerance::FLATTEN_COARSE_MM;
use crate::lay::Parts;
use crate::pattern::{ClothKind, CornerId, EdgeRole, Piece, PieceId, Run, Seam, SeamSide};
use std::collections::{BTreeMap, BTreeSet};

/// Everything that a check may look at.
#[derive(Debug, Clone, Copy)]
struct Looked<'a> {
    garment: &'a Garment,
    pieces: &'a [EvaluatedPiece],
    replay: &'a Replay,
    parts: &'a Parts,
    aside: &'a BTreeMap<ClothKind, LaidAside>,
}

impl<'a> Looked<'a> {
    fn piece(&self, id: &PieceId) -> Option<&'a EvaluatedPiece> {
        self.pieces.iter().find(|piece| &piece.altered.id == id)
    }

    /// Both sides of a seam on the altered pieces.
    fn sides(&self, seam: &Seam) -> Option<[SeamSide<'a>; 2]> {
        let [first, second] = &seam.sides;
        let side = |run: &Run| SeamSide::new(&self.piece(&run.piece)?.altered, run);
        Some([side(first)?, side(second)?])
    }

    /// Both sides of a seam on the pieces as printed.
    fn printed_sides(&self, seam: &Seam) -> Option<[SeamSide<'a>; 2]> {
        let printed = self.garment.pattern.seams.iter().find(|printed| printed.id == seam.id)?;
        let [first, second] = &printed.sides;
        let side = |run: &Run| SeamSide::new(&self.piece(&run.piece)?.printed, run);
        Some([side(first)?, side(second)?])
    }
}

/// What all checks have to say, gravest first, and the pieces that are stale.
pub(super) fn all(
    garment: &Garment,
    pieces: &[EvaluatedPiece],
    replay: &Replay,
    parts: &Parts,
    aside: &BTreeMap<ClothKind, LaidAside>,
) -> (Vec<Found>, BTreeSet<PieceId>) {
    let looked = Looked { garment, pieces, replay, parts, aside };
    let seams = mates::troubles(&looked);
    let by_seam = [seams::check, stale::check, facings::check];
    type Check = fn(&Looked<'_>) -> Vec<Found>;
    let by_piece: [(Check, Subject); 12] = [
        (alterations::check, Subject::Alterations),
        (alone, Subject::Alterations),
        (cutting::check, Subject::Alterations),
        (allowances::check, Subject::Alterations),
        (corners::check, Subject::Alterations),
        (darts::check, Subject::Alterations),
        (hems::check, Subject::Alterations),
        (grain::check, Subject::Alterations),
        (blends::check, Subject::Alterations),
        (ease::check, Subject::Alterations),
        (pairs::check, Subject::Lay),
        (cloth::check, Subject::Lay),
    ];
    let about = |found: Found, subject| Found { finding: found.finding.about(subject), ..found };
    let mut findings: Vec<Found> = by_seam
        .into_iter()
        .flat_map(|check| check(&looked, &seams))
        .map(|found| about(found, Subject::Alterations))
        .collect();
    for (check, subject) in by_piece.into_iter().chain([(lay::check as Check, Subject::Lay)]) {
        findings.extend(check(&looked).into_iter().map(|found| about(found, subject)));
    }
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let stale = seams.iter().filter_map(mates::Trouble::stale_piece).cloned().collect();
    (findings, stale)
}

/// What is to be said of a piece by itself. It is worked out with the piece, and holds as long as the piece does.
pub(super) fn of_piece(piece: &EvaluatedPiece, allowances: &Allowances) -> Vec<Found> {
    let mut findings = outlines::of_piece(&piece.altered);
    findings.extend(allowances::of_piece(piece, allowances));
    findings
}

fn alone(looked: &Looked<'_>) -> Vec<Found> {
    looked.pieces.iter().flat_map(|piece| piece.alone.iter().cloned()).collect()
}

/// Whether a piece is a facing: one of its edges is a facing's inner edge.
fn is_facing(piece: &Piece) -> bool {
    piece.edges.iter().any(|edge| edge.role == EdgeRole::FacingEdge)
}

/// The angle inside the cloth at a corner, in radians.
fn corner_angle(piece: &Piece, corner: &CornerId) -> Option<f64> {
    let index = piece.edges.iter().position(|edge| &edge.from == corner)?;
    let before = &piece.edges[(index + piece.edges.len() - 1) % piece.edges.len()];
    let (came, goes) = (before.curve.end_tangent(), piece.edges[index].curve.start_tangent());
    Some(std::f64::consts::PI - came.cross(goes).atan2(came.dot(goes)))
}

/// Furthest that an edge leaves the straight line between its ends, in mm.
fn off_straight(curve: &crate::geometry::Curve) -> f64 {
    let chord = curve.end() - curve.start();
    let length = chord.hypot().max(f64::MIN_POSITIVE);
    let points = curve.flatten(FLATTEN_COARSE_MM).into_iter();
    let off = points.map(|point| (point - curve.start()).cross(chord).abs() / length);
    off.fold(0.0, f64::max)
}
