//! The phone as a remote: opened and closed at the desk, its keys done like any other.

use super::Session;
use crate::floor::WayIn;
use crate::remote::{Reach, Remote, code_modules};
use std::fmt;
use std::rc::Rc;
use std::sync::Arc;

/// How the windows are told that a phone pressed something.
type Wake = Arc<dyn Fn() + Send + Sync>;

/// The phone's way in.
#[derive(Clone, Default)]
pub struct RemoteDoor {
    remote: Option<Rc<Remote>>,
    wake: Option<Wake>,
}

impl fmt::Debug for RemoteDoor {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.debug_struct("RemoteDoor").field("reach", &self.reach()).finish_non_exhaustive()
    }
}

impl RemoteDoor {
    /// Who can reach it; `None` while it is closed.
    #[must_use]
    pub fn reach(&self) -> Option<Reach> {
        self.remote.as_ref().map(|remote| remote.reach())
    }

    /// The address with the code, until a phone used it.
    #[must_use]
    pub fn way_in(&self) -> Option<String> {
        self.remote.as_ref()?.way_in()
    }

    /// Says how the windows are told that a phone pressed something.
    pub(super) fn wake_by(&mut self, wake: Wake) {
        self.wake = Some(wake);
    }
}

impl Session {
    /// Opens the way in for a phone, or closes it.
    pub(super) fn open_remote(&mut self, reach: Option<Reach>) -> Result<(), String> {
        self.remote.remote = None;
        self.floor.code = None;
        if let Some(reach) = reach {
            let wake = self.remote.wake.clone();
            let wake = move || {
                if let Some(wake) = &wake {
                    wake();
                }
            };
            let remote = Remote::open(reach, wake).map_err(|error| error.to_string())?;
            self.remote.remote = Some(Rc::new(remote));
            self.floor.dark = false;
            self.show_code();
        }
        Ok(())
    }

    /// Does what the phone asked for, and tells it how things stand. Whether anything was asked.
    pub fn hear_the_phone(&mut self) -> bool {
        let Some(remote) = self.remote.remote.clone() else { return false };
        let pressed: Vec<_> = remote.pressed().collect();
        for &press in &pressed {
            self.press(press);
        }
        if remote.is_shut() {
            self.complaint =
                Some("Too many wrong codes were tried: the phone's way in is closed.".to_owned());
            self.remote.remote = None;
        }
        self.show_code();
        remote.show(self.words_for_the_phone());
        !pressed.is_empty()
    }

    /// The code stands in the light until a phone used it.
    fn show_code(&mut self) {
        let way_in = self.remote.way_in();
        if self.floor.code.as_ref().map(|code| &code.address) == way_in.as_ref() {
            return;
        }
        self.floor.code =
            way_in.and_then(|address| Some(WayIn { modules: code_modules(&address)?, address }));
    }

    /// How things stand, for a glance at the phone.
    fn words_for_the_phone(&self) -> Vec<String> {
        let mut words: Vec<String> = self.complaint.iter().cloned().collect();
        if let Some(work) = self.floor.work.as_deref() {
            words.extend(work.words().into_iter().filter(|words| !words.is_empty()));
            return words;
        }
        if self.floor.dark {
            words.push("No light (Esc).".to_owned());
        }
        words.push(match self.floor.only_copy(&self.open) {
            Some((piece, copy)) => {
                let state = match self.open.state_of(piece, copy) {
                    None => "to be cut",
                    Some(crate::garment::CutState::Cut) => "cut, to be marked",
                    Some(crate::garment::CutState::Marked) => "cut and marked",
                };
                format!("{piece} {copy}: {state}.")
            }
            None => "All pieces.".to_owned(),
        });
        words.extend(self.open.stands().map(crate::floor::stand_words).into_iter().flatten());
        words
    }
}
