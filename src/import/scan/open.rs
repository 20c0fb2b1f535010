//! Lines that are drawn and not closed: a grainline, a dart's leg, an outline with a gap.
//!
//! The border of such a line runs to its end, turns round, and comes back beside itself. Both ends are told by that
//! turn; the line runs midway between the two sides. What branches or changes its width is no line.

use super::WIDEST_MM;
use super::corners::evenly;
use super::fit::whole;
use super::trace::Near;
use crate::geometry::{Point, Vec2};
use crate::pattern::signed_area;

/// A line is at least so many widths long.
const LEAST_LENGTH: f64 = 8.0;

/// An end is looked for so many widths back and forth along the border.
const LOOK_WIDTHS: f64 = 4.0;

/// At an end, the border that was followed back and forth comes this close to itself, as a part of the way; a corner of
/// 40° comes to a third.
const TURNED: f64 = 0.3;

/// The width of a line changes at most between these parts of its average.
const EVEN: std::ops::RangeInclusive<f64> = 0.5..=1.6;

/// What is wider than that over so many mm, within so many of an end, is an arrowhead.
const WIDE_MM: f64 = 2.0;
const HEAD_MM: f64 = 20.0;

/// The points midway in a line that is drawn and not closed, from end to end; `None` where a border is not that of one.
pub(super) fn middle(border: &[Point], pixel_mm: f64) -> Option<Vec<Point>> {
    let points = evenly(border, pixel_mm);
    let count = points.len();
    // A strip of length l and width w: half of its way round is l + w, and its area l·w.
    #[expect(clippy::cast_precision_loss, reason = "points on a page")]
    let half = 0.5 * pixel_mm * count as f64;
    let left = half * half - 4.0 * signed_area(&points).abs();
    let width = 0.5 * (half - left.max(0.0).sqrt());
    if width > WIDEST_MM || half < LEAST_LENGTH * width {
        return None;
    }
    let steps = |mm: f64| whole(mm / pixel_mm);
    let look = steps(LOOK_WIDTHS * width).max(6);
    if count < 4 * look {
        return None;
    }
    let [first, second] = ends(&points, look)?;
    let side = |from: usize, to: usize| -> Vec<Point> {
        let length = (to + count - from) % count;
        (0..=length).map(|step| points[(from + step) % count]).collect()
    };
    let (there, back) = (side(first, second), side(second, first));
    let beside = Near::of(&back, WIDEST_MM);
    let margin = steps(width) + 1;
    let inner = there.get(margin..there.len().checked_sub(margin)?)?;
    let pairs: Vec<(Point, Point)> =
        inner.iter().filter_map(|at| beside.nearest(*at).map(|other| (*at, other))).collect();
    let even = pairs.iter().filter(|(at, other)| EVEN.contains(&(at.distance(*other) / width))).count();
    if 10 * even < 9 * inner.len() || pairs.len() < 2 {
        return None;
    }
    // A filled arrowhead at either end: ink that branches says more of it.
    let is_wide =
        |at: &Point| beside.nearest(*at).is_none_or(|other| at.distance(other) > EVEN.end() * width);
    let end = steps(HEAD_MM).min(inner.len() / 2);
    let wide = [&inner[..end], &inner[inner.len() - end..]];
    if wide.iter().any(|end| end.iter().filter(|at| is_wide(at)).count() > steps(WIDE_MM)) {
        return None;
    }
    // The end of the pen's stroke: the middle of the way round it.
    let tip = |index: usize| {
        let reach = steps(0.25 * width).max(1);
        let around = (0..=2 * reach).map(|step| points[(index + count + step - reach) % count].to_vec2());
        #[expect(clippy::cast_precision_loss, reason = "a handful of points")]
        let of = (2 * reach + 1) as f64;
        (around.fold(Vec2::ZERO, |sum, at| sum + at) / of).to_point()
    };
    let midway = pairs.iter().map(|(at, other)| at.midpoint(*other));
    Some(std::iter::once(tip(first)).chain(midway).chain([tip(second)]).collect())
}

/// The two places at which a border turns round; `None` where it does so once or more often than twice.
fn ends(points: &[Point], look: usize) -> Option<[usize; 2]> {
    let count = points.len();
    let way = |from: usize, to: usize| points[from % count].distance(points[to % count]);
    let long: f64 = (0..2 * look).map(|step| way(step, step + 1)).sum();
    let apart = |index: usize| way(index + count - look, index + look);
    let close = |index: usize| apart(index) < TURNED * long;
    let start = (0..count).find(|index| !close(*index))?;
    let mut found: Vec<usize> = Vec::new();
    let mut nearest: Option<usize> = None;
    for index in (start..=start + count).map(|index| index % count) {
        if close(index) {
            nearest = match nearest {
                Some(known) if apart(known) <= apart(index) => Some(known),
                _ => Some(index),
            };
        } else if let Some(end) = nearest.take() {
            found.push(end);
        }
    }
    <[usize; 2]>::try_from(found).ok()
}
