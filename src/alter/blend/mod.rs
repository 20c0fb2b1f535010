//! From one size into another along a seam.
//!
//! Following the seam line from [`Blend::from`] to [`Blend::until`], the piece leaves its own size and joins the
//! other (`weave.rs` holds the formula); beyond that it is wholly of the other size, up to the corner
//! [`Blend::through`], and fades back along the edge after it. When no corner is named, that edge is the first
//! one that is straight and on one line in both sizes: a fold, a front edge, where the two meet unseen. So
//! “armhole, neck and shoulder in size 96” is a blend up the side seam, with everything beyond it in 96.
//!
//! Correspondence is by landmark: corners, notches and balance lines stand for the same thing in each size; between
//! them arc length decides. Several zones are several records, each beginning from what the ones before have
//! left. The other size is taken with the same earlier alterations (its own blends left out), so that the order
//! of a list can be changed without one size being lengthened and the other not.
//!
//! **Mates.** The zone is carried over every seam that it lies on: the mate, a lining and a facing that are sewn
//! there take the same zone, at the same sewn distances. A piece that is sewn only to edges that are now wholly
//! of the other size, as an armhole facing is, becomes wholly of that size; one that would have to be of both is
//! left as it is and named, to be redrafted.
//!
//! Notches inside the zone keep their share of its length. Marks inside the piece go over to the other size
//! with the seam beside them.

mod marks;
mod weave;
mod zone;

use super::AlterError;
use super::draft::{Change, Draft};
use super::other_size::OtherSize;
use super::place::{Place, Spot, edges_of_run};
use crate::pattern::{CornerId, Piece, PieceId, SizeId};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use weave::Twin;
use zone::{Job, differing, settled};

/// From one size into another along a seam.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Blend {
    /// The size to go over to.
    pub to: SizeId,
    /// The piece on which the zone is named; its mates follow.
    pub piece: PieceId,
    /// Up to here the piece is of its own size.
    pub from: Place,
    /// From here on it is wholly of the other size.
    pub until: Place,
    /// The last corner of the other size, going on from `from` over `until`; when absent, the sizes are
    /// joined along the first edge that lies on one line in both.
    #[serde(default)]
    pub through: Option<CornerId>,
}

/// A piece that has gone over: which of its edges are wholly new, and which still differ from the new size.
struct Gone {
    pub is_new: Vec<bool>,
    pub differs: Vec<bool>,
}

impl Blend {
    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let in_new = OtherSize::new(draft, &self.to);
        let (old, new) = (draft.piece(&self.piece)?, in_new.piece(&self.piece)?);
        let mut change = Change::default();
        let mut gone: BTreeMap<PieceId, Gone> = BTreeMap::new();
        let mut jobs = vec![self.source_job(old, new)?];
        while let Some(job) = jobs.pop() {
            if gone.contains_key(&job.old.id) {
                continue;
            }
            let (piece, left) = job.run(&self.to, &mut change)?;
            change.pieces.push(piece);
            gone.insert(job.old.id.clone(), left);
            for (from, run) in job.mates(draft) {
                if gone.contains_key(&run.piece) {
                    continue;
                }
                let (old, new) = (draft.piece(&run.piece)?, in_new.piece(&run.piece)?);
                jobs.push(job.carried_to(from, run, old, new, self, draft)?);
            }
        }
        follow_wholly(draft, &in_new, &mut gone, &mut change)?;
        change.pieces.retain(|piece| draft.piece(&piece.id).is_ok_and(|old| old != piece));
        Ok(change)
    }

    fn source_job<'a>(&self, old: &'a Piece, new: &'a Piece) -> Result<Job<'a>, AlterError> {
        let spots = [(&self.from, old), (&self.from, new), (&self.until, old), (&self.until, new)];
        let spots = spots.map(|(place, piece)| place.on(piece));
        let [from_old, from_new, until_old, until_new] = spots;
        let (from_old, until_old) = (from_old?, until_old?);
        // The zone is the shorter way round.
        let position = |spot: Spot| {
            let before = &old.edges[..spot.edge];
            before.iter().map(|edge| edge.curve.length()).sum::<f64>() + spot.along
        };
        let round: f64 = old.edges.iter().map(|edge| edge.curve.length()).sum();
        let ahead = (position(until_old) - position(from_old)).rem_euclid(round);
        let forward = ahead <= 0.5 * round;
        let twin = |on_old: Spot, on_new: Spot, is_from: bool| {
            let at_start = is_from == forward;
            let (on_old, on_new) = (settled(old, on_old, at_start), settled(new, on_new, at_start));
            if on_old.edge == on_new.edge {
                Ok(Twin { edge: on_old.edge, along: [on_old.along, on_new.along] })
            } else {
                Err(AlterError::SizesDiffer {
                    piece: old.id.clone(),
                    first: old.edges[on_old.edge].id.clone(),
                    second: new.edges[on_new.edge].id.clone(),
                })
            }
        };
        Ok(Job {
            old,
            new,
            from: twin(from_old, from_new?, true)?,
            until: twin(until_old, until_new?, false)?,
            forward,
            through: self.through.clone(),
        })
    }
}

/// Pieces sewn to edges that are now wholly of the other size go over as a whole.
fn follow_wholly(
    draft: &Draft<'_>,
    in_new: &OtherSize<'_>,
    gone: &mut BTreeMap<PieceId, Gone>,
    change: &mut Change,
) -> Result<(), AlterError> {
    let sides = || {
        draft.seams.iter().flat_map(|seam| {
            let [first, second] = &seam.sides;
            [(first, second), (second, first)]
        })
    };
    // Every round takes at least one piece or ends.
    loop {
        let mut taken = None;
        for old in draft.pieces {
            if gone.contains_key(&old.id) {
                continue;
            }
            let (mut pulled, mut held) = (false, false);
            for (mine, _) in sides().filter(|(_, theirs)| theirs.piece == old.id) {
                let (Some(left), Ok(piece)) = (gone.get(&mine.piece), draft.piece(&mine.piece)) else {
                    continue;
                };
                let Some((edges, _)) = edges_of_run(piece, mine) else {
                    continue;
                };
                for edge in edges.into_iter().filter(|&edge| left.differs[edge]) {
                    pulled |= left.is_new[edge];
                    held |= !left.is_new[edge];
                }
            }
            if !pulled {
                continue;
            }
            let new = in_new.piece(&old.id)?;
            if old.as_ref() == new {
                continue;
            }
            if held {
                let note = format!(
                    "Piece “{}” is sewn to edges of both sizes and was left as it is. Redraft it.",
                    old.id
                );
                if !change.notes.contains(&note) {
                    change.notes.push(note);
                }
            } else {
                taken = Some((old, new));
                break;
            }
        }
        let Some((old, new)) = taken else { return Ok(()) };
        let count = new.edges.len();
        gone.insert(old.id.clone(), Gone { is_new: vec![true; count], differs: differing(old, new) });
        change.pieces.push(Piece::clone(new));
    }
}
