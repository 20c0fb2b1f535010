//! Lines that a program has drawn as thin filled shapes become lines again.
//!
//! Some programs turn a stroke into its outline before they export it: an open line becomes one long shape of even
//! width with butt, round or square ends, a closed line becomes a ring, an outer loop and a loop inside it. Both are
//! told by their even width, measured along the whole of the middle line that is put in their place. A filled shape
//! whose width changes (a notch drawn as a triangle, an arrowhead) stays what it is.
//!
//! **Limits.** Lines that were merged into one shape where they cross or meet are left as they are, and so are dashes
//! drawn shape by shape: each becomes a line of its own. A square end reaches half a width beyond the line's; nothing
//! tells it from a longer line.

mod middle;
mod rim;

use super::drawing::{Arrows, Drawing, Look, Stroke};
use crate::finding::{Finding, Severity};
use crate::geometry::tolerance::{FLATTEN_COARSE_MM, JOIN_MM};
use crate::geometry::{Curve, Rect};
use crate::pattern::signed_area;
use rim::Rim;
use std::collections::BTreeMap;

/// The thickest line that a filled shape is taken for, in mm: as thick as a marker, and narrower than any allowance.
const THICKEST_MM: f64 = 2.0;

/// The thinnest, in mm; printers draw no thinner, and a shape of no area is a line that was never filled.
const THINNEST_MM: f64 = 0.02;

/// A line is at least so many widths long; shorter shapes are dots.
const LEAST_LENGTH: f64 = 4.0;

/// The two loops of a ring may lie this many widths apart at a mitred corner.
const MITRE: f64 = 6.0;

/// Pairs of filled shapes that are held against each other in one group, a pair that may be a ring counted as many: what
/// fills a sheet of any pattern takes a thousandth of it.
const MOST_PAIRS: usize = 40_000_000;
const RING_PAIRS: usize = 2000;

/// A filled shape without a line around it.
struct Shape<'a> {
    at: usize,
    curve: &'a Curve,
    look: &'a Look,
    bounds: Rect,
    area: f64,
    length: f64,
}

/// Puts the middle line in the place of each line that is drawn as a thin filled shape, and tells how many.
pub(super) fn thinned(drawing: &mut Drawing, findings: &mut Vec<Finding>) {
    let mut count = 0_usize;
    let mut first = None;
    let mut too_many = false;
    for group in &mut drawing.groups {
        let (found, ended) = lines_in(&group.strokes);
        too_many |= ended;
        if found.is_empty() {
            continue;
        }
        count += found.values().filter(|line| line.is_some()).count();
        first = first.or_else(|| found.values().flatten().next().map(|(curve, ..)| curve.start()));
        let strokes = std::mem::take(&mut group.strokes).into_iter().enumerate();
        let replaced = strokes.filter_map(|(at, stroke)| match found.get(&at) {
            None => Some(stroke),
            Some(None) => None,
            Some(Some((curve, width, closed))) => {
                let look = Look {
                    colour: stroke.look.fill,
                    width: hundredths(*width),
                    dashes: Vec::new(),
                    fill: None,
                };
                Some(Stroke { curve: curve.clone(), closed: *closed, look, ..stroke })
            }
        });
        group.strokes = replaced.collect();
    }
    if too_many {
        let what = "There are too many filled shapes close together to tell which of them are rings that stand for closed lines; some were left as they are";
        let remedy = "If a piece has a double outline, hide what fills the drawing, and import it again";
        findings.push(Finding::new(Severity::Warning, what, remedy));
    }
    if let Some(at) = first {
        let what = format!("{count} lines were drawn as thin filled shapes; their middle was taken");
        let remedy = "Nothing to do, unless a thin shape is no line";
        findings.push(Finding::new(Severity::Note, what, remedy).at(at));
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a width is positive and below the thickest line"
)]
fn hundredths(width_mm: f64) -> u32 {
    (100.0 * width_mm).round().clamp(1.0, 100.0 * THICKEST_MM) as u32
}

/// For each stroke that is no more what it was: its middle line with its width and whether it is closed, or nothing
/// for the inner loop of a ring.
type Found = BTreeMap<usize, Option<(Curve, f64, bool)>>;

/// The lines, and whether there were too many shapes to hold each against each.
fn lines_in(strokes: &[Stroke]) -> (Found, bool) {
    let mut found = Found::new();
    let mut rest: Vec<Shape<'_>> = Vec::new();
    for (at, stroke) in strokes.iter().enumerate() {
        let Some(shape) = shape_of(at, stroke) else { continue };
        match strip(&shape) {
            Some((curve, width)) => {
                found.insert(at, Some((curve, width, false)));
            }
            None => rest.push(shape),
        }
    }
    rest.sort_by(|a, b| a.bounds.x0.total_cmp(&b.bounds.x0));
    let mut used = vec![false; rest.len()];
    let reach = MITRE * THICKEST_MM;
    let mut pairs = 0_usize;
    for (index, outer) in rest.iter().enumerate() {
        // The inner loop begins right of the outer one, and not far.
        for (other, inner) in rest.iter().enumerate().skip(index + 1) {
            if used[index] || pairs > MOST_PAIRS || inner.bounds.x0 > outer.bounds.x0 + reach {
                break;
            }
            pairs += 1;
            if used[other] || !may_be_ring(outer, inner) {
                continue;
            }
            pairs += RING_PAIRS;
            if let Some((curve, width)) = middle_of_ring(outer, inner) {
                used[index] = true;
                used[other] = true;
                found.insert(outer.at, Some((curve, width, true)));
                found.insert(inner.at, None);
            }
        }
    }
    (found, pairs > MOST_PAIRS)
}

/// A closed stroke that is filled and not drawn along.
fn shape_of(at: usize, stroke: &Stroke) -> Option<Shape<'_>> {
    let look = &stroke.look;
    let only_filled = look.fill.is_some() && look.colour.is_none() && stroke.part.is_none();
    let curve = &stroke.curve;
    let closed = curve.start().distance(curve.end()) <= JOIN_MM;
    if !only_filled || !closed || stroke.arrows != Arrows::default() {
        return None;
    }
    let area = signed_area(&curve.chorded(0.1 * FLATTEN_COARSE_MM)).abs();
    Some(Shape { at, curve, look, bounds: curve.bounding_box(), area, length: curve.length() })
}

/// The middle of a long shape of even width, and the width.
fn strip(shape: &Shape<'_>) -> Option<(Curve, f64)> {
    // A strip of length l and width w: half of its way round is l + w, and its area l·w.
    let half = 0.5 * shape.length;
    let left = half * half - 4.0 * shape.area;
    let width = 0.5 * (half - left.max(0.0).sqrt());
    if !(THINNEST_MM..=THICKEST_MM).contains(&width) || half < LEAST_LENGTH * width {
        return None;
    }
    let rim = Rim::of(shape.curve, true);
    let [first, second] = rim.ends(width)?;
    let line = middle::between(&rim.part(first.1, second.0)?, &rim.part(second.1, first.0)?, false)?;
    (line.0.length() >= LEAST_LENGTH * line.1).then_some(line)
}

/// Whether two loops lie one in the other as those of a ring do.
fn may_be_ring(outer: &Shape<'_>, inner: &Shape<'_>) -> bool {
    let (a, b) = (outer.bounds, inner.bounds);
    let gaps = [b.x0 - a.x0, b.y0 - a.y0, a.x1 - b.x1, a.y1 - b.y1];
    let nested = gaps.iter().all(|gap| (0.0..=MITRE * THICKEST_MM).contains(gap));
    let width = 2.0 * (outer.area - inner.area) / (outer.length + inner.length);
    nested && (THINNEST_MM..=THICKEST_MM).contains(&width) && outer.look == inner.look
}

/// The middle between the outer and the inner loop of a ring, and its width.
fn middle_of_ring(outer: &Shape<'_>, inner: &Shape<'_>) -> Option<(Curve, f64)> {
    middle::between(&Rim::of(outer.curve, true), &Rim::of(inner.curve, false), true)
}
