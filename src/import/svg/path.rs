//! Path data to segments, in the path's own units.

use crate::geometry::{CircularArc, CubicBez, Point, Segment, Vec2};
use kurbo::{Arc, SvgArc};
use svgtypes::{PathParser, PathSegment};

/// One run of a path, drawn without lifting the pen.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    pub(super) segments: Vec<Segment>,
    pub(super) closed: bool,
}

/// Radii that differ by less than this part are one circle's.
const ROUND: f64 = 1e-9;

/// Numbers of units beyond this are no drawing's.
const WILD: f64 = 1e12;

/// Part of its radius to which an ellipse is followed at best.
pub(super) const FINEST: f64 = 1e-9;

/// The runs of path data (SVG 2, §9); arcs of ellipses become cubics within `accuracy` units.
///
/// # Errors
/// Where the data stops being path data, in words.
pub(super) fn runs(data: &str, accuracy: f64) -> Result<Vec<Run>, String> {
    let mut pen = Pen {
        runs: Vec::new(),
        run: Run { segments: Vec::new(), closed: false },
        start: Point::ORIGIN,
        at: Point::ORIGIN,
        handle: None,
        accuracy,
    };
    for segment in PathParser::from(data) {
        pen.draw(&segment.map_err(|error| format!("is no path data ({error})"))?);
    }
    pen.lift();
    Ok(pen.runs)
}

/// Which kind of curve came before, and its last handle, for the smooth commands.
#[derive(Clone, Copy)]
enum Handle {
    Cubic(Point),
    Quadratic(Point),
}

struct Pen {
    runs: Vec<Run>,
    run: Run,
    start: Point,
    at: Point,
    handle: Option<Handle>,
    accuracy: f64,
}

impl Pen {
    fn lift(&mut self) {
        let segments = std::mem::take(&mut self.run.segments);
        let closed = std::mem::take(&mut self.run.closed);
        if !segments.is_empty() {
            self.runs.push(Run { segments, closed });
        }
    }

    fn to(&self, abs: bool, x: f64, y: f64) -> Point {
        if abs { Point::new(x, y) } else { self.at + Vec2::new(x, y) }
    }

    fn line_to(&mut self, end: Point) {
        if end != self.at {
            self.run.segments.push(Segment::line(self.at, end));
        }
        self.at = end;
        self.handle = None;
    }

    fn cubic_to(&mut self, p1: Point, p2: Point, end: Point) {
        if p1 == self.at && p2 == self.at && end == self.at {
            return;
        }
        self.run.segments.push(Segment::Cubic(CubicBez::new(self.at, p1, p2, end)));
        self.at = end;
    }

    fn quadratic_to(&mut self, p: Point, end: Point) {
        let third = 2.0 / 3.0;
        self.cubic_to(self.at + third * (p - self.at), end + third * (p - end), end);
        self.handle = Some(Handle::Quadratic(p));
    }

    fn draw(&mut self, segment: &PathSegment) {
        match *segment {
            PathSegment::MoveTo { abs, x, y } => {
                let to = self.to(abs, x, y);
                self.lift();
                (self.start, self.at, self.handle) = (to, to, None);
            }
            PathSegment::LineTo { abs, x, y } => self.line_to(self.to(abs, x, y)),
            PathSegment::HorizontalLineTo { abs, x } => {
                let x = if abs { x } else { self.at.x + x };
                self.line_to(Point::new(x, self.at.y));
            }
            PathSegment::VerticalLineTo { abs, y } => {
                let y = if abs { y } else { self.at.y + y };
                self.line_to(Point::new(self.at.x, y));
            }
            PathSegment::CurveTo { abs, x1, y1, x2, y2, x, y } => {
                let (p1, p2) = (self.to(abs, x1, y1), self.to(abs, x2, y2));
                self.cubic_to(p1, p2, self.to(abs, x, y));
                self.handle = Some(Handle::Cubic(p2));
            }
            PathSegment::SmoothCurveTo { abs, x2, y2, x, y } => {
                let p1 = match self.handle {
                    Some(Handle::Cubic(handle)) => self.at + (self.at - handle),
                    _ => self.at,
                };
                let p2 = self.to(abs, x2, y2);
                self.cubic_to(p1, p2, self.to(abs, x, y));
                self.handle = Some(Handle::Cubic(p2));
            }
            PathSegment::Quadratic { abs, x1, y1, x, y } => {
                self.quadratic_to(self.to(abs, x1, y1), self.to(abs, x, y));
            }
            PathSegment::SmoothQuadratic { abs, x, y } => {
                let p = match self.handle {
                    Some(Handle::Quadratic(handle)) => self.at + (self.at - handle),
                    _ => self.at,
                };
                self.quadratic_to(p, self.to(abs, x, y));
            }
            PathSegment::EllipticalArc { abs, rx, ry, x_axis_rotation, large_arc, sweep, x, y } => {
                let arc = SvgArc {
                    from: self.at,
                    to: self.to(abs, x, y),
                    radii: Vec2::new(rx.abs(), ry.abs()),
                    x_rotation: x_axis_rotation.to_radians(),
                    large_arc,
                    sweep,
                };
                self.arc_to(&arc);
            }
            PathSegment::ClosePath { .. } => {
                // The rounding of relative coordinates is no edge.
                if self.at.distance(self.start) > self.accuracy {
                    self.line_to(self.start);
                }
                if !self.run.segments.is_empty() {
                    self.run.closed = true;
                }
                self.lift();
                (self.at, self.handle) = (self.start, None);
            }
        }
    }

    fn arc_to(&mut self, arc: &SvgArc) {
        let end = arc.to;
        self.handle = None;
        if end == self.at {
            return;
        }
        // Without a radius an arc is a line (SVG 2, §9.5.1). So is one between points that coincide but for rounding,
        // or with a radius beyond all measure; kurbo panics at the first.
        let wild = |x: f64| !x.is_finite() || x.abs() > WILD;
        let numbers = [arc.from.x, arc.from.y, end.x, end.y, arc.radii.x, arc.radii.y, arc.x_rotation];
        let straight = arc.is_straight_line()
            || arc.from.distance(end) < FINEST * self.accuracy
            || numbers.into_iter().any(wild);
        let turned = if straight { None } else { Arc::from_svg_arc(arc) };
        let Some(turned) = turned else {
            self.line_to(end);
            return;
        };
        self.run.segments.extend(arc_segments(&turned, self.at, end, self.accuracy));
        self.at = end;
    }
}

/// An arc as one circular segment, or of an ellipse as cubics, with its ends exactly where they are to be.
pub(super) fn arc_segments(arc: &Arc, from: Point, to: Point, accuracy: f64) -> Vec<Segment> {
    if (arc.radii.x - arc.radii.y).abs() <= ROUND * arc.radii.x {
        return vec![Segment::Arc(CircularArc::about(arc.center, from, arc.sweep_angle))];
    }
    // The number of cubics grows with the radius; no arc on cloth needs more than this part of it.
    let accuracy = accuracy.max(FINEST * arc.radii.x.max(arc.radii.y));
    let mut segments = Vec::new();
    let mut at = from;
    arc.to_cubic_beziers(accuracy, |p1, p2, p3| {
        segments.push(Segment::Cubic(CubicBez::new(at, p1, p2, p3)));
        at = p3;
    });
    if let Some(Segment::Cubic(last)) = segments.last_mut() {
        last.p3 = to;
    }
    segments
}
