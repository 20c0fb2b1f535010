//! Least squares by Levenberg–Marquardt.
//!
//! Minimises ½|r(x)|² by steps of (JᵀJ + GᵀG + λ·diag)·δ = −Jᵀr. Rows of G are inner constraints: directions in
//! which the problem has no say (a rigid motion of everything) are held at rest by them without any pull on the
//! result. λ is Marquardt's damping on the scaled diagonal; it starts so low that the first steps are
//! Gauss–Newton's. Problems here have at most a few hundred unknowns, so the dense normal matrix is good
//! enough; what is lost in squaring the condition is won back by repeating the step.
//!
//! Source: Marquardt, SIAM J. Appl. Math. 11 (1963); inner constraints as in geodetic free networks.

use nalgebra::{DMatrix, DVector};

/// A problem at one state.
pub(super) struct Linear {
    /// Residuals, each divided by its standard deviation.
    pub(super) residuals: DVector<f64>,
    /// Their derivatives by the unknowns.
    pub(super) jacobian: DMatrix<f64>,
    /// Rows that hold what the residuals leave free; none where nothing is.
    pub(super) gauge: DMatrix<f64>,
}

impl Linear {
    /// JᵀJ + GᵀG: the information in the residuals, made regular by the gauge.
    pub(super) fn normal(&self) -> DMatrix<f64> {
        self.jacobian.tr_mul(&self.jacobian) + self.gauge.tr_mul(&self.gauge)
    }
}

/// Good starts take five to twenty rounds; a descent that creeps on beyond this has nowhere to go.
const ROUNDS_MAX: usize = 60;
const DAMPING_START: f64 = 1e-8;
const DAMPING_LEAST: f64 = 1e-15;
/// A step that failed is tried again with at least this damping: less would not change it.
const DAMPING_FELT: f64 = 1e-6;
/// At this damping a step is a millionth of the gradient's, and nothing more is to be had.
const DAMPING_MOST: f64 = 1e8;
/// A step that promises less than this part of the cost is rounding.
const GAIN_LEAST_PART: f64 = 1e-16;
/// So is one that promises less than this: residuals are in standard deviations, of which it is 10⁻¹³.
const GAIN_LEAST: f64 = 1e-26;

/// The state with the least sum of squares that descent from `start` finds, and the problem there. `linearise`
/// gives `None` where a state has no residuals (a mark behind the lens); `start` itself must have them, else the
/// answer is `None`.
pub(super) fn minimise<S>(
    start: S,
    linearise: impl Fn(&S) -> Option<Linear>,
    moved: impl Fn(&S, &DVector<f64>) -> S,
) -> Option<(S, Linear)> {
    let mut state = start;
    let mut linear = linearise(&state)?;
    if linear.jacobian.ncols() == 0 {
        return Some((state, linear));
    }
    let mut cost = linear.residuals.norm_squared();
    let mut damping = DAMPING_START;
    for _ in 0..ROUNDS_MAX {
        let normal = linear.normal();
        let slope = linear.jacobian.tr_mul(&linear.residuals);
        let mut damped = normal;
        for index in 0..damped.nrows() {
            damped[(index, index)] *= 1.0 + damping;
        }
        let Some(step) = damped.cholesky().map(|factor| -factor.solve(&slope)) else {
            damping = damping.max(DAMPING_FELT) * 10.0;
            if damping > DAMPING_MOST {
                break;
            }
            continue;
        };
        let promise = -slope.dot(&step);
        let trial = moved(&state, &step);
        let seen = linearise(&trial).filter(|seen| seen.residuals.norm_squared() <= cost);
        if let Some(seen) = seen {
            state = trial;
            cost = seen.residuals.norm_squared();
            linear = seen;
            damping = (damping / 10.0).max(DAMPING_LEAST);
        } else {
            damping = damping.max(DAMPING_FELT) * 10.0;
        }
        let rounding = promise.is_nan() || promise <= GAIN_LEAST_PART * cost + GAIN_LEAST;
        if rounding || damping > DAMPING_MOST {
            break;
        }
    }
    Some((state, linear))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rosenbrock's valley, Comput. J. 3 (1960): r = (10(y − x²), 1 − x), least at (1, 1).
    fn valley(at: &[f64; 2]) -> Option<Linear> {
        let [x, y] = *at;
        Some(Linear {
            residuals: DVector::from_vec(vec![10.0 * (y - x * x), 1.0 - x]),
            jacobian: DMatrix::from_row_slice(2, 2, &[-20.0 * x, 10.0, -1.0, 0.0]),
            gauge: DMatrix::zeros(0, 2),
        })
    }

    #[test]
    fn rosenbrocks_valley_is_followed_to_its_end() {
        let moved = |at: &[f64; 2], step: &DVector<f64>| [at[0] + step[0], at[1] + step[1]];
        let (at, _) = minimise([-1.2, 1.0], valley, moved).unwrap();
        assert!((at[0] - 1.0).abs() < 1e-9 && (at[1] - 1.0).abs() < 1e-9, "{at:?}");
    }

    #[test]
    fn a_state_without_residuals_is_never_entered() {
        let wall = |at: &[f64; 2]| if at[0] > 0.9 { None } else { valley(at) };
        let moved = |at: &[f64; 2], step: &DVector<f64>| [at[0] + step[0], at[1] + step[1]];
        let (at, _) = minimise([-1.2, 1.0], wall, moved).unwrap();
        assert!(at[0] <= 0.9);
        assert!(minimise([2.0, 1.0], wall, moved).is_none());
    }
}
