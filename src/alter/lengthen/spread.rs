//! The map of the plane that lengthens at a balance line; the formula stands in the module above.

use super::DartsAcross;
use crate::alter::dart::{Wedge, dart_named, is_trued, measures, redrawn};
use crate::alter::{AlterError, Figure};
use crate::geometry::tolerance::{ARC_LENGTH_MM, FIT_MM, PARALLEL_SINE};
use crate::geometry::{Curve, Line, Point, Segment, Vec2, fit_curve, split_at_levels};
use crate::pattern::{BalanceLine, BalanceLineId, DartId, Notch, Piece};

/// A balance line further off square than this is refused, in degrees: a hand-drawn line is within it.
const OFF_SQUARE_DEGREES: f64 = 0.5;

/// The map of the plane that lengthens at one line of one piece.
pub(super) struct Spread {
    line: BalanceLineId,
    origin: Point,
    grain: Vec2,
    by: f64,
    half_band: f64,
}

impl Spread {
    pub(super) fn new(
        piece: &Piece,
        line: &BalanceLine,
        by: f64,
        half_band: f64,
    ) -> Result<Self, AlterError> {
        let grain = piece.grainline.direction();
        let across = line.line.p1 - line.line.p0;
        let off_degrees = if across.hypot() > 0.0 {
            (across.dot(grain) / across.hypot()).clamp(-1.0, 1.0).asin().to_degrees().abs()
        } else {
            90.0
        };
        if off_degrees > OFF_SQUARE_DEGREES {
            return Err(AlterError::LineNotSquare {
                piece: piece.id.clone(),
                line: line.id.clone(),
                off_degrees,
            });
        }
        Ok(Self { line: line.id.clone(), origin: line.line.p0.midpoint(line.line.p1), grain, by, half_band })
    }

    /// Signed distance from the line, up the grain.
    fn height(&self, point: Point) -> f64 {
        (point - self.origin).dot(self.grain)
    }

    /// σ(u) and dσ/dq at a height.
    fn share(&self, height: f64) -> (f64, f64) {
        let u = ((self.half_band - height) / (2.0 * self.half_band)).clamp(0.0, 1.0);
        let share = u * u * (3.0 - 2.0 * u);
        let slope = -6.0 * u * (1.0 - u) / (2.0 * self.half_band);
        (share, slope)
    }

    fn shift(&self, point: Point) -> Vec2 {
        -self.by * self.share(self.height(point)).0 * self.grain
    }

    fn point(&self, point: Point) -> Point {
        point + self.shift(point)
    }

    fn curve(&self, curve: &Curve) -> Curve {
        let mut mapped = Vec::new();
        for segment in curve.segments() {
            if let Segment::Line(line) = segment {
                let along = line.p1 - line.p0;
                if along.cross(self.grain).abs() <= PARALLEL_SINE * along.hypot() {
                    mapped.push(Segment::line(self.point(line.p0), self.point(line.p1)));
                    continue;
                }
            }
            let alone = match Curve::new(vec![*segment]) {
                Ok(alone) => alone,
                Err(_) => continue,
            };
            let levels = [self.half_band, -self.half_band];
            for piece in split_at_levels(&alone, self.origin, self.grain, &levels) {
                let height = self.height(piece.eval(0.5));
                if height >= self.half_band {
                    mapped.push(piece);
                } else if height <= -self.half_band {
                    let down = crate::geometry::Affine::translate(-self.by * self.grain);
                    mapped.push(piece.transformed(down));
                } else {
                    mapped.extend(self.in_band(&piece));
                }
            }
        }
        // Neighbours share the mapped end points to the last rounding.
        Curve::new(mapped).unwrap_or_else(|_| curve.clone())
    }

    fn in_band(&self, piece: &Segment) -> Vec<Segment> {
        if let Segment::Line(line) = piece
            && (self.height(line.p1) - self.height(line.p0)).abs() <= ARC_LENGTH_MM
        {
            return vec![Segment::line(self.point(line.p0), self.point(line.p1))];
        }
        fit_curve(
            |t| {
                let (at, velocity) = (piece.eval(t), piece.deriv(t));
                let slope = self.share(self.height(at)).1;
                let stretched = velocity - self.by * slope * velocity.dot(self.grain) * self.grain;
                (self.point(at), stretched)
            },
            FIT_MM,
        )
    }

    pub(super) fn piece(
        &self,
        piece: &Piece,
        darts: DartsAcross,
        figures: &mut Vec<Figure>,
    ) -> Result<Piece, AlterError> {
        let across = self.darts_across(piece, darts)?;
        let mut longer = piece.clone();
        for edge in &mut longer.edges {
            if self.reaches_below_top(&edge.curve) {
                edge.curve = self.curve(&edge.curve);
            }
        }
        for notch in &mut longer.notches {
            notch.distance = self.notch_distance(piece, notch).unwrap_or(notch.distance);
        }
        for dart in &mut longer.darts {
            // The apex of a dart that goes across stays wholly on its side.
            dart.apex = match (across.contains(&dart.id), self.height(dart.apex) > 0.0) {
                (false, _) => self.point(dart.apex),
                (true, true) => dart.apex,
                (true, false) => dart.apex - self.by * self.grain,
            };
        }
        longer.grainline.from = self.point(piece.grainline.from);
        longer.grainline.to = self.point(piece.grainline.to);
        for line in &mut longer.balance_lines {
            let shift = self.shift(line.line.p0.midpoint(line.line.p1));
            line.line = Line::new(line.line.p0 + shift, line.line.p1 + shift);
        }
        for hole in &mut longer.drill_holes {
            hole.at = self.point(hole.at);
        }
        for text in &mut longer.texts {
            text.at = self.point(text.at);
        }
        for line in &mut longer.inner_lines {
            line.curve = self.inner_line(&line.curve);
        }
        for trace in &mut longer.traces {
            trace.curve = self.curve(&trace.curve);
        }
        for id in &across {
            let before = Wedge::of(piece, dart_named(piece, id)?)?;
            let angle = (darts == DartsAcross::KeepAngle).then(|| before.angle());
            redrawn(&mut longer, id, angle, is_trued(piece, &before))?;
            let after = Wedge::of(&longer, dart_named(&longer, id)?)?;
            figures.extend(measures(&longer, &before, &after));
        }
        Ok(longer)
    }

    /// Lowest and highest place of a curve, by its ends and its box.
    fn heights(&self, curve: &Curve) -> (f64, f64) {
        let area = curve.bounding_box();
        let corners = [(area.x0, area.y0), (area.x1, area.y0), (area.x0, area.y1), (area.x1, area.y1)];
        corners.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), &corner| {
            let height = self.height(Point::from(corner));
            (low.min(height), high.max(height))
        })
    }

    fn reaches_below_top(&self, curve: &Curve) -> bool {
        self.heights(curve).0 < self.half_band
    }

    fn inner_line(&self, curve: &Curve) -> Curve {
        let (low, high) = self.heights(curve);
        if low <= -self.half_band && high >= self.half_band {
            return self.curve(curve);
        }
        let middle = curve.point_at(0.5 * curve.length());
        curve.transformed(crate::geometry::Affine::translate(self.shift(middle)))
    }

    /// Where a notch that stays at its place on the cloth is after the edge has changed.
    fn notch_distance(&self, piece: &Piece, notch: &Notch) -> Option<f64> {
        let edge = piece.edge(&notch.edge)?;
        let from_start = notch.distance_from_start(edge);
        let (before, after) = edge.curve.split_at(from_start);
        let part = if notch.corner == edge.to { after } else { before }?;
        // Whole parts above or below the band keep their length.
        let (low, high) = self.heights(&part);
        if low >= self.half_band || high <= -self.half_band {
            return None;
        }
        Some(self.curve(&part).length())
    }

    /// Darts from an apex on one side of the line to a mouth beyond the band on the other; any other dart in the
    /// band is refused.
    fn darts_across(&self, piece: &Piece, darts: DartsAcross) -> Result<Vec<DartId>, AlterError> {
        let mut across = Vec::new();
        for dart in &piece.darts {
            let apex = self.height(dart.apex);
            let mouth = piece.dart_mouth(&dart.id).map(|mouth| self.heights(&mouth.curve));
            let (low, high) = mouth.unwrap_or((apex, apex));
            if low.min(apex) >= self.half_band || high.max(apex) <= -self.half_band {
                continue;
            }
            let mouth_is_clear =
                (apex > 0.0 && high <= -self.half_band) || (apex < 0.0 && low >= self.half_band);
            if darts == DartsAcross::Refuse || !mouth_is_clear {
                return Err(AlterError::DartInBand {
                    piece: piece.id.clone(),
                    dart: dart.id.clone(),
                    line: self.line.clone(),
                    half_band_mm: self.half_band,
                });
            }
            across.push(dart.id.clone());
        }
        Ok(across)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spread(by: f64, half_band: f64) -> Spread {
        Spread { line: "waist".into(), origin: Point::ORIGIN, grain: Vec2::new(0.0, 1.0), by, half_band }
    }

    #[test]
    fn a_seam_folds_back_exactly_when_the_band_is_under_three_quarters_of_the_amount() {
        // Heights after the map must go on falling as heights before it fall.
        let falls = |half_band: f64| {
            let map = spread(-40.0, half_band);
            (0..2000).all(|step| {
                let height = |step: i32| half_band * (1.0 - f64::from(step) / 1000.0);
                let mapped = |h: f64| map.height(map.point(Point::new(0.0, h)));
                mapped(height(step + 1)) < mapped(height(step))
            })
        };
        assert!(falls(30.05));
        assert!(!falls(29.95));
    }

    #[test]
    fn a_slanted_line_keeps_its_direction_where_it_leaves_the_band() {
        let line = Curve::line(Point::new(0.0, 100.0), Point::new(40.0, -100.0));
        let longer = spread(30.0, 60.0).curve(&line);
        assert!((longer.end() - Point::new(40.0, -130.0)).hypot() < 1e-9);
        for pair in longer.segments().windows(2) {
            assert!(pair[0].tangent(1.0).cross(pair[1].tangent(0.0)).abs() < 1e-6);
        }
    }

    #[test]
    fn a_line_along_the_grain_stays_one_line() {
        let fold = Curve::line(Point::new(0.0, 100.0), Point::new(0.0, -100.0));
        let longer = spread(30.0, 60.0).curve(&fold);
        assert_eq!(longer, Curve::line(Point::new(0.0, 100.0), Point::new(0.0, -130.0)));
    }
}
