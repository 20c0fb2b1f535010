//! Room in the light: the largest rectangle along the surface's axes that is lit all over.
//!
//! The light covers a convex quad. With right(y) and left(y) its borders at a level, the rectangle between two levels
//! is min(right) − max(left) wide, a concave function of the levels; so the logarithm of its area is concave, has one
//! summit, and two nested golden-section searches find it. Source of the search: Kiefer, Sequential minimax search for
//! a maximum (1953).

use super::solution::Aim;
use crate::geometry::{Point, Rect};

/// Rounds of a search; each leaves 0.618 of the range, so 60 leave 3·10⁻¹³ of it.
const ROUNDS: usize = 60;
/// The golden section's greater part.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

impl Aim {
    /// The largest rectangle with sides along the surface's axes that lies in the light, in mm.
    #[must_use]
    pub fn lit_rectangle(&self) -> Rect {
        largest_rectangle(&self.lit_quad())
    }
}

/// The largest upright rectangle in a convex outline.
pub(super) fn largest_rectangle(outline: &[Point]) -> Rect {
    let ys = outline.iter().map(|point| point.y);
    let (low, high) = (ys.clone().fold(f64::INFINITY, f64::min), ys.fold(f64::NEG_INFINITY, f64::max));
    if outline.len() < 3 || low.partial_cmp(&high) != Some(std::cmp::Ordering::Less) {
        return Rect::ZERO;
    }
    let area = |bottom: f64, top: f64| {
        let rect = between(outline, bottom, top);
        let (width, height) = (rect.width(), rect.height());
        // Below nothing the widths go on falling, which keeps the search on its slope.
        if width > 0.0 { width * height } else { width.min(0.0) }
    };
    let best_top = |bottom: f64| summit(bottom, high, |top| area(bottom, top));
    let bottom = summit(low, high, |bottom| area(bottom, best_top(bottom)));
    between(outline, bottom, best_top(bottom))
}

/// The widest rectangle between two levels of a convex outline; of negative width when there is none.
fn between(outline: &[Point], bottom: f64, top: f64) -> Rect {
    let (left_low, right_low) = borders(outline, bottom);
    let (left_high, right_high) = borders(outline, top);
    Rect { x0: left_low.max(left_high), y0: bottom, x1: right_low.min(right_high), y1: top }
}

/// Where a level enters and leaves a convex outline; infinities in the wrong order when it misses it.
pub(super) fn borders(outline: &[Point], level: f64) -> (f64, f64) {
    let ends = outline.iter().zip(outline.iter().cycle().skip(1));
    let mut range = (f64::INFINITY, f64::NEG_INFINITY);
    for (&a, &b) in ends {
        if (a.y - level) * (b.y - level) > 0.0 {
            continue;
        }
        let rise = b.y - a.y;
        let xs = if rise == 0.0 { [a.x, b.x] } else { [a.lerp(b, (level - a.y) / rise).x; 2] };
        for x in xs {
            range = (range.0.min(x), range.1.max(x));
        }
    }
    range
}

/// Where a function with one summit is largest.
pub(super) fn summit(mut from: f64, mut to: f64, height: impl Fn(f64) -> f64) -> f64 {
    let (mut a, mut b) = (to - GOLDEN * (to - from), from + GOLDEN * (to - from));
    let (mut at_a, mut at_b) = (height(a), height(b));
    for _ in 0..ROUNDS {
        if at_a < at_b {
            (from, a, at_a) = (a, b, at_b);
            b = from + GOLDEN * (to - from);
            at_b = height(b);
        } else {
            (to, b, at_b) = (b, a, at_a);
            a = to - GOLDEN * (to - from);
            at_a = height(a);
        }
    }
    f64::midpoint(from, to)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rectangle_is_its_own_largest() {
        let outline = [(-3.0, 1.0), (9.0, 1.0), (9.0, 6.0), (-3.0, 6.0)].map(Point::from);
        let found = largest_rectangle(&outline);
        let gap =
            (found.x0 + 3.0).abs() + (found.y0 - 1.0).abs() + (found.x1 - 9.0).abs() + (found.y1 - 6.0).abs();
        assert!(gap < 1e-6, "{found:?}");
    }

    #[test]
    fn in_a_triangle_it_is_half_of_the_area() {
        // Euclid's Elements VI.27: of parallelograms in a triangle that at half the height is largest.
        let outline = [(0.0, 0.0), (12.0, 0.0), (5.0, 8.0)].map(Point::from);
        let found = largest_rectangle(&outline);
        assert!((found.area() - 24.0).abs() < 1e-6, "{found:?}");
        assert!((found.height() - 4.0).abs() < 1e-3);
    }

    #[test]
    fn a_flat_outline_holds_nothing() {
        assert_eq!(largest_rectangle(&[Point::ORIGIN; 4]), Rect::ZERO);
        assert_eq!(largest_rectangle(&[]), Rect::ZERO);
    }
}
