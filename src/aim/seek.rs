//! Marks that are sought with keys or the mouse: where each is lit, which of them the keys move, which are found.

use super::AimError;
use super::nudge::Nudger;
use crate::geometry::{Point, Vec2};

/// Marks being sought in the picture, in px. There is at least one.
#[derive(Debug, Clone, PartialEq)]
pub struct Seek {
    picks: Vec<Point>,
    placed: Vec<bool>,
    nudgers: Vec<Nudger>,
    active: usize,
    /// Whether the active mark was moved since it became so.
    is_touched: bool,
}

impl Seek {
    /// Begins with marks lit at these places; the first is active. `nudger` is how keys move them at first.
    pub(super) fn of(picks: Vec<Point>, nudger: Nudger) -> Self {
        let count = picks.len();
        Self { picks, placed: vec![false; count], nudgers: vec![nudger; count], active: 0, is_touched: false }
    }

    /// Where each mark is lit, in px.
    #[must_use]
    pub fn picks(&self) -> &[Point] {
        &self.picks
    }

    /// Number of the mark that keys move, from 0.
    #[must_use]
    pub const fn active(&self) -> usize {
        self.active
    }

    /// Whether a mark is said to be on its cross.
    #[must_use]
    pub fn is_placed(&self, mark: usize) -> bool {
        self.placed.get(mark).copied().unwrap_or(false)
    }

    /// How many marks are.
    #[must_use]
    pub fn count_placed(&self) -> usize {
        self.placed.iter().filter(|placed| **placed).count()
    }

    /// Whether all of them are.
    #[must_use]
    pub fn all_placed(&self) -> bool {
        self.placed.iter().all(|placed| *placed)
    }

    /// Numbers of the marks that are on their crosses, from 0.
    pub fn placed(&self) -> impl Iterator<Item = usize> + '_ {
        self.placed.iter().enumerate().filter(|(_, placed)| **placed).map(|(mark, _)| mark)
    }

    /// Whether the active mark was moved since it became so: then its light is meant to be on its cross.
    #[must_use]
    pub const fn is_touched(&self) -> bool {
        self.is_touched
    }

    /// Makes a mark the active one; a placed mark may be moved again.
    ///
    /// # Errors
    /// [`AimError::UnknownMark`].
    pub fn choose(&mut self, mark: usize) -> Result<(), AimError> {
        let count = self.picks.len();
        if mark >= count {
            return Err(AimError::UnknownMark { mark, count });
        }
        self.active = mark;
        self.is_touched = false;
        Ok(())
    }

    /// Makes the mark before the active one the active one.
    pub fn step_back(&mut self) {
        let count = self.picks.len().max(1);
        self.active = (self.active + count - 1) % count;
        self.is_touched = false;
    }

    /// An arrow key: moves the active mark one step; `way` is where the arrow points in the picture.
    pub fn press(&mut self, way: (f64, f64)) {
        let step = self.nudgers[self.active].press(way);
        self.shift(step);
    }

    /// Moves the active mark by so many px, for who wants a step of her own.
    pub fn shift(&mut self, by_px: Vec2) {
        self.put(self.picks[self.active] + by_px);
    }

    /// The mouse: brings the active mark to a place of the picture, px.
    pub fn put(&mut self, to: Point) {
        if to.is_finite() {
            self.picks[self.active] = to;
            self.is_touched = true;
        }
    }

    /// The active mark is on its cross.
    pub(super) fn place(&mut self) {
        self.placed[self.active] = true;
        self.is_touched = false;
    }

    /// Lights the marks that are not found where they are foreseen, px, with the standard deviation of that.
    pub(super) fn foresee(&mut self, foreseen: impl IntoIterator<Item = (Point, Vec2)>) {
        for (mark, (place, sigma)) in foreseen.into_iter().enumerate().take(self.picks.len()) {
            if !self.placed[mark] && place.is_finite() {
                self.picks[mark] = place;
                self.nudgers[mark] = Nudger::within(sigma);
            }
        }
    }

    /// Goes on to the next mark that is not found; when all are, round.
    pub(super) fn go_on(&mut self) {
        let count = self.picks.len();
        let others = (1..=count).map(|step| (self.active + step) % count);
        let next = others.clone().find(|&mark| !self.placed[mark]).or_else(|| others.clone().next());
        self.active = next.unwrap_or(self.active);
        self.is_touched = false;
    }
}
