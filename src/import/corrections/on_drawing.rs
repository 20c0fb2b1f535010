//! Corrections of lines, before pieces are looked for.

use super::super::drawing::{Drawing, Part, Stroke};
use super::{Correction, LineIs, PICK_MM};
use crate::finding::{Finding, Severity};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Curve, Point};

/// A line by its group and its place there.
type LineId = (usize, usize);

/// The drawings with their lines put right. What could not be done is told.
pub(in super::super) fn corrected(
    mut drawings: Vec<(Option<String>, Drawing)>,
    list: &[Correction],
    findings: &mut Vec<Finding>,
) -> Vec<(Option<String>, Drawing)> {
    for correction in list {
        let (sheet, at) = match correction {
            Correction::Join { from, sheet, .. } => (*sheet, *from),
            Correction::Split { at, sheet }
            | Correction::Drop { at, sheet }
            | Correction::Mark { at, sheet, .. } => (*sheet, *at),
            _ => continue,
        };
        let done = drawings.get_mut(sheet).is_some_and(|(_, drawing)| apply(drawing, correction).is_some());
        if !done {
            findings.push(not_done(correction, Some(at), "there is no such line"));
        }
    }
    drawings
}

/// Lines that were given a size, as places; those on no line are told.
pub(in super::super) fn sizes_at(
    drawing: &Drawing,
    list: &[Correction],
    on: usize,
    findings: &mut Vec<Finding>,
) -> Vec<(LineId, String)> {
    let mut sizes = Vec::new();
    for correction in list {
        if let Correction::Size { at, size, sheet } = correction
            && *sheet == on
        {
            match nearest(drawing, *at) {
                Some((line, _)) => sizes.push((line, size.clone())),
                None => findings.push(not_done(correction, Some(*at), "there is no such line")),
            }
        }
    }
    sizes
}

/// A correction that could not be done.
pub(super) fn not_done(correction: &Correction, at: Option<Point>, why: &str) -> Finding {
    let what = format!("A correction was not done ({}): {why}", correction.words());
    let finding = Finding::new(Severity::Warning, what, "Take it back, and say it again");
    match at {
        Some(at) => finding.at(at),
        None => finding,
    }
}

fn stroke(drawing: &Drawing, (group, index): LineId) -> Option<&Stroke> {
    drawing.groups.get(group)?.strokes.get(index)
}

/// The line nearest to a place, and the arc length along it.
fn nearest(drawing: &Drawing, at: Point) -> Option<(LineId, f64)> {
    nearest_within(drawing, at, |_, _| true)
}

/// The same among lines that `fits`, by curve and arc length.
fn nearest_within(drawing: &Drawing, at: Point, fits: impl Fn(&Curve, f64) -> bool) -> Option<(LineId, f64)> {
    let groups = drawing.groups.iter().enumerate();
    let lines = groups.flat_map(|(group, content)| {
        content.strokes.iter().enumerate().map(move |(index, stroke)| ((group, index), stroke))
    });
    let near = lines.filter_map(|(line, stroke)| {
        let around = stroke.curve.bounding_box().inflate(PICK_MM, PICK_MM);
        if !around.contains(at) {
            return None;
        }
        let (along, off) = stroke.curve.nearest(at);
        (off <= PICK_MM && fits(&stroke.curve, along)).then_some((off, line, along))
    });
    near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, line, along)| (line, along))
}

/// The end of an open line nearest to a place, on another line than `not`.
fn nearest_end(drawing: &Drawing, at: Point, not: Option<(LineId, bool)>) -> Option<(LineId, bool)> {
    let groups = drawing.groups.iter().enumerate();
    let ends = groups.flat_map(|(group, content)| {
        content.strokes.iter().enumerate().filter(|(_, stroke)| !stroke.closed).flat_map(
            move |(index, stroke)| {
                [(stroke.curve.start(), false), (stroke.curve.end(), true)]
                    .map(|(end, last)| (end.distance(at), ((group, index), last)))
            },
        )
    });
    let near = ends.filter(|(off, end)| *off <= PICK_MM && Some(*end) != not);
    near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, end)| end)
}

fn apply(drawing: &mut Drawing, correction: &Correction) -> Option<()> {
    match correction {
        Correction::Join { from, to, .. } => {
            let first = nearest_end(drawing, *from, None)?;
            let second = nearest_end(drawing, *to, Some(first))?;
            let end = |(line, last): (LineId, bool)| {
                let curve = &stroke(drawing, line)?.curve;
                Some(if last { curve.end() } else { curve.start() })
            };
            let (a, b) = (end(first)?, end(second)?);
            if a.distance(b) > JOIN_MM {
                let like = stroke(drawing, first.0)?.clone();
                let bridge = Stroke { curve: Curve::line(a, b), name: None, closed: false, ..like };
                drawing.groups.get_mut(first.0.0)?.strokes.push(bridge);
            }
        }
        Correction::Split { at, .. } => {
            // A line that only ends there cannot be parted there.
            let parts = |curve: &Curve, along: f64| along > JOIN_MM && along < curve.length() - JOIN_MM;
            let ((group, index), along) = nearest_within(drawing, *at, parts)?;
            let strokes = &mut drawing.groups.get_mut(group)?.strokes;
            let whole = strokes.get(index)?.clone();
            let (Some(before), Some(after)) = whole.curve.split_at(along) else { return None };
            strokes.get_mut(index)?.clone_from(&Stroke { curve: before, closed: false, ..whole.clone() });
            strokes.insert(index + 1, Stroke { curve: after, closed: false, ..whole });
        }
        Correction::Drop { at, .. } => {
            let ((group, index), _) = nearest(drawing, *at)?;
            drawing.groups.get_mut(group)?.strokes.remove(index);
        }
        Correction::Mark { at, is, .. } => {
            let ((group, index), _) = nearest(drawing, *at)?;
            let stroke = drawing.groups.get_mut(group)?.strokes.get_mut(index)?;
            stroke.part = Some(match is {
                LineIs::BalanceLine => Part::Balance,
                LineIs::Grain => Part::Grain,
                LineIs::Inner => Part::Inner,
                LineIs::Notch => Part::Notch,
                LineIs::Drill => Part::Drill,
            });
        }
        _ => {}
    }
    Some(())
}
