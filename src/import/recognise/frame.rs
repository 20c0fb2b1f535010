//! Which loops are outlines of pieces: not what lies inside another, and no frame.

use super::super::drawing::Drawing;
use super::Candidate;
use crate::finding::{Finding, Severity};
use crate::geometry::{Rect, Segment};
use std::collections::BTreeSet;

/// A frame lies this close to the page's edge at most, in mm.
const FRAME_MM: f64 = 1.0;

/// The loops that are outlines of pieces, in the order of the drawing.
pub(super) fn outermost(
    drawing: &Drawing,
    candidates: Vec<Candidate>,
    findings: &mut Vec<Finding>,
) -> Vec<Candidate> {
    let frames = frames(drawing, &candidates);
    for &frame in &frames {
        findings.push(
            Finding::new(
                Severity::Note,
                "A rectangle around pieces was taken for a frame and left out",
                "Nothing to do, unless it is a piece: then put it into a group of its own",
            )
            .at(candidates[frame].polygon.bounds.center()),
        );
    }
    let inner: Vec<bool> = (0..candidates.len())
        .map(|index| {
            let this = &candidates[index];
            candidates.iter().enumerate().any(|(other, around)| {
                other != index
                    && !frames.contains(&other)
                    && around.polygon.area() > this.polygon.area()
                    && around.polygon.holds(&this.polygon)
                    && encloses(drawing, around.group, this.group)
            })
        })
        .collect();
    candidates
        .into_iter()
        .enumerate()
        .filter(|(index, _)| !inner[*index] && !frames.contains(index))
        .map(|(_, candidate)| candidate)
        .collect()
}

/// Whether a group is another or stands around it.
fn encloses(drawing: &Drawing, outer: usize, inner: usize) -> bool {
    let mut group = Some(inner);
    while let Some(index) = group {
        if index == outer {
            return true;
        }
        // Parents stand before their children.
        group = drawing.groups[index].parent.filter(|_| index > outer);
    }
    false
}

/// Rectangles that hold loops of several groups, or are the page.
fn frames(drawing: &Drawing, candidates: &[Candidate]) -> BTreeSet<usize> {
    let is_page = |bounds: Rect| {
        drawing.page.is_some_and(|page| {
            let sides = [page.x0 - bounds.x0, page.y0 - bounds.y0, page.x1 - bounds.x1, page.y1 - bounds.y1];
            sides.iter().all(|off| off.abs() <= FRAME_MM)
        })
    };
    let is_frame = |index: usize| {
        let frame = &candidates[index];
        if !is_rectangle(&frame.ring.segments()) || candidates.len() < 2 {
            return false;
        }
        let held: BTreeSet<usize> = candidates
            .iter()
            .enumerate()
            .filter(|(other, held)| *other != index && frame.polygon.holds(&held.polygon))
            .map(|(_, held)| held.group)
            .collect();
        held.iter().filter(|group| **group != frame.group).count() >= 2
            || (is_page(frame.polygon.bounds) && !held.is_empty())
    };
    (0..candidates.len()).filter(|index| is_frame(*index)).collect()
}

/// Four straight sides along the axes.
fn is_rectangle(segments: &[Segment]) -> bool {
    let straight = |segment: &Segment| match segment {
        Segment::Line(line) => {
            let along = line.p1 - line.p0;
            along.x.abs().min(along.y.abs()) <= FRAME_MM * 0.1
        }
        _ => false,
    };
    segments.len() == 4 && segments.iter().all(straight)
}
