//! From what was measured to an aim.
//!
//! In this order, so that each step may lean on the one before: numbers, spread of the picks, places (given, or
//! from rigid tapes), spread of the places, order, a direct homography, and the joint refinement of map and
//! places. Given places are taken as exact; a tape between two of them is a check.

use super::error::{AimError, Plane};
use super::frame::Frame;
use super::layout::{check_readings, lay_out, readings};
use super::measured::Measured;
use super::order::{check_order, check_spread, extent, upright};
use super::refine::{Guess, Reading, Survey};
use super::rigid::check_rigid;
use super::{HomographyError, dlt};
use crate::geometry::Point;
use glam::DMat3;

/// Standard deviation of a pick in x and in y: half a pixel, what nudging by arrow keys reaches.
const PICK_SIGMA_PX: f64 = 0.5;
/// Standard deviation of a tape reading, in mm.
const TAPE_SIGMA_MM: f64 = 1.0;
/// A mark further from its pick than this part of the marks' extent in the picture is refused.
const MARK_OFF_PART: f64 = 0.03;

/// The map and the places that fit a measurement best.
pub(super) struct Solved {
    /// Surface mm to picture px, with w = 1 at the marks' centroid.
    pub(super) picture_from_surface: DMat3,
    /// All marks' places in mm.
    pub(super) places: Vec<Point>,
    /// Tapes as they were used.
    pub(super) readings: Vec<Reading>,
}

/// Solves a measurement.
pub(super) fn solve(measured: &Measured) -> Result<Solved, AimError> {
    measured.check()?;
    let (picks, given) = (measured.picks(), measured.places());
    let seen = upright(&picks);
    check_spread(&picks, Plane::Picture)?;
    let readings = readings(&measured.tapes, TAPE_SIGMA_MM);
    let known: Option<Vec<Point>> = given.iter().copied().collect();
    let places = match known {
        Some(places) => {
            check_readings(&places, &given, &readings)?;
            places
        }
        None => {
            let is_given: Vec<bool> = given.iter().map(Option::is_some).collect();
            check_rigid(&seen, &is_given, &measured.tapes)?;
            lay_out(&seen, &given, &readings)?
        }
    };
    check_spread(&places, Plane::Surface)?;
    check_order(&seen, &places)?;
    let (picture, surface) = (Frame::around(&picks), Frame::around(&places));
    let map = dlt::direct(&picks, &places, picture, surface).ok_or(HomographyError::Degenerate)?;
    let survey = Survey {
        picks,
        pick_sigma_px: PICK_SIGMA_PX,
        sought: given.iter().map(Option::is_none).collect(),
        tapes: readings,
        picture,
        surface,
    };
    let start = Guess { map, places };
    let (guess, linear) = survey.refined(start).ok_or(HomographyError::Degenerate)?;
    let off_px: Vec<f64> = (0..survey.picks.len())
        .map(|mark| linear.residuals.rows(2 * mark, 2).norm() * PICK_SIGMA_PX)
        .collect();
    let worst = (0..off_px.len()).max_by(|&a, &b| off_px[a].total_cmp(&off_px[b]));
    if let Some(mark) = worst
        && off_px[mark] > MARK_OFF_PART * extent(&survey.picks)
    {
        // Rough on purpose: such a mark is off by far more than perspective changes the scale.
        let mm_per_px = extent(&guess.places) / extent(&survey.picks);
        return Err(AimError::MarkOff {
            mark,
            residual_mm: off_px[mark] * mm_per_px,
        });
    }
    check_readings(&guess.places, &given, &survey.tapes)?;
    Ok(Solved {
        picture_from_surface: survey.matrix(&guess),
        places: guess.places,
        readings: survey.tapes,
    })
}
