//! How long it takes to find pieces in a drawing of loose lines. Figures, no pass or fail.
//!
//! The goal that the figures are read against: 30 pieces in 10 sizes from 60,000 loose lines, their ends off by up to
//! 0.05 mm, give 300 of 300 outlines within 0.2 s.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a bench fails by panicking, and prints what it found"
)]

use chalkbeam::geometry::{Curve, Point, Vec2};
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
    for (words, layers, by) in
        [("a layer a size", true, SizesBy::Layer), ("all in one layer, nested", false, SizesBy::Nesting)]
    {
        let drawing = drawing(layers);
        let lines: usize = drawing.groups.iter().map(|group| group.strokes.len()).sum();
        let (imported, took) = timed(&drawing, &Options { sizes_by: Some(by), ..Options::default() });
        let found: usize = imported.pattern.pieces.iter().map(|piece| piece.by_size.len()).sum();
        println!("{words}: {found} of {} outlines from {lines} loose lines in {took:.0?}", PIECES * SIZES);
    }
}
