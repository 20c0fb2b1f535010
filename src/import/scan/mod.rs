//! A scan or photograph of a paper piece: a picture in greys becomes outlines.
//!
//! **Method.** The grey level that parts ink from paper is Otsu's (*A Threshold Selection Method from Gray-Level
//! Histograms*, 1979). Along it the border of all that is dark is followed between the pixels, by linear
//! interpolation of the greys (marching squares), so that it lies within a fraction of a pixel. A drawn line has two
//! borders, or one that comes back beside itself where it is not closed; the line itself runs midway between them, so
//! that its width doesn't matter. Corners are looked for first,
//! and each stretch between two of them is fitted by itself: a fit across a corner would round it.
//!
//! **Scale.** The picture's own resolution (PNG `pHYs`, JFIF density, TIFF resolution), told by a person, or a ruler in
//! the picture; without any it is asked for. Scanners are off by up to a percent: a ruler in the picture is the proof.
//!
//! **Limits.** A page lies flat: a photograph that is askew is not straightened. Words, notches and other small things
//! are counted and left out.

mod corners;
mod error;
mod few;
mod fit;
mod open;
mod picture;
mod ruler;
mod trace;

pub use error::ScanError;
pub use ruler::Ruler;

use super::drawing::{Arrows, Drawing, Group, Look, Stroke};
use super::{Options, Progress, Step};
use crate::finding::{Finding, Severity};
use crate::geometry::{Curve, Line, Point, Rect, Segment, Vec2};
use picture::Picture;

pub(super) use picture::is_picture;

/// Resolutions that a scan has, in dots per inch.
const RESOLUTIONS: std::ops::RangeInclusive<f64> = 20.0..=10_000.0;

/// Dark things smaller than this across are words, notches and specks, in mm.
const SMALL_MM: f64 = 20.0;

/// The outlines in a picture. `pointed` is how many times as wide and high as it tells a person found it, who pointed to places
/// of known distance.
pub(super) fn drawing(
    bytes: &[u8],
    options: &Options,
    pointed: Option<Vec2>,
    progress: &dyn Progress,
    findings: &mut Vec<Finding>,
) -> Result<Drawing, ScanError> {
    let picture = picture::decode(bytes)?;
    let [x_mm, y_mm] = pixel_mm(&picture, options, pointed, findings)?;
    let going = |done| progress.go_on(Step { what: "following lines in the picture", done, of: 3 });
    if !going(0) {
        return Err(ScanError::Stopped);
    }
    let level = picture.level().ok_or(ScanError::NoInk)?;
    let borders = trace::borders(&picture, level)?;
    if !going(1) {
        return Err(ScanError::Stopped);
    }
    // Pixels count from the upper left corner; on the sheet y points up.
    let height = f64::from(picture.height);
    let on_sheet = |point: &Point| Point::new(point.x * x_mm, (height - point.y) * y_mm);
    let borders: Vec<Vec<Point>> =
        borders.iter().map(|border| border.iter().map(on_sheet).collect()).collect();
    let across = |border: &Vec<Point>| {
        let bounds = border.iter().map(|at| Rect::from_points(*at, *at)).reduce(|a, b| a.union(b));
        bounds.map_or(0.0, |bounds| bounds.width().hypot(bounds.height()))
    };
    let (large, small): (Vec<_>, Vec<_>) = borders.into_iter().partition(|border| across(border) >= SMALL_MM);
    if !small.is_empty() {
        findings.push(Finding::new(
            Severity::Note,
            format!("{} small dark thing(s) in the picture, words or notches, were left out", small.len()),
            "Set notches and names by hand",
        ));
    }
    let specks = small.iter().filter_map(|border| speck(border)).collect();
    let pixel = x_mm.max(y_mm);
    let page = Rect::new(0.0, 0.0, f64::from(picture.width) * x_mm, height * y_mm);
    let mut group = Group::default();
    for line in trace::lines(large, page, pixel) {
        let fitted =
            if line.closed { fit::closed(&line.points, pixel) } else { fit::open(&line.points, pixel) };
        if let Some(curve) = fitted {
            group.strokes.push(Stroke {
                name: None,
                tags: String::new(),
                part: None,
                curve,
                closed: line.closed,
                look: Look::default(),
                arrows: Arrows::default(),
            });
        }
    }
    if !going(2) {
        return Err(ScanError::Stopped);
    }
    Ok(Drawing { page: Some(page), groups: vec![group], specks, ..Drawing::default() })
}

/// A small thing by the corners of its border.
fn speck(border: &[Point]) -> Option<Curve> {
    let sides = border.iter().zip(border.iter().cycle().skip(1));
    let sides = sides.filter(|(from, to)| from != to);
    Curve::new(sides.map(|(from, to)| Segment::Line(Line::new(*from, *to))).collect()).ok()
}

/// Width and height of a pixel in mm.
fn pixel_mm(
    picture: &Picture,
    options: &Options,
    pointed: Option<Vec2>,
    findings: &mut Vec<Finding>,
) -> Result<[f64; 2], ScanError> {
    if let Some(ruler) = &options.ruler {
        let mm = ruler.mm_per_pixel().ok_or(ScanError::BadRuler)?;
        return if RESOLUTIONS.contains(&(25.4 / mm)) { Ok([mm; 2]) } else { Err(ScanError::BadRuler) };
    }
    let dpi = match options.dpi {
        Some(dpi) => [dpi; 2],
        None => {
            let told = picture.dpi.ok_or(ScanError::NoResolution)?;
            if pointed.is_none() {
                let what = format!(
                    "The scale was taken from the picture’s own resolution, {:.0} dots per inch",
                    told[0]
                );
                let remedy = "Measure a line of known length, or point to two places of a ruler that was scanned with the piece";
                findings.push(Finding::new(Severity::Warning, what, remedy));
            }
            told
        }
    };
    if !dpi.iter().all(|dpi| RESOLUTIONS.contains(dpi)) {
        return Err(ScanError::BadResolution(dpi[0]));
    }
    let times = pointed.map_or([1.0; 2], |times| [times.x, times.y]);
    let mm = [0, 1].map(|way| 25.4 / dpi[way] * times[way]);
    if !mm.iter().all(|mm| RESOLUTIONS.contains(&(25.4 / mm))) {
        return Err(ScanError::BadRuler);
    }
    Ok(mm)
}
