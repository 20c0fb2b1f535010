//! What a person can do to a garment. Windows and terminal speak these and nothing else.

use super::{CutState, Mount, Plan, Stand, StandWork};
use crate::aim::Measured;
use crate::alter::{Alteration, AlterationId, Record};
use crate::body::BodyMeasurement;
use crate::cloth::Cloth;
use crate::geometry::{Length, Point};
use crate::lay::{LayRules, Place};
use crate::pattern::{ClothKind, PieceId, SizeId};

/// One thing done to a garment.
#[expect(
    clippy::large_enum_variant,
    reason = "a command is made by a hand, one at a time, and lives for a moment"
)]
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// Start from another size.
    ChooseSize(SizeId),
    /// Write down a measurement of the wearer, or strike it out.
    Measure(BodyMeasurement, Option<Length>),
    /// Add an alteration at the end of the list.
    AddAlteration(Record),
    /// Change what an alteration asks for.
    ChangeAlteration(AlterationId, Record),
    /// Switch an alteration on or off.
    SwitchAlteration(AlterationId, bool),
    /// Move an alteration to another place in the list, counted from 0.
    MoveAlteration(AlterationId, usize),
    /// Take an alteration out of the list.
    RemoveAlteration(AlterationId),
    /// Choose the cloth of a kind.
    SetCloth(ClothKind, Cloth),
    /// Put a kind of cloth on the table, to be laid, lit and cut; the one that is there goes aside with its lay.
    PutOnTable(ClothKind),
    /// Lay a copy of a piece, or move it.
    SetPlace(Place),
    /// Lay everything anew: these places in the stead of all others.
    SetLay(Vec<Place>),
    /// Take a copy off the cloth.
    RemovePlace(PieceId, u32),
    /// Set what holds for the lay: gap, grain, centre, and rules let pass with a reason.
    SetLayRules(LayRules),
    /// Move the cloth under the light.
    SetStand(Stand),
    /// Move a mark's pick in the picture, in px. Nudges of one mark that follow each other are one step of undo.
    NudgeMark {
        /// Which mark, from 0.
        mark: usize,
        /// By how many px, x to the right and y down.
        by_px: (f64, f64),
    },
    /// Put a mark's pick to a place in the picture, in px.
    PlaceMark {
        /// Which mark, from 0.
        mark: usize,
        /// Where, in px.
        at_px: Point,
    },
    /// Write down what the tape reads between two marks.
    ReadTape {
        /// One mark, from 0.
        from: usize,
        /// The other.
        to: usize,
        /// The reading.
        reading: Length,
    },
    /// Write down what a tape that was read already reads a second time, or strike that out.
    ReadTapeAgain {
        /// One mark, from 0.
        from: usize,
        /// The other.
        to: usize,
        /// The second reading.
        reading: Option<Length>,
    },
    /// Begin an aim anew, with four marks near the corners of a picture of this size in px.
    BeginAim {
        /// Name of the surface.
        name: String,
        /// Width and height of the projector's picture.
        picture_size: (u32, u32),
    },
    /// Put a whole measurement in the place of what was measured for the aim in use: aimed again, one mark more, a
    /// cloth's thickness.
    TakeAim(Box<Measured>),
    /// Keep a further aim and use it, the others left as they are: the projector was moved.
    KeepAim {
        /// Its name; an aim that has it is replaced.
        name: String,
        /// What was measured.
        measured: Box<Measured>,
    },
    /// Write down what a tape reads on a bar of the proof (0 across, 1 along, 2 on the diagonal), or strike it out.
    ReadBar {
        /// Which bar.
        bar: usize,
        /// The reading.
        reading: Option<Length>,
    },
    /// Set how far 500 mm of light may be off.
    SetProofTolerance(Length),
    /// Set how far, in px, a check mark may be off before the projector is said to have moved.
    SetWatch(Option<f64>),
    /// Say how the picture is turned before it is lit.
    SetMount(Mount),
    /// Begin to cut in stands, go on to the next, or leave off. Going on and leaving off can be taken back; what was begun
    /// is left off.
    SetStands(Option<Box<StandWork>>),
    /// Use another of the garment's aims.
    ChooseAim(String),
    /// Tick a copy, cut from the cloth on the table, as cut or marked, or take the tick back.
    SetProgress(PieceId, u32, Option<CutState>),
    /// Take the last change of the plan back.
    Undo,
    /// Do it again.
    Redo,
}

/// Why a command could not be done.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CommandError {
    /// The pattern has no such size.
    #[error("the pattern has no size “{0}”")]
    UnknownSize(SizeId),
    /// No such alteration in the list.
    #[error("there is no alteration {0} in the list any more")]
    UnknownAlteration(AlterationId),
    /// Nothing was aimed yet.
    #[error("there is no aim yet; measure four marks first")]
    NoAim,
    /// The garment has no such aim.
    #[error("there is no aim called “{0}”")]
    UnknownAim(String),
    /// The aim has no such mark.
    #[error("the aim has no mark {}", .0 + 1)]
    UnknownMark(usize),
    /// A place that can't be meant.
    #[error("that is not a place in the picture")]
    Absurd,
    /// A plan that can't be meant, and what to do.
    #[error("{0}")]
    Nonsense(String),
    /// Nothing left to take back.
    #[error("there is nothing to take back")]
    NothingToUndo,
    /// Nothing left to do again.
    #[error("there is nothing to do again")]
    NothingToRedo,
}

impl Plan {
    /// The plan after a command that concerns it; `None` for commands that stand outside the plan.
    pub(super) fn after(&self, command: &Command) -> Option<Result<Self, CommandError>> {
        let mut plan = self.clone();
        let done = match command {
            Command::ChooseSize(size) => {
                plan.size = size.clone();
                Ok(())
            }
            Command::Measure(measurement, reading) => {
                match reading {
                    Some(reading) => drop(plan.wearer.measurements.insert(*measurement, reading.clone())),
                    None => drop(plan.wearer.measurements.remove(measurement)),
                }
                Ok(())
            }
            Command::AddAlteration(record) => {
                let id = plan.next_alteration_id();
                plan.alterations.push(Alteration { id, on: true, record: record.clone() });
                Ok(())
            }
            Command::ChangeAlteration(id, record) => {
                plan.alteration(*id).map(|known| known.record = record.clone())
            }
            Command::SwitchAlteration(id, on) => plan.alteration(*id).map(|known| known.on = *on),
            Command::MoveAlteration(id, to) => plan.alteration_index(*id).map(|from| {
                let moved = plan.alterations.remove(from);
                plan.alterations.insert((*to).min(plan.alterations.len()), moved);
            }),
            Command::RemoveAlteration(id) => {
                plan.alteration_index(*id).map(|index| drop(plan.alterations.remove(index)))
            }
            Command::SetCloth(kind, cloth) => {
                plan.cloths.insert(*kind, cloth.clone());
                Ok(())
            }
            Command::PutOnTable(kind) => {
                plan.put_on_table(*kind);
                Ok(())
            }
            Command::SetPlace(place) => {
                match plan.lay.iter_mut().find(|known| known.piece == place.piece && known.copy == place.copy)
                {
                    Some(known) => *known = place.clone(),
                    None => plan.lay.push(place.clone()),
                }
                Ok(())
            }
            Command::RemovePlace(piece, copy) => {
                plan.lay.retain(|place| &place.piece != piece || place.copy != *copy);
                Ok(())
            }
            Command::SetLay(places) => {
                plan.lay.clone_from(places);
                Ok(())
            }
            Command::SetLayRules(rules) => {
                plan.lay_rules = rules.clone();
                Ok(())
            }
            Command::SetStand(stand) => {
                plan.stand = *stand;
                Ok(())
            }
            Command::NudgeMark { .. }
            | Command::PlaceMark { .. }
            | Command::ReadTape { .. }
            | Command::ReadTapeAgain { .. }
            | Command::BeginAim { .. }
            | Command::ChooseAim(_)
            | Command::TakeAim(_)
            | Command::KeepAim { .. }
            | Command::ReadBar { .. }
            | Command::SetProofTolerance(_)
            | Command::SetMount(_)
            | Command::SetWatch(_)
            | Command::SetStands(_)
            | Command::SetProgress(..)
            | Command::Undo
            | Command::Redo => return None,
        };
        Some(done.map(|()| plan))
    }

    /// The name that the next alteration will have.
    #[must_use]
    pub fn next_alteration_id(&self) -> AlterationId {
        let highest = self.alterations.iter().map(|known| known.id.0).max();
        let taken = |id: &u32| self.alterations.iter().any(|known| known.id.0 == *id);
        // After the highest number there is one below that is free.
        let next = highest.map_or(Some(1), |id| id.checked_add(1));
        AlterationId(next.or_else(|| (1..).find(|id| !taken(id))).unwrap_or_default())
    }

    fn alteration_index(&self, id: AlterationId) -> Result<usize, CommandError> {
        let place = self.alterations.iter().position(|known| known.id == id);
        place.ok_or(CommandError::UnknownAlteration(id))
    }

    fn alteration(&mut self, id: AlterationId) -> Result<&mut Alteration, CommandError> {
        let found = self.alterations.iter_mut().find(|known| known.id == id);
        found.ok_or(CommandError::UnknownAlteration(id))
    }
}
