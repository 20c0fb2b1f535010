//! From what was measured to an aim.
//!
//! In this order, so that each step may lean on the one before: numbers, spread of the picks, places (given, or
//! from rigid tapes), spread of the places, order, a direct homography, and the joint refinement of map and
//! places. Given places are taken as exact; a tape between two of them is a check.

use super::error::{AimError, Plane};
use super::frame::Frame;
use super::layout::{check_readings, lay_out};
use super::lens::bent;
use super::measured::Measured;
use super::order::{check_order, check_spread, extent, upright};
use super::outliers::{Outlier, find_outliers, leaving_out};
use super::readings::decide;
use super::refine::{Guess, LensPrior, Survey};
use super::rigid::check_rigid;
use super::suspects::{Suspect, suspects};
use super::{HomographyError, dlt};
use crate::geometry::Point;

/// A mark further from its pick than this part of the marks' extent in the picture is refused.
const MARK_OFF_PART: f64 = 0.03;

/// The map and the places that fit a measurement best.
pub(super) struct Solved {
    /// What was read; marks whose places came from tapes count as sought.
    pub(super) survey: Survey,
    /// The map and all marks' places.
    pub(super) guess: Guess,
    /// Tape readings that may be wrong, the likeliest first.
    pub(super) suspects: Vec<Suspect>,
    /// Marks that fit the others worse than chance lets them, the worst first.
    pub(super) outliers: Vec<Outlier>,
    /// Whether some of the marks it rests on are predicted, not picked.
    pub(super) is_provisional: bool,
}

/// Solves a measurement.
pub(super) fn solve(measured: &Measured) -> Result<Solved, AimError> {
    measured.check()?;
    let (picks, given) = (measured.picks(), measured.places());
    let seen = upright(&picks);
    check_spread(&picks, Plane::Picture)?;
    let known: Option<Vec<Point>> = given.iter().copied().collect();
    if known.is_none() {
        let is_given: Vec<bool> = given.iter().map(Option::is_some).collect();
        check_rigid(&seen, &is_given, &measured.tapes)?;
    }
    let (readings, named) = decide(measured, &seen, &given)?;
    let places = match known {
        Some(places) => {
            check_readings(&places, &given, &readings)?;
            places
        }
        None => lay_out(&seen, &given, &readings)?,
    };
    check_spread(&places, Plane::Surface)?;
    check_order(&seen, &places)?;
    let picked: Vec<Point> =
        measured.marks.iter().filter(|mark| !mark.is_predicted).map(|mark| mark.picture.into()).collect();
    let is_provisional = check_spread(&picked, Plane::Picture).is_err();
    let counted = measured.marks.iter().map(|mark| is_provisional || !mark.is_predicted).collect();
    let (picture, surface) = (Frame::around(&picks), Frame::around(&places));
    let ideal: Vec<Point> =
        picks.iter().map(|&pick| measured.lens.map_or(pick, |lens| lens.undistort(pick))).collect();
    let map = dlt::direct(&ideal, &places, picture, surface).ok_or(HomographyError::Degenerate)?;
    let mut survey = Survey {
        picks,
        pick_sigma_px: measured.pick_sigma_px,
        counted,
        lens_prior: None,
        sought: given.iter().map(Option::is_none).collect(),
        tapes: readings,
        picture,
        surface,
    };
    let start = Guess { map, places, lens: measured.lens };
    let (mut guess, _) = survey.refined(start).ok_or(HomographyError::Degenerate)?;
    let mut outliers = Vec::new();
    if !is_provisional {
        outliers = find_outliers(&survey, &guess);
        if let Some((seeking, bent, off)) = with_lens(&survey, &guess, &outliers, measured.picture_size) {
            (survey, guess, outliers) = (seeking, bent, off);
        }
    }
    if let Some(lens) = guess.lens {
        lens.check(measured.picture_size)?;
    }
    let linear = survey.linearise(&guess).ok_or(HomographyError::Degenerate)?;
    let off_px: Vec<f64> = (0..survey.picks.len())
        .map(|mark| linear.residuals.rows(2 * mark, 2).norm() * measured.pick_sigma_px)
        .collect();
    let worst = (0..off_px.len()).max_by(|&a, &b| off_px[a].total_cmp(&off_px[b]));
    if let Some(mark) = worst
        && off_px[mark] > MARK_OFF_PART * extent(&survey.picks)
    {
        // Rough on purpose: such a mark is off by far more than perspective changes the scale.
        let mm_per_px = extent(&guess.places) / extent(&survey.picks);
        return Err(AimError::MarkOff { mark, residual_mm: off_px[mark] * mm_per_px });
    }
    check_readings(&guess.places, &given, &survey.tapes)?;
    let loose: Vec<bool> = measured.marks.iter().map(|mark| !mark.is_certain()).collect();
    let certain: Vec<bool> = loose.iter().map(|loose| !loose).collect();
    if check_rigid(&seen, &certain, &measured.tapes).is_ok() {
        survey.sought = loose;
    }
    let suspects = if named.is_empty() { suspects(&survey, &guess) } else { named };
    Ok(Solved { survey, guess, suspects, outliers, is_provisional })
}

/// The survey with a lens, where one pays. A bent lens looks like marks that are off, and a mark that is off like a
/// bent lens: the lens is believed when it leaves fewer marks off than a straight one, or when it pays without those
/// that are. Then it is fitted to all marks, since none is dropped.
fn with_lens(
    survey: &Survey,
    straight: &Guess,
    outliers: &[Outlier],
    picture_size: (u32, u32),
) -> Option<(Survey, Guess, Vec<Outlier>)> {
    if let Some((seeking, found)) = bent(survey, straight, picture_size) {
        let off = find_outliers(&seeking, &found);
        if off.is_empty() || off.len() < outliers.len() {
            return Some((seeking, found, off));
        }
    }
    let (_, found) = bent(&leaving_out(survey, outliers), straight, picture_size)?;
    let mut seeking = survey.clone();
    seeking.lens_prior = Some(LensPrior::about(picture_size));
    let (found, _) = seeking.refined(found)?;
    let off = find_outliers(&seeking, &found);
    Some((seeking, found, off))
}
