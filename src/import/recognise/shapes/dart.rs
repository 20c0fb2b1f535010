//! Darts: two legs from the outline that meet inside.

use super::{Looked, Seen, What};
use crate::geometry::Point;
use crate::geometry::tolerance::JOIN_MM;

/// The foot of a leg lies this close to the outline, in mm.
const FOOT_MM: f64 = 1.0;

/// Legs meet within this, in mm.
const MEET_MM: f64 = 0.6;

/// The point lies this far inside at least, in mm.
const DEEP_MM: f64 = 20.0;

/// Legs differ by less than this part of their length.
const ALIKE: f64 = 0.25;

/// The mouth is narrower than this part of the legs.
const NARROW: f64 = 0.9;

/// More legs than this are not compared with each other.
const MOST_LEGS: usize = 400;

pub(super) fn darts(looked: &Looked<'_>) -> Vec<Seen> {
    let on = |at: Point| looked.on_outline(at).is_some_and(|(_, _, off)| off <= FOOT_MM);
    let deep = |at: Point| looked.on_outline(at).is_some_and(|(_, _, off)| off >= DEEP_MM);
    let is_dart = |mouth: [Point; 2], apex: Point, legs: [f64; 2]| {
        let width = mouth[0].distance(mouth[1]);
        let longest = legs[0].max(legs[1]);
        width > JOIN_MM
            && width <= NARROW * longest
            && (legs[0] - legs[1]).abs() <= ALIKE * longest
            && deep(apex)
            && mouth.into_iter().all(on)
    };
    let mut found = Vec::new();
    let mut legs = Vec::new();
    for (line, stroke) in looked.lines.iter().filter(|(_, stroke)| !stroke.closed) {
        let (start, end) = (stroke.curve.start(), stroke.curve.end());
        let mouth = [start, end];
        if on(start) && on(end) {
            // Both legs in one stroke: the point is the corner furthest from the mouth.
            let corners = stroke.curve.segments().iter().skip(1).map(|segment| segment.start());
            let furthest = corners.max_by(|a, b| {
                let off = |at: &Point| at.distance(start) + at.distance(end);
                off(a).total_cmp(&off(b))
            });
            let Some(apex) = furthest else { continue };
            let (along, _) = stroke.curve.nearest(apex);
            if is_dart(mouth, apex, [along, stroke.curve.length() - along]) {
                found.push(Seen { lines: vec![*line], what: What::Dart { mouth, apex }, confidence: 0.85 });
            }
        } else if on(start) && deep(end) {
            legs.push((*line, start, end, stroke.curve.length()));
        } else if on(end) && deep(start) {
            legs.push((*line, end, start, stroke.curve.length()));
        }
    }
    legs.truncate(MOST_LEGS);
    for (index, (line, foot, apex, length)) in legs.iter().enumerate() {
        let mate = legs[index + 1..].iter().find(|(_, other, tip, own)| {
            tip.distance(*apex) <= MEET_MM && is_dart([*foot, *other], *apex, [*length, *own])
        });
        if let Some((second, other, ..)) = mate {
            found.push(Seen {
                lines: vec![*line, *second],
                what: What::Dart { mouth: [*foot, *other], apex: *apex },
                confidence: 0.85,
            });
        }
    }
    found
}
