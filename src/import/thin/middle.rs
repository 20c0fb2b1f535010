//! The line in the middle between the two sides of a thin shape.
//!
//! One side is moved inwards by half of the width. Corners are put where the side on the inside of the bend has its
//! own: there a pen of any kind (mitred, bevelled, round) leaves a clean corner, so that the middle turns in one place
//! as the line did before it was outlined.

use super::rim::{Rim, Spot, away};
use super::{THICKEST_MM, THINNEST_MM};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Curve, Line, Point, Segment, Vec2, parallel};

/// The width of a line varies by less than this, in mm: what programs round when they outline, and less than a
/// chalk line would show.
const EVEN_MM: f64 = 0.03;

/// The sides of a line bend apart by more than this at a corner, in radians (10°). Smaller turns are those of
/// curves drawn as short lines.
const CORNER: f64 = 0.175;

/// Near a corner the sides lie further apart, in widths.
const AT_CORNER: f64 = 3.0;

/// Near an end they are told by the end, in widths.
const AT_END: f64 = 1.0;

/// Places at which the width is measured.
const PLACES: usize = 400;

/// A corner of the middle line: from where to where the first side turns there, and its point.
struct Corner {
    from: Spot,
    to: Spot,
    at: Point,
}

/// The middle between two sides, both with the shape on their left, in the direction of the first; and the width.
/// Nothing where the width is not even.
pub(super) fn between(side: &Rim, other: &Rim, closed: bool) -> Option<(Curve, f64)> {
    let (chords, other_chords) = (side.chords(), other.chords());
    let width = usual_width(&chords, &other_chords)?;
    if !(THINNEST_MM..=THICKEST_MM).contains(&width) {
        return None;
    }
    let corners = corners_of(side, other, width)?;
    let segments = laid(side, &corners, width, closed)?;
    let line = Curve::new(segments).ok()?;
    let line = if closed { closed_up(&line)? } else { line };
    let points: Vec<Point> = corners.iter().map(|corner| corner.at).collect();
    is_even(&line, [&chords, &other_chords], width, &points, closed).then_some((line, width))
}

/// The distance between two sides that holds along half of the first.
fn usual_width(side: &[Line], other: &[Line]) -> Option<f64> {
    let stride = (side.len() / PLACES).max(1);
    let mut measured: Vec<(f64, f64)> = side
        .iter()
        .step_by(stride)
        .map(|chord| (away(other, chord.p0.midpoint(chord.p1)), (chord.p1 - chord.p0).hypot()))
        .collect();
    measured.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = 0.5 * measured.iter().map(|(_, length)| length).sum::<f64>();
    let mut passed = 0.0;
    measured.into_iter().find_map(|(width, length)| {
        passed += length;
        (passed >= half).then_some(width)
    })
}

/// The corners of the middle line in the order of the first side; nothing where they fold over each other.
fn corners_of(side: &Rim, other: &Rim, width: f64) -> Option<Vec<Corner>> {
    let left = |direction: Vec2| Vec2::new(-direction.y, direction.x);
    let inward = |before: Vec2, after: Vec2| {
        let (one, two) = (left(before), left(after));
        0.5 * width * (one + two) / (1.0 + one.dot(two)).max(f64::EPSILON)
    };
    let mut corners: Vec<Corner> = side
        .right_corners(CORNER)
        .into_iter()
        .map(|(spot, at, before, after)| Corner { from: spot, to: spot, at: at + inward(before, after) })
        .collect();
    for (_, at, before, after) in other.right_corners(CORNER) {
        let at = at + inward(before, after);
        // The first side is travelled the other way.
        let (from, to) =
            (side.nearest(at + 0.5 * width * left(after))?, side.nearest(at + 0.5 * width * left(before))?);
        corners.push(Corner { from, to, at });
    }
    corners.sort_by(|a, b| a.from.0.cmp(&b.from.0).then(a.from.1.total_cmp(&b.from.1)));
    let folds = corners
        .windows(2)
        .any(|pair| Rim::is_before(pair[1].from, pair[0].to) && pair[0].from != pair[1].from);
    (!folds).then_some(corners)
}

/// Moved stretches of the side from corner to corner.
fn laid(side: &Rim, corners: &[Corner], width: f64, closed: bool) -> Option<Vec<Segment>> {
    let last = (side.segments().len().checked_sub(1)?, 1.0);
    let mut stretches: Vec<(Option<Point>, Vec<Segment>, Option<Point>)> = Vec::new();
    match (corners.first().zip(corners.last()), closed) {
        (None, _) => stretches.push((None, side.segments().to_vec(), None)),
        (Some((first, end)), closed) => {
            if !closed {
                stretches.push((None, side.between((0, 0.0), first.from), Some(first.at)));
            }
            for pair in corners.windows(2) {
                stretches.push((Some(pair[0].at), side.between(pair[0].to, pair[1].from), Some(pair[1].at)));
            }
            if closed {
                stretches.push((Some(end.at), side.between(end.to, first.from), Some(first.at)));
            } else {
                stretches.push((Some(end.at), side.between(end.to, last), None));
            }
        }
    }
    let mut segments: Vec<Segment> = Vec::new();
    for (from, stretch, to) in stretches {
        let curve = Curve::new(stretch).ok().filter(|curve| curve.length() > JOIN_MM);
        let moved = match curve {
            Some(curve) => parallel(&curve, 0.5 * width).ok()?.segments().to_vec(),
            None => Vec::new(),
        };
        reach(&mut segments, moved, from, to);
    }
    Some(segments)
}

/// Adds a stretch that is carried on straight to the corners at both of its ends.
fn reach(segments: &mut Vec<Segment>, mut stretch: Vec<Segment>, from: Option<Point>, to: Option<Point>) {
    if stretch.is_empty() {
        if let Some((from, to)) = from.zip(to).filter(|(from, to)| from.distance(*to) > JOIN_MM) {
            segments.push(Segment::line(from, to));
        }
        return;
    }
    let (start, end) = (stretch[0].start(), stretch[stretch.len() - 1].end());
    if let Some(from) = from {
        match stretch.first_mut() {
            Some(Segment::Line(line)) => line.p0 = from,
            _ if from.distance(start) > 0.1 * JOIN_MM => stretch.insert(0, Segment::line(from, start)),
            _ => {}
        }
    }
    if let Some(to) = to {
        match stretch.last_mut() {
            Some(Segment::Line(line)) => line.p1 = to,
            _ if to.distance(end) > 0.1 * JOIN_MM => stretch.push(Segment::line(end, to)),
            _ => {}
        }
    }
    segments.extend(stretch);
}

/// The line with its end at its start.
fn closed_up(line: &Curve) -> Option<Curve> {
    let gap = line.start().distance(line.end());
    if gap > EVEN_MM {
        return None;
    }
    let meeting = line.start().midpoint(line.end());
    Some(if gap > 0.0 { line.with_ends(meeting, meeting) } else { line.clone() })
}

/// Whether both sides lie half of the width from the middle, everywhere but near corners and ends.
fn is_even(line: &Curve, sides: [&[Line]; 2], width: f64, corners: &[Point], closed: bool) -> bool {
    let half = 0.5 * width;
    let ends = [line.start(), line.end()];
    let excused = |place: Point| {
        corners.iter().any(|corner| corner.distance(place) <= AT_CORNER * width)
            || (!closed && ends.iter().any(|end| end.distance(place) <= AT_END * width))
    };
    let length = line.length();
    let step = length / f64::from(u32::try_from(PLACES).unwrap_or(u32::MAX));
    let along =
        (0..PLACES).map(|place| line.point_at((f64::from(u32::try_from(place).unwrap_or(0)) + 0.5) * step));
    let mut measured = 0_usize;
    for place in along.filter(|place| !excused(*place)) {
        measured += 1;
        if sides.iter().any(|side| (away(side, place) - half).abs() > EVEN_MM) {
            return false;
        }
    }
    // What is all corners and ends is no line.
    if 4 * measured < PLACES {
        return false;
    }
    // Nothing of the shape lies off the line.
    let chords: Vec<Line> =
        line.chorded(0.1 * EVEN_MM).windows(2).map(|pair| Line::new(pair[0], pair[1])).collect();
    sides.into_iter().all(|side| {
        let stride = (side.len() / PLACES).max(1);
        let places = side.iter().step_by(stride).map(|chord| chord.p0.midpoint(chord.p1));
        places.filter(|place| !excused(*place)).all(|place| (away(&chords, place) - half).abs() <= EVEN_MM)
    })
}
