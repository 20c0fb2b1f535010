//! The one place where residuals and their derivatives are: picks against the map, tapes against places.
//!
//! A survey holds what was read; its unknowns are the eight numbers of the map (in frames, see `frame`) and the
//! places of the marks that are not given. Residuals are divided by their standard deviations:
//! (H(X) − p)/σ_px for each pick, (|X_a − X_b| − l)/σ_mm for each tape. Without picks it is the free network of
//! the tapes alone; a lens that is sought adds two unknowns and two rows, what is believed of it beforehand. With every place given it is the reprojection error that `cv2.findHomography(method=0)`
//! makes least. What neither determines, a rigid motion of all free places, is held by inner constraints
//! (Σδx = Σδy = 0 and no turn).

use super::dlt::FramedMap;
use super::frame::Frame;
use super::least_squares::{Linear, minimise};
use super::lens::Lens;
use super::order::centroid;
use crate::geometry::{Point, Vec2};
use glam::{DMat2, DMat3, DVec2};
use nalgebra::{DMatrix, DVector};

/// A tape reading with its standard deviation, both in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reading {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) mm: f64,
    pub(super) sigma_mm: f64,
}

impl Reading {
    /// Distance of two places less the reading, in mm.
    pub(super) fn residual(&self, places: &[Point]) -> f64 {
        places[self.from].distance(places[self.to]) - self.mm
    }
}

/// What was read, and which places are sought.
#[derive(Debug, Clone)]
pub(super) struct Survey {
    /// Picks in px, one a mark; empty to leave the picture out.
    pub(super) picks: Vec<Point>,
    /// Standard deviation of a pick in x and in y, in px.
    pub(super) pick_sigma_px: f64,
    /// Whether a mark's pick counts; empty when all do.
    pub(super) counted: Vec<bool>,
    /// What is believed of a lens that is sought; `None` when the lens of the guess stands.
    pub(super) lens_prior: Option<LensPrior>,
    /// Whether a mark's place is sought.
    pub(super) sought: Vec<bool>,
    /// Tape readings.
    pub(super) tapes: Vec<Reading>,
    /// Frame of the picture.
    pub(super) picture: Frame,
    /// Frame of the surface.
    pub(super) surface: Frame,
}

/// What is believed of a lens before it is seen: nearly straight, its centre about the middle of the picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct LensPrior {
    /// Height of the picture's middle, in px.
    pub(super) middle_y_px: f64,
    /// Standard deviation of the centre's height about it, in px.
    pub(super) sigma_px: f64,
}

impl LensPrior {
    /// What is believed of a lens for a picture of this size: its centre half a picture's height about the middle.
    pub(super) fn about(picture_size: (u32, u32)) -> Self {
        let middle_y_px = f64::from(picture_size.1) / 2.0;
        Self { middle_y_px, sigma_px: middle_y_px }
    }
}

/// Standard deviation of a lens's radial coefficient: one maker's worst is 1 %.
const RADIAL_SIGMA: f64 = 0.02;
/// Unknowns of a lens, and rows of its priors.
const LENS_UNKNOWNS: usize = 2;

/// A guess at the unknowns.
#[derive(Debug, Clone)]
pub(super) struct Guess {
    /// The map in frames; not looked at when there are no picks.
    pub(super) map: FramedMap,
    /// All marks' places in mm, given ones included.
    pub(super) places: Vec<Point>,
    /// The lens; `None` for a straight one.
    pub(super) lens: Option<Lens>,
}

impl Survey {
    /// The most likely unknowns near `start`, and the problem there; `None` when a mark of `start` is behind the
    /// lens.
    pub(super) fn refined(&self, start: Guess) -> Option<(Guess, Linear)> {
        minimise(start, |guess| self.linearise(guess), |guess, step| self.moved(guess, step))
    }

    /// How many picks count.
    pub(super) fn count_picked(&self) -> usize {
        let counts = |&mark: &usize| self.counted.get(mark).copied().unwrap_or(true);
        (0..self.picks.len()).filter(counts).count()
    }

    /// Readings less unknowns, not counting what is believed of a lens beforehand.
    pub(super) fn spare(&self, linear: &Linear) -> f64 {
        let readings = 2 * self.count_picked() + self.tapes.len() + linear.gauge.nrows();
        let count = |number: usize| f64::from(u32::try_from(number).unwrap_or(u32::MAX));
        count(readings) - count(linear.jacobian.ncols())
    }

    /// Sum of squares of picks and tapes, not counting what is believed of a lens beforehand.
    pub(super) fn misfit(&self, linear: &Linear) -> f64 {
        let rows = 2 * self.picks.len() + self.tapes.len();
        linear.residuals.rows(0, rows).norm_squared()
    }

    /// Numbers of the map among the unknowns.
    pub(super) fn map_unknowns(&self) -> usize {
        if self.picks.is_empty() { 0 } else { 8 }
    }

    /// First column of each sought mark.
    fn columns(&self) -> Vec<Option<usize>> {
        let mut next = self.map_unknowns();
        let column = |&sought: &bool| {
            sought.then(|| {
                next += 2;
                next - 2
            })
        };
        self.sought.iter().map(column).collect()
    }

    fn moved(&self, guess: &Guess, step: &DVector<f64>) -> Guess {
        let mut moved = guess.clone();
        for (entry, change) in moved.map.iter_mut().zip(step.iter()).take(self.map_unknowns()) {
            *entry += change;
        }
        if let (Some(_), Some(lens)) = (self.lens_prior, moved.lens.as_mut()) {
            let first = step.len() - LENS_UNKNOWNS;
            lens.radial += step[first];
            lens.centre_px.1 += step[first + 1] / self.picture.scale;
        }
        for (place, column) in moved.places.iter_mut().zip(self.columns()) {
            if let Some(column) = column {
                *place += Vec2::new(step[column], step[column + 1]) / self.surface.scale;
            }
        }
        moved
    }

    /// Residuals, derivatives and gauge at a guess; `None` when a mark is on or behind the horizon. Unknown
    /// places are in units of the surface's frame.
    pub(super) fn linearise(&self, guess: &Guess) -> Option<Linear> {
        let columns = self.columns();
        let of_lens = self.lens_prior.map_or(0, |_| LENS_UNKNOWNS);
        let unknowns = self.map_unknowns() + 2 * columns.iter().flatten().count() + of_lens;
        let rows = 2 * self.picks.len() + self.tapes.len() + of_lens;
        let lens = guess.lens.map(|lens| lens.framed(self.picture));
        let mut residuals = DVector::zeros(rows);
        let mut jacobian = DMatrix::zeros(rows, unknowns);
        let px = 1.0 / (self.picture.scale * self.pick_sigma_px);
        for (mark, &pick) in self.picks.iter().enumerate() {
            // A pick that doesn't count keeps its rows, at nought, so that the numbering stays.
            if !self.counted.get(mark).copied().unwrap_or(true) {
                continue;
            }
            let (p, s) = (self.picture.enter(pick), self.surface.enter(guess.places[mark]));
            let [a, b, c, d, e, f, g, h] = guess.map;
            let w = g * s.x + h * s.y + 1.0;
            if w <= f64::EPSILON {
                return None;
            }
            let (u, v) = ((a * s.x + b * s.y + c) / w, (d * s.x + e * s.y + f) / w);
            let row = 2 * mark;
            let ideal = Point::new(u, v);
            let (lit, bend) =
                lens.map_or((ideal, DMat2::IDENTITY), |lens| (lens.distort(ideal), lens.jacobian(ideal)));
            residuals[row] = (lit.x - p.x) * px;
            residuals[row + 1] = (lit.y - p.y) * px;
            let mut put = |column: usize, change: DVec2| {
                jacobian[(row, column)] = change.x * px;
                jacobian[(row + 1, column)] = change.y * px;
            };
            for (column, value) in [s.x, s.y, 1.0].into_iter().enumerate() {
                put(column, bend * DVec2::new(value / w, 0.0));
                put(3 + column, bend * DVec2::new(0.0, value / w));
            }
            for (column, value) in [s.x, s.y].into_iter().enumerate() {
                put(6 + column, bend * DVec2::new(-u * value / w, -v * value / w));
            }
            if let Some(column) = columns[mark] {
                put(column, bend * DVec2::new((a - u * g) / w, (d - v * g) / w));
                put(column + 1, bend * DVec2::new((b - u * h) / w, (e - v * h) / w));
            }
            if let (Some(lens), true) = (lens, of_lens > 0) {
                let [by_radial, by_centre] = lens.changes(ideal);
                put(unknowns - LENS_UNKNOWNS, by_radial);
                put(unknowns - LENS_UNKNOWNS + 1, by_centre);
            }
        }
        for (index, tape) in self.tapes.iter().enumerate() {
            let row = 2 * self.picks.len() + index;
            residuals[row] = tape.residual(&guess.places) / tape.sigma_mm;
            let way = direction(guess.places[tape.from], guess.places[tape.to])
                / (tape.sigma_mm * self.surface.scale);
            for (mark, sign) in [(tape.from, -1.0), (tape.to, 1.0)] {
                if let Some(column) = columns[mark] {
                    jacobian[(row, column)] = sign * way.x;
                    jacobian[(row, column + 1)] = sign * way.y;
                }
            }
        }
        if let (Some(prior), Some(lens)) = (self.lens_prior, guess.lens) {
            let (row, column) = (rows - LENS_UNKNOWNS, unknowns - LENS_UNKNOWNS);
            residuals[row] = lens.radial / RADIAL_SIGMA;
            jacobian[(row, column)] = RADIAL_SIGMA.recip();
            residuals[row + 1] = (lens.centre_px.1 - prior.middle_y_px) / prior.sigma_px;
            jacobian[(row + 1, column + 1)] = (prior.sigma_px * self.picture.scale).recip();
        }
        let gauge = self.gauge(guess, &columns, unknowns);
        Some(Linear { residuals, jacobian, gauge })
    }

    /// Rigid motions that move no given place, as rows on the sought places, about as heavy as the residuals.
    fn gauge(&self, guess: &Guess, columns: &[Option<usize>], unknowns: usize) -> DMatrix<f64> {
        let (sought, given): (Vec<_>, Vec<_>) = (0..columns.len()).partition(|&mark| columns[mark].is_some());
        let pivot = match given.as_slice() {
            [] => centroid(&guess.places),
            [only] => guess.places[*only],
            _ => return DMatrix::zeros(0, unknowns),
        };
        let turn = |place: Point| {
            let arm = (place - pivot) * self.surface.scale;
            Vec2::new(-arm.y, arm.x)
        };
        type Motion<'a> = &'a dyn Fn(Point) -> Vec2;
        let motions: &[Motion<'_>] = if given.is_empty() {
            &[&|_| Vec2::new(1.0, 0.0), &|_| Vec2::new(0.0, 1.0), &turn]
        } else {
            &[&turn]
        };
        let weight =
            self.tapes.iter().map(|tape| 1.0 / (tape.sigma_mm * self.surface.scale)).fold(1.0, f64::max);
        let mut rows = DMatrix::zeros(motions.len(), unknowns);
        for (row, motion) in motions.iter().enumerate() {
            for &mark in &sought {
                if let Some(column) = columns[mark] {
                    let way = motion(guess.places[mark]) * weight;
                    rows[(row, column)] = way.x;
                    rows[(row, column + 1)] = way.y;
                }
            }
        }
        rows
    }

    /// The map of a guess, surface mm to picture px.
    pub(super) fn matrix(&self, guess: &Guess) -> DMat3 {
        let [a, b, c, d, e, f, g, h] = guess.map;
        let framed = DMat3::from_cols_array(&[a, d, g, b, e, h, c, f, 1.0]);
        self.picture.back() * framed * self.surface.matrix()
    }
}

/// Unit vector from one place to another; zero when they coincide.
pub(super) fn direction(from: Point, to: Point) -> Vec2 {
    let way = to - from;
    let length = way.hypot();
    if length > 0.0 { way / length } else { Vec2::ZERO }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_derivatives_are_the_difference_quotients() {
        let places: Vec<Point> = [(0.0, 0.0), (1500.0, 20.0), (1480.0, 900.0), (10.0, 880.0), (700.0, 500.0)]
            .map(Point::from)
            .to_vec();
        let picks: Vec<Point> =
            [(90.0, 1000.0), (1800.0, 1010.0), (1700.0, 80.0), (200.0, 60.0), (930.0, 480.0)]
                .map(Point::from)
                .to_vec();
        let tape = |from, to, mm| Reading { from, to, mm, sigma_mm: 0.8 };
        let survey = Survey {
            pick_sigma_px: 0.5,
            counted: Vec::new(),
            lens_prior: Some(LensPrior { middle_y_px: 540.0, sigma_px: 540.0 }),
            sought: vec![true, true, false, true, true],
            tapes: vec![tape(0, 1, 1499.0), tape(4, 2, 880.0), tape(3, 0, 881.0)],
            picture: Frame::around(&picks),
            surface: Frame::around(&places),
            picks,
        };
        let guess = Guess {
            map: [0.9, 0.1, 0.02, -0.05, -1.1, 0.03, 0.04, -0.06],
            places,
            lens: Some(Lens { radial: 0.015, centre_px: (960.0, 830.0), reach_px: 1101.0 }),
        };
        let linear = survey.linearise(&guess).unwrap();
        let unknowns = linear.jacobian.ncols();
        assert_eq!(unknowns, 18);
        for column in 0..unknowns {
            let mut step = DVector::zeros(unknowns);
            step[column] = 1e-6;
            let ahead = survey.linearise(&survey.moved(&guess, &step)).unwrap();
            let behind = survey.linearise(&survey.moved(&guess, &-step)).unwrap();
            let quotient = (ahead.residuals - behind.residuals) / 2e-6;
            let gap = (quotient - linear.jacobian.column(column)).amax();
            assert!(gap < 1e-5 * linear.jacobian.amax(), "column {column}: {gap}");
        }
    }
}
