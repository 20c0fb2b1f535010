//! Steps of the arrow keys that begin coarse and grow finer by themselves.
//!
//! A mark that is off is passed once, then the way back halves: each reversal is a bisection. From 33 px off to within
//! half a px takes about nine presses; single pixels take 33. A run of presses one way doubles the step again, so a
//! mark that was turned about too early is not out of reach. Across and along are kept apart.

use crate::geometry::Vec2;

/// First step for a mark of which nothing is known, in px.
const COARSE_PX: f64 = 32.0;
/// Least first step, in px: what an eye tells.
const NEAR_PX: f64 = 0.5;
/// Largest step, in px.
const MOST_PX: f64 = 64.0;
/// Finest step, in px: half of what a careful eye tells.
const FINE_PX: f64 = 0.25;
/// First step as part of the standard deviation of where the mark may be: between 0.4 and 0.7 the mean of the presses
/// is flat (simulated, spreads from 1 to 100 px).
const STEP_PART: f64 = 0.4;
/// Presses one way after which each further one takes twice the step.
const RUN: u32 = 3;

/// How far the next press moves one mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nudger {
    across: Axis,
    along: Axis,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Axis {
    step_px: f64,
    /// Sign of the last press; 0 before the first.
    last: f64,
    /// Presses that way in a row.
    run: u32,
}

impl Nudger {
    const fn starting(step_px: f64) -> Self {
        let axis = Axis { step_px, last: 0.0, run: 0 };
        Self { across: axis, along: axis }
    }

    /// For a mark of which nothing is known.
    #[must_use]
    pub const fn coarse() -> Self {
        Self::starting(COARSE_PX)
    }

    /// For a mark that lies about its place with these standard deviations across and along, in px.
    #[must_use]
    pub fn within(sigma_px: Vec2) -> Self {
        // Powers of two, so that halving ends on the finest step; what is no number is not known.
        let step = |sigma: f64| {
            let step = (STEP_PART * sigma).log2().round().exp2();
            if step.is_nan() { COARSE_PX } else { step.clamp(NEAR_PX, MOST_PX) }
        };
        let axis = |sigma: f64| Axis { step_px: step(sigma), last: 0.0, run: 0 };
        Self { across: axis(sigma_px.x), along: axis(sigma_px.y) }
    }

    /// How far a press moves the mark, in px; `way` is where the arrow points in the picture, and only its signs count.
    pub fn press(&mut self, way: (f64, f64)) -> Vec2 {
        Vec2::new(self.across.press(way.0), self.along.press(way.1))
    }
}

impl Axis {
    fn press(&mut self, way: f64) -> f64 {
        if way == 0.0 || way.is_nan() {
            return 0.0;
        }
        let sign = way.signum();
        if sign * self.last < 0.0 {
            self.step_px = (self.step_px / 2.0).max(FINE_PX);
            self.run = 0;
        } else if self.run >= RUN {
            self.step_px = (self.step_px * 2.0).min(MOST_PX);
        }
        self.last = sign;
        self.run = self.run.saturating_add(1);
        sign * self.step_px
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Presses until a mark is within `good` px of its place, on one axis.
    fn presses(mut nudger: Nudger, off: f64, good: f64) -> u32 {
        let (mut off, mut count) = (off, 0);
        while off.abs() > good {
            off += nudger.press((-off, 0.0)).x;
            count += 1;
            assert!(count < 100, "it never arrives");
        }
        count
    }

    #[test]
    fn any_mark_arrives_and_far_ones_do_not_take_long() {
        for tenths in -4000..4000_i32 {
            let off = f64::from(tenths) / 10.0;
            let count = presses(Nudger::coarse(), off, 0.4);
            let limit = if off.abs() < 40.0 { 14 } else { 30 };
            assert!(count <= limit, "{off}: {count}");
            let near = Nudger::within(Vec2::new(6.0, 6.0));
            assert!(presses(near, off.min(60.0), 0.4) <= 30);
        }
    }

    #[test]
    fn a_reversal_halves_the_step_and_a_run_doubles_it() {
        let mut nudger = Nudger::coarse();
        let steps: Vec<f64> = [1.0, -1.0, 1.0, 1.0, 1.0, 1.0].map(|way| nudger.press((way, 0.0)).x).to_vec();
        assert_eq!(steps, [32.0, -16.0, 8.0, 8.0, 8.0, 16.0]);
        assert_eq!(nudger.press((0.0, -1.0)), Vec2::new(0.0, -32.0), "along is kept apart");
        assert_eq!(nudger.press((f64::NAN, 0.0)), Vec2::ZERO);
    }

    #[test]
    fn the_first_step_is_as_coarse_as_the_mark_is_uncertain() {
        let mut nudger = Nudger::within(Vec2::new(20.0, 0.1));
        assert_eq!(nudger.press((1.0, 1.0)), Vec2::new(8.0, 0.5));
        let mut lost = Nudger::within(Vec2::new(f64::NAN, 1e9));
        assert_eq!(lost.press((1.0, 1.0)), Vec2::new(32.0, 64.0));
    }
}
