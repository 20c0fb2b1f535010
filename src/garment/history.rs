//! Undo and redo, without limit.
//!
//! A step is the whole plan as it was. Plans share what did not change (the pattern stands outside, lengths and
//! records are small), so a step costs a few kilobytes. A drag carries one gesture id through all its commands
//! and is one step.

use super::Plan;
use std::sync::Arc;

/// Names one gesture, such as a drag from press to release.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GestureId(pub u64);

/// Plans before and after the present one.
#[derive(Debug, Clone, Default)]
pub(super) struct History {
    past: Vec<Arc<Plan>>,
    future: Vec<Arc<Plan>>,
    gesture: Option<GestureId>,
}

impl History {
    /// Keeps `before` as a step, unless the same gesture has kept one already.
    pub(super) fn keep(&mut self, before: Arc<Plan>, gesture: Option<GestureId>) {
        if gesture.is_none() || gesture != self.gesture {
            self.past.push(before);
        }
        self.gesture = gesture;
        self.future.clear();
    }

    pub(super) fn undo(&mut self, present: Arc<Plan>) -> Option<Arc<Plan>> {
        let before = self.past.pop()?;
        self.future.push(present);
        self.gesture = None;
        Some(before)
    }

    pub(super) fn redo(&mut self, present: Arc<Plan>) -> Option<Arc<Plan>> {
        let after = self.future.pop()?;
        self.past.push(present);
        self.gesture = None;
        Some(after)
    }

    pub(super) fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    pub(super) fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }
}
