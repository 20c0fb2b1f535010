//! Where the marks are on the surface, from tapes.
//!
//! A first layout is built mark by mark from two tapes each. Of the two places that the tapes allow, a third tape
//! chooses where it can, else the picture: a projective map keeps the sense of triangles. Then all readings are
//! adjusted at once by least squares with inner constraints (`refine`, without the picture).
//!
//! A layout of which no place is given has its origin at the marks' centroid, and is turned so that it lies as the
//! picture shows it: x along the picture's horizontal and y up it, as nearly as perspective lets both be. The
//! centroid is in front of the lens whenever the marks are. With one place given the layout is turned about it.
//! Tapes do not tell a shape from its mirror image: the picture does.

use super::AimError;
use super::frame::Frame;
use super::measured::Tape;
use super::order::{centroid, mirror_balance, sense};
use super::refine::{Guess, Reading, Survey, direction};
use crate::geometry::{Point, Vec2};

/// A tape may be off by this much, in mm or as part of its reading, before the readings are refused: what is
/// smaller is for the residuals to show, what is larger is a slip.
const SLIP_MM: f64 = 10.0;
const SLIP_PART: f64 = 0.01;
/// A third tape chooses a side when the sides differ by this part of the base; less may be a mark on the base.
const CHOICE_PART: f64 = 0.02;

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
    let built = adjusted(first_layout(upright, given, &table), given, tapes);
    let worst = |places: &[Point]| {
        tapes
            .iter()
            .map(|tape| tape.residual(places).abs() / slip(tape.mm))
            .fold(0.0, f64::max)
    };
    let mut places = built;
    if worst(&places) > 1.0 {
        // Building mark by mark carries one bad reading on; the picture's likeness starts free of them.
        let likened = adjusted(likeness(upright, given, tapes), given, tapes);
        if worst(&likened) < worst(&places) {
            places = likened;
        }
    }
    if given.iter().flatten().count() < 2 {
        places = turned_as_seen(upright, given, places);
    }
    check_readings(&places, given, tapes)?;
    Ok(places)
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
        AimError::TapeAgainstPlaces {
            from,
            to,
            mm,
            places_mm: mm + residual_mm,
        }
    } else {
        AimError::TapesDisagree {
            from,
            to,
            mm,
            residual_mm,
        }
    })
}

/// Known distances by pair of marks.
struct Table {
    count: usize,
    mm: Vec<Option<f64>>,
}

impl Table {
    /// Readings (the mean where a pair is taped twice), and distances between given places where none is taped.
    fn new(count: usize, tapes: &[Reading], given: &[Option<Point>]) -> Self {
        let mut sums = vec![(0.0, 0.0); count * count];
        for tape in tapes {
            for cell in [tape.from * count + tape.to, tape.to * count + tape.from] {
                sums[cell].0 += tape.mm;
                sums[cell].1 += 1.0;
            }
        }
        let mm = sums.iter().enumerate().map(|(cell, &(sum, readings))| {
            if readings > 0.0 {
                return Some(sum / readings);
            }
            let (a, b) = (given[cell / count]?, given[cell % count]?);
            Some(a.distance(b))
        });
        Self {
            count,
            mm: mm.collect(),
        }
    }

    fn get(&self, a: usize, b: usize) -> Option<f64> {
        self.mm[a * self.count + b]
    }

    fn check_triangles(&self) -> Result<(), AimError> {
        for a in 0..self.count {
            for b in a + 1..self.count {
                for c in b + 1..self.count {
                    let (Some(ab), Some(bc), Some(ca)) = (self.get(a, b), self.get(b, c), self.get(c, a))
                    else {
                        continue;
                    };
                    let sides = [(ab, a, b), (bc, b, c), (ca, a, c)];
                    for (mm, from, to) in sides {
                        let others_mm = ab + bc + ca - mm;
                        if mm > others_mm + slip(mm) {
                            return Err(AimError::BrokenTriangle {
                                marks: [a, b, c],
                                from,
                                to,
                                mm,
                                others_mm,
                            });
                        }
                    }
                }
            }
        }
        Ok(())
    }
}

/// Marks placed one after another, each from the two located marks that give it the best triangle.
fn first_layout(upright: &[Point], given: &[Option<Point>], table: &Table) -> Vec<Point> {
    let mut located: Vec<Option<Point>> = given.to_vec();
    if given.iter().flatten().count() < 2 {
        located.fill(None);
        let longest = (0..table.count)
            .flat_map(|a| (a + 1..table.count).map(move |b| (a, b)))
            .filter_map(|(a, b)| Some((table.get(a, b)?, a, b)))
            .max_by(|x, y| x.0.total_cmp(&y.0));
        if let Some((mm, a, b)) = longest {
            located[a] = Some(Point::ORIGIN);
            located[b] = Some(Point::ORIGIN + direction(upright[a], upright[b]) * mm);
        }
    }
    while let Some((mark, a, b)) = next_mark(upright, &located, table) {
        let Some(place) = placed(upright, &located, table, [mark, a, b]) else {
            break;
        };
        located[mark] = Some(place);
    }
    let motion = Similarity::between(upright, &located);
    let mut places: Vec<Point> = located
        .iter()
        .zip(upright)
        .map(|(located, &pick)| located.unwrap_or_else(|| motion.map(pick)))
        .collect();
    if given.iter().flatten().count() < 2 {
        if mirror_balance(upright, &places) > 0 {
            for place in &mut places {
                place.x = -place.x;
            }
        }
        shift_to_given(&mut places, given);
    }
    places
}

/// Moves all places so that the one that is given, if any, is where it should be.
fn shift_to_given(places: &mut [Point], given: &[Option<Point>]) {
    let shift = places
        .iter()
        .zip(given)
        .find_map(|(&place, given)| given.map(|given| given - place));
    if let Some(shift) = shift {
        for place in places {
            *place += shift;
        }
    }
}

/// The mark not yet located with the best triangle over two located marks it is taped to.
fn next_mark(upright: &[Point], located: &[Option<Point>], table: &Table) -> Option<(usize, usize, usize)> {
    let count = located.len();
    let mut best: Option<(f64, (usize, usize, usize))> = None;
    for mark in (0..count).filter(|&mark| located[mark].is_none()) {
        let held: Vec<usize> = (0..count)
            .filter(|&other| located[other].is_some() && table.get(mark, other).is_some())
            .collect();
        for (index, &a) in held.iter().enumerate() {
            for &b in &held[index + 1..] {
                let area = sense(upright[a], upright[b], upright[mark]).abs();
                if best.is_none_or(|(most, _)| area > most) {
                    best = Some((area, (mark, a, b)));
                }
            }
        }
    }
    best.map(|(_, found)| found)
}

/// The place of a mark from its tapes to two located marks.
fn placed(
    upright: &[Point],
    located: &[Option<Point>],
    table: &Table,
    [mark, a, b]: [usize; 3],
) -> Option<Point> {
    let (from, to) = (located[a]?, located[b]?);
    let (near, far) = (table.get(mark, a)?, table.get(mark, b)?);
    let base = from.distance(to);
    let along = direction(from, to);
    let foot = if base > 0.0 {
        (near * near - far * far + base * base) / (2.0 * base)
    } else {
        0.0
    };
    let height = (near * near - foot * foot).max(0.0).sqrt();
    let left = Vec2::new(-along.y, along.x) * height;
    let sides = [from + along * foot + left, from + along * foot - left];
    let misfits = sides.map(|side| {
        let others = (0..located.len()).filter(|&other| other != a && other != b);
        let misfit = |other: usize| Some((side.distance(located[other]?) - table.get(mark, other)?).powi(2));
        others.filter_map(misfit).sum::<f64>().sqrt()
    });
    let on_left = if (misfits[0] - misfits[1]).abs() > CHOICE_PART * base {
        misfits[0] < misfits[1]
    } else {
        sense(upright[a], upright[b], upright[mark]) > 0.0
    };
    Some(sides[usize::from(!on_left)])
}

/// The picture scaled to the tapes, or onto the given places.
fn likeness(upright: &[Point], given: &[Option<Point>], tapes: &[Reading]) -> Vec<Point> {
    if given.iter().flatten().count() >= 2 {
        let motion = Similarity::between(upright, given);
        let place = |(given, &pick): (&Option<Point>, &Point)| given.unwrap_or_else(|| motion.map(pick));
        return given.iter().zip(upright).map(place).collect();
    }
    let read: f64 = tapes.iter().map(|tape| tape.mm).sum();
    let seen: f64 = tapes
        .iter()
        .map(|tape| upright[tape.from].distance(upright[tape.to]))
        .sum();
    let scale = if seen > 0.0 { read / seen } else { 1.0 };
    let mut places: Vec<Point> = upright
        .iter()
        .map(|pick| (pick.to_vec2() * scale).to_point())
        .collect();
    shift_to_given(&mut places, given);
    places
}

/// The tapes adjusted by least squares from a first layout.
fn adjusted(places: Vec<Point>, given: &[Option<Point>], tapes: &[Reading]) -> Vec<Point> {
    let frame = Frame::around(&places);
    let survey = Survey {
        picks: Vec::new(),
        pick_sigma_px: 1.0,
        sought: given.iter().map(Option::is_none).collect(),
        tapes: tapes.to_vec(),
        picture: frame,
        surface: frame,
    };
    let start = Guess {
        map: [0.0; 8],
        places: places.clone(),
    };
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

/// A turn, a scale and a shift: p ↦ shift + turn·p, as complex numbers.
struct Similarity {
    middle: Point,
    turn: Vec2,
    home: Point,
}

impl Similarity {
    /// The best one from `points` to those of `targets` that are known.
    fn between(points: &[Point], targets: &[Option<Point>]) -> Self {
        let known: Vec<(Point, Point)> = points
            .iter()
            .zip(targets)
            .filter_map(|(&point, target)| target.map(|target| (point, target)))
            .collect();
        let (from, to): (Vec<Point>, Vec<Point>) = known.iter().copied().unzip();
        let (middle, home) = (centroid(&from), centroid(&to));
        let (mut turn, mut square) = (Vec2::ZERO, 0.0);
        for (point, target) in known {
            let (p, t) = (point - middle, target - home);
            turn += Vec2::new(p.dot(t), p.cross(t));
            square += p.hypot2();
        }
        let turn = if square > 0.0 {
            turn / square
        } else {
            Vec2::new(1.0, 0.0)
        };
        Self { middle, turn, home }
    }

    fn map(&self, point: Point) -> Point {
        let (arm, turn) = (point - self.middle, self.turn);
        self.home + Vec2::new(turn.x * arm.x - turn.y * arm.y, turn.y * arm.x + turn.x * arm.y)
    }
}

/// Tapes as readings of equal standard deviation.
pub(super) fn readings(tapes: &[Tape], sigma_mm: f64) -> Vec<Reading> {
    tapes
        .iter()
        .map(|&Tape { from, to, mm }| Reading {
            from,
            to,
            mm,
            sigma_mm,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn truth() -> Vec<Point> {
        [(-750.0, -440.0), (760.0, -450.0), (740.0, 455.0), (-745.0, 435.0)]
            .map(Point::from)
            .to_vec()
    }

    fn tape(places: &[Point], from: usize, to: usize) -> Reading {
        Reading {
            from,
            to,
            mm: places[from].distance(places[to]),
            sigma_mm: 1.0,
        }
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
        let tapes: Vec<Reading> = (0..3)
            .flat_map(|a| (3..6).map(move |b| (a, b)))
            .map(|(a, b)| tape(&truth, a, b))
            .collect();
        let seen: Vec<Point> = truth.iter().map(|p| Point::new(1.1 * p.x, 1.05 * p.y)).collect();
        let places = lay_out(&seen, &[None; 6], &tapes).unwrap();
        for (a, b) in (0..6).flat_map(|a| (0..6).map(move |b| (a, b))) {
            let gap = places[a].distance(places[b]) - truth[a].distance(truth[b]);
            assert!(gap.abs() < 1e-6, "{a} {b}: {gap}");
        }
    }
}
