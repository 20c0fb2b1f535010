//! A piece after its hem has moved: joined to its neighbours again, with its marks.

use super::slope::Slope;
use super::way::hem_runs;
use super::{HemShift, REACH};
use crate::alter::AlterError;
use crate::geometry::Shape as _;
use crate::geometry::{Affine, BezPath, Curve, Point, brought_together, parallel};
use crate::pattern::{EdgeRole, Piece, Trace, TraceKind};
use std::cell::OnceCell;

/// How far inside the hem a grainline's end is drawn that would otherwise hang below it, in mm.
const GRAINLINE_INSIDE_MM: f64 = 20.0;

/// A piece with its hems moved.
pub(super) fn with_hem_moved(
    piece: &Piece,
    shift: &HemShift,
    notes: &mut Vec<String>,
) -> Result<Piece, AlterError> {
    let by = match shift {
        HemShift::Parallel(by) => *by,
        HemShift::Along(vector) => vector.hypot(),
        HemShift::Sloping(slopes) => {
            slopes.iter().map(Slope::largest).max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or_default()
        }
    };
    let turned =
        matches!(shift, HemShift::Sloping(slopes) if slopes.iter().any(|slope| slope.turned.is_some()));
    if by == 0.0 && !turned {
        return Ok(piece.clone());
    }
    let reach = REACH * by.abs();
    let count = piece.edges.len();
    let mut moved = piece.clone();
    for (number, run) in hem_runs(piece).into_iter().enumerate() {
        let (Some(&first), Some(&last)) = (run.first(), run.last()) else {
            continue;
        };
        let whole: f64 = run.iter().map(|&at| piece.edges[at].curve.length()).sum();
        let mut passed = 0.0;
        for &at in &run {
            let edge = &piece.edges[at];
            let refused =
                |cause| AlterError::NoParallel { piece: piece.id.clone(), edge: edge.id.clone(), cause };
            moved.edges[at].curve = match shift {
                HemShift::Parallel(by) => parallel(&edge.curve, -by).map_err(refused)?,
                HemShift::Along(vector) => edge.curve.transformed(Affine::translate(*vector)),
                HemShift::Sloping(slopes) => match slopes.get(number) {
                    Some(slope) => slope.moved(&edge.curve, passed, whole).map_err(refused)?,
                    None => edge.curve.clone(),
                },
            };
            passed += edge.curve.length();
        }
        for at in (first + count - 1..first + count).chain(run.iter().map(|at| at + count)) {
            join(piece, &mut moved, at % count, (at + 1) % count, by, reach)?;
        }
        let old = run.iter().map(|&at| &piece.edges[at].curve);
        let old = old.cloned().reduce(|a, b| a.joined(&b).unwrap_or(a));
        moved.traces.extend(old.map(|curve| Trace { kind: TraceKind::OldHem, curve }));
        keep_notches(piece, &mut moved, &run, (first + count - 1) % count, (last + 1) % count);
    }
    let outline = moved.outline();
    end_lines_at_the_hem(&mut moved, &outline);
    note_lost_marks(piece, &mut moved, &outline, notes);
    Ok(moved)
}

/// Cuts marked lines off where they cross the new hem: a button line that ran down to the old one must not be lit on
/// the cloth that is cut away. A line that crosses more than once is no line down to the hem, and stays.
fn end_lines_at_the_hem(moved: &mut Piece, outline: &BezPath) {
    let hems: Vec<&Curve> =
        moved.edges.iter().filter(|edge| edge.role == EdgeRole::Hem).map(|edge| &edge.curve).collect();
    for line in &mut moved.inner_lines {
        let crossed: Vec<_> =
            hems.iter().flat_map(|hem| crate::geometry::crossings(&line.curve, hem)).collect();
        let [crossing] = crossed.as_slice() else { continue };
        let (Some(before), Some(after)) = line.curve.split_at(crossing.on_first) else { continue };
        let inside = |part: &Curve| outline.contains(part.point_at(0.5 * part.length()));
        match (inside(&before), inside(&after)) {
            (true, false) => line.curve = before,
            (false, true) => line.curve = after,
            _ => {}
        }
    }
}

/// Brings the end of one edge and the start of the next together again.
fn join(
    old: &Piece,
    moved: &mut Piece,
    before: usize,
    after: usize,
    by: f64,
    reach: f64,
) -> Result<(), AlterError> {
    let corner = old.edges[before].curve.end();
    let (first, second) = (&moved.edges[before].curve, &moved.edges[after].curve);
    let joined = brought_together(first, second, corner, reach);
    let (kept, rest) = joined.ok_or_else(|| AlterError::Apart {
        piece: old.id.clone(),
        first: old.edges[before].id.clone(),
        second: old.edges[after].id.clone(),
        by_mm: by,
    })?;
    moved.edges[before].curve = kept;
    moved.edges[after].curve = rest;
    Ok(())
}

/// Notches after a hem has moved; see the module's text.
fn keep_notches(old: &Piece, moved: &mut Piece, run: &[usize], before: usize, after: usize) {
    let edges = moved.edges.clone();
    for notch in &mut moved.notches {
        let Some(at) = old.edge_index(&notch.edge) else {
            continue;
        };
        let (was, is) = (&old.edges[at], &edges[at]);
        let from_start = notch.distance_from_start(was);
        let place = was.curve.point_at(from_start);
        if run.contains(&at) {
            let (along, _) = is.curve.nearest(place);
            notch.distance = measured(notch.corner == is.to, &is.curve, along);
        } else if at == before || at == after {
            let hem_corner = if at == before { &was.to } else { &was.from };
            let to_hem = if at == before { was.curve.length() - from_start } else { from_start };
            let lost = was.curve.length() - is.curve.length();
            let marks_the_hem = to_hem <= HEM_LEVEL_MM;
            let stays_at_hem = marks_the_hem || to_hem <= lost;
            // The distance changes when it is measured from the end that the notch does not go with.
            if stays_at_hem != (&notch.corner == hem_corner) {
                notch.distance -= lost;
            }
        }
    }
}

/// A notch this close to the hem marks the level where the hem is turned, in mm.
const HEM_LEVEL_MM: f64 = 1.0;

fn measured(from_end: bool, curve: &Curve, along: f64) -> f64 {
    if from_end { curve.length() - along } else { along }
}

/// Draws a hanging grainline back in, and names marks that are now on cut-away cloth.
fn note_lost_marks(old: &Piece, moved: &mut Piece, outline: &BezPath, notes: &mut Vec<String>) {
    // Most marks are still on the piece, and need no look at where they were.
    let before = OnceCell::new();
    let lost = |p: Point| !outline.contains(p) && before.get_or_init(|| old.outline()).contains(p);
    let up = moved.grainline.direction();
    if lost(moved.grainline.from) {
        let area = moved.bounding_box();
        let long = (area.width() + area.height()).max(1.0);
        let middle = moved.grainline.from.midpoint(moved.grainline.to);
        let from = [middle, moved.grainline.to].into_iter().find(|&p| outline.contains(p));
        if let Some(from) = from {
            let down = Curve::line(from, from - long * up);
            let below = moved
                .edges
                .iter()
                .flat_map(|edge| crate::geometry::crossings(&down, &edge.curve))
                .map(|crossing| crossing.on_first)
                .fold(f64::INFINITY, f64::min);
            if below.is_finite() {
                moved.grainline.from = from - (below - GRAINLINE_INSIDE_MM).max(0.5 * below) * up;
            }
        }
    }
    for hole in moved.drill_holes.iter().filter(|hole| lost(hole.at)) {
        notes.push(format!(
            "Piece “{}”: the mark “{}” lies below the new hem. Move it before marking.",
            moved.id, hole.name
        ));
    }
    for line in &moved.inner_lines {
        if lost(line.curve.point_at(0.5 * line.curve.length())) {
            notes.push(format!(
                "Piece “{}”: the line “{}” lies below the new hem. Move it before marking.",
                moved.id, line.name
            ));
        }
    }
}
