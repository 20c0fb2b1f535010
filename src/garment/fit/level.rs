//! The levels at which a measure goes across its pieces.

use crate::pattern::{Landmark, Measure, MeasurePath, Piece, PieceId};
use std::sync::Arc;

/// The level at which one piece is measured across.
#[derive(Clone)]
pub(super) struct Level {
    pub piece: PieceId,
    pub landmark: Landmark,
}

impl Level {
    /// The levels of a measure, in the order of its terms.
    pub(super) fn all_of(measure: &Measure) -> Vec<Self> {
        let levels = measure.terms.iter().filter_map(|term| match &term.path {
            MeasurePath::Across { piece, level } => {
                Some(Self { piece: piece.clone(), landmark: level.clone() })
            }
            _ => None,
        });
        levels.collect()
    }

    /// How high it lies along the grain of its piece, in mm.
    pub(super) fn height(&self, pieces: &[Arc<Piece>]) -> Option<f64> {
        let piece = pieces.iter().find(|piece| piece.id == self.piece)?;
        let at = self.landmark.on(piece).ok()?;
        Some(at.to_vec2().dot(piece.grainline.direction()))
    }
}
