//! The fold: a bracket whose arms point to a straight edge, or the words beside one.

use super::super::chain::LineId;
use super::arrow::{self, Head};
use super::{Looked, Seen, Unnamed, What, between, straight};
use crate::geometry::{Curve, Line, Point, Segment, Vec2};
use crate::pattern::EdgeRole;
use std::collections::BTreeSet;

/// The bracket stands at most so far from the fold, in mm.
const REACH_MM: f64 = 60.0;

/// Arms of a bracket, in mm.
const ARM_MM: std::ops::RangeInclusive<f64> = 3.0..=60.0;

/// A bracket is square within this, in radians (10°).
const SQUARE: f64 = 0.175;

/// The arms of a bracket that is called a fold stand askew by less than this, in radians (55°).
const ASKEW: f64 = 0.96;

/// The ends of lines of a bracket lie this close, in mm.
const TOUCH_MM: f64 = 1.5;

/// The back of a bracket that is one line is at least so long, in mm, unless the line is called a fold: smaller ones
/// are square notches.
const ONE_LINE_BACK_MM: f64 = 20.0;

/// The back of a bracket of several lines is at least so long, in mm.
const BACK_MM: f64 = 30.0;

/// The words stand at most so far from the fold, in mm.
const WORDS_MM: f64 = 40.0;

/// A fold is at least so long, in mm.
const SHORTEST_MM: f64 = 40.0;

/// A fold leaves the straight by less than this, in mm; a piece can't be mirrored at one that bends.
const BENT_MM: f64 = 0.04;

/// An edge runs along the grain within this, in radians (1°).
const ALONG: f64 = 0.0175;

/// A fold that only its direction tells runs along this part of the piece at least.
const LONG: f64 = 0.4;

/// More corners than this no bracket has, its arrowheads counted.
const MOST_CORNERS: usize = 16;

/// Among more lines than this, brackets of several lines and their heads are not looked for.
const MOST_LINES: usize = 2000;

/// A line with an arm at either end.
struct Bracket {
    lines: Vec<LineId>,
    back: Line,
    /// Where the arm at either end of the back ends.
    tips: [Point; 2],
}

/// Edges that brackets point to. `called` are lines that are called a fold. An edge
/// that lies on the fold already keeps it, and no other does beside it.
pub(super) fn brackets(looked: &Looked<'_>, called: &BTreeSet<LineId>) -> Vec<Seen> {
    let known: Vec<usize> = (0..looked.piece.edges.len())
        .filter(|edge| looked.piece.edges[*edge].role == EdgeRole::Fold)
        .collect();
    let mut found: Vec<Seen> = Vec::new();
    let mut taken: BTreeSet<LineId> = BTreeSet::new();
    for (line, stroke) in looked.lines {
        let named = called.contains(line);
        let is_called = |back| named || looked.label.fold_at.iter().any(|at| distance(back, *at) <= WORDS_MM);
        let Some(bracket) = bracket_at(looked, (*line, stroke), &is_called) else { continue };
        let is_notch = !named && bracket.back.length() < ONE_LINE_BACK_MM;
        if is_notch || bracket.lines.iter().any(|line| taken.contains(line)) {
            continue;
        }
        let Some(edge) = pointed_to(looked, &bracket) else { continue };
        if known.is_empty() || known.contains(&edge) {
            taken.extend(&bracket.lines);
            found.push(Seen { lines: bracket.lines, what: What::Fold(edge), confidence: 0.9 });
        }
    }
    found
}

/// How far a point lies from a line between its ends.
fn distance(line: Line, at: Point) -> f64 {
    let along = line.p1 - line.p0;
    let part = (along.dot(at - line.p0) / along.hypot2().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    line.p0.lerp(line.p1, part).distance(at)
}

/// The bracket whose back belongs to a line. One that something calls a fold may stand askew and be drawn with several
/// lines; another is square, and one line.
fn bracket_at(
    looked: &Looked<'_>,
    (line, stroke): Unnamed<'_>,
    is_called: &dyn Fn(Line) -> bool,
) -> Option<Bracket> {
    let segments = stroke.curve.segments();
    if stroke.closed || segments.len() > MOST_CORNERS {
        return None;
    }
    let length = |at: &usize| segments[*at].length();
    let longest = (0..segments.len()).max_by(|a, b| length(a).total_cmp(&length(b)))?;
    let Segment::Line(back) = segments[longest] else { return None };
    let way = back.p1 - back.p0;
    let called = is_called(back);
    let own = |points: &mut dyn Iterator<Item = Point>| {
        // Where a head is drawn on, the arm ends at what lies furthest from the back.
        let off = |at: &Point| way.cross(*at - back.p0).abs();
        points.max_by(|a, b| off(a).total_cmp(&off(b)))
    };
    let first = own(&mut segments[..longest].iter().map(Segment::start));
    let second = own(&mut segments[longest + 1..].iter().map(Segment::end));
    let is_arm = |corner: Point, tip: Point| {
        let arm = tip - corner;
        let askew = std::f64::consts::FRAC_PI_2 - between(arm, way);
        ARM_MM.contains(&arm.hypot())
            && arm.hypot() < way.hypot()
            && askew <= if called { ASKEW } else { SQUARE }
    };
    let side = |tip: Point| way.cross(tip - back.p0) > 0.0;
    if let (Some(first), Some(second)) = (first, second) {
        let arms = is_arm(back.p0, first) && is_arm(back.p1, second) && side(first) == side(second);
        let mut bracket = Bracket { lines: vec![line], back, tips: [first, second] };
        bracket.lines.extend(arms.then(|| heads(looked, &bracket))?);
        return Some(bracket);
    }
    if !called || way.hypot() < BACK_MM || looked.lines.len() > MOST_LINES {
        return None;
    }
    // Arms that are lines of their own.
    let arms_at = |corner: Point, known: Option<Point>| -> Vec<(Option<LineId>, Point)> {
        if let Some(tip) = known {
            return vec![(None, tip)];
        }
        let others = looked.lines.iter().filter(|(other, _)| *other != line);
        let both = others.filter_map(|(other, stroke)| {
            let arm = straight(stroke)?;
            let ends = [(arm.p0, arm.p1), (arm.p1, arm.p0)];
            let (_, tip) = ends.into_iter().find(|(foot, _)| foot.distance(corner) <= TOUCH_MM)?;
            Some((Some(*other), tip))
        });
        both.filter(|(_, tip)| is_arm(corner, *tip)).collect()
    };
    let seconds = arms_at(back.p1, second);
    let pairs = arms_at(back.p0, first).into_iter().flat_map(|one| {
        let seconds = seconds.iter().map(move |other| (one, *other));
        seconds.filter(|(one, other)| side(one.1) == side(other.1))
    });
    let mut brackets = pairs.map(|((one, first), (other, second))| {
        let arms = one.into_iter().chain(other);
        Bracket { lines: std::iter::once(line).chain(arms).collect(), back, tips: [first, second] }
    });
    // The fourth side of a rectangle would stand where the arms end.
    let mut bracket =
        brackets.find(|bracket| bracket.tips.iter().all(|tip| is_free(looked, bracket, *tip)))?;
    bracket.lines.extend(heads(looked, &bracket));
    Some(bracket)
}

/// Whether no line but the sides of an arrowhead ends at the tip of an arm.
fn is_free(looked: &Looked<'_>, bracket: &Bracket, tip: Point) -> bool {
    let back = bracket.back.p1 - bracket.back.p0;
    looked.lines.iter().filter(|(line, _)| !bracket.lines.contains(line)).all(|(_, stroke)| {
        let ends = [stroke.curve.start(), stroke.curve.end()];
        let along = straight(stroke).is_some_and(|line| between(line.p1 - line.p0, back) <= SQUARE);
        !along || ends.iter().all(|end| end.distance(tip) > TOUCH_MM)
    })
}

/// Lines that draw arrowheads at the ends of its arms.
fn heads(looked: &Looked<'_>, bracket: &Bracket) -> Vec<LineId> {
    if looked.lines.len() > MOST_LINES {
        return Vec::new();
    }
    let others = looked.lines.iter().filter(|(line, _)| !bracket.lines.contains(line));
    let ends = [(bracket.back.p0, bracket.tips[0]), (bracket.back.p1, bracket.tips[1])];
    let near: Vec<(LineId, Head)> = others
        .flat_map(|(line, stroke)| arrow::heads_of(stroke).into_iter().map(|(at, head)| (*line, at, head)))
        .filter(|(_, at, _)| ends.iter().any(|(_, tip)| tip.distance(*at) <= TOUCH_MM))
        .map(|(line, _, head)| (line, head))
        .collect();
    let near: Vec<&(LineId, Head)> = near.iter().collect();
    ends.into_iter().flat_map(|(corner, tip)| arrow::head_at(tip, corner - tip, &near)).collect()
}

/// The straight edge nearest to a bracket among those that run along it and that its arms point to.
fn pointed_to(looked: &Looked<'_>, bracket: &Bracket) -> Option<usize> {
    let Bracket { back, tips: [a, d], .. } = bracket;
    let way: Vec2 = back.p1 - back.p0;
    let off = |edge: &Line, at: Point| {
        let along = edge.p1 - edge.p0;
        along.cross(at - edge.p0).abs() / along.hypot().max(f64::MIN_POSITIVE)
    };
    let pointed = straight_edges(looked).filter(|(_, edge)| {
        let along = edge.p1 - edge.p0;
        let beside = |at: Point| {
            let part = along.dot(at - edge.p0) / along.hypot2().max(f64::MIN_POSITIVE);
            (-0.02..=1.02).contains(&part)
        };
        between(along, way) <= SQUARE
            && off(edge, *a).max(off(edge, *d)) <= REACH_MM
            && off(edge, *a) < off(edge, back.p0)
            && off(edge, *d) < off(edge, back.p1)
            && beside(*a)
            && beside(*d)
    });
    let away = |edge: &Line| off(edge, *a) + off(edge, *d);
    let nearest = pointed.min_by(|one, other| away(&one.1).total_cmp(&away(&other.1)));
    nearest.map(|(edge, _)| edge)
}

/// The fold that only words tell, where the piece has none.
pub(super) fn by_words(looked: &Looked<'_>) -> Vec<Seen> {
    if looked.piece.fold().is_some() {
        return Vec::new();
    }
    let said = looked.label.fold_at.first().and_then(|words| {
        let edge = beside_words(looked, *words).or_else(|| along_the_grain(looked))?;
        Some(Seen { lines: Vec::new(), what: What::Fold(edge), confidence: 0.6 })
    });
    said.into_iter().collect()
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
    let edges = looked.piece.edges.iter().enumerate();
    edges.filter_map(|(index, edge)| {
        let line = straight_edge(&edge.curve)?;
        ((line.p1 - line.p0).hypot() >= SHORTEST_MM).then_some((index, line))
    })
}

/// The line from end to end of an edge that may lie on a fold, however many segments it is drawn with.
pub(in super::super) fn straight_edge(curve: &Curve) -> Option<Line> {
    let line = Line::new(curve.start(), curve.end());
    let along = line.p1 - line.p0;
    let off = |at: &Point| along.cross(*at - line.p0).abs() <= BENT_MM * along.hypot();
    (along.hypot() > 0.0 && curve.length() - along.hypot() <= 0.01 && curve.flatten(0.01).iter().all(off))
        .then_some(line)
}
