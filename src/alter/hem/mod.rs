//! The hem longer or shorter, parallel to itself or sloping from the centre to the side.
//!
//! **Parallel.** The new hem is the true parallel curve, trimmed by (or carried on to) the edges beside it: side
//! seams, fold, front edge. Its length is L′ = L − h·Δθ for a hem shortened by h that turns by Δθ radians, exactly so
//! where it ends square to its neighbours; an arc stays an arc. Measuring up along the grain instead would take off
//! only h·cos β where the hem slopes by β, and is not offered for curved hems. The amount must stay below
//! the radius of curvature on the inner side. A seam that meets the hem at an angle ψ changes by h/sin ψ.
//!
//! **Sloping** ([`Hem::at_side`]). Every point moves square to the old hem by an amount that varies evenly with the arc
//! length from the centre end to the side end: h(s) = h₀ + (h₁ − h₀)·s/L. At the side h₁ is meant **along the side
//! seam**, so that mates whose hems meet it at different angles still change alike; at the centre and between it is
//! square to the hem. Which end is the side is worked out in `way.rs`; the corner at a fold leaves 90° by the
//! slope, and the check of corners says so where it shows.
//!
//! **At an angle to the side seam** ([`Hem::side_angle_degrees`]). The angle is the one inside the cloth, between the
//! new hem and the side seam as they meet at the new corner; 90° is square, and two mates that are both square run on
//! without a break. The end of the hem is turned over a hand's breadth, by r·(1 − r/z)² at a distance r from the corner,
//! which leaves the corner itself and the rest of the hem where they are (`slope.rs`). Handbooks say no more than
//! “square the hem at the side seam”; the formula is ours.
//!
//! The old hem stays on the piece as a [`Trace`](crate::pattern::Trace). A turned-up allowance a is a·Δθ longer at its
//! cut edge than the hem where it is turned, which has to be eased in (or the other way round); the report names it.
//!
//! A marked line that crosses the new hem ends there. Notches on the hem stay above their old place. A notch on an edge
//! beside it stays where it is on the cloth; one that marks the level of the hem, or would be cut away, moves with
//! the hem.

mod error;
mod moved;
mod slope;
mod way;

pub use error::HemSideError;

use super::draft::{Change, Draft};
use super::{AlterError, Amount, Figure, Pieces};
use crate::geometry::{Length, Vec2};
use crate::pattern::{ClothKind, EdgeRole, HowCut, Piece, PieceId, Seam, SeamId};
use moved::with_hem_moved;
use serde::{Deserialize, Serialize};
use slope::Slope;
use std::collections::BTreeMap;
use std::sync::Arc;
use way::{HemWays, Way};

/// The hem longer or shorter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hem {
    /// Which pieces; all that have a hem when absent.
    #[serde(default)]
    pub pieces: Pieces,
    /// How much longer; negative is shorter. Measured square to the hem; with [`Hem::at_side`], at its centre end.
    pub longer_by: Length,
    /// How much longer at the side seam, measured along it; the same all along the hem when absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_side: Option<Length>,
    /// The angle at which the new hem meets the side seam, inside the cloth, in degrees; as it falls when absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side_angle_degrees: Option<f64>,
    /// The side seams; needed only where a piece has seams at both ends of its hem, as the gores of a skirt have.
    /// Otherwise the side is the end that is sewn, and the centre the one on a fold or a front edge.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub side_seams: Vec<SeamId>,
}

/// How a hem moves.
pub(super) enum HemShift {
    /// Square to itself by so many mm; positive is outwards, longer.
    Parallel(f64),
    /// As it is, by a vector.
    Along(Vec2),
    /// Square to itself by an amount that varies along it: one a run of hem edges, in the order of `hem_runs`.
    Sloping(Vec<Slope>),
}

/// How far past their ends a hem and its neighbours are carried on to find each other, as a multiple of the
/// amount: they meet at sin ψ ≥ 1/8 (7°), flatter than any hem is sewn.
const REACH: f64 = 8.0;

/// Sharpest and bluntest angle at which a hem may be asked to meet a side seam, in degrees: beyond them a hem can't be
/// turned up.
const SIDE_ANGLES_DEGREES: std::ops::RangeInclusive<f64> = 45.0..=135.0;

impl Hem {
    /// The same amount all along, square to the hem.
    #[must_use]
    pub const fn parallel(pieces: Pieces, longer_by: Length) -> Self {
        Self { pieces, longer_by, at_side: None, side_angle_degrees: None, side_seams: Vec::new() }
    }

    /// Whether the hems of a piece run from a centre to a side, so that they can slope without a side seam being named.
    #[must_use]
    pub fn has_way(seams: &[Seam], pieces: &[&Piece], piece: &PieceId) -> bool {
        let ways = HemWays::find(seams, pieces.to_vec(), &[]);
        ways.runs_of(piece).into_iter().all(|run| ways.way(run).is_ok())
    }

    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let by = self.longer_by.mm();
        if self.at_side.is_none() && self.side_angle_degrees.is_none() {
            return move_hems(draft, &self.pieces, |_| Ok(HemShift::Parallel(by)));
        }
        if let Some(given_degrees) = self.side_angle_degrees
            && !SIDE_ANGLES_DEGREES.contains(&given_degrees)
        {
            return Err(HemSideError::Angle { given_degrees }.into());
        }
        if let Some(seam) = self.side_seams.iter().find(|id| draft.seams.iter().all(|seam| &seam.id != *id)) {
            return Err(AlterError::UnknownSeam { seam: seam.clone() });
        }
        let pieces: Vec<&Piece> = draft.pieces.iter().map(Arc::as_ref).collect();
        let ways = HemWays::find(draft.seams, pieces, &self.side_seams);
        let mut slopes: BTreeMap<PieceId, Vec<Slope>> = BTreeMap::new();
        let mut angles = Vec::new();
        for piece in draft.pieces.iter().filter(|piece| self.pieces.hold(piece)) {
            for run in ways.runs_of(&piece.id) {
                let slope = self.slope(&ways, run)?;
                slopes.entry(piece.id.clone()).or_default().push(slope);
            }
            angles.extend(ways.side_of(&piece.id));
        }
        let sloping =
            |piece: &Piece| Ok(HemShift::Sloping(slopes.get(&piece.id).cloned().unwrap_or_default()));
        let mut change = move_hems(draft, &self.pieces, sloping)?;
        for (run, end) in angles {
            let (old, [before, after]) = ways.corner(run, end);
            let degrees =
                |piece: &Piece| Amount::Degrees(slope::inside_angle(piece, before, after).to_degrees());
            if let Some(new) = change.pieces.iter().find(|new| new.id == old.id) {
                change.figures.push(Figure {
                    name: "angle between hem and side seam",
                    piece: Some(old.id.clone()),
                    before: Some(degrees(old)),
                    after: degrees(new),
                });
            }
        }
        Ok(change)
    }

    /// The amounts of one run of hem edges.
    fn slope(&self, ways: &HemWays<'_>, run: usize) -> Result<Slope, AlterError> {
        let centre = self.longer_by.mm();
        let side = self.at_side.as_ref().map_or(centre, Length::mm);
        match ways.way(run)? {
            // A facing's hem lies behind the other, and goes on from the same corner with the same slope.
            Way::Behind { run: before, ends: [mine, theirs] } => {
                let (length, own) = (ways.length(before), ways.length(run));
                let [at_start, at_end] = self.slope(ways, before)?.amounts;
                let (corner, far) = if theirs == 0 { (at_start, at_end) } else { (at_end, at_start) };
                let inner = corner + (far - corner) * own / length.max(f64::MIN_POSITIVE);
                let amounts = if mine == 0 { [corner, inner] } else { [inner, corner] };
                Ok(Slope { amounts, turned: None })
            }
            Way::FromCentre { share, side: end } => {
                let amounts = share.map(|share| centre + (side - centre) * share);
                let even = Slope { amounts, turned: None };
                let Some(end) = end else { return Ok(even) };
                let asked = slope::Asked {
                    seam_longer_by: self.at_side.as_ref().map(Length::mm),
                    angle: self.side_angle_degrees.map(f64::to_radians),
                };
                even.fitted(ways.piece(run), ways.edges(run), end, &asked)
            }
        }
    }
}

/// Moves the hems of the named pieces and reports the sweep and what the allowance has to be eased.
pub(super) fn move_hems(
    draft: &Draft<'_>,
    pieces: &Pieces,
    shift: impl Fn(&Piece) -> Result<HemShift, AlterError>,
) -> Result<Change, AlterError> {
    if let Pieces::Only(named) = pieces {
        for id in named {
            if !draft.piece(id)?.edges.iter().any(|edge| edge.role == EdgeRole::Hem) {
                return Err(AlterError::NoHem { piece: id.clone() });
            }
        }
    }
    let mut change = Change::default();
    for piece in draft.pieces {
        if pieces.hold(piece) && piece.edges.iter().any(|edge| edge.role == EdgeRole::Hem) {
            change.pieces.push(with_hem_moved(piece, &shift(piece)?, &mut change.notes)?);
        }
    }
    if change.pieces.is_empty() {
        return Err(AlterError::NoHemAnywhere);
    }
    let after: Vec<Arc<Piece>> = draft
        .pieces
        .iter()
        .map(|old| {
            let new = change.pieces.iter().find(|new| new.id == old.id);
            new.map_or_else(|| Arc::clone(old), |new| Arc::new(new.clone()))
        })
        .collect();
    change.figures.push(Figure {
        name: "hem all round",
        piece: None,
        before: Some(Amount::Mm(garment_hem_length(draft.pieces))),
        after: Amount::Mm(garment_hem_length(&after)),
    });
    let ease = |piece: &Piece| {
        let hems = piece.edges.iter().enumerate().filter(|(_, edge)| edge.role == EdgeRole::Hem);
        let eased = hems.map(|(at, edge)| draft.allowances.width_mm(piece, at) * edge.curve.turn());
        Amount::Mm(eased.sum())
    };
    for new in &change.pieces {
        let before = draft.piece(&new.id).ok().map(&ease);
        change.figures.push(Figure {
            name: "to ease into the turned-up hem",
            piece: Some(new.id.clone()),
            before,
            after: ease(new),
        });
    }
    Ok(change)
}

/// Length of all hems of the garment as worn, in mm: every copy cut from the main cloth, both halves of those
/// on a fold. Facings, which lie behind, are not counted.
#[must_use]
pub fn garment_hem_length(pieces: &[Arc<Piece>]) -> f64 {
    let shells = pieces.iter().filter(|piece| !way::is_facing(piece));
    shells
        .map(|piece| {
            let hems = piece.edges.iter().filter(|edge| edge.role == EdgeRole::Hem);
            let drawn: f64 = hems.map(|edge| edge.curve.length()).sum();
            let cloth = piece.cuttings.iter().filter(|cutting| cutting.cloth == ClothKind::Cloth);
            let halves: u32 = cloth
                .map(|cutting| match cutting.how {
                    HowCut::Single | HowCut::MirroredPair => cutting.count,
                    HowCut::OnFold | HowCut::OpenedOut => 2 * cutting.count,
                })
                .sum();
            drawn * f64::from(halves)
        })
        .sum()
}
