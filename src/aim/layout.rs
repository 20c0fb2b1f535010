//! Where the marks are on the surface, from tapes.
//!
//! From a first layout all readings are adjusted at once by least squares with inner constraints (`refine`,
//! without the picture).
//!
//! A layout of which no place is given has its origin at the marks' centroid, and is turned so that it lies as the
//! picture shows it: x along the picture's horizontal and y up it, as nearly as perspective lets both be. The
//! centroid is in front of the lens whenever the marks are. With one place given the layout is turned about it.
//! Tapes do not tell a shape from its mirror image: the picture does.

use super::AimError;
use super::first_layout::{Table, first_layout, likeness};
use super::frame::Frame;
use super::order::centroid;
use super::refine::{Guess, Reading, Survey};
use super::suspects::suspects;
use crate::geometry::{Point, Vec2};

/// A tape may be off by this much, in mm, before the readings are refused: what is smaller is for the residuals to
/// show, what is larger is a slip.
const SLIP_MM: f64 = 10.0;
/// The same as part of the reading, where that is more.
const SLIP_PART: f64 = 0.01;

/// Largest misfit of a reading that is taken, in mm.
pub(super) fn slip(mm: f64) -> f64 {
    (SLIP_PART * mm).max(SLIP_MM)
}

/// Places of all marks in mm. `upright` are the picks with y turned up; the tapes must be rigid.
///
/// # Errors
/// [`AimError::BrokenTriangle`], [`AimError::TapesDisagree`], [`AimError::TapeAgainstPlaces`].
pub(super) fn lay_out(
    upright: &[Point],
    given: &[Option<Point>],
    tapes: &[Reading],
) -> Result<Vec<Point>, AimError> {
    let table = Table::new(upright.len(), tapes, given);
    table.check_triangles()?;
    let mut places = best_fit(upright, given, tapes, &table);
    if given.iter().flatten().count() < 2 {
        places = turned_as_seen(upright, given, places);
    }
    check_readings(&places, given, tapes)?;
    Ok(places)
}

/// The places that fit the tapes best, somewhere on the plane.
fn best_fit(upright: &[Point], given: &[Option<Point>], tapes: &[Reading], table: &Table) -> Vec<Point> {
    let built = adjusted(first_layout(upright, given, table), given, tapes);
    let worst = |places: &[Point]| {
        tapes.iter().map(|tape| tape.residual(places).abs() / slip(tape.mm)).fold(0.0, f64::max)
    };
    if worst(&built) <= 1.0 {
        return built;
    }
    // Building mark by mark carries one bad reading on; the picture's likeness starts free of them.
    let likened = adjusted(likeness(upright, given, tapes), given, tapes);
    if worst(&likened) < worst(&built) { likened } else { built }
}

/// The sum of squares that the best fit leaves, each residual over its standard deviation.
pub(super) fn adjusted_cost(upright: &[Point], given: &[Option<Point>], tapes: &[Reading]) -> f64 {
    let known: Option<Vec<Point>> = given.iter().copied().collect();
    let places =
        known.unwrap_or_else(|| best_fit(upright, given, tapes, &Table::new(upright.len(), tapes, given)));
    let square = |tape: &Reading| (tape.residual(&places) / tape.sigma_mm).powi(2);
    tapes.iter().map(square).sum()
}

/// Refuses readings that differ from the distances of places by more than a [`slip`].
pub(super) fn check_readings(
    places: &[Point],
    given: &[Option<Point>],
    tapes: &[Reading],
) -> Result<(), AimError> {
    let off = |tape: &Reading| tape.residual(places).abs() / slip(tape.mm);
    let Some(tape) = tapes.iter().max_by(|a, b| off(a).total_cmp(&off(b))) else {
        return Ok(());
    };
    if off(tape) <= 1.0 {
        return Ok(());
    }
    let &Reading { from, to, mm, .. } = tape;
    let residual_mm = tape.residual(places);
    Err(if given[from].is_some() && given[to].is_some() {
        AimError::TapeAgainstPlaces { from, to, mm, places_mm: mm + residual_mm }
    } else {
        AimError::TapesDisagree {
            from,
            to,
            mm,
            residual_mm,
            suspects: {
                let (survey, guess) = tape_survey(places, given, tapes);
                suspects(&survey, &guess)
            },
        }
    })
}

/// The tapes alone as a survey, its frame about the given guess.
fn tape_survey(places: &[Point], given: &[Option<Point>], tapes: &[Reading]) -> (Survey, Guess) {
    let frame = Frame::around(places);
    let survey = Survey {
        picks: Vec::new(),
        pick_sigma_px: 1.0,
        lens_prior: None,
        counted: Vec::new(),
        sought: given.iter().map(Option::is_none).collect(),
        tapes: tapes.to_vec(),
        picture: frame,
        surface: frame,
    };
    let guess = Guess { map: [0.0; 8], lens: None, places: places.to_vec() };
    (survey, guess)
}

/// The tapes adjusted by least squares from a first layout.
fn adjusted(places: Vec<Point>, given: &[Option<Point>], tapes: &[Reading]) -> Vec<Point> {
    let (survey, start) = tape_survey(&places, given, tapes);
    survey.refined(start).map_or(places, |(guess, _)| guess.places)
}

/// The layout turned to lie as the picture shows it, about the given place or with its centroid at the origin.
fn turned_as_seen(upright: &[Point], given: &[Option<Point>], places: Vec<Point>) -> Vec<Point> {
    let (pivot, home) = match given.iter().flatten().next() {
        Some(&place) => (place, place),
        None => (centroid(&places), Point::ORIGIN),
    };
    let (middle_p, middle_s) = (centroid(upright), centroid(&places));
    let (mut cross, mut dot) = (0.0, 0.0);
    for (&pick, &place) in upright.iter().zip(&places) {
        let (p, s) = (pick - middle_p, place - middle_s);
        cross += s.cross(p);
        dot += s.dot(p);
    }
    let (sin, cos) = cross.atan2(dot).sin_cos();
    places
        .into_iter()
        .map(|place| {
            let arm = place - pivot;
            home + Vec2::new(arm.x * cos - arm.y * sin, arm.x * sin + arm.y * cos)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn truth() -> Vec<Point> {
        [(-750.0, -440.0), (760.0, -450.0), (740.0, 455.0), (-745.0, 435.0)].map(Point::from).to_vec()
    }

    fn tape(places: &[Point], from: usize, to: usize) -> Reading {
        Reading { from, to, mm: places[from].distance(places[to]), sigma_mm: 1.0 }
    }

    fn all_pairs(places: &[Point]) -> Vec<Reading> {
        (0..places.len())
            .flat_map(|a| (a + 1..places.len()).map(move |b| (a, b)))
            .map(|(a, b)| tape(places, a, b))
            .collect()
    }

    #[test]
    fn a_layout_seen_squarely_comes_back_about_its_centroid() {
        let truth = truth();
        let middle = centroid(&truth);
        let places = lay_out(&truth, &[None; 4], &all_pairs(&truth)).unwrap();
        for (place, truth) in places.iter().zip(&truth) {
            assert!((*place - (*truth - middle.to_vec2())).hypot() < 1e-9);
        }
    }

    #[test]
    fn one_given_place_stays_and_the_rest_lies_as_seen() {
        let truth = truth();
        let mut given = [None; 4];
        given[2] = Some(truth[2]);
        let places = lay_out(&truth, &given, &all_pairs(&truth)).unwrap();
        assert_eq!(places[2], truth[2]);
        for (place, truth) in places.iter().zip(&truth) {
            assert!(place.distance(*truth) < 1e-9);
        }
    }

    #[test]
    fn one_wrong_reading_is_spread_by_the_self_stress_of_the_quad() {
        // A rectangle w × h: residuals are as the readings' parts in the only dependence among the six,
        // side : side : diagonal = w : h : −√(w² + h²) (self-stress of the complete graph on four points).
        let (w, h) = (1600.0_f64, 900.0_f64);
        let rectangle: Vec<Point> = [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)].map(Point::from).to_vec();
        let mut tapes = all_pairs(&rectangle);
        tapes[0].mm += 0.1;
        let places = lay_out(&rectangle, &[None; 4], &tapes).unwrap();
        let d = w.hypot(h);
        let parts = [w, -d, h, h, -d, w]; // 01 02 03 12 13 23
        let norm: f64 = parts.iter().map(|part| part * part).sum();
        for (tape, part) in tapes.iter().zip(parts) {
            let expected = -0.1 * w * part / norm;
            assert!((tape.residual(&places) - expected).abs() < 1e-5, "{tape:?}");
        }
    }

    #[test]
    fn a_framework_that_no_two_tapes_build_is_found_from_the_picture() {
        // K₃,₃ off a conic is rigid and holds no triangle.
        let truth: Vec<Point> = [
            (-700.0, -400.0),
            (650.0, -430.0),
            (40.0, 470.0),
            (-610.0, 300.0),
            (720.0, 390.0),
            (80.0, -90.0),
        ]
        .map(Point::from)
        .to_vec();
        let tapes: Vec<Reading> =
            (0..3).flat_map(|a| (3..6).map(move |b| (a, b))).map(|(a, b)| tape(&truth, a, b)).collect();
        let seen: Vec<Point> = truth.iter().map(|p| Point::new(1.1 * p.x, 1.05 * p.y)).collect();
        let places = lay_out(&seen, &[None; 6], &tapes).unwrap();
        for (a, b) in (0..6).flat_map(|a| (0..6).map(move |b| (a, b))) {
            let gap = places[a].distance(places[b]) - truth[a].distance(truth[b]);
            assert!(gap.abs() < 1e-6, "{a} {b}: {gap}");
        }
    }
}
