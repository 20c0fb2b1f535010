//! The printed test square: is the drawing as large as it says?
//!
//! A pattern prints a square with its size in words in it or beside it. The square is measured across and up apart,
//! because a printer may stretch one way. What it measures is told, and a drawing that is not of its own size stops
//! the cloth from being cut; the remedy names the scale to import it with.

use super::corrections::is_square;
use super::drawing::{Drawing, Stroke, Words};
use super::{Options, PointedSquare};
use crate::finding::{Finding, Severity};
use crate::geometry::{Length, Point, Rect, Segment, Unit};

/// Sides of a square lie along the axes within this, in mm.
const STRAIGHT_MM: f64 = 0.1;
/// Furthest that words beside a square may lie from it, in mm.
const BESIDE_MM: f64 = 25.0;
/// Smallest and largest test square, in mm.
const SIZES_MM: std::ops::RangeInclusive<f64> = 8.0..=350.0;
/// Sides of a test square differ by less than this part: a printer stretches a little, a piece is not square at all.
const STRETCH: f64 = 0.1;
/// The same of one in which words say plainly that it is the test square, and each side against what they say.
const PLAIN_STRETCH: f64 = 0.3;
/// Of the words that tell, so many different ones say so plainly: “test square”, “check the scale”. One may be about a
/// square pocket.
const PLAINLY: usize = 2;
/// Squares of one page are stretched alike within this part.
const ALIKE: f64 = 0.02;
/// A square is as large as it says within this part: 0.2 mm in 10 cm, which no tape shows.
const RIGHT: f64 = 0.002;
/// A length in words is that of a square that measures this part of it; other words are about something else.
const PRINTED: std::ops::RangeInclusive<f64> = 0.4..=2.5;
/// The same where no word says that it is a test square.
const UNTOLD: std::ops::RangeInclusive<f64> = 0.8..=1.25;
/// Squares that are looked at; a sheet of squared paper has more, and none of them is a test square.
const MOST_SQUARES: usize = 500;
/// A corner that a person pointed to lies this close to the drawn one, in mm.
const POINTED_MM: f64 = 1.0;
/// Words that say that a square is to be measured.
const TELLING: [&str; 8] = ["test", "square", "check", "scale", "control", "measure", "print", "gauge"];

/// A printed test square, as it measures on the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct TestSquare {
    /// Where it lies, in mm.
    pub bounds: Rect,
    /// The length of a side that is printed.
    pub side: Length,
}

impl TestSquare {
    /// Whether it is as large as is printed, across and up.
    #[must_use]
    pub fn is_true_size(&self) -> bool {
        is_true_size(self.bounds.width(), self.side.mm())
            && is_true_size(self.bounds.height(), self.side.mm())
    }

    /// Whether it is as wide as high, however large it is.
    #[must_use]
    pub fn is_even(&self) -> bool {
        is_true_size(self.bounds.width(), self.bounds.height())
    }
}

/// A closed upright square of the drawing.
struct Square {
    group: usize,
    stroke: usize,
    bounds: Rect,
    /// The same square in other layers, or drawn again.
    again: Vec<(usize, usize)>,
}

impl Square {
    fn strokes(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        self.again.iter().copied().chain([(self.group, self.stroke)])
    }
}

/// Finds the test square, tells what it measures, and takes it out of the drawing.
pub(super) fn check(drawing: &mut Drawing, options: &Options, findings: &mut Vec<Finding>) {
    let squares = squares_of(drawing, is_even);
    if let Some(pointed) = &options.test_square {
        let found = match pointed.at {
            Some(at) => {
                let around = squares.iter().filter(|square| square.bounds.inflate(1.0, 1.0).contains(at));
                around.min_by(|a, b| a.bounds.area().total_cmp(&b.bounds.area()))
            }
            None => {
                let off = |square: &Square| (side(square.bounds) / pointed.side.mm()).ln().abs();
                squares.iter().min_by(|a, b| off(a).total_cmp(&off(b)))
            }
        };
        match found {
            Some(square) => {
                measure(drawing, square.bounds, &pointed.side, findings);
                take_out(drawing, square.strokes().collect());
            }
            None => findings.push(no_square(pointed)),
        }
        return;
    }
    let mut taken = Vec::new();
    for square in &squares {
        if let Some(length) = written(drawing, square) {
            measure(drawing, square.bounds, &length, findings);
            taken.extend(square.strokes());
        }
    }
    if taken.is_empty() {
        for (square, length) in plain_squares(drawing) {
            measure(drawing, square.bounds, &length, findings);
            taken.extend(square.strokes());
        }
    }
    take_out(drawing, taken);
}

/// Whether a rectangle is square but for a little stretch.
fn is_even(bounds: Rect) -> bool {
    (bounds.width() / bounds.height() - 1.0).abs() <= STRETCH
}

/// Rectangles of a page that was stretched so far that none of its squares looks like one: words inside say plainly what
/// they are, how large, and nothing of a piece; and all are stretched alike.
fn plain_squares(drawing: &Drawing) -> Vec<(Square, Length)> {
    let (least, most) = (1.0 - PLAIN_STRETCH, 1.0 + PLAIN_STRETCH);
    let told = |bounds: Rect| (least / most..=most / least).contains(&(bounds.width() / bounds.height()));
    let found = squares_of(drawing, |bounds| told(bounds) && !is_even(bounds));
    let named = found.into_iter().filter_map(|square| {
        let length = plainly_written(drawing, square.bounds)?;
        Some((square, length))
    });
    let named: Vec<(Square, Length)> = named.collect();
    let stretch = |(square, length): &(Square, Length)| square.bounds.size() / length.mm();
    let alike = |one: &(Square, Length)| {
        let (one, first) = (stretch(one), stretch(&named[0]));
        let off = |a: f64, b: f64| (a / b - 1.0).abs();
        off(one.width, first.width).max(off(one.height, first.height)) <= ALIKE
    };
    if named.iter().all(alike) { named } else { Vec::new() }
}

/// The length that words in a rectangle give its sides when they say plainly that it is a test square. Nothing but
/// rectangles may lie in it beside the words.
fn plainly_written(drawing: &Drawing, bounds: Rect) -> Option<Length> {
    let strokes = || drawing.groups.iter().flat_map(|group| &group.strokes);
    let inside = |stroke: &&Stroke| bounds.contains(stroke.curve.bounding_box().center());
    let spots = drawing.groups.iter().flat_map(|group| &group.spots);
    if strokes().filter(inside).any(|stroke| rectangle_of(stroke).is_none())
        || spots.map(|spot| spot.at).any(|at| bounds.contains(at))
    {
        return None;
    }
    let smaller: Vec<Rect> = strokes()
        .filter(inside)
        .filter_map(rectangle_of)
        .filter(|other| other.area() < 0.99 * bounds.area())
        .collect();
    let words: Vec<&Words> = drawing
        .groups
        .iter()
        .flat_map(|group| &group.words)
        .filter(|words| bounds.contains(words.at) && !smaller.iter().any(|other| other.contains(words.at)))
        .collect();
    let lower: String = words.iter().map(|words| words.words.to_lowercase() + " ").collect();
    let cuts = lower.split(|c: char| !c.is_alphanumeric()).any(|word| word == "cut");
    let plainly = TELLING.iter().filter(|word| lower.contains(**word)).count() >= PLAINLY;
    if cuts || !plainly {
        return None;
    }
    let off = |mm: f64| (mm - 1.0).abs();
    let worst = |length: &Length| off(bounds.width() / length.mm()).max(off(bounds.height() / length.mm()));
    let lengths = words.iter().flat_map(|words| lengths_in(&words.words));
    let fits = lengths.filter(|length| worst(length) <= PLAIN_STRETCH);
    fits.min_by(|a, b| worst(a).total_cmp(&worst(b)))
}

/// Tells what a test square measures, and keeps it for a scale that may be made of it.
fn measure(drawing: &mut Drawing, bounds: Rect, side: &Length, findings: &mut Vec<Finding>) {
    findings.push(told(bounds, side));
    drawing.test_squares.push(TestSquare { bounds, side: side.clone() });
}

/// Tells what a test square measures whose corners a person pointed to, and takes its lines out of the drawing.
pub(super) fn pointed(drawing: &mut Drawing, bounds: Rect, side: &Length, findings: &mut Vec<Finding>) {
    if !is_square(bounds) {
        let what = format!(
            "The two places of the test square lie {:.1} mm across and {:.1} mm up apart: they are no two corners, across, of a square",
            bounds.width(),
            bounds.height()
        );
        let remedy =
            "Take it back, click the lower left corner and then the upper right one, and say it again";
        findings.push(Finding::new(Severity::Warning, what, remedy).at(bounds.center()));
        return;
    }
    measure(drawing, bounds, side, findings);
    let near = |a: f64, b: f64| (a - b).abs() <= POINTED_MM;
    let same = |other: Rect| {
        near(other.x0, bounds.x0)
            && near(other.y0, bounds.y0)
            && near(other.x1, bounds.x1)
            && near(other.y1, bounds.y1)
    };
    for group in &mut drawing.groups {
        group.strokes.retain(|stroke| !(stroke.closed && same(stroke.curve.bounding_box())));
    }
}

/// Whether a length that was measured is what is printed, as near as a tape shows (0.2 mm in 10 cm).
#[must_use]
pub fn is_true_size(measured_mm: f64, printed_mm: f64) -> bool {
    (measured_mm / printed_mm - 1.0).abs() <= RIGHT
}

fn no_square(pointed: &PointedSquare) -> Finding {
    let place = pointed.at.map_or_else(String::new, |at| format!(" at {:.0}, {:.0} mm", at.x, at.y));
    let what = format!("There is no upright square of {}{place} on the drawing", pointed.side);
    Finding::new(Severity::Stop, what, "Point at a place inside the printed test square, and import again")
}

fn side(bounds: Rect) -> f64 {
    0.5 * (bounds.width() + bounds.height())
}

/// The rectangles of the drawing that fit, each once.
fn squares_of(drawing: &Drawing, fits: impl Fn(Rect) -> bool) -> Vec<Square> {
    let mut squares: Vec<Square> = Vec::new();
    for (group, content) in drawing.groups.iter().enumerate() {
        for (stroke, line) in content.strokes.iter().enumerate() {
            if squares.len() >= MOST_SQUARES {
                return squares;
            }
            let Some(bounds) = rectangle_of(line).filter(|bounds| fits(*bounds)) else { continue };
            // A square in several layers, or drawn twice, is one.
            let known = squares.iter_mut().find(|square| {
                let (a, b) = (square.bounds, bounds);
                (a.x0 - b.x0).hypot(a.y0 - b.y0).max((a.x1 - b.x1).hypot(a.y1 - b.y1)) < STRAIGHT_MM
            });
            match known {
                Some(square) => square.again.push((group, stroke)),
                None => squares.push(Square { group, stroke, bounds, again: Vec::new() }),
            }
        }
    }
    squares
}

/// The box of a stroke that is an upright rectangle as large as a test square.
fn rectangle_of(stroke: &Stroke) -> Option<Rect> {
    let segments = stroke.curve.segments();
    if !stroke.closed || !(4..=5).contains(&segments.len()) {
        return None;
    }
    let straight = |segment: &Segment| match segment {
        Segment::Line(line) => {
            let along = line.p1 - line.p0;
            along.x.abs().min(along.y.abs()) <= STRAIGHT_MM
        }
        _ => false,
    };
    let bounds = stroke.curve.bounding_box();
    // As long as the box is around: no step and no line to and fro.
    let whole = (stroke.curve.length() - 2.0 * (bounds.width() + bounds.height())).abs() <= 8.0 * STRAIGHT_MM;
    (SIZES_MM.contains(&side(bounds)) && segments.iter().all(straight) && whole).then_some(bounds)
}

/// The length that is written in or beside a square.
fn written(drawing: &Drawing, square: &Square) -> Option<Length> {
    let near = square.bounds.inflate(BESIDE_MM, BESIDE_MM);
    let words =
        || drawing.groups.iter().flat_map(|group| &group.words).filter(|words| near.contains(words.at));
    let inside = |words: &Words| square.bounds.contains(words.at);
    let tells = |words: &Words| {
        let lower = words.words.to_lowercase();
        TELLING.iter().any(|word| lower.contains(word))
    };
    let named = drawing.groups[square.group].strokes[square.stroke].tags.to_lowercase().contains("square");
    let told = named || words().any(tells);
    let measured = side(square.bounds);
    // In words of their own, or far off, a length may be anything's.
    let fits = |length: &Length| {
        let part = measured / length.mm();
        if told { PRINTED.contains(&part) } else { UNTOLD.contains(&part) }
    };
    let lengths = words().filter(|words| told || inside(words)).flat_map(|words| lengths_in(&words.words));
    let off = |length: &Length| (measured / length.mm()).ln().abs();
    lengths.filter(|length| fits(length)).min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// Every length in a sentence: `10 cm`, `4"`, `1 1/2 in`.
fn lengths_in(words: &str) -> Vec<Length> {
    let spaced = words.replace(['×', '=', '(', ')', '[', ']', ',', ';', ':'], " ");
    let parts: Vec<&str> = spaced.split_whitespace().map(|part| part.trim_end_matches('.')).collect();
    let mut found = Vec::new();
    for from in 0..parts.len() {
        // The longest first: `1 1/2 in` is not `2 in`.
        let read = (1..=3).rev().find_map(|count| {
            let text = parts.get(from..from + count)?.join(" ");
            Length::parse(&text, None).ok().filter(|length| length.mm() > 0.0)
        });
        found.extend(read);
    }
    // `10cm/4in`
    for part in parts.iter().filter(|part| part.contains('/')) {
        found.extend(part.split('/').filter_map(|text| Length::parse(text, None).ok()));
    }
    found
}

/// An amount in a unit, short enough to be read.
fn amount(mm: f64, unit: Unit) -> String {
    let digits = if unit == Unit::Mm { 1 } else { 2 };
    let text = format!("{:.digits$}", mm / unit.mm());
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    format!("{text} {}", unit.symbol())
}

fn told(bounds: Rect, length: &Length) -> Finding {
    let (across, up) = (bounds.width(), bounds.height());
    let unit = length.unit();
    let part = side(bounds) / length.mm();
    let off = |mm: f64| (mm / length.mm() - 1.0).abs();
    let worst = if off(across) > off(up) { across } else { up };
    let finding = if off(worst) <= RIGHT {
        let what = format!(
            "The test square measures {across:.2} mm across and {up:.2} mm up, as written ({length})"
        );
        Finding::new(Severity::Note, what, "Nothing to do: the drawing has its true size")
    } else if (across / up - 1.0).abs() > RIGHT {
        let what = format!(
            "The test square measures {} across and {} up where {length} is written: printed at {:.1} % across and {:.1} % up?",
            amount(across, unit),
            amount(up, unit),
            100.0 * across / length.mm(),
            100.0 * up / length.mm(),
        );
        Finding::new(
            Severity::Stop,
            what,
            "If the square is right, say so at the desk under Scale: the drawing is then scaled across and up apart; else export it again without stretching it",
        )
    } else {
        let percent = format!("{:.1}", 100.0 * part);
        let what = format!(
            "The test square measures {} where {length} is written: printed at {} %?",
            amount(worst, unit),
            percent.trim_end_matches(".0")
        );
        let remedy = format!(
            "If the square is right, say so at the desk under Scale, or import with {:.4} times the millimetres in one unit (--millimetres-per-unit; a PDF has 0.3528, so {:.4}); else find out how the file was printed",
            1.0 / part,
            25.4 / 72.0 / part
        );
        Finding::new(Severity::Stop, what, remedy)
    };
    finding.at(bounds.center()).by_mm(worst - length.mm())
}

fn take_out(drawing: &mut Drawing, mut taken: Vec<(usize, usize)>) {
    taken.sort_unstable();
    for (group, stroke) in taken.into_iter().rev() {
        if let Some(group) = drawing.groups.get_mut(group).filter(|group| stroke < group.strokes.len()) {
            group.strokes.remove(stroke);
        }
    }
}

/// A place that was typed: `120,300`.
///
/// # Errors
/// A sentence that says how to write it.
pub fn place_of(text: &str) -> Result<Point, String> {
    let bad = || {
        format!(
            "“{text}” is no place on the drawing. Write it as X,Y in mm from the lower left corner: 120,300"
        )
    };
    let (x, y) = text.split_once(',').ok_or_else(bad)?;
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
    Ok(Point::new(number(x).ok_or_else(bad)?, number(y).ok_or_else(bad)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_found_in_sentences() {
        let told = |words: &str| lengths_in(words).iter().map(Length::mm).collect::<Vec<_>>();
        assert_eq!(told("This square is 10 in wide."), [254.0]);
        assert_eq!(told("Test square 10 x 10 cm"), [100.0]);
        assert_eq!(told("4\" (10,5 cm)").first(), Some(&101.6));
        assert!(told("1 1/2 in").iter().any(|mm| (mm - 38.1).abs() < 1e-9));
        assert_eq!(told("10cm/4in"), [100.0, 101.6]);
        assert!(told("cut 2 on fold, size 38").is_empty());
    }
}
