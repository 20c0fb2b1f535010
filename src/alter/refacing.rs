//! The record that draws a facing again, from what the pattern sews it to.

use super::{Faced, Facing};
use crate::geometry::Length;
use crate::pattern::{EdgeRole, Pattern, Piece};

impl Facing {
    /// How `facing` is drawn again: along everything that its outer edge is sewn to, as wide as the narrower of
    /// its ends. `None` for a piece that has no single inner edge, or whose outer edge is sewn to nothing.
    #[must_use]
    pub fn again(pattern: &Pattern, facing: &Piece) -> Option<Self> {
        let count = facing.edges.len();
        let mut inner = (0..count).filter(|&at| facing.edges[at].role == EdgeRole::FacingEdge);
        let (Some(inner), None) = (inner.next(), inner.next()) else {
            return None;
        };
        if count < 4 {
            return None;
        }
        let mut along: Vec<Faced> = Vec::new();
        for step in 2..count - 1 {
            let outer = &facing.edges[(inner + step) % count];
            let seam = pattern.seams_of(&facing.id, &outer.id).next()?;
            let mate = seam.mate_of(&facing.id, &outer.id)?;
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
        let ends = [1, count - 1].map(|step| facing.edges[(inner + step) % count].curve.length());
        let width = Length::from_mm((10.0 * ends[0].min(ends[1])).round() / 10.0);
        (!along.is_empty()).then(|| Self { piece: facing.id.clone(), along, width, trim: None })
    }
}
