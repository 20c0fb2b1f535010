//! Finding a cloth again after it was moved: crosses picked before and after give the motion between.
//!
//! A cross is picked in the stand where it is laid, which says where it is on the cloth; picked in the next stand it
//! says where it is on the surface. Turn and shift are fitted to the pairs (`motion`), never a scale: when the
//! distance of two crosses has changed by more than a limit (1 mm by common practice) the cloth is stretched or a
//! cross is picked wrongly, and no motion is given. Of more than two crosses the change is taken from all of them
//! together, by the scale that would fit best, and a single one off by more than the limit is named.
//!
//! With weights w = 1/σ² of each pair, in x and in y alike, the shift at the crosses' weighted centroid has variance
//! 1/Σw in x and in y, and the turn 1/Σ(w·r²) with r the distance from the centroid; the two are not correlated. Each
//! move adds its own error, so over a chain of moves variances add.
//!
//! Limits: picks only. What the aim itself is off by is the same in every stand and adds up like a bend; the error
//! map tells how much that may be.

use super::crosses::APART_MM;
use super::measured::{Measured, MeasuredMark};
use super::motion::Motion;
use super::solution::Aim;
use super::stand_error::StandError;
use crate::geometry::{Point, Vec2};

/// The distance of two crosses may change by this much between two stands, in mm (common practice). Picks of 0.4 px
/// where a pixel is 0.6 mm make one change in twenty larger by chance; an aim that bends does too, at every move.
pub const STRETCH_MM: f64 = 1.0;

/// A cross on the cloth, as it was picked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cross {
    /// Its place on the cloth, in mm.
    pub cloth: Point,
    /// Standard deviation of the place in x and in y, in mm.
    pub sigma_mm: f64,
}

/// How a cloth lies, by its crosses.
#[derive(Debug, Clone, PartialEq)]
pub struct Registration {
    /// From the cloth to the surface.
    pub surface_from_cloth: Motion,
    /// How far each cross is from where the motion puts it, in mm.
    pub residuals_mm: Vec<f64>,
    /// The crosses' weighted centroid on the cloth: what the cloth may be turned about.
    pub pivot: Point,
    /// Standard deviation of the shift at the pivot, in x and in y, in mm.
    pub shift_sigma_mm: f64,
    /// Standard deviation of the turn, in radians.
    pub turn_sigma: f64,
}

impl Registration {
    /// How far this move may have put a place of the cloth off: root of the summed variances in x and y, in mm.
    #[must_use]
    pub fn sigma_mm(&self, cloth: Point) -> f64 {
        let turned = self.turn_sigma * cloth.distance(self.pivot);
        (2.0 * self.shift_sigma_mm.powi(2) + turned * turned).sqrt()
    }
}

/// How far a place of the cloth may be off after several moves: root of the summed variances in x and y, in mm.
#[must_use]
pub fn drift_sigma_mm(moves: &[Registration], cloth: Point) -> f64 {
    let variances = moves.iter().map(|moved| moved.sigma_mm(cloth).powi(2));
    variances.sum::<f64>().sqrt()
}

impl Aim {
    /// A cross where it is picked (px), on a cloth that lies as `surface_from_cloth` says; `None` where no light
    /// falls.
    #[must_use]
    pub fn cross_at(&self, surface_from_cloth: &Motion, pick: Point) -> Option<Cross> {
        let (surface, sigma_mm) = self.top_of_cloth(pick)?;
        Some(Cross { cloth: surface_from_cloth.inverse().apply(surface), sigma_mm })
    }

    /// How the cloth lies, from crosses picked again (px) after it was moved, in their order; `stretch_mm` is how far
    /// their distance may have changed ([`STRETCH_MM`]).
    ///
    /// # Errors
    /// [`StandError`] when there are too few crosses, when none are 300 mm apart, or when two of them are not as far
    /// from each other as they were.
    pub fn register(
        &self,
        crosses: &[Cross],
        picks: &[Point],
        stretch_mm: f64,
    ) -> Result<Registration, StandError> {
        if crosses.len() != picks.len() {
            return Err(StandError::Unpaired { crosses: crosses.len(), picks: picks.len() });
        }
        let count = crosses.len();
        let mut surface = Vec::new();
        let mut weights = Vec::new();
        for (cross, &pick) in picks.iter().enumerate() {
            let (place, sigma) = self.top_of_cloth(pick).ok_or(StandError::OutOfLight { cross })?;
            surface.push(place);
            weights.push((sigma * sigma + crosses[cross].sigma_mm.powi(2)).recip());
        }
        let cloth: Vec<Point> = crosses.iter().map(|cross| cross.cloth).collect();
        let pairs = || (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b)));
        let apart = |(a, b): (usize, usize)| cloth[a].distance(cloth[b]);
        let furthest = pairs().max_by(|&a, &b| apart(a).total_cmp(&apart(b)));
        let (first, second) = furthest.ok_or(StandError::TooFewCrosses { count })?;
        let fit = Motion::best(&cloth, &surface, &weights);
        let (Some((motion, pivot)), true) = (fit, apart((first, second)) >= APART_MM) else {
            return Err(StandError::CrossesTooClose {
                first,
                second,
                distance_mm: apart((first, second)),
                apart_mm: APART_MM,
            });
        };
        let was_mm = apart((first, second));
        let is_mm = was_mm * scale(&cloth, &surface, &weights);
        if (is_mm - was_mm).abs() > stretch_mm {
            return Err(StandError::Stretched { first, second, was_mm, is_mm });
        }
        let residuals_mm: Vec<f64> = cloth
            .iter()
            .zip(&surface)
            .map(|(cloth, surface)| motion.apply(*cloth).distance(*surface))
            .collect();
        let worst = (0..count).max_by(|&a, &b| residuals_mm[a].total_cmp(&residuals_mm[b]));
        if let Some(cross) = worst.filter(|&cross| count > 2 && residuals_mm[cross] > stretch_mm) {
            return Err(StandError::CrossOff { cross, off_mm: residuals_mm[cross] });
        }
        let arms: f64 =
            cloth.iter().zip(&weights).map(|(place, weight)| weight * place.distance_squared(pivot)).sum();
        Ok(Registration {
            surface_from_cloth: motion,
            residuals_mm,
            pivot,
            shift_sigma_mm: weights.iter().sum::<f64>().recip().sqrt(),
            turn_sigma: arms.recip().sqrt(),
        })
    }

    /// What to solve when the projector is moved and the cloth stays: the crosses, where they lie on the surface,
    /// are the marks of the new aim. Four or more are needed, spread over the new picture.
    ///
    /// # Errors
    /// [`StandError::Unpaired`] when there is not one pick (px) for every cross.
    pub fn measured_by_crosses(
        &self,
        crosses: &[Cross],
        surface_from_cloth: &Motion,
        picks: &[Point],
    ) -> Result<Measured, StandError> {
        if crosses.len() != picks.len() {
            return Err(StandError::Unpaired { crosses: crosses.len(), picks: picks.len() });
        }
        let mark = |(cross, pick): (&Cross, &Point)| {
            let place = surface_from_cloth.apply(cross.cloth);
            MeasuredMark::new((*pick).into(), Some(place.into()))
        };
        let marks = crosses.iter().zip(picks).map(mark).collect();
        Ok(Measured { cloth: self.cloth(), ..Measured::new(self.picture_size(), marks, Vec::new()) })
    }

    /// Where a place on the top of the cloth, as it lies on the surface (mm), is lit in the picture (px), lens and all;
    /// `None` behind the horizon.
    #[must_use]
    pub fn picture_of_cloth(&self, place: Point) -> Option<Point> {
        Some(self.bent(self.picture_from_cloth().map(place)?))
    }

    /// The place on the top of the cloth, as it lies on the surface (mm), that a place of the picture (px) lights.
    #[must_use]
    pub fn cloth_of(&self, picture: Point) -> Option<Point> {
        self.top_of_cloth(picture).map(|(place, _)| place)
    }

    /// The place on the top of the cloth that a pick (px) lights, and the standard deviation of a pick there in mm.
    pub(super) fn top_of_cloth(&self, pick: Point) -> Option<(Point, f64)> {
        let pick = self.straightened(pick);
        let map = self.picture_from_cloth();
        let back = map.matrix().inverse();
        let lifted = back * glam::DVec3::new(pick.x, pick.y, 1.0);
        let place = Point::new(lifted.x / lifted.z, lifted.y / lifted.z);
        let (most, least) = map.stretch(place)?;
        let (coarse, fine) = (least.recip(), most.recip());
        let sigma = self.pick_sigma_px() * f64::midpoint(coarse * coarse, fine * fine).sqrt();
        (place.is_finite() && sigma.is_finite()).then_some((place, sigma))
    }
}

/// How many times larger than the first points the second ones are, by their weighted spread about the centroids.
fn scale(from: &[Point], to: &[Point], weights: &[f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    let spread = |points: &[Point]| {
        let weighed = || points.iter().zip(weights);
        let mean =
            weighed().fold(Vec2::ZERO, |mean, (point, weight)| mean + point.to_vec2() * (weight / sum));
        let squares = weighed().map(|(point, weight)| weight * (point.to_vec2() - mean).hypot2());
        squares.sum::<f64>()
    };
    (spread(to) / spread(from)).sqrt()
}
