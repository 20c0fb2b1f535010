//! How the next line or word is drawn, and the path that is being drawn.
//!
//! Source: ISO 32000-1, §8.4 (graphics state), §8.5 (paths), §9.3 (text state).

use super::super::cut::CHORD_MM;
use super::clips::Clips;
use super::colour::{Colour, Space};
use super::font::Font;
use crate::geometry::tolerance::{JOIN_MM, LARGEST_COORDINATE_MM};
use crate::geometry::{Affine, Curve, Point, Rect, Segment};
use kurbo::{CubicBez, Line, PathEl};
use std::rc::Rc;

/// A segment that lies within this of its start is none, in mm.
const SPECK_MM: f64 = JOIN_MM * 1e-3;

/// A path returns to its start when its end lies this close to it, in mm.
const CLOSED_MM: f64 = JOIN_MM;

/// A colour and the way in which it is said.
#[derive(Debug, Clone)]
pub(super) struct Paint {
    pub(super) space: Rc<Space>,
    pub(super) colour: Colour,
}

impl Default for Paint {
    fn default() -> Self {
        Self { space: Rc::new(Space::Grey), colour: [0; 3] }
    }
}

/// How letters are set.
#[derive(Clone)]
pub(super) struct Letters {
    pub(super) font: Option<Rc<Font>>,
    pub(super) size: f64,
    pub(super) spacing: f64,
    pub(super) word_spacing: f64,
    /// Width as part of the natural one.
    pub(super) stretch: f64,
    pub(super) leading: f64,
    pub(super) rise: f64,
    /// Whether they are drawn at all.
    pub(super) shown: bool,
}

/// What `q` keeps and `Q` brings back.
#[derive(Clone)]
pub(super) struct State {
    /// Page mm from the units of the commands.
    pub(super) mm_from_user: Affine,
    pub(super) stroke: Paint,
    pub(super) fill: Paint,
    /// In units of the commands.
    pub(super) width: f64,
    pub(super) dashes: Rc<[f64]>,
    /// Around what shows, in page mm.
    pub(super) window: Rect,
    /// Where less than that shows.
    pub(super) clips: Clips,
    pub(super) letters: Letters,
}

impl State {
    pub(super) fn new(mm_from_user: Affine, window: Rect) -> Self {
        let letters = Letters {
            font: None,
            size: 0.0,
            spacing: 0.0,
            word_spacing: 0.0,
            stretch: 1.0,
            leading: 0.0,
            rise: 0.0,
            shown: true,
        };
        Self {
            mm_from_user,
            stroke: Paint::default(),
            fill: Paint::default(),
            width: 1.0,
            dashes: Rc::from([]),
            window,
            clips: Clips::default(),
            letters,
        }
    }

    /// Millimetres in a unit of the commands, over both axes.
    pub(super) fn scale(&self) -> f64 {
        self.mm_from_user.determinant().abs().sqrt()
    }
}

/// One stretch of the pen.
pub(super) struct Run {
    pub(super) curve: Curve,
    pub(super) closed: bool,
    /// Around its control points.
    pub(super) bounds: Rect,
}

/// The path that is being drawn, in page mm.
#[derive(Default)]
pub(super) struct Path {
    runs: Vec<(Vec<Segment>, bool)>,
    /// Where the pen is and where it was put down.
    pen: Option<(Point, Point)>,
    /// Whether a stretch has begun that the next segment goes on with.
    begun: bool,
    /// Segments with a coordinate that is none, or off any cloth.
    pub(super) absurd: usize,
}

fn is_sane(point: Point) -> bool {
    let near = |x: f64| x.is_finite() && x.abs() <= LARGEST_COORDINATE_MM;
    near(point.x) && near(point.y)
}

impl Path {
    pub(super) fn move_to(&mut self, to: Point) {
        self.pen = Some((to, to));
        self.begun = false;
    }

    /// Whether there is a pen to draw with; a path that begins with a line begins at its end.
    fn from(&mut self, to: Point) -> Point {
        let (at, start) = self.pen.unwrap_or((to, to));
        self.pen = Some((to, start));
        at
    }

    fn add(&mut self, segment: Segment, sane: bool, speck: bool) {
        if !sane {
            self.absurd += 1;
            self.begun = false;
        } else if !speck {
            match self.runs.last_mut().filter(|_| self.begun) {
                Some((segments, _)) => segments.push(segment),
                None => self.runs.push((vec![segment], false)),
            }
            self.begun = true;
        }
    }

    pub(super) fn line_to(&mut self, to: Point) {
        let from = self.from(to);
        let speck = from.distance(to) <= SPECK_MM;
        self.add(Segment::Line(Line::new(from, to)), is_sane(from) && is_sane(to), speck);
        if speck && self.begun {
            // The end stays where the segments end.
            self.pen = self.pen.map(|(_, start)| (from, start));
        }
    }

    /// A cubic; none of the first control point stands for the pen's place.
    pub(super) fn curve_to(&mut self, first: Option<Point>, second: Point, to: Point) {
        let from = self.from(to);
        let first = first.unwrap_or(from);
        let points = [from, first, second, to];
        let speck = points.iter().all(|point| point.distance(from) <= SPECK_MM);
        let cubic = CubicBez::new(from, first, second, to);
        self.add(Segment::Cubic(cubic), points.into_iter().all(is_sane), speck);
        if speck && self.begun {
            self.pen = self.pen.map(|(_, start)| (from, start));
        }
    }

    pub(super) fn close(&mut self) {
        let Some((at, start)) = self.pen else { return };
        if at.distance(start) > SPECK_MM {
            self.line_to(start);
        }
        if let Some(last) = self.runs.last_mut().filter(|_| self.begun) {
            last.1 = true;
        }
        self.pen = Some((start, start));
        self.begun = false;
    }

    pub(super) fn rectangle(&mut self, corners: [Point; 4]) {
        self.move_to(corners[0]);
        for corner in &corners[1..] {
            self.line_to(*corner);
        }
        self.close();
    }

    /// Segments so far.
    pub(super) fn segments(&self) -> usize {
        self.runs.iter().map(|(segments, _)| segments.len()).sum()
    }

    /// Around everything drawn so far; none for nothing.
    pub(super) fn bounds(&self) -> Option<Rect> {
        let segments = self.runs.iter().flat_map(|(segments, _)| segments);
        segments.map(hull).reduce(|a, b| a.union(b))
    }

    /// Whether the path is one upright rectangle.
    pub(super) fn is_upright_rectangle(&self) -> bool {
        let [(segments, _)] = &self.runs[..] else { return false };
        let upright = |segment: &Segment| match segment {
            Segment::Line(line) => {
                (line.p1.x - line.p0.x).abs().min((line.p1.y - line.p0.y).abs()) <= JOIN_MM
            }
            _ => false,
        };
        let Some(bounds) = self.bounds() else { return false };
        // A line that turns round before it is all the way round holds less than the box.
        let corners = segments.iter().map(Segment::start).chain(segments.last().map(Segment::end));
        let corners: Vec<Point> = corners.take(7).collect();
        let next = corners.iter().skip(1).chain(corners.first());
        let about = |point: &Point| *point - bounds.center();
        let area: f64 = corners.iter().zip(next).map(|(a, b)| 0.5 * about(a).cross(about(b))).sum();
        let slack = 2.0 * JOIN_MM * (bounds.width() + bounds.height());
        (3..=5).contains(&segments.len())
            && segments.iter().all(upright)
            && (area.abs() - bounds.area()).abs() <= slack
    }

    /// The corners of every stretch, its curves as chords within [`CHORD_MM`]; none when they are more than this, or
    /// when a part of the path has no place.
    pub(super) fn rings(&self, most: usize) -> Option<Vec<Vec<Point>>> {
        if self.absurd > 0 || most == 0 {
            return None;
        }
        let mut left = most;
        let mut rings = Vec::new();
        for (segments, _) in &self.runs {
            let mut ring: Vec<Point> = segments.first().map(Segment::start).into_iter().collect();
            for segment in segments {
                let before = ring.len();
                let path = segment.path_segments(CHORD_MM);
                let path = path.iter().map(kurbo::PathSeg::as_path_el);
                kurbo::flatten(
                    std::iter::once(PathEl::MoveTo(segment.start())).chain(path),
                    CHORD_MM,
                    |part| {
                        if let PathEl::LineTo(corner) = part {
                            ring.push(corner);
                        }
                    },
                );
                left = left.checked_sub(ring.len() - before)?;
            }
            left = left.checked_sub(1)?;
            rings.push(ring);
        }
        Some(rings)
    }

    /// The stretches drawn so far; the path is empty afterwards. A filled stretch closes by itself.
    pub(super) fn take(&mut self, filled: bool) -> Vec<Run> {
        let runs = std::mem::take(&mut self.runs);
        self.pen = None;
        self.begun = false;
        let run = |(mut segments, mut closed): (Vec<Segment>, bool)| {
            let ends = segments.first().map(Segment::start).zip(segments.last().map(Segment::end));
            let gap = ends.map_or(0.0, |(start, end)| start.distance(end));
            if let Some((start, end)) = ends.filter(|_| filled && gap > CLOSED_MM) {
                segments.push(Segment::Line(Line::new(end, start)));
                closed = true;
            }
            closed |= gap <= CLOSED_MM && segments.len() > 1;
            let bounds = segments.iter().map(hull).reduce(|a, b| a.union(b))?;
            Curve::new(segments).ok().map(|curve| Run { curve, closed, bounds })
        };
        runs.into_iter().filter_map(run).collect()
    }
}

/// Around the control points of a segment.
fn hull(segment: &Segment) -> Rect {
    match segment {
        Segment::Line(line) => Rect::from_points(line.p0, line.p1),
        Segment::Cubic(c) => Rect::from_points(c.p0, c.p1).union(Rect::from_points(c.p2, c.p3)),
        Segment::Arc(_) => segment.bounding_box(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_cut_where_the_pen_is_lifted_and_closed_where_it_returns() {
        let mut path = Path::default();
        let at = |x: f64, y: f64| Point::new(x, y);
        path.rectangle([at(0.0, 0.0), at(4.0, 0.0), at(4.0, 3.0), at(0.0, 3.0)]);
        assert!(path.is_upright_rectangle());
        path.line_to(at(-1.0, -1.0));
        path.move_to(at(9.0, 9.0));
        path.line_to(at(9.0, 9.0));
        path.line_to(at(f64::NAN, 9.0));
        path.line_to(at(1.0, 9.0));
        path.line_to(at(2.0, 9.0));
        let runs = path.take(false);
        let told: Vec<_> = runs.iter().map(|run| (run.curve.segments().len(), run.closed)).collect();
        assert_eq!(told, [(4, true), (1, false), (1, false)]);
        assert_eq!(path.absurd, 2);
        assert_eq!(runs[1].curve.start(), at(0.0, 0.0));
        assert!(path.take(false).is_empty());
    }
}
