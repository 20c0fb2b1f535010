//! A run of edges moved square to itself by an amount that may vary along it, joined again to its neighbours.
//!
//! The common ground of [`super::Width`] and [`super::Opening`]: the amount is full at one place and fades to nothing at
//! others by w = 3u² − 2u³ of the sewn distance, so that it neither bends the seam where it begins nor turns the
//! corner where it is full. A dart's mouth inside the run moves with its seam; its cap is drawn again.

use super::AlterError;
use super::dart::{Wedge, dart_named, is_trued, redrawn};
use super::place::is_mouth;
use crate::geometry::{Along, Curve, Vec2, brought_together, displaced};
use crate::pattern::{EdgeRole, Notch, Piece};

/// How much of the amount applies along a run, by sewn distance in mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Profile {
    /// Where the amount is full.
    pub full: f64,
    /// Where it has faded to nothing, before and after; beyond an absent one it stays full.
    pub nothing_before: Option<f64>,
    pub nothing_after: Option<f64>,
}

impl Profile {
    /// The same amount everywhere.
    pub(super) const EVEN: Self = Self { full: 0.0, nothing_before: None, nothing_after: None };

    /// The share at a sewn distance and its derivative.
    fn share(&self, at: f64) -> (f64, f64) {
        let zero = if at < self.full { self.nothing_before } else { self.nothing_after };
        let Some(zero) = zero else { return (1.0, 0.0) };
        let width = self.full - zero;
        if width.abs() < 1e-9 {
            return (1.0, 0.0);
        }
        let u = (at - zero) / width;
        if u <= 0.0 {
            return (0.0, 0.0);
        }
        let u = u.min(1.0);
        (u * u * (3.0 - 2.0 * u), 6.0 * u * (1.0 - u) / width)
    }

    fn breaks(&self) -> Vec<f64> {
        [Some(self.full), self.nothing_before, self.nothing_after].into_iter().flatten().collect()
    }

    /// The same profile on a run of this sewn length travelled the other way.
    pub(super) fn reversed(&self, length: f64) -> Self {
        Self {
            full: length - self.full,
            nothing_before: self.nothing_after.map(|at| length - at),
            nothing_after: self.nothing_before.map(|at| length - at),
        }
    }
}

/// How far past their ends edges are carried on to meet again, as a multiple of the amount.
const REACH: f64 = 8.0;

/// Moves the edges at `run` (in the order of the outline, mouths between them included or not) outwards by
/// `by` mm times the profile.
pub(super) fn moved_out(old: &Piece, run: &[usize], by: f64, profile: &Profile) -> Result<Piece, AlterError> {
    let count = old.edges.len();
    let mut piece = old.clone();
    let (Some(&first), Some(&last)) = (run.first(), run.last()) else {
        return Ok(piece);
    };
    let mut sewn = 0.0;
    for &at in run {
        let edge = &old.edges[at];
        if is_mouth(&edge.role) {
            continue;
        }
        let breaks: Vec<f64> = profile.breaks().iter().map(|place| place - sewn).collect();
        piece.edges[at].curve = displaced(&edge.curve, &breaks, |along: Along| {
            let (share, slope) = profile.share(sewn + along.distance);
            let outwards = Vec2::new(along.tangent.y, -along.tangent.x);
            let turn = by * share * along.curvature * along.tangent;
            (by * share * outwards, by * slope * outwards + turn)
        });
        sewn += edge.curve.length();
    }
    let steps = (last + count - first) % count;
    let inside: Vec<usize> = (0..=steps).map(|step| (first + step) % count).collect();
    for pair in inside.windows(2) {
        let (before, after) = (pair[0], pair[1]);
        if !is_mouth(&old.edges[before].role) && !is_mouth(&old.edges[after].role) {
            rejoin(old, &mut piece, before, after, by)?;
        }
    }
    rejoin(old, &mut piece, (first + count - 1) % count, first, by)?;
    rejoin(old, &mut piece, last, (last + 1) % count, by)?;
    for &mouth in inside.iter().filter(|&&at| is_mouth(&old.edges[at].role)) {
        redraw_mouth(old, &mut piece, mouth)?;
    }
    keep_notches(old, &mut piece);
    Ok(piece)
}

/// Brings two neighbouring edges together again after one or both have moved.
pub(super) fn rejoin(
    old: &Piece,
    piece: &mut Piece,
    before: usize,
    after: usize,
    by: f64,
) -> Result<(), AlterError> {
    let corner = old.edges[before].curve.end();
    let (first, second) = (&piece.edges[before].curve, &piece.edges[after].curve);
    if first.end().distance(second.start()) <= 1e-6 {
        return Ok(());
    }
    let joined = brought_together(first, second, corner, REACH * by.abs());
    let (kept, rest) = joined.ok_or_else(|| AlterError::Apart {
        piece: old.id.clone(),
        first: old.edges[before].id.clone(),
        second: old.edges[after].id.clone(),
        by_mm: by,
    })?;
    piece.edges[before].curve = kept;
    piece.edges[after].curve = rest;
    Ok(())
}

/// Draws a mouth again between its moved neighbours.
fn redraw_mouth(old: &Piece, piece: &mut Piece, mouth: usize) -> Result<(), AlterError> {
    let count = old.edges.len();
    let EdgeRole::DartMouth(dart) = old.edges[mouth].role.clone() else {
        return Ok(());
    };
    let start = piece.edges[(mouth + count - 1) % count].curve.end();
    let end = piece.edges[(mouth + 1) % count].curve.start();
    let unchanged =
        old.edges[mouth].curve.start().distance(start) + old.edges[mouth].curve.end().distance(end);
    if unchanged <= 1e-9 {
        return Ok(());
    }
    piece.edges[mouth].curve = Curve::line(start, end);
    let was = Wedge::of(old, dart_named(old, &dart)?)?;
    if is_trued(old, &was) { redrawn(piece, &dart, None, true) } else { Ok(()) }
}

/// Puts the notches of changed edges beside their old places.
pub(super) fn keep_notches(old: &Piece, piece: &mut Piece) {
    let edges = piece.edges.clone();
    for notch in &mut piece.notches {
        let (Some(was), Some(is)) = (old.edge(&notch.edge), edges.iter().find(|edge| edge.id == notch.edge))
        else {
            continue;
        };
        if was.curve == is.curve {
            continue;
        }
        let place = was.curve.point_at(Notch::distance_from_start(notch, was));
        let (along, _) = is.curve.nearest(place);
        notch.distance = if notch.corner == is.to { is.curve.length() - along } else { along };
    }
}
