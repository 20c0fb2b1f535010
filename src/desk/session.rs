//! What is open, and what both windows do to it.

use crate::document::DocumentError;
use crate::floor::{Action, FloorView};
use crate::garment::{Command, CutState, GestureId, OpenGarment, SaveAsError};
use crate::geometry::Point;
use crate::pattern::{PieceId, SizeId};
use std::path::{Path, PathBuf};

/// A stop of the job's way, in the order of the job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stop {
    /// The pattern as bought.
    Pattern,
    /// The wearer.
    Body,
    /// Alterations.
    Alter,
    /// The length of cloth.
    Cloth,
    /// Pieces on the cloth.
    Lay,
    /// Where the light falls.
    Aim,
    /// Cutting.
    Cut,
    /// What goes to the sewing machine.
    Sheet,
}

impl Stop {
    /// All stops, in the order of the job.
    pub const ALL: [Self; 8] = [
        Self::Pattern,
        Self::Body,
        Self::Alter,
        Self::Cloth,
        Self::Lay,
        Self::Aim,
        Self::Cut,
        Self::Sheet,
    ];

    /// Its name.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Pattern => "Pattern",
            Self::Body => "Body",
            Self::Alter => "Alter",
            Self::Cloth => "Cloth",
            Self::Lay => "Lay",
            Self::Aim => "Aim",
            Self::Cut => "Cut",
            Self::Sheet => "Sheet",
        }
    }
}

/// What the operator's window has chosen to look at. Not part of the garment.
#[derive(Debug, Clone)]
pub struct DeskView {
    /// At which stop she is.
    pub stop: Stop,
    /// The piece on the board, by its place in the pattern.
    pub piece: usize,
    /// What is selected on the piece's drawing.
    pub selected: Option<super::Selected>,
    /// The place that a finding names, while the pointer rests on it.
    pub pointed: Option<(PieceId, Point)>,
    /// The size that is shown at the stop Pattern; the plan's, when `None`.
    pub size: Option<SizeId>,
    /// What is being typed, by field.
    pub typing: super::Typing,
    /// How the board is looked at, by stop.
    pub looks: super::Looks,
}

/// Something the desk asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Wish {
    /// Change the garment; a gesture's commands are one step of undo.
    Do(Box<Command>, Option<GestureId>),
    /// What a key does.
    Act(Action),
    /// Save under a new name.
    SaveAs(PathBuf),
}

impl Wish {
    /// A change of the garment.
    #[must_use]
    pub fn of(command: Command) -> Self {
        Self::Do(Box::new(command), None)
    }

    /// A change of the garment that belongs to a gesture.
    #[must_use]
    pub fn in_gesture(command: Command, gesture: GestureId) -> Self {
        Self::Do(Box::new(command), Some(gesture))
    }
}

/// What is open, what is shown, and what was last said.
#[derive(Debug, Clone)]
pub struct Session {
    /// The garment.
    pub open: OpenGarment,
    /// What the projector is asked to show.
    pub floor: FloorView,
    /// What the desk looks at.
    pub desk: DeskView,
    /// What went wrong last, until something goes right.
    pub complaint: Option<String>,
    /// When it was last saved.
    pub saved_at: Option<jiff::Zoned>,
    /// Whether to end the program.
    pub leaving: bool,
}

impl Session {
    /// Begins with a garment, at the stop where the job stands.
    #[must_use]
    pub fn new(open: OpenGarment) -> Self {
        let desk = DeskView {
            stop: Stop::Alter,
            piece: 0,
            selected: None,
            pointed: None,
            size: None,
            typing: super::Typing::default(),
            looks: super::Looks::default(),
        };
        let floor = FloorView::default();
        Self {
            open,
            floor,
            desk,
            complaint: None,
            saved_at: None,
            leaving: false,
        }
    }

    /// Does what was wished for; what can't be done is said in [`Session::complaint`].
    pub fn grant(&mut self, wish: &Wish) {
        let done = match wish {
            Wish::Do(command, gesture) => self
                .open
                .perform(command, *gesture)
                .map_err(|error| error.to_string()),
            Wish::Act(action) => self.act(*action),
            Wish::SaveAs(path) => self.save_as(path).map_err(|error| error.to_string()),
        };
        self.complaint = done.err();
    }

    fn act(&mut self, action: Action) -> Result<(), String> {
        let copies = self.open.plan().lay.len();
        let marks = self.open.measured().map_or(0, |measured| measured.marks.len());
        match action {
            Action::Nudge(direction, step) => {
                // Arrows move a mark only while the marks are lit: a stray touch at the cloth must not
                // move the aim.
                if self.floor.is_aiming() || self.open.aim().good.is_none() {
                    let (x, y) = direction.pixel();
                    let by_px = (x * step.px(), y * step.px());
                    let command = Command::NudgeMark {
                        mark: self.floor.active_mark,
                        by_px,
                    };
                    return self
                        .open
                        .perform(&command, None)
                        .map_err(|error| error.to_string());
                }
            }
            Action::NextMark => self.floor.step_mark(true, marks),
            Action::PreviousMark => self.floor.step_mark(false, marks),
            Action::Aiming => self.floor.toggle_aiming(),
            Action::Toggle(layer) => self.floor.show.toggle(layer),
            Action::OnlyCuttingLines => self.floor.only_cutting_lines = !self.floor.only_cutting_lines,
            Action::Dark => self.floor.dark = !self.floor.dark,
            Action::TurnWords => self.floor.turn_words(),
            Action::NextCopy => self.floor.step_copy(true, copies),
            Action::PreviousCopy => self.floor.step_copy(false, copies),
            Action::AllCopies => self.floor.only = None,
            Action::Tick => return self.tick(),
            Action::Undo => {
                return self
                    .open
                    .perform(&Command::Undo, None)
                    .map_err(|error| error.to_string());
            }
            Action::Redo => {
                return self
                    .open
                    .perform(&Command::Redo, None)
                    .map_err(|error| error.to_string());
            }
            Action::Save => return self.save().map_err(|error| error.to_string()),
            Action::Leave => self.leaving = true,
        }
        Ok(())
    }

    /// Ticks the copy that is shown alone one further: cut, marked, and back to untouched.
    fn tick(&mut self) -> Result<(), String> {
        let Some((piece, copy)) = self.floor.only_copy(&self.open) else {
            return Err("show one piece alone first (key .), then tick it".to_owned());
        };
        let (piece, copy) = (piece.clone(), copy);
        let next = match self.open.state_of(&piece, copy) {
            None => Some(CutState::Cut),
            Some(CutState::Cut) => Some(CutState::Marked),
            Some(CutState::Marked) => None,
        };
        let command = Command::SetProgress(piece, copy, next);
        self.open
            .perform(&command, None)
            .map_err(|error| error.to_string())?;
        // What was cut can't be uncut: it is on the disk at once.
        if self.open.path().is_some() {
            self.save().map_err(|error| error.to_string())
        } else {
            Ok(())
        }
    }

    /// Saves to the garment's file.
    ///
    /// # Errors
    /// [`DocumentError::Unwritable`]; the file is then as it was.
    pub fn save(&mut self) -> Result<(), DocumentError> {
        self.open.save()?;
        self.saved_at = Some(jiff::Zoned::now());
        Ok(())
    }

    fn save_as(&mut self, path: &Path) -> Result<(), SaveAsError> {
        self.open.save_as(path)?;
        self.saved_at = Some(jiff::Zoned::now());
        Ok(())
    }
}
