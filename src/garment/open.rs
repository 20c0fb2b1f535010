//! A garment being worked on.

use super::history::History;
use super::{
    AimAttempt, Command, CommandError, CutState, Evaluated, Found, Garment, GestureId, NamedAim, Plan,
    Progress,
};
use crate::aim::{Aim, Measured, MeasuredMark, Tape};
use crate::document::DocumentError;
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;
use crate::pattern::{Pattern, PatternFileError, PieceId};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A garment being worked on: the document, what follows from it, its undo and its file.
#[derive(Debug, Clone)]
pub struct OpenGarment {
    garment: Garment,
    evaluated: Evaluated,
    aim: AimAttempt,
    history: History,
    path: Option<PathBuf>,
    saved: bool,
    /// Counts changes, so that a view can tell whether what it drew still holds.
    revision: u64,
    /// The number of the last change that was not one of where the light falls.
    plan_revision: u64,
}

/// A number that no other state of any garment has had since the program began.
fn fresh_revision() -> u64 {
    static LAST: AtomicU64 = AtomicU64::new(0);
    LAST.fetch_add(1, Ordering::Relaxed)
}

impl OpenGarment {
    /// Opens a garment that is in memory. Without a path it has to be given one before it can be saved.
    #[must_use]
    pub fn new(garment: Garment, path: Option<PathBuf>) -> Self {
        let mut open = Self {
            evaluated: Evaluated::of(&garment),
            garment,
            aim: AimAttempt::default(),
            history: History::default(),
            saved: path.is_some(),
            path,
            revision: 0,
            plan_revision: fresh_revision(),
        };
        open.attempt_aim();
        open
    }

    /// The document.
    #[must_use]
    pub const fn garment(&self) -> &Garment {
        &self.garment
    }

    /// The plan.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.garment.plan
    }

    /// What follows from the plan.
    #[must_use]
    pub const fn evaluated(&self) -> &Evaluated {
        &self.evaluated
    }

    /// Everything that the checks have to say, gravest first.
    #[must_use]
    pub fn findings(&self) -> Vec<Found> {
        let mut findings: Vec<Found> = self.aim.finding().into_iter().map(Found::from).collect();
        findings.extend_from_slice(&self.evaluated.findings);
        findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
        findings
    }

    /// The aim in use.
    #[must_use]
    pub const fn aim(&self) -> &AimAttempt {
        &self.aim
    }

    /// What was measured for the aim in use.
    #[must_use]
    pub fn measured(&self) -> Option<&Measured> {
        self.garment.aims.first().map(|aim| &aim.measured)
    }

    /// How far a copy has come; `None` when it is not cut.
    #[must_use]
    pub fn state_of(&self, piece: &PieceId, copy: u32) -> Option<CutState> {
        let done = self.garment.progress.iter().find(|done| &done.piece == piece && done.copy == copy);
        done.map(|done| done.state)
    }

    /// Where it is saved.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Whether the file holds everything.
    #[must_use]
    pub const fn is_saved(&self) -> bool {
        self.saved
    }

    /// Grows with every change.
    #[must_use]
    pub const fn revision(&self) -> u64 {
        self.revision
    }

    /// Another number after every change but those of where the light falls, and for every garment: what is shown
    /// on the cloth still holds while this is the same.
    #[must_use]
    pub const fn plan_revision(&self) -> u64 {
        self.plan_revision
    }

    /// Whether there is something to take back.
    #[must_use]
    pub fn can_undo(&self) -> bool {
        self.history.can_undo()
    }

    /// Whether there is something to do again.
    #[must_use]
    pub fn can_redo(&self) -> bool {
        self.history.can_redo()
    }

    /// Does a command. All commands of one gesture are one step of undo.
    ///
    /// # Errors
    /// [`CommandError`]; the garment is then as it was.
    pub fn perform(&mut self, command: &Command, gesture: Option<GestureId>) -> Result<(), CommandError> {
        if let Command::ChooseSize(size) = command
            && self.garment.pattern.size_index(size).is_none()
        {
            return Err(CommandError::UnknownSize(size.clone()));
        }
        if let Some(after) = self.garment.plan.after(command) {
            let after = after?;
            if after == *self.garment.plan {
                return Ok(());
            }
            if let Some(what) = after.nonsense() {
                return Err(CommandError::Nonsense(what));
            }
            let before = std::mem::replace(&mut self.garment.plan, Arc::new(after));
            self.history.keep(before, gesture);
            self.plan_changed();
            return Ok(());
        }
        match command {
            Command::Undo => {
                let present = Arc::clone(&self.garment.plan);
                self.garment.plan = self.history.undo(present).ok_or(CommandError::NothingToUndo)?;
                self.plan_changed();
            }
            Command::Redo => {
                let present = Arc::clone(&self.garment.plan);
                self.garment.plan = self.history.redo(present).ok_or(CommandError::NothingToRedo)?;
                self.plan_changed();
            }
            Command::NudgeMark { mark, by_px } => {
                let pick = self.pick(*mark)?;
                self.move_pick(*mark, (pick.0 + by_px.0, pick.1 + by_px.1))?;
            }
            Command::PlaceMark { mark, at_px } => {
                self.pick(*mark)?;
                self.move_pick(*mark, (at_px.x, at_px.y))?;
            }
            Command::ReadTape { from, to, reading } => self.read_tape(*from, *to, reading.mm())?,
            Command::BeginAim { name, picture_size } => self.begin_aim(name, *picture_size),
            Command::ChooseAim(name) => {
                let place = self.garment.aims.iter().position(|aim| &aim.name == name);
                let place = place.ok_or_else(|| CommandError::UnknownAim(name.clone()))?;
                let chosen = self.garment.aims.remove(place);
                self.garment.aims.insert(0, chosen);
                self.aim = AimAttempt::default();
                self.attempt_aim();
            }
            Command::SetProgress(piece, copy, state) => {
                self.garment.progress.retain(|known| &known.piece != piece || known.copy != *copy);
                if let Some(state) = state {
                    let done = Progress { piece: piece.clone(), copy: *copy, state: *state };
                    self.garment.progress.push(done);
                }
            }
            // All others concern the plan and were done above.
            _ => {}
        }
        self.touched();
        let moves_the_light = matches!(
            command,
            Command::NudgeMark { .. } | Command::PlaceMark { .. } | Command::ReadTape { .. }
        );
        if !moves_the_light {
            self.plan_revision = fresh_revision();
        }
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
        }
        self.attempt_aim();
        Ok(())
    }

    fn read_tape(&mut self, from: usize, to: usize, mm: f64) -> Result<(), CommandError> {
        let aim = self.garment.aims.first_mut().ok_or(CommandError::NoAim)?;
        let count = aim.measured.marks.len();
        if let Some(unknown) = [from, to].into_iter().find(|&mark| mark >= count) {
            return Err(CommandError::UnknownMark(unknown));
        }
        let same =
            |tape: &&mut Tape| (tape.from, tape.to) == (from, to) || (tape.from, tape.to) == (to, from);
        match aim.measured.tapes.iter_mut().find(same) {
            // A second reading belonged to the tape as it lay before.
            Some(tape) => *tape = Tape::new(tape.from, tape.to, mm),
            None => aim.measured.tapes.push(Tape::new(from, to, mm)),
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
        self.garment.aims.insert(0, NamedAim { name: name.to_owned(), measured });
        self.aim = AimAttempt::default();
        self.attempt_aim();
    }

    fn attempt_aim(&mut self) {
        if let Some(aim) = self.garment.aims.first() {
            self.aim.attempt(&aim.measured);
        }
    }

    fn plan_changed(&mut self) {
        self.evaluated = Evaluated::after(Some(&self.evaluated), &self.garment);
        self.plan_revision = fresh_revision();
        self.touched();
    }

    fn touched(&mut self) {
        self.saved = false;
        self.revision += 1;
    }

    /// Saves to the garment's file.
    ///
    /// # Errors
    /// [`DocumentError::Unwritable`] when it has no file yet or the disk refuses; the file is then as it was.
    pub fn save(&mut self) -> Result<(), DocumentError> {
        let path = self.path.clone().ok_or_else(|| DocumentError::Unwritable {
            path: PathBuf::from(&self.garment.name),
            source: std::io::Error::other("it has no file yet; give it a name"),
        })?;
        self.garment.write(&path)?;
        self.saved = true;
        Ok(())
    }

    /// Saves to another file from now on. The pattern is saved beside it, where it does not lie there already.
    ///
    /// # Errors
    /// [`SaveAsError`]; nothing changes then.
    pub fn save_as(&mut self, path: &Path) -> Result<(), SaveAsError> {
        let folder = path.parent().unwrap_or_else(|| Path::new(""));
        let holds_pattern = |path: &Path| {
            let there = Pattern::read(path).ok();
            there.as_ref() == Some(self.garment.pattern.as_ref())
        };
        let mut garment = self.garment.clone();
        if !holds_pattern(&folder.join(&garment.pattern_path)) {
            let name = garment.pattern_path.file_name().unwrap_or_default();
            let beside = folder.join(name);
            garment.pattern_path = PathBuf::from(name);
            if !beside.exists() {
                garment.pattern.write(&beside)?;
            } else if !holds_pattern(&beside) {
                return Err(SaveAsError::OtherPattern { path: beside });
            }
        }
        garment.write(path)?;
        self.garment = garment;
        self.path = Some(path.to_owned());
        self.saved = true;
        Ok(())
    }
}

/// Why a garment was not saved to another file.
#[derive(Debug, thiserror::Error)]
pub enum SaveAsError {
    /// The garment's own file.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// Its pattern's file.
    #[error(transparent)]
    Pattern(#[from] PatternFileError),
    /// Another pattern has the name already.
    #[error("{}: another pattern lies there already; choose another folder, so that both are kept", path.display())]
    OtherPattern {
        /// Where it lies.
        path: PathBuf,
    },
}
