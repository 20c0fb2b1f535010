//! Aiming again after a bump, mark by mark: keys or the mouse bring each mark back onto its cross, and from the first
//! one on the others are predicted, so that for the last two only a nudge is left.
//!
//! The marks keep their places on the surface: nothing is taped again. With two or three marks placed the aim is
//! *provisional*: it holds if the projector was only turned, and is off by up to a centimetre if it was shifted too.

use super::AimError;
use super::bump::{Bump, Shift};
use super::hull::{area, hull};
use super::measured::{Measured, MeasuredMark};
use super::nudge::Nudger;
use super::order::extent;
use super::seek::Seek;
use super::solution::Aim;
use crate::geometry::{Point, Vec2};

/// Marks that make an aim by themselves.
const MARKS_ENOUGH: usize = 4;
/// Marks that make a provisional one.
const MARKS_PROVISIONAL: usize = 2;

/// The state of an aiming again.
#[derive(Debug, Clone, PartialEq)]
pub struct Reaim {
    before: Aim,
    seek: Seek,
}

impl Reaim {
    /// Begins with the marks where the aim had them; the first of them is active.
    ///
    /// # Errors
    /// [`AimError::TooFewMarks`] for an aim without marks.
    pub fn of(aim: &Aim) -> Result<Self, AimError> {
        let count = aim.marks().len();
        if count < MARKS_ENOUGH {
            return Err(AimError::TooFewMarks { count });
        }
        let picks = aim.marks().iter().map(|mark| mark.picture).collect();
        Ok(Self { before: aim.clone(), seek: Seek::of(picks, Nudger::coarse()) })
    }

    /// The marks as they are being sought.
    #[must_use]
    pub const fn seek(&self) -> &Seek {
        &self.seek
    }

    /// The same, to move one.
    pub const fn seek_mut(&mut self) -> &mut Seek {
        &mut self.seek
    }

    /// The aim from which this began.
    #[must_use]
    pub const fn before(&self) -> &Aim {
        &self.before
    }

    /// Where each mark is lit, in px.
    #[must_use]
    pub fn picks(&self) -> &[Point] {
        self.seek.picks()
    }

    /// Number of the mark that keys move, from 0.
    #[must_use]
    pub const fn active(&self) -> usize {
        self.seek.active()
    }

    /// How many marks are said to be on their crosses.
    #[must_use]
    pub fn count_placed(&self) -> usize {
        self.seek.count_placed()
    }

    /// Makes a mark the active one; a placed mark may be moved again.
    ///
    /// # Errors
    /// [`AimError::UnknownMark`].
    pub fn choose(&mut self, mark: usize) -> Result<(), AimError> {
        self.seek.choose(mark)
    }

    /// An arrow key: moves the active mark one step; `way` is where the arrow points in the picture.
    pub fn press(&mut self, way: (f64, f64)) {
        self.seek.press(way);
    }

    /// The mouse: brings the active mark to a place of the picture (px) and places it.
    pub fn drag(&mut self, to: Point) {
        if to.is_finite() {
            self.seek.put(to);
            self.place();
        }
    }

    /// The active mark is on its cross: the others are predicted, and the one furthest from those placed is next. When
    /// all are placed, Tab goes round.
    pub fn place(&mut self) {
        self.seek.place();
        if self.seek.all_placed() {
            self.seek.go_on();
            return;
        }
        if let Some(predicted) = self.predicted() {
            self.seek.foresee(predicted);
        }
        if let Some(next) = self.widest_next() {
            // It is one of the marks.
            drop(self.seek.choose(next));
        }
    }

    /// The mark that spans most together with the placed ones: four so chosen are never in line. Two span a length,
    /// three or more an area, which is the larger number wherever marks make sense.
    fn widest_next(&self) -> Option<usize> {
        let placed: Vec<Point> = self.found().iter().map(|(_, pick)| *pick).collect();
        let span = |mark: &usize| {
            let mut points = placed.clone();
            points.push(self.picks()[*mark]);
            area(&hull(&points)).max(extent(&points))
        };
        (0..self.picks().len())
            .filter(|&mark| !self.seek.is_placed(mark))
            .max_by(|a, b| span(a).total_cmp(&span(b)))
    }

    /// Where the placed marks say that all of them are, and how sure that is across and along, in px.
    fn predicted(&self) -> Option<Vec<(Point, Vec2)>> {
        let places: Vec<Point> = self.before.marks().iter().map(|mark| mark.surface).collect();
        let full = (self.count_placed() >= MARKS_ENOUGH).then(|| self.aim().ok()).flatten();
        if let Some(aim) = full {
            let sigma = Vec2::new(1.0, 1.0) * aim.pick_sigma_px();
            return places.into_iter().map(|place| Some((aim.picture_of(place)?, sigma))).collect();
        }
        let foreseen = Bump::of(&self.before).foreseen(&self.found(), Shift::Small, &places)?;
        Some(foreseen.into_iter().map(|(lit, sigma)| (self.before.bent(lit), sigma)).collect())
    }

    /// The placed marks: place on the surface, and pick as a straight lens would have it.
    fn found(&self) -> Vec<(Point, Point)> {
        let found = self.seek.placed().map(|mark| (self.before.marks()[mark].surface, self.picks()[mark]));
        found.map(|(place, pick)| (place, self.before.straightened(pick))).collect()
    }

    /// The measurement as it stands: placed marks with their picks, the others marked as predicted by a turn of the
    /// projector alone.
    #[must_use]
    pub fn measured(&self) -> Measured {
        let mut measured = self.before.measured();
        // A grid needs all its marks again.
        measured.residual_grid &= self.seek.all_placed();
        let turned = Bump::of(&self.before).repaired(&self.found(), Shift::None);
        let marks = measured.marks.iter_mut().zip(self.before.marks());
        for (index, (mark, before)) in marks.enumerate() {
            let guess = turned.and_then(|map| map.map(before.surface));
            let guess = guess.map(|ideal| self.before.bent(ideal));
            let placed = self.seek.is_placed(index);
            *mark = MeasuredMark {
                picture: if placed { self.picks()[index] } else { guess.unwrap_or(self.picks()[index]) }
                    .into(),
                is_predicted: !placed,
                ..*mark
            };
        }
        measured
    }

    /// The aim as it stands: of four marks or more a full one, of two or three a provisional one
    /// ([`Aim::is_provisional`]).
    ///
    /// # Errors
    /// [`AimError::TooFewMarksFound`] before two marks are placed; what [`Aim::solve`] refuses.
    pub fn aim(&self) -> Result<Aim, AimError> {
        let count = self.count_placed();
        if count < MARKS_PROVISIONAL {
            return Err(AimError::TooFewMarksFound { count });
        }
        Aim::solve(&self.measured())
    }

    /// How far a mark was moved from where the aim had it, in px.
    #[must_use]
    pub fn travel(&self, mark: usize) -> Option<Vec2> {
        Some(*self.picks().get(mark)? - self.before.marks().get(mark)?.picture)
    }
}
