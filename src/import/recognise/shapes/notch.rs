//! Notches: ticks across the outline, triangles, diamonds, and two of them side by side.

use super::{Looked, Seen, Unnamed, What, between, corners, straight, within};
use crate::geometry::{Point, crossings};

/// Shortest and longest tick, in mm.
const TICK_MM: std::ops::RangeInclusive<f64> = 2.0..=20.0;

/// A triangle or diamond is at most so large, in mm.
const SHAPE_MM: f64 = 30.0;

/// A notch touches the outline within this, in mm.
const TOUCH_MM: f64 = 1.0;

/// A tick stands across the outline by at least this angle, in radians (60°).
const ACROSS: f64 = 1.05;

/// Two single marks whose places are closer than this along an edge are one double notch, in mm.
const PAIR_MM: f64 = 14.0;

pub(super) fn notches(looked: &Looked<'_>) -> Vec<Seen> {
    let mut found: Vec<Seen> =
        looked.unsaid().filter_map(|line| tick(looked, line).or_else(|| shape(looked, line))).collect();
    let place = |seen: &Seen| match seen.what {
        What::Notch { edge, along, .. } => (edge, along),
        _ => (usize::MAX, 0.0),
    };
    found.sort_by(|a, b| place(a).partial_cmp(&place(b)).unwrap_or(std::cmp::Ordering::Equal));
    let mut paired: Vec<Seen> = Vec::new();
    for mut seen in found {
        if let Some(Seen { lines, what: What::Notch { edge, along, double: double @ false }, .. }) =
            paired.last_mut()
            && let What::Notch { edge: own, along: at, double: false } = seen.what
            && *edge == own
            && at - *along <= PAIR_MM
        {
            *double = true;
            *along = 0.5 * (*along + at);
            lines.append(&mut seen.lines);
            continue;
        }
        paired.push(seen);
    }
    paired
}

fn tick(looked: &Looked<'_>, &(line, stroke): &Unnamed<'_>) -> Option<Seen> {
    let tick = straight(stroke)?;
    let along_tick = tick.p1 - tick.p0;
    if !TICK_MM.contains(&along_tick.hypot()) {
        return None;
    }
    let crossed = looked.piece.edges.iter().enumerate().find_map(|(edge, own)| {
        let reach = own.curve.bounding_box().inflate(1.0, 1.0);
        let near = reach.overlaps(stroke.curve.bounding_box());
        let crossing = if near { crossings(&own.curve, &stroke.curve) } else { Vec::new() };
        crossing.first().map(|crossing| (edge, crossing.on_first))
    });
    let ends = [tick.p0, tick.p1].into_iter().filter_map(|end| looked.on_outline(end));
    let touched = ends.min_by(|a, b| a.2.total_cmp(&b.2)).filter(|(_, _, off)| *off <= TOUCH_MM);
    // Where the seam line is the outline, notches stand on the cutting line around it.
    let beside = || {
        let end = [tick.p0, tick.p1].into_iter().find(|end| looked.on_cutting_line(*end, TOUCH_MM))?;
        looked.on_outline(end)
    };
    let (edge, along) = crossed.or_else(|| touched.or_else(beside).map(|(edge, along, _)| (edge, along)))?;
    let across = between(along_tick, looked.piece.edges[edge].curve.tangent_at(along));
    (across >= ACROSS).then(|| Seen {
        lines: vec![line],
        what: What::Notch { edge, along, double: false },
        confidence: 0.85,
    })
}

fn shape(looked: &Looked<'_>, &(line, stroke): &Unnamed<'_>) -> Option<Seen> {
    let bounds = stroke.curve.bounding_box();
    if !within(bounds, SHAPE_MM) || bounds.width().max(bounds.height()) < *TICK_MM.start() {
        return None;
    }
    let corners = corners(stroke).filter(|corners| (3..=9).contains(&corners.len()))?;
    let (edge, ..) = looked.on_outline(bounds.center())?;
    let curve = &looked.piece.edges[edge].curve;
    let placed: Vec<(f64, f64)> = corners.iter().map(|corner| curve.nearest(*corner)).collect();
    let open = !stroke.closed;
    let feet = |index: usize| placed.get(index).is_some_and(|(_, off)| *off <= TOUCH_MM);
    // Open shapes stand with both feet on the outline, closed ones touch it.
    let stands = if open { feet(0) && feet(corners.len() - 1) } else { (0..corners.len()).any(feet) };
    let around = !open && encloses_outline(&corners, curve.nearest(bounds.center()).1, bounds);
    let on_cutting_line = corners.iter().any(|corner| looked.on_cutting_line(*corner, TOUCH_MM));
    if !stands && !around && !on_cutting_line {
        return None;
    }
    let away = |index: usize| placed[index % placed.len()].1;
    let count = placed.len();
    let inner = if open { 1..count.saturating_sub(1) } else { 0..count };
    // Peaks on one side of the outline: a diamond has one on either side.
    let side = |index: usize| {
        let (along, _) = placed[index];
        curve.tangent_at(along).cross(corners[index] - curve.point_at(along))
    };
    let peaks = |left: bool| {
        inner
            .clone()
            .filter(|index| {
                let before = away((index + count - 1) % count);
                away(*index) > TOUCH_MM && away(*index) >= before && away(*index) > away(index + 1) - 1e-9
            })
            .filter(|index| (side(*index) > 0.0) == left)
            .count()
    };
    let (least, most) =
        placed.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), (along, _)| {
            (least.min(*along), most.max(*along))
        });
    let double = peaks(true).max(peaks(false)) >= 2 && corners.len() > 4;
    Some(Seen {
        lines: vec![line],
        what: What::Notch { edge, along: 0.5 * (least + most), double },
        confidence: if open { 0.85 } else { 0.8 },
    })
}

/// Whether a closed shape lies across the outline.
fn encloses_outline(corners: &[Point], centre_off: f64, bounds: crate::geometry::Rect) -> bool {
    corners.len() >= 3 && centre_off <= 0.25 * bounds.width().max(bounds.height())
}
