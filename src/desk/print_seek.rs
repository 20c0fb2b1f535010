//! The print is measured under the light: its three lights have the arrows, Tab, Enter and Escape meanwhile.

use super::Session;
use crate::floor::{Action, PrintSeek};

impl Session {
    /// Begins to find the print on the cloth.
    ///
    /// # Errors
    /// In words, without a print, an aim or room for three lights.
    pub(super) fn measure_print(&mut self) -> Result<(), String> {
        let seek = PrintSeek::begin(&self.open).map_err(|error| error.to_string())?;
        self.floor.print_seek = Some(Box::new(seek));
        // Its lights must be seen.
        self.floor.dark = false;
        self.floor.only_cutting_lines = false;
        Ok(())
    }

    /// What a key does while the print is being found; `None` when it is not, or the key means what it always means.
    pub(super) fn act_on_print(&mut self, action: Action) -> Option<Result<(), String>> {
        let seek = self.floor.print_seek.as_deref_mut()?;
        match action {
            Action::Nudge(direction, step) => {
                if let Some(aim) = &self.open.aim().good {
                    seek.nudge(aim, direction, step);
                }
            }
            Action::NextMark => seek.step(true),
            Action::PreviousMark => seek.step(false),
            Action::Dark => self.floor.print_seek = None,
            Action::Tick => {
                let taken = seek.taken(&self.open).map_err(|error| error.to_string());
                let done = taken.and_then(|command| self.perform(&command, None));
                if done.is_ok() {
                    self.floor.print_seek = None;
                }
                return Some(done);
            }
            _ => return None,
        }
        Some(Ok(()))
    }
}
