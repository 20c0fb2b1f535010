//! Where curves meet.
//!
//! Both curves are flattened, chords with overlapping boxes are intersected, and each hit is sharpened on
//! the true curves by Newton steps. Enough for outlines of a few hundred chords; not meant for thousands of
//! curves at once.

use super::tolerance::{FLATTEN_COARSE_MM, PARALLEL_SINE};
use super::{Curve, Segment};
use kurbo::{ParamCurve as _, Point, Rect, Vec2};

/// A meeting of two curves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Arc length along the first curve, in mm.
    pub on_first: f64,
    /// Arc length along the second curve, in mm.
    pub on_second: f64,
    /// The place.
    pub at: Point,
}

/// Rounds of Newton's method; each doubles the digits, and a chord starts within a hundredth.
const SHARPENING_ROUNDS: usize = 6;

/// How many chords, evenly spaced by parameter, stay within `tolerance` mm of a segment.
fn chord_count(segment: &Segment, tolerance: f64) -> f64 {
    match segment {
        Segment::Line(_) => 1.0,
        // Sagitta of an arc over angle α is r·α²/8.
        Segment::Arc(arc) => {
            let turn = arc.sweep.abs().max(0.05);
            (turn * arc.length() / (8.0 * tolerance)).sqrt().ceil().clamp(2.0, 256.0)
        }
        // n ≥ √(d(d − 1)/8 · M/ε) chords keep a Bézier of degree d within ε, M being the largest second difference
        // of its control points (Wang, Shen and Zhu, cited in Goldman, Pyramid Algorithms, 2003; from memory).
        Segment::Cubic(c) => {
            let bends = [
                c.p0.to_vec2() - 2.0 * c.p1.to_vec2() + c.p2.to_vec2(),
                c.p1.to_vec2() - 2.0 * c.p2.to_vec2() + c.p3.to_vec2(),
            ];
            let largest = bends[0].hypot().max(bends[1].hypot());
            (0.75 * largest / tolerance).sqrt().ceil().clamp(2.0, 256.0)
        }
    }
}

/// Chords of one segment between parameters.
fn chords(segment: &Segment) -> Vec<(f64, f64, Point, Point)> {
    let steps = chord_count(segment, FLATTEN_COARSE_MM);
    let mut chords = Vec::new();
    let mut step = 0.0;
    while step < steps {
        let (t0, t1) = (step / steps, (step + 1.0) / steps);
        chords.push((t0, t1, segment.eval(t0), segment.eval(t1)));
        step += 1.0;
    }
    chords
}

impl Curve {
    /// Corner points of a polyline within `tolerance` mm, both ends included: quicker than [`Curve::flatten`], with more
    /// points than needed.
    #[must_use]
    pub fn chorded(&self, tolerance: f64) -> Vec<Point> {
        let mut points = vec![self.start()];
        for segment in self.segments() {
            let steps = chord_count(segment, tolerance);
            let mut step = 1.0;
            while step <= steps {
                points.push(segment.eval(step / steps));
                step += 1.0;
            }
        }
        points
    }
}

/// All meetings of two curves, in the order of the first. Curves that run along each other meet in no single
/// place and give none there.
#[must_use]
pub fn crossings(first: &Curve, second: &Curve) -> Vec<Crossing> {
    let mut found: Vec<Crossing> = Vec::new();
    let boxes: Vec<Rect> = second.segments().iter().map(room).collect();
    for (at_a, a) in first.segments().iter().enumerate() {
        let box_a = room(a).inflate(FLATTEN_COARSE_MM, FLATTEN_COARSE_MM);
        for (at_b, b) in second.segments().iter().enumerate() {
            if !overlap(box_a, boxes[at_b]) {
                continue;
            }
            for (t, s) in segment_crossings(a, b) {
                // Measured only here: most pairs of segments never meet.
                found.push(Crossing {
                    on_first: length_before(first, at_a) + a.subsegment(0.0, t).length(),
                    on_second: length_before(second, at_b) + b.subsegment(0.0, s).length(),
                    at: a.eval(t),
                });
            }
        }
    }
    found.sort_by(|a, b| a.on_first.total_cmp(&b.on_first));
    found.dedup_by(|a, b| a.at.distance(b.at) < super::tolerance::JOIN_MM * 0.1);
    found
}

/// Length of a curve before one of its segments, in mm.
fn length_before(curve: &Curve, segment: usize) -> f64 {
    curve.segments().iter().take(segment).map(Segment::length).sum()
}

/// An upright rectangle that holds the segment, seldom much larger than needed and quickly found.
fn room(segment: &Segment) -> Rect {
    match segment {
        Segment::Line(line) => Rect::from_points(line.p0, line.p1),
        // A Bézier lies within the hull of its control points.
        Segment::Cubic(c) => Rect::from_points(c.p0, c.p1).union(Rect::from_points(c.p2, c.p3)),
        // Up to half a turn an arc is nowhere further from its chord than at its middle.
        Segment::Arc(arc) if arc.sweep.abs() <= std::f64::consts::PI => {
            let depth = arc.radius * (1.0 - (0.5 * arc.sweep).cos());
            Rect::from_points(segment.start(), segment.end()).inflate(depth, depth)
        }
        Segment::Arc(arc) => Rect::from_center_size(arc.center, (2.0 * arc.radius, 2.0 * arc.radius)),
    }
}

fn overlap(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

fn segment_crossings(a: &Segment, b: &Segment) -> Vec<(f64, f64)> {
    let chords_b = chords(b);
    let mut found: Vec<(f64, f64)> = Vec::new();
    for (t0, t1, p, q) in chords(a) {
        for &(s0, s1, r, s) in &chords_b {
            let Some((u, v)) = meet(p, q, r, s) else { continue };
            // Chords may miss by their sagitta where the curves meet near a chord's end, the further the flatter
            // they cross: look that far past.
            let (d, e) = (q - p, s - r);
            let sine = d.cross(e).abs() / (d.hypot() * e.hypot());
            let reach = |length: f64| (2.0 * FLATTEN_COARSE_MM / (sine * length)).clamp(0.05, 1.0);
            let (past_u, past_v) = (reach(d.hypot()), reach(e.hypot()));
            if u < -past_u || u > 1.0 + past_u || v < -past_v || v > 1.0 + past_v {
                continue;
            }
            if let Some(place) = sharpen(a, b, t0 + u * (t1 - t0), s0 + v * (s1 - s0))
                && !found
                    .iter()
                    .any(|known| a.eval(known.0).distance(a.eval(place.0)) < super::tolerance::JOIN_MM * 0.1)
            {
                found.push(place);
            }
        }
    }
    found
}

/// Parameters at which two lines through chords meet; `None` when parallel.
fn meet(p: Point, q: Point, r: Point, s: Point) -> Option<(f64, f64)> {
    let (d, e) = (q - p, s - r);
    let cross = d.cross(e);
    if cross.abs() <= PARALLEL_SINE * d.hypot() * e.hypot() {
        return None;
    }
    let w = r - p;
    Some((w.cross(e) / cross, w.cross(d) / cross))
}

fn sharpen(a: &Segment, b: &Segment, mut t: f64, mut s: f64) -> Option<(f64, f64)> {
    for _ in 0..SHARPENING_ROUNDS {
        let gap: Vec2 = b.eval(s) - a.eval(t);
        let (da, db) = (a.deriv(t), b.deriv(s));
        let cross = da.cross(db);
        if cross.abs() <= PARALLEL_SINE * da.hypot() * db.hypot() {
            return None;
        }
        t += gap.cross(db) / cross;
        s += gap.cross(da) / cross;
    }
    let slack = 1e-9;
    let inside = |x: f64| (-slack..=1.0 + slack).contains(&x);
    let (t_in, s_in) = (t.clamp(0.0, 1.0), s.clamp(0.0, 1.0));
    (inside(t) && inside(s) && a.eval(t_in).distance(b.eval(s_in)) < 1e-6).then_some((t_in, s_in))
}

/// The first place where a closed polygon crosses or touches itself, other than where neighbours join.
///
/// The polygon is given by its corners, the last joined to the first. Chords are swept from left to right;
/// cost grows with how many overlap in x.
#[must_use]
pub fn self_crossing(polygon: &[Point]) -> Option<Point> {
    let count = polygon.len();
    if count < 4 {
        return None;
    }
    let chord = |index: usize| kurbo::Line::new(polygon[index], polygon[(index + 1) % count]);
    let spans: Vec<(f64, f64)> = (0..count)
        .map(|index| {
            let line = chord(index);
            (line.p0.x.min(line.p1.x), line.p0.x.max(line.p1.x))
        })
        .collect();
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|&a, &b| spans[a].0.total_cmp(&spans[b].0));
    let mut open: Vec<usize> = Vec::new();
    for &index in &order {
        let line = chord(index);
        let from = spans[index].0;
        open.retain(|&other| spans[other].1 >= from);
        for &other in &open {
            let neighbours = (index + 1) % count == other || (other + 1) % count == index;
            let rival = chord(other);
            if neighbours || rival.p0 == rival.p1 || line.p0 == line.p1 {
                continue;
            }
            if let Some((u, v)) = meet(line.p0, line.p1, rival.p0, rival.p1)
                && (0.0..=1.0).contains(&u)
                && (0.0..=1.0).contains(&v)
            {
                return Some(line.eval(u));
            }
        }
        open.push(index);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_crosses_a_circle_where_pythagoras_says() {
        let arc = Curve::arc(Point::ORIGIN, Point::new(100.0, 0.0), std::f64::consts::PI);
        let line = Curve::line(Point::new(-200.0, 60.0), Point::new(200.0, 60.0));
        let found = crossings(&line, &arc);
        assert_eq!(found.len(), 2);
        assert!((found[0].at - Point::new(-80.0, 60.0)).hypot() < 1e-9);
        assert!((found[1].at - Point::new(80.0, 60.0)).hypot() < 1e-9);
    }

    #[test]
    fn curves_that_only_share_an_end_meet_there_once() {
        let corner = Point::new(50.0, 0.0);
        let found =
            crossings(&Curve::line(Point::ORIGIN, corner), &Curve::line(corner, Point::new(50.0, 80.0)));
        assert_eq!(found.len(), 1);
        assert!((found[0].on_first - 50.0).abs() < 1e-9 && found[0].on_second.abs() < 1e-9);
    }

    #[test]
    fn a_bow_tie_crosses_itself_in_its_middle_and_a_square_does_not() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)].map(Point::from);
        assert_eq!(self_crossing(&square), None);
        let bow_tie = [square[0], square[2], square[1], square[3]];
        assert!((self_crossing(&bow_tie).unwrap() - Point::new(5.0, 5.0)).hypot() < 1e-12);
    }

    #[test]
    fn curves_that_cross_flatly_at_a_joint_are_found_to_cross() {
        // Parallels of an armhole on both sides of a bend; they cross within a chord's sagitta of a joint.
        let cubic = |p: [(f64, f64); 4]| {
            let [a, b, c, d] = p.map(Point::from);
            Segment::Cubic(kurbo::CubicBez::new(a, b, c, d))
        };
        let lower = cubic([
            (178.328584, 253.201937),
            (176.620394, 255.483485),
            (174.990436, 257.969341),
            (173.437958, 260.641348),
        ]);
        let joint = (174.446107, 258.957971);
        let upper = [
            cubic([(174.946287, 257.028133), (174.773914, 257.664381), (174.607203, 258.307716), joint]),
            cubic([joint, (173.496946, 262.789225), (172.743844, 266.854527), (172.177918, 271.119517)]),
        ];
        let found = crossings(&Curve::new(vec![lower]).unwrap(), &Curve::new(upper.to_vec()).unwrap());
        assert_eq!(found.len(), 1);
        assert!(found[0].at.distance(Point::from(joint)) < 0.05);
    }
}
