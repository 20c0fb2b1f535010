//! Lines that are drawn whole on several pages and only clipped: they say exactly how the pages lie.
//!
//! A program that cuts a sheet most often draws all of it on every page and clips. What crosses a seam is
//! then on both pages, whole, and the two copies lie exactly on each other.

use super::super::drawing::Stroke;
use crate::geometry::{Point, Vec2};

/// Copies differ by less than this, in mm. Programs write coordinates to a hundredth of a point.
const COPY_MM: f64 = 0.02;

/// Whether two lines are copies of each other, wherever they lie.
pub(super) fn are_copies(a: &Stroke, b: &Stroke) -> bool {
    let (one, two) = (a.curve.segments(), b.curve.segments());
    if one.len() != two.len() || a.closed != b.closed || a.look != b.look {
        return false;
    }
    let moved = b.curve.start() - a.curve.start();
    let same = |p: Point, q: Point| (q - p - moved).hypot() <= COPY_MM;
    one.iter().zip(two).all(|(s, t)| same(s.eval(0.5), t.eval(0.5)) && same(s.end(), t.end()))
}

/// How far a line reaches, to tell one that says much from a tick that is like any other.
fn says_much(stroke: &Stroke) -> bool {
    let bounds = stroke.curve.bounding_box();
    stroke.curve.segments().len() > 1 && bounds.width().hypot(bounds.height()) > 10.0
}

/// Where the second page lies from the first by the lines that both draw; none when there are none, or when they
/// say different things.
pub(super) fn offset_of(first: &[&Stroke], second: &[&Stroke]) -> Option<Vec2> {
    let mut offsets: Vec<Vec2> = Vec::new();
    for a in first.iter().filter(|stroke| says_much(stroke)) {
        let copies: Vec<_> = second.iter().filter(|b| are_copies(a, b)).collect();
        // Of several copies nobody knows which is which.
        if let [copy] = copies[..] {
            offsets.push(a.curve.start() - copy.curve.start());
        }
    }
    let one = *offsets.first()?;
    offsets.iter().all(|offset| (*offset - one).hypot() <= 4.0 * COPY_MM).then_some(one)
}
