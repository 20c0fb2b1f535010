//! A list of alterations applied to the untouched pattern.

use super::draft::{Change, Draft, check_outline};
use super::{Allowances, AlterError, Alteration, AlterationId, Record, Report};
use crate::pattern::{EdgeId, Pattern, Piece, PieceId, Seam, SizeId};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The altered pieces and what became of each step.
#[derive(Debug, Clone, PartialEq)]
pub struct Replay {
    /// The pieces in the order of the pattern; one that no step touched is the pattern's own.
    pub pieces: Vec<Arc<Piece>>,
    /// The seams, in the order of the pattern; an edge that a dart has cut in two stands for both.
    pub seams: Vec<Seam>,
    /// Width of the allowances and shape of their corners.
    pub allowances: Allowances,
    /// One a step, in the order of the list.
    pub steps: Vec<Step>,
    /// For every edge whose shape changed, the steps that changed it, in order.
    pub touched: BTreeMap<(PieceId, EdgeId), Vec<AlterationId>>,
    /// For every facing that was drawn again, the step that did it last.
    pub redrawn: BTreeMap<PieceId, AlterationId>,
}

/// What became of a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Which alteration.
    pub id: AlterationId,
    /// What became of it.
    pub outcome: Outcome,
}

/// What became of a step.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// It changed pieces.
    Applied(Report),
    /// It changed nothing, and why.
    NoEffect(String),
    /// It cannot be done, and why; the pieces are as the step before left them.
    Failed(AlterError),
    /// It is switched off.
    Off,
}

impl Replay {
    /// A piece by name.
    #[must_use]
    pub fn piece(&self, id: &PieceId) -> Option<&Arc<Piece>> {
        self.pieces.iter().find(|piece| &piece.id == id)
    }

    /// The last step that changed any edge of a piece; `None` when it is as printed.
    #[must_use]
    pub fn last_touched(&self, piece: &PieceId) -> Option<AlterationId> {
        self.steps.iter().rev().map(|step| step.id).find(|id| {
            self.touched.iter().any(|((touched, _), steps)| touched == piece && steps.contains(id))
        })
    }

    /// The report of a step that was applied.
    #[must_use]
    pub fn report(&self, id: AlterationId) -> Option<&Report> {
        self.steps.iter().find(|step| step.id == id).and_then(|step| match &step.outcome {
            Outcome::Applied(report) => Some(report),
            _ => None,
        })
    }
}

/// Applies `list`, in order, to the pieces of `pattern` in `size`.
///
/// Every step is answered: applied with a report, without effect, failed with the reason, or off. A size that
/// the pattern does not have gives no pieces, and every step fails saying so.
#[must_use]
pub fn replay(pattern: &Pattern, size: &SizeId, list: &[Alteration]) -> Replay {
    let mut replay = Replay::untouched(pattern, size);
    for index in 0..list.len() {
        replay.step(pattern, size, list, index);
    }
    replay
}

/// How far the lists of two replays went together, so that a step that is edited over and over doesn't have the steps
/// before it done over and over. It holds for one pattern.
#[derive(Debug, Clone, Default)]
pub struct ReplayMemory {
    size: Option<SizeId>,
    /// The list of the last replay.
    last: Vec<Alteration>,
    /// What a replay had come to, after so many of its steps.
    kept: Option<(usize, Arc<Replay>)>,
}

impl ReplayMemory {
    /// What [`replay`] gives, begun where this list parts from the last one.
    #[must_use]
    pub fn replay(&mut self, pattern: &Pattern, size: &SizeId, list: &[Alteration]) -> Replay {
        let same_size = self.size.as_ref() == Some(size);
        let together =
            if same_size { self.last.iter().zip(list).take_while(|(a, b)| a == b).count() } else { 0 };
        let kept = self.kept.take().filter(|(steps, _)| same_size && *steps <= together);
        let (mut replay, begin) = match &kept {
            Some((steps, kept)) => (kept.as_ref().clone(), *steps),
            None => (Replay::untouched(pattern, size), 0),
        };
        for index in begin..together {
            replay.step(pattern, size, list, index);
        }
        self.kept = match kept {
            Some((steps, kept)) if steps == together => Some((steps, kept)),
            _ => Some((together, Arc::new(replay.clone()))),
        };
        for index in together..list.len() {
            replay.step(pattern, size, list, index);
        }
        self.size = Some(size.clone());
        self.last = list.to_vec();
        replay
    }
}

impl Replay {
    /// The pieces as printed, no step done.
    fn untouched(pattern: &Pattern, size: &SizeId) -> Self {
        Self {
            pieces: pattern.pieces_in(size).unwrap_or_default(),
            seams: pattern.seams.clone(),
            allowances: Allowances::of(pattern),
            steps: Vec::new(),
            touched: BTreeMap::new(),
            redrawn: BTreeMap::new(),
        }
    }

    /// Does the next step of a list, the one at `index`.
    fn step(&mut self, pattern: &Pattern, size: &SizeId, list: &[Alteration], index: usize) {
        let Some(alteration) = list.get(index) else { return };
        let outcome = if !alteration.on {
            Outcome::Off
        } else if pattern.size_index(size).is_some() {
            let draft = Draft {
                pattern,
                seams: &self.seams,
                pieces: &self.pieces,
                allowances: &self.allowances,
                earlier: &list[..index],
            };
            match apply(&alteration.record, &draft).and_then(with_sound_outlines) {
                Ok(change) => {
                    if let Record::Facing(facing) = &alteration.record {
                        self.redrawn.insert(facing.piece.clone(), alteration.id);
                    }
                    take_over(self, change, alteration.id)
                }
                Err(error) => Outcome::Failed(error),
            }
        } else {
            Outcome::Failed(AlterError::UnknownSize { size: size.clone() })
        };
        self.steps.push(Step { id: alteration.id, outcome });
    }
}

/// What a record changes; the outlines are not looked at.
pub(super) fn apply(record: &Record, draft: &Draft<'_>) -> Result<Change, AlterError> {
    match record {
        Record::Lengthen(lengthen) => lengthen.apply(draft),
        Record::Hem(hem) => hem.apply(draft),
        Record::Blend(blend) => blend.apply(draft),
        Record::Dart(dart) => dart.apply(draft),
        Record::Shoulder(shoulder) => shoulder.apply(draft),
        Record::Width(width) => width.apply(draft),
        Record::Opening(opening) => opening.apply(draft),
        Record::Allowance(allowance) => allowance.apply(draft),
        Record::Facing(facing) => facing.apply(draft),
        Record::FullBust(full_bust) => full_bust.apply(draft),
    }
}

fn with_sound_outlines(change: Change) -> Result<Change, AlterError> {
    for piece in &change.pieces {
        check_outline(piece)?;
    }
    Ok(change)
}

/// Puts changed pieces in place of the old ones and writes the report.
fn take_over(replay: &mut Replay, change: Change, id: AlterationId) -> Outcome {
    let mut report = Report { figures: change.figures, notes: change.notes, ..Report::default() };
    let mut has_effect = false;
    for piece in change.pieces {
        let Some(slot) = replay.pieces.iter_mut().find(|slot| slot.id == piece.id) else {
            continue;
        };
        if **slot == piece {
            continue;
        }
        has_effect = true;
        report.compare(slot, &piece);
        for edge in &piece.edges {
            if slot.edge(&edge.id).is_none_or(|old| old.curve != edge.curve) {
                let key = (piece.id.clone(), edge.id.clone());
                replay.touched.entry(key).or_default().push(id);
            }
        }
        *slot = Arc::new(piece);
    }
    if let Some(seams) = change.seams {
        replay.seams = seams;
    }
    if let Some(allowances) = change.allowances
        && allowances != replay.allowances
    {
        has_effect = true;
        replay.allowances = allowances;
    }
    if has_effect {
        Outcome::Applied(report)
    } else {
        Outcome::NoEffect("it changes nothing: the pieces are already as asked".to_owned())
    }
}
