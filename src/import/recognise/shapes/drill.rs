//! Drill holes: small circles and crosses inside.

use super::super::chain::LineId;
use super::{Looked, Seen, What, between, straight, within};
use crate::geometry::{Line, Point};
use std::collections::BTreeMap;

/// A circle for a drill hole is at most so large, in mm.
const CIRCLE_MM: f64 = 12.0;

/// The arms of a cross are at most so long, in mm.
const CROSS_MM: f64 = 20.0;

/// The middles of a cross's arms lie this close, in mm.
const MIDDLE_MM: f64 = 0.6;

/// Arms cross at this angle at least, in radians (60°).
const ACROSS: f64 = 1.05;

/// A hole lies this far inside at least, in mm.
const INSIDE_MM: f64 = 3.0;

/// More lines than this about one place are not compared.
const MOST_ARMS: usize = 8;

pub(super) fn drills(looked: &Looked<'_>) -> Vec<Seen> {
    let inside = |at: Point| looked.on_outline(at).is_some_and(|(_, _, off)| off >= INSIDE_MM);
    let mut found = Vec::new();
    for (line, stroke) in looked.unsaid() {
        let bounds = stroke.curve.bounding_box();
        let round = (bounds.width() - bounds.height()).abs() <= 0.15 * bounds.width();
        let length = std::f64::consts::PI * bounds.width();
        let circle = stroke.closed && round && (stroke.curve.length() - length).abs() <= 0.06 * length;
        if circle && within(bounds, CIRCLE_MM) && inside(bounds.center()) {
            found.push(Seen { lines: vec![*line], what: What::Drill(bounds.center()), confidence: 0.7 });
        }
    }
    #[expect(clippy::cast_possible_truncation, reason = "coordinates are below 100 m, far inside an i64")]
    let square = |at: Point| [at.x, at.y].map(|x| (x / MIDDLE_MM).floor() as i64);
    let mut arms: BTreeMap<[i64; 2], Vec<(LineId, Line)>> = BTreeMap::new();
    for (line, stroke) in looked.unsaid() {
        let Some(arm) = straight(stroke).filter(|arm| (arm.p1 - arm.p0).hypot() <= CROSS_MM) else {
            continue;
        };
        let middle = arm.p0.midpoint(arm.p1);
        let [x, y] = square(middle);
        let near = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| [x, y]));
        let mut near = near.filter_map(|key| arms.get(&key)).flatten();
        let other = near.find(|(_, other)| {
            other.p0.midpoint(other.p1).distance(middle) <= MIDDLE_MM
                && between(arm.p1 - arm.p0, other.p1 - other.p0) >= ACROSS
        });
        if let Some((first, _)) = other.filter(|_| inside(middle)) {
            found.push(Seen { lines: vec![*first, *line], what: What::Drill(middle), confidence: 0.8 });
        }
        let here = arms.entry([x, y]).or_default();
        // Many lines at one place are no crosses.
        if here.len() < MOST_ARMS {
            here.push((*line, arm));
        }
    }
    found
}
