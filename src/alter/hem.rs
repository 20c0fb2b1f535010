//! The hem longer or shorter, parallel to itself.
//!
//! The new hem is the true parallel curve, trimmed by (or carried on to) the edges beside it: side seams, fold,
//! front edge. Its length is L′ = L − h·Δθ for a hem shortened by h that turns by Δθ radians, exactly so where
//! it ends square to its neighbours; an arc stays an arc. Measuring up along the grain instead would take off
//! only h·cos β where the hem slopes by β, and is not offered for curved hems. The amount must stay below
//! the radius of curvature on the inner side.
//!
//! The old hem stays on the piece as a [`Trace`]. A turned-up allowance a is a·Δθ longer at its cut edge than the
//! hem where it is turned, which has to be eased in (or the other way round); the report names it.
//!
//! A marked line that crosses the new hem ends there. Notches on the hem stay above their old place. A notch on an edge beside it stays where it is on the cloth;
//! one that marks the level of the hem, or would be cut away, moves with the hem.

use super::draft::{Change, Draft};
use super::{AlterError, Amount, Figure, Pieces};

use crate::geometry::Shape as _;
use crate::geometry::{Affine, BezPath, Curve, Length, Point, Vec2, brought_together, parallel};
use crate::pattern::{ClothKind, EdgeRole, HowCut, Piece, Trace, TraceKind};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// The hem longer or shorter, parallel to itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hem {
    /// Which pieces; all that have a hem when absent.
    #[serde(default)]
    pub pieces: Pieces,
    /// How much longer; negative is shorter. Measured square to the hem.
    pub longer_by: Length,
}

/// How a hem moves.
#[derive(Clone, Copy)]
pub(super) enum HemShift {
    /// Square to itself by so many mm; positive is outwards, longer.
    Parallel(f64),
    /// As it is, by a vector.
    Along(Vec2),
}

/// How far past their ends a hem and its neighbours are carried on to find each other, as a multiple of the
/// amount: they meet at sin ψ ≥ 1/8 (7°), flatter than any hem is sewn.
const REACH: f64 = 8.0;

/// How far inside the hem a grainline's end is drawn that would otherwise hang below it, in mm.
const GRAINLINE_INSIDE_MM: f64 = 20.0;

impl Hem {
    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let by = self.longer_by.mm();
        move_hems(draft, &self.pieces, |_| HemShift::Parallel(by))
    }
}

/// Moves the hems of the named pieces and reports the sweep and what the allowance has to be eased.
pub(super) fn move_hems(
    draft: &Draft<'_>,
    pieces: &Pieces,
    shift: impl Fn(&Piece) -> HemShift,
) -> Result<Change, AlterError> {
    if let Pieces::Only(named) = pieces {
        for id in named {
            if !draft.piece(id)?.edges.iter().any(|edge| edge.role == EdgeRole::Hem) {
                return Err(AlterError::NoHem { piece: id.clone() });
            }
        }
    }
    let mut change = Change::default();
    for piece in draft.pieces {
        if pieces.hold(piece) && piece.edges.iter().any(|edge| edge.role == EdgeRole::Hem) {
            change.pieces.push(with_hem_moved(piece, shift(piece), &mut change.notes)?);
        }
    }
    if change.pieces.is_empty() {
        return Err(AlterError::NoHemAnywhere);
    }
    let after: Vec<Arc<Piece>> = draft
        .pieces
        .iter()
        .map(|old| {
            let new = change.pieces.iter().find(|new| new.id == old.id);
            new.map_or_else(|| Arc::clone(old), |new| Arc::new(new.clone()))
        })
        .collect();
    change.figures.push(Figure {
        name: "hem all round",
        piece: None,
        before: Some(Amount::Mm(garment_hem_length(draft.pieces))),
        after: Amount::Mm(garment_hem_length(&after)),
    });
    let ease = |piece: &Piece| {
        let hems = piece.edges.iter().enumerate().filter(|(_, edge)| edge.role == EdgeRole::Hem);
        let eased = hems.map(|(at, edge)| draft.allowances.width_mm(piece, at) * edge.curve.turn());
        Amount::Mm(eased.sum())
    };
    for new in &change.pieces {
        let before = draft.piece(&new.id).ok().map(&ease);
        change.figures.push(Figure {
            name: "to ease into the turned-up hem",
            piece: Some(new.id.clone()),
            before,
            after: ease(new),
        });
    }
    Ok(change)
}

/// Length of all hems of the garment as worn, in mm: every copy cut from the main cloth, both halves of those
/// on a fold. Facings, which lie behind, are not counted.
#[must_use]
pub fn garment_hem_length(pieces: &[Arc<Piece>]) -> f64 {
    let is_facing = |piece: &Piece| piece.edges.iter().any(|edge| edge.role == EdgeRole::FacingEdge);
    let shells = pieces.iter().filter(|piece| !is_facing(piece));
    shells
        .map(|piece| {
            let hems = piece.edges.iter().filter(|edge| edge.role == EdgeRole::Hem);
            let drawn: f64 = hems.map(|edge| edge.curve.length()).sum();
            let cloth = piece.cuttings.iter().filter(|cutting| cutting.cloth == ClothKind::Cloth);
            let halves: u32 = cloth
                .map(|cutting| match cutting.how {
                    HowCut::Single | HowCut::MirroredPair => cutting.count,
                    HowCut::OnFold | HowCut::OpenedOut => 2 * cutting.count,
                })
                .sum();
            drawn * f64::from(halves)
        })
        .sum()
}

/// Runs of neighbouring hem edges, as places in the outline; empty when there is no other edge.
fn hem_runs(piece: &Piece) -> Vec<Vec<usize>> {
    let count = piece.edges.len();
    let is_hem = |index: usize| piece.edges[index % count].role == EdgeRole::Hem;
    let mut runs = Vec::new();
    for start in (0..count).filter(|&at| is_hem(at) && !is_hem(at + count - 1)) {
        runs.push((start..start + count).take_while(|&at| is_hem(at)).map(|at| at % count).collect());
    }
    runs
}

fn with_hem_moved(piece: &Piece, shift: HemShift, notes: &mut Vec<String>) -> Result<Piece, AlterError> {
    let by = match shift {
        HemShift::Parallel(by) => by,
        HemShift::Along(vector) => vector.hypot(),
    };
    if by == 0.0 {
        return Ok(piece.clone());
    }
    let reach = REACH * by.abs();
    let count = piece.edges.len();
    let mut moved = piece.clone();
    for run in hem_runs(piece) {
        let (Some(&first), Some(&last)) = (run.first(), run.last()) else {
            continue;
        };
        for &at in &run {
            let edge = &piece.edges[at];
            moved.edges[at].curve = match shift {
                HemShift::Parallel(by) => parallel(&edge.curve, -by).map_err(|cause| {
                    AlterError::NoParallel { piece: piece.id.clone(), edge: edge.id.clone(), cause }
                })?,
                HemShift::Along(vector) => edge.curve.transformed(Affine::translate(vector)),
            };
        }
        for at in (first + count - 1..first + count).chain(run.iter().map(|at| at + count)) {
            join(piece, &mut moved, at % count, (at + 1) % count, by, reach)?;
        }
        let old = run.iter().map(|&at| &piece.edges[at].curve);
        let old = old.cloned().reduce(|a, b| a.joined(&b).unwrap_or(a));
        moved.traces.extend(old.map(|curve| Trace { kind: TraceKind::OldHem, curve }));
        keep_notches(piece, &mut moved, &run, (first + count - 1) % count, (last + 1) % count);
    }
    end_lines_at_the_hem(&mut moved);
    note_lost_marks(piece, &mut moved, notes);
    Ok(moved)
}

/// Cuts marked lines off where they cross the new hem: a button line that ran down to the old one must not be lit on
/// the cloth that is cut away. A line that crosses more than once is no line down to the hem, and stays.
fn end_lines_at_the_hem(moved: &mut Piece) {
    let outline = moved.outline();
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
fn note_lost_marks(old: &Piece, moved: &mut Piece, notes: &mut Vec<String>) {
    let (outline_before, outline): (BezPath, BezPath) = (old.outline(), moved.outline());
    let lost = |p: Point| outline_before.contains(p) && !outline.contains(p);
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
