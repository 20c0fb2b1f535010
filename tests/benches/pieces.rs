//! How long it takes to find pieces in a drawing of loose lines. Figures, no pass or fail.
//!
//! The goal that the figures are read against: 30 pieces in 10 sizes from 60,000 loose lines, their ends off by up to
//! 0.05 mm, give 300 of 300 outlines within 0.2 s; and a sheet of 200,000 curves in layers, one a line or 50 a line, is
//! recognised in 2 s, whether they make outlines or nothing at all.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a bench fails by panicking, and prints what it found"
)]

use chalkbeam::geometry::{CubicBez, Curve, Point, Segment, Vec2};
use chalkbeam::import::{self, Arrows, Drawing, Group, Imported, Look, Options, SizesBy, Stroke, Unwatched};
use std::time::{Duration, Instant};

const PIECES: u32 = 30;
const SIZES: u32 = 10;
const LINES: u32 = 200;
const JITTER_MM: f64 = 0.05;

/// The outlines as loose lines in no order, each size in a layer or all in one.
fn drawing(layers: bool) -> Drawing {
    let mut random = 1_u64;
    let mut next = || {
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(random >> 40).unwrap()) / f64::from(1_u32 << 24)
    };
    let mut groups = vec![Group::default()];
    for size in 0..SIZES {
        if layers {
            let name = (36 + 2 * size).to_string();
            groups.push(Group { name: Some(name), parent: Some(0), ..Group::default() });
        }
        let group = groups.last_mut().unwrap();
        for piece in 0..PIECES {
            let centre = Vec2::new(f64::from(piece % 6) * 700.0, f64::from(piece / 6) * 700.0);
            let corner = |index: u32| {
                let angle = std::f64::consts::TAU * f64::from(index % LINES) / f64::from(LINES);
                // Four round bulges: a shape with curves and no symmetry of its own.
                let radius = 200.0 + 6.0 * f64::from(size) + 30.0 * (3.0 * angle + f64::from(piece)).sin();
                centre.to_point() + radius * Vec2::from_angle(angle)
            };
            for index in 0..LINES {
                let mut off = || JITTER_MM * Vec2::new(2.0 * next() - 1.0, 2.0 * next() - 1.0);
                let (from, to): (Point, Point) = (corner(index) + off(), corner(index + 1) + off());
                let (from, to) = if index % 3 == 0 { (to, from) } else { (from, to) };
                group.strokes.push(Stroke {
                    name: None,
                    tags: String::new(),
                    part: None,
                    curve: Curve::line(from, to),
                    closed: false,
                    look: Look::default(),
                    arrows: Arrows::default(),
                });
            }
        }
        // In no order.
        for index in (1..group.strokes.len()).rev() {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "below the length")]
            let other = (next() * (index + 1) as f64) as usize;
            group.strokes.swap(index, other.min(index));
        }
    }
    Drawing { groups, ..Drawing::default() }
}

/// A sheet of 200,000 cubics in a layer a size, so many a line: the same outlines, or the same lines torn apart so that
/// they make none.
fn curves(in_a_line: u32, whole: bool) -> Drawing {
    const CURVES: u32 = 200_000 / (PIECES * SIZES) / 50 * 50;
    let mut groups = vec![Group::default()];
    for size in 0..SIZES {
        let mut group =
            Group { name: Some((36 + 2 * size).to_string()), parent: Some(0), ..Group::default() };
        for piece in 0..PIECES {
            let centre = Vec2::new(f64::from(piece % 6) * 700.0, f64::from(piece / 6) * 700.0);
            let at = |place: f64| {
                let angle = std::f64::consts::TAU * place / f64::from(CURVES);
                let radius = 200.0 + 6.0 * f64::from(size) + 30.0 * (3.0 * angle + f64::from(piece)).sin();
                centre.to_point() + radius * Vec2::from_angle(angle)
            };
            for first in (0..CURVES).step_by(in_a_line as usize) {
                let torn = if whole { Vec2::ZERO } else { Vec2::new(0.0, f64::from(first % 7)) };
                let segments = (first..first + in_a_line).map(|index| {
                    let place = |part: f64| at((f64::from(index) + part) % f64::from(CURVES)) + torn;
                    Segment::Cubic(CubicBez::new(place(0.0), place(1.0 / 3.0), place(2.0 / 3.0), place(1.0)))
                });
                group.strokes.push(Stroke {
                    name: None,
                    tags: String::new(),
                    part: None,
                    curve: Curve::new(segments.collect()).unwrap(),
                    closed: false,
                    look: Look::default(),
                    arrows: Arrows::default(),
                });
            }
        }
        groups.push(group);
    }
    Drawing { groups, ..Drawing::default() }
}

fn timed(drawing: &Drawing, options: &Options) -> (Imported, Duration) {
    let runs = (0..5).map(|_| {
        let given = vec![(None, drawing.clone())];
        let begun = Instant::now();
        let imported = import::pattern_of(given, options, &Unwatched, Vec::new()).unwrap();
        (imported, begun.elapsed())
    });
    runs.min_by_key(|(_, took)| *took).unwrap()
}

fn main() {
    for in_a_line in [1, 50] {
        let drawing = curves(in_a_line, true);
        let (imported, took) = timed(&drawing, &Options::default());
        let found: usize = imported.pattern.pieces.iter().map(|piece| piece.by_size.len()).sum();
        println!("200,000 curves, {in_a_line} a line: {found} of {} outlines in {took:.2?}", PIECES * SIZES);
        let torn = vec![(None, curves(in_a_line, false))];
        let begun = Instant::now();
        let nothing = import::pattern_of(torn, &Options::default(), &Unwatched, Vec::new());
        println!(
            "  torn apart: {} after {:.2?}",
            nothing.map_or_else(
                |why| why.to_string(),
                |some| { format!("{} pieces", some.pattern.pieces.len()) }
            ),
            begun.elapsed()
        );
    }
    for (words, layers, by) in
        [("a layer a size", true, SizesBy::Layer), ("all in one layer, nested", false, SizesBy::Nesting)]
    {
        let drawing = drawing(layers);
        let lines: usize = drawing.groups.iter().map(|group| group.strokes.len()).sum();
        let (imported, took) = timed(&drawing, &Options { sizes_by: Some(by), ..Options::default() });
        let found: usize = imported.pattern.pieces.iter().map(|piece| piece.by_size.len()).sum();
        println!("{words}: {found} of {} outlines from {lines} loose lines in {took:.2?}", PIECES * SIZES);
    }
}
