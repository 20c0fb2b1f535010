//! Lines that are drawn inside outlines and on them: grainlines with their heads, darts, ticks, lines to be marked.
//!
//! What is left of the ink without the outlines is thinned ([`skeleton`]). A long straight way whose ends have a short way
//! back on either side is an arrow. Other ways are lines, if they are long enough to be no dirt and no letters. Ink of an
//! outline was taken away with it: a line that stood on it is carried on to it again.

use super::super::drawing::Arrows;
use super::blobs::{Blobs, Pixel};
use super::skeleton::{self, Path, Skeleton};
use super::trace::Near;
use super::{Scale, WIDEST_MM, fit};
use crate::geometry::{Curve, Point, Rect, Vec2};

/// A line that stands alone is at least so long, in mm; shorter are specks, dashes and letters.
const SHORTEST_MM: f64 = 8.0;

/// A line that stands alone and is shorter than this is nearly straight: its ends are apart by this part of its length.
const SMALL_MM: f64 = 20.0;
const NEARLY_STRAIGHT: f64 = 0.9;

/// A tick that stands on the outline is at least so long, in mm.
const TICK_MM: f64 = 3.0;

/// What reaches out of an outline by less than this is its own roughness, in mm.
const ROUGH_MM: f64 = 1.2;

/// A line is so many times as long as wide.
const SLENDER: f64 = 4.0;

/// Short lines lie this close to a straight one, in mm.
const TICK_STRAIGHT_MM: f64 = 0.25;

/// The direction at an end is that of so many mm.
const END_MM: f64 = 2.0;

/// The stem of an arrow is at least so long, and the sides of its head at most and at least so, in mm.
const STEM_MM: f64 = 30.0;
const SIDE_MM: std::ops::RangeInclusive<f64> = 1.2..=25.0;

/// A stem leaves the straight by less than this, in mm, or this part of its length.
const STEM_STRAIGHT_MM: f64 = 0.5;
const STEM_STRAIGHT: f64 = 0.004;

/// The sides of a head stand at such angles to the stem, alike within the second, in radians (9° to 110°, 20°).
const SIDE_ANGLES: std::ops::RangeInclusive<f64> = 0.16..=1.92;
const SIDES_ALIKE: f64 = 0.35;

/// The shorter side of a head has at least this part of the longer.
const AS_LONG: f64 = 0.55;

/// Nodes of a head lie so many widths apart at most.
const HEAD_WIDTHS: f64 = 4.0;

/// The point of a filled head reaches so far beyond where its sides meet, in mm.
const POINT_MM: f64 = 12.0;

/// The two halves of a tick across the outline begin this close, and go on within this angle, in radians (20°).
const HALVES_MM: f64 = 1.2;
const HALVES_TURN: f64 = 0.35;

/// A line of a picture that was understood.
pub(super) struct Mark {
    pub(super) curve: Curve,
    pub(super) arrows: Arrows,
    /// Whether it begins on an outline.
    stands: bool,
}

/// An outline whose ink was taken away.
pub(super) struct Drawn<'a> {
    pub(super) line: Near<'a>,
    /// How far from the line its ink was taken, in mm.
    pub(super) reach_mm: f64,
}

impl Drawn<'_> {
    fn is_near(&self, at: Point) -> bool {
        self.line.nearest(at).is_some_and(|on| on.distance(at) <= self.reach_mm)
    }
}

/// The lines on an outline: the pixels are all of its ink.
pub(super) fn on_outline(pixels: Vec<Pixel>, outline: &Drawn<'_>, scale: &Scale) -> Vec<Mark> {
    let rest = pixels.into_iter().filter(|pixel| !outline.is_near(scale.middle(*pixel))).collect();
    let mut marks: Vec<Mark> = Vec::new();
    for pixels in Blobs::of_pixels(rest).pixels(|_| true).into_values() {
        marks.extend(
            skeleton::of(&pixels, &|at| scale.on_sheet(at))
                .into_iter()
                .flat_map(|lines| ways(lines, Some(outline), ROUGH_MM, scale)),
        );
    }
    let mut joined: Vec<Mark> = Vec::new();
    for mark in marks {
        let half = joined.iter_mut().find_map(|other| across(other, &mark).map(|line| (other, line)));
        match half {
            Some((other, line)) => other.curve = line,
            None => joined.push(mark),
        }
    }
    joined.retain(|mark| mark.curve.length() >= if mark.stands { TICK_MM } else { SHORTEST_MM });
    joined
}

/// The line of two halves that stand on either side of the outline.
fn across(one: &Mark, other: &Mark) -> Option<Curve> {
    let (one, other) = (one.stands.then_some(&one.curve)?, other.stands.then_some(&other.curve)?);
    let meet = one.start().distance(other.start()) <= HALVES_MM;
    let (a, b) = (one.end() - one.start(), other.end() - other.start());
    let on = (-a).cross(b).atan2((-a).dot(b)).abs() <= HALVES_TURN;
    let short = one.length().max(other.length()) <= SMALL_MM;
    (meet && on && short).then(|| Curve::line(one.end(), other.end()))
}

/// The lines of ink that touches no outline; nothing where it is none, or too small.
pub(super) fn alone(pixels: &[Pixel], scale: &Scale) -> Vec<Mark> {
    let Some(lines) = skeleton::of(pixels, &|at| scale.on_sheet(at)) else { return Vec::new() };
    let ends = lines.paths.iter().flat_map(|path| &path.points);
    let bounds = ends.map(|at| Rect::from_points(*at, *at)).reduce(|a, b| a.union(b));
    let across = bounds.map_or(0.0, |bounds| bounds.width().hypot(bounds.height()));
    // Small things with branches are letters.
    if across < SMALL_MM {
        let [path] = &lines.paths[..] else { return Vec::new() };
        let [first, last] = [path.points.first(), path.points.last()];
        let apart = first.zip(last).map_or(0.0, |(first, last)| first.distance(*last));
        if apart < NEARLY_STRAIGHT * path.length() {
            return Vec::new();
        }
    }
    ways(lines, None, SHORTEST_MM, scale)
}

/// The arrows and lines of a skeleton.
fn ways(lines: Skeleton, outline: Option<&Drawn<'_>>, shortest_mm: f64, scale: &Scale) -> Vec<Mark> {
    if lines.width > WIDEST_MM {
        return Vec::new();
    }
    let mut taken = vec![false; lines.paths.len()];
    let mut marks = Vec::new();
    for stem in 0..lines.paths.len() {
        if let Some((mark, parts)) = arrow(&lines, stem).filter(|_| !taken[stem]) {
            marks.push(mark);
            parts.into_iter().for_each(|part| taken[part] = true);
        }
    }
    let degrees = lines.degrees();
    for (path, _) in lines.paths.iter().zip(&taken).filter(|(_, taken)| !**taken) {
        let is_end = path.ends.map(|node| degrees.get(node) == Some(&1));
        let Some((points, stands)) = carried_on(path, is_end, outline, lines.width) else { continue };
        let long = Path { ends: path.ends, points: points.clone() }.length();
        let reaches = outline.is_none_or(|outline| {
            let out = points
                .iter()
                .any(|at| outline.line.nearest(*at).is_none_or(|on| on.distance(*at) >= ROUGH_MM));
            out && (stands || long >= SHORTEST_MM)
        });
        if long < shortest_mm || long < SLENDER * lines.width.min(0.5 * TICK_MM) || !reaches {
            continue;
        }
        let curve = drawn(&points, scale.pixel_mm());
        marks.extend(curve.map(|curve| Mark { curve, arrows: Arrows::default(), stands }));
    }
    marks
}

/// A straight line where points lie close to one, else few curves.
fn drawn(points: &[Point], pixel_mm: f64) -> Option<Curve> {
    let line = fit::straight(points);
    let along = line.p1 - line.p0;
    let off = points.iter().map(|at| along.cross(*at - line.p0).abs()).fold(0.0, f64::max);
    if along.hypot() > 0.0 && along.hypot() <= SMALL_MM && off <= TICK_STRAIGHT_MM * along.hypot() {
        return Some(Curve::line(line.p0, line.p1));
    }
    fit::open(points, pixel_mm)
}

/// The points of a way, with free ends carried on by the half width that thinning took, and ends at an outline carried on to
/// it; it begins at the outline where one end does, which the second value tells.
fn carried_on(
    path: &Path,
    is_end: [bool; 2],
    outline: Option<&Drawn<'_>>,
    width: f64,
) -> Option<(Vec<Point>, bool)> {
    let mut points = path.points.clone();
    let mut stands = [false; 2];
    for (end, is_end) in is_end.into_iter().enumerate() {
        points.reverse();
        if !is_end {
            continue;
        }
        // The thinned end bends into a corner of the ink's.
        let cut = 0.6 * width;
        let tip = *points.last()?;
        let room = points.first()?.distance(tip) > 3.0 * width;
        while room && points.len() > 2 && points.last()?.distance(tip) < cut {
            points.pop();
        }
        let last = *points.last()?;
        let back = points.iter().rev().find(|at| at.distance(last) >= END_MM).or(points.first())?;
        let along = last - *back;
        if along.hypot() <= 0.0 {
            continue;
        }
        let along = along.normalize();
        let foot = outline.and_then(|outline| {
            let on = outline.line.nearest(last)?;
            let away = on - last;
            let steep = away.normalize().dot(along);
            let near = away.hypot() <= outline.reach_mm + 2.0 * width;
            (near && steep > 0.3).then(|| last + away.hypot() / steep * along)
        });
        stands[end] = foot.is_some();
        points.push(foot.unwrap_or_else(|| last + ((tip - last).dot(along).max(0.0) + 0.5 * width) * along));
    }
    // Both ends were turned to; they are in their order again.
    if stands[1] && !stands[0] {
        points.reverse();
    }
    Some((points, stands[0] || stands[1]))
}

/// A straight way with the sides of a head at one of its ends or both, and the ways that it is drawn with.
fn arrow(lines: &Skeleton, stem: usize) -> Option<(Mark, Vec<usize>)> {
    let path = &lines.paths[stem];
    let length = path.length();
    if length < STEM_MM || path.ends[0] == path.ends[1] {
        return None;
    }
    // Where a head joins it, the middle of the ink is not the stem's.
    let inner: Vec<Point> = {
        let margin = (HEAD_WIDTHS * lines.width).min(0.2 * length);
        let [first, last] = [*path.points.first()?, *path.points.last()?];
        path.points.iter().copied().filter(|at| at.distance(first).min(at.distance(last)) > margin).collect()
    };
    let line = fit::straight(&inner);
    let along = (line.p1 - line.p0).normalize();
    let off = inner.iter().map(|at| along.cross(*at - line.p0).abs()).fold(0.0, f64::max);
    if off > STEM_STRAIGHT_MM.max(STEM_STRAIGHT * length) {
        return None;
    }
    let mut parts = vec![stem];
    let mut has_head = [false; 2];
    let mut ends = [*path.points.first()?, *path.points.last()?];
    for (end, inward) in [(0, along), (1, -along)] {
        if let Some((sides, tip)) = head(lines, stem, path.ends[end], inward) {
            has_head[end] = true;
            parts.extend(sides);
            ends[end] = tip;
        }
    }
    let on = |at: Point| line.p0 + along.dot(at - line.p0) * along;
    let arrows = Arrows { start: has_head[0], end: has_head[1] };
    let curve = Curve::line(on(ends[0]), on(ends[1]));
    has_head.contains(&true).then_some((Mark { curve, arrows, stands: false }, parts))
}

/// The sides of a head about a node, and its point; `inward` is the direction of the stem from there. Everything that ends
/// there belongs to the head, or there is none.
fn head(lines: &Skeleton, stem: usize, node: usize, inward: Vec2) -> Option<(Vec<usize>, Point)> {
    let short = HEAD_WIDTHS * lines.width;
    let degrees = lines.degrees();
    let mut nodes = vec![node];
    let mut parts: Vec<usize> = Vec::new();
    let mut sides: Vec<(f64, f64)> = Vec::new();
    let at = lines.paths[stem].end_at(node)?;
    let mut tip = at;
    let mut next = 0;
    while let Some(&from) = nodes.get(next) {
        next += 1;
        for index in lines.at(from).filter(|index| *index != stem) {
            if parts.contains(&index) {
                continue;
            }
            let path = &lines.paths[index];
            let to = if path.ends[0] == from { path.ends[1] } else { path.ends[0] };
            let end = path.end_at(to)?;
            let angle = inward.cross(end - at).atan2(inward.dot(end - at));
            let length = end.distance(at);
            parts.push(index);
            if degrees.get(to) != Some(&1) {
                // From node to node within the head.
                if path.length() > short || nodes.len() > 4 {
                    return None;
                }
                if !nodes.contains(&to) {
                    nodes.push(to);
                }
            } else if SIDE_ANGLES.contains(&angle.abs()) && SIDE_MM.contains(&length) {
                sides.push((angle, length));
            } else if angle.abs() > *SIDE_ANGLES.end() && length <= POINT_MM {
                tip = end;
            } else {
                return None;
            }
        }
    }
    let [one, other] = sides[..] else { return None };
    let alike = (one.0 + other.0).abs() <= SIDES_ALIKE && one.1.min(other.1) >= AS_LONG * one.1.max(other.1);
    // Thinning takes half a width off the point.
    alike.then_some((parts, tip - 0.5 * lines.width * inward))
}
