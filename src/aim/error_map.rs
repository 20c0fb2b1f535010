//! How far off the light may be, place by place.
//!
//! Errors of picks and tapes go through the linearised survey into the map's eight numbers (and a fitted lens's two): with the inner
//! constraints in the normal matrix N = JᵀJ + GᵀG, their covariance is N⁻¹·JᵀJ·N⁻¹ (equal to N⁻¹ when places are
//! given and nothing needs holding). An error δh of the map shifts the light at a surface place by
//! e = (∂H/∂P)⁻¹·(∂H/∂h)·δh. A residual grid moves the light by what the picks are off after that, and by what its
//! smoothing took away: all of it linear in errors of unit variance, whose factors are what is carried here. A shift or turn of all the light together does no harm to cutting, so the rigid part
//! of e over the whole picture is taken out, which also makes the result independent of the gauge.
//!
//! Limits: first order, and what the model does not know is not in it: a wavy surface, a stretched
//! tape.
//!
//! Source: covariance propagation after Criminisi, Reid & Zisserman, "A plane measuring device" (1997).

use super::refine::{Guess, Survey};
use super::residual_grid::{GridDoubt, ResidualGrid};
use crate::geometry::{Point, Vec2};
use nalgebra::{Const, DMatrix, Dyn, Matrix2, Matrix2x3, Matrix3, OMatrix, SMatrix};

/// Numbers of the map and of the lens.
const UNKNOWNS: usize = 10;
/// Places along each side of the picture; odd, so that the middle is one.
const SIDE: u16 = 9;

/// The uncertainty of an aim over its picture: standard deviations (1σ) after the best rigid alignment.
#[derive(Debug, Clone, PartialEq)]
pub struct ErrorMap {
    places: Vec<ErrorPlace>,
    worst_corner_mm: f64,
    length_mm_per_m: f64,
}

/// The uncertainty at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ErrorPlace {
    /// The place in the picture, in px.
    pub picture: Point,
    /// The place on the surface, in mm.
    pub surface: Point,
    /// Root of the summed variances in x and y, in mm.
    pub sigma_mm: f64,
}

/// Shift of the light by errors of unit variance: readings, then what a grid's smoothing took away across and down, and
/// what it leaves out by being held beyond the marks.
type Shift = OMatrix<f64, Const<2>, Dyn>;

impl ErrorMap {
    /// The uncertainty of a solved survey; `None` when some of the picture does not land or the readings leave
    /// the map undetermined.
    pub(super) fn of(
        survey: &Survey,
        guess: &Guess,
        grid: Option<(&ResidualGrid, &GridDoubt)>,
        picture_size: (u32, u32),
    ) -> Option<Self> {
        let errors = Errors::of(survey, guess, grid)?;
        let back = survey.matrix(guess).inverse();
        let (width, height) = (f64::from(picture_size.0), f64::from(picture_size.1));
        let step = |index: u16, side: f64| side * f64::from(index) / f64::from(SIDE - 1);
        let mut picture = Vec::new();
        let mut surface = Vec::new();
        for row in 0..SIDE {
            for column in 0..SIDE {
                let pick = Point::new(step(column, width), step(row, height));
                let lit = grid.map_or(pick, |(grid, _)| grid.replace(pick));
                let ideal = guess.lens.map_or(lit, |lens| lens.undistort(lit));
                let lifted = back * glam::DVec3::new(ideal.x, ideal.y, 1.0);
                if lifted.z == 0.0 {
                    return None;
                }
                picture.push(pick);
                surface.push(Point::new(lifted.x / lifted.z, lifted.y / lifted.z));
            }
        }
        let mut shifts: Vec<Shift> =
            surface.iter().map(|&place| errors.shift(place)).collect::<Option<_>>()?;
        take_out_rigid(&surface, &mut shifts)?;
        let places: Vec<ErrorPlace> = picture
            .into_iter()
            .zip(&surface)
            .zip(&shifts)
            .map(|((picture, &surface), shift)| ErrorPlace { picture, surface, sigma_mm: shift.norm() })
            .collect();
        let last = usize::from(SIDE) - 1;
        let corners = [0, last, places.len() - 1, places.len() - 1 - last];
        let worst_corner_mm = corners.iter().map(|&corner| places[corner].sigma_mm).fold(0.0, f64::max);
        let length = |a: usize, b: usize| {
            let way = surface[b] - surface[a];
            let along = nalgebra::RowVector2::new(way.x, way.y) / way.hypot();
            let change = along * (&shifts[b] - &shifts[a]);
            1000.0 * change.norm() / way.hypot()
        };
        let length_mm_per_m = (0..4)
            .flat_map(|a| (0..a).map(move |b| (a, b)))
            .map(|(a, b)| length(corners[a], corners[b]))
            .fold(0.0, f64::max);
        let map = Self { places, worst_corner_mm, length_mm_per_m };
        map.is_finite().then_some(map)
    }

    fn is_finite(&self) -> bool {
        self.length_mm_per_m.is_finite() && self.places.iter().all(|place| place.sigma_mm.is_finite())
    }

    /// Places in rows from the top left of the picture, 9 in a row and 9 rows.
    #[must_use]
    pub fn places(&self) -> &[ErrorPlace] {
        &self.places
    }

    /// 1σ at the worst corner of the picture, in mm.
    #[must_use]
    pub const fn worst_corner_mm(&self) -> f64 {
        self.worst_corner_mm
    }

    /// 1σ in the middle of the picture, in mm.
    #[must_use]
    pub fn centre_mm(&self) -> f64 {
        self.places[self.places.len() / 2].sigma_mm
    }

    /// 1σ of the worst of the picture's four sides and two diagonals on the surface, in mm per metre.
    #[must_use]
    pub const fn length_mm_per_m(&self) -> f64 {
        self.length_mm_per_m
    }
}

/// What errors of unit variance do to an aim.
struct Errors<'a> {
    survey: &'a Survey,
    guess: &'a Guess,
    /// Change of the map's eight numbers and the lens's two by readings: N⁻¹Jᵀ, whose square is their covariance. Of a
    /// lens that is not sought, zero.
    numbers: OMatrix<f64, Const<UNKNOWNS>, Dyn>,
    grid: Option<GridErrors<'a>>,
    /// Number of errors.
    count: usize,
}

/// Change of a grid's coefficients by the errors, in px.
struct GridErrors<'a> {
    grid: &'a ResidualGrid,
    across: DMatrix<f64>,
    down: DMatrix<f64>,
}

impl<'a> Errors<'a> {
    fn of(
        survey: &'a Survey,
        guess: &'a Guess,
        grid: Option<(&'a ResidualGrid, &GridDoubt)>,
    ) -> Option<Self> {
        let linear = survey.linearise(guess)?;
        let all = linear.normal().cholesky()?.solve(&linear.jacobian.transpose());
        let readings = all.ncols();
        let smoothed = grid.map_or(0, |(_, doubt)| doubt.by_smoothing.ncols());
        let count = readings + grid.map_or(0, |_| 2 * smoothed + 1);
        let mut own: Vec<usize> = (0..8).collect();
        if survey.lens_prior.is_some() {
            own.extend([all.nrows() - 2, all.nrows() - 1]);
        }
        let mut numbers = OMatrix::<f64, Const<UNKNOWNS>, Dyn>::zeros(count);
        for (row, &from_row) in own.iter().enumerate() {
            numbers.view_mut((row, 0), (1, readings)).copy_from(&all.row(from_row));
        }
        let grid = grid.map(|(grid, doubt)| {
            // What the picks are off by moves by the pick's own error, less what the map moves after it.
            let mut off = DMatrix::identity(readings, readings) - &linear.jacobian * &all;
            off *= survey.pick_sigma_px;
            let counted = |&mark: &usize| survey.counted.get(mark).copied().unwrap_or(true);
            let marks: Vec<usize> = (0..survey.picks.len()).filter(counted).collect();
            let coefficients = |axis: usize| {
                let rows: Vec<usize> = marks.iter().map(|mark| 2 * mark + axis).collect();
                let mut by_errors = DMatrix::zeros(doubt.by_residuals.nrows(), count);
                by_errors.columns_mut(0, readings).copy_from(&(&doubt.by_residuals * off.select_rows(&rows)));
                by_errors
                    .columns_mut(readings + axis * smoothed, smoothed)
                    .copy_from(&(&doubt.by_smoothing * survey.pick_sigma_px));
                by_errors
            };
            GridErrors { grid, across: coefficients(0), down: coefficients(1) }
        });
        Some(Self { survey, guess, numbers, grid, count })
    }

    /// How far the light at a surface place moves (mm); `None` on the horizon.
    fn shift(&self, place: Point) -> Option<Shift> {
        let Self { survey, guess, .. } = self;
        let s = survey.surface.enter(place);
        let [a, b, c, d, e, f, g, h] = guess.map;
        let w = g * s.x + h * s.y + 1.0;
        if w <= 0.0 {
            return None;
        }
        let (u, v) = ((a * s.x + b * s.y + c) / w, (d * s.x + e * s.y + f) / w);
        let mut by_numbers = SMatrix::<f64, 2, UNKNOWNS>::zeros();
        for (column, value) in [s.x, s.y, 1.0].into_iter().enumerate() {
            by_numbers[(0, column)] = value / w;
            by_numbers[(1, 3 + column)] = value / w;
        }
        for (column, value) in [s.x, s.y].into_iter().enumerate() {
            by_numbers[(0, 6 + column)] = -u * value / w;
            by_numbers[(1, 6 + column)] = -v * value / w;
        }
        let (mut unbent, mut lit) = (Matrix2::identity(), Point::new(u, v));
        if let Some(lens) = guess.lens {
            // The lens bends what the map moved and what its own numbers move; unbent, only the latter is new.
            let lens = lens.framed(survey.picture);
            let back = lens.jacobian(lit).inverse();
            for (column, change) in lens.changes(lit).into_iter().enumerate() {
                let change = back * change;
                by_numbers[(0, 8 + column)] = change.x;
                by_numbers[(1, 8 + column)] = change.y;
            }
            unbent = Matrix2::new(back.x_axis.x, back.y_axis.x, back.x_axis.y, back.y_axis.y);
            lit = lens.distort(lit);
        }
        let by_place = Matrix2::new(a - u * g, b - u * h, d - v * g, e - v * h) / w;
        let mut shift = by_numbers * &self.numbers;
        if let Some(grid) = &self.grid {
            shift += unbent * grid.shift(survey.picture.leave(lit), self.count) * survey.picture.scale;
        }
        Some(by_place.try_inverse()? * shift / survey.surface.scale)
    }
}

impl GridErrors<'_> {
    /// How far the grid moves light that map and lens throw at a place, in px.
    fn shift(&self, lit: Point, count: usize) -> Shift {
        let mut shift = Shift::zeros(count);
        for (index, weight) in self.grid.weights(lit) {
            for (axis, coefficients) in [&self.across, &self.down].into_iter().enumerate() {
                let mut row = shift.row_mut(axis);
                row += coefficients.row(index) * weight;
            }
        }
        let held = self.grid.held_back(lit);
        shift[(0, count - 1)] = held.x;
        shift[(1, count - 1)] = held.y;
        shift
    }
}

/// Takes from every shift the rigid motion that fits all of them best.
fn take_out_rigid(surface: &[Point], shifts: &mut [Shift]) -> Option<()> {
    let middle = super::order::centroid(surface);
    let reach = surface.iter().map(|&place| place.distance(middle)).fold(0.0, f64::max);
    let motion = |place: Point| {
        let arm: Vec2 = (place - middle) / reach;
        Matrix2x3::new(1.0, 0.0, -arm.y, 0.0, 1.0, arm.x)
    };
    let mut square = Matrix3::zeros();
    let mut along = OMatrix::<f64, Const<3>, Dyn>::zeros(shifts.first()?.ncols());
    for (&place, shift) in surface.iter().zip(shifts.iter()) {
        let motion = motion(place);
        square += motion.transpose() * motion;
        along += motion.transpose() * shift;
    }
    let best = square.try_inverse()? * along;
    for (&place, shift) in surface.iter().zip(shifts) {
        *shift -= motion(place) * &best;
    }
    Some(())
}
