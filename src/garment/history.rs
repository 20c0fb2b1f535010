//! Undo and redo, without limit.
//!
//! A step is what one change altered, as it was: the plan, the aims, or how far the cutting has come. Plans share what
//! did not change (the pattern stands outside, lengths and records are small), so a step costs a few kilobytes. A drag
//! carries one gesture id through all its commands and is one step. Taking back a change of the plan leaves the aims
//! alone, and the other way round: the light must not move because an alteration is taken back.

use super::{Command, NamedAim, Plan, Progress, StandWork};
use std::sync::Arc;

/// Names one gesture, such as a drag from press to release.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GestureId(pub u64);

impl GestureId {
    /// The gesture of arrows that nudge one mark, one after the other: they are taken back together. Counted from the
    /// other end than a hand's gestures are.
    pub(super) fn of_arrows(command: &Command) -> Option<Self> {
        let Command::NudgeMark { mark, .. } = command else { return None };
        Some(Self(u64::MAX - u64::try_from(*mark).ok()?))
    }
}

/// The stands that are being cut in, if any.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Standing(pub(super) Option<StandWork>);

/// What was before a change; `None` for what it left alone.
#[derive(Debug, Clone, Default)]
pub(super) struct Step {
    pub(super) plan: Option<Arc<Plan>>,
    pub(super) aims: Option<Vec<NamedAim>>,
    pub(super) progress: Option<Vec<Progress>>,
    pub(super) stands: Option<Standing>,
}

impl Step {
    /// The plan as it was.
    pub(super) fn of_plan(plan: Arc<Plan>) -> Self {
        Self { plan: Some(plan), ..Self::default() }
    }

    /// Takes from a later step of the same gesture what this one does not hold.
    fn fill(&mut self, later: Self) {
        self.plan = self.plan.take().or(later.plan);
        self.aims = self.aims.take().or(later.aims);
        self.progress = self.progress.take().or(later.progress);
        self.stands = self.stands.take().or(later.stands);
    }
}

/// What was before and after the present state.
#[derive(Debug, Clone, Default)]
pub(super) struct History {
    past: Vec<Step>,
    future: Vec<Step>,
    gesture: Option<GestureId>,
}

impl History {
    /// Keeps `before` as a step, or as a part of the last one, where that belongs to the same gesture.
    pub(super) fn keep(&mut self, before: Step, gesture: Option<GestureId>) {
        match self.past.last_mut().filter(|_| gesture.is_some() && gesture == self.gesture) {
            Some(last) => last.fill(before),
            None => self.past.push(before),
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

    pub(super) fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    pub(super) fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }
}
