//! The outer edge of a strip of constant width, where the line bends too sharply for a parallel.
//!
//! Where a line bends inwards with a radius below the width, its true parallel turns back in a loop (a swallow's
//! tail). What a blade can follow is the edge of the strip: the parallels of the gentle parts, cut where they
//! cross. Where the sharp bend reaches an end of the line, what is left out depends on what comes next; the
//! way back of the loop is then given apart, to be cut against it.

use super::parallel::OFFSET_MM;
use super::{CircularArc, Curve, ParallelError, Segment, crossings, parallel};
use kurbo::{BezPath, Vec2, offset::offset_cubic};

/// A parallel without its loops.
#[derive(Debug, Clone, PartialEq)]
pub struct Cleared {
    /// The strip's edge.
    pub curve: Curve,
    /// Where a sharp bend reaches the start: its parallel, which runs against the line's travel and ends where
    /// `curve` starts.
    pub start_tail: Option<Curve>,
    /// Where a sharp bend reaches the end: its parallel, which begins where `curve` ends and runs against the
    /// line's travel.
    pub end_tail: Option<Curve>,
}

/// Share of the radius up to which a bend counts as gentle; just below 1, where the parallel has a cusp.
const GENTLE: f64 = 0.999;

/// Samples of a segment between which a sharp bend cannot hide.
const SAMPLES: u32 = 128;

/// Halvings that place the end of a sharp bend within a billionth of the segment.
const HALVINGS: u32 = 24;

/// The edge of the strip of `distance` mm beside `curve`; positive lies to the left of travel (y up).
///
/// # Errors
/// [`ParallelError`] when nothing gentle is left, or two gentle parts don't cross beside a sharp bend.
pub fn cleared_parallel(curve: &Curve, distance: f64) -> Result<Cleared, ParallelError> {
    let folds = match parallel(curve, distance) {
        Ok(curve) => {
            return Ok(Cleared { curve, start_tail: None, end_tail: None });
        }
        Err(folds) => folds,
    };
    let (mut parts, mut part) = (Vec::new(), Vec::new());
    // What is sharp before the first gentle part, and after the last.
    let (mut leading, mut trailing): (Vec<Segment>, Vec<Segment>) = (Vec::new(), Vec::new());
    let mut any_gentle = false;
    for segment in curve.segments() {
        let mut done = 0.0;
        for (t0, t1) in gentle_stretches(segment, distance) {
            if t0 > done {
                let sharp = segment.subsegment(done, t0);
                if any_gentle { trailing.push(sharp) } else { leading.push(sharp) }
            }
            if !trailing.is_empty() && !part.is_empty() {
                parts.push(std::mem::take(&mut part));
            }
            trailing.clear();
            part.push(segment.subsegment(t0, t1));
            (done, any_gentle) = (t1, true);
        }
        if done < 1.0 {
            let sharp = segment.subsegment(done, 1.0);
            if any_gentle { trailing.push(sharp) } else { leading.push(sharp) }
        }
    }
    if !part.is_empty() {
        parts.push(part);
    }
    let mut kept: Option<Curve> = None;
    for part in parts {
        let Ok(line) = Curve::new(part) else { continue };
        let next = parallel(&line, distance)?;
        kept = Some(match kept {
            None => next,
            Some(before) => cut_at_crossing(&before, &next).ok_or_else(|| folds.clone())?,
        });
    }
    Ok(Cleared {
        curve: kept.ok_or(folds)?,
        start_tail: way_back(&leading, distance),
        end_tail: way_back(&trailing, distance),
    })
}

/// The parallel of sharp bends; it runs against their travel.
fn way_back(sharp: &[Segment], distance: f64) -> Option<Curve> {
    let mut segments = Vec::new();
    for segment in sharp {
        match segment {
            Segment::Line(_) => {}
            Segment::Arc(arc) => {
                let tangent = segment.tangent(0.0);
                let start = segment.start() + distance * Vec2::new(-tangent.y, tangent.x);
                segments.push(Segment::Arc(CircularArc::about(arc.center, start, arc.sweep)));
            }
            Segment::Cubic(cubic) => {
                let mut path = BezPath::new();
                offset_cubic(*cubic, distance, OFFSET_MM, &mut path);
                segments.extend(path.segments().map(Segment::from));
            }
        }
    }
    Curve::new(segments).ok()
}

/// The first curve up to where the second crosses it, and the second from there.
fn cut_at_crossing(before: &Curve, after: &Curve) -> Option<Curve> {
    let crossing = crossings(before, after).into_iter().next()?;
    let kept = before.portion(0.0, crossing.on_first)?;
    let rest = after.portion(crossing.on_second, f64::INFINITY)?;
    kept.joined(&rest).ok()
}

/// Parameter ranges in which a segment bends to the side of the parallel with more than the distance as radius.
fn gentle_stretches(segment: &Segment, distance: f64) -> Vec<(f64, f64)> {
    let is_gentle = |t: f64| segment.curvature(t) * distance < GENTLE;
    let edge_between = |mut inside: f64, mut outside: f64| {
        for _ in 0..HALVINGS {
            let middle = 0.5 * (inside + outside);
            if is_gentle(middle) {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        inside
    };
    let mut stretches = Vec::new();
    let mut open = is_gentle(0.0).then_some(0.0);
    for step in 1..=SAMPLES {
        let (before, t) = (f64::from(step - 1) / f64::from(SAMPLES), f64::from(step) / f64::from(SAMPLES));
        match (open, is_gentle(t)) {
            (None, true) => open = Some(edge_between(t, before)),
            (Some(from), false) => {
                let to = edge_between(before, t);
                if to > from {
                    stretches.push((from, to));
                }
                open = None;
            }
            _ => {}
        }
    }
    stretches.extend(open.map(|from| (from, 1.0)));
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Point;

    fn hairpin() -> Curve {
        // Bends to the left with a radius of some 10 mm in its middle.
        Curve::cubic(
            Point::new(-60.0, 60.0),
            Point::new(-5.0, -20.0),
            Point::new(5.0, -20.0),
            Point::new(60.0, 60.0),
        )
    }

    #[test]
    fn a_gentle_line_has_its_parallel() {
        let cleared = cleared_parallel(&hairpin(), -15.0).unwrap();
        assert_eq!(cleared.curve, parallel(&hairpin(), -15.0).unwrap());
    }

    #[test]
    fn the_strip_around_a_hairpin_is_never_narrower_than_its_width() {
        assert!(parallel(&hairpin(), 25.0).is_err());
        let cleared = cleared_parallel(&hairpin(), 25.0).unwrap();
        assert!(cleared.start_tail.is_none() && cleared.end_tail.is_none());
        let length = cleared.curve.length();
        for step in 0..=200 {
            let point = cleared.curve.point_at(length * f64::from(step) / 200.0);
            let (_, off) = hairpin().nearest(point);
            assert!((off - 25.0).abs() < 2e-3, "{off} at {step}");
        }
    }

    #[test]
    fn a_sharp_bend_at_an_end_is_told() {
        let hook = Curve::cubic(
            Point::new(0.0, 403.0),
            Point::new(41.0, 403.0),
            Point::new(72.8, 413.6),
            Point::new(76.5, 425.0),
        );
        let cleared = cleared_parallel(&hook, 15.0).unwrap();
        assert!(cleared.start_tail.is_none());
        let tail = cleared.end_tail.unwrap();
        assert!(tail.start().distance(cleared.curve.end()) < 0.01);
        let square = hook.end() + 15.0 * Vec2::new(-hook.end_tangent().y, hook.end_tangent().x);
        assert!(tail.end().distance(square) < 1e-3);
        assert!(tail.end_tangent().dot(hook.end_tangent()) < -0.99, "it runs against the line");
    }
}
