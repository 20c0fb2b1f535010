//! Open lines, knotted where their ends meet, and the ways round.
//!
//! Ends closer than the tolerance become one node, found in a grid of squares of that size. A loose end that lies
//! on another line is tied to it there (a hem that ends at the fold). Lines that then hang loose at one end are set
//! aside; along what remains, every face of the net is walked by turning as far right as possible at each node, and
//! the walk that runs counter-clockwise is the outer one. So the legs of a dart that start at the outline, or a
//! grainline that touches it, split nothing.

use super::super::drawing::Stroke;
use super::chain::LineId;
use super::ties::ties;
use crate::geometry::tolerance::{FIT_MM, JOIN_MM};
use crate::geometry::{Curve, Point, Rect, Segment, Vec2};
use crate::pattern::signed_area;
use foldhash::fast::RandomState;
use smallvec::SmallVec;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// How far along a line its direction at a node is looked for, in mm: past the roundings of its end.
const LOOK_AHEAD_MM: f64 = 1.0;

/// A part beside the core of growing sizes is narrower than this part of the core's area.
const STRIP: f64 = 0.5;

/// From size to size an outline changes along this part of its length at least.
const GROWN: f64 = 0.45;

/// Squares in which ends are looked up are so many times as wide as the tolerance: then most ends have all their
/// neighbours in their own.
const SQUARES: f64 = 8.0;

/// What lies in each square of a grid, seldom more than two. Only looked up, never gone through: its order does not
/// matter.
pub(super) type Squares<Key, Held> = HashMap<Key, SmallVec<[Held; 2]>, RandomState>;

/// The square of a grid in which a place lies.
pub(super) fn square_of(place: Point, side: f64) -> (i64, i64) {
    #[expect(clippy::cast_possible_truncation, reason = "coordinates are below 100 m, far inside an i64")]
    let square = |x: f64| (x / side).floor() as i64;
    (square(place.x), square(place.y))
}

/// The squares of a grid that lie within reach of a place.
pub(super) fn squares_near(place: Point, side: f64, reach: f64) -> impl Iterator<Item = (i64, i64)> {
    let (low, high) =
        (square_of(place - Vec2::new(reach, reach), side), square_of(place + Vec2::new(reach, reach), side));
    (low.0..=high.0).flat_map(move |x| (low.1..=high.1).map(move |y| (x, y)))
}

/// How many places a bent segment of a line of so many is sampled at: some eight a line.
fn samples(segments: usize) -> u8 {
    match segments {
        0 | 1 => 8,
        2 | 3 => 4,
        _ => 2,
    }
}

/// One way along a line: its place in the net, and whether from its end to its start.
type Half = (usize, bool);

struct Line<'a> {
    id: LineId,
    curve: Cow<'a, Curve>,
    start: usize,
    end: usize,
}

/// Open lines and where they meet.
pub(super) struct Net<'a> {
    lines: Vec<Line<'a>>,
    /// Where the first end of a node lies; the others are within the tolerance.
    nodes: Vec<Point>,
    /// Whether each line is part of a way round.
    fast: Vec<bool>,
    /// How many of those meet at each node.
    degree: Vec<usize>,
}

/// A way round along a net.
pub(super) struct Walk {
    halves: Vec<Half>,
    polygon: Vec<Point>,
    bounds: Rect,
    /// Counter-clockwise positive, in mm².
    pub(super) area: f64,
}

impl Walk {
    fn of(net: &Net<'_>, halves: Vec<Half>) -> Self {
        let mut polygon = Vec::with_capacity(2 * halves.len());
        for &(line, back) in &halves {
            let segments = net.lines[line].curve.segments();
            let bent = samples(segments.len());
            let mut sample = |segment: &Segment| {
                let count = if matches!(segment, Segment::Line(_)) { 1 } else { bent };
                // By the parameter: arc lengths would take longer, and any places along the line do.
                let places = (0..count).map(|step| f64::from(step) / f64::from(count));
                polygon.extend(places.map(|t| segment.eval(if back { 1.0 - t } else { t })));
            };
            if back {
                segments.iter().rev().for_each(&mut sample);
            } else {
                segments.iter().for_each(&mut sample);
            }
        }
        let bounds = polygon.iter().map(|point| Rect::from_points(*point, *point)).reduce(|a, b| a.union(b));
        Self { area: signed_area(&polygon), bounds: bounds.unwrap_or_default(), halves, polygon }
    }

    /// Where it begins.
    pub(super) fn start(&self) -> Point {
        self.polygon.first().copied().unwrap_or_default()
    }

    /// Whether a place lies inside.
    pub(super) fn holds(&self, place: Point) -> bool {
        self.bounds.contains(place) && super::places::inside(&self.polygon, place)
    }
}

impl<'a> Net<'a> {
    /// Ties lines together whose ends are closer than `join_mm`.
    pub(super) fn of(open: &[(LineId, &'a Stroke)], join_mm: f64) -> Self {
        let mut net = Self { lines: Vec::new(), nodes: Vec::new(), fast: Vec::new(), degree: Vec::new() };
        let mut grid = Squares::default();
        grid.reserve(2 * open.len());
        let curves: Vec<&'a Curve> = open.iter().map(|(_, stroke)| &stroke.curve).collect();
        let ends: Vec<[usize; 2]> = curves
            .iter()
            .map(|curve| [curve.start(), curve.end()].map(|end| net.node_at(end, join_mm, &mut grid)))
            .collect();
        let mut cuts = ties(&curves, &ends, &net.nodes, join_mm);
        for (index, (&(id, _), [start, end])) in open.iter().zip(ends).enumerate() {
            let Some(mut own) = cuts.remove(&index) else {
                net.lines.push(Line { id, curve: Cow::Borrowed(curves[index]), start, end });
                continue;
            };
            own.sort_by(|a, b| a.0.total_cmp(&b.0));
            let (mut from, mut node) = (0.0, start);
            own.push((curves[index].length(), end));
            for (to, next) in own {
                let whole = from <= 0.0 && next == end && to >= curves[index].length();
                let part = if whole {
                    Some(Cow::Borrowed(curves[index]))
                } else {
                    curves[index].portion(from, to).map(Cow::Owned)
                };
                let Some(curve) = part else { continue };
                net.lines.push(Line { id, curve, start: node, end: next });
                (from, node) = (to, next);
            }
        }
        net.set_loose_lines_aside();
        net
    }

    fn node_at(&mut self, end: Point, join_mm: f64, grid: &mut Squares<(i64, i64), usize>) -> usize {
        let side = SQUARES * join_mm.max(JOIN_MM);
        let near = squares_near(end, side, join_mm)
            .filter_map(|key| grid.get(&key))
            .flatten()
            .copied()
            .filter(|node| self.nodes[*node].distance(end) <= join_mm)
            .min_by(|a, b| self.nodes[*a].distance(end).total_cmp(&self.nodes[*b].distance(end)));
        if let Some(node) = near {
            return node;
        }
        self.nodes.push(end);
        grid.entry(square_of(end, side)).or_default().push(self.nodes.len() - 1);
        self.nodes.len() - 1
    }

    fn node_from(&self, (line, back): Half) -> usize {
        if back { self.lines[line].end } else { self.lines[line].start }
    }

    fn node_to(&self, (line, back): Half) -> usize {
        self.node_from((line, !back))
    }

    /// Direction in which a way leaves its node.
    fn leaving(&self, (line, back): Half) -> Vec2 {
        let curve = &self.lines[line].curve;
        let length = curve.length();
        let ahead = LOOK_AHEAD_MM.min(0.5 * length);
        if back {
            curve.point_at(length - ahead) - curve.end()
        } else {
            curve.point_at(ahead) - curve.start()
        }
    }

    /// Takes lines with a loose end away, again and again.
    fn set_loose_lines_aside(&mut self) {
        let mut left = vec![true; self.lines.len()];
        let mut at_node: Vec<SmallVec<[usize; 2]>> = vec![SmallVec::new(); self.nodes.len()];
        for (index, line) in self.lines.iter().enumerate() {
            // A line from a node to itself was closed before it came here, or is too short to matter.
            if line.start == line.end {
                left[index] = false;
                continue;
            }
            at_node[line.start].push(index);
            at_node[line.end].push(index);
        }
        let mut degree: Vec<usize> = at_node.iter().map(SmallVec::len).collect();
        let mut loose: Vec<usize> = (0..self.nodes.len()).filter(|node| degree[*node] == 1).collect();
        while let Some(node) = loose.pop() {
            let Some(&index) = at_node[node].iter().find(|index| left[**index]) else {
                continue;
            };
            left[index] = false;
            let line = &self.lines[index];
            for end in [line.start, line.end] {
                degree[end] -= 1;
                if degree[end] == 1 {
                    loose.push(end);
                }
            }
        }
        (self.fast, self.degree) = (left, degree);
    }

    /// Every way round, those of lines that hang together in one list.
    pub(super) fn components(&self) -> Vec<Vec<Walk>> {
        let halves = || {
            (0..self.lines.len())
                .filter(|line| self.fast[*line])
                .flat_map(|line| [(line, false), (line, true)])
        };
        let mut leaving: Vec<SmallVec<[Half; 2]>> = vec![SmallVec::new(); self.nodes.len()];
        for half in halves() {
            leaving[self.node_from(half)].push(half);
        }
        let knot = self.knots();
        let mut seen = vec![[false; 2]; self.lines.len()];
        let mut by_knot: BTreeMap<usize, Vec<Walk>> = BTreeMap::new();
        for first in halves() {
            let mut walk = Vec::new();
            let mut half = first;
            while !std::mem::replace(&mut seen[half.0][usize::from(half.1)], true) {
                walk.push(half);
                half = self.rightmost(half, &leaving);
            }
            if !walk.is_empty() && half == first {
                by_knot.entry(knot[self.node_from(first)]).or_default().push(Walk::of(self, walk));
            }
        }
        by_knot.into_values().collect()
    }

    /// The lines that are part of a way round.
    pub(super) fn lines_round(&self) -> HashSet<LineId, RandomState> {
        let lines = self.lines.iter().zip(&self.fast).filter(|(_, fast)| **fast);
        lines.map(|(line, _)| line.id).collect()
    }

    /// For each node the first node that it hangs together with.
    fn knots(&self) -> Vec<usize> {
        fn root(knot: &mut [usize], mut node: usize) -> usize {
            while knot[node] != node {
                knot[node] = knot[knot[node]];
                node = knot[node];
            }
            node
        }
        let mut knot: Vec<usize> = (0..self.nodes.len()).collect();
        for (_, line) in self.lines.iter().enumerate().filter(|(index, _)| self.fast[*index]) {
            let (a, b) = (root(&mut knot, line.start), root(&mut knot, line.end));
            knot[a.max(b)] = a.min(b);
        }
        (0..self.nodes.len()).map(|node| root(&mut knot, node)).collect()
    }

    /// The way on from the end of a way that turns furthest to the right.
    fn rightmost(&self, half: Half, leaving: &[SmallVec<[Half; 2]>]) -> Half {
        let (line, back) = half;
        let turned_round = (line, !back);
        let ways = &leaving[self.node_to(half)];
        if let [one, two] = ways[..] {
            return if one == turned_round { two } else { one };
        }
        let behind = self.leaving(turned_round);
        let turn = |next: &Half| {
            if *next == turned_round {
                return std::f64::consts::TAU;
            }
            let ahead = self.leaving(*next);
            let angle = behind.cross(ahead).atan2(behind.dot(ahead));
            if angle <= 0.0 { angle + std::f64::consts::TAU } else { angle }
        };
        ways.iter().copied().min_by(|a, b| turn(a).total_cmp(&turn(b))).unwrap_or(turned_round)
    }

    /// A place on a walk at which more than two of its net's lines meet.
    pub(super) fn branch(&self, walk: &Walk) -> Option<Point> {
        let node =
            walk.halves.iter().map(|half| self.node_from(*half)).find(|node| self.degree[*node] > 2)?;
        Some(self.nodes[node])
    }

    /// From the largest part of a knot outwards: the way round it, round it and the parts beside it, and so on.
    /// Only the largest when the parts beside it are no narrow strips.
    pub(super) fn growing(&self, component: &[Walk]) -> Vec<Walk> {
        let parts: Vec<&Walk> = component.iter().filter(|walk| walk.area < 0.0).collect();
        let by_area = |a: &usize, b: &usize| parts[*b].area.total_cmp(&parts[*a].area);
        let Some(core) = (0..parts.len()).min_by(|a, b| by_area(b, a)) else {
            return Vec::new();
        };
        let all_strips =
            (0..parts.len()).filter(|at| *at != core).all(|at| parts[at].area > STRIP * parts[core].area);
        let outer = || -> Vec<Walk> {
            let outer = component.iter().filter(|walk| walk.area > 0.0);
            outer.map(|walk| Walk::of(self, walk.halves.clone())).collect()
        };
        if !all_strips {
            return outer();
        }
        let owner: BTreeMap<Half, usize> = parts
            .iter()
            .enumerate()
            .flat_map(|(at, part)| part.halves.iter().map(move |half| (*half, at)))
            .collect();
        let mut inside = BTreeSet::from([core]);
        let mut steps: Vec<Walk> = Vec::new();
        loop {
            let Some(next) = self.around(&parts, &inside) else { return steps };
            if steps.last().is_some_and(|last| self.changed(last, &next) < GROWN) {
                // A line across a piece parts it too, but on one side only.
                return outer();
            }
            steps.push(next);
            let beside: BTreeSet<usize> = inside
                .iter()
                .flat_map(|at| &parts[*at].halves)
                .filter_map(|(line, back)| owner.get(&(*line, !back)).copied())
                .filter(|at| !inside.contains(at))
                .collect();
            if beside.is_empty() {
                return steps;
            }
            inside.extend(beside);
        }
    }

    /// The part of a way round that is not part of the next.
    fn changed(&self, walk: &Walk, next: &Walk) -> f64 {
        let on: BTreeSet<usize> = next.halves.iter().map(|(line, _)| *line).collect();
        let (mut whole, mut left) = (0.0, 0.0);
        for (line, _) in &walk.halves {
            let length = self.lines[*line].curve.length();
            whole += length;
            left += if on.contains(line) { 0.0 } else { length };
        }
        left / whole.max(f64::MIN_POSITIVE)
    }

    /// The longest way round the union of parts, counter-clockwise.
    fn around(&self, parts: &[&Walk], inside: &BTreeSet<usize>) -> Option<Walk> {
        let halves: BTreeSet<Half> = inside.iter().flat_map(|at| parts[*at].halves.iter().copied()).collect();
        let rim: Vec<Half> =
            halves.iter().copied().filter(|(line, back)| !halves.contains(&(*line, !back))).collect();
        // Parts run clockwise; their rim backwards runs counter-clockwise.
        let mut from: BTreeMap<usize, Vec<Half>> = BTreeMap::new();
        for (line, back) in rim {
            let half = (line, !back);
            from.entry(self.node_from(half)).or_default().push(half);
        }
        let mut best: Option<Walk> = None;
        while let Some((&node, _)) = from.iter().find(|(_, ways)| !ways.is_empty()) {
            let mut walk = Vec::new();
            let mut at = node;
            while let Some(half) = from.get_mut(&at).and_then(Vec::pop) {
                walk.push(half);
                at = self.node_to(half);
            }
            let walk = Walk::of(self, walk);
            if best.as_ref().is_none_or(|best| walk.area > best.area) {
                best = Some(walk);
            }
        }
        best
    }

    /// The curves along a walk with their ends moved together; the widest gap and its place.
    pub(super) fn joined(&self, walk: &Walk) -> (Vec<(LineId, Curve)>, f64, Point) {
        let mut curves: Vec<Curve> = walk
            .halves
            .iter()
            .map(|&(line, back)| {
                let curve = &self.lines[line].curve;
                if back { curve.reversed() } else { Curve::clone(curve) }
            })
            .collect();
        let count = curves.len();
        let mut widest = (0.0, Point::ORIGIN);
        for index in 0..count {
            let next = (index + 1) % count;
            let (end, start) = (curves[index].end(), curves[next].start());
            let gap = end.distance(start);
            if gap <= JOIN_MM {
                continue;
            }
            if gap > widest.0 {
                widest = (gap, end);
            }
            let meeting = end.midpoint(start);
            let first = bendable(&curves[index]);
            curves[index] = first.with_ends(first.start(), meeting);
            let second = bendable(&curves[next]);
            curves[next] = second.with_ends(meeting, second.end());
        }
        let parts = walk.halves.iter().zip(curves).map(|((line, _), curve)| (self.lines[*line].id, curve));
        (parts.collect(), widest.0, widest.1)
    }
}

/// The curve with arcs as cubics, whose ends can be moved without losing the shape.
fn bendable(curve: &Curve) -> Curve {
    let segments = curve.segments().iter().flat_map(|segment| match segment {
        Segment::Arc(_) => segment.path_segments(FIT_MM).into_iter().map(Segment::from).collect(),
        _ => vec![*segment],
    });
    Curve::new(segments.collect()).unwrap_or_else(|_| curve.clone())
}
