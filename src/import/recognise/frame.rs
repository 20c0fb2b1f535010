//! Which loops are outlines of pieces: not what lies inside another, and no frame.

use super::super::drawing::Drawing;
use super::border::{MARGIN_MM, with_borders};
use super::chain::LineId;
use super::shapes::Arrow;
use super::{Candidate, allowance};
use crate::finding::{Finding, Severity};
use crate::geometry::{Rect, Segment};
use std::collections::{BTreeMap, BTreeSet};

/// A frame lies this close to the page's edge at most, in mm.
const FRAME_MM: f64 = 1.0;

/// Outlines closer than this everywhere are one outline drawn twice, in mm.
const SAME_MM: f64 = 0.1;

/// More outlines than this are dots or a hatching and no pieces: each is held against each.
const MOST_OUTLINES: usize = 10_000;

/// A seam line holds at least this part of what its cutting line holds.
const LEAST_SEWN: f64 = 0.4;

/// The loops that are outlines of pieces, in the order of the drawing.
pub(super) fn outermost(
    drawing: &Drawing,
    sheets: &[usize],
    mut candidates: Vec<Candidate>,
    arrows: &[Arrow],
    used: &mut BTreeSet<LineId>,
    findings: &mut Vec<Finding>,
) -> Vec<Candidate> {
    if candidates.len() > MOST_OUTLINES {
        let what = format!(
            "{} closed lines, each larger than a mark, are too many to be pieces; none was taken",
            candidates.len()
        );
        findings.push(Finding::new(
            Severity::Stop,
            what,
            "Hide what fills or decorates the drawing, and import it again",
        ));
        return Vec::new();
    }
    drop_doubles(&mut candidates, sheets, used);
    let frames = frames(drawing, &candidates, arrows);
    for frame in (0..candidates.len()).filter(|index| frames[*index]) {
        findings.push(
            Finding::new(
                Severity::Note,
                "A rectangle around pieces was taken for a frame and left out",
                "Nothing to do, unless it is a piece: then draw its grainline on it, and group it with what lies on it",
            )
            .at(candidates[frame].polygon.bounds.center()),
        );
    }
    let inner: Vec<bool> = (0..candidates.len())
        .map(|index| {
            let this = &candidates[index];
            candidates.iter().zip(&frames).any(|(around, is_frame)| {
                !is_frame
                    && around.polygon.area() > this.polygon.area()
                    && encloses(drawing, sheets, around.group, this.group)
                    && around.polygon.holds(&this.polygon)
            })
        })
        .collect();
    let within: Vec<usize> = (0..candidates.len()).filter(|index| inner[*index]).collect();
    let seam_in = |outer: usize| {
        let around = &candidates[outer];
        let evenly = within.iter().copied().filter(|index| {
            let this = &candidates[*index];
            this.polygon.area() >= LEAST_SEWN * around.polygon.area()
                && encloses(drawing, sheets, around.group, this.group)
                && allowance::runs_evenly_inside(&this.polygon, &around.polygon)
        });
        evenly.max_by(|a, b| candidates[*a].polygon.area().total_cmp(&candidates[*b].polygon.area()))
    };
    let mut swapped: BTreeMap<usize, usize> = BTreeMap::new();
    for outer in (0..candidates.len()).filter(|index| !inner[*index] && !frames[*index]) {
        if candidates[outer].cutting.is_none()
            && let Some(seam) = seam_in(outer)
        {
            swapped.insert(outer, seam);
        }
    }
    let mut all: Vec<Option<Candidate>> = candidates.into_iter().map(Some).collect();
    let mut outlines = Vec::new();
    for index in (0..all.len()).filter(|index| !inner[*index] && !frames[*index]) {
        let Some(outer) = all[index].take() else { continue };
        let seam = swapped.get(&index).and_then(|seam| all[*seam].take());
        outlines.push(match seam {
            Some(seam) => {
                used.extend(outer.ring.lines());
                let cutting = outer.ring.parts().iter().map(|(_, curve)| curve.clone()).collect();
                Candidate { group: outer.group, cutting: Some(cutting), ..seam }
            }
            None => outer,
        });
    }
    outlines
}

/// The same outline drawn again, filled and as a line, or on another layer of the sheet.
fn drop_doubles(candidates: &mut Vec<Candidate>, sheets: &[usize], used: &mut BTreeSet<LineId>) {
    let mut kept: Vec<Candidate> = Vec::new();
    for candidate in candidates.drain(..) {
        let same = kept.iter().any(|other| {
            let (a, b) = (candidate.polygon.bounds, other.polygon.bounds);
            let near = |x: f64, y: f64| (x - y).abs() <= SAME_MM;
            sheets[candidate.group] == sheets[other.group]
                && near(a.x0, b.x0)
                && near(a.y0, b.y0)
                && near(a.x1, b.x1)
                && near(a.y1, b.y1)
                && candidate.polygon.evenly(24).into_iter().all(|at| other.polygon.distance(at) <= SAME_MM)
        });
        if same {
            used.extend(candidate.ring.lines());
        } else {
            kept.push(candidate);
        }
    }
    *candidates = kept;
}

/// Whether a group is another or stands around it; a layer counts as the sheet that it is part of.
fn encloses(drawing: &Drawing, sheets: &[usize], outer: usize, inner: usize) -> bool {
    let outer = sheets[outer];
    let mut group = Some(sheets[inner]);
    while let Some(index) = group {
        if index == outer {
            return true;
        }
        // Parents stand before their children.
        group = drawing.groups[index].parent.filter(|_| index > outer).map(|parent| sheets[parent]);
    }
    false
}

/// Which loops are rectangles that hold loops of several groups, or are the page or its border.
fn frames(drawing: &Drawing, candidates: &[Candidate], arrows: &[Arrow]) -> Vec<bool> {
    let is_page = |bounds: Rect| {
        drawing.page.is_some_and(|page| {
            let sides = [page.x0 - bounds.x0, page.y0 - bounds.y0, page.x1 - bounds.x1, page.y1 - bounds.y1];
            sides.iter().all(|off| off.abs() <= FRAME_MM)
        })
    };
    let is_frame = |index: usize| {
        let frame = &candidates[index];
        if !is_rectangle(&frame.ring.segments()) {
            return false;
        }
        // What is no smaller is drawn beside it or again; nothing is asked of its points.
        let is_held = |held: &&Candidate| {
            held.polygon.area() < frame.polygon.area() && frame.polygon.holds(&held.polygon)
        };
        let other_group = |held: &&Candidate| held.group != frame.group;
        let mut others = candidates.iter().filter(other_group).filter(is_held).map(|held| held.group);
        let several = others.next().is_some_and(|first| others.any(|group| group != first));
        several || (is_page(frame.polygon.bounds) && candidates.iter().any(|held| is_held(&held)))
    };
    let mut all: Vec<bool> = (0..candidates.len()).map(is_frame).collect();
    for index in page_frames(drawing, candidates) {
        all[index] = true;
    }
    with_borders(drawing.page, candidates, all, arrows)
}

/// Rectangles of one size in a row, as high as the sheet but for the margins: the frames that are printed on pages
/// which lie side by side.
fn page_frames(drawing: &Drawing, candidates: &[Candidate]) -> Vec<usize> {
    let Some(sheet) = drawing.page else { return Vec::new() };
    let of_pages: Vec<usize> = (0..candidates.len())
        .filter(|index| {
            let bounds = candidates[*index].polygon.bounds;
            let margins = [bounds.y0 - sheet.y0, sheet.y1 - bounds.y1];
            is_rectangle(&candidates[*index].ring.segments())
                && margins.iter().all(|margin| (0.0..=MARGIN_MM).contains(margin))
        })
        .collect();
    let alike = |one: usize, two: usize| {
        let (a, b) = (candidates[one].polygon.bounds, candidates[two].polygon.bounds);
        let apart = a.x1 <= b.x0 || b.x1 <= a.x0;
        let same = [a.width() - b.width(), a.y0 - b.y0, a.y1 - b.y1];
        apart && same.iter().all(|off| off.abs() <= FRAME_MM)
    };
    let repeated: Vec<usize> =
        of_pages.iter().copied().filter(|one| of_pages.iter().any(|two| alike(*one, *two))).collect();
    // Two pieces as large as their pages hold no pieces.
    let holds = |frame: &usize| {
        let around = &candidates[*frame].polygon;
        candidates.iter().enumerate().any(|(other, held)| other != *frame && around.holds(&held.polygon))
    };
    if repeated.iter().any(holds) { repeated } else { Vec::new() }
}

/// Four straight sides along the axes.
pub(super) fn is_rectangle(segments: &[Segment]) -> bool {
    let straight = |segment: &Segment| match segment {
        Segment::Line(line) => {
            let along = line.p1 - line.p0;
            along.x.abs().min(along.y.abs()) <= FRAME_MM * 0.1
        }
        _ => false,
    };
    segments.len() == 4 && segments.iter().all(straight)
}
