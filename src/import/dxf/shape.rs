//! The shape of an entity, in units of the file.

use super::error::DxfError;
use super::sections::Entity;
use super::spline;
use crate::geometry::{Affine, CircularArc, Point, Segment, Vec2};

/// Most points of one line.
const MOST_POINTS: usize = 1_000_000;

/// What an entity draws.
pub(super) enum Shape {
    /// A line, whether it is closed, and a transform that lays it (an ellipse is a stretched circle).
    Line(Vec<Segment>, bool, Affine),
    /// A point.
    Spot(Point),
    /// Words, their place and height, and the angle at which they run; of several lines, one below the other.
    Words(String, Point, f64, f64),
    /// Nothing that a pattern shows.
    Nothing,
    /// A kind that is not read.
    Unread,
}

fn point(entity: &Entity<'_, '_>, code: i16) -> Option<Point> {
    Some(Point::new(entity.real(code)?, entity.real(code + 10)?))
}

/// The plane of an entity: facing up, or facing down (x mirrored); others cannot lie on a table.
pub(super) fn plane(entity: &Entity<'_, '_>) -> Option<Affine> {
    let up = [210, 220, 230].map(|code| entity.real(code));
    let [x, y, z] = [up[0].unwrap_or(0.0), up[1].unwrap_or(0.0), up[2].unwrap_or(1.0)];
    let slant = 1e-6;
    if x.abs() > slant || y.abs() > slant || z.abs() <= slant {
        return None;
    }
    Some(if z > 0.0 { Affine::IDENTITY } else { Affine::new([-1.0, 0.0, 0.0, 1.0, 0.0, 0.0]) })
}

/// The shape of an entity.
pub(super) fn shape_of(entity: &Entity<'_, '_>) -> Result<Shape, DxfError> {
    let bad = |what: &str| DxfError::BadShape {
        at: entity.at,
        kind: entity.kind.to_owned(),
        what: what.to_owned(),
    };
    let need = |code: i16| point(entity, code).ok_or_else(|| bad("has no place"));
    let whole = |segments, closed| Ok(Shape::Line(segments, closed, Affine::IDENTITY));
    match entity.kind {
        "LINE" => whole(vec![Segment::line(need(10)?, need(11)?)], false),
        "POINT" => Ok(Shape::Spot(need(10)?)),
        "LWPOLYLINE" => {
            let (corners, closed) = light_polyline(entity).ok_or_else(|| bad("has points without height"))?;
            check_count(corners.len())?;
            whole(bulged(&corners, closed), closed)
        }
        "POLYLINE" => {
            let flags = entity.whole(70).unwrap_or(0);
            if flags & (16 | 64) != 0 {
                return Ok(Shape::Unread);
            }
            check_count(entity.vertices.len())?;
            let mut corners = Vec::new();
            for vertex in &entity.vertices {
                // The frame of a fitted curve is not drawn.
                if vertex.whole(70).unwrap_or(0) & 16 != 0 {
                    continue;
                }
                let at = point(vertex, 10).ok_or_else(|| bad("has a vertex without a place"))?;
                corners.push((at, vertex.real(42).unwrap_or(0.0)));
            }
            let closed = flags & 1 == 1;
            whole(bulged(&corners, closed), closed)
        }
        "CIRCLE" => {
            let radius = radius(entity).ok_or_else(|| bad("has no radius"))?;
            let start = need(10)? + Vec2::new(radius, 0.0);
            let round = CircularArc::about(need(10)?, start, std::f64::consts::TAU);
            whole(vec![Segment::Arc(round)], true)
        }
        "ARC" => {
            let radius = radius(entity).ok_or_else(|| bad("has no radius"))?;
            let angle = |code| entity.real(code).map(f64::to_radians);
            let (Some(from), Some(to)) = (angle(50), angle(51)) else {
                return Err(bad("has no angles"));
            };
            let start = need(10)? + radius * Vec2::from_angle(from);
            let sweep = positive_turn(to - from);
            whole(vec![Segment::Arc(CircularArc::about(need(10)?, start, sweep))], false)
        }
        "ELLIPSE" => {
            let (center, major) = (need(10)?.to_vec2(), need(11)?.to_vec2());
            let ratio = entity.real(40).unwrap_or(1.0);
            let (from, to) =
                (entity.real(41).unwrap_or(0.0), entity.real(42).unwrap_or(std::f64::consts::TAU));
            let sweep = positive_turn(to - from);
            let minor = ratio * Vec2::new(-major.y, major.x);
            let start = Point::ORIGIN + Vec2::from_angle(from);
            let round = Segment::Arc(CircularArc::about(Point::ORIGIN, start, sweep));
            let closed = sweep >= std::f64::consts::TAU - 1e-9;
            let lay = Affine::new([major.x, major.y, minor.x, minor.y, center.x, center.y]);
            Ok(Shape::Line(vec![round], closed, lay))
        }
        "SPLINE" => {
            check_count(entity.pairs().len())?;
            let (segments, closed) = spline::segments_of(entity).map_err(|what| bad(&what))?;
            whole(segments, closed)
        }
        "TEXT" | "ATTRIB" => {
            let set = entity.whole(72).unwrap_or(0) != 0 || entity.whole(73).unwrap_or(0) != 0;
            let second = point(entity, 11).filter(|_| set);
            let at = second.map_or_else(|| need(10), Ok)?;
            let words = unescaped(entity.text(1).unwrap_or_default());
            let turn = entity.real(50).unwrap_or(0.0).to_radians();
            Ok(Shape::Words(words, at, entity.real(40).unwrap_or(0.0), turn))
        }
        "MTEXT" => {
            let parts = entity.pairs().iter().filter(|pair| pair.code == 3 || pair.code == 1);
            let words: String = parts.map(|pair| pair.text()).collect();
            // The direction of the line goes before the angle, which is in degrees (from memory).
            let along = point(entity, 11).map(|along| along.to_vec2().atan2());
            let turn = along.unwrap_or_else(|| entity.real(50).unwrap_or(0.0).to_radians());
            let height = entity.real(40).unwrap_or(0.0);
            Ok(Shape::Words(unescaped(&unformatted(&words)), need(10)?, height, turn))
        }
        "ATTDEF" | "VIEWPORT" => Ok(Shape::Nothing),
        _ => Ok(Shape::Unread),
    }
}

fn check_count(points: usize) -> Result<(), DxfError> {
    if points > MOST_POINTS {
        return Err(DxfError::TooMany { what: "points in one line", most: MOST_POINTS });
    }
    Ok(())
}

fn radius(entity: &Entity<'_, '_>) -> Option<f64> {
    entity.real(40).filter(|radius| *radius > 0.0)
}

/// An angle as a counter-clockwise turn, more than none and at most a whole one.
fn positive_turn(angle: f64) -> f64 {
    let turn = angle.rem_euclid(std::f64::consts::TAU);
    if turn <= 1e-9 { std::f64::consts::TAU } else { turn }
}

/// The corners of a light polyline with their bulges; a bulge follows its point.
fn light_polyline(entity: &Entity<'_, '_>) -> Option<(Vec<(Point, f64)>, bool)> {
    let mut corners: Vec<(Point, f64)> = Vec::new();
    let mut x = None;
    for pair in entity.pairs() {
        let super::pairs::Value::Real(number) = pair.value else {
            continue;
        };
        match pair.code {
            10 if x.replace(number).is_some() => return None,
            20 => corners.push((Point::new(x.take()?, number), 0.0)),
            42 => {
                if let Some(last) = corners.last_mut() {
                    last.1 = number;
                }
            }
            _ => {}
        }
    }
    if x.is_some() {
        return None;
    }
    Some((corners, entity.whole(70).unwrap_or(0) & 1 == 1))
}

/// Lines and arcs through corners. A bulge is the tangent of a quarter of the arc's angle, positive for
/// counter-clockwise (*DXF Reference*, LWPOLYLINE).
fn bulged(corners: &[(Point, f64)], closed: bool) -> Vec<Segment> {
    let next = corners.iter().skip(1).chain(corners.first().filter(|_| closed));
    let mut segments = Vec::new();
    for (&(from, bulge), &(to, _)) in corners.iter().zip(next) {
        let chord = to - from;
        // A point that is there twice.
        if chord.hypot() <= 1e-9 {
            continue;
        }
        segments.push(if bulge.abs() < 1e-9 {
            Segment::line(from, to)
        } else {
            let across = Vec2::new(-chord.y, chord.x);
            let center = from.midpoint(to) + (1.0 - bulge * bulge) / (4.0 * bulge) * across;
            Segment::Arc(CircularArc::about(center, from, 4.0 * bulge.atan()))
        });
    }
    segments
}

/// Words with `%%d` and `\U+00E9` as the letters that they stand for.
fn unescaped(text: &str) -> String {
    let text = text
        .replace("%%d", "°")
        .replace("%%c", "⌀")
        .replace("%%p", "±")
        .replace("%%u", "")
        .replace("%%o", "");
    let mut parts = text.split("\\U+");
    let mut words = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let letter = part.get(..4).and_then(|code| u32::from_str_radix(code, 16).ok());
        match letter.and_then(char::from_u32) {
            Some(letter) => {
                words.push(letter);
                words.push_str(&part[4..]);
            }
            None => words.push_str(part),
        }
    }
    words.trim().to_owned()
}

/// Words of several lines without their formatting, each line by itself.
fn unformatted(text: &str) -> String {
    let mut words = String::new();
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '{' | '}' => {}
            '\\' => match letters.next() {
                Some('P' | 'n') => words.push('\n'),
                Some('~') => words.push(' '),
                Some('U') => words.push_str("\\U"),
                Some(plain @ ('\\' | '{' | '}')) => words.push(plain),
                Some('L' | 'l' | 'O' | 'o' | 'K' | 'k') | None => {}
                Some(_) => while letters.next().is_some_and(|letter| letter != ';') {},
            },
            _ => words.push(letter),
        }
    }
    words
}
