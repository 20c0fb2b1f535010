//! One outline from two sizes of a piece.
//!
//! The outline of the old size is followed until a place, then mixed with the new size until a second place,
//! then the new size is followed, and along one last edge it fades back:
//!
//! P(u) = (1 − w)·A(u) + w·B(u), u = normalised arc length in the zone, w = 3u² − 2u³.
//!
//! Corners of the two sizes correspond by name, so every edge within the zone runs over its own share of u; a
//! dart's mouth inside it, which is closed in sewing, takes one w for the whole mouth. Outside the zone the
//! outline is purely one size's. w′ is 0 at both ends, so the seam leaves one size and joins the other without
//! a kink.
//!
//! All here travels forwards. For a zone that runs against the outline both outlines are turned round first
//! ([`Loop::reversed`]).

use crate::geometry::tolerance::{ARC_LENGTH_MM, FIT_MM, JOIN_MM};
use crate::geometry::{Curve, Point, Segment, Vec2, fit_curve};

/// The two sizes of an outline, edge by edge.
pub(super) struct Loop {
    /// Each edge in the old and in the new size.
    pub edges: Vec<[Curve; 2]>,
    /// Whether the edge is a dart's mouth.
    pub is_mouth: Vec<bool>,
}

/// A spot on both sizes: the edge, and how far along it in each.
#[derive(Debug, Clone, Copy)]
pub(super) struct Twin {
    pub edge: usize,
    pub along: [f64; 2],
}

/// Where one stretch of an edge comes from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    /// From where to where in the old size.
    old: (f64, f64),
    /// From where to where in the new size.
    new: (f64, f64),
    /// u at both ends: 0 is the old size, 1 the new.
    u: (f64, f64),
    /// From where to where in the outcome.
    out: (f64, f64),
}

/// Both sizes in one outline.
pub(super) struct Woven {
    /// The edges.
    pub curves: Vec<Curve>,
    stretches: Vec<Vec<Stretch>>,
}

fn smooth(u: f64) -> f64 {
    let u = u.clamp(0.0, 1.0);
    u * u * (3.0 - 2.0 * u)
}

impl Loop {
    pub(super) fn reversed(&self) -> Self {
        Self {
            edges: self.edges.iter().rev().map(|pair| pair.each_ref().map(Curve::reversed)).collect(),
            is_mouth: self.is_mouth.iter().rev().copied().collect(),
        }
    }

    pub(super) fn reversed_twin(&self, twin: Twin) -> Twin {
        let [old, new] = self.edges[twin.edge].each_ref().map(Curve::length);
        Twin { edge: self.edges.len() - 1 - twin.edge, along: [old - twin.along[0], new - twin.along[1]] }
    }

    /// The first edge after `edge` that is straight and on one line in both sizes, along which they can be joined
    /// unseen; `None` when there is none before `stop`.
    pub(super) fn one_line_after(&self, edge: usize, stop: usize) -> Option<usize> {
        let count = self.edges.len();
        (edge + 1..edge + count)
            .map(|at| at % count)
            .take_while(|&at| at != stop)
            .find(|&at| on_one_line(&self.edges[at][0], &self.edges[at][1]))
    }

    /// Weaves the sizes: old until `from`, mixed until `until`, new up to the edge `fading`, mixed back along it.
    pub(super) fn weave(&self, from: Twin, until: Twin, fading: usize) -> Woven {
        let count = self.edges.len();
        let plan = self.plan(from, until, fading);
        let mut woven = Woven { curves: Vec::with_capacity(count), stretches: Vec::with_capacity(count) };
        for ([old, new], mut stretches) in self.edges.iter().zip(plan) {
            let mut segments: Vec<Segment> = Vec::new();
            let mut passed = 0.0;
            stretches.retain(|stretch| {
                stretch.old.1 - stretch.old.0 > ARC_LENGTH_MM || stretch.new.1 - stretch.new.0 > ARC_LENGTH_MM
            });
            for stretch in &mut stretches {
                let part = stretch.curve(old, new);
                let length = part.iter().map(Segment::length).sum::<f64>();
                stretch.out = (passed, passed + length);
                passed += length;
                segments.extend(part);
            }
            // Stretches begin where the one before ends: both are the same point of a size.
            woven.curves.push(Curve::new(segments).unwrap_or_else(|_| old.clone()));
            woven.stretches.push(stretches);
        }
        woven
    }

    fn plan(&self, from: Twin, until: Twin, fading: usize) -> Vec<Vec<Stretch>> {
        let count = self.edges.len();
        let lengths: Vec<[f64; 2]> =
            self.edges.iter().map(|pair| pair.each_ref().map(Curve::length)).collect();
        let whole = |edge: usize, u: (f64, f64)| Stretch {
            old: (0.0, lengths[edge][0]),
            new: (0.0, lengths[edge][1]),
            u,
            out: (0.0, 0.0),
        };
        let mut plan: Vec<Vec<Stretch>> = (0..count).map(|edge| vec![whole(edge, (0.0, 0.0))]).collect();
        let zone: Vec<usize> = zone_edges(from.edge, until.edge, count);
        let cut = |edge: usize| {
            let mut stretch = whole(edge, (0.0, 0.0));
            if edge == from.edge {
                (stretch.old.0, stretch.new.0) = (from.along[0], from.along[1]);
            }
            if edge == until.edge {
                (stretch.old.1, stretch.new.1) = (until.along[0], until.along[1]);
            }
            stretch
        };
        let share = |edge: usize| {
            let stretch = cut(edge);
            if self.is_mouth[edge] { 0.0 } else { stretch.old.1 - stretch.old.0 }
        };
        let total: f64 = zone.iter().map(|&edge| share(edge)).sum();
        let mut passed = 0.0;
        for &edge in &zone {
            let mut mixed = cut(edge);
            let end = passed + share(edge);
            mixed.u = if total > 0.0 { (passed / total, end / total) } else { (0.0, 1.0) };
            passed = end;
            plan[edge] = vec![mixed];
        }
        let mut before = whole(from.edge, (0.0, 0.0));
        (before.old.1, before.new.1) = (from.along[0], from.along[1]);
        plan[from.edge].insert(0, before);
        let mut after = whole(until.edge, (1.0, 1.0));
        (after.old.0, after.new.0) = (until.along[0], until.along[1]);
        plan[until.edge].push(after);
        let mut edge = (until.edge + 1) % count;
        while edge != fading {
            plan[edge] = vec![whole(edge, (1.0, 1.0))];
            edge = (edge + 1) % count;
        }
        plan[fading] = vec![whole(fading, (1.0, 0.0))];
        plan
    }
}

/// Edges from one to another, both included, going forwards.
pub(super) fn zone_edges(from: usize, until: usize, count: usize) -> Vec<usize> {
    let steps = (until + count - from) % count;
    (from..=from + steps).map(|edge| edge % count).collect()
}

fn on_one_line(first: &Curve, second: &Curve) -> bool {
    let (origin, along) = (first.start(), first.end() - first.start());
    let length = along.hypot();
    let is_on = |p: Point| (p - origin).cross(along).abs() <= JOIN_MM * length;
    length > JOIN_MM
        && [first, second].iter().all(|curve| {
            curve.segments().iter().all(|segment| {
                matches!(segment, Segment::Line(_)) && is_on(segment.start()) && is_on(segment.end())
            })
        })
}

impl Stretch {
    /// The stretch's own curve, from the two sizes of its edge.
    fn curve(&self, old: &Curve, new: &Curve) -> Vec<Segment> {
        let part = |curve: &Curve, (from, to): (f64, f64)| {
            if from <= 0.0 && to >= curve.length() {
                return Some(curve.clone());
            }
            curve.portion(from, to)
        };
        // No mixing where the weight is the same pure size throughout.
        let (w0, w1) = (smooth(self.u.0), smooth(self.u.1));
        if w0 <= 0.0 && w1 <= 0.0 {
            return part(old, self.old).map_or_else(Vec::new, |curve| curve.segments().to_vec());
        }
        if w0 >= 1.0 && w1 >= 1.0 {
            return part(new, self.new).map_or_else(Vec::new, |curve| curve.segments().to_vec());
        }
        match (part(old, self.old), part(new, self.new)) {
            (Some(old), Some(new)) => mixed(&old, &new, self.u),
            (Some(only), None) | (None, Some(only)) => only.segments().to_vec(),
            (None, None) => Vec::new(),
        }
    }
}

/// A curve by its normalised arc length, between two joints.
struct Reach<'a> {
    segment: &'a Segment,
    /// Normalised arc length at the segment's start, and the curve's whole length.
    from: f64,
    length: f64,
    /// The segment's own length, in mm.
    own: f64,
}

impl Reach<'_> {
    /// The place at v and its derivative by v.
    fn at(&self, v: f64) -> (Point, Vec2) {
        let t = self.segment.parameter_within((v - self.from) * self.length, self.own);
        (self.segment.eval(t), self.length * self.segment.tangent(t))
    }
}

fn mixed(old: &Curve, new: &Curve, u: (f64, f64)) -> Vec<Segment> {
    let at = |v: f64| smooth(u.0 + v * (u.1 - u.0));
    if let ([Segment::Line(a)], [Segment::Line(b)]) = (old.segments(), new.segments()) {
        let constant = (at(0.0) - at(1.0)).abs() <= 0.0;
        if constant || on_one_line(old, new) {
            return vec![Segment::line(a.p0.lerp(b.p0, at(0.0)), a.p1.lerp(b.p1, at(1.0)))];
        }
    }
    let (old, new) = (Measured::of(old), Measured::of(new));
    let mut breaks: Vec<f64> = old.joints.iter().chain(&new.joints).copied().collect();
    breaks.sort_by(f64::total_cmp);
    breaks.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let mut segments = Vec::new();
    for pair in breaks.windows(2) {
        let (v0, v1) = (pair[0], pair[1]);
        let middle = 0.5 * (v0 + v1);
        let (a, b) = (old.reach(middle), new.reach(middle));
        segments.extend(fit_curve(
            |t| {
                let v = v0 + t * (v1 - v0);
                let ((p, dp), (q, dq)) = (a.at(v), b.at(v));
                let here = (u.0 + v * (u.1 - u.0)).clamp(0.0, 1.0);
                let (w, slope) = (smooth(here), 6.0 * here * (1.0 - here) * (u.1 - u.0));
                let velocity = (1.0 - w) * dp + w * dq + slope * (q - p);
                (p.lerp(q, w), (v1 - v0) * velocity)
            },
            FIT_MM,
        ));
    }
    segments
}

/// A curve whose segments have been measured once.
struct Measured<'a> {
    curve: &'a Curve,
    /// Length of each segment and of the whole, in mm.
    own: Vec<f64>,
    length: f64,
    /// Normalised arc length where segments join, both ends included.
    joints: Vec<f64>,
}

impl<'a> Measured<'a> {
    fn of(curve: &'a Curve) -> Self {
        let own: Vec<f64> = curve.segments().iter().map(Segment::length).collect();
        let length: f64 = own.iter().sum();
        let mut passed = 0.0;
        let joints = own.iter().map(|own| {
            passed += own;
            passed / length
        });
        let joints = std::iter::once(0.0).chain(joints).collect();
        Self { curve, own, length, joints }
    }

    /// The segment at a normalised arc length.
    fn reach(&self, v: f64) -> Reach<'a> {
        let segments = self.curve.segments();
        let index =
            self.joints.partition_point(|&joint| joint <= v).saturating_sub(1).min(segments.len() - 1);
        Reach {
            segment: &segments[index],
            from: self.joints[index],
            length: self.length,
            own: self.own[index],
        }
    }
}

impl Woven {
    pub(super) fn reversed(mut self) -> Self {
        self.curves = self.curves.iter().rev().map(Curve::reversed).collect();
        self.stretches.reverse();
        for (stretches, curve) in self.stretches.iter_mut().zip(&self.curves) {
            let length = curve.length();
            let old = stretches.iter().map(|stretch| stretch.old.1).fold(0.0, f64::max);
            let new = stretches.iter().map(|stretch| stretch.new.1).fold(0.0, f64::max);
            let turned = |(from, to): (f64, f64), length: f64| (length - to, length - from);
            stretches.reverse();
            for stretch in stretches {
                stretch.old = turned(stretch.old, old);
                stretch.new = turned(stretch.new, new);
                stretch.out = turned(stretch.out, length);
                stretch.u = (stretch.u.1, stretch.u.0);
            }
        }
        self
    }

    fn stretch(&self, edge: usize, old_along: f64) -> Option<&Stretch> {
        let stretches = self.stretches.get(edge)?;
        stretches.iter().find(|stretch| old_along <= stretch.old.1).or(stretches.last())
    }

    /// Length in the outcome of what an edge has of the zone between two spots, in mm.
    pub(super) fn zone_length(&self, edge: usize, (from, until): (Twin, Twin)) -> f64 {
        let low = if edge == from.edge { from.along[0] } else { f64::NEG_INFINITY };
        let high = if edge == until.edge { until.along[0] } else { f64::INFINITY };
        let is_zone = |stretch: &&Stretch| {
            let middle = 0.5 * (stretch.old.0 + stretch.old.1);
            low < middle && middle < high
        };
        let stretches = self.stretches.get(edge).into_iter().flatten();
        stretches.filter(is_zone).map(|stretch| stretch.out.1 - stretch.out.0).sum()
    }

    /// The new size's weight beside a place of the old outline, 0 to 1.
    pub(super) fn weight(&self, edge: usize, old_along: f64) -> f64 {
        self.stretch(edge, old_along).map_or(0.0, |stretch| {
            let v = share(old_along, stretch.old);
            smooth(stretch.u.0 + v * (stretch.u.1 - stretch.u.0))
        })
    }

    /// Whether the edge is wholly of the new size.
    pub(super) fn is_new(&self, edge: usize) -> bool {
        let pure = |stretch: &Stretch| stretch.u.0 >= 1.0 && stretch.u.1 >= 1.0;
        self.stretches.get(edge).is_some_and(|stretches| stretches.iter().all(pure))
    }

    /// Whether any of the edge is not of the old size.
    pub(super) fn is_touched(&self, edge: usize) -> bool {
        let pure = |stretch: &Stretch| stretch.u.0 <= 0.0 && stretch.u.1 <= 0.0;
        !self.stretches.get(edge).is_none_or(|stretches| stretches.iter().all(pure))
    }

    /// Where a mark on an edge comes to lie, given its place in both sizes; from the start of the edge.
    pub(super) fn mark(&self, edge: usize, old_along: f64, new_along: f64) -> f64 {
        let Some(stretch) = self.stretch(edge, old_along) else {
            return old_along;
        };
        let w = self.weight(edge, old_along);
        let v = (1.0 - w) * share(old_along, stretch.old) + w * share(new_along, stretch.new);
        // Within a mixed stretch arc length runs nearly evenly with v; both ends are exact.
        stretch.out.0 + v * (stretch.out.1 - stretch.out.0)
    }
}

fn share(along: f64, (from, to): (f64, f64)) -> f64 {
    if to > from { ((along - from) / (to - from)).clamp(0.0, 1.0) } else { 0.0 }
}
