//! A scan or photograph of a paper piece: a picture in greys becomes outlines.
//!
//! **Method.** The grey level that parts ink from paper is Otsu's (*A Threshold Selection Method from Gray-Level
//! Histograms*, 1979). Along it the border of all that is dark is followed between the pixels, by linear
//! interpolation of the greys (marching squares), so that it lies within a fraction of a pixel. A drawn line has two
//! borders, or one that comes back beside itself where it is not closed; the line itself runs midway between them, so
//! that its width doesn't matter. Corners are looked for first,
//! and each stretch between two of them is fitted by itself: a fit across a corner would round it. What is drawn on
//! an outline or inside it is thinned to its middle.
//!
//! **Scale.** The picture's own resolution (PNG `pHYs`, JFIF density, TIFF resolution), told by a person, or a ruler in
//! the picture; without any it is asked for. Scanners are off by up to a percent: a ruler in the picture is the proof.
//!
//! **Limits.** A page lies flat: a photograph that is askew is not straightened. Words, specks and other small things
//! are counted and left out; so are dashes shorter than 8 mm.

mod blobs;
mod corners;
mod error;
mod few;
mod fit;
mod marks;
mod open;
mod picture;
mod ruler;
mod skeleton;
mod trace;

pub use error::ScanError;
pub use ruler::Ruler;

use super::drawing::{Arrows, Drawing, Group, Look, Stroke};
use super::{Options, Progress, Step};
use crate::finding::{Finding, Severity};
use crate::geometry::{Curve, Line, Point, Rect, Segment, Vec2};
use blobs::Blobs;
use picture::Picture;
use std::collections::{BTreeMap, BTreeSet};
use trace::{Border, Lines, Near, Traced};

pub(super) use picture::is_picture;

/// Resolutions that a scan has, in dots per inch.
const RESOLUTIONS: std::ops::RangeInclusive<f64> = 20.0..=10_000.0;

/// Dark things smaller than this across are words, notches and specks, in mm.
const SMALL_MM: f64 = 20.0;

/// The widest line that a pen draws, in mm; what is wider is a patch, or paper.
const WIDEST_MM: f64 = 2.5;

/// Ink reaches so many pixels out of a line that is even.
const ROUGH_PX: f64 = 1.5;

/// The lines in a picture. `pointed` is how many times as wide and high as it tells a person found it, who pointed to places
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
    let scale = Scale { x_mm, y_mm, height: f64::from(picture.height) };
    let blobs = Blobs::of(&picture, level);
    let in_mm = |border: Vec<Point>| {
        let blob = border.first().and_then(|place| blobs.beside(*place))?;
        Some(Border { points: border.iter().map(|place| scale.on_sheet(place)).collect(), blob })
    };
    let borders = borders.into_iter().filter_map(in_mm);
    let across = |border: &Border| {
        let bounds = border.points.iter().map(|at| Rect::from_points(*at, *at)).reduce(|a, b| a.union(b));
        bounds.map_or(0.0, |bounds| bounds.width().hypot(bounds.height()))
    };
    let (large, mut small): (Vec<Border>, Vec<Border>) =
        borders.partition(|border| across(border) >= SMALL_MM);
    let pixel = scale.pixel_mm();
    let page = Rect::new(0.0, 0.0, f64::from(picture.width) * x_mm, scale.height * y_mm);
    let lines = trace::lines(large, page, pixel);
    let mut group = Group::default();
    for line in &lines.traced {
        let fitted =
            if line.closed { fit::closed(&line.points, pixel) } else { fit::open(&line.points, pixel) };
        group.strokes.extend(fitted.map(|curve| stroke(curve, line.closed, Arrows::default())));
    }
    if !going(2) {
        return Err(ScanError::Stopped);
    }
    let understood = marked(&blobs, &lines, &small, &scale, &mut group);
    small.retain(|border| !understood.contains(&border.blob));
    let left_out: BTreeSet<usize> =
        small.iter().map(|border| border.blob).filter(|blob| !lines.holds(*blob)).collect();
    if !left_out.is_empty() {
        findings.push(Finding::new(
            Severity::Note,
            format!("{} small dark thing(s) in the picture, words or specks, were left out", left_out.len()),
            "Set names by hand, and notches that are not there",
        ));
    }
    let specks = small.iter().filter_map(|border| speck(&border.points)).collect();
    Ok(Drawing { page: Some(page), groups: vec![group], specks, ..Drawing::default() })
}

/// Where pixels lie: they count from the upper left corner, and on the sheet y points up.
struct Scale {
    x_mm: f64,
    y_mm: f64,
    /// Height of the picture in pixels.
    height: f64,
}

impl Scale {
    fn on_sheet(&self, place: &Point) -> Point {
        Point::new(place.x * self.x_mm, (self.height - place.y) * self.y_mm)
    }

    fn middle(&self, [x, y]: blobs::Pixel) -> Point {
        self.on_sheet(&Point::new(f64::from(x) + 0.5, f64::from(y) + 0.5))
    }

    fn pixel_mm(&self) -> f64 {
        self.x_mm.max(self.y_mm)
    }
}

fn stroke(curve: Curve, closed: bool, arrows: Arrows) -> Stroke {
    Stroke { name: None, tags: String::new(), part: None, curve, closed, look: Look::default(), arrows }
}

/// Adds what is drawn on outlines, what branches, and small lines; answers which of the small things were understood.
fn marked(
    blobs: &Blobs,
    lines: &Lines,
    small: &[Border],
    scale: &Scale,
    group: &mut Group,
) -> BTreeSet<usize> {
    let outlines: BTreeMap<usize, &Traced> =
        lines.traced.iter().filter(|line| line.width.is_some()).map(|line| (line.blob, line)).collect();
    let branched: BTreeMap<usize, &Vec<Point>> =
        lines.branched.iter().map(|(blob, border)| (*blob, border)).collect();
    let mut alone: BTreeSet<usize> = small.iter().map(|border| border.blob).collect();
    alone.retain(|blob| !lines.holds(*blob));
    alone.extend(branched.keys());
    let mut understood = BTreeSet::new();
    let wanted = |blob: usize| alone.contains(&blob) || outlines.contains_key(&blob);
    for (blob, pixels) in blobs.pixels(wanted) {
        let marks = match outlines.get(&blob) {
            Some(outline) => {
                let width = outline.width.unwrap_or_default();
                let reach_mm = 0.5 * width + ROUGH_PX * scale.pixel_mm();
                let line = Near::of(&outline.points, (3.0 * width).max(2.0 * reach_mm));
                marks::on_outline(pixels, &marks::Drawn { line, reach_mm }, scale)
            }
            None => marks::alone(&pixels, scale),
        };
        if !marks.is_empty() {
            understood.insert(blob);
        } else if let Some(border) = branched.get(&blob) {
            // A scribble is shown as it is.
            let fitted = fit::closed(border, scale.pixel_mm());
            group.strokes.extend(fitted.map(|curve| stroke(curve, true, Arrows::default())));
        }
        group.strokes.extend(marks.into_iter().map(|mark| stroke(mark.curve, false, mark.arrows)));
    }
    understood.retain(|blob| !outlines.contains_key(blob));
    understood
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
