//! The fold: a bracket whose arms point to a straight edge, or the words beside one.

use super::{Looked, Seen, What, between, corners};
use crate::geometry::{Line, Point, Segment};

/// The bracket stands at most so far from the fold, in mm.
const REACH_MM: f64 = 60.0;

/// Arms of a bracket, in mm.
const ARM_MM: std::ops::RangeInclusive<f64> = 3.0..=60.0;

/// A bracket is square within this, in radians (10°).
const SQUARE: f64 = 0.175;

/// The words stand at most so far from the fold, in mm.
const WORDS_MM: f64 = 40.0;

/// A fold is at least so long, in mm.
const SHORTEST_MM: f64 = 40.0;

/// An edge runs along the grain within this, in radians (1°).
const ALONG: f64 = 0.0175;

/// A fold that only its direction tells runs along this part of the piece at least.
const LONG: f64 = 0.4;

pub(super) fn folds(looked: &Looked<'_>) -> Vec<Seen> {
    let mut found: Vec<Seen> = Vec::new();
    for (line, stroke) in looked.lines {
        let Some([a, b, c, d]) = corners(stroke).and_then(|points| <[Point; 4]>::try_from(points).ok())
        else {
            continue;
        };
        if stroke.closed {
            continue;
        }
        let (first, back, second) = (a - b, c - b, d - c);
        let arms = ARM_MM.contains(&first.hypot()) && ARM_MM.contains(&second.hypot());
        let quarter = std::f64::consts::FRAC_PI_2;
        let square = [first, second].iter().all(|arm| quarter - between(*arm, back) <= SQUARE);
        let one_side = back.cross(first) * back.cross(second) > 0.0;
        let long = back.hypot() > first.hypot().max(second.hypot());
        if !(arms && square && one_side && long) {
            continue;
        }
        let pointed = straight_edges(looked).filter(|(_, edge)| {
            let along = edge.p1 - edge.p0;
            let off = |at: Point| along.cross(at - edge.p0).abs() / along.hypot().max(f64::MIN_POSITIVE);
            let beside = |at: Point| {
                let part = along.dot(at - edge.p0) / along.hypot2().max(f64::MIN_POSITIVE);
                (-0.02..=1.02).contains(&part)
            };
            between(along, back) <= SQUARE
                && off(a).max(off(d)) <= REACH_MM
                && off(a) < off(b)
                && off(d) < off(c)
                && beside(a)
                && beside(d)
        });
        let away = |edge: &Line| edge.p0.midpoint(edge.p1).distance(a.midpoint(d));
        if let Some((edge, _)) = pointed.min_by(|one, other| away(&one.1).total_cmp(&away(&other.1))) {
            found.push(Seen { lines: vec![*line], what: What::Fold(edge), confidence: 0.9 });
        }
    }
    if found.is_empty()
        && looked.piece.fold().is_none()
        && let Some(words) = looked.label.fold_at
    {
        let said = beside_words(looked, words).or_else(|| along_the_grain(looked));
        let seen = |edge| Seen { lines: Vec::new(), what: What::Fold(edge), confidence: 0.6 };
        found.extend(said.map(seen));
    }
    found
}

/// The straight edge beside words, if no other is as near.
fn beside_words(looked: &Looked<'_>, words: Point) -> Option<usize> {
    let near = straight_edges(looked).filter_map(|(index, _)| {
        let off = looked.piece.edges[index].curve.nearest(words).1;
        (off <= WORDS_MM).then_some((off, index))
    });
    let mut near: Vec<(f64, usize)> = near.collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (off, edge) = *near.first()?;
    near.get(1).is_none_or(|second| second.0 > 1.5 * off + 5.0).then_some(edge)
}

/// The only straight edge that runs along the grain for a good part of the piece.
fn along_the_grain(looked: &Looked<'_>) -> Option<usize> {
    let grain = looked.piece.grainline.direction();
    let heights = || looked.piece.polygon().into_iter().map(|at| at.to_vec2().dot(grain));
    let extent = heights().fold(f64::NEG_INFINITY, f64::max) - heights().fold(f64::INFINITY, f64::min);
    let mut along = straight_edges(looked).filter(|(_, edge)| {
        let way = edge.p1 - edge.p0;
        between(way, grain) <= ALONG && way.hypot() >= LONG * extent
    });
    let (edge, _) = along.next()?;
    along.next().is_none().then_some(edge)
}

fn straight_edges<'a>(looked: &'a Looked<'_>) -> impl Iterator<Item = (usize, Line)> + 'a {
    looked.piece.edges.iter().enumerate().filter_map(|(index, edge)| {
        let line = Line::new(edge.curve.start(), edge.curve.end());
        let lines = edge.curve.segments().iter().all(|segment| matches!(segment, Segment::Line(_)));
        let chord = (line.p1 - line.p0).hypot();
        (lines && chord >= SHORTEST_MM && edge.curve.length() - chord <= 0.01).then_some((index, line))
    })
}
