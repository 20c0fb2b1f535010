//! A facing drawn again from the edge that it faces.
//!
//! A facing is never altered on its own. Its outer edge is copied from the altered piece, darts closed; over several
//! pieces they are first joined at their seams, as they will be sewn. Its inner edge runs parallel inside at the
//! facing's width, and its ends follow the edges that the faced run begins and ends at (shoulder, side, fold),
//! as far as the inner edge. For the turn of the cloth the outer edge may be trimmed by 1 to 2 mm.
//!
//! The facing keeps its edges, by name: one a faced edge, one at each end, and one inner edge; a facing of
//! another build is refused. It comes to lie in the coordinates of the first piece faced. A join is a rigid motion that
//! brings corner to corner and seam to seam; if the next piece is drawn as its other half, it is mirrored.

use super::dart::{Wedge, dart_named};
use super::draft::{Change, Draft};
use super::place::{edge_named, is_mouth};
use super::reshape::Profile;
use super::reshape::moved_out;
use super::{AlterError, Amount, Figure};
use crate::geometry::Shape as _;
use crate::geometry::{Affine, Curve, Length, Point, Segment, crossings, parallel};
use crate::pattern::{EdgeId, EdgeRole, Grainline, Piece, PieceId};
use serde::{Deserialize, Serialize};

/// A facing drawn again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Facing {
    /// The facing.
    pub piece: PieceId,
    /// What it faces, in the order in which its own edges follow each other.
    pub along: Vec<Faced>,
    /// How wide it is; 50 to 60 mm is usual.
    pub width: Length,
    /// How much its outer edge is trimmed for the turn of the cloth.
    #[serde(default)]
    pub trim: Option<Length>,
}

/// Edges of one piece that are faced.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Faced {
    /// Which piece.
    pub piece: PieceId,
    /// Its edges, in the order of its outline, dart mouths left out.
    pub edges: Vec<EdgeId>,
}

/// A faced run, darts closed.
struct Outer {
    curves: Vec<Curve>,
    /// From the run's start back along the outline, and from its end onwards.
    before: Curve,
    after: Curve,
    starts_on_fold: bool,
    ends_on_fold: bool,
}

impl Facing {
    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let width = self.width.mm();
        if width.is_nan() || width <= 0.0 {
            return Err(AlterError::NotPositive { what: "the width of a facing", given_mm: width });
        }
        let old = draft.piece(&self.piece)?;
        let mut parts = self.along.iter();
        let nothing = || AlterError::NotOneRun { piece: self.piece.clone() };
        let first = parts.next().ok_or_else(nothing)?;
        let mut outer = outer_of(draft.piece(&first.piece)?, &first.edges)?;
        for part in parts {
            let next = outer_of(draft.piece(&part.piece)?, &part.edges)?;
            // The first run may be drawn so that the joint is its beginning.
            let turned = outer.mirrored();
            if part == &self.along[1] && turned.misfit(&next).0 + 1e-9 < outer.misfit(&next).0 {
                outer = turned;
            }
            outer = outer.joined(next);
        }
        let drawn = outer.drawn(old, width)?;
        let faced = draft.piece(&first.piece)?;
        let mut piece = with_marks(old, faced, drawn);
        let edges = outer_edges(&piece)?;
        let mut change = Change::default();
        let length = |piece: &Piece| edges.iter().map(|&at| piece.edges[at].curve.length()).sum::<f64>();
        change.figures.push(Figure {
            name: "outer edge of the facing",
            piece: Some(piece.id.clone()),
            before: Some(Amount::Mm(length(old))),
            after: Amount::Mm(length(&piece)),
        });
        if let Some(trim) = self.trim.as_ref().map(Length::mm).filter(|trim| *trim != 0.0) {
            piece = moved_out(&piece, &edges, -trim, &Profile::EVEN)?;
        }
        change.pieces.push(piece);
        Ok(change)
    }
}

/// The edges of a facing that are its outer edge: all but the inner edge and the two ends beside it.
fn outer_edges(facing: &Piece) -> Result<Vec<usize>, AlterError> {
    let count = facing.edges.len();
    let inner: Vec<usize> = (0..count).filter(|&at| facing.edges[at].role == EdgeRole::FacingEdge).collect();
    match inner.as_slice() {
        [only] if count >= 4 => Ok((2..count - 1).map(|step| (only + step) % count).collect()),
        _ => Err(AlterError::FacingBuild { piece: facing.id.clone() }),
    }
}

fn outer_of(piece: &Piece, names: &[EdgeId]) -> Result<Outer, AlterError> {
    let count = piece.edges.len();
    let broken = || AlterError::NotOneRun { piece: piece.id.clone() };
    let mut run = Vec::with_capacity(names.len());
    for name in names {
        run.push(edge_named(piece, name)?);
    }
    let (Some(&first), Some(&last)) = (run.first(), run.last()) else {
        return Err(broken());
    };
    let mut close = Affine::IDENTITY;
    let mut curves = Vec::with_capacity(run.len());
    let mut at = first;
    let mut wanted = run.iter();
    loop {
        let edge = &piece.edges[at];
        if let EdgeRole::DartMouth(dart) = &edge.role {
            let wedge = Wedge::of(piece, dart_named(piece, dart)?)?;
            close *= Affine::rotate_about(-wedge.angle(), wedge.apex);
        } else if wanted.next() == Some(&at) {
            curves.push(edge.curve.transformed(close));
        } else {
            return Err(broken());
        }
        if at == last && curves.len() == run.len() {
            break;
        }
        at = (at + 1) % count;
        if at == first {
            return Err(broken());
        }
    }
    // Beyond the ends: the outline as far as it goes without a dart.
    let chain = |step: &dyn Fn(usize) -> usize, from: usize| {
        let mut segments: Vec<Segment> = Vec::new();
        let mut at = step(from);
        while !is_mouth(&piece.edges[at].role) && !run.contains(&at) {
            let curve = &piece.edges[at].curve;
            if step(0) == 1 % count {
                segments.extend(curve.segments());
            } else {
                segments.extend(curve.reversed().segments());
            }
            at = step(at);
        }
        Curve::new(segments).map_err(|_gap| broken())
    };
    let next = (last + 1) % count;
    let previous = (first + count - 1) % count;
    Ok(Outer {
        before: chain(&|at| (at + count - 1) % count, first)?,
        after: chain(&|at| (at + 1) % count, last)?.transformed(close),
        starts_on_fold: piece.edges[previous].role == EdgeRole::Fold,
        ends_on_fold: piece.edges[next].role == EdgeRole::Fold,
        curves,
    })
}

impl Outer {
    fn start(&self) -> Point {
        self.before.start()
    }

    fn end(&self) -> Point {
        self.after.start()
    }

    /// The next run joined at the seam that this one ends on.
    fn joined(mut self, next: Self) -> Self {
        // Drawn alike, the next run begins at the joint; as its other half, it ends there.
        let next = if self.misfit(&next).1 { next.mirrored() } else { next };
        let (to, from) = (self.after.start_tangent(), next.before.start_tangent());
        let turn = Affine::rotate(to.atan2() - from.atan2());
        let moved =
            Affine::translate(self.end().to_vec2()) * turn * Affine::translate(-next.start().to_vec2());
        self.curves.extend(next.curves.iter().map(|curve| curve.transformed(moved)));
        self.after = next.after.transformed(moved);
        self.ends_on_fold = next.ends_on_fold;
        self
    }

    /// How far the angles at the joint are from a straight line, in radians, with the end of the next run that fits
    /// better, and whether that is its far end. An end on a fold is no joint.
    fn misfit(&self, next: &Self) -> (f64, bool) {
        let angle = |a: crate::geometry::Vec2, b: crate::geometry::Vec2| a.cross(b).atan2(a.dot(b)).abs();
        let (Some(last), Some(first), Some(far)) =
            (self.curves.last(), next.curves.first(), next.curves.last())
        else {
            return (f64::INFINITY, false);
        };
        if self.ends_on_fold {
            return (f64::INFINITY, false);
        }
        let mine = angle(-last.end_tangent(), self.after.start_tangent());
        let off = |theirs: f64, on_fold: bool| {
            if on_fold { f64::INFINITY } else { (mine + theirs - std::f64::consts::PI).abs() }
        };
        let as_drawn = off(angle(first.start_tangent(), next.before.start_tangent()), next.starts_on_fold);
        let mirrored = off(angle(-far.end_tangent(), next.after.start_tangent()), next.ends_on_fold);
        (as_drawn.min(mirrored), mirrored < as_drawn)
    }

    /// The same run as the other half of the body has it, still with the inside to the left.
    fn mirrored(&self) -> Self {
        let flip = Affine::scale_non_uniform(-1.0, 1.0);
        Self {
            curves: self.curves.iter().rev().map(|curve| curve.reversed().transformed(flip)).collect(),
            before: self.after.transformed(flip),
            after: self.before.transformed(flip),
            starts_on_fold: self.ends_on_fold,
            ends_on_fold: self.starts_on_fold,
        }
    }

    /// The facing's edges from this run.
    fn drawn(&self, old: &Piece, width: f64) -> Result<Piece, AlterError> {
        let slots = outer_edges(old)?;
        let build = || AlterError::FacingBuild { piece: old.id.clone() };
        if slots.len() != self.curves.len() {
            return Err(build());
        }
        let mut segments = Vec::new();
        for curve in &self.curves {
            segments.extend(curve.segments().iter().copied());
        }
        let whole = Curve::new(segments).map_err(|_gap| build())?;
        let inner = parallel(&whole, width).map_err(|cause| AlterError::NoParallel {
            piece: old.id.clone(),
            edge: old.edges[slots[0]].id.clone(),
            cause,
        })?;
        let long = inner.extended(2.0 * width, 2.0 * width);
        let meet = |end: &Curve| crossings(end, &long).into_iter().next();
        let (Some(at_start), Some(at_end)) = (meet(&self.before), meet(&self.after)) else {
            return Err(AlterError::FacingTooWide { piece: old.id.clone(), width_mm: width });
        };
        let inner = long.portion(at_start.on_second, at_end.on_second);
        let start = self.before.portion(0.0, at_start.on_first);
        let end = self.after.portion(0.0, at_end.on_first);
        let (Some(inner), Some(start), Some(end)) = (inner, start, end) else {
            return Err(build());
        };
        let mut piece = old.clone();
        let count = old.edges.len();
        for (&slot, curve) in slots.iter().zip(&self.curves) {
            piece.edges[slot].curve = curve.clone();
        }
        let end_slot = (slots[slots.len() - 1] + 1) % count;
        piece.edges[end_slot].curve = end;
        piece.edges[(end_slot + 1) % count].curve = inner.reversed();
        piece.edges[(end_slot + 2) % count].curve = start.reversed();
        Ok(piece)
    }
}

/// Marks of the facing on its new outline.
fn with_marks(old: &Piece, faced: &Piece, mut piece: Piece) -> Piece {
    for (notch, was) in piece.notches.iter_mut().zip(&old.notches) {
        // As on the faced piece, where it has the same notch; else at its share of the edge.
        if let Some(twin) = faced.notches.iter().find(|twin| twin.id == was.id && twin.corner == was.corner) {
            notch.distance = twin.distance;
        } else if let (Some(before), Some(after)) = (old.edge(&was.edge), old.edge_index(&was.edge)) {
            let share = was.distance / before.curve.length().max(f64::MIN_POSITIVE);
            notch.distance = share * piece.edges[after].curve.length();
        }
    }
    for line in &mut piece.balance_lines {
        if let Some(twin) = faced.balance_lines.iter().find(|twin| twin.id == line.id) {
            line.line = twin.line;
        }
    }
    let outline = piece.outline();
    let grain = old.grainline;
    if !outline.contains(grain.from.midpoint(grain.to)) {
        let along = faced.grainline.direction();
        let area = piece.bounding_box();
        let half = 0.2 * area.width().max(area.height());
        // The middle of the inner edge, a little outwards, lies on the facing.
        let inner = piece.edges.iter().find(|edge| edge.role == EdgeRole::FacingEdge);
        let middle = inner.map_or(area.center(), |edge| {
            let middle = 0.5 * edge.curve.length();
            let tangent = edge.curve.tangent_at(middle);
            edge.curve.point_at(middle) + 15.0 * crate::geometry::Vec2::new(-tangent.y, tangent.x)
        });
        piece.grainline = Grainline { from: middle - half * along, to: middle + half * along };
    }
    piece
}
