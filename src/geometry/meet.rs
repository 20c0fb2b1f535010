//! Two curves brought to a common end: trimmed where they cross, carried on where they fall short.

use super::tolerance::JOIN_MM;
use super::{Curve, Segment, crossings};
use kurbo::Point;

impl Curve {
    /// The curve carried on by `before` mm at its start and `after` mm at its end: lines go on straight, arcs
    /// along their circle, cubics straight in the direction of their end.
    #[must_use]
    pub fn extended(&self, before: f64, after: f64) -> Self {
        let longer = carried_on(self.segments().to_vec(), after);
        let mut turned: Vec<_> = longer.iter().rev().map(Segment::reversed).collect();
        turned = carried_on(turned, before);
        let segments = turned.iter().rev().map(Segment::reversed).collect();
        // Each stretch begins where the one before ends, by construction.
        Self::new(segments).unwrap_or_else(|_| self.clone())
    }
}

/// Whole turn that a carried-on arc stays below, so that it cannot meet itself.
const LARGEST_SWEEP: f64 = 6.2;

fn carried_on(mut segments: Vec<Segment>, by: f64) -> Vec<Segment> {
    if by <= 0.0 {
        return segments;
    }
    let Some(last) = segments.last_mut() else {
        return segments;
    };
    match last {
        Segment::Line(line) if line.p0 != line.p1 => {
            line.p1 += by * (line.p1 - line.p0).normalize();
        }
        Segment::Arc(arc) if arc.length() > 0.0 => {
            let longer = (arc.sweep.abs() + by / arc.radius).min(LARGEST_SWEEP.max(arc.sweep.abs()));
            arc.sweep = longer.copysign(arc.sweep);
        }
        _ => {
            let (end, ahead) = (last.end(), last.tangent(1.0));
            segments.push(Segment::line(end, end + by * ahead));
        }
    }
    segments
}

/// `before` and `after` with a common end: both carried on by up to `reach` mm past the ends that shall meet
/// (the end of `before`, the start of `after`) and cut at the crossing closest to `near`. `None` when they
/// don't cross within reach, or nothing would be left of one.
#[must_use]
pub fn brought_together(before: &Curve, after: &Curve, near: Point, reach: f64) -> Option<(Curve, Curve)> {
    if before.end().distance(after.start()) <= 1e-9 {
        return Some((before.clone(), after.clone()));
    }
    let (first, second) = (before.extended(0.0, reach), after.extended(reach, 0.0));
    let meeting = crossings(&first, &second)
        .into_iter()
        .min_by(|a, b| a.at.distance(near).total_cmp(&b.at.distance(near)));
    let Some(meeting) = meeting else {
        // Smooth neighbours that already touch run along each other where they are carried on.
        let touching = before.end().distance(after.start()) <= JOIN_MM;
        return touching.then(|| closed_up(before.clone(), after.clone()));
    };
    let kept = first.portion(0.0, meeting.on_first)?;
    let rest = second.portion(meeting.on_second, f64::INFINITY)?;
    Some(closed_up(kept, rest))
}

/// Closes a gap of rounding size on a segment that stays what it is: an arc bent to another end would not.
fn closed_up(kept: Curve, rest: Curve) -> (Curve, Curve) {
    let is_arc = |segment: Option<&Segment>| matches!(segment, Some(Segment::Arc(_)));
    match (is_arc(kept.segments().last()), is_arc(rest.segments().first())) {
        (true, true) => (kept, rest),
        (true, false) => {
            let rest = rest.with_ends(kept.end(), rest.end());
            (kept, rest)
        }
        (false, _) => (kept.with_ends(kept.start(), rest.start()), rest),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    #[test]
    fn a_line_that_falls_short_stays_one_line_and_an_arc_one_arc() {
        let arc = Curve::arc(Point::ORIGIN, Point::new(100.0, 0.0), FRAC_PI_2);
        let line = Curve::line(Point::new(-20.0, 90.0), Point::new(-20.0, 0.0));
        let (hem, side) = brought_together(&arc, &line, Point::new(-20.0, 98.0), 60.0).unwrap();
        assert_eq!((hem.segments().len(), side.segments().len()), (1, 1));
        assert!((hem.end().x + 20.0).abs() < 1e-9 && (hem.end().to_vec2().hypot() - 100.0).abs() < 1e-9);
        assert!((hem.end() - side.start()).hypot() < 1e-6);
    }

    #[test]
    fn curves_that_cross_are_cut_at_the_crossing_nearest_to_the_corner() {
        let base = Curve::line(Point::new(0.0, 10.0), Point::new(100.0, 10.0));
        let side = Curve::line(Point::new(80.0, 0.0), Point::new(80.0, 50.0));
        let (base, side) = brought_together(&base, &side, Point::new(80.0, 0.0), 5.0).unwrap();
        assert!((base.length() - 80.0).abs() < 1e-9 && (side.length() - 40.0).abs() < 1e-9);
    }

    #[test]
    fn parallels_never_meet() {
        let lower = Curve::line(Point::ORIGIN, Point::new(10.0, 0.0));
        let upper = Curve::line(Point::new(20.0, 5.0), Point::new(40.0, 5.0));
        assert!(brought_together(&lower, &upper, Point::new(15.0, 0.0), 100.0).is_none());
    }
}
