//! Lines that meet end to end become loops.
//!
//! Ends closer than the tolerance become one node, found in a grid of squares of that size. Lines that hang
//! loose at one end are set aside; along what remains, every face of the net of lines is walked by turning as far
//! right as possible at each node, and the walk that runs counter-clockwise is the outer one. So the legs of a dart that
//! start at the outline, or a grainline that touches it, split nothing.

use super::super::drawing::Stroke;
use crate::finding::{Finding, Severity};
use crate::geometry::tolerance::{FIT_MM, JOIN_MM};
use crate::geometry::{Curve, Point, Segment, Vec2};
use crate::pattern::signed_area;
use std::collections::{BTreeMap, BTreeSet};

/// A closed way along strokes: which, and how each is travelled after its ends were moved onto its neighbours'.
pub(super) struct Loop {
    parts: Vec<(usize, Curve)>,
}

impl Loop {
    /// The strokes in order, each with its index in the group.
    pub(super) fn parts(&self) -> &[(usize, Curve)] {
        &self.parts
    }

    /// Indices of the strokes in their group.
    pub(super) fn strokes(&self) -> impl Iterator<Item = usize> + '_ {
        self.parts.iter().map(|(index, _)| *index)
    }

    /// All segments in the order of travel.
    pub(super) fn segments(&self) -> Vec<Segment> {
        let segments = self.parts.iter().flat_map(|(_, curve)| curve.segments());
        segments.copied().collect()
    }
}

/// How far along a line its direction at a node is looked for, in mm: past the roundings of its end.
const LOOK_AHEAD_MM: f64 = 1.0;

/// The loops among the strokes of a group, counter-clockwise: closed ones, and open ones that meet.
pub(super) fn loops(
    strokes: &[Stroke],
    usable: impl Fn(&Stroke) -> bool,
    join_mm: f64,
    findings: &mut Vec<Finding>,
) -> Vec<Loop> {
    let mut loops = Vec::new();
    let mut open = Vec::new();
    for (index, stroke) in strokes.iter().enumerate() {
        if !usable(stroke) {
            continue;
        }
        let gap = stroke.curve.start().distance(stroke.curve.end());
        if stroke.closed || (gap <= join_mm && stroke.curve.length() > 10.0 * join_mm) {
            loops.push(Loop { parts: vec![(index, closed_up(&stroke.curve, gap))] });
        } else {
            open.push(index);
        }
    }
    let net = Net::of(strokes, open, join_mm);
    for walk in net.outer_walks(findings) {
        loops.push(net.joined(&walk, findings));
    }
    for ring in &mut loops {
        if signed_area(&corners(ring)) < 0.0 {
            ring.parts.reverse();
            for (_, curve) in &mut ring.parts {
                *curve = curve.reversed();
            }
        }
    }
    loops
}

/// Places along a loop, close enough to tell which way round it runs.
fn corners(ring: &Loop) -> Vec<Point> {
    let sampled = |segment: &Segment| [0.0, 0.25, 0.5, 0.75].map(|t| segment.eval(t));
    ring.segments().iter().flat_map(sampled).collect()
}

/// A curve whose end is its start.
fn closed_up(curve: &Curve, gap: f64) -> Curve {
    if gap <= JOIN_MM {
        return curve.clone();
    }
    let closing = Curve::line(curve.end(), curve.start());
    curve.joined(&closing).unwrap_or_else(|_| curve.clone())
}

/// One way along a stroke: its place in the net, and whether from its end to its start.
type Half = (usize, bool);

struct Net<'a> {
    strokes: &'a [Stroke],
    /// Index of the stroke, node of its start, node of its end.
    lines: Vec<(usize, usize, usize)>,
    /// Where the first end of a node lies; the others are within the tolerance.
    nodes: Vec<Point>,
}

impl<'a> Net<'a> {
    fn of(strokes: &'a [Stroke], open: Vec<usize>, join_mm: f64) -> Self {
        let mut net = Net { strokes, lines: Vec::new(), nodes: Vec::new() };
        let mut grid: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
        for index in open {
            let curve = &strokes[index].curve;
            let ends = [curve.start(), curve.end()].map(|end| net.node_at(end, join_mm, &mut grid));
            net.lines.push((index, ends[0], ends[1]));
        }
        net
    }

    fn node_at(&mut self, end: Point, join_mm: f64, grid: &mut BTreeMap<(i64, i64), Vec<usize>>) -> usize {
        #[expect(clippy::cast_possible_truncation, reason = "coordinates are below 100 m, far inside an i64")]
        let square = |x: f64| (x / join_mm.max(JOIN_MM)).floor() as i64;
        let (column, row) = (square(end.x), square(end.y));
        let near = (column - 1..=column + 1)
            .flat_map(|x| (row - 1..=row + 1).map(move |y| (x, y)))
            .filter_map(|key| grid.get(&key))
            .flatten()
            .copied()
            .filter(|node| self.nodes[*node].distance(end) <= join_mm)
            .min_by(|a, b| self.nodes[*a].distance(end).total_cmp(&self.nodes[*b].distance(end)));
        if let Some(node) = near {
            return node;
        }
        self.nodes.push(end);
        grid.entry((column, row)).or_default().push(self.nodes.len() - 1);
        self.nodes.len() - 1
    }

    fn node_from(&self, (line, back): Half) -> usize {
        let (_, start, end) = self.lines[line];
        if back { end } else { start }
    }

    fn node_to(&self, (line, back): Half) -> usize {
        self.node_from((line, !back))
    }

    fn curve(&self, (line, back): Half) -> Curve {
        let curve = &self.strokes[self.lines[line].0].curve;
        if back { curve.reversed() } else { curve.clone() }
    }

    /// Direction in which a way leaves its node.
    fn leaving(&self, half: Half) -> Vec2 {
        let (line, back) = half;
        let curve = &self.strokes[self.lines[line].0].curve;
        let length = curve.length();
        let ahead = LOOK_AHEAD_MM.min(0.5 * length);
        if back {
            curve.point_at(length - ahead) - curve.end()
        } else {
            curve.point_at(ahead) - curve.start()
        }
    }

    /// Lines that are left when those with a loose end are taken away, again and again.
    fn fast_lines(&self) -> BTreeSet<usize> {
        let mut left: BTreeSet<usize> = (0..self.lines.len()).collect();
        let mut at_node: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); self.nodes.len()];
        for (line, &(_, start, end)) in self.lines.iter().enumerate() {
            // A line from a node to itself was closed before it came here, or is too short to matter.
            if start == end {
                left.remove(&line);
                continue;
            }
            at_node[start].insert(line);
            at_node[end].insert(line);
        }
        let mut loose: Vec<usize> = (0..self.nodes.len()).filter(|node| at_node[*node].len() == 1).collect();
        while let Some(node) = loose.pop() {
            let Some(line) = at_node[node].pop_first() else {
                continue;
            };
            left.remove(&line);
            let (_, start, end) = self.lines[line];
            let other = if start == node { end } else { start };
            at_node[other].remove(&line);
            if at_node[other].len() == 1 {
                loose.push(other);
            }
        }
        left
    }

    /// The counter-clockwise walk around each connected net.
    fn outer_walks(&self, findings: &mut Vec<Finding>) -> Vec<Vec<Half>> {
        let fast = self.fast_lines();
        let mut leaving: Vec<Vec<Half>> = vec![Vec::new(); self.nodes.len()];
        for &line in &fast {
            for half in [(line, false), (line, true)] {
                leaving[self.node_from(half)].push(half);
            }
        }
        let mut seen: BTreeSet<Half> = BTreeSet::new();
        let mut walks = Vec::new();
        for &line in &fast {
            for first in [(line, false), (line, true)] {
                let mut walk = Vec::new();
                let mut half = first;
                while seen.insert(half) {
                    walk.push(half);
                    half = self.rightmost(half, &leaving);
                }
                if walk.is_empty() || half != first {
                    continue;
                }
                let points: Vec<Point> = walk
                    .iter()
                    .flat_map(|half| {
                        let curve = self.curve(*half);
                        let length = curve.length();
                        [0.0, 0.2, 0.4, 0.6, 0.8].map(|part| curve.point_at(part * length))
                    })
                    .collect();
                if signed_area(&points) > 0.0 {
                    self.tell_branches(&walk, &leaving, findings);
                    walks.push(walk);
                }
            }
        }
        walks
    }

    /// The way on from the end of a way that turns furthest to the right.
    fn rightmost(&self, half: Half, leaving: &[Vec<Half>]) -> Half {
        let (line, back) = half;
        let turned_round = (line, !back);
        let behind = self.leaving(turned_round);
        let turn = |next: &Half| {
            if *next == turned_round {
                return std::f64::consts::TAU;
            }
            let ahead = self.leaving(*next);
            let angle = behind.cross(ahead).atan2(behind.dot(ahead));
            if angle <= 0.0 { angle + std::f64::consts::TAU } else { angle }
        };
        leaving[self.node_to(half)]
            .iter()
            .copied()
            .min_by(|a, b| turn(a).total_cmp(&turn(b)))
            .unwrap_or(turned_round)
    }

    fn tell_branches(&self, walk: &[Half], leaving: &[Vec<Half>], findings: &mut Vec<Finding>) {
        let branch = walk.iter().map(|half| self.node_from(*half)).find(|node| leaving[*node].len() > 2);
        if let Some(node) = branch {
            findings.push(
                Finding::new(
                    Severity::Note,
                    "More than two lines meet here; the outermost way round was taken as the outline",
                    "Look at the outline there",
                )
                .at(self.nodes[node]),
            );
        }
    }

    /// The loop along a walk, gaps between its lines closed.
    fn joined(&self, walk: &[Half], findings: &mut Vec<Finding>) -> Loop {
        let mut curves: Vec<Curve> = walk.iter().map(|half| self.curve(*half)).collect();
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
        if widest.0 > JOIN_MM {
            findings.push(
                Finding::new(
                    Severity::Note,
                    format!("Ends of lines were joined over a gap of up to {:.2} mm", widest.0),
                    "Nothing to do, unless they should not meet",
                )
                .at(widest.1)
                .by_mm(widest.0),
            );
        }
        let parts = walk.iter().zip(curves).map(|((line, _), curve)| (self.lines[*line].0, curve));
        Loop { parts: parts.collect() }
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

#[cfg(test)]
mod tests {
    use super::super::JOIN_ENDS_MM;
    use super::*;
    use proptest::prelude::*;

    fn stroke(points: &[Point]) -> Stroke {
        Stroke {
            name: None,
            tags: String::new(),
            curve: Curve::polyline(points).unwrap(),
            closed: false,
            part: None,
            look: Default::default(),
            arrows: super::super::super::Arrows::default(),
        }
    }

    fn area(ring: &Loop) -> f64 {
        let points: Vec<_> = ring.segments().iter().map(Segment::start).collect();
        signed_area(&points)
    }

    proptest! {
        #[test]
        fn lines_in_any_order_and_direction_make_the_outline_that_they_were_cut_from(
            radii in proptest::collection::vec(60.0..140.0_f64, 5..24),
            order in any::<proptest::sample::Index>(),
            turned in any::<u32>(),
            jitter in proptest::collection::vec((-0.05..0.05_f64, -0.05..0.05_f64), 48),
            legs in any::<bool>(),
        ) {
            // A star-shaped polygon is simple; each side is a stroke with ends a little off the corners.
            let count = radii.len();
            let corner = |k: usize| {
                let angle = std::f64::consts::TAU * (k % count) as f64 / count as f64;
                Point::ORIGIN + radii[k % count] * Vec2::from_angle(angle)
            };
            let mut strokes: Vec<Stroke> = (0..count)
                .map(|k| {
                    let off = |n: usize| Vec2::new(jitter[n % 48].0, jitter[n % 48].1);
                    let (a, b) = (corner(k) + off(2 * k), corner(k + 1) + off(2 * k + 1));
                    if turned >> (k % 32) & 1 == 1 { stroke(&[b, a]) } else { stroke(&[a, b]) }
                })
                .collect();
            strokes.rotate_left(order.index(count));
            if legs {
                // A dart from two corners, and a line that hangs loose.
                strokes.push(stroke(&[corner(0), Point::ORIGIN, corner(2)]));
                strokes.push(stroke(&[corner(1), corner(1).midpoint(Point::ORIGIN)]));
            }
            let mut findings = Vec::new();
            let found = loops(&strokes, |_| true, JOIN_ENDS_MM, &mut findings);
            prop_assert_eq!(found.len(), 1);
            let polygon: Vec<_> = (0..count).map(corner).collect();
            // Ends move by a twentieth of a millimetre along a way of less than a metre and a half.
            prop_assert!((area(&found[0]) - signed_area(&polygon)).abs() < 0.08 * 1500.0);
            prop_assert_eq!(found[0].strokes().count(), count);
        }
    }

    #[test]
    fn two_outlines_that_share_no_end_are_two_loops() {
        let square = |x: f64| {
            let corners = [(x, 0.0), (x + 50.0, 0.0), (x + 50.0, 50.0), (x, 50.0), (x, 0.0)].map(Point::from);
            [stroke(&corners[..3]), stroke(&corners[2..])]
        };
        let strokes: Vec<_> = square(0.0).into_iter().chain(square(80.0)).collect();
        let found = loops(&strokes, |_| true, JOIN_ENDS_MM, &mut Vec::new());
        assert_eq!(found.len(), 2);
        assert!(found.iter().all(|ring| (area(ring) - 2500.0).abs() < 1e-9));
    }
}
