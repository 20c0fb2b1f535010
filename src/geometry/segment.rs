//! One stretch of a curve: a line, a cubic or an arc.

use super::CircularArc;
use super::tolerance::ARC_LENGTH_MM;
use kurbo::{
    Affine, CubicBez, Line, ParamCurve as _, ParamCurveArclen as _, ParamCurveDeriv as _,
    ParamCurveNearest as _, PathSeg, Point, Rect, Shape as _, Vec2,
};

/// One smooth stretch of a curve, with a parameter `t` from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// A straight line.
    Line(Line),
    /// A cubic Bézier.
    Cubic(CubicBez),
    /// A circular arc.
    Arc(CircularArc),
}

/// An arc is cut into no more pieces. One of 100 m radius takes some 140 for a thousandth of a micron; one whose radius
/// overflowed would take pieces without end.
const MOST_PIECES: f64 = 1000.0;

impl Segment {
    /// The straight segment between two points.
    #[must_use]
    pub fn line(from: Point, to: Point) -> Self {
        Self::Line(Line::new(from, to))
    }

    /// The point at `t`.
    #[must_use]
    pub fn eval(&self, t: f64) -> Point {
        match self {
            Self::Line(line) => line.eval(t),
            Self::Cubic(cubic) => cubic.eval(t),
            Self::Arc(arc) => arc.eval(t),
        }
    }

    /// Derivative by `t`, in mm.
    #[must_use]
    pub fn deriv(&self, t: f64) -> Vec2 {
        match self {
            Self::Line(line) => line.p1 - line.p0,
            Self::Cubic(cubic) => cubic.deriv().eval(t).to_vec2(),
            Self::Arc(arc) => arc.deriv(t),
        }
    }

    /// Unit vector of travel at `t`. Where a cubic's control point lies on its end, the direction is taken a
    /// little further in; a segment of no length answers the x axis.
    #[must_use]
    pub fn tangent(&self, t: f64) -> Vec2 {
        let inward = if t < 0.5 { 1e-6 } else { -1e-6 };
        for step in [0.0, 1.0, 1e3] {
            let velocity = self.deriv(t + step * inward);
            let speed = velocity.hypot();
            if speed > 1e-7 {
                return velocity / speed;
            }
        }
        let chord = self.end() - self.start();
        if chord.hypot() > 0.0 { chord.normalize() } else { Vec2::new(1.0, 0.0) }
    }

    /// Signed curvature at `t`, in 1/mm: positive bends to the left of travel (y up). Nothing where a cubic
    /// stands still.
    #[must_use]
    pub fn curvature(&self, t: f64) -> f64 {
        match self {
            Self::Line(_) => 0.0,
            Self::Arc(arc) => arc.sweep.signum() / arc.radius,
            Self::Cubic(cubic) => {
                let velocity = self.deriv(t);
                let change = cubic.deriv().deriv().eval(t).to_vec2();
                let speed = velocity.hypot();
                if speed > 1e-7 { velocity.cross(change) / (speed * speed * speed) } else { 0.0 }
            }
        }
    }

    /// First point.
    #[must_use]
    pub fn start(&self) -> Point {
        self.eval(0.0)
    }

    /// Last point.
    #[must_use]
    pub fn end(&self) -> Point {
        self.eval(1.0)
    }

    /// Arc length in mm, within [`ARC_LENGTH_MM`].
    #[must_use]
    pub fn length(&self) -> f64 {
        match self {
            Self::Line(line) => line.length(),
            Self::Cubic(cubic) => cubic.arclen(ARC_LENGTH_MM),
            Self::Arc(arc) => arc.length(),
        }
    }

    /// The parameter at an arc length from the start, clamped to the segment.
    #[must_use]
    pub fn parameter_at(&self, distance: f64) -> f64 {
        self.parameter_within(distance, self.length())
    }

    /// The same, where the segment's arc length is known already: measuring it is most of the work.
    #[must_use]
    pub fn parameter_within(&self, distance: f64, length: f64) -> f64 {
        if distance <= 0.0 || length <= 0.0 {
            return 0.0;
        }
        if distance >= length {
            return 1.0;
        }
        match self {
            Self::Line(_) | Self::Arc(_) => distance / length,
            Self::Cubic(cubic) => cubic_parameter(*cubic, distance, length),
        }
    }

    /// The part from `t0` to `t1`.
    #[must_use]
    pub fn subsegment(&self, t0: f64, t1: f64) -> Self {
        match self {
            Self::Line(line) => Self::Line(line.subsegment(t0..t1)),
            Self::Cubic(cubic) => Self::Cubic(cubic.subsegment(t0..t1)),
            Self::Arc(arc) => Self::Arc(arc.subsegment(t0, t1)),
        }
    }

    /// The same points, travelled the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        match self {
            Self::Line(line) => Self::Line(line.reversed()),
            Self::Cubic(c) => Self::Cubic(CubicBez::new(c.p3, c.p2, c.p1, c.p0)),
            Self::Arc(arc) => Self::Arc(arc.reversed()),
        }
    }

    /// The segment under a rigid motion (an arc under a stretch would not stay one; see
    /// [`CircularArc::transformed`]).
    #[must_use]
    pub fn transformed(&self, motion: Affine) -> Self {
        match self {
            Self::Line(line) => Self::Line(motion * *line),
            Self::Cubic(cubic) => Self::Cubic(motion * *cubic),
            Self::Arc(arc) => Self::Arc(arc.transformed(motion)),
        }
    }

    /// The closest place to `point`: its parameter and its distance in mm.
    #[must_use]
    pub fn nearest(&self, point: Point) -> (f64, f64) {
        match self {
            Self::Line(line) => {
                let nearest = line.nearest(point, ARC_LENGTH_MM);
                (nearest.t, nearest.distance_sq.sqrt())
            }
            Self::Cubic(cubic) => {
                let nearest = cubic.nearest(point, ARC_LENGTH_MM);
                (nearest.t, nearest.distance_sq.sqrt())
            }
            Self::Arc(arc) => {
                let t = arc.parameter_towards(point).clamp(0.0, 1.0);
                // The far side of the circle clamps to one end; the other end may be closer.
                [t, 0.0, 1.0]
                    .map(|t| (t, arc.eval(t).distance(point)))
                    .into_iter()
                    .min_by(|a, b| a.1.total_cmp(&b.1))
                    .unwrap_or((0.0, f64::INFINITY))
            }
        }
    }

    /// Signed total turn of the tangent, in radians; positive is counter-clockwise (y up).
    ///
    /// A cubic is sampled finely enough that no step turns by more than half a turn.
    #[must_use]
    pub fn turn(&self) -> f64 {
        match self {
            Self::Line(_) => 0.0,
            Self::Arc(arc) => arc.sweep,
            Self::Cubic(_) => {
                const STEPS: u32 = 64;
                let mut before = self.tangent(0.0);
                (1..=STEPS)
                    .map(|step| {
                        let now = self.tangent(f64::from(step) / f64::from(STEPS));
                        let turned = before.cross(now).atan2(before.dot(now));
                        before = now;
                        turned
                    })
                    .sum()
            }
        }
    }

    /// The segment as cubics and lines, arcs within `accuracy` mm.
    #[must_use]
    pub fn path_segments(&self, accuracy: f64) -> Vec<PathSeg> {
        match self {
            Self::Line(line) => vec![PathSeg::Line(*line)],
            Self::Cubic(cubic) => vec![PathSeg::Cubic(*cubic)],
            Self::Arc(arc) => {
                // A cubic of angle α errs by about r·(2/27)·(α/2)⁶ (Goldapp, Computer Aided Geometric Design
                // 8 (1991), 227–238: leading term 4/27·(α/4)⁶ for the end-tangent fit; the constant here is
                // the larger of the two and only makes more pieces).
                let largest_angle = 2.0 * (13.5 * accuracy / arc.radius.max(accuracy)).powf(1.0 / 6.0);
                let asked = (arc.sweep.abs() / largest_angle.min(1.5)).ceil();
                // What is no number is one piece, and refused by whoever reads it.
                let pieces = if asked >= 1.0 { asked.min(MOST_PIECES) } else { 1.0 };
                let handle = 4.0 / 3.0 * (arc.sweep / pieces / 4.0).tan();
                let mut cubics = Vec::new();
                let mut piece = 0.0;
                while piece < pieces {
                    let (t0, t1) = (piece / pieces, (piece + 1.0) / pieces);
                    let (p0, p3) = (arc.eval(t0), arc.eval(t1));
                    let spoke = |p: Point| handle * Vec2::new(-(p - arc.center).y, (p - arc.center).x);
                    cubics.push(PathSeg::Cubic(CubicBez::new(p0, p0 + spoke(p0), p3 - spoke(p3), p3)));
                    piece += 1.0;
                }
                cubics
            }
        }
    }

    /// Smallest upright rectangle around the segment.
    #[must_use]
    pub fn bounding_box(&self) -> Rect {
        match self {
            Self::Line(line) => line.bounding_box(),
            Self::Cubic(cubic) => cubic.bounding_box(),
            Self::Arc(_) => {
                let boxes = self.path_segments(super::tolerance::FIT_MM);
                boxes.iter().map(PathSeg::bounding_box).reduce(|a, b| a.union(b)).unwrap_or_default()
            }
        }
    }

    /// Whether every coordinate is a finite number.
    #[must_use]
    pub fn is_finite(&self) -> bool {
        match self {
            Self::Line(line) => line.is_finite(),
            Self::Cubic(cubic) => cubic.is_finite(),
            Self::Arc(arc) => {
                arc.center.is_finite()
                    && arc.radius.is_finite()
                    && arc.start_angle.is_finite()
                    && arc.sweep.is_finite()
            }
        }
    }
}

/// The parameter of a cubic at an arc length from its start, within [`ARC_LENGTH_MM`].
///
/// Newton's method on the arc length, whose derivative is the speed, kept between the ends of a bracket that halves
/// where a step would leave it. Each step measures only from the parameter before: kurbo's own search measures four
/// times as much, and this is what most of an edit's time goes into.
fn cubic_parameter(cubic: CubicBez, distance: f64, length: f64) -> f64 {
    /// Halving alone comes within a double's digits by then.
    const MOST_STEPS: u32 = 64;
    let velocity = cubic.deriv();
    let (mut low, mut high) = (0.0, 1.0);
    let (mut t, mut passed) = (distance / length, 0.0);
    let mut from = 0.0;
    for _ in 0..MOST_STEPS {
        let stretch = cubic.subsegment(f64::min(from, t)..f64::max(from, t)).arclen(0.1 * ARC_LENGTH_MM);
        passed += if t < from { -stretch } else { stretch };
        let beyond = passed - distance;
        if beyond.abs() < ARC_LENGTH_MM {
            break;
        }
        if beyond > 0.0 {
            high = t;
        } else {
            low = t;
        }
        let step = t - beyond / velocity.eval(t).to_vec2().hypot();
        from = t;
        // Not a number where the cubic stands still: that is outside of everything.
        t = if step > low && step < high { step } else { 0.5 * (low + high) };
    }
    t
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::tolerance::FIT_MM;
    use proptest::prelude::*;

    #[test]
    fn an_arc_drawn_as_cubics_keeps_its_radius() {
        let arc = CircularArc::about(Point::new(0.0, 788.99), Point::new(390.56, -668.58), -0.26);
        for accuracy in [1e-2, 1e-4, 1e-6] {
            let worst = Segment::Arc(arc)
                .path_segments(accuracy)
                .iter()
                .flat_map(|cubic| (0..=20).map(move |i| cubic.eval(f64::from(i) / 20.0)))
                .map(|p| (p.distance(arc.center) - arc.radius).abs())
                .fold(0.0, f64::max);
            assert!(worst <= accuracy, "{worst} > {accuracy}");
        }
    }

    #[test]
    fn an_arc_without_end_is_cut_into_no_more_pieces_than_an_arc_may() {
        for radius in [1e6, 1e300, f64::INFINITY, f64::NAN] {
            let arc = CircularArc { center: Point::ORIGIN, radius, start_angle: 0.0, sweep: 6.0 };
            let pieces = Segment::Arc(arc).path_segments(FIT_MM).len();
            assert!((1..=1000).contains(&pieces), "{radius}: {pieces}");
        }
    }

    proptest! {
        /// Against kurbo's own search, which brackets without derivatives.
        #[test]
        fn the_place_at_an_arc_length_is_the_one_that_kurbo_finds(
            x in proptest::array::uniform4(-300.0..300.0_f64), y in proptest::array::uniform4(-300.0..300.0_f64),
            share in 0.0..1.0_f64
        ) {
            let [p0, p1, p2, p3] = [0, 1, 2, 3].map(|k| Point::new(x[k], y[k]));
            let cubic = CubicBez::new(p0, p1, p2, p3);
            let segment = Segment::Cubic(cubic);
            let distance = share * segment.length();
            let here = segment.eval(segment.parameter_at(distance));
            let theirs = cubic.eval(cubic.inv_arclen(distance, 1e-9));
            prop_assert!(here.distance(theirs) < 3.0 * ARC_LENGTH_MM, "{here} {theirs}");
        }
    }

    #[test]
    fn a_cubic_that_stands_still_on_its_way_is_measured_too() {
        // A cusp at t = ½, and handles on the ends.
        for (p1, p2) in [((100.0, 100.0), (0.0, 100.0)), ((0.0, 0.0), (100.0, 0.0))] {
            let cubic = CubicBez::new(Point::ORIGIN, p1.into(), p2.into(), Point::new(100.0, 0.0));
            let segment = Segment::Cubic(cubic);
            let length = segment.length();
            for share in [0.001, 0.25, 0.5, 0.75, 0.999] {
                let t = segment.parameter_at(share * length);
                let passed = segment.subsegment(0.0, t).length();
                assert!((passed - share * length).abs() < 3.0 * ARC_LENGTH_MM, "{passed} for {share}");
            }
        }
    }

    #[test]
    fn a_cubic_with_a_handle_on_its_end_still_has_a_direction() {
        let end = Point::new(10.0, 0.0);
        let cubic = Segment::Cubic(CubicBez::new(Point::ORIGIN, Point::ORIGIN, Point::new(10.0, 5.0), end));
        let tangent = cubic.tangent(0.0);
        assert!((tangent - Vec2::new(10.0, 5.0).normalize()).hypot() < 1e-3);
    }
}
