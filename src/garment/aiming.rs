//! Commands that change an aim: marks, tapes, the proof. They stand outside the plan, with steps of undo of their own.

use super::{AimAttempt, Command, CommandError, NamedAim, OpenGarment, ProofSheet};
use crate::aim::{Aim, Measured, MeasuredMark, Tape};
use crate::geometry::Length;
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;

/// What a tape read.
#[derive(Debug, Clone, Copy)]
enum Read {
    First(f64),
    Second(Option<f64>),
}

const FIRST_FIRST: &str = "there is no first reading of this tape yet; write that down before the second";

impl OpenGarment {
    /// Does a command that concerns the aims; others do nothing.
    pub(super) fn aim_by(&mut self, command: &Command) -> Result<(), CommandError> {
        match command {
            Command::NudgeMark { mark, by_px } => {
                let pick = self.pick(*mark)?;
                self.move_pick(*mark, (pick.0 + by_px.0, pick.1 + by_px.1))?;
            }
            Command::PlaceMark { mark, at_px } => {
                self.pick(*mark)?;
                self.move_pick(*mark, (at_px.x, at_px.y))?;
            }
            Command::ReadTape { from, to, reading } => {
                self.read_tape(*from, *to, Read::First(reading.mm()))?
            }
            Command::ReadTapeAgain { from, to, reading } => {
                self.read_tape(*from, *to, Read::Second(reading.as_ref().map(Length::mm)))?;
            }
            Command::BeginAim { name, picture_size } => self.begin_aim(name, *picture_size),
            Command::TakeAim(measured) => self.take_aim(measured)?,
            Command::KeepAim { name, measured } => self.keep_aim(name, measured)?,
            Command::ReadBar { bar, reading } => {
                let bar = *bar;
                let sheet = self.proof_sheet()?;
                let read = sheet.readings.get_mut(bar).ok_or(CommandError::Absurd)?;
                read.clone_from(reading);
            }
            Command::SetProofTolerance(tolerance) => self.set_tolerance(tolerance)?,
            Command::SetWatch(px) => {
                if px.is_some_and(|px| !super::aims::WATCH_PX.contains(&px)) {
                    let what = "a check mark's limit is from 0.1 to 50 px";
                    return Err(CommandError::Nonsense(what.to_owned()));
                }
                self.garment.aims.first_mut().ok_or(CommandError::NoAim)?.watch_px = *px;
            }
            Command::SetMount(mount) => {
                self.garment.aims.first_mut().ok_or(CommandError::NoAim)?.mount = *mount;
            }
            Command::ChooseAim(name) => {
                let place = self.garment.aims.iter().position(|aim| &aim.name == name);
                let place = place.ok_or_else(|| CommandError::UnknownAim(name.clone()))?;
                let chosen = self.garment.aims.remove(place);
                self.garment.aims.insert(0, chosen);
                self.aim = AimAttempt::default();
                self.attempt_aim();
            }
            _ => {}
        }
        Ok(())
    }

    /// What was measured, put in the place of the old ; refused when it gives no aim.
    fn take_aim(&mut self, measured: &Measured) -> Result<(), CommandError> {
        let aim = self.garment.aims.first_mut().ok_or(CommandError::NoAim)?;
        Aim::solve(measured).map_err(|error| CommandError::Nonsense(error.to_string()))?;
        aim.measured = measured.clone();
        aim.proof = None;
        self.attempt_aim();
        Ok(())
    }

    /// A further aim, put in use; the projector hangs as it did.
    fn keep_aim(&mut self, name: &str, measured: &Measured) -> Result<(), CommandError> {
        Aim::solve(measured).map_err(|error| CommandError::Nonsense(error.to_string()))?;
        let mount = self.mount();
        self.garment.aims.retain(|aim| aim.name != name);
        let kept = NamedAim { mount, ..NamedAim::new(name.to_owned(), measured.clone()) };
        self.garment.aims.insert(0, kept);
        self.aim = AimAttempt::default();
        self.attempt_aim();
        Ok(())
    }

    /// The proof's sheet of the aim in use; a fresh one where there is none.
    fn proof_sheet(&mut self) -> Result<&mut ProofSheet, CommandError> {
        let good = self.aim.good.as_ref().ok_or(CommandError::NoAim)?;
        let aim = self.garment.aims.first_mut().ok_or(CommandError::NoAim)?;
        Ok(aim.proof.get_or_insert_with(|| ProofSheet::of(good)))
    }

    fn set_tolerance(&mut self, tolerance: &Length) -> Result<(), CommandError> {
        /// What 500 mm may be off by, in mm: from what no tape tells to what no dressmaker wants.
        const SENSIBLE_MM: std::ops::RangeInclusive<f64> = 0.1..=20.0;
        if !SENSIBLE_MM.contains(&tolerance.mm()) {
            let what = format!("{tolerance} in 500 mm is no tolerance to cut by; give one from 0.1 to 20 mm");
            return Err(CommandError::Nonsense(what));
        }
        self.proof_sheet()?.tolerance_in_500 = tolerance.clone();
        Ok(())
    }

    fn pick(&self, mark: usize) -> Result<(f64, f64), CommandError> {
        let measured = self.measured().ok_or(CommandError::NoAim)?;
        measured.marks.get(mark).map(|mark| mark.picture).ok_or(CommandError::UnknownMark(mark))
    }

    fn move_pick(&mut self, mark: usize, to: (f64, f64)) -> Result<(), CommandError> {
        let sane = |value: f64| value.is_finite() && value.abs() <= LARGEST_COORDINATE_MM;
        if !sane(to.0) || !sane(to.1) {
            return Err(CommandError::Absurd);
        }
        let aim = self.garment.aims.first_mut().ok_or(CommandError::NoAim)?;
        // The marks lie where they lie: once the tapes have said where, only the light moves.
        if let Some(good) = &self.aim.good {
            for (measured, mark) in aim.measured.marks.iter_mut().zip(good.marks()) {
                if measured.surface.is_none() {
                    measured.surface = Some(mark.surface.into());
                    measured.from_tapes = true;
                }
            }
        }
        if let Some(measured) = aim.measured.marks.get_mut(mark) {
            measured.picture = to;
            measured.is_predicted = false;
        }
        aim.proof = None;
        self.attempt_aim();
        Ok(())
    }

    fn read_tape(&mut self, from: usize, to: usize, read: Read) -> Result<(), CommandError> {
        let aim = self.garment.aims.first_mut().ok_or(CommandError::NoAim)?;
        let count = aim.measured.marks.len();
        if let Some(unknown) = [from, to].into_iter().find(|&mark| mark >= count) {
            return Err(CommandError::UnknownMark(unknown));
        }
        let same =
            |tape: &&mut Tape| (tape.from, tape.to) == (from, to) || (tape.from, tape.to) == (to, from);
        match (aim.measured.tapes.iter_mut().find(same), read) {
            // A second reading belonged to the tape as it lay before.
            (Some(tape), Read::First(mm)) => *tape = Tape::new(tape.from, tape.to, mm),
            (None, Read::First(mm)) => aim.measured.tapes.push(Tape::new(from, to, mm)),
            (Some(tape), Read::Second(mm)) => tape.second_reading = mm,
            (None, Read::Second(_)) => return Err(CommandError::Nonsense(FIRST_FIRST.to_owned())),
        }
        // A new reading lays the marks out anew, where the tapes by themselves can; else it is a check.
        let mut by_tapes = aim.measured.clone();
        for mark in &mut by_tapes.marks {
            if mark.from_tapes {
                mark.surface = None;
                mark.from_tapes = false;
            }
        }
        if Aim::solve(&by_tapes).is_ok() {
            aim.measured = by_tapes;
        }
        aim.proof = None;
        self.attempt_aim();
        Ok(())
    }

    /// Four marks near the corners of the picture, to be taped where their light falls.
    fn begin_aim(&mut self, name: &str, picture_size: (u32, u32)) {
        /// The marks stand this share of the picture inside its corners.
        const INSET: f64 = 0.05;
        let (width, height) = (f64::from(picture_size.0), f64::from(picture_size.1));
        let (left, right, top, bottom) =
            (INSET * width, (1.0 - INSET) * width, INSET * height, (1.0 - INSET) * height);
        let picks = [(left, bottom), (right, bottom), (right, top), (left, top)];
        let marks = picks.map(|picture| MeasuredMark::new(picture, None)).to_vec();
        let measured = Measured::new(picture_size, marks, Vec::new());
        self.garment.aims.retain(|aim| aim.name != name);
        self.garment.aims.insert(0, NamedAim::new(name.to_owned(), measured));
        self.aim = AimAttempt::default();
        self.attempt_aim();
    }

    pub(super) fn attempt_aim(&mut self) {
        if let Some(aim) = self.garment.aims.first() {
            self.aim.attempt(&aim.measured);
        }
    }
}
