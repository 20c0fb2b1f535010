//! Undo and redo, without limit.
//!
//! A step is the whole plan as it was, or the aims. Plans share what did not change (the pattern stands outside, lengths
//! and records are small), so a step costs a few kilobytes. A drag carries one gesture id through all its commands
//! and is one step. Taking back a change of the plan leaves the aims alone, and the other way round: the light must
//! not move because an alteration is taken back.

use super::{NamedAim, Plan};
use std::sync::Arc;

/// Names one gesture, such as a drag from press to release.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GestureId(pub u64);

/// What was before a change.
#[derive(Debug, Clone)]
pub(super) enum Step {
    /// The plan.
    Plan(Arc<Plan>),
    /// The aims.
    Aims(Vec<NamedAim>),
}

/// What was before and after the present state.
#[derive(Debug, Clone, Default)]
pub(super) struct History {
    past: Vec<Step>,
    future: Vec<Step>,
    gesture: Option<GestureId>,
}

impl History {
    /// Keeps `before` as a step, unless the same gesture has kept one already.
    pub(super) fn keep(&mut self, before: Step, gesture: Option<GestureId>) {
        if gesture.is_none() || gesture != self.gesture {
            self.past.push(before);
        }
        self.gesture = gesture;
        self.future.clear();
    }

    /// The step to go back to; `present` gives what is there now of what the step holds.
    pub(super) fn undo(&mut self, present: impl FnOnce(&Step) -> Step) -> Option<Step> {
        let before = self.past.pop()?;
        self.future.push(present(&before));
        self.gesture = None;
        Some(before)
    }

    /// The step to go forward to again.
    pub(super) fn redo(&mut self, present: impl FnOnce(&Step) -> Step) -> Option<Step> {
        let after = self.future.pop()?;
        self.past.push(present(&after));
        self.gesture = None;
        Some(after)
    }

    /// The step that would be gone back to.
    pub(super) fn before(&self) -> Option<&Step> {
        self.past.last()
    }

    /// The step that would be gone forward to.
    pub(super) fn later(&self) -> Option<&Step> {
        self.future.last()
    }

    pub(super) fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    pub(super) fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }
}
