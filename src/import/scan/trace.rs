//! Borders of what is dark, between the pixels, and the lines that run midway between two borders.

use super::WIDEST_MM;
use super::error::ScanError;
use super::open;
use super::picture::Picture;
use super::skeleton::LARGEST_BOX;
use crate::geometry::{Point, Rect, Vec2};
use crate::pattern::signed_area;
use std::collections::BTreeMap;

/// More pieces of border than this are specks.
const MOST_STEPS: usize = 24_000_000;

/// The two borders of a line lie at most this far apart, in mm: a felt pen.
const WIDEST_LINE_MM: f64 = 6.0;

/// The width of a line is between these parts of its average where it runs alone.
const EVEN: std::ops::RangeInclusive<f64> = 0.5..=1.3;

/// A line around several holes is even along this part of it at least.
const LEAST_EVEN: f64 = 0.8;

/// A hole of a drawn line is at least this part of what its outer border holds.
const LEAST_HOLE: f64 = 0.5;

/// Borders of what is darker than a level, each closed, in pixels from the upper left corner, y down.
///
/// Marching squares: between four neighbouring pixels the border runs from side to side of their square, dark on its
/// left as seen with y down; where it crosses a side is interpolated from the greys at both ends. Around the picture
/// all is paper.
pub(super) fn borders(picture: &Picture, level: f64) -> Result<Vec<Vec<Point>>, ScanError> {
    let (width, height) = (u64::from(picture.width) + 2, u64::from(picture.height) + 2);
    // A side is numbered by its upper or left corner: even across, odd down.
    let across = |x: u64, y: u64| 2 * (y * width + x);
    let down = |x: u64, y: u64| 2 * (y * width + x) + 1;
    let mut steps: Vec<(u64, u64)> = Vec::new();
    let paper = vec![255_u8; picture.width as usize + 2];
    let padded = |y: u64| -> Vec<u8> {
        match u32::try_from(y).ok().and_then(|y| y.checked_sub(1)).filter(|y| *y < picture.height) {
            Some(y) => std::iter::once(255).chain(picture.row(y).iter().copied()).chain([255]).collect(),
            None => paper.clone(),
        }
    };
    let dark = |grey: u8| f64::from(grey) < level;
    let mut upper = padded(0);
    for y in 0..height - 1 {
        let lower = padded(y + 1);
        let pairs = upper.windows(2).zip(lower.windows(2));
        for (x, (above, below)) in (0..width - 1).zip(pairs) {
            let (&[a, b], &[d, c]) = (above, below) else { continue };
            let (top, right, bottom, left) = (across(x, y), down(x + 1, y), across(x, y + 1), down(x, y));
            let mut go = |from, to| steps.push((from, to));
            match (dark(a), dark(b), dark(c), dark(d)) {
                (false, false, false, false) | (true, true, true, true) => {}
                (true, false, false, false) => go(left, top),
                (false, true, false, false) => go(top, right),
                (false, false, true, false) => go(right, bottom),
                (false, false, false, true) => go(bottom, left),
                (true, true, false, false) => go(left, right),
                (false, true, true, false) => go(top, bottom),
                (false, false, true, true) => go(right, left),
                (true, false, false, true) => go(bottom, top),
                (false, true, true, true) => go(top, left),
                (true, false, true, true) => go(right, top),
                (true, true, false, true) => go(bottom, right),
                (true, true, true, false) => go(left, bottom),
                (first, ..) => {
                    // A saddle: what the middle is decides which of the two corners hang together.
                    let middle = [a, b, c, d].map(f64::from).iter().sum::<f64>() / 4.0 < level;
                    let ways = match (first, middle) {
                        (true, false) => [(left, top), (right, bottom)],
                        (true, true) => [(right, top), (left, bottom)],
                        (false, false) => [(top, right), (bottom, left)],
                        (false, true) => [(top, left), (bottom, right)],
                    };
                    ways.into_iter().for_each(|(from, to)| go(from, to));
                }
            }
        }
        if steps.len() > MOST_STEPS {
            return Err(ScanError::TooRestless);
        }
        upper = lower;
    }
    steps.sort_unstable();
    let grey_at = |x: u64, y: u64| -> f64 {
        let pixel = |at: u64| u32::try_from(at).ok().and_then(|at| at.checked_sub(1));
        let row = pixel(y).filter(|y| *y < picture.height).map(|y| picture.row(y));
        let grey = row.and_then(|row| row.get(pixel(x)? as usize)).copied().unwrap_or(255);
        f64::from(grey)
    };
    // Middles of pixels lie half a pixel from the corner; the padding adds one.
    #[expect(clippy::cast_precision_loss, reason = "coordinates of pixels")]
    let place = |side: u64| {
        let (corner, is_down) = (side / 2, side % 2 == 1);
        let (x, y) = (corner % width, corner / width);
        let (one, other) = (grey_at(x, y), if is_down { grey_at(x, y + 1) } else { grey_at(x + 1, y) });
        let part =
            if (other - one).abs() > 0.0 { ((level - one) / (other - one)).clamp(0.0, 1.0) } else { 0.5 };
        let (dx, dy) = if is_down { (0.0, part) } else { (part, 0.0) };
        Point::new(x as f64 - 0.5 + dx, y as f64 - 0.5 + dy)
    };
    let mut seen = vec![false; steps.len()];
    let mut borders = Vec::new();
    for first in 0..steps.len() {
        let mut border = Vec::new();
        let mut at = first;
        while !std::mem::replace(&mut seen[at], true) {
            let (from, to) = steps[at];
            border.push(place(from));
            match steps.binary_search_by_key(&to, |(from, _)| *from) {
                Ok(next) => at = next,
                Err(_) => break,
            }
        }
        if border.len() > 3 {
            borders.push(border);
        }
    }
    Ok(borders)
}

/// A border and the thing whose border it is.
pub(super) struct Border {
    pub(super) points: Vec<Point>,
    pub(super) blob: usize,
}

/// A line by its points.
pub(super) struct Traced {
    pub(super) points: Vec<Point>,
    pub(super) closed: bool,
    pub(super) blob: usize,
    /// How wide it is drawn, where it runs midway between two borders.
    pub(super) width: Option<f64>,
}

/// The lines of a picture, and the things that are lines with branches.
pub(super) struct Lines {
    pub(super) traced: Vec<Traced>,
    /// With their outer borders.
    pub(super) branched: Vec<(usize, Vec<Point>)>,
}

impl Lines {
    /// Whether a thing is one of the lines, or has branches.
    pub(super) fn holds(&self, blob: usize) -> bool {
        self.traced.iter().any(|line| line.blob == blob) || self.branched.iter().any(|(own, _)| *own == blob)
    }
}

/// The lines of a picture: midway between the borders of a drawn line, or the two sides of one that is not closed, or
/// the border of a dark piece. `borders` are in mm, y up; a border of the page itself is left out.
pub(super) fn lines(borders: Vec<Border>, page: Rect, pixel_mm: f64) -> Lines {
    let areas: Vec<f64> = borders.iter().map(|border| signed_area(&border.points)).collect();
    // With y up, what is dark lies on one side: outer borders and holes run against each other.
    let is_outer = |at: usize| areas[at] > 0.0;
    let mut taken = vec![false; borders.len()];
    let mut order: Vec<usize> = (0..borders.len()).collect();
    order.sort_by(|a, b| areas[*b].abs().total_cmp(&areas[*a].abs()));
    let mut found = Lines { traced: Vec::new(), branched: Vec::new() };
    for &outer in order.iter().filter(|at| is_outer(**at)) {
        let Border { points, blob } = &borders[outer];
        let near = Near::of(points, WIDEST_LINE_MM);
        let own: Vec<usize> = order
            .iter()
            .copied()
            .filter(|at| !is_outer(*at) && !taken[*at] && borders[*at].blob == *blob)
            .collect();
        let held: f64 = own.iter().map(|hole| areas[*hole].abs()).sum();
        let is_line = own.iter().any(|hole| {
            let share = areas[*hole].abs() / areas[outer];
            (LEAST_HOLE..1.0).contains(&share) && near.runs_along(&borders[*hole].points)
        });
        let midway = (held >= LEAST_HOLE * areas[outer])
            .then(|| midway(points, &Near::of_all(own.iter().map(|hole| &borders[*hole].points[..]))))
            .flatten();
        if let Some((points, width, _)) = midway.filter(|(_, _, share)| is_line || *share >= LEAST_EVEN) {
            own.iter().for_each(|hole| taken[*hole] = true);
            found.traced.push(Traced { points, closed: true, blob: *blob, width: Some(width) });
            continue;
        }
        let bounds = points.iter().map(|at| Rect::from_points(*at, *at)).reduce(|a, b| a.union(b));
        let of_page = bounds.is_some_and(|bounds| {
            let off = [bounds.x0 - page.x0, bounds.y0 - page.y0, page.x1 - bounds.x1, page.y1 - bounds.y1];
            off.iter().all(|off| off.abs() <= 2.0 * pixel_mm)
        });
        if of_page {
            continue;
        }
        if let Some(points) = open::middle(points, pixel_mm) {
            found.traced.push(Traced { points, closed: false, blob: *blob, width: None });
            continue;
        }
        let round = |at: usize| -> f64 {
            let points = &borders[at].points;
            points.iter().zip(points.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum()
        };
        let way: f64 = own.iter().copied().chain([outer]).map(round).sum();
        let pixels = bounds.map_or(0.0, |bounds| bounds.area()) / (pixel_mm * pixel_mm);
        #[expect(clippy::cast_precision_loss, reason = "far below what an f64 counts exactly")]
        let fits = pixels < 0.9 * LARGEST_BOX as f64;
        // Half of the way round ink is about its length.
        if fits && areas[outer] - held <= WIDEST_MM * 0.5 * way {
            own.iter().for_each(|hole| taken[*hole] = true);
            found.branched.push((*blob, points.clone()));
        } else {
            found.traced.push(Traced { points: points.clone(), closed: true, blob: *blob, width: None });
        }
    }
    // A light piece on a dark ground is a hole.
    for &hole in order.iter().filter(|at| !is_outer(**at) && !taken[**at]) {
        let mut points = borders[hole].points.clone();
        points.reverse();
        found.traced.push(Traced { points, closed: true, blob: borders[hole].blob, width: None });
    }
    found
}

/// The points of borders, to be found by place.
pub(super) struct Near<'a> {
    borders: Vec<&'a [Point]>,
    square_mm: f64,
    grid: BTreeMap<[i64; 2], Vec<(usize, usize)>>,
}

impl<'a> Near<'a> {
    pub(super) fn of(border: &'a [Point], square_mm: f64) -> Self {
        Self::of_each(vec![border], square_mm)
    }

    fn of_all(borders: impl Iterator<Item = &'a [Point]>) -> Self {
        Self::of_each(borders.collect(), WIDEST_LINE_MM)
    }

    fn of_each(borders: Vec<&'a [Point]>, square_mm: f64) -> Self {
        let mut near = Self { borders, square_mm, grid: BTreeMap::new() };
        for (of, border) in near.borders.clone().into_iter().enumerate() {
            for (index, point) in border.iter().enumerate() {
                let key = near.square(*point);
                near.grid.entry(key).or_default().push((of, index));
            }
        }
        near
    }

    #[expect(clippy::cast_possible_truncation, reason = "places on a page")]
    fn square(&self, at: Point) -> [i64; 2] {
        [at.x, at.y].map(|x| (x / self.square_mm).floor() as i64)
    }

    /// The place on the border nearest to a point, if one is within a square's side.
    pub(super) fn nearest(&self, at: Point) -> Option<Point> {
        let [x, y] = self.square(at);
        let keys = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| [x, y]));
        let points = keys.filter_map(|key| self.grid.get(&key)).flatten().copied();
        let away = |(of, index): (usize, usize)| self.borders[of][index].distance_squared(at);
        let (of, index) = points.min_by(|a, b| away(*a).total_cmp(&away(*b)))?;
        let border = self.borders[of];
        let count = border.len();
        let own = border[index];
        let beside = [border[(index + count - 1) % count], border[(index + 1) % count]];
        let on = beside.map(|other| nearest_on(own, other, at));
        on.into_iter()
            .min_by(|a, b| a.distance_squared(at).total_cmp(&b.distance_squared(at)))
            .filter(|place| place.distance(at) <= self.square_mm)
    }

    /// Whether another border runs along this one all the way.
    fn runs_along(&self, other: &[Point]) -> bool {
        let step = (other.len() / 200).max(1);
        let (mut with, mut all) = (0_usize, 0_usize);
        for at in other.iter().step_by(step) {
            all += 1;
            with += usize::from(self.nearest(*at).is_some());
        }
        // Where another line ends on this one, they part for a moment.
        10 * with >= 9 * all
    }
}

fn nearest_on(from: Point, to: Point, at: Point) -> Point {
    let along: Vec2 = to - from;
    let part =
        if along.hypot2() > 0.0 { ((at - from).dot(along) / along.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
    from + part * along
}

/// Midway between the outer border of a line and the holes inside it, with the width of the line and the part of the
/// border along which that is even. Where another line begins, the border of a hole leaves this one, or this one the
/// line: the other of the two tells where the line runs.
fn midway(outer: &[Point], holes: &Near<'_>) -> Option<(Vec<Point>, f64, f64)> {
    let pairs: Vec<(Point, Point)> =
        outer.iter().filter_map(|at| holes.nearest(*at).map(|other| (*at, other))).collect();
    let mut widths: Vec<f64> = pairs.iter().map(|(at, other)| at.distance(*other)).collect();
    widths.sort_by(f64::total_cmp);
    let width = *widths.get(widths.len() / 2)?;
    let line: Vec<Point> = pairs
        .iter()
        .filter(|(at, other)| EVEN.contains(&(at.distance(*other) / width)))
        .map(|(at, other)| at.midpoint(*other))
        .collect();
    #[expect(clippy::cast_precision_loss, reason = "points on a page")]
    let share = line.len() as f64 / outer.len().max(1) as f64;
    (line.len() > 3).then_some((line, width, share))
}
