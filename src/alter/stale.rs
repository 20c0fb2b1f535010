//! Pieces whose mate changed and they did not.

use super::place::edges_of_run;
use super::{AlterationId, Replay};
use crate::pattern::{Pattern, PieceId, Run, SeamId, SizeId};

/// A piece that no longer fits its mate.
#[derive(Debug, Clone, PartialEq)]
pub struct Stale {
    /// The piece that was left behind.
    pub piece: PieceId,
    /// On which seam.
    pub seam: SeamId,
    /// The mate that changed.
    pub mate: PieceId,
    /// The step that changed it last.
    pub since: AlterationId,
    /// How much longer the mate's side has become than the piece's, compared to the pattern, in mm.
    pub longer_mm: f64,
}

/// A difference this small is drawing, not a mistake, in mm.
const FITS_MM: f64 = 0.5;

impl Replay {
    /// Pieces that were left behind: on a seam whose sides differ otherwise than in the pattern by more than half a
    /// millimetre, the side that was changed earlier, or not at all. Empty for an unknown size.
    #[must_use]
    pub fn stale(&self, pattern: &Pattern, size: &SizeId) -> Vec<Stale> {
        let mut found = Vec::new();
        for (seam, printed) in self.seams.iter().zip(&pattern.seams) {
            let now = [0, 1].map(|side| self.sewn(&seam.sides[side]));
            let then = [0, 1].map(|side| {
                let run = &printed.sides[side];
                let piece = pattern.piece(&run.piece, size)?;
                let (edges, _) = edges_of_run(piece, run)?;
                Some(edges.iter().map(|&edge| piece.edges[edge].curve.length()).sum::<f64>())
            });
            let ([Some(a), Some(b)], [Some(a0), Some(b0)]) = (now, then) else {
                continue;
            };
            let second_longer = (b - a) - (b0 - a0);
            if second_longer.abs() <= FITS_MM {
                continue;
            }
            let last = [0, 1].map(|side| self.last_change(&seam.sides[side]));
            let changed = usize::from(last[1] > last[0]);
            // A facing that was drawn again last has its edge from the other side, less what was trimmed off.
            let newest = &seam.sides[changed].piece;
            if last[changed].is_some_and(|(_, step)| self.redrawn.get(newest) == Some(&step)) {
                continue;
            }
            if let Some((_, since)) = last[changed] {
                found.push(Stale {
                    piece: seam.sides[1 - changed].piece.clone(),
                    seam: seam.id.clone(),
                    mate: seam.sides[changed].piece.clone(),
                    since,
                    longer_mm: if changed == 1 { second_longer } else { -second_longer },
                });
            }
        }
        found
    }

    fn sewn(&self, run: &Run) -> Option<f64> {
        let piece = self.piece(&run.piece)?;
        let (edges, _) = edges_of_run(piece, run)?;
        Some(edges.iter().map(|&edge| piece.edges[edge].curve.length()).sum())
    }

    /// The last step that changed an edge of the run, with its place in the list.
    fn last_change(&self, run: &Run) -> Option<(usize, AlterationId)> {
        let steps = run.edges.iter().filter_map(|edge| self.touched.get(&(run.piece.clone(), edge.clone())));
        let ids = steps.flatten().copied();
        let placed = ids.filter_map(|id| Some((self.steps.iter().position(|step| step.id == id)?, id)));
        placed.max()
    }
}
