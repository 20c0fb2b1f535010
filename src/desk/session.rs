//! What is open, and what both windows do to it.

use super::remote::RemoteDoor;
use super::under_light::Refused;
use super::{Held, Intake, LayFinder, LayWish, Projector, ScreenName};
use crate::document::DocumentError;
use crate::finding::{Finding, Severity, Subject};
use crate::floor::{Action, FloorView};
use crate::garment::{Command, Found, GestureId, OpenGarment, SaveAsError};
use crate::import::Correction;
use crate::pattern::SizeId;
use crate::remote::Reach;
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
    pub const ALL: [Self; 8] =
        [Self::Pattern, Self::Body, Self::Alter, Self::Cloth, Self::Lay, Self::Aim, Self::Cut, Self::Sheet];

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
    /// What was taken hold of on the board last.
    pub held: Option<Held>,
    /// The table of fit that was worked out last.
    pub fit: super::FitMemory,
    /// The size that is shown at the stop Pattern; the plan's, when `None`.
    pub size: Option<SizeId>,
    /// What is being typed, by field.
    pub typing: super::Typing,
    /// How the board is looked at, by stop.
    pub looks: super::Looks,
    /// The drawing that is becoming a pattern at the stop Pattern.
    pub intake: Option<Intake>,
    /// What she prefers at this desk.
    pub preferred: super::Preferences,
    /// The program that reads PDF files in a process of its own: this one.
    pub pdf_reader: Option<PathBuf>,
    /// Whether the desk is shown for a bright room.
    pub bright: bool,
    /// What the next aim that is begun is called.
    pub aim_name: String,
    /// The lens's height above the table, until a thickness makes it part of the aim.
    pub lens_height: Option<crate::geometry::Length>,
    /// The flaw that is being drawn on the board.
    pub flaw: Option<super::FlawDrawing>,
    /// The rule that is to be let pass once its reason is written.
    pub let_pass: Option<super::LetPassDraft>,
    /// The board's scene, kept while nothing that it shows changes.
    pub board: super::BoardMemory,
}

impl DeskView {
    pub(super) fn new() -> Self {
        Self {
            stop: Stop::Alter,
            piece: 0,
            held: None,
            fit: super::FitMemory::default(),
            size: None,
            typing: super::Typing::default(),
            looks: super::Looks::default(),
            intake: None,
            preferred: super::Preferences::default(),
            pdf_reader: std::env::current_exe().ok(),
            bright: false,
            aim_name: "table".to_owned(),
            lens_height: None,
            flaw: None,
            let_pass: None,
            board: super::BoardMemory::default(),
        }
    }
}

/// Something the desk asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Wish {
    /// Change the garment; a gesture's commands are one step of undo.
    Do(Box<Command>, Option<GestureId>),
    /// What a key does.
    Act(Action),
    /// Seek a lay, or take what was found.
    Lay(LayWish),
    /// Walk through the cutting before the first cut, or end that.
    Rehearse(bool),
    /// Find the print on the cloth, under the light.
    MeasurePrint,
    /// Save under a new name.
    SaveAs(PathBuf),
    /// Read drawings.
    OpenDrawing(Vec<PathBuf>),
    /// End the reading that is going on.
    StopReading,
    /// Put something right on the drawing.
    Correct(Box<Correction>),
    /// Move the page that is picked by so many mm to the right and up, with others like it as one correction.
    NudgePage(f64, f64),
    /// Take back what was put right last.
    TakeBack,
    /// Make a garment of its pieces.
    TakePieces,
    /// Put the drawing away.
    CloseDrawing,
    /// Let a phone in from so far, or close the way in.
    Remote(Option<Reach>),
    /// Show the desk, and say lengths, as she prefers from now on.
    Prefer(super::Preferences),
    /// Put the floor window on a screen, or make it an ordinary window.
    ShowFloorOn(Option<ScreenName>),
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
    /// Why the last save failed, until one succeeds.
    pub unsaved_because: Option<String>,
    /// The lay that is sought beside all this.
    pub lay_finder: LayFinder,
    /// The screens, and which is the projector's.
    pub projector: Projector,
    /// The phone's way in, and who can reach it.
    pub remote: RemoteDoor,
    /// When it was last saved.
    pub saved_at: Option<jiff::Zoned>,
    /// Whether to end the program.
    pub leaving: bool,
    /// Whether the cutting was begun before the program was, and nobody has looked since at the marks of the aim.
    pub(super) taken_up: bool,
    /// What was refused last, and can be done all the same.
    pub(super) refused: Option<Refused>,
    /// Whether she was told that changes would be lost.
    warned_of_loss: bool,
}

impl Session {
    /// Begins with a garment, at the stop where the job stands.
    #[must_use]
    pub fn new(open: OpenGarment) -> Self {
        let desk = DeskView::new();
        // A power cut, or a night, lies between: nobody knows what the projector did meanwhile.
        let begun = open.stands().is_some() || !open.garment().progress.is_empty();
        let floor = FloorView::default();
        Self {
            open,
            floor,
            desk,
            complaint: None,
            unsaved_because: None,
            lay_finder: LayFinder::default(),
            projector: Projector::default(),
            remote: RemoteDoor::default(),
            saved_at: None,
            leaving: false,
            taken_up: begun,
            refused: None,
            warned_of_loss: false,
        }
    }

    /// What the checks have to say about the garment and about the floor window, gravest first.
    #[must_use]
    pub fn findings(&self) -> Vec<Found> {
        let mut findings = self.open.findings();
        findings.extend(self.scaled_light().map(Found::from));
        findings.extend(self.unlooked_light().map(Found::from));
        findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
        findings
    }

    /// Whether the marks of the aim are lit, so that Tab and the arrows are theirs.
    #[must_use]
    pub fn marks_are_lit(&self) -> bool {
        let unaimed = self.open.aim().good.is_none() && self.open.measured().is_some();
        let working = self.floor.work.is_some() || self.floor.print_seek.is_some();
        working || self.floor.is_aiming() || (unaimed && !self.floor.only_cutting_lines && !self.floor.dark)
    }

    /// A floor window that is not as large as the picture that was aimed: what it lights is scaled.
    fn scaled_light(&self) -> Option<Finding> {
        let aimed = self.open.aim().good.as_ref()?.picture_size();
        let window = self.open.mount().picture_size(self.floor.window_size);
        if aimed == window {
            return None;
        }
        let what = format!(
            "the floor window is {} × {} px, but {} × {} px were aimed: its picture is scaled",
            window.0, window.1, aimed.0, aimed.1
        );
        let remedy = "before cutting, put the floor window on the whole of the projector's screen, or begin an aim \
                      anew; the 100 mm square (P) proves the scale";
        Some(Finding::new(Severity::Warning, what, remedy).about(Subject::Aim))
    }

    /// A light that nobody looked at since the program began, or since another aim is in use; one that moved.
    fn unlooked_light(&self) -> Option<Finding> {
        self.open.aim().good.as_ref()?;
        let (severity, what, remedy) = if let Some(moved) = &self.floor.moved {
            let severity = if self.floor.lets_move_pass { Severity::Warning } else { Severity::Stop };
            (severity, moved.as_str(), "aim again (key I) before the next cut")
        } else if self.floor.unlooked || self.taken_up {
            let what =
                "the cutting was begun before, and nobody has looked since whether the projector moved";
            (Severity::Warning, what, "look at its marks (key V) before the next cut, or aim again (key I)")
        } else {
            return None;
        };
        Some(Finding::new(severity, what, remedy).about(Subject::Aim))
    }

    /// Ends the program, unless changes would be lost that she was not told of.
    pub fn ask_to_leave(&mut self) {
        let unsaved = self.open.revision() > 0 && !self.open.is_saved();
        let would_lose = unsaved && (self.open.path().is_none() || self.unsaved_because.is_some());
        if would_lose && !self.warned_of_loss {
            self.warned_of_loss = true;
            let words = "The changes are in no file. Keep a copy, or leave once more to let them go.";
            self.complaint = Some(words.to_owned());
        } else {
            self.leaving = true;
        }
    }

    /// Does what was wished for; what can't be done is said in [`Session::complaint`].
    pub fn grant(&mut self, wish: &Wish) {
        let done = match wish {
            Wish::Do(command, gesture) => match self.refusal(std::slice::from_ref(command.as_ref())) {
                Some(words) => Err(words),
                None => self.perform(command, *gesture),
            },
            Wish::Act(action) => self.act(*action),
            Wish::Lay(wish) => self.seek_lay(wish),
            Wish::MeasurePrint => self.measure_print(),
            Wish::Rehearse(on) => {
                self.rehearse(*on);
                Ok(())
            }
            Wish::SaveAs(path) => self.save_as(path).map_err(|error| error.to_string()),
            Wish::OpenDrawing(_)
            | Wish::StopReading
            | Wish::Correct(_)
            | Wish::NudgePage(..)
            | Wish::TakeBack
            | Wish::TakePieces
            | Wish::CloseDrawing => self.drawing_wish(wish),
            // The windows' owner does this one.
            Wish::ShowFloorOn(_) => Ok(()),
            Wish::Remote(reach) => self.open_remote(*reach),
            Wish::Prefer(preferred) => {
                self.prefer(*preferred);
                Ok(())
            }
        };
        if *wish == Wish::Act(Action::Leave) {
            return;
        }
        self.warned_of_loss = false;
        self.complaint = done.err();
    }

    /// Shows the desk and says lengths as she prefers.
    pub fn prefer(&mut self, preferred: super::Preferences) {
        self.desk.preferred = preferred;
        self.floor.units = preferred.units;
    }

    /// Begins the rehearsal with the first copy alone, or ends it with all of them lit.
    fn rehearse(&mut self, on: bool) {
        self.floor.rehearsing = on;
        self.floor.only = (on && !self.open.plan().lay.is_empty()).then_some(0);
    }

    fn act(&mut self, action: Action) -> Result<(), String> {
        if let Some(done) = self.act_under_light(action).or_else(|| self.act_on_print(action)) {
            return done;
        }
        let copies = self.open.plan().lay.len();
        let marks = self.open.measured().map_or(0, |measured| measured.marks.len());
        match action {
            Action::Nudge(direction, step) => {
                // Arrows move a mark only while the marks are lit: a stray touch at the cloth must not
                // move the aim.
                if self.marks_are_lit() {
                    let (x, y) = direction.pixel();
                    let by_px = (x * step.px(), y * step.px());
                    let command = Command::NudgeMark { mark: self.floor.active_mark, by_px };
                    return self.perform(&command, None);
                }
            }
            Action::NextMark => self.floor.step_mark(true, marks),
            Action::PreviousMark => self.floor.step_mark(false, marks),
            Action::Aiming => self.floor.toggle_aiming(),
            Action::Bold => self.floor.toggle_bold(),
            Action::Wider => self.floor.widen(true),
            Action::Narrower => self.floor.widen(false),
            Action::NextLamp => self.floor.next_lamp(),
            // These are done under the light, above.
            Action::Reaim | Action::Look | Action::NextStand | Action::Overrule => {}
            Action::Toggle(layer) => self.floor.show.toggle(layer),
            Action::OnlyCuttingLines => self.floor.only_cutting_lines = !self.floor.only_cutting_lines,
            Action::Dark => self.floor.dark = !self.floor.dark,
            Action::TurnWords => self.floor.turn_words(),
            Action::NextCopy => self.floor.step_copy(true, copies),
            Action::PreviousCopy => self.floor.step_copy(false, copies),
            Action::AllCopies => self.rehearse(false),
            // In a rehearsal nothing is ticked: the hand goes on.
            Action::Tick if self.floor.rehearsing => self.floor.step_copy(true, copies),
            Action::Tick => return self.tick(),
            Action::Undo => return self.perform(&Command::Undo, None),
            Action::Redo => return self.perform(&Command::Redo, None),
            // Its failure stands in `unsaved_because`.
            Action::Save => drop(self.save()),
            Action::Leave => self.ask_to_leave(),
        }
        Ok(())
    }

    /// Does several commands as one step of undo.
    pub(super) fn perform_as_one(&mut self, commands: &[Command]) -> Result<(), String> {
        let gesture = GestureId(self.open.revision());
        commands.iter().try_for_each(|command| self.perform(command, Some(gesture)))
    }

    pub(super) fn perform(&mut self, command: &Command, gesture: Option<GestureId>) -> Result<(), String> {
        let on_table = self.open.plan().on_table;
        let aim = |open: &OpenGarment| {
            open.garment().aims.first().map(|aim| (aim.name.clone(), aim.measured.clone()))
        };
        let (aim_before, stands_before) = (aim(&self.open), self.open.stands().cloned());
        self.open.perform(command, gesture).map_err(|error| error.to_string())?;
        if self.open.plan().on_table != on_table {
            self.table_was_changed();
        }
        let (aim_changed, stands_changed) =
            (aim(&self.open) != aim_before, self.open.stands() != stands_before.as_ref());
        if aim_changed || stands_changed {
            // What is sought under the light was sought with what was there before.
            self.floor.work = None;
        }
        let goes_back = matches!(command, Command::Undo | Command::Redo);
        let has_begun = self.open.stands().is_some() || !self.open.garment().progress.is_empty();
        if aim_changed && (goes_back || matches!(command, Command::ChooseAim(_))) {
            self.floor.unlooked |= has_begun;
        }
        if stands_changed && goes_back {
            self.floor.let_pass = self
                .open
                .stands()
                .map(|stands| format!("taken back: the cloth must lie as it lay in stand {}", stands.at + 1));
        }
        // What was cut can't be uncut: it is on the disk at once.
        let is_done = matches!(
            command,
            Command::SetProgress(..)
                | Command::SetStands(_)
                | Command::TakeAim(_)
                | Command::KeepAim { .. }
                | Command::Undo
                | Command::Redo
        );
        if is_done && self.open.path().is_some() {
            // Its failure stands in `unsaved_because`.
            drop(self.save());
        }
        Ok(())
    }

    /// Saves to the garment's file.
    ///
    /// # Errors
    /// [`DocumentError::Unwritable`]; the file is then as it was.
    pub fn save(&mut self) -> Result<(), DocumentError> {
        let saved = self.open.save();
        self.unsaved_because = saved.as_ref().err().map(ToString::to_string);
        if saved.is_ok() {
            self.saved_at = Some(jiff::Zoned::now());
        }
        saved
    }

    fn save_as(&mut self, path: &Path) -> Result<(), SaveAsError> {
        self.open.save_as(path)?;
        self.unsaved_because = None;
        self.saved_at = Some(jiff::Zoned::now());
        Ok(())
    }
}
