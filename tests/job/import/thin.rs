//! Lines that a program outlined before it exported them: thin filled shapes of even width.

use super::pdf::{file, pages, written};
use super::{finding, piece, read_with, says, sheet};
use crate::coat::drafted;
use chalkbeam::geometry::{Curve, Point, Segment, Vec2, parallel};
use chalkbeam::import::{self, Imported, Options};
use proptest::prelude::*;
use std::fmt::Write as _;

/// The middle is put within this of the line that was outlined, in mm: the tolerance of the coat's curves.
const OFF_MM: f64 = 0.05;

fn imported(contents: &str) -> Imported {
    read_with(&sheet(contents), &Options::default()).unwrap_or_else(|error| panic!("{error}"))
}

/// Path data of a closed line.
fn d(curve: &Curve) -> String {
    let mut d = curve.to_bezpath().to_svg();
    d.push('Z');
    d
}

#[test]
fn a_ring_and_thin_bars_become_an_outline_with_a_grainline_and_a_notch() {
    // A square of 100 mm with a pen of 0.8 mm, mitred; its corners lie between the two loops. The upright bar is an
    // arrow's line with a round end below, the short one a notch, the triangle is an arrowhead and stays one.
    let imported = imported(
        "<path fill-rule=\"evenodd\" d=\"M19.6 39.6H120.4V140.4H19.6Z M20.4 40.4V139.6H119.6V40.4Z\"/>
         <path d=\"M69.6 60H70.4V120A0.4 0.4 0 0 1 69.6 120Z\"/><path d=\"M70 54l-3 7h6Z\"/>
         <path d=\"M20 99.6H26V100.4H20Z\"/>",
    );
    let what = &finding(&imported, "thin filled shapes").what;
    assert_eq!(what, "3 lines were drawn as thin filled shapes; their middle was taken");
    let square = piece(&imported, "piece 1");
    let bounds = square.bounding_box();
    for (found, expected) in [(bounds.x0, 20.0), (bounds.y0, 60.0), (bounds.x1, 120.0), (bounds.y1, 160.0)] {
        assert!((found - expected).abs() < 1e-6, "{bounds:?}");
    }
    assert_eq!(square.edges.len(), 4);
    assert_eq!(square.notches.len(), 1);
    assert!(square.notch_point(&square.notches[0]).unwrap().distance((20.0, 100.0).into()) < 1e-6);
    assert!(
        (square.grainline.from.distance(square.grainline.to) - 60.0).abs() < 0.1,
        "{:?}",
        square.grainline
    );
    assert!(square.grainline.to.y > square.grainline.from.y && !says(&imported, "which end is up"));
}

#[test]
fn filled_shapes_that_are_no_lines_stay() {
    let imported = imported(
        "<path d=\"M20 40H120V140H20Z\"/><path d=\"M60 140l2 -7l2 7Z\"/><path d=\"M20 80l8 0.9l-8 0.9Z\"/>
         <circle cx=\"60\" cy=\"90\" r=\"0.7\"/><path d=\"M80 90h3v1.2h-3z\"/>",
    );
    assert!(!says(&imported, "thin filled"));
    assert_eq!(piece(&imported, "piece 1").notches.len(), 2);
}

#[test]
fn bevelled_and_rounded_corners_come_back_as_one_corner_each() {
    // A triangle with a pen of 1 mm: the inner loop keeps its corners, the outer one is bevelled or round there.
    let corners = [(20.0, 40.0), (120.0, 40.0), (70.0, 130.0), (20.0, 40.0)].map(Point::from);
    let triangle = Curve::polyline(&corners).unwrap();
    // Towards the centre of the circle inside, by the width's half of its radius.
    let radius = 2.0 * 4500.0 / triangle.length();
    let centre = Point::new(70.0, 40.0 + radius);
    let inner = corners.map(|corner| centre.lerp(corner, 1.0 - 0.5 / radius));
    let inner = Curve::polyline(&inner).unwrap();
    let sides: Vec<(Point, Point)> = triangle
        .segments()
        .iter()
        .map(|side| {
            let out = 0.5 * Vec2::new(side.tangent(0.0).y, -side.tangent(0.0).x);
            (side.start() + out, side.end() + out)
        })
        .collect();
    for join in ["L", "A0.5 0.5 0 0 1 "] {
        let mut outer = format!("M{} {}", sides[0].0.x, sides[0].0.y);
        for (index, (_, end)) in sides.iter().enumerate() {
            let next = sides[(index + 1) % 3].0;
            write!(outer, "L{} {}{join}{} {}", end.x, end.y, next.x, next.y).unwrap();
        }
        let imported = imported(&format!("<path d=\"{outer}Z{}\"/>", d(&inner)));
        let found = piece(&imported, "piece 1");
        assert_eq!(found.edges.len(), 3, "{join}");
        for corner in &corners[..3] {
            let at = Point::new(corner.x, 200.0 - corner.y);
            let off =
                found.edges.iter().map(|edge| edge.curve.start().distance(at)).fold(f64::INFINITY, f64::min);
            assert!(off < 0.01, "{join}: {off}");
        }
    }
}

/// The coat's edges of one size, each with the shape of a stroke along it.
fn outlined(width: f64, each: impl Fn(&str, &Curve, &Curve)) {
    let coat = drafted();
    for sized in &coat.pieces {
        let size = &coat.sizes[0];
        let drawn = coat.piece(&sized.id, size).unwrap();
        for edge in &drawn.edges {
            if let (Ok(left), Ok(right)) =
                (parallel(&edge.curve, 0.5 * width), parallel(&edge.curve, -0.5 * width))
            {
                let mut shape = left.clone();
                let across = Curve::line(left.end(), right.end());
                let back = Curve::line(right.start(), left.start());
                for part in [across, right.reversed(), back] {
                    shape = shape.joined(&part).unwrap();
                }
                each(&format!("{} {}", sized.id, edge.id), &edge.curve, &shape);
            }
        }
    }
}

fn rounded(curve: &Curve) -> String {
    let at =
        |point: Point| format!("{:.5} {:.5} ", point.x * 7.2 / 25.4 + 300.0, point.y * 7.2 / 25.4 + 300.0);
    let mut commands = format!("{}m ", at(curve.start()));
    for segment in curve.segments() {
        for part in segment.path_segments(1e-3) {
            match Segment::from(part) {
                Segment::Cubic(c) => write!(commands, "{}{}{}c ", at(c.p1), at(c.p2), at(c.p3)).unwrap(),
                other => write!(commands, "{}l ", at(other.end())).unwrap(),
            }
        }
    }
    commands + "f\n"
}

#[test]
fn every_edge_of_the_coat_comes_back_from_its_outlined_stroke_in_a_pdf() {
    for width in [0.3, 1.0] {
        let count = std::cell::Cell::new(0);
        outlined(width, |words, edge, shape| {
            let bytes = written(&rounded(shape), "/UserUnit 10", "");
            let mut findings = Vec::new();
            let files = [import::File { name: "", bytes: &bytes }];
            let drawings =
                import::drawings_of(&files, &Options::default(), &import::Unwatched, &mut findings).unwrap();
            let strokes = &drawings[0].1.groups[0].strokes;
            let [line] = &strokes[..] else { panic!("{words}: {} lines", strokes.len()) };
            assert!(!line.closed && line.look.fill.is_none(), "{words}");
            assert!((f64::from(line.look.width) - 100.0 * width).abs() < 3.0, "{words}: {}", line.look.width);
            let origin = Vec2::new(3000.0, 3000.0) * (25.4 / 72.0);
            for step in 0..=50 {
                let at = edge.point_at(edge.length() * f64::from(step) / 50.0) + origin;
                let off = line.curve.nearest(at).1;
                assert!(off <= OFF_MM, "{words}, {width} mm: {off} mm off");
            }
            count.set(count.get() + 1);
        });
        assert!(count.get() >= 30, "{}", count.get());
    }
}

#[test]
fn files_without_such_shapes_are_left_as_they_are() {
    // The coat by cairo is drawn with strokes; its words and square too.
    let _pages = pages("coat-cairo.pdf");
    let imported = import::read(&file("coat-cairo.pdf"), &Options::default()).unwrap();
    assert!(!says(&imported, "thin filled"));
    assert!(read_with(&sheet("<path d=\"M20 40H120V140H20Z\"/>"), &Options::default()).is_ok());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn a_pen_of_any_width_around_a_curve_leaves_its_middle(
        width in 0.15..1.8_f64,
        at in proptest::array::uniform6(-25.0..25.0_f64),
        ends in 0..3_usize,
        digits in 3..6_usize,
        flat in any::<bool>(),
    ) {
        // From left to right over the sheet, the handles anywhere around a third.
        let p = |x: f64, k: usize| Point::new(x + 0.4 * at[2 * k], 100.0 + at[2 * k + 1]);
        let line = Curve::cubic((20.0, 100.0).into(), p(70.0, 0), p(130.0, 1), Point::new(180.0, 100.0 + at[4]));
        let sides = parallel(&line, 0.5 * width).ok().zip(parallel(&line, -0.5 * width).ok());
        prop_assume!(sides.is_some());
        let (left, right) = sides.unwrap();
        // Some programs write curves as short lines.
        let side = |curve: &Curve| if flat { Curve::polyline(&curve.flatten(0.01)).unwrap() } else { curve.clone() };
        let (left, right) = (side(&left), side(&right).reversed());
        let place = |at: Point| format!("{:.digits$} {:.digits$} ", at.x, at.y);
        let mut parts = vec![left.clone()];
        let beyond = 0.5 * width * left.end_tangent();
        match ends {
            0 => parts.push(Curve::line(left.end(), right.start())),
            1 => {
                let corners = [left.end(), left.end() + beyond, right.start() + beyond, right.start()];
                parts.push(Curve::polyline(&corners).unwrap());
            }
            _ => parts.push(Curve::arc(left.end().midpoint(right.start()), left.end(), -std::f64::consts::PI)),
        }
        parts.push(right);
        let mut text = format!("M{}", place(left.start()));
        for segment in parts.iter().flat_map(Curve::segments).flat_map(|segment| segment.path_segments(1e-3)) {
            match Segment::from(segment) {
                Segment::Cubic(c) => write!(text, "C{}{}{}", place(c.p1), place(c.p2), place(c.p3)).unwrap(),
                other => write!(text, "L{}", place(other.end())).unwrap(),
            }
        }
        let drawing = sheet(&format!("<path fill=\"black\" d=\"{text}Z\"/>"));
        let files = [import::File { name: "", bytes: drawing.as_bytes() }];
        let drawings = import::drawings_of(&files, &Options::default(), &import::Unwatched, &mut Vec::new()).unwrap();
        let strokes = &drawings[0].1.groups[0].strokes;
        prop_assert_eq!(strokes.len(), 1);
        prop_assert!(!strokes[0].closed && strokes[0].look.fill.is_none(), "not told: {}", text);
        for step in 1..40 {
            let on = line.point_at(line.length() * f64::from(step) / 40.0);
            let off = strokes[0].curve.nearest(Point::new(on.x, 200.0 - on.y)).1;
            prop_assert!(off <= OFF_MM, "{} mm off", off);
        }
    }
}
