//! The record that draws a facing again, from what the pattern sews it to.

use super::build::Build;
use super::{Faced, Facing, WidthAlong};
use crate::geometry::Length;
use crate::pattern::{Edge, EdgeRole, Pattern, Piece, Run};

/// Widths that differ by less are one, in mm.
const SAME_WIDTH_MM: f64 = 0.5;

impl Facing {
    /// How `facing` is drawn again: along everything that its outer edge is sewn to, as wide as it is now. `None` for a
    /// piece that is not built as a facing, or whose outer edge is sewn to nothing.
    #[must_use]
    pub fn again(pattern: &Pattern, facing: &Piece) -> Option<Self> {
        let build = Build::of(facing, |edge| faced_by(pattern, facing, edge).is_some())?;
        let mut along: Vec<Faced> = Vec::new();
        for &at in &build.outer {
            let mate = faced_by(pattern, facing, &facing.edges[at])?;
            if along.iter().any(|faced| faced.piece == mate.piece) {
                continue;
            }
            // A run is travelled as it is sewn; a record names edges in the order of their outline.
            let drawn = pattern.pieces.iter().find(|piece| piece.id == mate.piece)?.by_size.first()?;
            let mut edges = mate.edges.clone();
            let begins_with = drawn.edge(edges.first()?)?;
            if begins_with.from != mate.from {
                edges.reverse();
            }
            along.push(Faced { piece: mate.piece.clone(), edges });
        }
        let widths = widths(facing, &build);
        let least = widths.iter().copied().fold(f64::INFINITY, f64::min);
        let others = build.outer.iter().zip(&widths).filter(|(_, width)| **width > least + SAME_WIDTH_MM);
        let other_widths = others
            .map(|(&at, &width)| WidthAlong { edge: facing.edges[at].id.clone(), width: tenths(width) })
            .collect();
        Some(Self { piece: facing.id.clone(), along, width: tenths(least), other_widths, trim: None })
    }
}

/// The run of another piece, no facing itself, that an edge of a facing is sewn to.
fn faced_by<'a>(pattern: &'a Pattern, facing: &'a Piece, edge: &'a Edge) -> Option<&'a Run> {
    let mut mates =
        pattern.seams_of(&facing.id, &edge.id).filter_map(|seam| seam.mate_of(&facing.id, &edge.id));
    mates.find(|mate| {
        let drawn = pattern.pieces.iter().find(|piece| piece.id == mate.piece);
        let drawn = drawn.and_then(|piece| piece.by_size.first());
        drawn.is_some_and(|piece| piece.edges.iter().all(|edge| edge.role != EdgeRole::FacingEdge))
    })
}

/// How wide a facing is along each of its outer edges, in mm: where it is cut off at an end, the distance of the inner
/// corner there; of both ends of a single edge the narrower; between, what most of the edge has.
fn widths(facing: &Piece, build: &Build) -> Vec<f64> {
    let curve = |at: usize| &facing.edges[at].curve;
    let start = build.start.first().map(|&at| curve(at).start());
    let end = build.end.last().map(|&at| curve(at).end());
    let last = build.outer.len().saturating_sub(1);
    let width = |(number, &at): (usize, &usize)| {
        let corners = [start.filter(|_| number == 0), end.filter(|_| number == last)];
        let narrower = corners
            .into_iter()
            .flatten()
            .map(|corner| curve(at).distance_to(corner))
            .fold(f64::INFINITY, f64::min);
        if narrower.is_finite() { narrower } else { middle_width(facing, build, at) }
    };
    build.outer.iter().enumerate().map(width).collect()
}

/// The middle one of many distances from an outer edge to the inner edge, in mm.
fn middle_width(facing: &Piece, build: &Build, at: usize) -> f64 {
    const SAMPLES: u32 = 32;
    let outer = &facing.edges[at].curve;
    let distance = |step: u32| {
        let point = outer.point_at(outer.length() * f64::from(step) / f64::from(SAMPLES));
        let inner = build.inner.iter().map(|&at| facing.edges[at].curve.distance_to(point));
        inner.fold(f64::INFINITY, f64::min)
    };
    let mut distances: Vec<f64> = (0..=SAMPLES).map(distance).collect();
    distances.sort_by(f64::total_cmp);
    distances.get(distances.len() / 2).copied().unwrap_or(f64::INFINITY)
}

fn tenths(mm: f64) -> Length {
    Length::from_mm((10.0 * mm).round() / 10.0)
}
