//! A lens that does not draw straight lines straight: one radial coefficient about a centre.
//!
//! What the map alone would light at u is lit at d = c + (u − c)·(1 + k·r²), r = |u − c|/reach: pincushion for k > 0,
//! barrel for k < 0. A lens with an offset has its centre near the picture's edge or beyond it, so the centre's height
//! is sought with k, both under weak priors. A second coefficient made every simulated case worse.
//!
//! It is fitted only when it pays: k costs a good lens 0.63 → 0.80 mm with nine marks. The sums of squares without and
//! with it are compared by an F-test at one chance in five hundred; for two numbers more that F's limit has a closed
//! form, ν/2·(α^(−2/ν) − 1). The standard deviations given count like ten further readings, so that few marks which
//! happen to fit well decide nothing.
//!
//! Picture px. To draw with it: map to the picture, then [`Lens::distort`] every vertex of lines cut so short that
//! their chord is true to 0.1 px. Source of the model: Brown, Close-range camera calibration (1971).

use super::error::AimError;
use super::frame::Frame;
use super::refine::{Guess, LensPrior, Survey};
use crate::geometry::{Point, Vec2};
use glam::{DMat2, DVec2};
use serde::{Deserialize, Serialize};

/// Least marks for a fit: with six there are two readings to spare.
const MARKS_LEAST: usize = 6;
/// Chance of taking a good lens for a bent one.
const CHANCE: f64 = 0.002;
/// Readings that the given standard deviations count for.
const READINGS_GIVEN: f64 = 10.0;
/// Largest k·r² of a lens that is believed, times 3: beyond 1 it would fold the picture over.
const FOLD_PART: f64 = 0.6;
/// The largest part by which light is moved: beyond the picture of a lens that is believed it grows no further, or what
/// lies far outside would be folded back into the picture.
const MOST_PART: f64 = FOLD_PART / 3.0;
/// Rounds of Newton's method for the way back; each doubles the digits.
const ROUNDS: usize = 12;

/// A lens's radial distortion.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lens {
    /// k: part of the distance by which light at `reach_px` from the centre is displaced outwards.
    pub radial: f64,
    /// The centre c in the picture, in px.
    pub centre_px: (f64, f64),
    /// The distance that k is for, in px.
    pub reach_px: f64,
}

impl Lens {
    /// The largest part of the distance from the centre by which light is moved, far outside the picture.
    pub const MOST_PART: f64 = MOST_PART;

    /// A perfect lens, its centre in the middle of the picture, k counted at the picture's corner.
    #[must_use]
    pub fn straight(picture_size: (u32, u32)) -> Self {
        let (x, y) = (f64::from(picture_size.0) / 2.0, f64::from(picture_size.1) / 2.0);
        Self { radial: 0.0, centre_px: (x, y), reach_px: x.hypot(y) }
    }

    /// Where light goes that a straight lens would throw at `ideal`, px.
    #[must_use]
    pub fn distort(&self, ideal: Point) -> Point {
        let arm = ideal - Point::from(self.centre_px);
        Point::from(self.centre_px) + arm * (1.0 + self.part(arm).clamp(-MOST_PART, MOST_PART))
    }

    /// The way back: where a straight lens would throw what is lit at `lit`, px.
    #[must_use]
    pub fn undistort(&self, lit: Point) -> Point {
        let arm = lit - Point::from(self.centre_px);
        let wanted = arm.hypot();
        if wanted == 0.0 || self.radial == 0.0 {
            return lit;
        }
        let k = self.radial / (self.reach_px * self.reach_px);
        let most = 1.0 + MOST_PART.copysign(k);
        if (wanted / most).powi(2) * k.abs() > MOST_PART {
            return Point::from(self.centre_px) + arm / most;
        }
        let mut radius = wanted;
        for _ in 0..ROUNDS {
            radius -= (radius + k * radius.powi(3) - wanted) / (1.0 + 3.0 * k * radius * radius);
        }
        Point::from(self.centre_px) + arm * (radius / wanted)
    }

    /// Derivative of [`Self::distort`]: columns are the travel of the light per px across and down.
    #[must_use]
    pub fn jacobian(&self, ideal: Point) -> DMat2 {
        let arm = ideal - Point::from(self.centre_px);
        let arm_g = DVec2::new(arm.x, arm.y);
        let part = self.part(arm);
        if part.abs() > MOST_PART {
            return DMat2::from_diagonal(DVec2::splat(1.0 + MOST_PART.copysign(part)));
        }
        let k = 2.0 * self.radial / (self.reach_px * self.reach_px);
        DMat2::from_diagonal(DVec2::splat(1.0 + part))
            + DMat2::from_cols(arm_g * (k * arm.x), arm_g * (k * arm.y))
    }

    /// How the light moves by k, and by the height of the centre.
    pub(super) fn changes(&self, ideal: Point) -> [DVec2; 2] {
        let arm = ideal - Point::from(self.centre_px);
        let by_radial = arm * (arm.hypot2() / (self.reach_px * self.reach_px));
        let by_centre = (DMat2::IDENTITY - self.jacobian(ideal)).y_axis;
        [DVec2::new(by_radial.x, by_radial.y), by_centre]
    }

    /// k·r² of an arm from the centre.
    fn part(&self, arm: Vec2) -> f64 {
        self.radial * arm.hypot2() / (self.reach_px * self.reach_px)
    }

    /// The same lens in a frame of the picture.
    pub(super) fn framed(&self, frame: Frame) -> Self {
        Self {
            centre_px: frame.enter(self.centre_px.into()).into(),
            reach_px: self.reach_px * frame.scale,
            ..*self
        }
    }

    /// Refuses numbers that are none, and a lens that folds the picture.
    pub(super) fn check(&self, picture_size: (u32, u32)) -> Result<(), AimError> {
        let (w, h) = (f64::from(picture_size.0), f64::from(picture_size.1));
        let corners = [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)].map(Point::from);
        let folds = |corner: &Point| {
            let part = 3.0 * self.part(*corner - Point::from(self.centre_px)).abs();
            part.is_nan() || part > FOLD_PART
        };
        let known = self.reach_px > 0.0 && self.reach_px.is_finite();
        if known && !corners.iter().any(folds) {
            Ok(())
        } else {
            Err(AimError::Lens { radial: self.radial, reach_px: self.reach_px })
        }
    }
}

/// Where F with 2 and `spare` degrees of freedom lies with one chance in 1/`chance` beyond it.
pub(super) fn f_limit(spare: f64, chance: f64) -> f64 {
    spare / 2.0 * (chance.powf(-2.0 / spare) - 1.0)
}

/// F of two numbers more: sums of squares without and with them, and readings to spare with them.
pub(super) fn f_of_two(without: f64, with: f64, spare: f64) -> (f64, f64) {
    let pooled = spare + READINGS_GIVEN;
    let variance = (with + READINGS_GIVEN) / pooled;
    ((without - with) / 2.0 / variance, pooled)
}

/// The survey and its solution with a lens, when one pays.
pub(super) fn bent(survey: &Survey, guess: &Guess, picture_size: (u32, u32)) -> Option<(Survey, Guess)> {
    if survey.count_picked() < MARKS_LEAST || guess.lens.is_some() {
        return None;
    }
    let (straight, linear) = survey.refined(guess.clone())?;
    let without = linear.residuals.norm_squared();
    let lens = Lens::straight(picture_size);
    let mut seeking = survey.clone();
    seeking.lens_prior = Some(LensPrior::about(picture_size));
    let start = Guess { lens: Some(lens), ..straight };
    let (found, linear) = seeking.refined(start)?;
    let with = seeking.misfit(&linear);
    let spare = seeking.spare(&linear);
    let (f, pooled) = f_of_two(without, with, spare);
    let pays = spare > 0.0 && f > f_limit(pooled, CHANCE);
    let usable = found.lens.is_some_and(|lens| lens.check(picture_size).is_ok());
    (pays && usable).then_some((seeking, found))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn offset() -> Lens {
        Lens { radial: 0.02, centre_px: (960.0, 1080.0), reach_px: 1101.5 }
    }

    #[test]
    fn the_way_back_is_the_way_back() {
        for radial in [0.02, -0.02] {
            let lens = Lens { radial, ..offset() };
            for (x, y) in (0..99).map(|index| (f64::from(index % 11) * 192.0, f64::from(index / 11) * 135.0))
            {
                let place = Point::new(x, y);
                assert!(lens.undistort(lens.distort(place)).distance(place) < 1e-9);
            }
        }
        assert_eq!(offset().undistort(Point::new(960.0, 1080.0)), Point::new(960.0, 1080.0));
    }

    #[test]
    fn the_derivative_is_the_difference_quotient() {
        let (lens, at, step) = (offset(), Point::new(1500.0, 200.0), 1e-3);
        let jacobian = lens.jacobian(at);
        for (column, way) in
            [(jacobian.x_axis, Vec2::new(step, 0.0)), (jacobian.y_axis, Vec2::new(0.0, step))]
        {
            let quotient = (lens.distort(at + way) - lens.distort(at - way)) / (2.0 * step);
            assert!((quotient.x - column.x).hypot(quotient.y - column.y) < 1e-8);
        }
    }

    #[test]
    fn what_is_far_outside_stays_outside_and_finds_its_way_back() {
        for radial in [0.02, -0.02] {
            let lens = Lens { radial, ..offset() };
            let mut before = 0.0;
            for step in 0..60_u8 {
                let away = 200.0 * f64::from(step);
                let place = Point::new(960.0 + away, 1080.0);
                let lit = lens.distort(place);
                assert!(lit.x - 960.0 >= before, "{radial}: folded back at {away}");
                assert!(lens.undistort(lit).distance(place) < 1e-6, "{radial}: {away}");
                before = lit.x - 960.0;
            }
        }
    }

    #[test]
    fn a_lens_that_folds_the_picture_is_refused() {
        assert!(offset().check((1920, 1080)).is_ok());
        for radial in [0.3, -0.3, f64::NAN] {
            assert!(Lens { radial, ..offset() }.check((1920, 1080)).is_err());
        }
        assert!(Lens { reach_px: 0.0, ..offset() }.check((1920, 1080)).is_err());
    }

    /// Table values (from memory): F(2, 22) 5.72 and F(2, 60) 4.98 at 1 %, F(2, 10) 4.10 at 5 %.
    #[test]
    fn the_limit_of_f_is_the_tables() {
        assert!((f_limit(22.0, 0.01) - 5.72).abs() < 0.01);
        assert!((f_limit(60.0, 0.01) - 4.98).abs() < 0.01);
        assert!((f_limit(10.0, 0.05) - 4.10).abs() < 0.01);
    }
}
