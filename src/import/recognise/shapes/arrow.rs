//! Straight lines with arrowheads: grainlines.

use super::super::super::drawing::{Arrows, Stroke};
use super::super::chain::LineId;
use super::{corners, straight, within};
use crate::geometry::{Line, Point, Vec2};
use std::collections::BTreeMap;

/// A grainline is at least so long, in mm.
const SHORTEST_MM: f64 = 30.0;

/// An arrowhead is at most so large, in mm.
const HEAD_MM: f64 = 25.0;

/// An arrowhead stands this close to the end of its line, in mm.
const TOUCH_MM: f64 = 1.5;

/// Both sides of an arrowhead stand at the same angle to the line, within this, in radians (8°).
const EVEN_SIDES: f64 = 0.14;

/// A straight line with arrowheads.
pub(in super::super) struct Arrow {
    pub(in super::super) lines: Vec<LineId>,
    pub(in super::super) line: Line,
    /// Whether there is a head at its start and at its end.
    pub(in super::super) heads: [bool; 2],
}

/// Part of an arrowhead.
pub(super) enum Head {
    /// With this point; half of its opening is symmetric about the direction from the point to its base.
    Whole { tip: Point, inward: Vec2 },
    /// One side.
    Side(Line),
}

/// The arrows among lines.
pub(in super::super) fn arrows_of(lines: &[(LineId, &Stroke)]) -> Vec<Arrow> {
    #[expect(clippy::cast_possible_truncation, reason = "coordinates are below 100 m, far inside an i64")]
    let square = |at: Point| [at.x, at.y].map(|x| (x / (4.0 * TOUCH_MM)).floor() as i64);
    let mut heads: BTreeMap<[i64; 2], Vec<(LineId, Head)>> = BTreeMap::new();
    let shafts: Vec<(LineId, Line, Arrows)> = lines
        .iter()
        .filter_map(|(line, stroke)| {
            let shaft = straight(stroke).filter(|shaft| (shaft.p1 - shaft.p0).hypot() >= SHORTEST_MM)?;
            Some((*line, shaft, stroke.arrows))
        })
        .collect();
    if shafts.is_empty() {
        return Vec::new();
    }
    for &(line, stroke) in lines {
        for (at, head) in heads_of(stroke) {
            heads.entry(square(at)).or_default().push((line, head));
        }
    }
    let mut found = Vec::new();
    for (line, shaft, told) in shafts {
        let mut arrow = Arrow { lines: vec![line], line: shaft, heads: [told.start, told.end] };
        for (end, at, inward) in [(0, shaft.p0, shaft.p1 - shaft.p0), (1, shaft.p1, shaft.p0 - shaft.p1)] {
            let [x, y] = square(at);
            let near = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| [x, y]));
            let near: Vec<&(LineId, Head)> = near.filter_map(|key| heads.get(&key)).flatten().collect();
            let parts = head_at(at, inward, &near);
            if !parts.is_empty() {
                arrow.heads[end] = true;
                arrow.lines.extend(parts);
            }
        }
        if arrow.heads.contains(&true) {
            found.push(arrow);
        }
    }
    found
}

/// What a small stroke may be part of, with the place at which an arrow would end.
pub(super) fn heads_of(stroke: &Stroke) -> Vec<(Point, Head)> {
    if !within(stroke.curve.bounding_box(), HEAD_MM) {
        return Vec::new();
    }
    if let Some(side) = straight(stroke) {
        let back = Line::new(side.p1, side.p0);
        return vec![(side.p0, Head::Side(side)), (side.p1, Head::Side(back))];
    }
    match corners(stroke).as_deref() {
        Some(&[a, tip, b]) if !stroke.closed => {
            vec![(tip, Head::Whole { tip, inward: a.midpoint(b) - tip })]
        }
        Some(&[a, b, c]) => [(a, b, c), (b, c, a), (c, a, b)]
            .map(|(tip, one, two)| (tip, Head::Whole { tip, inward: one.midpoint(two) - tip }))
            .into_iter()
            // A filled head may also end the line with its base.
            .flat_map(|(at, head)| {
                let Head::Whole { tip, inward } = head else { return Vec::new() };
                vec![(at, Head::Whole { tip, inward }), (tip + inward, Head::Whole { tip, inward })]
            })
            .collect(),
        _ => Vec::new(),
    }
}

/// The lines that make a head at the end of a shaft; `inward` points along the shaft.
pub(super) fn head_at(end: Point, inward: Vec2, near: &[&(LineId, Head)]) -> Vec<LineId> {
    let angle = |other: Vec2| inward.cross(other).atan2(inward.dot(other));
    let mut sides: Vec<(LineId, f64, f64)> = Vec::new();
    for (line, head) in near {
        match head {
            Head::Whole { tip, inward: axis } => {
                let at_tip = tip.distance(end) <= TOUCH_MM;
                let at_base = (*tip + *axis).distance(end) <= TOUCH_MM;
                if (at_tip || at_base) && angle(*axis).abs() <= EVEN_SIDES {
                    return vec![*line];
                }
            }
            Head::Side(side) if side.p0.distance(end) <= TOUCH_MM => {
                let along = side.p1 - side.p0;
                sides.push((*line, angle(along), along.hypot()));
            }
            Head::Side(_) => {}
        }
    }
    for (index, one) in sides.iter().enumerate() {
        for other in &sides[index + 1..] {
            let even = (one.1 + other.1).abs() <= EVEN_SIDES && (0.15..1.3).contains(&one.1.abs());
            let as_long = (one.2 - other.2).abs() <= 0.2 * one.2.max(other.2);
            if even && as_long && one.0 != other.0 {
                return vec![one.0, other.0];
            }
        }
    }
    Vec::new()
}
