//! The way round a thin shape, as places close enough to each other to see where it turns.

use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Curve, Line, Point, Segment, Vec2};
use crate::pattern::signed_area;
use kurbo::ParamCurveNearest as _;

/// Chords between places turn by no more than about this, in radians (9°).
const STEP_TURN: f64 = 0.15;

/// Chords lie this close to the curve, in mm.
const CHORD_MM: f64 = 0.003;

/// At its end a line turns back by at least this, in radians (170°).
const END_TURN: f64 = 2.967;

/// The longest end in widths: half a circle (1.57) and some.
const LONGEST_END: f64 = 1.75;

/// Half a circle turns by twice its length over its width; chords of it by this part of half of that at least.
const ROUND: f64 = 0.7;

/// The same where it begins, beside a straight side.
const ROUND_BEGINS: f64 = 0.2;

/// A place on the way round: the segment, the parameter on it.
pub(super) type Spot = (usize, f64);

/// A place with what is known there.
struct Node {
    at: Point,
    spot: Spot,
    /// How far it is from the first, in mm.
    along: f64,
    /// How the chords turn here, in radians, to the left positive.
    turn: f64,
}

/// The way round a shape with its inside on the left, or a side of it.
pub(super) struct Rim {
    segments: Vec<Segment>,
    nodes: Vec<Node>,
    closed: bool,
    length: f64,
}

impl Rim {
    /// Counter-clockwise, or clockwise for a hole.
    pub(super) fn of(curve: &Curve, outer: bool) -> Self {
        let left = signed_area(&curve.chorded(CHORD_MM)) > 0.0;
        let curve = if left == outer { curve.clone() } else { curve.reversed() };
        Self::along(without_specks(curve.segments()), true)
    }

    fn along(segments: Vec<Segment>, closed: bool) -> Self {
        let mut nodes: Vec<Node> = Vec::new();
        let mut add = |at: Point, spot: Spot| {
            let before = nodes.last().map(|node| (node.at, node.along));
            let along = before.map_or(0.0, |(before, along)| along + before.distance(at));
            nodes.push(Node { at, spot, along, turn: 0.0 });
        };
        for (index, segment) in segments.iter().enumerate() {
            let steps = steps_of(segment);
            let mut step = 0.0;
            while step < steps {
                add(segment.eval(step / steps), (index, step / steps));
                step += 1.0;
            }
        }
        if let Some(last) = segments.last() {
            add(last.end(), (segments.len() - 1, 1.0));
        }
        let length = nodes.last().map_or(0.0, |node| node.along);
        if closed {
            nodes.pop();
        }
        let mut rim = Self { segments, nodes, closed, length };
        let turns: Vec<f64> = (0..rim.nodes.len()).map(|index| rim.turn_at(index)).collect();
        rim.nodes.iter_mut().zip(turns).for_each(|(node, turn)| node.turn = turn);
        rim
    }

    fn turn_at(&self, index: usize) -> f64 {
        let count = self.nodes.len();
        if !self.closed && (index == 0 || index + 1 == count) {
            return 0.0;
        }
        let at = self.nodes[index].at;
        let (before, after) =
            (self.nodes[(index + count - 1) % count].at, self.nodes[(index + 1) % count].at);
        let (t, u) = (at - before, after - at);
        t.cross(u).atan2(t.dot(u))
    }

    /// The two stretches where a line of about this width ends: from where to where it turns back.
    pub(super) fn ends(&self, width: f64) -> Option<[(Spot, Spot); 2]> {
        let count = self.nodes.len();
        let along = |index: usize| {
            let rounds = if index >= count { self.length } else { 0.0 };
            self.nodes[index % count].along + rounds
        };
        let turn = |index: usize| self.nodes[index % count].turn;
        let mut found: Vec<(usize, usize)> = Vec::new();
        for from in 0..count {
            let mut turned = 0.0;
            for to in from..from + count {
                if along(to) - along(from) > LONGEST_END * width {
                    break;
                }
                turned += turn(to);
                if turned >= END_TURN {
                    found.push((from, to));
                    break;
                }
            }
        }
        // A round end goes on where it bends as half a circle does; where it begins, half as much.
        let bends = |index: usize, chord: f64, part: f64| turn(index) >= part * chord / width;
        let grown = |(mut from, mut to): (usize, usize)| {
            let room =
                |from: usize, to: usize| to - from < count && along(to) - along(from) <= LONGEST_END * width;
            let back =
                |from: usize, part: f64| from > 0 && bends(from - 1, along(from) - along(from - 1), part);
            let on = |to: usize, part: f64| bends(to + 1, along(to + 1) - along(to), part);
            while back(from, ROUND) && room(from - 1, to) {
                from -= 1;
            }
            while on(to, ROUND) && room(from, to + 1) {
                to += 1;
            }
            if back(from, ROUND_BEGINS) && room(from - 1, to) {
                from -= 1;
            }
            if on(to, ROUND_BEGINS) && room(from, to + 1) {
                to += 1;
            }
            (from, to)
        };
        let span = |&(from, to): &(usize, usize)| along(to) - along(from);
        found.sort_by(|a, b| span(a).total_cmp(&span(b)));
        let mut ends: Vec<(usize, usize)> = Vec::new();
        for one in found {
            let middle = 0.5 * (along(one.0) + along(one.1));
            let far = ends.iter().all(|end| {
                let away = (0.5 * (along(end.0) + along(end.1)) - middle).abs() % self.length;
                away.min(self.length - away) > LONGEST_END * width
            });
            if far {
                ends.push(one);
            }
        }
        let [one, two] = ends[..] else { return None };
        let spots = |(from, to): (usize, usize)| (self.nodes[from % count].spot, self.nodes[to % count].spot);
        Some([spots(grown(one)), spots(grown(two))])
    }

    /// The way from one place to another, over the start where it must.
    pub(super) fn part(&self, from: Spot, to: Spot) -> Option<Self> {
        let segments = self.between(from, to);
        (!segments.is_empty()).then(|| Self::along(segments, false))
    }

    /// Segments from one place to another, over the start where they must.
    pub(super) fn between(&self, from: Spot, to: Spot) -> Vec<Segment> {
        const NOTHING: f64 = 1e-9;
        let piece = |index: usize, t0: f64, t1: f64| {
            let segment = self.segments[index];
            (t1 - t0 > NOTHING).then(|| if t1 - t0 >= 1.0 { segment } else { segment.subsegment(t0, t1) })
        };
        if from.0 == to.0 && from.1 <= to.1 {
            return piece(from.0, from.1, to.1).into_iter().collect();
        }
        let count = self.segments.len();
        let mut found: Vec<Segment> = piece(from.0, from.1, 1.0).into_iter().collect();
        let mut index = (from.0 + 1) % count;
        while index != to.0 {
            found.push(self.segments[index]);
            index = (index + 1) % count;
        }
        found.extend(piece(to.0, 0.0, to.1));
        found
    }

    /// The whole way.
    pub(super) fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// The order of two places.
    pub(super) fn is_before(one: Spot, two: Spot) -> bool {
        one.0 < two.0 || (one.0 == two.0 && one.1 < two.1)
    }

    /// Corners that turn to the right by more than `least` radians: the place, its point, the directions before and after.
    pub(super) fn right_corners(&self, least: f64) -> Vec<(Spot, Point, Vec2, Vec2)> {
        let count = self.segments.len();
        let corner = |index: usize| {
            if index == 0 && !self.closed {
                return None;
            }
            let before = self.segments[(index + count - 1) % count].tangent(1.0);
            let after = self.segments[index].tangent(0.0);
            let turn = before.cross(after).atan2(before.dot(after));
            (turn < -least).then(|| ((index, 0.0), self.segments[index].start(), before, after))
        };
        (0..count).filter_map(corner).collect()
    }

    /// The place nearest to a point.
    pub(super) fn nearest(&self, point: Point) -> Option<Spot> {
        let places = self.segments.iter().enumerate().map(|(index, segment)| {
            let (t, off) = segment.nearest(point);
            (off, (index, t))
        });
        places.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, spot)| spot)
    }

    /// The chords between its places.
    pub(super) fn chords(&self) -> Vec<Line> {
        let count = self.nodes.len();
        let chords = if self.closed { count } else { count.saturating_sub(1) };
        (0..chords).map(|index| Line::new(self.nodes[index].at, self.nodes[(index + 1) % count].at)).collect()
    }
}

/// The segments without those that are too short to have a direction; their neighbours meet instead.
fn without_specks(segments: &[Segment]) -> Vec<Segment> {
    let mut kept: Vec<Segment> = Vec::new();
    let whole = segments.iter().filter(|segment| segment.length() > JOIN_MM);
    for segment in whole {
        let before = kept.last().map(Segment::end);
        kept.push(match (*segment, before) {
            (Segment::Line(line), Some(before)) => Segment::line(before, line.p1),
            (Segment::Cubic(mut cubic), Some(before)) => {
                cubic.p0 = before;
                Segment::Cubic(cubic)
            }
            (other, _) => other,
        });
    }
    // The last meets the first.
    if let [Segment::Line(first), .., last] = &mut kept[..] {
        first.p0 = last.end();
    }
    kept
}

/// How far a place lies from the nearest of chords, in mm.
pub(super) fn away(chords: &[Line], place: Point) -> f64 {
    let squares = chords.iter().map(|chord| chord.nearest(place, 0.0).distance_sq);
    squares.fold(f64::INFINITY, f64::min).sqrt()
}

/// Into how many chords a segment is parted.
fn steps_of(segment: &Segment) -> f64 {
    if matches!(segment, Segment::Line(_)) {
        return 1.0;
    }
    let turn = match segment {
        Segment::Cubic(c) => {
            // What the control polygon turns by, either way: no less than the curve itself.
            let legs = [c.p1 - c.p0, c.p2 - c.p1, c.p3 - c.p2];
            let between = |a: Vec2, b: Vec2| a.cross(b).atan2(a.dot(b)).abs();
            between(legs[0], legs[1]) + between(legs[1], legs[2])
        }
        other => other.turn().abs(),
    };
    let by_chord = (turn * segment.length() / (8.0 * CHORD_MM)).sqrt();
    (1.5 * by_chord).max(turn / STEP_TURN).ceil().clamp(2.0, 400.0)
}
