//! A curve of several segments, travelled by arc length.

use super::tolerance::{FIT_MM, JOIN_MM};
use super::{CircularArc, Segment};
use kurbo::{Affine, BezPath, CubicBez, PathEl, PathSeg, Point, Rect, Vec2};
use std::sync::OnceLock;

/// Segments joined end to end; never empty. Distances are arc lengths in mm from the start.
#[derive(Debug, Clone)]
pub struct Curve {
    segments: Vec<Segment>,
    /// The length of each segment, measured when it is first asked for: a cubic's is an integral, and the same
    /// edges are walked by every check.
    lengths: OnceLock<Box<[f64]>>,
}

impl PartialEq for Curve {
    fn eq(&self, other: &Self) -> bool {
        self.segments == other.segments
    }
}

/// Why segments do not make a curve.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CurveError {
    /// No segment at all.
    #[error("the line has no stretch at all; give at least one")]
    Empty,
    /// A coordinate that is not a finite number.
    #[error("stretch {index} has a coordinate that is not a number")]
    NotFinite {
        /// Counted from 0.
        index: usize,
    },
    /// Two neighbours do not meet.
    #[error("stretch {index} ends at ({}, {}) but the next begins {gap_mm:.3} mm away", at.x, at.y)]
    Gap {
        /// Counted from 0.
        index: usize,
        /// End of that segment.
        at: Point,
        /// Distance to the start of the next, in mm.
        gap_mm: f64,
    },
}

impl Curve {
    /// A curve from segments that meet within [`JOIN_MM`].
    ///
    /// # Errors
    /// [`CurveError`] when there is none, when a coordinate is not finite or when two neighbours do not meet.
    pub fn new(segments: Vec<Segment>) -> Result<Self, CurveError> {
        if segments.is_empty() {
            return Err(CurveError::Empty);
        }
        if let Some(index) = segments.iter().position(|segment| !segment.is_finite()) {
            return Err(CurveError::NotFinite { index });
        }
        for (index, pair) in segments.windows(2).enumerate() {
            let gap_mm = pair[0].end().distance(pair[1].start());
            if gap_mm > JOIN_MM {
                return Err(CurveError::Gap { index, at: pair[0].end(), gap_mm });
            }
        }
        Ok(Self::of(segments))
    }

    const fn of(segments: Vec<Segment>) -> Self {
        Self { segments, lengths: OnceLock::new() }
    }

    fn lengths(&self) -> &[f64] {
        self.lengths.get_or_init(|| self.segments.iter().map(Segment::length).collect())
    }

    /// The straight line between two points.
    #[must_use]
    pub fn line(from: Point, to: Point) -> Self {
        Self::of(vec![Segment::line(from, to)])
    }

    /// One cubic Bézier.
    #[must_use]
    pub fn cubic(p0: Point, p1: Point, p2: Point, p3: Point) -> Self {
        Self::of(vec![Segment::Cubic(CubicBez::new(p0, p1, p2, p3))])
    }

    /// The arc from `start` about `center`.
    #[must_use]
    pub fn arc(center: Point, start: Point, sweep: f64) -> Self {
        Self::of(vec![Segment::Arc(CircularArc::about(center, start, sweep))])
    }

    /// Straight lines through points; `None` for fewer than two.
    #[must_use]
    pub fn polyline(points: &[Point]) -> Option<Self> {
        let segments: Vec<_> = points.windows(2).map(|pair| Segment::line(pair[0], pair[1])).collect();
        (!segments.is_empty()).then(|| Self::of(segments))
    }

    /// The first open run of a path, as a curve; quadratic segments are raised to cubics, a closing line is
    /// kept. `None` when the path draws nothing.
    #[must_use]
    pub fn from_bezpath(path: &BezPath) -> Option<Self> {
        let segments: Vec<_> = path.segments().map(Segment::from).collect();
        Self::new(segments).ok()
    }

    /// The segments, in the order of travel.
    #[must_use]
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// First point.
    #[must_use]
    pub fn start(&self) -> Point {
        self.segments.first().map(Segment::start).unwrap_or_default()
    }

    /// Last point.
    #[must_use]
    pub fn end(&self) -> Point {
        self.segments.last().map(Segment::end).unwrap_or_default()
    }

    /// Arc length in mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.lengths().iter().sum()
    }

    /// Segment and parameter at a distance, clamped to the curve.
    fn locate(&self, distance: f64) -> (usize, f64) {
        let mut left = distance.max(0.0);
        for (index, (segment, &length)) in self.segments.iter().zip(self.lengths()).enumerate() {
            if left < length || index + 1 == self.segments.len() {
                return (index, segment.parameter_within(left, length));
            }
            left -= length;
        }
        (0, 0.0)
    }

    /// The point at an arc length from the start, clamped to the curve.
    #[must_use]
    pub fn point_at(&self, distance: f64) -> Point {
        let (index, t) = self.locate(distance);
        self.segments[index].eval(t)
    }

    /// Unit vector of travel at an arc length from the start.
    #[must_use]
    pub fn tangent_at(&self, distance: f64) -> Vec2 {
        let (index, t) = self.locate(distance);
        self.segments[index].tangent(t)
    }

    /// Unit vector of travel at the start.
    #[must_use]
    pub fn start_tangent(&self) -> Vec2 {
        self.segments.first().map_or(Vec2::new(1.0, 0.0), |segment| segment.tangent(0.0))
    }

    /// Unit vector of travel at the end.
    #[must_use]
    pub fn end_tangent(&self) -> Vec2 {
        self.segments.last().map_or(Vec2::new(1.0, 0.0), |segment| segment.tangent(1.0))
    }

    /// Signed total turn of the tangent in radians, corners between segments included; counter-clockwise is
    /// positive (y up).
    #[must_use]
    pub fn turn(&self) -> f64 {
        let along: f64 = self.segments.iter().map(Segment::turn).sum();
        let corners: f64 = self
            .segments
            .windows(2)
            .map(|pair| {
                let (before, after) = (pair[0].tangent(1.0), pair[1].tangent(0.0));
                before.cross(after).atan2(before.dot(after))
            })
            .sum();
        along + corners
    }

    /// The part between two distances; `None` when it has no length.
    #[must_use]
    pub fn portion(&self, from: f64, to: f64) -> Option<Self> {
        let from = from.max(0.0);
        let mut segments = Vec::new();
        let mut passed = 0.0;
        for (segment, &length) in self.segments.iter().zip(self.lengths()) {
            let (start, end) = ((from - passed).max(0.0), (to - passed).min(length));
            if end - start > super::tolerance::ARC_LENGTH_MM {
                if start <= 0.0 && end >= length {
                    segments.push(*segment);
                } else {
                    let parameter = |distance| segment.parameter_within(distance, length);
                    segments.push(segment.subsegment(parameter(start), parameter(end)));
                }
            }
            passed += length;
        }
        (!segments.is_empty()).then(|| Self::of(segments))
    }

    /// The curve before and after a distance; an empty side is `None`.
    #[must_use]
    pub fn split_at(&self, distance: f64) -> (Option<Self>, Option<Self>) {
        (self.portion(0.0, distance), self.portion(distance, f64::INFINITY))
    }

    /// The same points, travelled the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self::of(self.segments.iter().rev().map(Segment::reversed).collect())
    }

    /// The curve under a rigid motion (with or without a mirror).
    #[must_use]
    pub fn transformed(&self, motion: Affine) -> Self {
        Self::of(self.segments.iter().map(|segment| segment.transformed(motion)).collect())
    }

    /// This curve and then `next`, which must begin where this one ends.
    ///
    /// # Errors
    /// [`CurveError::Gap`] when it does not.
    pub fn joined(&self, next: &Self) -> Result<Self, CurveError> {
        Self::new(self.segments.iter().chain(&next.segments).copied().collect())
    }

    /// The closest place to `point`: arc length from the start and distance, both in mm.
    #[must_use]
    pub fn nearest(&self, point: Point) -> (f64, f64) {
        let mut best = (0.0, f64::INFINITY);
        let mut passed = 0.0;
        for (segment, length) in self.segments.iter().zip(self.lengths()) {
            let (t, distance) = segment.nearest(point);
            if distance < best.1 {
                best = (passed + segment.subsegment(0.0, t).length(), distance);
            }
            passed += length;
        }
        best
    }

    /// Distance of a point from the curve, in mm.
    #[must_use]
    pub fn distance_to(&self, point: Point) -> f64 {
        self.segments.iter().map(|segment| segment.nearest(point).1).fold(f64::INFINITY, f64::min)
    }

    /// Corner points of a polyline that stays within `tolerance` mm, both ends included.
    #[must_use]
    pub fn flatten(&self, tolerance: f64) -> Vec<Point> {
        let mut points = Vec::new();
        kurbo::flatten(self.to_bezpath(), tolerance, |element| match element {
            PathEl::MoveTo(point) | PathEl::LineTo(point) => points.push(point),
            _ => {}
        });
        points
    }

    /// The curve as one open path; arcs become cubics within [`FIT_MM`].
    #[must_use]
    pub fn to_bezpath(&self) -> BezPath {
        let mut path = BezPath::new();
        path.move_to(self.start());
        self.append_to(&mut path);
        path
    }

    /// Draws the curve on from the current point of `path`, which must be its start.
    pub fn append_to(&self, path: &mut BezPath) {
        for segment in &self.segments {
            for piece in segment.path_segments(FIT_MM) {
                path.push(piece.as_path_el());
            }
        }
    }

    /// Smallest upright rectangle around the curve.
    #[must_use]
    pub fn bounding_box(&self) -> Rect {
        let boxes = self.segments.iter().map(Segment::bounding_box);
        boxes.reduce(|a, b| a.union(b)).unwrap_or_default()
    }

    /// Bends both end points onto given places: the first and last segment keep their shape but for a shift
    /// that fades along the segment. Meant for closing gaps of rounding size.
    #[must_use]
    pub fn with_ends(&self, start: Point, end: Point) -> Self {
        let mut segments = self.segments.clone();
        if let Some(first) = segments.first_mut() {
            *first = first.with_start(start);
        }
        if let Some(last) = segments.last_mut() {
            *last = last.reversed().with_start(end).reversed();
        }
        Self::of(segments)
    }
}

impl Segment {
    /// The segment from another start point: a line turns, a cubic shifts its first handle along, an arc
    /// becomes what it was when the point lies on its circle and else a cubic.
    fn with_start(&self, start: Point) -> Self {
        let shift = start - self.start();
        if shift == Vec2::ZERO {
            return *self;
        }
        match self {
            Self::Line(line) => Self::line(start, line.p1),
            Self::Cubic(c) => Self::Cubic(CubicBez::new(start, c.p1 + shift, c.p2, c.p3)),
            Self::Arc(arc) => {
                if (start.distance(arc.center) - arc.radius).abs() < 1e-9 {
                    return Self::Arc(arc.subsegment(arc.parameter_towards(start), 1.0));
                }
                let handle = arc.deriv(0.0) / 3.0;
                Self::Cubic(CubicBez::new(
                    start,
                    start + handle,
                    self.end() - arc.deriv(1.0) / 3.0,
                    self.end(),
                ))
            }
        }
    }
}

impl From<PathSeg> for Segment {
    fn from(segment: PathSeg) -> Self {
        match segment {
            PathSeg::Line(line) => Self::Line(line),
            PathSeg::Quad(quad) => Self::Cubic(quad.raise()),
            PathSeg::Cubic(cubic) => Self::Cubic(cubic),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bent() -> Curve {
        let corner = Point::new(100.0, 0.0);
        Curve::new(vec![
            Segment::line(Point::ORIGIN, corner),
            Segment::Arc(CircularArc::about(Point::new(100.0, 50.0), corner, 1.2)),
        ])
        .unwrap()
    }

    #[test]
    fn a_gap_between_segments_is_refused_with_its_size() {
        let segments = vec![
            Segment::line(Point::ORIGIN, Point::new(10.0, 0.0)),
            Segment::line(Point::new(10.0, 0.5), Point::new(20.0, 0.0)),
        ];
        assert!(
            matches!(Curve::new(segments), Err(CurveError::Gap { index: 0, gap_mm, .. }) if (gap_mm - 0.5).abs() < 1e-12)
        );
    }

    #[test]
    fn the_parts_of_a_split_curve_add_up() {
        let curve = bent();
        for distance in [0.0, 30.0, 100.0, 130.0, curve.length()] {
            let (before, after) = curve.split_at(distance);
            let sum: f64 = [before, after].iter().flatten().map(Curve::length).sum();
            assert!((sum - curve.length()).abs() < 1e-6, "at {distance}");
        }
    }

    #[test]
    fn the_nearest_place_of_a_point_on_the_curve_is_the_point() {
        let curve = bent();
        for distance in [0.0, 30.0, 100.0, 130.0] {
            let (found, off) = curve.nearest(curve.point_at(distance));
            assert!((found - distance).abs() < 1e-4 && off < 1e-6, "{found} for {distance}");
        }
    }

    #[test]
    fn a_reversed_curve_turns_the_other_way() {
        let curve = bent();
        assert!((curve.turn() - 1.2).abs() < 1e-9);
        assert!((curve.reversed().turn() + 1.2).abs() < 1e-9);
    }
}
