//! The run of edges that a facing faces, as it will be sewn: darts closed, pieces joined at their seams.

use crate::alter::AlterError;
use crate::alter::dart::{Wedge, dart_named};
use crate::alter::place::{edge_named, is_mouth};
use crate::geometry::{Affine, Curve, Point, Segment, Vec2};
use crate::pattern::{EdgeId, EdgeRole, Piece};

/// A faced run, darts closed.
pub(super) struct Outer {
    /// Its edges.
    pub curves: Vec<Curve>,
    /// From the run's start back along the outline.
    pub before: Beyond,
    /// From its end onwards.
    pub after: Beyond,
    starts_on_fold: bool,
    ends_on_fold: bool,
}

/// What lies beyond an end of a run: the outline as far as it goes without a dart.
#[derive(Clone)]
pub(super) struct Beyond {
    pub curve: Curve,
    /// Where one edge of the outline ends and the next begins, in mm along it.
    pub joints: Vec<f64>,
}

impl Beyond {
    fn transformed(&self, motion: Affine) -> Self {
        Self { curve: self.curve.transformed(motion), joints: self.joints.clone() }
    }
}

impl Outer {
    /// The run of the named edges of a piece, in the order of its outline.
    pub(super) fn of(piece: &Piece, names: &[EdgeId]) -> Result<Self, AlterError> {
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
            let mut joints = Vec::new();
            let mut passed = 0.0;
            let mut at = step(from);
            while !is_mouth(&piece.edges[at].role) && !run.contains(&at) {
                let curve = &piece.edges[at].curve;
                passed += curve.length();
                joints.push(passed);
                if step(0) == 1 % count {
                    segments.extend(curve.segments());
                } else {
                    segments.extend(curve.reversed().segments());
                }
                at = step(at);
            }
            Curve::new(segments).map(|curve| Beyond { curve, joints }).map_err(|_gap| broken())
        };
        let next = (last + 1) % count;
        let previous = (first + count - 1) % count;
        Ok(Self {
            before: chain(&|at| (at + count - 1) % count, first)?,
            after: chain(&|at| (at + 1) % count, last)?.transformed(close),
            starts_on_fold: piece.edges[previous].role == EdgeRole::Fold,
            ends_on_fold: piece.edges[next].role == EdgeRole::Fold,
            curves,
        })
    }

    fn start(&self) -> Point {
        self.before.curve.start()
    }

    fn end(&self) -> Point {
        self.after.curve.start()
    }

    /// The next run joined at the seam that this one ends on.
    pub(super) fn joined(mut self, next: Self) -> Self {
        // Drawn alike, the next run begins at the joint; as its other half, it ends there.
        let next = if self.misfit(&next).1 { next.mirrored() } else { next };
        let (to, from) = (self.after.curve.start_tangent(), next.before.curve.start_tangent());
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
    pub(super) fn misfit(&self, next: &Self) -> (f64, bool) {
        let angle = |a: Vec2, b: Vec2| a.cross(b).atan2(a.dot(b)).abs();
        let (Some(last), Some(first), Some(far)) =
            (self.curves.last(), next.curves.first(), next.curves.last())
        else {
            return (f64::INFINITY, false);
        };
        if self.ends_on_fold {
            return (f64::INFINITY, false);
        }
        let mine = angle(-last.end_tangent(), self.after.curve.start_tangent());
        let off = |theirs: f64, on_fold: bool| {
            if on_fold { f64::INFINITY } else { (mine + theirs - std::f64::consts::PI).abs() }
        };
        let as_drawn =
            off(angle(first.start_tangent(), next.before.curve.start_tangent()), next.starts_on_fold);
        let mirrored = off(angle(-far.end_tangent(), next.after.curve.start_tangent()), next.ends_on_fold);
        (as_drawn.min(mirrored), mirrored < as_drawn)
    }

    /// The same run as the other half of the body has it, still with the inside to the left.
    pub(super) fn mirrored(&self) -> Self {
        let flip = Affine::scale_non_uniform(-1.0, 1.0);
        Self {
            curves: self.curves.iter().rev().map(|curve| curve.reversed().transformed(flip)).collect(),
            before: self.after.transformed(flip),
            after: self.before.transformed(flip),
            starts_on_fold: self.ends_on_fold,
            ends_on_fold: self.starts_on_fold,
        }
    }
}
