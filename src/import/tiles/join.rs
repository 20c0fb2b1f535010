//! Lines that were cut at a seam become one again.

use super::super::drawing::Stroke;
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Curve, Point, Segment, Vec2};
use std::collections::BTreeMap;

/// Ends further apart than this are two lines, in mm.
const JOINED_MM: f64 = 0.6;
/// A stretch shorter than this beside a seam says nothing, in mm.
const SPECK_MM: f64 = 2.0 * JOIN_MM;
/// Cosine of the largest turn at a seam.
const TURN: f64 = 0.93;

/// A part of a line: from which tile, in which layer, and which of its ends lie on a seam.
pub(super) struct Part {
    pub(super) tile: usize,
    pub(super) layer: usize,
    pub(super) stroke: Stroke,
    pub(super) at_seam: [bool; 2],
}

/// An end of a part: which part, and whether its last point.
type EndOf = (usize, bool);

#[expect(clippy::cast_possible_truncation, reason = "coordinates are below 100 m, far inside an i64")]
fn square(point: Point) -> (i64, i64) {
    ((point.x / JOINED_MM).floor() as i64, (point.y / JOINED_MM).floor() as i64)
}

fn end(part: &Part, last: bool) -> (Point, Vec2) {
    let curve = &part.stroke.curve;
    // Outwards.
    if last { (curve.end(), curve.end_tangent()) } else { (curve.start(), -curve.start_tangent()) }
}

/// All lines with their layers, the parts that meet at seams put together.
pub(super) fn joined(parts: Vec<Part>) -> Vec<(usize, Stroke)> {
    let mut grid: BTreeMap<(i64, i64), Vec<EndOf>> = BTreeMap::new();
    let ends = || {
        let each = parts.iter().enumerate();
        each.flat_map(|(index, part)| {
            [false, true].map(|last| (index, last, part.at_seam[usize::from(last)]))
        })
    };
    for (index, last, _) in ends().filter(|(.., at_seam)| *at_seam) {
        grid.entry(square(end(&parts[index], last).0)).or_default().push((index, last));
    }
    let mut pairs: Vec<(f64, EndOf, EndOf)> = Vec::new();
    for (index, last, _) in ends().filter(|(.., at_seam)| *at_seam) {
        let (at, along) = end(&parts[index], last);
        let (column, row) = square(at);
        let near = (column - 1..=column + 1).flat_map(|x| (row - 1..=row + 1).map(move |y| (x, y)));
        for other in near.filter_map(|key| grid.get(&key)).flatten().filter(|other| **other > (index, last)) {
            let (one, two) = (&parts[index], &parts[other.0]);
            let (there, back) = end(two, other.1);
            let fits = one.tile != two.tile
                && one.layer == two.layer
                && one.stroke.look == two.stroke.look
                && along.dot(back) < -TURN
                && at.distance(there) <= JOINED_MM;
            if fits {
                pairs.push((at.distance(there), (index, last), *other));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| (a.1, a.2).cmp(&(b.1, b.2))));
    let mut partner: BTreeMap<EndOf, EndOf> = BTreeMap::new();
    for (_, one, two) in pairs {
        if !partner.contains_key(&one) && !partner.contains_key(&two) {
            partner.insert(one, two);
            partner.insert(two, one);
        }
    }
    chained(&parts, &partner)
}

/// Walks from part to part until no other follows, or the first comes again.
fn chained(parts: &[Part], partner: &BTreeMap<EndOf, EndOf>) -> Vec<(usize, Stroke)> {
    let mut used = vec![false; parts.len()];
    let mut all = Vec::new();
    // Lines with a loose end first; what is left are rings.
    let loose = |index: usize| [false, true].into_iter().find(|last| !partner.contains_key(&(index, *last)));
    let begin = (0..parts.len()).filter_map(|index| loose(index).map(|last| (index, last)));
    for (index, from_end) in begin.chain((0..parts.len()).map(|index| (index, false))) {
        if used[index] {
            continue;
        }
        let mut way = Vec::new();
        let (mut at, mut backwards) = (index, from_end);
        let closes = loop {
            used[at] = true;
            way.push((at, backwards));
            match partner.get(&(at, !backwards)) {
                Some((next, _)) if used[*next] => break *next == index && way.len() > 1,
                Some((next, last)) => (at, backwards) = (*next, *last),
                None => break false,
            }
        };
        all.push((parts[index].layer, drawn(parts, &way, closes)));
    }
    all
}

fn drawn(parts: &[Part], way: &[(usize, bool)], closes: bool) -> Stroke {
    let curve = |(index, backwards): (usize, bool)| {
        let curve = &parts[index].stroke.curve;
        if backwards { curve.reversed() } else { curve.clone() }
    };
    let first = way.first().copied().unwrap_or_default();
    let mut whole = curve(first);
    for next in way.iter().skip(1) {
        let next = curve(*next);
        // Both ends move to the middle between them.
        let meeting = whole.end().midpoint(next.start());
        let next = next.with_ends(meeting, next.end());
        let before = whole.with_ends(whole.start(), meeting);
        whole = before.joined(&next).unwrap_or(before);
    }
    if way.len() > 1 {
        whole = tidied(&whole);
    }
    let mut closed = parts[first.0].stroke.closed;
    // A program begins an outline anywhere: both halves of it end where it began.
    let returns = way.len() > 1 && whole.start().distance(whole.end()) <= JOIN_MM;
    if closes || returns {
        let meeting = whole.end().midpoint(whole.start());
        whole = whole.with_ends(meeting, meeting);
        closed = true;
    }
    Stroke { curve: whole, closed, ..parts[first.0].stroke.clone() }
}

/// A curve without the specks that a cut beside a joint leaves; its segments still meet.
fn tidied(curve: &Curve) -> Curve {
    let mut kept: Vec<Segment> = Vec::new();
    for segment in curve.segments() {
        let bounds = segment.bounding_box();
        let speck = bounds.width().hypot(bounds.height()) <= SPECK_MM;
        match kept.last().map(Segment::end) {
            Some(_) if speck => {}
            Some(at) => {
                let moved = Curve::new(vec![*segment]).map(|one| one.with_ends(at, segment.end()));
                kept.extend(moved.iter().flat_map(Curve::segments));
            }
            // A speck at the start waits for nothing: the line begins after it.
            None if speck => {}
            None => kept.push(*segment),
        }
    }
    match Curve::new(kept) {
        Ok(tidy) => tidy.with_ends(curve.start(), curve.end()),
        Err(_) => curve.clone(),
    }
}
