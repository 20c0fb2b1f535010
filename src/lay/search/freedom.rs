//! Where the middle of a piece may lie: between the selvedges, on the fold, on the print.

use super::model::{Kind, Known, Model, Shape};
use super::problem::{Repeat, Steps};
use crate::geometry::{Point, Rect, Vec2};
use fastrand::Rng;

/// One coordinate.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Axis {
    Free,
    Fixed(f64),
    /// Every whole number of steps from a start.
    Steps {
        start: f64,
        step: f64,
    },
}

/// The places that the middle of a shape may take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Freedom {
    /// Each coordinate by itself.
    Axes(AxisPair),
    /// The nodes of a lattice.
    Lattice(Nodes),
}

/// Both coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AxisPair {
    x: Axis,
    y: Axis,
}

/// A lattice through a start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Nodes {
    start: Point,
    steps: [Vec2; 2],
}

/// Slack of whether a place is inside, in mm: rounding of sums.
pub(super) const ROUNDING_MM: f64 = 1e-7;

impl Freedom {
    /// The freedom of a shape, the phases of all groups given.
    pub(super) fn of(kind: &Kind, shape: &Shape, phases: &[Point]) -> Self {
        let Some(repeat) = &kind.repeat else {
            return Self::unmatched(shape);
        };
        let free = |x, y| Self::Axes(AxisPair { x, y });
        let y = shape.fixed_y.map_or(Axis::Free, Axis::Fixed);
        let start = phases.get(repeat.group).copied().unwrap_or_default() - shape.reference;
        match repeat.steps {
            Steps::Along(step) => free(Axis::Steps { start: start.x, step }, y),
            Steps::Across(step) if shape.fixed_y.is_none() => {
                free(Axis::Free, Axis::Steps { start: start.y, step })
            }
            Steps::Across(_) => free(Axis::Free, y),
            Steps::Both(steps) => match shape.fixed_y {
                None => Self::Lattice(Nodes { start, steps }),
                // On the fold, only the phase along the cloth is left to keep: that of the column it lies in.
                Some(level) => {
                    let start = start.x + shift_along(steps, level - start.y);
                    free(Axis::Steps { start, step: step_along(steps) }, y)
                }
            },
        }
    }

    /// The freedom of a shape that need not match anything.
    pub(super) fn unmatched(shape: &Shape) -> Self {
        Self::Axes(AxisPair { x: Axis::Free, y: shape.fixed_y.map_or(Axis::Free, Axis::Fixed) })
    }

    /// The freedom of the first piece of a group, which keeps only what is given of the phase.
    pub(super) fn first(repeat: &Repeat, shape: &Shape, phase: Point, known: Known) -> Self {
        let start = phase - shape.reference;
        let steps = |is_known: bool, start: f64, pitch: Option<f64>| match pitch {
            Some(step) if is_known => Axis::Steps { start, step },
            _ => Axis::Free,
        };
        let y = match shape.fixed_y {
            Some(y) => Axis::Fixed(y),
            None => steps(known.across, start.y, repeat.steps.pitch_across()),
        };
        Self::Axes(AxisPair { x: steps(known.along, start.x, repeat.steps.pitch_along()), y })
    }

    /// The nearest place inside a rectangle; `None` when there is none near.
    #[inline]
    pub(super) fn snap(&self, p: Point, inside: Rect) -> Option<Point> {
        match self {
            Self::Axes(AxisPair { x, y }) => {
                Some(Point::new(x.snap(p.x, inside.x0, inside.x1)?, y.snap(p.y, inside.y0, inside.y1)?))
            }
            Self::Lattice(nodes) => {
                let p = Point::new(p.x.clamp(inside.x0, inside.x1), p.y.clamp(inside.y0, inside.y1));
                nodes.nearest(p, inside)
            }
        }
    }

    /// A place anywhere inside a rectangle, all about equally likely.
    #[inline]
    pub(super) fn anywhere(&self, inside: Rect, rng: &mut Rng) -> Option<Point> {
        let p = Point::new(
            inside.x0 + rng.f64() * (inside.x1 - inside.x0),
            inside.y0 + rng.f64() * (inside.y1 - inside.y0),
        );
        self.snap(p, inside)
    }

    /// Levels of y that may be taken between two, where they are counted.
    pub(super) fn levels(&self, inside: Rect) -> Option<Vec<f64>> {
        match self {
            Self::Axes(AxisPair { y, .. }) => y.stops(inside.y0, inside.y1),
            Self::Lattice(_) => None,
        }
    }

    /// The first x at or after `x` that may be taken on a level.
    pub(super) fn next_x(&self, x: f64) -> f64 {
        match self {
            Self::Axes(AxisPair { x: Axis::Steps { start, step }, .. }) => {
                start + ((x - ROUNDING_MM - start) / step).ceil() * step
            }
            _ => x,
        }
    }

    /// All places inside a rectangle, where they are counted.
    pub(super) fn nodes(&self, inside: Rect) -> Option<Vec<Point>> {
        match self {
            Self::Axes(AxisPair { x, y }) => {
                let (xs, ys) = (x.stops(inside.x0, inside.x1)?, y.stops(inside.y0, inside.y1)?);
                Some(xs.iter().flat_map(|x| ys.iter().map(|y| Point::new(*x, *y))).collect())
            }
            Self::Lattice(nodes) => Some(nodes.inside(inside)),
        }
    }

    /// Whether single steps are too coarse for a descent by ever smaller ones.
    pub(super) fn finest(&self) -> f64 {
        match self {
            Self::Axes(AxisPair { x, y }) => match (x, y) {
                (Axis::Free, _) | (_, Axis::Free) => 0.0,
                (Axis::Steps { step, .. }, _) | (_, Axis::Steps { step, .. }) => *step / 2.0,
                _ => 0.0,
            },
            Self::Lattice(nodes) => nodes.steps[0].hypot().min(nodes.steps[1].hypot()) / 2.0,
        }
    }
}

impl Axis {
    #[inline]
    fn snap(self, value: f64, low: f64, high: f64) -> Option<f64> {
        match self {
            Self::Free => (low <= high).then(|| value.clamp(low, high)),
            Self::Fixed(at) => (low - ROUNDING_MM <= at && at <= high + ROUNDING_MM).then_some(at),
            Self::Steps { start, step } => {
                let value = value.clamp(low, high.max(low));
                let nearest = start + ((value - start) / step).round() * step;
                [nearest, nearest + step, nearest - step]
                    .into_iter()
                    .find(|at| low - ROUNDING_MM <= *at && *at <= high + ROUNDING_MM)
            }
        }
    }

    fn stops(self, low: f64, high: f64) -> Option<Vec<f64>> {
        match self {
            Self::Free => None,
            Self::Fixed(at) => {
                Some(if low - ROUNDING_MM <= at && at <= high + ROUNDING_MM { vec![at] } else { Vec::new() })
            }
            Self::Steps { start, step } => {
                let mut stops = Vec::new();
                let mut n = ((low - ROUNDING_MM - start) / step).ceil();
                while start + n * step <= high + ROUNDING_MM {
                    stops.push(start + n * step);
                    n += 1.0;
                }
                Some(stops)
            }
        }
    }
}

impl Nodes {
    /// In steps from the start.
    fn coordinates(&self, p: Point) -> (f64, f64) {
        let [a, b] = self.steps;
        let (off, cross) = (p - self.start, a.cross(b));
        (off.cross(b) / cross, a.cross(off) / cross)
    }

    fn node(&self, i: f64, j: f64) -> Point {
        self.start + i * self.steps[0] + j * self.steps[1]
    }

    fn nearest(&self, p: Point, inside: Rect) -> Option<Point> {
        let (u, v) = self.coordinates(p);
        let (i, j) = (u.round(), v.round());
        let mut best: Option<(f64, Point)> = None;
        for (di, dj) in NEIGHBOURS {
            let node = self.node(i + di, j + dj);
            let away = (node - p).hypot2();
            if holds(inside, node) && best.is_none_or(|(least, _)| away < least) {
                best = Some((away, node));
            }
        }
        best.map(|(_, node)| node)
    }

    fn inside(&self, area: Rect) -> Vec<Point> {
        let corners = [(area.x0, area.y0), (area.x1, area.y0), (area.x1, area.y1), (area.x0, area.y1)];
        let corners = corners.map(|corner| self.coordinates(corner.into()));
        let range = |pick: fn(&(f64, f64)) -> f64| {
            let values = corners.iter().map(pick);
            let (low, high) =
                values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
            ((low - ROUNDING_MM).ceil(), (high + ROUNDING_MM).floor())
        };
        let ((i0, i1), (j0, j1)) = (range(|c| c.0), range(|c| c.1));
        let mut nodes = Vec::new();
        let mut i = i0;
        while i <= i1 {
            let mut j = j0;
            while j <= j1 {
                let node = self.node(i, j);
                if holds(area, node) {
                    nodes.push(node);
                }
                j += 1.0;
            }
            i += 1.0;
        }
        nodes
    }
}

const NEIGHBOURS: [(f64, f64); 9] = [
    (0.0, 0.0),
    (1.0, 0.0),
    (-1.0, 0.0),
    (0.0, 1.0),
    (0.0, -1.0),
    (1.0, 1.0),
    (-1.0, -1.0),
    (1.0, -1.0),
    (-1.0, 1.0),
];

fn holds(area: Rect, p: Point) -> bool {
    p.x >= area.x0 - ROUNDING_MM
        && p.x <= area.x1 + ROUNDING_MM
        && p.y >= area.y0 - ROUNDING_MM
        && p.y <= area.y1 + ROUNDING_MM
}

/// The shortest way along the cloth from a node to another at the same level: the repeat as the fold sees it.
fn step_along(steps: [Vec2; 2]) -> f64 {
    let mut least = f64::INFINITY;
    for i in -8_i32..=8 {
        for j in -8_i32..=8 {
            let node = f64::from(i) * steps[0] + f64::from(j) * steps[1];
            if node.y.abs() < ROUNDING_MM && node.x > ROUNDING_MM {
                least = least.min(node.x);
            }
        }
    }
    if least.is_finite() { least } else { steps[0].hypot().max(steps[1].hypot()) }
}

/// How far along the cloth the nodes lie in the column that is nearest to a way across: half a drop in every other
/// column of a half-drop.
fn shift_along(steps: [Vec2; 2], across: f64) -> f64 {
    let Some(pitch) = Steps::Both(steps).pitch_across() else { return 0.0 };
    let counts = -12_i32..=12;
    let nodes = counts.clone().flat_map(|i| counts.clone().map(move |j| (i, j)));
    let mut ways = nodes.map(|(i, j)| f64::from(i) * steps[0] + f64::from(j) * steps[1]);
    let next = ways.find(|way| (way.y - pitch).abs() < ROUNDING_MM);
    next.map_or(0.0, |way| (across / pitch).round() * way.x)
}

/// Slack at each edge as a share of the width, and at most, in mm: two pieces of half the width lie side by side,
/// although each pair keeps a hair of room.
const WIDTH_SLACK: f64 = 2e-6;
const MOST_SLACK_MM: f64 = 0.002;

impl Model {
    /// Where the middle of a shape may lie on the strip up to `length`; `None` when the shape is longer or wider.
    pub(super) fn inside(&self, shape: &Shape, length: f64) -> Option<Rect> {
        let slack = (self.width * WIDTH_SLACK).min(MOST_SLACK_MM);
        let [low, high] =
            shape.band.map_or([0.0, self.width], |[low, high]| [low.max(0.0), high.min(self.width)]);
        let (x0, x1) = (self.min_x + shape.half.x, length - shape.half.x);
        let (y0, y1) = match shape.fixed_y {
            Some(y) if y + shape.half.y <= high + slack => (y, y),
            Some(_) => return None,
            None => (low + shape.half.y - slack, high + slack - shape.half.y),
        };
        (x0 <= x1 + ROUNDING_MM && y0 <= y1).then(|| Rect { x0, y0, x1: x1.max(x0), y1 })
    }
}
