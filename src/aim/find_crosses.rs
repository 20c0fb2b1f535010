//! Finding a cloth's crosses again after it was moved, by keys or the mouse: the first tells the shift, the second
//! the turn, and from then on each is lit where it must be.

use super::AimError;
use super::measured::Measured;
use super::motion::Motion;
use super::nudge::Nudger;
use super::register::{Cross, Registration};
use super::seek::Seek;
use super::solution::Aim;
use super::stand_error::StandError;
use crate::geometry::{Point, Vec2};

/// How far a cloth that was laid by hand is turned from where it should lie, 1σ, in radians: two degrees.
const HAND_TURN: f64 = 0.035;
/// Marks that make an aim.
const MARKS_LEAST: usize = 4;
/// What is left of a cross's place once two of them are found, 1σ, in px: creases and chalk.
const FOUND_PX: f64 = 2.0;

/// The state of a search for crosses.
#[derive(Debug, Clone, PartialEq)]
pub struct FindCrosses {
    aim: Aim,
    crosses: Vec<Cross>,
    planned: Motion,
    seek: Seek,
}

impl FindCrosses {
    /// Begins with the crosses lit where they would be if the cloth lay as planned.
    ///
    /// # Errors
    /// [`StandError::TooFewCrosses`]; [`StandError::OutOfLight`] for a cross that would not be lit.
    pub fn of(aim: &Aim, crosses: Vec<Cross>, planned: Motion) -> Result<Self, StandError> {
        if crosses.len() < 2 {
            return Err(StandError::TooFewCrosses { count: crosses.len() });
        }
        let lit = |(cross, at): (usize, &Cross)| {
            let place = planned.apply(at.cloth);
            aim.picture_of_cloth(place).ok_or(StandError::OutOfLight { cross })
        };
        let picks = crosses.iter().enumerate().map(lit).collect::<Result<Vec<_>, _>>()?;
        let seek = Seek::of(picks, Nudger::coarse());
        Ok(Self { aim: aim.clone(), crosses, planned, seek })
    }

    /// Where the crosses are lit, and which is being moved.
    #[must_use]
    pub const fn seek(&self) -> &Seek {
        &self.seek
    }

    /// The same, to move one.
    pub const fn seek_mut(&mut self) -> &mut Seek {
        &mut self.seek
    }

    /// The active cross is found: the others are foreseen, and the furthest from those found is next.
    pub fn place(&mut self) {
        self.seek.place();
        if let Some(motion) = self.motion() {
            let foreseen: Vec<(Point, Vec2)> =
                (0..self.crosses.len()).filter_map(|cross| self.foreseen(&motion, cross)).collect();
            if foreseen.len() == self.crosses.len() {
                self.seek.foresee(foreseen);
            }
        }
        let found: Vec<Point> = self.seek.placed().map(|cross| self.crosses[cross].cloth).collect();
        let span = |cross: &usize| {
            let gaps = found.iter().map(|other| other.distance(self.crosses[*cross].cloth));
            gaps.fold(f64::INFINITY, f64::min)
        };
        let left = (0..self.crosses.len()).filter(|&cross| !self.seek.is_placed(cross));
        match left.max_by(|a, b| span(a).total_cmp(&span(b))) {
            // It is one of the crosses.
            Some(next) => drop(self.seek.choose(next)),
            None => self.seek.go_on(),
        }
    }

    /// Chooses a cross to be moved.
    ///
    /// # Errors
    /// [`AimError::UnknownMark`].
    pub fn choose(&mut self, cross: usize) -> Result<(), AimError> {
        self.seek.choose(cross)
    }

    /// How the cloth lies by the crosses found so far: of one the shift, of two or more the turn too.
    fn motion(&self) -> Option<Motion> {
        let found: Vec<usize> = self.seek.placed().collect();
        let cloth: Vec<Point> = found.iter().map(|&cross| self.crosses[cross].cloth).collect();
        let surface: Vec<Point> = found
            .iter()
            .map(|&cross| self.aim.top_of_cloth(self.seek.picks()[cross]).map(|(place, _)| place))
            .collect::<Option<_>>()?;
        match (cloth.as_slice(), surface.as_slice()) {
            ([cloth], [surface]) => Some(Motion::taking(*cloth, *surface, self.planned.turn)),
            _ => Motion::best(&cloth, &surface, &vec![1.0; cloth.len()]).map(|(motion, _)| motion),
        }
    }

    /// Where a cross is lit when the cloth lies so, and how sure that is across and along, in px.
    fn foreseen(&self, motion: &Motion, cross: usize) -> Option<(Point, Vec2)> {
        let place = motion.apply(self.crosses[cross].cloth);
        let lit = self.aim.picture_of_cloth(place)?;
        let found: Vec<usize> = self.seek.placed().collect();
        let [only] = found.as_slice() else {
            return Some((lit, Vec2::new(FOUND_PX, FOUND_PX)));
        };
        // A turn about the one that is found moves it sideways.
        let arm = lit - self.seek.picks()[*only];
        let sideways = HAND_TURN * Vec2::new(arm.y.abs(), arm.x.abs());
        Some((lit, sideways + Vec2::new(FOUND_PX, FOUND_PX)))
    }

    /// What to solve when the projector was moved and the cloth stayed, lying as `surface_from_cloth` says: the crosses
    /// found are the marks of the new aim, and four or more are needed.
    ///
    /// # Errors
    /// [`StandError::TooFewForAim`], counted among those found.
    pub fn measured_from_there(&self, surface_from_cloth: &Motion) -> Result<Measured, StandError> {
        let found: Vec<usize> = self.seek.placed().collect();
        if found.len() < MARKS_LEAST {
            return Err(StandError::TooFewForAim { count: found.len(), least: MARKS_LEAST });
        }
        let crosses: Vec<Cross> = found.iter().map(|&cross| self.crosses[cross]).collect();
        let picks: Vec<Point> = found.iter().map(|&cross| self.seek.picks()[cross]).collect();
        self.aim.measured_by_crosses(&crosses, surface_from_cloth, &picks)
    }

    /// How the cloth lies, by the crosses found; `stretch_mm` as in [`Aim::register`]. In its errors crosses are
    /// counted among those that were found.
    ///
    /// # Errors
    /// As [`Aim::register`].
    pub fn registration(&self, stretch_mm: f64) -> Result<Registration, StandError> {
        let found: Vec<usize> = self.seek.placed().collect();
        let crosses: Vec<Cross> = found.iter().map(|&cross| self.crosses[cross]).collect();
        let picks: Vec<Point> = found.iter().map(|&cross| self.seek.picks()[cross]).collect();
        self.aim.register(&crosses, &picks, stretch_mm)
    }
}
