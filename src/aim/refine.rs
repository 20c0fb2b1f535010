//! The one place where residuals and their derivatives are: picks against the map, tapes against places.
//!
//! A survey holds what was read; its unknowns are the eight numbers of the map (in frames, see `frame`) and the
//! places of the marks that are not given. Residuals are divided by their standard deviations:
//! (H(X) − p)/σ_px for each pick, (|X_a − X_b| − l)/σ_mm for each tape. Without picks it is the free network of
//! the tapes alone; with every place given it is the reprojection error that `cv2.findHomography(method=0)`
//! makes least. What neither determines, a rigid motion of all free places, is held by inner constraints
//! (Σδx = Σδy = 0 and no turn).

use super::dlt::FramedMap;
use super::frame::Frame;
use super::least_squares::{Linear, minimise};
use super::order::centroid;
use crate::geometry::{Point, Vec2};
use glam::DMat3;
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
    /// Whether a mark's place is sought.
    pub(super) sought: Vec<bool>,
    /// Tape readings.
    pub(super) tapes: Vec<Reading>,
    /// Frame of the picture.
    pub(super) picture: Frame,
    /// Frame of the surface.
    pub(super) surface: Frame,
}

/// A guess at the unknowns.
#[derive(Debug, Clone)]
pub(super) struct Guess {
    /// The map in frames; not looked at when there are no picks.
    pub(super) map: FramedMap,
    /// All marks' places in mm, given ones included.
    pub(super) places: Vec<Point>,
}

impl Survey {
    /// The most likely unknowns near `start`, and the problem there; `None` when a mark of `start` is behind the
    /// lens.
    pub(super) fn refined(&self, start: Guess) -> Option<(Guess, Linear)> {
        minimise(
            start,
            |guess| self.linearise(guess),
            |guess, step| self.moved(guess, step),
        )
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
        let unknowns = self.map_unknowns() + 2 * columns.iter().flatten().count();
        let rows = 2 * self.picks.len() + self.tapes.len();
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
            residuals[row] = (u - p.x) * px;
            residuals[row + 1] = (v - p.y) * px;
            let k = px / w;
            for (column, value) in [s.x, s.y, 1.0].into_iter().enumerate() {
                jacobian[(row, column)] = value * k;
                jacobian[(row + 1, 3 + column)] = value * k;
            }
            for (column, value) in [s.x, s.y].into_iter().enumerate() {
                jacobian[(row, 6 + column)] = -u * value * k;
                jacobian[(row + 1, 6 + column)] = -v * value * k;
            }
            if let Some(column) = columns[mark] {
                jacobian[(row, column)] = (a - u * g) * k;
                jacobian[(row, column + 1)] = (b - u * h) * k;
                jacobian[(row + 1, column)] = (d - v * g) * k;
                jacobian[(row + 1, column + 1)] = (e - v * h) * k;
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
        let gauge = self.gauge(guess, &columns, unknowns);
        Some(Linear {
            residuals,
            jacobian,
            gauge,
        })
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
        let weight = self
            .tapes
            .iter()
            .map(|tape| 1.0 / (tape.sigma_mm * self.surface.scale))
            .fold(1.0, f64::max);
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
        let places: Vec<Point> = [
            (0.0, 0.0),
            (1500.0, 20.0),
            (1480.0, 900.0),
            (10.0, 880.0),
            (700.0, 500.0),
        ]
        .map(Point::from)
        .to_vec();
        let picks: Vec<Point> = [
            (90.0, 1000.0),
            (1800.0, 1010.0),
            (1700.0, 80.0),
            (200.0, 60.0),
            (930.0, 480.0),
        ]
        .map(Point::from)
        .to_vec();
        let tape = |from, to, mm| Reading {
            from,
            to,
            mm,
            sigma_mm: 0.8,
        };
        let survey = Survey {
            pick_sigma_px: 0.5,
            counted: Vec::new(),
            sought: vec![true, true, false, true, true],
            tapes: vec![tape(0, 1, 1499.0), tape(4, 2, 880.0), tape(3, 0, 881.0)],
            picture: Frame::around(&picks),
            surface: Frame::around(&places),
            picks,
        };
        let guess = Guess {
            map: [0.9, 0.1, 0.02, -0.05, -1.1, 0.03, 0.04, -0.06],
            places,
        };
        let linear = survey.linearise(&guess).unwrap();
        let unknowns = linear.jacobian.ncols();
        assert_eq!(unknowns, 16);
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
