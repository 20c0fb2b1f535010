//! Few smooth curves for many points.

use super::corners::{corners, evenly};
use super::few;
use crate::geometry::{CubicBez, Curve, Line, Point, Segment, Vec2, brought_together};
use kurbo::{ParamCurve as _, ParamCurveDeriv as _};

/// Distance of the points that are looked at, in pixels.
const STEP_PX: f64 = 1.0;

/// A corner is looked for over so many mm on either side.
const REACH_MM: f64 = 4.0;

/// So near to a corner, points lie on the rounding that the pen or the pixels made, in mm.
const ROUNDED_MM: f64 = 1.6;

/// A stretch whose points lie this close to a straight line is one, in pixels, and at least in mm.
const STRAIGHT_PX: f64 = 0.75;
const STRAIGHT_MM: f64 = 0.12;

/// Furthest that a fitted curve runs from the averaged points, in pixels, and at least in mm.
const FIT_PX: f64 = 0.2;
const FIT_MM: f64 = 0.08;

/// Averaged points lie about so far apart, in mm; no curve of a garment turns much within that.
const KNOT_MM: f64 = 4.0;

/// Places between two of them at which a fitted curve is held against their line.
const SAMPLES: u8 = 4;

/// What lies this far around is averaged, in mm: on a neckline of 60 mm radius the average is off by a hundredth.
const AROUND_MM: f64 = 2.0;

/// The closed curve through the points of a traced line.
pub(super) fn closed(line: &[Point], pixel_mm: f64) -> Option<Curve> {
    let points = evenly(line, STEP_PX * pixel_mm);
    let count = points.len();
    if count < 16 {
        return None;
    }
    let in_steps = |mm: f64| whole(mm / (STEP_PX * pixel_mm));
    let reach = in_steps(REACH_MM).clamp(4, count / 8);
    let mut at = corners(&points, reach);
    let smooth = at.is_empty();
    if smooth {
        // No corner: two stretches from any place to its opposite.
        at = vec![0, count / 2];
    }
    let margin = if smooth { 0 } else { in_steps(ROUNDED_MM).max(2) };
    let mut spans: Vec<Curve> = Vec::new();
    for (index, &from) in at.iter().enumerate() {
        let to = at[(index + 1) % at.len()];
        let length = if to > from { to - from } else { to + count - from };
        // A short stretch keeps its middle.
        let margin = margin.min(length / 3);
        let span: Vec<Point> =
            (from + margin..=from + length - margin).map(|index| points[index % count]).collect();
        spans.push(fitted(&span, pixel_mm)?);
    }
    let number = spans.len();
    for index in 0..number {
        let next = (index + 1) % number;
        let near = points[at[next] % count];
        let (before, after) = (spans[index].clone(), spans[next].clone());
        let together = if number > 1 && !smooth {
            brought_together(&before, &after, near, 3.0 * ROUNDED_MM)
        } else {
            None
        };
        let (before, after) = together.unwrap_or_else(|| {
            let meeting = if smooth { before.end().midpoint(after.start()) } else { near };
            (met(&before, None, Some(meeting)), met(&after, Some(meeting), None))
        });
        if index == next {
            spans[index] = met(&spans[index], Some(near), Some(near));
        } else {
            spans[index] = before;
            spans[next] = after;
        }
    }
    let all: Vec<Segment> = spans.iter().flat_map(|span| span.segments().iter().copied()).collect();
    Curve::new(all).ok()
}

/// The curve through the points of a traced line that is not closed.
pub(super) fn open(line: &[Point], pixel_mm: f64) -> Option<Curve> {
    // There and back again, it is a closed line.
    let back = line.iter().rev().skip(1).take(line.len().saturating_sub(2));
    let both: Vec<Point> = line.iter().chain(back).copied().collect();
    let points = evenly(&both, STEP_PX * pixel_mm);
    let last = points.len() / 2;
    if last < 8 {
        return None;
    }
    let in_steps = |mm: f64| whole(mm / (STEP_PX * pixel_mm));
    let reach = in_steps(REACH_MM).clamp(4, (points.len() / 8).max(4));
    let margin = in_steps(ROUNDED_MM).max(2);
    let inner =
        corners(&points, reach).into_iter().filter(|at| (reach..=last - reach.min(last)).contains(at));
    let at: Vec<usize> = std::iter::once(0).chain(inner).chain([last]).collect();
    let mut spans: Vec<Curve> = Vec::new();
    for pair in at.windows(2) {
        let &[from, to] = pair else { continue };
        let margin = margin.min((to - from) / 3);
        // The ends of the line are no corners: nothing is rounded there.
        let from = if from == 0 { 0 } else { from + margin };
        let to = if to == last { last } else { to - margin };
        spans.push(fitted(points.get(from..=to)?, pixel_mm)?);
    }
    for next in 1..spans.len() {
        let near = *points.get(*at.get(next)?)?;
        let (before, after) = (spans.get(next - 1)?.clone(), spans.get(next)?.clone());
        let (before, after) = brought_together(&before, &after, near, 3.0 * ROUNDED_MM)
            .unwrap_or_else(|| (met(&before, None, Some(near)), met(&after, Some(near), None)));
        *spans.get_mut(next - 1)? = before;
        *spans.get_mut(next)? = after;
    }
    let all: Vec<Segment> = spans.iter().flat_map(|span| span.segments().iter().copied()).collect();
    Curve::new(all).ok()
}

/// A curve whose ends are moved; only the segments at its ends change.
fn met(curve: &Curve, start: Option<Point>, end: Option<Point>) -> Curve {
    let mut segments = curve.segments().to_vec();
    if let (Some(start), Some(first)) = (start, segments.first_mut()) {
        *first = with_end(&first.reversed(), start).reversed();
    }
    if let (Some(end), Some(last)) = (end, segments.last_mut()) {
        *last = with_end(last, end);
    }
    Curve::new(segments).unwrap_or_else(|_| curve.clone())
}

fn with_end(segment: &Segment, end: Point) -> Segment {
    match segment {
        Segment::Line(line) => Segment::line(line.p0, end),
        Segment::Cubic(cubic) => {
            let by = end - cubic.p3;
            Segment::Cubic(CubicBez { p2: cubic.p2 + by, p3: end, ..*cubic })
        }
        Segment::Arc(_) => Segment::line(segment.start(), end),
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped before")]
pub(super) fn whole(steps: f64) -> usize {
    steps.round().clamp(0.0, 1e6) as usize
}

/// A straight line or a few cubics through points.
fn fitted(points: &[Point], pixel_mm: f64) -> Option<Curve> {
    let (first, last) = (*points.first()?, *points.last()?);
    if points.len() < 3 || first.distance(last) <= 0.0 {
        return None;
    }
    let line = straight(points);
    let along = (line.p1 - line.p0).normalize();
    let off = points.iter().map(|point| along.cross(*point - line.p0).abs()).fold(0.0, f64::max);
    if off <= (STRAIGHT_PX * pixel_mm).max(STRAIGHT_MM) {
        return Some(Curve::line(line.p0, line.p1));
    }
    let knots = knots(points, pixel_mm);
    let last = knots.len() - 1;
    // A smooth curve through the knots (cubic Hermite, slopes by central differences), then few cubics for it.
    let slope = |index: usize| match index {
        0 => knots[1] - knots[0],
        _ if index == last => knots[last] - knots[last - 1],
        _ => 0.5 * (knots[index + 1] - knots[index - 1]),
    };
    let spans: Vec<CubicBez> = (0..last)
        .map(|index| {
            let (from, to) = (knots[index], knots[index + 1]);
            CubicBez::new(from, from + slope(index) / 3.0, to - slope(index + 1) / 3.0, to)
        })
        .collect();
    let (mut places, mut tangents) = (Vec::new(), Vec::new());
    let mut sample = |cubic: &CubicBez, t: f64| {
        let slope = cubic.deriv().eval(t).to_vec2();
        let slope = if slope.hypot() > 0.0 { slope } else { cubic.p3 - cubic.p0 };
        if slope.hypot() > 0.0 {
            places.push(cubic.eval(t));
            tangents.push(slope.normalize());
        }
    };
    for cubic in &spans {
        (0..SAMPLES).for_each(|step| sample(cubic, f64::from(step) / f64::from(SAMPLES)));
    }
    sample(spans.last()?, 1.0);
    Curve::new(few::cubics(&places, &tangents, (FIT_PX * pixel_mm).max(FIT_MM))).ok()
}

/// Points along a stretch, each the average of its surroundings, at about equal distances; at the ends the line that
/// lies closest to the first and last points says where it begins and ends.
fn knots(points: &[Point], pixel_mm: f64) -> Vec<Point> {
    let in_points = |mm: f64| whole(mm / (STEP_PX * pixel_mm)).max(1);
    let count = points.len();
    let number = (count / in_points(KNOT_MM)).max(2);
    let reach = in_points(AROUND_MM);
    let end = (2 * reach).clamp(2, count);
    let mut knots: Vec<Point> = (1..number)
        .map(|knot| {
            let index = knot * (count - 1) / number;
            let reach = reach.min(index).min(count - 1 - index);
            let around = &points[index - reach..=index + reach];
            #[expect(clippy::cast_precision_loss, reason = "a handful of points")]
            let of = around.len() as f64;
            (around.iter().fold(Vec2::ZERO, |sum, point| sum + point.to_vec2()) / of).to_point()
        })
        .collect();
    knots.insert(0, straight(&points[..end]).p0);
    knots.push(straight(&points[count - end..]).p1);
    knots
}

/// The line that lies closest to points in the sense of least squares, from the first to the last.
pub(super) fn straight(points: &[Point]) -> Line {
    #[expect(clippy::cast_precision_loss, reason = "points on a page")]
    let count = points.len() as f64;
    let middle = points.iter().fold(Vec2::ZERO, |sum, point| sum + point.to_vec2()) / count;
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for point in points {
        let off = point.to_vec2() - middle;
        xx += off.x * off.x;
        xy += off.x * off.y;
        yy += off.y * off.y;
    }
    let along = Vec2::from_angle(0.5 * (2.0 * xy).atan2(xx - yy));
    let on = |point: Point| (middle + along.dot(point.to_vec2() - middle) * along).to_point();
    let (first, last) =
        (points.first().copied().unwrap_or_default(), points.last().copied().unwrap_or_default());
    Line::new(on(first), on(last))
}
