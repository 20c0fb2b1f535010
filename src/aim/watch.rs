//! Whether the projector moved since it was aimed: two marks picked again now and then.
//!
//! Two, far apart and away from the middle: a tenth of a degree of pitch or yaw moves every mark by some 4 px, but a
//! roll about the middle is seen only away from it. A pick of σ in x and in y, made twice, differs by σ·√2 in each; at
//! three times that (2.1 px for half a px) chance speaks up once in fifty looks.

use super::error::AimError;
use super::nudge::Nudger;
use super::seek::Seek;
use super::solution::Aim;
use crate::geometry::{Point, Vec2};
use std::fmt;

/// How many standard deviations of a repeated pick count as a move.
const SIGMAS: f64 = 3.0;
/// Check marks are at least this part of the picture's half diagonal from its middle, where there are such.
const OFF_CENTRE_PART: f64 = 0.4;

/// What two check marks say.
#[derive(Debug, Clone, PartialEq)]
pub struct Watch {
    /// How far each mark moved in the picture, from its pick in the aim to the pick now.
    pub travels: Vec<Travel>,
    /// The limit, in px.
    pub tolerance_px: f64,
}

/// How far one mark moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Travel {
    /// The mark, numbered from 0.
    pub mark: usize,
    /// How far in the picture, in px.
    pub px: Vec2,
    /// How far that is on the surface, in mm.
    pub mm: f64,
}

impl Watch {
    /// Whether any mark moved by more than the limit.
    #[must_use]
    pub fn has_moved(&self) -> bool {
        self.worst().is_some_and(|travel| travel.px.hypot() > self.tolerance_px)
    }

    /// The mark that moved most.
    #[must_use]
    pub fn worst(&self) -> Option<Travel> {
        let by_travel = |a: &&Travel, b: &&Travel| a.px.hypot().total_cmp(&b.px.hypot());
        self.travels.iter().max_by(by_travel).copied()
    }
}

impl fmt::Display for Watch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Some(worst) = self.worst() else {
            return f.write_str("no mark was looked at");
        };
        let (mark, px, mm) = (worst.mark + 1, worst.px.hypot(), worst.mm);
        if self.has_moved() {
            write!(
                f,
                "it moved: mark {mark} is {px:.1} px ({mm:.1} mm) from where it was, and up to {:.1} px can be chance; \
                 bring the marks back onto their crosses before the next cut",
                self.tolerance_px
            )
        } else {
            write!(f, "it has not moved: mark {mark} is within {px:.1} px ({mm:.1} mm) of where it was")
        }
    }
}

impl Aim {
    /// The two marks to look at: off the middle where there are such, and as far apart as can be. `None` for an aim
    /// with fewer than two marks.
    #[must_use]
    pub fn check_marks(&self) -> Option<[usize; 2]> {
        let marks = self.marks();
        let (width, height) = self.picture_size();
        let middle = Point::new(f64::from(width) / 2.0, f64::from(height) / 2.0);
        let reach = OFF_CENTRE_PART * middle.to_vec2().hypot();
        let off_centre = |mark: usize| marks[mark].picture.distance(middle) >= reach;
        let apart = |&(a, b): &(usize, usize)| marks[a].picture.distance(marks[b].picture);
        let pairs = (0..marks.len()).flat_map(|a| (a + 1..marks.len()).map(move |b| (a, b)));
        // Both off the middle goes before far apart.
        let (a, b) = pairs.max_by(|one, other| {
            let off = |&(a, b): &(usize, usize)| off_centre(a) && off_centre(b);
            off(one).cmp(&off(other)).then(apart(one).total_cmp(&apart(other)))
        })?;
        Some([a, b])
    }

    /// Compares marks picked again (px) with the aim; `tolerance_px` is the limit, or `None` for three standard
    /// deviations of a repeated pick (2.1 px for picks of half a px).
    ///
    /// # Errors
    /// [`AimError::UnknownMark`]; [`AimError::MarkOutOfReach`] for a pick that is no place.
    pub fn moved(&self, picks: &[(usize, Point)], tolerance_px: Option<f64>) -> Result<Watch, AimError> {
        let count = self.marks().len();
        let mut travels = Vec::new();
        for &(mark, pick) in picks {
            let known = self.marks().get(mark).ok_or(AimError::UnknownMark { mark, count })?;
            super::measured::check_pick(mark, pick)?;
            let px = pick - known.picture;
            let lands = |place: Point| self.surface_of(place);
            let mm = match (lands(pick), lands(known.picture)) {
                (Some(now), Some(then)) => now.distance(then),
                // So far out that it lights nothing: what a px covers near the mark tells the size.
                _ => px.hypot() * self.pixel_pitch_at(known.picture).unwrap_or(0.0),
            };
            travels.push(Travel { mark, px, mm });
        }
        let chance = SIGMAS * std::f64::consts::SQRT_2 * self.pick_sigma_px();
        Ok(Watch { travels, tolerance_px: tolerance_px.unwrap_or(chance) })
    }
}

/// Two marks being looked at again, to see whether the projector moved.
#[derive(Debug, Clone, PartialEq)]
pub struct LookAgain {
    aim: Aim,
    marks: [usize; 2],
    seek: Seek,
}

impl LookAgain {
    /// Begins with the two marks lit where the aim has them; `None` for an aim with fewer than two marks.
    #[must_use]
    pub fn at(aim: &Aim) -> Option<Self> {
        let marks = aim.check_marks()?;
        let picks = marks.map(|mark| aim.marks()[mark].picture).to_vec();
        // Most often nothing moved, and when it did, by some px.
        let seek = Seek::of(picks, Nudger::within(Vec2::new(4.0, 4.0)));
        Some(Self { aim: aim.clone(), marks, seek })
    }

    /// Numbers of the two marks in the aim, from 0.
    #[must_use]
    pub const fn marks(&self) -> [usize; 2] {
        self.marks
    }

    /// Where their light is now.
    #[must_use]
    pub const fn seek(&self) -> &Seek {
        &self.seek
    }

    /// The same, to move one.
    pub const fn seek_mut(&mut self) -> &mut Seek {
        &mut self.seek
    }

    /// The active mark's light is on its cross; the other is next.
    pub fn place(&mut self) {
        self.seek.place();
        self.seek.go_on();
    }

    /// What the two say, a mark that was not touched counting as on its cross.
    ///
    /// # Errors
    /// As [`Aim::moved`].
    pub fn watch(&self, tolerance_px: Option<f64>) -> Result<Watch, AimError> {
        let picks = [0, 1].map(|index| (self.marks[index], self.seek.picks()[index]));
        self.aim.moved(&picks, tolerance_px)
    }
}
