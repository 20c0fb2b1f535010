//! A circular arc that stays a circle's arc.

use kurbo::{Affine, Point, Vec2};

/// An arc of a circle, from an angle through a sweep, in mm and radians.
///
/// Angles are measured from the x axis towards the y axis, so with y up a positive sweep travels
/// counter-clockwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CircularArc {
    /// Centre of the circle.
    pub center: Point,
    /// Radius in mm, positive.
    pub radius: f64,
    /// Angle of the first point, in radians.
    pub start_angle: f64,
    /// Signed angle travelled, in radians.
    pub sweep: f64,
}

impl CircularArc {
    /// The arc that starts at `start`, turns about `center` and travels `sweep` radians.
    #[must_use]
    pub fn about(center: Point, start: Point, sweep: f64) -> Self {
        let spoke = start - center;
        Self { center, radius: spoke.hypot(), start_angle: spoke.atan2(), sweep }
    }

    /// The point at parameter `t` in 0..=1; beyond it the same circle goes on.
    #[must_use]
    pub fn eval(&self, t: f64) -> Point {
        self.center + self.radius * Vec2::from_angle(self.start_angle + t * self.sweep)
    }

    /// Derivative by `t`, in mm.
    #[must_use]
    pub fn deriv(&self, t: f64) -> Vec2 {
        let angle = self.start_angle + t * self.sweep;
        self.radius * self.sweep * Vec2::new(-angle.sin(), angle.cos())
    }

    /// Arc length in mm: radius × |sweep|.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.radius * self.sweep.abs()
    }

    /// The part from `t0` to `t1`; values outside 0..=1 go on along the circle.
    #[must_use]
    pub fn subsegment(&self, t0: f64, t1: f64) -> Self {
        Self { start_angle: self.start_angle + t0 * self.sweep, sweep: (t1 - t0) * self.sweep, ..*self }
    }

    /// The same points, travelled the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self { start_angle: self.start_angle + self.sweep, sweep: -self.sweep, ..*self }
    }

    /// The arc moved by a rigid motion, with or without a mirror. (A stretch would make an ellipse: only
    /// the length of the image of the first spoke is looked at.)
    #[must_use]
    pub fn transformed(&self, motion: Affine) -> Self {
        let sweep = if motion.determinant() < 0.0 { -self.sweep } else { self.sweep };
        Self::about(motion * self.center, motion * self.eval(0.0), sweep)
    }

    /// The parameter of the place on the whole circle that lies in the direction of `point`, taken within
    /// half a turn of the middle of the arc.
    #[must_use]
    pub fn parameter_towards(&self, point: Point) -> f64 {
        let middle = self.start_angle + 0.5 * self.sweep;
        let off_middle = (point - self.center).atan2() - middle;
        let wrapped = off_middle.sin().atan2(off_middle.cos());
        0.5 + wrapped / self.sweep
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    #[test]
    fn a_quarter_circle_has_the_length_of_a_quarter_circle() {
        let arc = CircularArc::about(Point::ORIGIN, Point::new(100.0, 0.0), FRAC_PI_2);
        assert!((arc.length() - 50.0 * PI).abs() < 1e-12);
        assert!((arc.eval(1.0) - Point::new(0.0, 100.0)).hypot() < 1e-12);
    }

    #[test]
    fn a_mirror_turns_the_sweep_round_and_keeps_the_points() {
        let arc = CircularArc::about(Point::new(3.0, 4.0), Point::new(100.0, 0.0), 0.7);
        let mirror = Affine::scale_non_uniform(-1.0, 1.0);
        let mirrored = arc.transformed(mirror);
        for t in [0.0, 0.3, 1.0] {
            assert!((mirrored.eval(t) - mirror * arc.eval(t)).hypot() < 1e-9);
        }
    }

    #[test]
    fn the_parameter_towards_a_point_of_the_arc_is_its_own() {
        for sweep in [0.7, -2.9, 3.1] {
            let arc = CircularArc::about(Point::new(3.0, 4.0), Point::new(100.0, 0.0), sweep);
            for t in [0.0, 0.25, 1.0] {
                assert!((arc.parameter_towards(arc.eval(t)) - t).abs() < 1e-9);
            }
        }
    }
}
