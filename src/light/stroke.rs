//! Lines for the shader: a polyline in mm becomes stretches that know their neighbours and their arc lengths.
//!
//! Everything is counted in f64 from the drawing's origin and cast once. The rhythm of a subpath runs on its
//! own arc length. A closed subpath has its dark gaps stretched (never its dashes) until a whole number of
//! steps goes round, so that the rhythm has no seam; an open one begins with a full dash.

use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{BezPath, Point, Vec2};
use crate::scene::{Rhythm, Style};
use kurbo::PathEl;

/// Points closer than this are drawn as one, in mm: finer than an f32 holds at ten metres, and a thousandth
/// of a pixel.
const SAME_MM: f64 = 1e-3;

/// A doubled line's corner stands out by at most this many times its offset.
const OFFSET_MITRE_LIMIT: f64 = 4.0;

/// Most steps of one stretch that is cut up for a lens.
const MOST_STEPS: f64 = 10_000.0;

/// Beyond the first and last arc length of a closed line.
const ENDLESS_MM: f32 = 1e30;

/// One straight stretch of a line as the shader takes it (`shaders/stroke.wgsl`, `StrokeIn`).
#[repr(C)]
#[derive(Debug, Clone, Copy, PartialEq, bytemuck::Pod, bytemuck::Zeroable)]
pub(super) struct Stretch {
    /// The point before `from`, or `from` itself at a free end; mm from the drawing's origin, like all four.
    pub before: [f32; 2],
    pub from: [f32; 2],
    pub to: [f32; 2],
    /// The point after `to`, or `to` itself at a free end.
    pub after: [f32; 2],
    /// Arc length at `from` and `to`, in mm.
    pub arc_mm: [f32; 2],
    /// The arc lengths between which there is light at all.
    pub lit_mm: [f32; 2],
    pub width_mm: f32,
    pub least_px: f32,
    pub on_mm: f32,
    /// 0: unbroken.
    pub off_mm: f32,
    /// Linear, premultiplied.
    pub colour: [f32; 4],
}

/// The straight run of one subpath.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Polyline {
    /// No two neighbours closer than [`SAME_MM`]; the first point is not repeated at the end of a closed one.
    pub points: Vec<Point>,
    /// Whether the last point is joined to the first.
    pub closed: bool,
}

impl Polyline {
    /// A run cleaned of repeated points; `None` when it is a mere point.
    fn new(points: impl IntoIterator<Item = Point>, closed: bool) -> Option<Self> {
        let mut kept: Vec<Point> = Vec::new();
        for point in points {
            if kept.last().is_none_or(|last| last.distance(point) > SAME_MM) {
                kept.push(point);
            }
        }
        let mut closed = closed;
        while let [first, .., last] = kept[..] {
            // An outline that comes home without a closing step is closed all the same, or its first corner
            // would stay open.
            if kept.len() < 3 || first.distance(last) > JOIN_MM {
                break;
            }
            closed = true;
            kept.pop();
        }
        (kept.len() >= 2).then_some(Self { closed: closed && kept.len() > 2, points: kept })
    }

    /// The point so many steps on from `index`; beyond a free end the end itself.
    fn neighbour(&self, index: usize, back: bool) -> Point {
        let count = self.points.len();
        let place = match (back, self.closed) {
            (true, true) => (index + count - 1) % count,
            (true, false) => index.saturating_sub(1),
            (false, true) => (index + 1) % count,
            (false, false) => (index + 1).min(count - 1),
        };
        self.points[place]
    }

    /// Number of straight stretches.
    fn stretches(&self) -> usize {
        self.points.len() - usize::from(!self.closed)
    }

    /// The run with points between, so that none of its stretches is longer than `longest` mm.
    pub(super) fn cut_up(&self, longest: f64) -> Self {
        let mut points = Vec::with_capacity(self.points.len());
        for (index, &from) in self.points.iter().enumerate() {
            points.push(from);
            let to = self.neighbour(index, false);
            let steps = (from.distance(to) / longest).ceil().min(MOST_STEPS);
            let mut step = 1.0;
            while step < steps {
                points.push(from.lerp(to, step / steps));
                step += 1.0;
            }
        }
        Self { points, closed: self.closed }
    }

    /// The run moved sideways by `offset` mm (left of travel positive), corners mitred. The points stay in
    /// step with this run's, so both share its arc lengths and their dashes stand side by side.
    fn beside(&self, offset: f64) -> Vec<Point> {
        let normal = |from: Point, to: Point| {
            let along = to - from;
            Vec2::new(-along.y, along.x) / along.hypot()
        };
        (0..self.points.len())
            .map(|index| {
                let here = self.points[index];
                let (before, after) = (self.neighbour(index, true), self.neighbour(index, false));
                let sides = match (before == here, after == here) {
                    (true, _) => [normal(here, after); 2],
                    (_, true) => [normal(before, here); 2],
                    _ => [normal(before, here), normal(here, after)],
                };
                let sum = sides[0] + sides[1];
                let half = sum.hypot() / 2.0;
                if half * OFFSET_MITRE_LIMIT < 1.0 {
                    return here + offset * sides[0];
                }
                here + offset * sum / (2.0 * half * half)
            })
            .collect()
    }
}

/// The subpaths of a path as polylines within `tolerance` mm, `origin` taken off.
pub(super) fn flatten(path: &BezPath, tolerance: f64, origin: Point) -> Vec<Polyline> {
    let mut runs = Vec::new();
    let mut points: Vec<Point> = Vec::new();
    let moved = |point: Point| (point - origin).to_point();
    kurbo::flatten(path, tolerance, |element| match element {
        PathEl::MoveTo(point) => {
            runs.extend(Polyline::new(std::mem::take(&mut points), false));
            points.push(moved(point));
        }
        PathEl::LineTo(point) => points.push(moved(point)),
        PathEl::ClosePath => {
            let start = points.first().copied();
            runs.extend(Polyline::new(std::mem::take(&mut points), true));
            points.extend(start);
        }
        _ => {}
    });
    runs.extend(Polyline::new(points, false));
    runs
}

/// Appends the stretches of a run in a style. `colour` is linear and premultiplied.
pub(super) fn append(run: &Polyline, style: &Style, colour: [f32; 4], stretches: &mut Vec<Stretch>) {
    match style.rhythm {
        Rhythm::Full => append_line(run, &run.points, style, (0.0, 0.0), colour, stretches),
        Rhythm::Dashed(dash) => {
            append_line(run, &run.points, style, (dash.on_mm, dash.off_mm), colour, stretches);
        }
        Rhythm::Doubled { gap_mm, dash } => {
            for side in [0.5, -0.5] {
                let beside = run.beside(side * gap_mm);
                append_line(run, &beside, style, (dash.on_mm, dash.off_mm), colour, stretches);
            }
        }
    }
}

/// One line through `points`, which keep step with the points of `run` and take its arc lengths.
fn append_line(
    run: &Polyline,
    points: &[Point],
    style: &Style,
    (on_mm, off_mm): (f64, f64),
    colour: [f32; 4],
    stretches: &mut Vec<Stretch>,
) {
    let count = points.len();
    let length: f64 =
        (0..run.stretches()).map(|index| run.points[index].distance(run.neighbour(index, false))).sum();
    let off_mm = if run.closed && off_mm > 0.0 {
        let steps = (length / (on_mm + off_mm)).floor().max(1.0);
        (length / steps - on_mm).max(0.0)
    } else {
        off_mm
    };
    let lit_mm = if run.closed { [-ENDLESS_MM, ENDLESS_MM] } else { [0.0, single(length)] };
    let mut passed = 0.0;
    for index in 0..run.stretches() {
        let next = (index + 1) % count;
        let before = match (index, run.closed) {
            (0, true) => count - 1,
            (0, false) => 0,
            _ => index - 1,
        };
        let after = if run.closed { (next + 1) % count } else { (next + 1).min(count - 1) };
        let arc = passed;
        passed += run.points[index].distance(run.points[next]);
        stretches.push(Stretch {
            before: pair(points[before]),
            from: pair(points[index]),
            to: pair(points[next]),
            after: pair(points[after]),
            arc_mm: [single(arc), single(passed)],
            lit_mm,
            width_mm: single(style.width_mm),
            least_px: single(style.least_px),
            on_mm: single(on_mm),
            off_mm: single(off_mm),
            colour,
        });
    }
}

/// The one cast to the graphics processor's precision.
#[expect(clippy::cast_possible_truncation, reason = "f32 places a line within a thousandth of a pixel")]
pub(super) const fn single(number: f64) -> f32 {
    number as f32
}

/// A point in the graphics processor's precision.
pub(super) const fn pair(point: Point) -> [f32; 2] {
    [single(point.x), single(point.y)]
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "coordinates are copied, not computed")]
mod tests {
    use super::*;
    use crate::geometry::tolerance::FLATTEN_MM;
    use crate::scene::{Meaning, style_of};
    use kurbo::{Circle, Shape as _};

    fn stretches_of(path: &BezPath, meaning: Meaning) -> Vec<Stretch> {
        let mut stretches = Vec::new();
        for run in flatten(path, FLATTEN_MM, Point::ORIGIN) {
            append(&run, &style_of(meaning), [1.0; 4], &mut stretches);
        }
        stretches
    }

    fn path(svg: &str) -> BezPath {
        BezPath::from_svg(svg).unwrap()
    }

    #[test]
    fn a_circle_takes_as_many_chords_as_its_sagitta_asks_for() {
        // Chord error s = r(1 - cos(π/n)): n = π / acos(1 - s/r) chords at least, and kurbo is near the best.
        let radius = 100.0;
        let circle = Circle::new(Point::ORIGIN, radius).to_path(1e-6);
        let [run] = &flatten(&circle, FLATTEN_MM, Point::ORIGIN)[..] else { panic!("one subpath") };
        #[expect(clippy::cast_precision_loss, reason = "a small count")]
        let count = run.points.len() as f64;
        let least = std::f64::consts::PI / (1.0 - FLATTEN_MM / radius).acos();
        assert!(run.closed && count >= least && count < 1.5 * least, "{count} of {least}");
        for index in 0..run.points.len() {
            let middle = run.points[index].midpoint(run.neighbour(index, false));
            assert!(radius - middle.to_vec2().hypot() <= FLATTEN_MM * 1.001);
        }
    }

    #[test]
    fn arc_lengths_run_on_through_corners_and_start_anew_in_each_subpath() {
        let stretches = stretches_of(&path("M0,0 L30,0 L30,40 M100,0 L150,0"), Meaning::SeamLine);
        let arcs: Vec<_> = stretches.iter().map(|s| s.arc_mm).collect();
        assert_eq!(arcs, [[0.0, 30.0], [30.0, 70.0], [0.0, 50.0]]);
        assert_eq!(stretches[0].lit_mm, [0.0, 70.0]);
        assert_eq!(stretches[2].lit_mm, [0.0, 50.0]);
        assert_eq!((stretches[0].on_mm, stretches[0].off_mm), (12.0, 4.0));
    }

    #[test]
    fn neighbours_are_known_at_joins_and_missing_at_free_ends() {
        let stretches = stretches_of(&path("M0,0 L30,0 L30,40"), Meaning::CuttingLine);
        assert_eq!(stretches[0].before, stretches[0].from);
        assert_eq!(stretches[0].after, [30.0, 40.0]);
        assert_eq!(stretches[1].before, [0.0, 0.0]);
        assert_eq!(stretches[1].after, stretches[1].to);
    }

    #[test]
    fn an_outline_that_comes_home_is_closed_with_or_without_the_closing_step() {
        for svg in ["M0,0 L30,0 L30,40 Z", "M0,0 L30,0 L30,40 L0,0", "M0,0 L30,0 L30,40 L0,0.004 Z"] {
            let stretches = stretches_of(&path(svg), Meaning::CuttingLine);
            assert_eq!(stretches.len(), 3, "{svg}");
            assert_eq!(stretches[0].before, [30.0, 40.0], "{svg}");
            assert_eq!(stretches[2].after, [30.0, 0.0], "{svg}");
        }
    }

    #[test]
    fn a_closed_rhythm_has_whole_steps_and_true_dashes() {
        let stretches = stretches_of(&path("M0,0 L100,0 L100,70 L0,70 Z"), Meaning::SeamLine);
        let step = stretches[0].on_mm + stretches[0].off_mm;
        let steps = 340.0 / step;
        assert!((steps - steps.round()).abs() < 1e-4, "{steps}");
        assert!((stretches[0].on_mm - 12.0).abs() < 1e-6 && stretches[0].off_mm >= 4.0);
    }

    #[test]
    fn a_doubled_line_is_two_lines_at_its_gap_with_the_same_rhythm() {
        let stretches = stretches_of(&path("M0,0 L100,0 L100,50"), Meaning::HemLine);
        assert_eq!(stretches.len(), 4);
        // Left of travel is inside this corner.
        assert_eq!(stretches[0].from, [0.0, 2.0]);
        assert_eq!(stretches[0].to, [98.0, 2.0]);
        assert_eq!(stretches[1].to, [98.0, 50.0]);
        assert_eq!(stretches[2].to, [102.0, -2.0]);
        assert_eq!(stretches[0].arc_mm, stretches[2].arc_mm);
    }

    #[test]
    fn a_run_that_is_cut_up_keeps_its_points_and_its_length() {
        let [run] = &flatten(&path("M0,0 L100,0 L100,7 Z"), FLATTEN_MM, Point::ORIGIN)[..] else { panic!() };
        let cut = run.cut_up(16.0);
        assert!(cut.closed && run.points.iter().all(|point| cut.points.contains(point)));
        let length = |run: &Polyline| -> f64 {
            (0..run.stretches()).map(|index| run.points[index].distance(run.neighbour(index, false))).sum()
        };
        assert!((length(&cut) - length(run)).abs() < 1e-9);
        let longest = (0..cut.stretches())
            .map(|index| cut.points[index].distance(cut.neighbour(index, false)))
            .fold(0.0, f64::max);
        assert!(longest <= 16.0 && longest > 14.0, "{longest}");
    }

    #[test]
    fn points_without_length_draw_nothing() {
        for svg in ["M5,5", "M5,5 Z", "M5,5 L5,5", "M5,5 L5,5 Z"] {
            assert!(stretches_of(&path(svg), Meaning::CuttingLine).is_empty(), "{svg}");
        }
        assert_eq!(stretches_of(&path("M0,0 L10,0 Z"), Meaning::CuttingLine).len(), 1);
    }
}
