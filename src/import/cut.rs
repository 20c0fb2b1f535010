//! Lines cut at a rectangle, or at a region of any shape ([`Region`]).

mod region;

pub(super) use region::{CHORD_MM, Region, Work, cut_at_regions};

use super::drawing::Stroke;
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Curve, Point, Rect, Segment};
use kurbo::common::{solve_cubic, solve_quadratic};

/// Parameters closer than this to an end of a segment, or to each other, cut nothing.
const SAME_PARAMETER: f64 = 1e-9;

/// What lies in a rectangle of a line: nothing, the line itself, or parts of it in the order of travel. A line
/// along the edge lies in it.
pub(super) fn cut_at(stroke: &Stroke, window: Rect) -> Vec<Stroke> {
    let bounds = stroke.curve.bounding_box();
    let slack = window.inflate(JOIN_MM, JOIN_MM);
    if slack.contains_rect(bounds) {
        return vec![stroke.clone()];
    }
    if bounds.x1 < slack.x0 || bounds.x0 > slack.x1 || bounds.y1 < slack.y0 || bounds.y0 > slack.y1 {
        return Vec::new();
    }
    let mut runs = Runs::default();
    for (index, segment) in stroke.curve.segments().iter().enumerate() {
        for pair in crossings(segment, window).windows(2) {
            let inside = slack.contains(segment.eval(0.5 * (pair[0] + pair[1])));
            runs.add(index, (pair[0], pair[1]), inside);
        }
    }
    runs.strokes(stroke)
}

/// What is kept of a line, put together from its start to its end.
#[derive(Default)]
struct Runs {
    /// Each run as parts of segments: the segment's number and the parameters at both ends.
    runs: Vec<Vec<(usize, f64, f64)>>,
    /// Whether the last part was kept.
    joined: bool,
    first_inside: bool,
    /// Whether any part was not kept.
    lost: bool,
}

impl Runs {
    /// The next part, which begins where the last ended.
    fn add(&mut self, index: usize, (from, to): (f64, f64), kept: bool) {
        if !kept {
            self.joined = false;
            self.lost = true;
            return;
        }
        self.first_inside |= self.runs.is_empty() && !self.lost;
        match self.runs.last_mut().filter(|_| self.joined) {
            Some(run) => match run.last_mut().filter(|(last, ..)| *last == index) {
                Some(part) => part.2 = to,
                None => run.push((index, from, to)),
            },
            None => self.runs.push(vec![(index, from, to)]),
        }
        self.joined = true;
    }

    /// The runs as lines; the line itself where nothing was lost. Runs too short to be lines are left out.
    fn strokes(self, stroke: &Stroke) -> Vec<Stroke> {
        if !self.lost {
            return vec![stroke.clone()];
        }
        let mut runs = self.runs;
        // A closed line that was entered in its middle goes on over its start.
        if stroke.closed && self.first_inside && self.joined && runs.len() > 1 {
            let first = runs.remove(0);
            if let Some(last) = runs.last_mut() {
                last.extend(first);
            }
        }
        let segments = stroke.curve.segments();
        let piece = |(index, from, to): (usize, f64, f64)| {
            let segment = segments.get(index)?;
            Some(if to - from >= 1.0 { *segment } else { segment.subsegment(from, to) })
        };
        let part = |run: Vec<(usize, f64, f64)>| {
            let curve = Curve::new(run.into_iter().filter_map(piece).collect()).ok()?;
            (curve.length() > JOIN_MM).then(|| Stroke { curve, closed: false, ..stroke.clone() })
        };
        runs.into_iter().filter_map(part).collect()
    }
}

/// Parameters from 0 to 1, both included, where a segment crosses the sides of a rectangle.
fn crossings(segment: &Segment, window: Rect) -> Vec<f64> {
    let mut cuts = Vec::new();
    for (low, high, along) in
        [(window.x0, window.x1, (|p: Point| p.x) as fn(Point) -> f64), (window.y0, window.y1, |p: Point| p.y)]
    {
        for side in [low, high] {
            match segment {
                Segment::Line(line) => {
                    let (from, to) = (along(line.p0) - side, along(line.p1) - side);
                    if (from < 0.0) != (to < 0.0) {
                        cuts.push(from / (from - to));
                    }
                }
                Segment::Cubic(c) => {
                    let [p0, p1, p2, p3] = [c.p0, c.p1, c.p2, c.p3].map(|point| along(point) - side);
                    let (c1, c2) = (3.0 * (p1 - p0), 3.0 * (p0 - 2.0 * p1 + p2));
                    cuts.extend(solve_cubic(p0, c1, c2, p3 - 3.0 * p2 + 3.0 * p1 - p0));
                }
                Segment::Arc(arc) => {
                    // The angles at which the circle meets the side, as parameters of the arc.
                    let off = side - along(arc.center);
                    let half = solve_quadratic(off * off - arc.radius * arc.radius, 0.0, 1.0);
                    for across in half {
                        let point = if along(Point::new(1.0, 0.0)) > 0.5 {
                            Point::new(side, arc.center.y + across)
                        } else {
                            Point::new(arc.center.x + across, side)
                        };
                        cuts.push(arc.parameter_towards(point));
                    }
                }
            }
        }
    }
    tidy(&mut cuts);
    cuts
}

/// Parameters in order, those of both ends among them and none of them twice.
fn tidy(cuts: &mut Vec<f64>) {
    cuts.extend([0.0, 1.0]);
    cuts.retain(|t| (0.0..=1.0).contains(t));
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|b, a| *b - *a <= SAME_PARAMETER);
    // The ends stay whole.
    if let Some(last) = cuts.last_mut() {
        *last = 1.0;
    }
}

#[cfg(test)]
mod tests {
    use super::super::drawing::{Arrows, Look};
    use super::*;
    use proptest::prelude::*;

    pub(super) fn stroke(curve: Curve, closed: bool) -> Stroke {
        let (name, tags, part) = (None, String::new(), None);
        Stroke { name, tags, part, curve, closed, look: Look::default(), arrows: Arrows::default() }
    }

    #[test]
    fn a_square_over_a_corner_leaves_one_bent_line() {
        let corners = [(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0), (-5.0, -5.0)].map(Point::from);
        let square = stroke(Curve::polyline(&corners).unwrap(), true);
        let parts = cut_at(&square, Rect::new(0.0, 0.0, 20.0, 20.0));
        assert_eq!(parts.len(), 1);
        let told = (parts[0].curve.start(), parts[0].curve.end(), parts[0].closed);
        assert_eq!(told, (Point::new(5.0, 0.0), Point::new(0.0, 5.0), false));
        // The start of the square lies inside: the two halves are one line.
        let parts = cut_at(&square, Rect::new(-20.0, -20.0, 0.0, 0.0));
        assert_eq!(parts.len(), 1);
        assert!((parts[0].curve.length() - 10.0).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn the_parts_on_both_sides_add_up(at in proptest::array::uniform8(-50.0..50.0_f64), side in -40.0..40.0_f64) {
            let p = |k: usize| Point::new(at[2 * k], at[2 * k + 1]);
            let whole = stroke(Curve::cubic(p(0), p(1), p(2), p(3)), false);
            let halves = [Rect::new(-99.0, -99.0, side, 99.0), Rect::new(side, -99.0, 99.0, 99.0)];
            let parts = halves.iter().flat_map(|half| cut_at(&whole, *half));
            let sum: f64 = parts.map(|part| part.curve.length()).sum();
            // What runs along the edge lies in both halves.
            const STEPS: u32 = 4000;
            let curve = &whole.curve;
            let points: Vec<Point> =
                (0..=STEPS).map(|k| curve.point_at(curve.length() * f64::from(k) / f64::from(STEPS))).collect();
            let along = |pair: &&[Point]| pair.iter().any(|point| (point.x - side).abs() <= JOIN_MM);
            let twice: f64 = points.windows(2).filter(along).map(|pair| pair[0].distance(pair[1])).sum();
            // What is too short to be a line is left out on each side of each crossing.
            let off = sum - curve.length();
            prop_assert!(off > -8.0 * JOIN_MM && off < 8.0 * JOIN_MM + twice, "{off}, {twice} along the edge");
        }
    }
}
