//! The basic shapes (SVG 2, §10) as runs, in their own units.

use super::error::SvgError;
use super::path::{Run, arc_segments, runs};
use super::scale::bad_value;
use crate::geometry::{CircularArc, Point, Segment, Vec2};
use kurbo::Arc;
use roxmltree::Node;
use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::str::FromStr as _;
use svgtypes::LengthUnit;

/// What lengths in percent are of.
#[derive(Clone, Copy)]
enum Of {
    Width,
    Height,
    Both,
}

/// Reads the numbers of shapes.
pub(super) struct Measures {
    /// Width and height of the drawing in units.
    pub(super) extent: Vec2,
    /// How closely ellipses are followed, in units.
    pub(super) accuracy: f64,
}

impl Measures {
    /// A length in units (SVG 2, §8.9: units inside are CSS units, a pixel being one).
    fn length(&self, node: Node<'_, '_>, attribute: &str, of: Of) -> Result<Option<f64>, SvgError> {
        let Some(text) = node.attribute(attribute).map(str::trim) else {
            return Ok(None);
        };
        if text == "auto" {
            return Ok(None);
        }
        let length = match svgtypes::Length::from_str(text) {
            Ok(length) => length,
            Err(_) => return Err(bad_value(node, attribute, text, "is no length")),
        };
        let whole = match of {
            Of::Width => self.extent.x,
            Of::Height => self.extent.y,
            Of::Both => self.extent.hypot() / std::f64::consts::SQRT_2,
        };
        let units = match length.unit {
            LengthUnit::None | LengthUnit::Px => 1.0,
            LengthUnit::In => 96.0,
            LengthUnit::Cm => 96.0 / 2.54,
            LengthUnit::Mm => 96.0 / 25.4,
            LengthUnit::Pt => 96.0 / 72.0,
            LengthUnit::Pc => 16.0,
            LengthUnit::Percent => 0.01 * whole,
            LengthUnit::Em | LengthUnit::Ex => {
                return Err(bad_value(node, attribute, text, "is measured in letters; use plain units"));
            }
        };
        let length = length.number * units;
        if length.is_finite() {
            Ok(Some(length))
        } else {
            Err(bad_value(node, attribute, text, "is not a number that can be drawn"))
        }
    }

    /// Place of a clone or a nested drawing.
    pub(super) fn place(&self, node: Node<'_, '_>) -> Result<Vec2, SvgError> {
        let x = self.length(node, "x", Of::Width)?.unwrap_or(0.0);
        Ok(Vec2::new(x, self.length(node, "y", Of::Height)?.unwrap_or(0.0)))
    }

    /// Size of a clone or a nested drawing.
    pub(super) fn size(&self, node: Node<'_, '_>) -> Result<[Option<f64>; 2], SvgError> {
        Ok([self.length(node, "width", Of::Width)?, self.length(node, "height", Of::Height)?])
    }

    /// The runs of a shape; `None` for elements that are no shapes.
    pub(super) fn runs(&self, name: &str, node: Node<'_, '_>) -> Result<Option<Vec<Run>>, SvgError> {
        let runs = match name {
            "path" => {
                let data = node.attribute("d").unwrap_or_default();
                runs(data, self.accuracy).map_err(|what| bad_value(node, "d", data, &what))?
            }
            "line" => {
                let end = |x, y| -> Result<Point, SvgError> {
                    let x = self.length(node, x, Of::Width)?.unwrap_or(0.0);
                    Ok(Point::new(x, self.length(node, y, Of::Height)?.unwrap_or(0.0)))
                };
                let (from, to) = (end("x1", "y1")?, end("x2", "y2")?);
                let segments = if from == to { Vec::new() } else { vec![Segment::line(from, to)] };
                vec![Run { segments, closed: false }]
            }
            "polyline" | "polygon" => vec![points_run(node, name == "polygon")?],
            "rect" => self.rectangle(node)?,
            "circle" | "ellipse" => self.ellipse(name, node)?,
            _ => return Ok(None),
        };
        Ok(Some(runs))
    }

    fn rectangle(&self, node: Node<'_, '_>) -> Result<Vec<Run>, SvgError> {
        let at = self.place(node)?.to_point();
        let [width, height] = self.size(node)?.map(Option::unwrap_or_default);
        if width < 0.0 || height < 0.0 {
            let text = node.attribute("width").unwrap_or_default();
            return Err(bad_value(node, "width", text, "or height is below 0"));
        }
        if width == 0.0 || height == 0.0 {
            return Ok(Vec::new());
        }
        let (rx, ry) = (self.length(node, "rx", Of::Width)?, self.length(node, "ry", Of::Height)?);
        let rx_or = rx.or(ry).unwrap_or(0.0).clamp(0.0, 0.5 * width);
        let ry_or = ry.or(rx).unwrap_or(0.0).clamp(0.0, 0.5 * height);
        let corners =
            [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)].map(|(x, y)| at + Vec2::new(x, y));
        let mut segments = Vec::new();
        for k in 0..4 {
            let (corner, next) = (corners[k], corners[(k + 1) % 4]);
            let along = (next - corner).normalize();
            let inset = Vec2::new(along.x * rx_or, along.y * ry_or);
            let (from, to) = (corner + inset, next - inset);
            if from.distance(to) > 0.0 {
                segments.push(Segment::line(from, to));
            }
            if rx_or > 0.0 && ry_or > 0.0 {
                // The next side's direction; the corner's arc turns by a quarter from this side into it.
                let ahead = Vec2::new(-along.y, along.x);
                let turned = Vec2::new(ahead.x * rx_or, ahead.y * ry_or);
                let start_angle = f64::atan2(-ahead.y, -ahead.x);
                let arc = Arc::new(to + turned, Vec2::new(rx_or, ry_or), start_angle, FRAC_PI_2, 0.0);
                segments.extend(arc_segments(&arc, to, next + turned, self.accuracy));
            }
        }
        Ok(vec![Run { segments, closed: true }])
    }

    fn ellipse(&self, name: &str, node: Node<'_, '_>) -> Result<Vec<Run>, SvgError> {
        let center = Point::new(
            self.length(node, "cx", Of::Width)?.unwrap_or(0.0),
            self.length(node, "cy", Of::Height)?.unwrap_or(0.0),
        );
        let (rx, ry) = if name == "circle" {
            let r = self.length(node, "r", Of::Both)?.unwrap_or(0.0);
            (r, r)
        } else {
            let (rx, ry) = (self.length(node, "rx", Of::Width)?, self.length(node, "ry", Of::Height)?);
            (rx.or(ry).unwrap_or(0.0), ry.or(rx).unwrap_or(0.0))
        };
        if rx <= 0.0 || ry <= 0.0 {
            return Ok(Vec::new());
        }
        let start = center + Vec2::new(rx, 0.0);
        let segments = if name == "circle" {
            let half = |from: Point| Segment::Arc(CircularArc::about(center, from, PI));
            vec![half(start), half(center - Vec2::new(rx, 0.0))]
        } else {
            let arc = Arc::new(center, Vec2::new(rx, ry), 0.0, TAU, 0.0);
            arc_segments(&arc, start, start, self.accuracy)
        };
        Ok(vec![Run { segments, closed: true }])
    }
}

fn points_run(node: Node<'_, '_>, closed: bool) -> Result<Run, SvgError> {
    let text = node.attribute("points").unwrap_or_default();
    let bad = || bad_value(node, "points", text, "is not pairs of numbers");
    let mut numbers = Vec::new();
    for number in svgtypes::NumberListParser::from(text) {
        match number {
            Ok(number) => numbers.push(number),
            Err(_) => return Err(bad()),
        }
    }
    let (pairs, odd) = numbers.as_chunks::<2>();
    if !odd.is_empty() {
        return Err(bad());
    }
    let mut points: Vec<Point> = pairs.iter().map(|[x, y]| Point::new(*x, *y)).collect();
    points.dedup();
    if closed && points.len() > 1 && points.first() != points.last() {
        points.push(points[0]);
    }
    Ok(Run { segments: points.windows(2).map(|pair| Segment::line(pair[0], pair[1])).collect(), closed })
}
