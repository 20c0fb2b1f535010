//! A page against the picture that poppler makes of it (`pdftoppm`, 150 dots to the inch).
//!
//! Without poppler the test says aloud that nothing was tested, and fails on a build server.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "dots of a picture that was just made, counted"
)]

use super::{drawing_of_page, file, pages};
use chalkbeam::geometry::{Point, Vec2};
use chalkbeam::import::Stroke;
use std::process::Command;

const DOTS_PER_INCH: f64 = 150.0;
const MM: f64 = 25.4 / DOTS_PER_INCH;

/// A grey picture, dark from 0 to 1.
pub(super) struct Picture {
    width: usize,
    height: usize,
    dark: Vec<f64>,
}

impl Picture {
    /// Out of a portable grey map (`P5`).
    fn of(bytes: &[u8]) -> Self {
        let mut at = 0;
        let mut words = Vec::new();
        while words.len() < 4 {
            let from = at;
            while !bytes[at].is_ascii_whitespace() {
                at += 1;
            }
            words.push(std::str::from_utf8(&bytes[from..at]).unwrap().to_owned());
            at += 1;
        }
        assert_eq!((words[0].as_str(), words[3].as_str()), ("P5", "255"));
        let dark = bytes[at..].iter().map(|grey| 1.0 - f64::from(*grey) / 255.0).collect();
        Self { width: words[1].parse().unwrap(), height: words[2].parse().unwrap(), dark }
    }

    /// How dark it is at a place of the page, between the dots (y up, from the lower left corner).
    pub(super) fn at(&self, place: Point) -> f64 {
        let (x, y) = (place.x / MM - 0.5, self.height as f64 - place.y / MM - 0.5);
        let dot = |x: f64, y: f64| {
            let inside = x >= 0.0 && y >= 0.0 && x < self.width as f64 && y < self.height as f64;
            if inside { self.dark[y as usize * self.width + x as usize] } else { 0.0 }
        };
        let (i, j) = (x.floor(), y.floor());
        let (s, t) = (x - i, y - j);
        (1.0 - t) * ((1.0 - s) * dot(i, j) + s * dot(i + 1.0, j))
            + t * ((1.0 - s) * dot(i, j + 1.0) + s * dot(i + 1.0, j + 1.0))
    }
}

/// The first page as poppler draws it; none where it is not installed.
pub(super) fn picture(pdf: &[u8]) -> Option<Picture> {
    let folder = tempfile::tempdir().unwrap();
    let (from, to) = (folder.path().join("page.pdf"), folder.path().join("page"));
    std::fs::write(&from, pdf).unwrap();
    let run = Command::new("pdftoppm")
        .args(["-r", "150", "-gray", "-cropbox", "-singlefile", "-f", "1"])
        .args([&from, &to])
        .output();
    match run {
        Ok(output) if output.status.success() => {
            Some(Picture::of(&std::fs::read(to.with_extension("pgm")).unwrap()))
        }
        _ => {
            assert!(std::env::var_os("CI").is_none(), "pdftoppm is missing (package poppler-utils)");
            eprintln!("NOT TESTED, pdftoppm is missing (package poppler-utils)");
            None
        }
    }
}

/// How far from a line the middle of the dark lies across it, in mm, and how wide the dark is.
fn across(picture: &Picture, at: Point, normal: Vec2, reach: f64) -> (f64, f64) {
    let step = 0.1 * MM;
    let count = (reach / step) as i32;
    let (mut sum, mut moment) = (0.0, 0.0);
    for k in -count..=count {
        let off = f64::from(k) * step;
        let dark = picture.at(at + off * normal);
        sum += dark;
        moment += off * dark;
    }
    (if sum > 0.0 { moment / sum } else { f64::INFINITY }, sum * step)
}

#[test]
fn every_line_lies_where_poppler_draws_it_and_nothing_else_is_dark() {
    for name in ["kinds.pdf", "tiles-cut-a4.pdf"] {
        let Some(picture) = picture(&file(name)) else { return };
        let page = pages(name).remove(0);
        let (drawing, _) = drawing_of_page(&page);
        let frame = drawing.page.unwrap();
        assert!((picture.width as f64 * MM - frame.width()).abs() <= MM, "{name}: {frame:?}");
        assert!((picture.height as f64 * MM - frame.height()).abs() <= MM);
        let strokes: Vec<&Stroke> = drawing.groups.iter().flat_map(|group| &group.strokes).collect();
        let (mut worst, mut sum, mut count) = (0.0_f64, 0.0, 0);
        for stroke in strokes.iter().filter(|stroke| stroke.look.fill.is_none() && !stroke.look.is_dashed()) {
            let length = stroke.curve.length();
            let width = f64::from(stroke.look.width) / 100.0;
            let steps = (length / 2.0).ceil();
            for step in 1..steps as i32 {
                let along = length * f64::from(step) / steps;
                let (at, tangent) = (stroke.curve.point_at(along), stroke.curve.tangent_at(along));
                let normal = Vec2::new(-tangent.y, tangent.x);
                // Not where another line or a corner is near, nor at the edge of the page.
                let reach = 0.5 * width + 1.5 * MM;
                let alone = strokes.iter().all(|other| {
                    std::ptr::eq(*other, *stroke) || other.curve.nearest(at).1 > 2.0 * reach + 3.0
                });
                let smooth = [-2.0, 2.0].iter().all(|off| {
                    (0.0..=length).contains(&(along + off))
                        && stroke.curve.tangent_at(along + off).dot(tangent) > 0.99
                });
                if !alone || !smooth || !frame.inflate(-2.0, -2.0).contains(at) {
                    continue;
                }
                let (off, _) = across(&picture, at, normal, reach);
                worst = worst.max(off.abs());
                sum += off.abs();
                count += 1;
            }
        }
        eprintln!(
            "{name}: {count} places, {:.4} mm off on average, {worst:.4} mm at most",
            sum / f64::from(count)
        );
        assert!(count > 100, "{name}: {count}");
        // Poppler draws thin lines dot by dot: half a dot of 0.17 mm.
        assert!(worst <= 0.5 * MM + 0.01, "{name}: {worst} mm");
        let mut strange = 0;
        for y in 0..picture.height {
            for x in 0..picture.width {
                if picture.dark[y * picture.width + x] < 0.5 {
                    continue;
                }
                let place = Point::new((x as f64 + 0.5) * MM, (picture.height as f64 - y as f64 - 0.5) * MM);
                let lettered = drawing.groups.iter().flat_map(|group| &group.words).any(|words| {
                    let off = place - words.at;
                    let long = words.words.chars().count() as f64 * 1.2 * words.height_mm;
                    (-1.0..=long).contains(&off.x) && off.y.abs() <= 2.0 * words.height_mm
                });
                let told = lettered
                    || strokes.iter().any(|stroke| {
                        let reach = 0.5 * f64::from(stroke.look.width) / 100.0 + 1.5 * MM;
                        let near = stroke.curve.bounding_box().inflate(reach, reach).contains(place);
                        near && (stroke.look.fill.is_some() || stroke.curve.nearest(place).1 <= reach)
                    });
                strange += u32::from(!told);
            }
        }
        // Mitred corners of the widest line reach a little further than its width.
        assert!(strange <= 10, "{name}: {strange} dark dots that no line explains");
    }
}
