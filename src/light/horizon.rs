//! What lies behind the lens or absurdly far outside the picture is cut off before it is drawn.
//!
//! The stroke shader expands lines in pixels, where a point behind the horizon has no place, and a point a
//! million pixels away has lost its digits. So a stretch is clipped on the surface, in f64, to the region that
//! maps into the picture with a wide guard around it: four half-planes, linear in homogeneous pixels, which
//! together imply w > 0. Fills need none of this: w is carried and the rasteriser clips.

use super::stroke::{Stretch, pair, single};
use crate::geometry::Point;
use glam::{DMat3, DVec3};

/// How far outside the picture lines are still drawn as they are, in px; f32 keeps a two-hundredth of a pixel
/// there.
const GUARD_PX: f64 = 16_384.0;

/// The part of the surface that is worth drawing under one aim.
#[derive(Debug, Clone, Copy)]
pub(super) struct Horizon {
    /// Homogeneous px from mm (of the drawing's origin).
    matrix: DMat3,
    width_px: f64,
    height_px: f64,
}

impl Horizon {
    pub(super) const fn new(matrix: DMat3, width_px: f64, height_px: f64) -> Self {
        Self { matrix, width_px, height_px }
    }

    /// Signed amounts that are all ≥ 0 inside, linear in the place.
    fn insides(&self, at: Point) -> [f64; 4] {
        let p = self.matrix * DVec3::new(at.x, at.y, 1.0);
        [
            p.x + GUARD_PX * p.z,
            (self.width_px + GUARD_PX) * p.z - p.x,
            p.y + GUARD_PX * p.z,
            (self.height_px + GUARD_PX) * p.z - p.y,
        ]
    }

    /// Whether a place is worth drawing as it is.
    pub(super) fn holds(&self, at: Point) -> bool {
        self.insides(at).iter().all(|&inside| inside > 0.0)
    }

    /// The share of the way from `from` to `to` at which the inside begins and ends.
    fn portion(&self, from: Point, to: Point) -> Option<(f64, f64)> {
        let (mut begin, mut end) = (0.0_f64, 1.0_f64);
        for (a, b) in self.insides(from).into_iter().zip(self.insides(to)) {
            match (a > 0.0, b > 0.0) {
                (true, true) => {}
                (false, false) => return None,
                (false, true) => begin = begin.max(a / (a - b)),
                (true, false) => end = end.min(a / (a - b)),
            }
        }
        (begin < end).then_some((begin, end))
    }

    /// The visible part of a stretch; arc lengths keep their place, a cut end is free.
    pub(super) fn clip(&self, stretch: &Stretch) -> Option<Stretch> {
        let [before, from, to, after] = [stretch.before, stretch.from, stretch.to, stretch.after]
            .map(|[x, y]| Point::new(x.into(), y.into()));
        let (begin, end) = self.portion(from, to)?;
        let mut clipped = *stretch;
        let [arc_from, arc_to] = stretch.arc_mm.map(f64::from);
        if begin > 0.0 {
            clipped.from = pair(from.lerp(to, begin));
            clipped.before = clipped.from;
            clipped.arc_mm[0] = single(arc_from + begin * (arc_to - arc_from));
        } else if let Some((_, reach)) = self.portion(from, before) {
            clipped.before = pair(from.lerp(before, reach));
        }
        if end < 1.0 {
            clipped.to = pair(from.lerp(to, end));
            clipped.after = clipped.to;
            clipped.arc_mm[1] = single(arc_from + end * (arc_to - arc_from));
        } else if let Some((_, reach)) = self.portion(to, after) {
            clipped.after = pair(to.lerp(after, reach));
        }
        Some(clipped)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Straight down at first, the horizon at x = 1000 mm.
    fn tilted() -> Horizon {
        Horizon::new(
            DMat3::from_cols(
                DVec3::new(1.0, 0.0, -0.001),
                DVec3::new(0.0, 1.0, 0.0),
                DVec3::new(0.0, 0.0, 1.0),
            ),
            1920.0,
            1080.0,
        )
    }

    fn stretch(from: [f32; 2], to: [f32; 2]) -> Stretch {
        Stretch {
            before: from,
            from,
            to,
            after: to,
            arc_mm: [0.0, (to[0] - from[0]).hypot(to[1] - from[1])],
            lit_mm: [0.0, 1e4],
            width_mm: 1.0,
            least_px: 1.0,
            on_mm: 0.0,
            off_mm: 0.0,
            colour: [1.0; 4],
        }
    }

    #[test]
    fn what_is_in_the_picture_stays_as_it_is() {
        let whole = stretch([0.0, 100.0], [500.0, 100.0]);
        assert_eq!(tilted().clip(&whole), Some(whole));
    }

    #[test]
    fn a_line_through_the_horizon_ends_before_it_with_its_arc_length() {
        let clipped = tilted().clip(&stretch([0.0, 100.0], [3000.0, 100.0])).unwrap();
        let [x, _] = clipped.to;
        // (W + G)·w = x with w = 1 - x/1000
        let expected = (1920.0 + GUARD_PX) / (1.0 + (1920.0 + GUARD_PX) / 1000.0);
        assert!((f64::from(x) - expected).abs() < 1e-3, "{x} for {expected}");
        assert!((clipped.arc_mm[1] - x).abs() < 1e-3);
    }

    #[test]
    fn what_lies_behind_is_not_drawn() {
        assert_eq!(tilted().clip(&stretch([1500.0, 0.0], [3000.0, 100.0])), None);
        assert!(!tilted().holds(Point::new(1500.0, 0.0)));
    }

    #[test]
    fn a_neighbour_behind_the_horizon_keeps_its_direction() {
        let mut last = stretch([0.0, 100.0], [500.0, 100.0]);
        last.after = [5000.0, 600.0];
        let clipped = tilted().clip(&last).unwrap();
        let [x, y] = clipped.after;
        assert!(x < 1000.0 && x > 500.0);
        assert!(((y - 100.0) / (x - 500.0) - 500.0 / 4500.0).abs() < 1e-4);
    }
}
