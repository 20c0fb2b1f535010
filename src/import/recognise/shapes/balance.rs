//! Lengthen/shorten lines: a pair of parallels from edge to edge, or one line with words that say so.

use super::super::chain::LineId;
use super::{Looked, Seen, What, between, straight};
use crate::geometry::{Line, Point};

/// Ends lie this close to the outline, in mm.
const END_MM: f64 = 8.0;

/// The lines of a pair lie so far apart, in mm.
const APART_MM: std::ops::RangeInclusive<f64> = 2.0..=25.0;

/// Parallel within this, in radians (1.5°).
const PARALLEL: f64 = 0.026;

/// A lengthen/shorten line is at least so long, in mm.
const SHORTEST_MM: f64 = 40.0;

/// It lies across the grain by at least this angle, in radians (60°).
const ACROSS: f64 = 1.05;

/// Words that say so stand this close, in mm.
const WORDS_MM: f64 = 30.0;

/// A piece with more lines across than this has a pattern drawn on it.
const MOST_LINES: usize = 200;

pub(super) fn pairs(looked: &Looked<'_>) -> Vec<Seen> {
    let grain = looked.piece.grainline.direction();
    let at_edge = |at: Point| looked.on_outline(at).is_some_and(|(_, _, off)| off <= END_MM);
    let across: Vec<(LineId, Line)> = looked
        .lines
        .iter()
        .filter_map(|(line, stroke)| straight(stroke).map(|straight| (*line, straight)))
        .filter(|(_, line)| (line.p1 - line.p0).hypot() >= SHORTEST_MM)
        .filter(|(_, line)| {
            between(line.p1 - line.p0, grain) >= ACROSS && at_edge(line.p0) && at_edge(line.p1)
        })
        .collect();
    let mut found = Vec::new();
    if across.len() > MOST_LINES {
        return found;
    }
    for (index, (line, one)) in across.iter().enumerate() {
        let mate = across[index + 1..].iter().find_map(|(other, two)| {
            // The other line travelled the same way.
            let two =
                if (two.p1 - two.p0).dot(one.p1 - one.p0) < 0.0 { Line::new(two.p1, two.p0) } else { *two };
            let along = one.p1 - one.p0;
            let apart = along.cross(two.p0.midpoint(two.p1) - one.p0).abs() / along.hypot();
            let parallel = between(along, two.p1 - two.p0) <= PARALLEL && APART_MM.contains(&apart);
            parallel.then_some((*other, two))
        });
        if let Some((other, two)) = mate {
            let middle = Line::new(one.p0.midpoint(two.p0), one.p1.midpoint(two.p1));
            found.push(Seen { lines: vec![*line, other], what: What::Balance(middle), confidence: 0.85 });
        } else if looked.label.lengthen_at.iter().any(|words| {
            let along = one.p1 - one.p0;
            (along.cross(*words - one.p0) / along.hypot()).abs() <= WORDS_MM
        }) {
            found.push(Seen { lines: vec![*line], what: What::Balance(*one), confidence: 0.8 });
        }
    }
    found
}
