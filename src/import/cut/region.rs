//! Lines cut at a region of any shape: a polygon of rings, filled by either of the two rules.
//!
//! A segment is cut where it crosses an edge, and a part is kept when its middle lies inside. What runs along an edge is
//! kept too, like what runs along the side of a rectangle: a line that is drawn along its own clip shows. Cutting too
//! often does no harm, for parts on both sides of a cut that are kept become one again.

mod border;

use super::{Runs, tidy};
use crate::geometry::tolerance::{FLATTEN_MM, JOIN_MM, PARALLEL_SINE};
use crate::geometry::{Point, Rect, Segment, Vec2};
use crate::import::drawing::Stroke;
use kurbo::ParamCurveNearest as _;
use kurbo::common::{solve_cubic, solve_quadratic};

/// Chord error of the curves around a region, in mm: half of what is drawn with, for a line that leaves the region at a
/// slant is longer or shorter by more than the edge is off.
pub(in crate::import) const CHORD_MM: f64 = 0.5 * FLATTEN_MM;

/// What lies within this of an edge lies on it, in mm: the edges of a curve lie a little beside it.
const ON_EDGE_MM: f64 = CHORD_MM + JOIN_MM;

/// Where a part is looked at, the middle first. The places are uneven, so that a row of even teeth does not pass for an
/// edge.
const SAMPLES: [f64; 5] = [0.5, 0.13, 0.31, 0.71, 0.92];

/// Most bands that the edges are sorted into.
const MOST_BANDS: f64 = 256.0;

/// How many looks at an edge a crossing costs.
const CROSSING_WORK: usize = 20;

/// Most looks at edges for one file; they take about a second.
const MOST_WORK: usize = 300_000_000;

/// How much was looked at.
#[derive(Debug, Default)]
pub(in crate::import) struct Work {
    spent: usize,
}

impl Work {
    /// None when too much was spent.
    fn spend(&mut self, count: usize) -> Option<()> {
        self.spent = self.spent.saturating_add(count);
        (self.spent <= MOST_WORK).then_some(())
    }
}

/// Where a place lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Inside,
    Outside,
    Edge,
}

/// What lies inside of rings, by the even-odd rule or by the rule of windings that are not zero.
#[derive(Debug)]
pub(in crate::import) struct Region {
    edges: Vec<[Point; 2]>,
    even_odd: bool,
    bounds: Rect,
    /// The edges that come near each of as many bands of one height, from low to high.
    bands: Vec<Vec<usize>>,
}

impl Region {
    /// The region of rings, each closed by itself.
    pub(in crate::import) fn new(rings: &[Vec<Point>], even_odd: bool) -> Self {
        let mut edges = Vec::new();
        for ring in rings {
            let next = ring.iter().skip(1).chain(ring.first());
            edges
                .extend(ring.iter().zip(next).map(|(from, to)| [*from, *to]).filter(|[from, to]| from != to));
        }
        let boxes = edges.iter().map(|[from, to]| Rect::from_points(*from, *to));
        let bounds = boxes.reduce(|a, b| a.union(b)).unwrap_or_default().inflate(ON_EDGE_MM, ON_EDGE_MM);
        let mut region = Self { edges, even_odd, bounds, bands: Vec::new() };
        region.bands = vec![Vec::new(); region.count_of_bands()];
        for index in 0..region.edges.len() {
            let [from, to] = region.edges[index].map(|point| point.y);
            let (low, high) = region.bands_of(from.min(to) - ON_EDGE_MM, from.max(to) + ON_EDGE_MM);
            for band in &mut region.bands[low..=high] {
                band.push(index);
            }
        }
        region
    }

    /// So many that each edge lies in a few of them on average.
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count of edges, and one from 1 to 256"
    )]
    fn count_of_bands(&self) -> usize {
        let count = self.edges.len() as f64;
        let climbed: f64 = self.edges.iter().map(|[from, to]| (to.y - from.y).abs() + 2.0 * ON_EDGE_MM).sum();
        let few = 4.0 * count * self.bounds.height() / climbed;
        few.min(0.25 * count).clamp(1.0, MOST_BANDS) as usize
    }

    /// The bands that reach from one height to another.
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the few bands that there are"
    )]
    fn bands_of(&self, low: f64, high: f64) -> (usize, usize) {
        let last = self.bands.len().saturating_sub(1);
        let band = |y: f64| {
            let part = (y - self.bounds.y0) / self.bounds.height();
            (part * self.bands.len() as f64).clamp(0.0, last as f64) as usize
        };
        (band(low), band(high))
    }

    /// Adds the parameters at which a segment may cross the edges, in any order.
    fn crossings(&self, segment: &Segment, cuts: &mut Vec<f64>, work: &mut Work) -> Option<()> {
        let reach = around(segment);
        if apart(reach, self.bounds) {
            return work.spend(1);
        }
        let mut look = |edge: &[Point; 2]| {
            if apart(reach, Rect::from_points(edge[0], edge[1])) {
                return Some(());
            }
            work.spend(CROSSING_WORK)?;
            meet(segment, *edge, cuts);
            Some(())
        };
        let (low, high) = self.bands_of(reach.y0, reach.y1);
        if 2 * (high - low) >= self.bands.len() {
            self.edges.iter().try_for_each(&mut look)?;
            return work.spend(self.edges.len());
        }
        for band in &self.bands[low..=high] {
            band.iter().try_for_each(|index| look(&self.edges[*index]))?;
        }
        work.spend(self.bands[low..=high].iter().map(|band| band.len() + 1).sum())
    }

    /// Where a place lies: by the edges to the right of it, one after the other.
    fn side(&self, place: Point, work: &mut Work) -> Option<Side> {
        work.spend(1)?;
        if !self.bounds.contains(place) {
            return Some(Side::Outside);
        }
        let band = self.bands.get(self.bands_of(place.y, place.y).0)?;
        work.spend(band.len())?;
        let mut winding = 0_i64;
        for index in band {
            let [from, to] = self.edges[*index];
            if is_near(place, from, to, ON_EDGE_MM) {
                return Some(Side::Edge);
            }
            let right = || from.x + (place.y - from.y) / (to.y - from.y) * (to.x - from.x) > place.x;
            if (from.y <= place.y) != (to.y <= place.y) && right() {
                winding += if to.y > from.y { 1 } else { -1 };
            }
        }
        let inside = if self.even_odd { winding % 2 != 0 } else { winding != 0 };
        Some(if inside { Side::Inside } else { Side::Outside })
    }

    /// Whether a part of a segment between two crossings lies inside; what runs along an edge as is said.
    fn lies_in(
        &self,
        segment: &Segment,
        (from, to): (f64, f64),
        on_edge: bool,
        work: &mut Work,
    ) -> Option<bool> {
        for sample in SAMPLES {
            match self.side(segment.eval(from + sample * (to - from)), work)? {
                Side::Inside => return Some(true),
                Side::Outside => return Some(false),
                Side::Edge => {}
            }
        }
        Some(on_edge)
    }

    /// Whether a place lies inside, or no further outside than this, in mm; none when too much was looked at.
    pub(in crate::import) fn reaches(&self, place: Point, margin: f64, work: &mut Work) -> Option<bool> {
        if self.side(place, work)? != Side::Outside {
            return Some(true);
        }
        work.spend(self.edges.len())?;
        Some(self.edges.iter().any(|[from, to]| is_near(place, *from, *to, margin)))
    }
}

/// What lies in all regions of a line: nothing, the line itself, or parts of it in the order of travel; of a shape that is
/// only filled, what shows of it, closed along the regions' borders. None when too much was looked at.
pub(in crate::import) fn cut_at_regions<'r>(
    stroke: &Stroke,
    regions: impl Iterator<Item = &'r Region> + Clone,
    work: &mut Work,
) -> Option<Vec<Stroke>> {
    let bounds = stroke.curve.bounding_box();
    if regions.clone().any(|region| apart(bounds, region.bounds)) {
        return Some(Vec::new());
    }
    let mut runs = Runs::default();
    for (index, segment) in stroke.curve.segments().iter().enumerate() {
        let mut cuts = Vec::new();
        for region in regions.clone() {
            region.crossings(segment, &mut cuts, work)?;
        }
        tidy(&mut cuts);
        for pair in cuts.windows(2) {
            let mut kept = true;
            for region in regions.clone() {
                kept = kept && region.lies_in(segment, (pair[0], pair[1]), true, work)?;
            }
            runs.add(index, (pair[0], pair[1]), kept);
        }
    }
    let parts = runs.strokes(stroke);
    let only_filled = stroke.look.fill.is_some() && stroke.look.colour.is_none();
    if only_filled && stroke.closed && parts.iter().all(|part| !part.closed) {
        return border::closed(stroke, parts, regions, work);
    }
    Some(parts)
}

/// Around a segment and what lies near it.
fn around(segment: &Segment) -> Rect {
    let bounds = match segment {
        Segment::Line(line) => Rect::from_points(line.p0, line.p1),
        Segment::Cubic(c) => Rect::from_points(c.p0, c.p1).union(Rect::from_points(c.p2, c.p3)),
        Segment::Arc(_) => segment.bounding_box(),
    };
    bounds.inflate(ON_EDGE_MM, ON_EDGE_MM)
}

fn apart(one: Rect, two: Rect) -> bool {
    one.x1 < two.x0 || one.x0 > two.x1 || one.y1 < two.y0 || one.y0 > two.y1
}

fn is_near(place: Point, from: Point, to: Point, reach: f64) -> bool {
    Rect::from_points(from, to).inflate(reach, reach).contains(place)
        && kurbo::Line::new(from, to).nearest(place, 0.0).distance_sq <= reach * reach
}

/// Adds the parameters at which a segment meets an edge, and for a line those beside the ends of the edge, between
/// which it may run along it.
fn meet(segment: &Segment, [from, to]: [Point; 2], cuts: &mut Vec<f64>) {
    let length = from.distance(to);
    let along = (to - from) / length;
    let across = Vec2::new(-along.y, along.x);
    let on_edge = |place: Point| (-JOIN_MM..=length + JOIN_MM).contains(&(place - from).dot(along));
    match segment {
        Segment::Line(line) => {
            let step = line.p1 - line.p0;
            let (way, rise) = (step.hypot(), step.dot(across));
            if rise.abs() > PARALLEL_SINE * way {
                let t = (from - line.p0).dot(across) / rise;
                if on_edge(line.p0 + t * step) {
                    cuts.push(t);
                }
            }
            for end in [from, to] {
                let nearest = line.nearest(end, 0.0);
                if nearest.distance_sq <= ON_EDGE_MM * ON_EDGE_MM {
                    cuts.push(nearest.t);
                }
            }
        }
        Segment::Cubic(c) => {
            let [p0, p1, p2, p3] = [c.p0, c.p1, c.p2, c.p3].map(|point| (point - from).dot(across));
            let (c1, c2) = (3.0 * (p1 - p0), 3.0 * (p0 - 2.0 * p1 + p2));
            let meets = solve_cubic(p0, c1, c2, p3 - 3.0 * p2 + 3.0 * p1 - p0);
            cuts.extend(meets.into_iter().filter(|t| on_edge(segment.eval(*t))));
        }
        Segment::Arc(arc) => {
            let off = (from - arc.center).dot(across);
            for reach in solve_quadratic(off * off - arc.radius * arc.radius, 0.0, 1.0) {
                let place = arc.center + off * across + reach * along;
                if on_edge(place) {
                    cuts.push(arc.parameter_towards(place));
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::stroke;
    use super::*;
    use crate::geometry::Curve;

    fn square(side: f64) -> Vec<Point> {
        [(-side, -side), (side, -side), (side, side), (-side, side)].map(Point::from).to_vec()
    }

    fn cut(curve: Curve, closed: bool, regions: &[Region]) -> Vec<Stroke> {
        cut_at_regions(&stroke(curve, closed), regions.iter(), &mut Work::default()).unwrap()
    }

    #[test]
    fn an_arc_is_cut_where_it_leaves_the_region() {
        // A circle of 5 mm about a corner of the square: a quarter of it lies inside.
        let circle = Curve::arc(Point::new(10.0, 10.0), Point::new(15.0, 10.0), 6.2);
        let parts = cut(circle, false, &[Region::new(&[square(10.0)], false)]);
        assert_eq!(parts.len(), 1);
        assert!((parts[0].curve.length() - 2.5 * std::f64::consts::PI).abs() < 1e-9);
        assert!(parts[0].curve.start().distance(Point::new(10.0, 15.0)) > 5.0);
    }

    #[test]
    fn what_runs_along_an_edge_is_kept_and_what_goes_on_beyond_it_is_not() {
        let region = [Region::new(&[square(10.0)], false)];
        let line = Curve::line(Point::new(-30.0, 10.0), Point::new(30.0, 10.0));
        let parts = cut(line, false, &region);
        assert_eq!(parts.len(), 1);
        assert!((parts[0].curve.length() - 20.0).abs() < 0.05, "{}", parts[0].curve.length());
        // Past a corner, a hair outside.
        let past = Curve::line(Point::new(0.0, 20.01), Point::new(20.01, 0.0));
        assert!(cut(past, false, &region).is_empty());
        let own: Vec<Point> = square(10.0).into_iter().chain([Point::new(-10.0, -10.0)]).collect();
        let outline = stroke(Curve::polyline(&own).unwrap(), true);
        assert_eq!(cut(outline.curve.clone(), true, &region), [outline]);
    }

    #[test]
    fn a_bar_that_is_cut_through_and_halved_is_two_bars() {
        let hole: Vec<Point> = square(10.0);
        let region = [Region::new(&[square(40.0), hole], true)];
        let corners = [(-60.0, 0.0), (30.0, 0.0), (30.0, 1.0), (-60.0, 1.0), (-60.0, 0.0)].map(Point::from);
        let mut bar = stroke(Curve::polyline(&corners).unwrap(), true);
        bar.look.fill = Some([0; 3]);
        let parts = cut_at_regions(&bar, region.iter(), &mut Work::default()).unwrap();
        let told: Vec<_> = parts.iter().map(|part| (part.closed, part.curve.length().round())).collect();
        assert_eq!(told, [(true, 62.0), (true, 42.0)]);
    }

    #[test]
    fn what_takes_too_long_is_left_alone() {
        let teeth: Vec<Point> = (0..40_000)
            .map(|k| Point::new(0.01 * f64::from(k), if k % 2 == 0 { 0.0 } else { 50.0 }))
            .collect();
        let region = Region::new(&[teeth], false);
        let line = stroke(Curve::line(Point::new(-5.0, 25.0), Point::new(500.0, 25.3)), false);
        assert_eq!(cut_at_regions(&line, std::iter::once(&region), &mut Work::default()), None);
    }
}
