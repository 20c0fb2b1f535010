//! Lines that meet end to end become loops.
//!
//! Closed lines are loops by themselves; open lines are knotted into a [`Net`], whose ways round are looked for.
//! A line that is drawn twice counts once. Where lines part a closed shape into several, one way round is taken,
//! the outermost, unless more than one part holds a sign of a piece of its own (a grainline): then the parts
//! are pieces that share a line.

use super::super::drawing::Stroke;
use super::net::{Net, Squares, Walk, square_of, squares_near};
use super::places::Polygon;
use super::{SMALLEST_PIECE_MM, cross};
use crate::finding::{Finding, Severity};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Curve, Point, Segment};
use crate::pattern::signed_area;
use std::collections::BTreeSet;

/// A line of the drawing by its group and its place there.
pub(super) type LineId = (usize, usize);

/// A closed way along strokes: which, and how each is travelled after its ends were moved onto its neighbours'.
#[derive(Clone)]
pub(super) struct Loop {
    parts: Vec<(LineId, Curve)>,
    crossed: bool,
}

impl Loop {
    /// The strokes in order.
    pub(super) fn parts(&self) -> &[(LineId, Curve)] {
        &self.parts
    }

    /// Which strokes; one that is met twice is told twice.
    pub(super) fn lines(&self) -> impl Iterator<Item = LineId> + '_ {
        self.parts.iter().map(|(line, _)| *line)
    }

    /// Whether its lines cross each other instead of meeting.
    pub(super) fn is_crossed(&self) -> bool {
        self.crossed
    }

    /// All segments in the order of travel.
    pub(super) fn segments(&self) -> Vec<Segment> {
        let segments = self.parts.iter().flat_map(|(_, curve)| curve.segments());
        segments.copied().collect()
    }

    /// The same counter-clockwise.
    fn turned(mut self) -> Self {
        if signed_area(&along(&self)) < 0.0 {
            self.parts.reverse();
            for (_, curve) in &mut self.parts {
                *curve = curve.reversed();
            }
        }
        self
    }
}

/// Two lines whose ends and middles are closer than this are one line drawn twice, in mm.
const DOUBLE_MM: f64 = 0.05;

/// The loops among lines, counter-clockwise: closed ones, and open ones that meet. `signs` are places that only one
/// piece has one of.
pub(super) fn loops(
    lines: &[(LineId, &Stroke)],
    signs: &[Point],
    join_mm: f64,
    findings: &mut Vec<Finding>,
) -> Vec<Loop> {
    let (mut loops, open) = apart(lines, join_mm);
    let net = Net::of(&open, join_mm);
    for component in net.components() {
        let Some(outer) = component.iter().find(|walk| walk.area > 0.0) else {
            continue;
        };
        let parts: Vec<&Walk> = component.iter().filter(|walk| walk.area < 0.0).collect();
        let own: Vec<&Walk> = match parts.len() {
            0 | 1 => Vec::new(),
            _ => parts.iter().copied().filter(|part| signs.iter().any(|sign| part.holds(*sign))).collect(),
        };
        if own.len() > 1 {
            findings.push(
                Finding::new(
                    Severity::Note,
                    format!("{} pieces share a line here", own.len()),
                    "Look at their outlines there",
                )
                .at(outer.start()),
            );
            loops.extend(own.into_iter().map(|part| joined(&net, part, findings)));
            continue;
        }
        if let Some(at) = net.branch(outer) {
            findings.push(
                Finding::new(
                    Severity::Note,
                    "More than two lines meet here; the outermost way round was taken as the outline",
                    "Look at the outline there",
                )
                .at(at),
            );
        }
        loops.push(joined(&net, outer, findings));
    }
    let of_loops = net.lines_round();
    let loose: Vec<(LineId, &Stroke)> =
        open.into_iter().filter(|(line, _)| !of_loops.contains(line)).collect();
    let crossed = crossing(&loose, &loops, join_mm, findings);
    loops.extend(crossed);
    loops.into_iter().map(Loop::turned).collect()
}

/// The loops among lines that are part of none as long as they have to meet: they are cut where they cross. What lies
/// inside of a loop that is known is told by nobody; a rectangle around one is ruled paper, or a frame.
fn crossing(
    loose: &[(LineId, &Stroke)],
    known: &[Loop],
    join_mm: f64,
    findings: &mut Vec<Finding>,
) -> Vec<Loop> {
    let parts = cross::sliced(loose);
    if parts.is_empty() {
        return Vec::new();
    }
    let parts: Vec<(LineId, &Stroke)> = parts.iter().map(|(line, stroke)| (*line, stroke)).collect();
    let known: Vec<Polygon> = known.iter().map(|ring| Polygon::of(&ring.segments())).collect();
    // A line that crosses itself leaves a closed part.
    let (closed, open) = apart(&parts, join_mm);
    let net = Net::of(&open, join_mm);
    let components = net.components();
    let outer = components.iter().filter_map(|component| component.iter().find(|walk| walk.area > 0.0));
    let rings = closed.into_iter().chain(outer.map(|outer| joined(&net, outer, &mut Vec::new())));
    let mut loops = Vec::new();
    for ring in rings.map(|ring| Loop { crossed: true, ..ring }) {
        let polygon = Polygon::of(&ring.segments());
        let holds = known.iter().any(|other| other.extent() >= SMALLEST_PIECE_MM && polygon.holds(other));
        let straight = |segment: &Segment| matches!(segment, Segment::Line(_));
        if holds && ring.segments().len() == 4 && ring.segments().iter().all(straight) {
            continue;
        }
        let inside = known.iter().any(|other| other.holds(&polygon));
        if !inside && polygon.extent() >= SMALLEST_PIECE_MM {
            findings.push(
                Finding::new(
                    Severity::Warning,
                    "Lines cross here instead of meeting; what lies between the crossings was taken as the outline",
                    "Look at the corners of the outline",
                )
                .at(polygon.bounds.center()),
            );
        }
        loops.push(ring);
    }
    loops
}

/// Shapes inside shapes that share lines with each other, from the innermost outwards: for each knot of open lines
/// the lines around the largest part, then around it and the parts beside it, and so on.
pub(super) fn growing(lines: &[(LineId, &Stroke)], join_mm: f64) -> Vec<Vec<Loop>> {
    let (closed, open) = apart(lines, join_mm);
    let net = Net::of(&open, join_mm);
    let mut all: Vec<Vec<Loop>> = closed.into_iter().map(|ring| vec![ring.turned()]).collect();
    let mut unheard = Vec::new();
    for component in net.components() {
        let steps = net.growing(&component);
        let rings = steps.iter().map(|walk| joined(&net, walk, &mut unheard).turned());
        all.push(rings.collect());
    }
    all
}

/// Closed lines as loops, and the open ones; doubles are dropped.
fn apart<'a>(lines: &[(LineId, &'a Stroke)], join_mm: f64) -> (Vec<Loop>, Vec<(LineId, &'a Stroke)>) {
    /// Middles of the boxes of one line drawn twice are closer, in mm.
    const REACH_MM: f64 = 4.0 * DOUBLE_MM;
    /// Side of the squares, and step of the lengths, by which lines are looked up, in mm.
    const SIDE_MM: f64 = 8.0 * REACH_MM;
    /// A line is held against so many others around its middle and as long as it is; no pattern draws more there.
    const MOST_HELD: usize = 500;
    let mut loops = Vec::new();
    let mut open = Vec::new();
    let mut seen: Squares<((i64, i64), i64), &Stroke> = Squares::default();
    seen.reserve(lines.len());
    for &(line, stroke) in lines {
        let middle = stroke.curve.bounding_box().center();
        let length = stroke.curve.length();
        // Steps of length are found as squares are, on a line.
        let step = |length: f64| square_of(Point::new(length, 0.0), SIDE_MM).0;
        let steps = step(length - DOUBLE_MM)..=step(length + DOUBLE_MM);
        let near = squares_near(middle, SIDE_MM, REACH_MM)
            .flat_map(|square| steps.clone().map(move |step| (square, step)))
            .filter_map(|key| seen.get(&key));
        if near.flatten().take(MOST_HELD).any(|other| same_line(stroke, other)) {
            continue;
        }
        seen.entry((square_of(middle, SIDE_MM), step(length))).or_default().push(stroke);
        let gap = stroke.curve.start().distance(stroke.curve.end());
        if stroke.closed || (gap <= join_mm && stroke.curve.length() > 10.0 * join_mm) {
            loops.push(Loop { parts: vec![(line, closed_up(&stroke.curve, gap))], crossed: false });
        } else {
            open.push((line, stroke));
        }
    }
    (loops, open)
}

/// Whether two strokes are one line drawn twice, in either direction.
fn same_line(one: &Stroke, other: &Stroke) -> bool {
    let near = |a: Point, b: Point| a.distance(b) <= DOUBLE_MM;
    let (a, b) = (&one.curve, &other.curve);
    let ends = (near(a.start(), b.start()) && near(a.end(), b.end()))
        || (near(a.start(), b.end()) && near(a.end(), b.start()));
    if one.closed != other.closed || (!ends && !one.closed) || (a.length() - b.length()).abs() > DOUBLE_MM {
        return false;
    }
    (1..8).all(|step| b.nearest(a.point_at(a.length() * f64::from(step) / 8.0)).1 <= DOUBLE_MM)
}

/// Places along a loop, close enough to tell which way round it runs.
fn along(ring: &Loop) -> Vec<Point> {
    let sampled = |segment: &Segment| [0.0, 0.25, 0.5, 0.75].map(|t| segment.eval(t));
    ring.segments().iter().flat_map(sampled).collect()
}

/// A curve whose end is its start.
fn closed_up(curve: &Curve, gap: f64) -> Curve {
    if gap <= JOIN_MM {
        return curve.clone();
    }
    let closing = Curve::line(curve.end(), curve.start());
    curve.joined(&closing).unwrap_or_else(|_| curve.clone())
}

/// The loop along a walk, gaps between its lines closed.
fn joined(net: &Net<'_>, walk: &Walk, findings: &mut Vec<Finding>) -> Loop {
    let (parts, widest, at) = net.joined(walk);
    if widest > JOIN_MM {
        findings.push(
            Finding::new(
                Severity::Note,
                format!("Ends of lines were joined over a gap of up to {widest:.2} mm"),
                "Nothing to do, unless they should not meet",
            )
            .at(at)
            .by_mm(widest),
        );
    }
    Loop { parts, crossed: false }
}

/// Lines of a group that a person or a file lets be part of an outline.
pub(super) fn distinct(ring: &Loop) -> BTreeSet<LineId> {
    ring.lines().collect()
}

#[cfg(test)]
mod tests {
    use super::super::JOIN_ENDS_MM;
    use super::*;
    use crate::geometry::Vec2;
    use proptest::prelude::*;

    fn stroke(points: &[Point]) -> Stroke {
        Stroke {
            name: None,
            tags: String::new(),
            curve: Curve::polyline(points).unwrap(),
            closed: false,
            part: None,
            look: Default::default(),
            arrows: super::super::super::Arrows::default(),
        }
    }

    fn numbered(strokes: &[Stroke]) -> Vec<(LineId, &Stroke)> {
        strokes.iter().enumerate().map(|(index, stroke)| ((0, index), stroke)).collect()
    }

    fn area(ring: &Loop) -> f64 {
        let points: Vec<_> = ring.segments().iter().map(Segment::start).collect();
        signed_area(&points)
    }

    proptest! {
        #[test]
        fn lines_in_any_order_and_direction_make_the_outline_that_they_were_cut_from(
            radii in proptest::collection::vec(60.0..140.0_f64, 5..24),
            order in any::<proptest::sample::Index>(),
            turned in any::<u32>(),
            jitter in proptest::collection::vec((-0.05..0.05_f64, -0.05..0.05_f64), 48),
            legs in any::<bool>(),
        ) {
            // A star-shaped polygon is simple; each side is a stroke with ends a little off the corners.
            let count = radii.len();
            let corner = |k: usize| {
                let angle = std::f64::consts::TAU * (k % count) as f64 / count as f64;
                Point::ORIGIN + radii[k % count] * Vec2::from_angle(angle)
            };
            let mut strokes: Vec<Stroke> = (0..count)
                .map(|k| {
                    let off = |n: usize| Vec2::new(jitter[n % 48].0, jitter[n % 48].1);
                    let (a, b) = (corner(k) + off(2 * k), corner(k + 1) + off(2 * k + 1));
                    if turned >> (k % 32) & 1 == 1 { stroke(&[b, a]) } else { stroke(&[a, b]) }
                })
                .collect();
            strokes.rotate_left(order.index(count));
            if legs {
                // A dart from two corners, and a line that hangs loose.
                strokes.push(stroke(&[corner(0), Point::ORIGIN, corner(2)]));
                strokes.push(stroke(&[corner(1), corner(1).midpoint(Point::ORIGIN)]));
            }
            let mut findings = Vec::new();
            let found = loops(&numbered(&strokes), &[], JOIN_ENDS_MM, &mut findings);
            prop_assert_eq!(found.len(), 1);
            let polygon: Vec<_> = (0..count).map(corner).collect();
            // Ends move by a twentieth of a millimetre along a way of less than a metre and a half.
            prop_assert!((area(&found[0]) - signed_area(&polygon)).abs() < 0.08 * 1500.0);
            prop_assert_eq!(found[0].lines().count(), count);
        }
    }

    #[test]
    fn two_outlines_that_share_no_end_are_two_loops() {
        let square = |x: f64| {
            let corners = [(x, 0.0), (x + 50.0, 0.0), (x + 50.0, 50.0), (x, 50.0), (x, 0.0)].map(Point::from);
            [stroke(&corners[..3]), stroke(&corners[2..])]
        };
        let strokes: Vec<_> = square(0.0).into_iter().chain(square(80.0)).collect();
        let found = loops(&numbered(&strokes), &[], JOIN_ENDS_MM, &mut Vec::new());
        assert_eq!(found.len(), 2);
        assert!(found.iter().all(|ring| (area(ring) - 2500.0).abs() < 1e-9));
    }

    fn lines(all: &[[(f64, f64); 2]]) -> Vec<Stroke> {
        all.iter().map(|ends| stroke(&ends.map(Point::from))).collect()
    }

    #[test]
    fn a_line_that_ends_on_another_closes_a_shape_with_a_part_of_it() {
        // The fold reaches beyond the hem on either side.
        let strokes = lines(&[
            [(0.0, -30.0), (0.0, 130.0)],
            [(0.1, 0.0), (60.0, 0.0)],
            [(60.0, 0.0), (60.0, 100.0)],
            [(60.0, 100.0), (-0.1, 100.0)],
        ]);
        let found = loops(&numbered(&strokes), &[], JOIN_ENDS_MM, &mut Vec::new());
        assert_eq!(found.len(), 1);
        assert!((area(&found[0]) - 6000.0).abs() < 20.0, "{}", area(&found[0]));
    }

    #[test]
    fn a_line_drawn_twice_counts_once() {
        let once = [[(0.0, 0.0), (60.0, 0.0)], [(60.0, 0.0), (60.0, 80.0)], [(60.0, 80.0), (0.0, 0.0)]];
        let twice: Vec<_> = once.iter().copied().chain(once.map(|[a, b]| [b, a])).collect();
        let found = loops(&numbered(&lines(&twice)), &[], JOIN_ENDS_MM, &mut Vec::new());
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].lines().count(), 3);
    }

    #[test]
    fn a_line_between_two_pieces_belongs_to_both() {
        let strokes = lines(&[
            [(0.0, 0.0), (100.0, 0.0)],
            [(100.0, 0.0), (100.0, 50.0)],
            [(100.0, 50.0), (0.0, 50.0)],
            [(0.0, 50.0), (0.0, 0.0)],
            [(40.0, 0.0), (40.0, 50.0)],
        ]);
        let one = loops(&numbered(&strokes), &[(20.0, 20.0).into()], JOIN_ENDS_MM, &mut Vec::new());
        assert_eq!(one.len(), 1, "one grainline, one piece");
        let signs = [Point::new(20.0, 20.0), Point::new(70.0, 20.0)];
        let two = loops(&numbered(&strokes), &signs, JOIN_ENDS_MM, &mut Vec::new());
        let mut areas: Vec<f64> = two.iter().map(area).collect();
        areas.sort_by(f64::total_cmp);
        assert!((areas[0] - 2000.0).abs() < 1e-6 && (areas[1] - 3000.0).abs() < 1e-6, "{areas:?}");
    }

    #[test]
    fn sizes_that_share_a_fold_grow_from_the_innermost() {
        // Three sizes: one fold, drawn once, and for each a hem and a side that end on it.
        let mut all = vec![[(0.0, 0.0), (0.0, 140.0)]];
        for size in [0.0, 10.0, 20.0] {
            all.push([(0.0, 20.0 - size), (100.0 + size, 20.0 - size)]);
            all.push([(100.0 + size, 20.0 - size), (100.0 + size, 120.0 + size)]);
            all.push([(100.0 + size, 120.0 + size), (0.0, 120.0 + size)]);
        }
        let stacks = growing(&numbered(&lines(&all)), JOIN_ENDS_MM);
        assert_eq!(stacks.len(), 1);
        let areas: Vec<f64> = stacks[0].iter().map(area).collect();
        assert_eq!(areas.len(), 3);
        for (found, expected) in areas.iter().zip([100.0 * 100.0, 110.0 * 120.0, 120.0 * 140.0]) {
            assert!((found - expected).abs() < 1e-6, "{areas:?}");
        }
    }
}
