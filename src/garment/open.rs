//! A garment being worked on.

use super::history::{History, Standing, Step};
use super::{
    AimAttempt, Command, CommandError, CutState, Evaluated, Found, Garment, GestureId, Mount, Plan, Progress,
    Stand, StandWork,
};
use crate::aim::Measured;
use crate::document::DocumentError;
use crate::geometry::{Point, Rect};
use crate::lay::Place;
use crate::pattern::{ClothKind, Pattern, PatternFileError, PieceId};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A garment being worked on: the document, what follows from it, its undo and its file.
#[derive(Debug, Clone)]
pub struct OpenGarment {
    pub(super) garment: Garment,
    evaluated: Evaluated,
    pub(super) aim: AimAttempt,
    pub(super) history: History,
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
        let sheet = self.garment.aims.first().and_then(|aim| aim.proof.as_ref());
        let of_aim =
            self.aim.finding().into_iter().chain(self.aim.remarks(sheet, self.work_on_surface().as_deref()));
        let mut findings: Vec<Found> = of_aim.map(Found::from).collect();
        findings.extend_from_slice(&self.evaluated.findings);
        findings.extend(self.outdated().into_iter().map(Found::from));
        findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
        findings
    }

    /// What is to be cut, as points on the surface in mm: the pieces that are laid, else the cloth; `None` without either.
    fn work_on_surface(&self) -> Option<Vec<Point>> {
        let surface_from_cloth = self.stand().surface_from_cloth();
        let mut points: Vec<Point> = Vec::new();
        for place in &self.plan().lay {
            let Some(piece) = self.evaluated.piece(&place.piece) else { continue };
            let path = piece.cutting_path.clone().unwrap_or_else(|| piece.altered.outline());
            let on_surface = surface_from_cloth * (place.cloth_from_piece(&piece.altered) * path);
            points.extend(on_surface.elements().iter().filter_map(|element| element.end_point()));
        }
        if points.is_empty() {
            let Rect { x0, y0, x1, y1 } = self.plan().cloth()?.extent();
            points.extend(
                [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|at| surface_from_cloth * Point::from(at)),
            );
        }
        Some(points)
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

    /// How the cloth lies under the light now: as its crosses say while it is cut in stands, else as planned.
    #[must_use]
    pub fn stand(&self) -> Stand {
        self.garment.stands.as_ref().map_or(self.plan().stand, StandWork::stand)
    }

    /// The stands that are being cut in.
    #[must_use]
    pub const fn stands(&self) -> Option<&StandWork> {
        self.garment.stands.as_ref()
    }

    /// How the picture is turned before it is lit.
    #[must_use]
    pub fn mount(&self) -> Mount {
        self.garment.aims.first().map_or(Mount::PLAIN, |aim| aim.mount)
    }

    /// How far a copy from the cloth on the table has come; `None` when it is not cut.
    #[must_use]
    pub fn state_of(&self, piece: &PieceId, copy: u32) -> Option<CutState> {
        self.state_on(self.plan().on_table, piece, copy)
    }

    /// How far a copy from a kind of cloth has come; `None` when it is not cut.
    #[must_use]
    pub fn state_on(&self, cloth: ClothKind, piece: &PieceId, copy: u32) -> Option<CutState> {
        let same = |done: &&Progress| done.cloth == cloth && &done.piece == piece && done.copy == copy;
        self.garment.progress.iter().find(same).map(|done| done.state)
    }

    /// What was cut of the cloth on the table.
    pub fn progress(&self) -> impl Iterator<Item = &Progress> {
        self.garment.progress.iter().filter(|done| done.cloth == self.plan().on_table)
    }

    /// The copies that are cut at a place of the lay: two where it lies on two plies.
    #[must_use]
    pub fn copies_at(&self, place: usize) -> Vec<u32> {
        let laid = self.evaluated.laid(self.plan()).map(|laid| laid.copies_cut());
        let copies = laid.and_then(|copies| copies.get(place).cloned());
        let alone = || self.plan().lay.get(place).map(|place| vec![place.copy]);
        copies.filter(|copies| !copies.is_empty()).or_else(alone).unwrap_or_default()
    }

    /// Whether a copy stays where it lies when a lay is sought: it is pinned, or cut already.
    #[must_use]
    pub fn stays(&self, piece: &PieceId, copy: u32) -> bool {
        self.plan().lay_rules.is_pinned(piece, copy) || self.state_of(piece, copy).is_some()
    }

    /// The places of the copies that stay; see [`OpenGarment::stays`].
    #[must_use]
    pub fn staying(&self) -> Vec<Place> {
        self.staying_on(self.plan().on_table)
    }

    /// The same of a kind of cloth that may be aside.
    #[must_use]
    pub fn staying_on(&self, cloth: ClothKind) -> Vec<Place> {
        let rules = self.plan().rules_on(cloth);
        let stays = |place: &&Place| {
            rules.is_pinned(&place.piece, place.copy)
                || self.state_on(cloth, &place.piece, place.copy).is_some()
        };
        self.plan().lay_on(cloth).iter().filter(stays).cloned().collect()
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
        if matches!(command, Command::SetStand(_)) && self.garment.stands.is_some() {
            let what =
                "the cloth is being cut in stands, and lies where its crosses say; leave the stands first";
            return Err(CommandError::Nonsense(what.to_owned()));
        }
        if let Command::PutOnTable(next) = command
            && self.garment.stands.is_some()
            && *next != self.plan().on_table
        {
            let what = format!(
                "the {} is being cut in stands; leave the stands before another cloth is put on the table",
                self.plan().on_table.words()
            );
            return Err(CommandError::Nonsense(what));
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
            self.history.keep(Step::of_plan(before), gesture);
            self.plan_changed();
            return Ok(());
        }
        match command {
            Command::Undo => {
                let step = self.history.undo(|step| step.present(&self.garment));
                self.go_to(step.ok_or(CommandError::NothingToUndo)?);
            }
            Command::Redo => {
                let step = self.history.redo(|step| step.present(&self.garment));
                self.go_to(step.ok_or(CommandError::NothingToRedo)?);
            }
            Command::SetProgress(..) => {
                let before = self.garment.progress.clone();
                self.cut_by(command)?;
                if before != self.garment.progress {
                    self.history.keep(Step { progress: Some(before), ..Step::default() }, gesture);
                }
            }
            Command::SetStands(_) => {
                let before = self.garment.stands.clone();
                self.cut_by(command)?;
                if before != self.garment.stands {
                    self.history.keep(Step { stands: Some(Standing(before)), ..Step::default() }, gesture);
                }
            }
            // All others concern the plan and were done above, or the aims.
            _ => {
                let before = self.garment.aims.clone();
                self.aim_by(command)?;
                if before != self.garment.aims {
                    let step = Step { aims: Some(before), ..Step::default() };
                    self.history.keep(step, gesture.or_else(|| GestureId::of_arrows(command)));
                }
            }
        }
        self.touched();
        let moves_the_light = matches!(
            command,
            Command::NudgeMark { .. }
                | Command::PlaceMark { .. }
                | Command::ReadTape { .. }
                | Command::ReadTapeAgain { .. }
        );
        if !moves_the_light {
            self.plan_revision = fresh_revision();
        }
        Ok(())
    }

    fn go_to(&mut self, step: Step) {
        if let Some(progress) = step.progress {
            self.garment.progress = progress;
        }
        if let Some(Standing(stands)) = step.stands {
            self.garment.stands = stands;
        }
        if let Some(aims) = step.aims {
            self.garment.aims = aims;
            self.aim = AimAttempt::default();
            self.attempt_aim();
        }
        if let Some(plan) = step.plan {
            self.garment.plan = plan;
            self.plan_changed();
        }
    }

    /// Does a command that says how far the cutting has come; others do nothing.
    fn cut_by(&mut self, command: &Command) -> Result<(), CommandError> {
        match command {
            Command::SetProgress(piece, copy, state) => {
                let cloth = self.plan().on_table;
                let is_it =
                    |known: &Progress| known.cloth == cloth && &known.piece == piece && known.copy == *copy;
                let before = self.garment.progress.iter().find(|known| is_it(known)).cloned();
                self.garment.progress.retain(|known| !is_it(known));
                if let Some(state) = state {
                    // What is marked now looks as it did when it was cut.
                    let as_cut = before.map_or_else(|| self.looks(piece, *copy), |known| known.as_cut);
                    let piece = piece.clone();
                    let done = Progress { piece, copy: *copy, cloth, state: *state, as_cut };
                    self.garment.progress.push(done);
                }
            }
            Command::SetStands(stands) => {
                if let Some(what) = stands.as_ref().and_then(|stands| stands.nonsense()) {
                    return Err(CommandError::Nonsense(what));
                }
                let marks = self.marks_on_surface();
                self.garment.stands = stands.as_deref().cloned().map(|stands| stands.under(marks));
            }
            _ => {}
        }
        Ok(())
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

impl Step {
    /// What is there now of what it holds.
    fn present(&self, garment: &Garment) -> Self {
        Self {
            plan: self.plan.as_ref().map(|_| Arc::clone(&garment.plan)),
            aims: self.aims.as_ref().map(|_| garment.aims.clone()),
            progress: self.progress.as_ref().map(|_| garment.progress.clone()),
            stands: self.stands.as_ref().map(|_| Standing(garment.stands.clone())),
        }
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
