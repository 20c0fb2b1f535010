//! The pieces of another size after the same steps, as far as a blend asks for them.
//!
//! A blend late in a list needs the other size with every earlier change of shape, so it costs that replay again. Only
//! the pieces count there: no report is written, outlines are checked once at the end, and facings drawn again, which
//! change nothing but themselves, are drawn only when one is asked for.

use super::draft::{Draft, check_outline};
use super::replay::apply;
use super::{Allowances, AlterError, Alteration, Record};
use crate::pattern::{Piece, PieceId, SizeId};
use std::cell::OnceCell;
use std::sync::Arc;

type Pieces = Result<Vec<Arc<Piece>>, AlterError>;

/// The pieces of another size with the same steps before, changes of size left out.
pub(super) struct OtherSize<'a> {
    draft: &'a Draft<'a>,
    size: &'a SizeId,
    /// Facings that a step draws again.
    redrawn: Vec<&'a PieceId>,
    without_redrawn: OnceCell<Pieces>,
    whole: OnceCell<Pieces>,
}

impl<'a> OtherSize<'a> {
    pub(super) fn new(draft: &'a Draft<'a>, size: &'a SizeId) -> Self {
        let facings = draft.earlier.iter().filter(|step| step.on).filter_map(|step| match &step.record {
            Record::Facing(facing) => Some(&facing.piece),
            _ => None,
        });
        let (without_redrawn, whole) = (OnceCell::new(), OnceCell::new());
        Self { draft, size, redrawn: facings.collect(), without_redrawn, whole }
    }

    /// A piece in the other size.
    pub(super) fn piece(&self, id: &PieceId) -> Result<&Piece, AlterError> {
        let pieces = if self.redrawn.contains(&id) || self.is_source(&self.redrawn) {
            self.whole.get_or_init(|| self.replayed(|_| true))
        } else {
            let keeps = |record: &Record| !matches!(record, Record::Facing(_));
            self.without_redrawn.get_or_init(|| self.replayed(keeps))
        };
        let found = pieces.as_ref().map_err(Clone::clone)?.iter().find(|piece| &piece.id == id);
        let piece = found.ok_or_else(|| AlterError::UnknownPiece { piece: id.clone() })?;
        if !self.draft.earlier.is_empty() {
            check_outline(piece).map_err(|cause| self.fails(cause))?;
        }
        Ok(piece)
    }

    /// Whether other pieces take an amount from one of these.
    fn is_source(&self, pieces: &[&PieceId]) -> bool {
        self.draft.earlier.iter().any(|step| match &step.record {
            Record::Width(width) => pieces.contains(&&width.piece),
            Record::Facing(facing) => facing.along.iter().any(|faced| pieces.contains(&&faced.piece)),
            _ => false,
        })
    }

    fn replayed(&self, keeps: impl Fn(&Record) -> bool) -> Pieces {
        let Draft { pattern, earlier, .. } = *self.draft;
        let unknown = || AlterError::UnknownSize { size: self.size.clone() };
        let mut pieces = pattern.pieces_in(self.size).ok_or_else(unknown)?;
        let mut seams = pattern.seams.clone();
        let mut allowances = Allowances::of(pattern);
        let kept =
            |step: &&Alteration| step.on && !matches!(step.record, Record::Blend(_)) && keeps(&step.record);
        for step in earlier.iter().filter(kept) {
            let draft =
                Draft { pattern, seams: &seams, pieces: &pieces, allowances: &allowances, earlier: &[] };
            let change = apply(&step.record, &draft).map_err(|cause| self.fails(cause))?;
            for piece in change.pieces {
                if let Some(slot) = pieces.iter_mut().find(|slot| slot.id == piece.id) {
                    *slot = Arc::new(piece);
                }
            }
            if let Some(changed) = change.seams {
                seams = changed;
            }
            if let Some(changed) = change.allowances {
                allowances = changed;
            }
        }
        Ok(pieces)
    }

    fn fails(&self, cause: AlterError) -> AlterError {
        AlterError::FailsInSize { size: self.size.clone(), cause: Box::new(cause) }
    }
}
