//! What map and lens leave over, smoothed: a surface that is not quite flat, a lens that bends otherwise than radially.
//!
//! Only when asked for, and only of 25 marks or more: a free mesh through fewer fits their noise (simulated: 1.3 mm where
//! the map alone was off by 0.6). The residuals of the picks are met by a bicubic spline whose second differences are
//! penalised; how much is decided by generalised cross-validation, so that noise leaves it flat. Nothing is known beyond
//! the marks: there the displacement is held at what it is at the border of their box.
//!
//! Sources: Eilers & Marx, Flexible smoothing with B-splines and penalties (1996); Craven & Wahba, Smoothing noisy data
//! with spline functions (1979) for the cross-validation.

use crate::geometry::{Point, Rect, Vec2};
use nalgebra::{DMatrix, DVector};

/// Fewest marks.
pub(super) const MARKS_LEAST: usize = 25;
/// Splines along each side of the picture.
const SIDE: usize = 6;
/// Stretches of the picture between knots.
const SPANS: f64 = 3.0;
/// Strengths of the penalty that are tried, as powers of ten.
const STRENGTHS: std::ops::RangeInclusive<i32> = -4..=6;
/// Against a direction that neither marks nor penalty hold.
const RIDGE: f64 = 1e-9;
/// Rounds of the way back; each leaves the part by which the displacement changes along a pixel, a hundredth or so.
const ROUNDS: usize = 8;

/// A smooth displacement of the light over the picture, in px.
#[derive(Debug, Clone, PartialEq)]
pub struct ResidualGrid {
    picture: (f64, f64),
    /// The box of the marks that it was made of.
    known: Rect,
    across: Vec<f64>,
    along: Vec<f64>,
}

impl ResidualGrid {
    /// The displacement that leads from where the marks are lit by map and lens (px) to their picks, and how it hangs on
    /// them; `None` for too few.
    pub(super) fn of(picture_size: (u32, u32), lit: &[Point], picks: &[Point]) -> Option<(Self, GridDoubt)> {
        if lit.len() < MARKS_LEAST || lit.len() != picks.len() {
            return None;
        }
        let picture = (f64::from(picture_size.0), f64::from(picture_size.1));
        let mut basis = DMatrix::zeros(lit.len(), SIDE * SIDE);
        for (row, &place) in lit.iter().enumerate() {
            for (column, weight) in weights(picture, place) {
                basis[(row, column)] = weight;
            }
        }
        let residual = |part: fn(Vec2) -> f64| {
            let values = lit.iter().zip(picks).map(|(lit, pick)| part(*pick - *lit));
            DVector::from_iterator(lit.len(), values)
        };
        let wanted = [residual(|off| off.x), residual(|off| off.y)];
        // From the strongest down: where nothing is left over all score alike, and the flattest is taken.
        let (strength, best) = STRENGTHS
            .rev()
            .map(|power| 10_f64.powi(power))
            .filter_map(|strength| Some((strength, smoothed(&basis, &wanted, strength)?)))
            .min_by(|a, b| a.1.score.total_cmp(&b.1.score))?;
        let doubt = GridDoubt::of(&basis, strength)?;
        let [across, along] = best.coefficients.map(|of_axis| of_axis.iter().copied().collect());
        let first = *lit.first()?;
        let known = lit.iter().fold(Rect::from_points(first, first), |all, &place| all.union_pt(place));
        Some((Self { picture, known, across, along }, doubt))
    }

    /// How far light is displaced that map and lens throw at a place of the picture, in px.
    #[must_use]
    pub fn displacement(&self, at: Point) -> Vec2 {
        self.sum(self.weights(at))
    }

    /// By how much the splines would displace light beyond the marks more than they are let, in px.
    pub(super) fn held_back(&self, at: Point) -> Vec2 {
        self.sum(weights(self.picture, at)) - self.displacement(at)
    }

    fn sum(&self, weights: Vec<(usize, f64)>) -> Vec2 {
        let terms = weights.into_iter().map(|(index, weight)| {
            let of = |axis: &[f64]| axis.get(index).copied().unwrap_or_default();
            weight * Vec2::new(of(&self.across), of(&self.along))
        });
        terms.fold(Vec2::ZERO, |sum, term| sum + term)
    }

    /// The splines at a place, or at the border of what is known.
    pub(super) fn weights(&self, at: Point) -> Vec<(usize, f64)> {
        let inside =
            Point::new(at.x.clamp(self.known.x0, self.known.x1), at.y.clamp(self.known.y0, self.known.y1));
        weights(self.picture, inside)
    }

    /// Where light goes that map and lens throw at `lit`.
    pub(super) fn displace(&self, lit: Point) -> Point {
        lit + self.displacement(lit)
    }

    /// The way back.
    pub(super) fn replace(&self, seen: Point) -> Point {
        let mut lit = seen;
        for _ in 0..ROUNDS {
            lit = seen - self.displacement(lit);
        }
        lit
    }
}

/// How sure the grid is.
///
/// Its coefficients hang on the residuals by a matrix, so noise of the picks goes through it. And smoothing takes the
/// sharpest of what is there away with the noise: a strength λ of the penalty is the belief that second differences are
/// about σ/√λ, and under that belief what is taken away has the covariance σ²·A⁻¹·λDᵀD·A⁻¹, A = BᵀB + λDᵀD (with the
/// noise's own share it makes Wahba's, Bayesian confidence intervals for the cross-validated smoothing spline, 1983).
#[derive(Debug, Clone, PartialEq)]
pub(super) struct GridDoubt {
    /// Coefficients by residuals, either axis.
    pub(super) by_residuals: DMatrix<f64>,
    /// Coefficients by second differences that the smoothing took away, each of unit variance when times the σ of a
    /// pick; either axis.
    pub(super) by_smoothing: DMatrix<f64>,
}

impl GridDoubt {
    fn of(basis: &DMatrix<f64>, strength: f64) -> Option<Self> {
        let factor = normal(basis, strength).cholesky()?;
        Some(Self {
            by_residuals: factor.solve(&basis.transpose()),
            by_smoothing: factor.solve(&(differences().transpose() * strength.sqrt())),
        })
    }
}

/// One strength of the penalty.
struct Smoothed {
    coefficients: [DVector<f64>; 2],
    /// What it would be off by at a mark that it does not know, squared (generalised cross-validation).
    score: f64,
}

fn smoothed(basis: &DMatrix<f64>, wanted: &[DVector<f64>; 2], strength: f64) -> Option<Smoothed> {
    let factor = normal(basis, strength).cholesky()?;
    let coefficients = [0, 1].map(|axis: usize| factor.solve(&basis.tr_mul(&wanted[axis])));
    let hat = basis * factor.solve(&basis.transpose());
    let count = f64::from(u32::try_from(basis.nrows()).ok()?);
    let spare = (count - hat.trace()) / count;
    let left: f64 = coefficients
        .iter()
        .zip(wanted)
        .map(|(of_axis, wanted)| (wanted - basis * of_axis).norm_squared())
        .sum();
    let score = left / count / (spare * spare);
    score.is_finite().then_some(Smoothed { coefficients, score })
}

/// The normal matrix of marks and penalty.
fn normal(basis: &DMatrix<f64>, strength: f64) -> DMatrix<f64> {
    let differences = differences();
    basis.tr_mul(basis)
        + differences.tr_mul(&differences) * strength
        + DMatrix::identity(SIDE * SIDE, SIDE * SIDE) * RIDGE
}

/// Second differences across, along, and mixed (counting twice, as in a bent plate).
fn differences() -> DMatrix<f64> {
    let mut rows: Vec<Vec<(usize, f64)>> = Vec::new();
    let index = |column: usize, row: usize| row * SIDE + column;
    for a in 0..SIDE {
        for b in 0..SIDE - 2 {
            rows.push(vec![(index(b, a), 1.0), (index(b + 1, a), -2.0), (index(b + 2, a), 1.0)]);
            rows.push(vec![(index(a, b), 1.0), (index(a, b + 1), -2.0), (index(a, b + 2), 1.0)]);
        }
    }
    let root = std::f64::consts::SQRT_2;
    for row in 0..SIDE - 1 {
        for column in 0..SIDE - 1 {
            rows.push(vec![
                (index(column, row), root),
                (index(column + 1, row), -root),
                (index(column, row + 1), -root),
                (index(column + 1, row + 1), root),
            ]);
        }
    }
    let mut differences = DMatrix::zeros(rows.len(), SIDE * SIDE);
    for (number, row) in rows.into_iter().enumerate() {
        for (column, value) in row {
            differences[(number, column)] = value;
        }
    }
    differences
}

/// The sixteen splines that reach a place of the picture, with their weights.
fn weights((width, height): (f64, f64), at: Point) -> Vec<(usize, f64)> {
    let (first_x, of_x) = cubic(SPANS * at.x / width);
    let (first_y, of_y) = cubic(SPANS * at.y / height);
    let mut all = Vec::with_capacity(16);
    for (row, y) in of_y.into_iter().enumerate() {
        for (column, x) in of_x.into_iter().enumerate() {
            all.push(((first_y + row) * SIDE + first_x + column, x * y));
        }
    }
    all
}

/// The first of the four uniform cubic B-splines over a place, counted in spans, and their values there.
fn cubic(place: f64) -> (usize, [f64; 4]) {
    let place = place.clamp(0.0, SPANS);
    let first = (0..SIDE - 4).rev().find(|&first| f64_of(first + 1) <= place).map_or(0, |first| first + 1);
    let t = place - f64_of(first);
    let rest = 1.0 - t;
    let values = [
        rest * rest * rest / 6.0,
        (3.0 * t * t * t - 6.0 * t * t + 4.0) / 6.0,
        (3.0 * rest * rest * rest - 6.0 * rest * rest + 4.0) / 6.0,
        t * t * t / 6.0,
    ];
    (first, values)
}

fn f64_of(count: usize) -> f64 {
    u32::try_from(count).map_or(0.0, f64::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn splines_add_up_to_one_and_stay_within_the_grid() {
        for tenth in -5_i8..=35 {
            let (first, values) = cubic(f64::from(tenth) / 10.0);
            assert!((values.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            assert!(first + 3 < SIDE, "{tenth}");
        }
    }

    #[test]
    fn a_plane_is_met_exactly_and_its_way_back_is_the_way_back() {
        let lit: Vec<Point> = (0..25_u8)
            .map(|k| Point::new(96.0 + 432.0 * f64::from(k % 5), 54.0 + 243.0 * f64::from(k / 5)))
            .collect();
        let moved = |at: Point| at + Vec2::new(2.0 + 0.001 * at.x, -1.0 + 0.002 * at.y);
        let picks: Vec<Point> = lit.iter().map(|&at| moved(at)).collect();
        let (grid, _) = ResidualGrid::of((1920, 1080), &lit, &picks).unwrap();
        for at in [(300.0, 300.0), (1000.0, 900.0), (1700.0, 100.0)].map(Point::from) {
            assert!(grid.displace(at).distance(moved(at)) < 1e-3);
            assert!(grid.replace(grid.displace(at)).distance(at) < 1e-9);
        }
        assert_eq!(ResidualGrid::of((1920, 1080), &lit[1..], &picks[1..]), None);
    }
}
