//! Filled shapes that regions cut, closed again.
//!
//! What shows of a filled shape is bounded by those parts of its outline that lie in the regions, and by those parts of
//! the regions' borders that lie in the shape. A thin shape stands for a line, and is closed straight across where it
//! was cut.
//!
//! **Limit.** The stretches of one path are closed each by itself: a hole that a border runs through is a shape beside the
//! one that it was cut out of.

use super::super::{Runs, tidy};
use super::{CHORD_MM, ON_EDGE_MM, Region, SAMPLES, Side, Work, apart, around};
use crate::geometry::{Curve, Point, Segment, Vec2};
use crate::import::drawing::Stroke;
use crate::pattern::signed_area;

/// Ends of a filled shape that was cut are closed by a straight line when they lie this close to each other, in mm:
/// twice the thickest line that a filled shape is taken for. A shape that is wider on average is no line.
const WIDEST_END_MM: f64 = 4.0;

/// Most parts of one filled shape that are closed again.
const MOST_ENDS: usize = 64;

/// Most parts of a shape and of the borders in it that are put together: each is held against each.
const MOST_PARTS: usize = 256;

/// The outline of a shape and a border end this close to each other where they cross, in mm: both are off by a chord's
/// error, and more along themselves where they cross at half a degree.
const CROSSING_MM: f64 = 0.3;

/// Beside a border, in mm: far enough to be off its edge.
const BESIDE_MM: f64 = 3.0 * ON_EDGE_MM;

/// Closed shapes out of what is left of a filled one; the parts as they are, where they can't be closed.
pub(super) fn closed<'r>(
    whole: &Stroke,
    parts: Vec<Stroke>,
    regions: impl Iterator<Item = &'r Region> + Clone,
    work: &mut Work,
) -> Option<Vec<Stroke>> {
    let rim = whole.curve.flatten(CHORD_MM);
    if 2.0 * signed_area(&rim).abs() <= WIDEST_END_MM * whole.curve.length() {
        return closed_straight(parts, regions, work);
    }
    let borders = borders_in(&Region::new(&[rim], false), whole, regions, work)?;
    work.spend((parts.len() + borders.len()).saturating_mul(parts.len() + borders.len()))?;
    Some(put_together(whole, &parts, &borders).unwrap_or(parts))
}

/// Thin filled shapes out of what is left of the way round one: where each part ends, the shape goes on straight to the
/// nearest start. The parts as they are, where that is far or leads out of the regions.
fn closed_straight<'r>(
    parts: Vec<Stroke>,
    regions: impl Iterator<Item = &'r Region> + Clone,
    work: &mut Work,
) -> Option<Vec<Stroke>> {
    if parts.len() > MOST_ENDS {
        return Some(parts);
    }
    let mut free: Vec<usize> = (0..parts.len()).collect();
    let mut shapes = Vec::new();
    while let Some(first) = free.first().copied() {
        let mut segments: Vec<Segment> = Vec::new();
        let mut at = first;
        loop {
            segments.extend_from_slice(parts[at].curve.segments());
            let end = parts[at].curve.end();
            let off = |part: &usize| parts[*part].curve.start().distance(end);
            let Some(next) = free.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b))) else { break };
            let start = parts[next].curve.start();
            let mut inside = off(&next) <= WIDEST_END_MM;
            for region in regions.clone() {
                inside = inside && region.side(end.midpoint(start), work)? != Side::Outside;
            }
            if !inside {
                return Some(parts);
            }
            if end != start {
                segments.push(Segment::line(end, start));
            }
            free.retain(|part| *part != next);
            if next == first {
                break;
            }
            at = next;
        }
        if let Ok(curve) = Curve::new(segments) {
            shapes.push(Stroke { curve, closed: true, ..parts[first].clone() });
        }
    }
    Some(shapes)
}

/// The parts of the regions' borders that lie in a shape and in all other regions, drawn like it.
fn borders_in<'r>(
    shape: &Region,
    like: &Stroke,
    regions: impl Iterator<Item = &'r Region> + Clone,
    work: &mut Work,
) -> Option<Vec<Stroke>> {
    let mut found = Vec::new();
    for (own, region) in regions.clone().enumerate() {
        for ring in region.rings() {
            let Some(curve) = Curve::polyline(&ring) else { continue };
            let ring = Stroke { curve, closed: true, ..like.clone() };
            let mut runs = Runs::default();
            for (index, segment) in ring.curve.segments().iter().enumerate() {
                if apart(around(segment), shape.bounds) {
                    work.spend(1)?;
                    runs.add(index, (0.0, 1.0), false);
                    continue;
                }
                let mut cuts = Vec::new();
                shape.crossings(segment, &mut cuts, work)?;
                for other in regions.clone() {
                    other.crossings(segment, &mut cuts, work)?;
                }
                tidy(&mut cuts);
                for pair in cuts.windows(2) {
                    let span = (pair[0], pair[1]);
                    // What runs along the shape's own outline is part of that already.
                    let mut kept = shape.lies_in(segment, span, false, work)?;
                    for (at, other) in regions.clone().enumerate().filter(|(at, _)| *at != own) {
                        // Of two borders that run along each other, the first.
                        kept = kept && other.lies_in(segment, span, own < at, work)?;
                    }
                    kept = kept && region.ends_at(segment, span, work)?;
                    runs.add(index, span, kept);
                }
            }
            found.extend(runs.strokes(&ring));
        }
    }
    Some(found)
}

impl Region {
    /// Its rings, each closed by its first corner.
    fn rings(&self) -> Vec<Vec<Point>> {
        let mut rings: Vec<Vec<Point>> = Vec::new();
        for [from, to] in &self.edges {
            match rings.last_mut().filter(|ring| ring.last() == Some(from)) {
                Some(ring) => ring.push(*to),
                None => rings.push(vec![*from, *to]),
            }
        }
        rings
    }

    /// Whether only one side of a part of its own edge lies inside: rings that overlap have edges in their middle.
    fn ends_at(&self, segment: &Segment, (from, to): (f64, f64), work: &mut Work) -> Option<bool> {
        let along = segment.end() - segment.start();
        let across = BESIDE_MM * Vec2::new(-along.y, along.x) / along.hypot();
        let at = segment.eval(from + SAMPLES[0] * (to - from));
        let outside =
            [self.side(at + across, work)?, self.side(at - across, work)?].map(|side| side == Side::Outside);
        Some(outside[0] != outside[1])
    }
}

/// Parts of an outline, in their direction, and of borders, in either, put together end to end; nothing where an end
/// meets no other.
fn put_together(like: &Stroke, parts: &[Stroke], borders: &[Stroke]) -> Option<Vec<Stroke>> {
    let mut shapes: Vec<Stroke> = parts.iter().chain(borders).filter(|one| one.closed).cloned().collect();
    let open = |all: &'_ [Stroke], border: bool| -> Vec<(Curve, bool)> {
        all.iter().filter(|one| !one.closed).map(|one| (one.curve.clone(), border)).collect()
    };
    let lines: Vec<(Curve, bool)> = [open(parts, false), open(borders, true)].concat();
    if lines.len() > MOST_PARTS {
        return None;
    }
    let mut free: Vec<usize> = (0..lines.len()).collect();
    while let Some(first) = free.first().copied() {
        free.remove(0);
        let start = lines[first].0.start();
        let mut way: Vec<(Vec<Segment>, bool)> = vec![(lines[first].0.segments().to_vec(), lines[first].1)];
        let mut end = lines[first].0.end();
        loop {
            let ends = free.iter().flat_map(|at| {
                let (curve, border) = &lines[*at];
                let back = border.then(|| (curve.end().distance(end), *at, true));
                std::iter::once((curve.start().distance(end), *at, false)).chain(back)
            });
            let nearest = ends.min_by(|a, b| a.0.total_cmp(&b.0));
            let home = end.distance(start);
            match nearest.filter(|(off, ..)| *off <= CROSSING_MM && *off < home) {
                Some((_, at, back)) => {
                    let curve = if back { lines[at].0.reversed() } else { lines[at].0.clone() };
                    end = curve.end();
                    way.push((curve.segments().to_vec(), lines[at].1));
                    free.retain(|free| *free != at);
                }
                None if home <= CROSSING_MM => break,
                None => return None,
            }
        }
        let curve = Curve::new(joined(way)).ok()?;
        shapes.push(Stroke { curve, closed: true, ..like.clone() });
    }
    Some(shapes)
}

/// Parts one after the other, the last before the first: borders give way where they meet what is no border.
fn joined(mut way: Vec<(Vec<Segment>, bool)>) -> Vec<Segment> {
    let count = way.len();
    for at in 0..count {
        let next = (at + 1) % count;
        let ends = way[at].0.last().map(Segment::end).zip(way[next].0.first().map(Segment::start));
        let Some((end, start)) = ends.filter(|(end, start)| end != start) else { continue };
        if way[next].1 {
            if let Some(first) = way[next].0.first_mut() {
                *first = Segment::line(end, first.end());
            }
        } else if way[at].1 {
            if let Some(last) = way[at].0.last_mut() {
                *last = Segment::line(last.start(), start);
            }
        } else {
            way[at].0.push(Segment::line(end, start));
        }
    }
    way.into_iter().flat_map(|(segments, _)| segments).collect()
}
