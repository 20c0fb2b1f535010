//! A print as it lies on the real cloth, measured at three places, beside the one that is written down.
//!
//! A printer's repeat is seldom what the card says, cloth is drawn askew, and where the print begins nobody knows. So a
//! node of the print, one far along it and one far across it are found on the cloth. The map from the print as written
//! down to the print as found is then a turn, a stretch along and one across, and a shift: six numbers from three
//! points, of which the sixth, the lean of the weft, a print can't have and must be small.
//!
//! Space: the sheet, in mm.

use super::{Bars, Cloth, Motif, Print};
use crate::geometry::{Affine, Length, Point, Vec2};

/// One place of the print: where it is by what is written down, and where it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintPlace {
    /// By the print as written down.
    pub written: Point,
    /// On the cloth.
    pub found: Point,
}

/// A print measured at three places.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredPrint {
    /// The print as it lies.
    pub print: Print,
    /// How much longer its repeats along the cloth are, as a factor; `None` where none repeats.
    pub along: Option<f64>,
    /// The same across the cloth.
    pub across: Option<f64>,
    /// How far it is turned against the print as written down, counter-clockwise, in radians.
    pub turn: f64,
    /// From where its first place is written down to where it was found, in mm.
    pub shift: Vec2,
    /// How far the weft leans, as the tangent of its angle; nothing where one way only repeats.
    pub lean: f64,
}

/// A repeat that differs by a larger share from what is written down is another number of repeats.
const MOST_STRETCH: f64 = 0.08;
/// A print turned further than this was found at other places than meant; degrees.
const MOST_TURN_DEGREES: f64 = 5.0;
/// A lean of more can't be laid on; the share at which cloth is off-grain.
const MOST_LEAN: f64 = super::MOST_SHEAR_PERCENT / 100.0;
/// The three places span less: a repeat can't be told from the error of a hand, in mm.
const LEAST_APART_MM: f64 = 100.0;

/// Why three places give no print.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeasuredPrintError {
    /// There is no print.
    #[error("there is no print written down to measure; enter its repeat first")]
    NoPrint,
    /// A place that is no number.
    #[error("one of the three places is no place on a cloth")]
    NoPlace,
    /// They lie in one line, or too close.
    #[error(
        "the three places lie too close to one line ({apart_mm:.0} mm apart); choose one further {way} the cloth"
    )]
    Close {
        /// How far they are apart that way.
        apart_mm: f64,
        /// “along” or “across”.
        way: &'static str,
    },
    /// The wrong way round.
    #[error("the three places lie the wrong way round; has light 2 been put where light 3 belongs?")]
    Reversed,
    /// Another number of repeats.
    #[error(
        "the repeat {way} the cloth would be {found_mm:.1} mm, and {written_mm:.1} mm are written down; has light \
         {light} been put on another repeat?"
    )]
    Stretch {
        /// “along” or “across”.
        way: &'static str,
        /// As found.
        found_mm: f64,
        /// As written down.
        written_mm: f64,
        /// Which light measures it.
        light: u32,
    },
    /// Turned too far.
    #[error(
        "the print would be turned by {degrees:.1}°; lay the cloth straight, or put the lights on other places"
    )]
    Turned {
        /// By so much.
        degrees: f64,
    },
    /// The weft leans.
    #[error(
        "the print leans by {percent:.1} %, {over_mm:.0} mm over a metre: pull the cloth straight first, for pieces laid on \
         it would lean too"
    )]
    Leans {
        /// So many per cent.
        percent: f64,
        /// Over a metre.
        over_mm: f64,
    },
}

impl Cloth {
    /// The print that is laid on: as measured, where it was measured, else as written down.
    #[must_use]
    pub fn print_in_use(&self) -> Option<&Print> {
        let written = self.print.as_ref()?;
        Some(self.measured_print.as_ref().unwrap_or(written))
    }

    /// The print as it lies, by three places of the print in use that were found on the cloth.
    ///
    /// # Errors
    /// [`MeasuredPrintError`]; also when, measured again and again, it has gone too far from what is written down.
    pub fn measured_at(&self, places: [PrintPlace; 3]) -> Result<MeasuredPrint, MeasuredPrintError> {
        let in_use = self.print_in_use().ok_or(MeasuredPrintError::NoPrint)?;
        let found = in_use.measured(places)?;
        let written = self.print.as_ref().ok_or(MeasuredPrintError::NoPrint)?;
        let (now, before) = (found.print.repeats_mm(), written.repeats_mm());
        for (way, now, before, light) in [("along", now.0, before.0, 2), ("across", now.1, before.1, 3)] {
            if let (Some(found_mm), Some(written_mm)) = (now, before)
                && (found_mm / written_mm - 1.0).abs() > MOST_STRETCH
            {
                return Err(MeasuredPrintError::Stretch { way, found_mm, written_mm, light });
            }
        }
        Ok(found)
    }
}

impl Print {
    /// The print as it lies on the cloth, by a place, one along from it and one across from it.
    ///
    /// # Errors
    /// [`MeasuredPrintError`] when the places can't be of this print.
    pub fn measured(&self, places: [PrintPlace; 3]) -> Result<MeasuredPrint, MeasuredPrintError> {
        let [node, on_along, on_across] = places;
        if places.iter().any(|place| !(place.written.is_finite() && place.found.is_finite())) {
            return Err(MeasuredPrintError::NoPlace);
        }
        let to_print = self.print_from_sheet();
        let written = |place: PrintPlace| to_print * place.written;
        let (w1, w2) = (written(on_along) - written(node), written(on_across) - written(node));
        let (f1, f2) = (on_along.found - node.found, on_across.found - node.found);
        for (way, apart_mm) in [("along", w1.x.abs()), ("across", w2.y.abs())] {
            if apart_mm < LEAST_APART_MM {
                return Err(MeasuredPrintError::Close { apart_mm, way });
            }
        }
        let area = w1.cross(w2);
        if area.abs() < LEAST_APART_MM * LEAST_APART_MM {
            let way = if w1.hypot() < w2.hypot() { "along" } else { "across" };
            return Err(MeasuredPrintError::Close { apart_mm: w1.hypot().min(w2.hypot()), way });
        }
        // The images of one mm along and one mm across the print as written down (Cramer's rule).
        let along = (w2.y * f1 - w1.y * f2) / area;
        let across = (w1.x * f2 - w2.x * f1) / area;
        let spread = along.cross(across);
        // Written so that NaN fails.
        if spread.is_nan() || spread <= 0.0 {
            return Err(MeasuredPrintError::Reversed);
        }
        let (bars_along, bars_across) = (self.lengthwise.is_some(), self.crosswise.is_some());
        let (one_way_along, one_way_across) = match (self.motif.is_some(), bars_along, bars_across) {
            (false, false, false) => return Err(MeasuredPrintError::NoPrint),
            (false, true, false) => (true, false),
            (false, false, true) => (false, true),
            _ => (false, false),
        };
        // Bars one way have no marks along them: only their direction and their distance can be found.
        let (angle, along_scale, across_scale, lean) = if one_way_across {
            let direction = Vec2::new(across.y, -across.x);
            (direction.atan2(), Some(spread / across.hypot()), None, 0.0)
        } else {
            let across_scale = spread / along.hypot();
            let lean = if one_way_along { 0.0 } else { along.dot(across) / spread };
            (along.atan2(), (!one_way_along).then(|| along.hypot()), Some(across_scale), lean)
        };
        let written_angle = self.angle_degrees.to_radians();
        let turn = (angle - written_angle + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU)
            - std::f64::consts::PI;
        self.refuse_absurd(along_scale, across_scale, turn, lean)?;
        let (sx, sy) = (along_scale.unwrap_or(1.0), across_scale.unwrap_or(1.0));
        // On the print turned back, a place of it goes by these stretches and a shift.
        let from_sheet = Affine::rotate(-(written_angle + turn));
        let (from, to) = (written(node), from_sheet * node.found);
        let moved = |p: Point| Point::new(to.x + sx * (p.x - from.x), to.y + sy * (p.y - from.y));
        let bars = |bars: &Bars, scale: f64, start_mm: f64| stretched(bars, scale, start_mm);
        let print = Self {
            lengthwise: self
                .lengthwise
                .as_ref()
                .map(|known| bars(known, sy, moved(Point::new(from.x, known.start_mm)).y)),
            crosswise: self
                .crosswise
                .as_ref()
                .map(|known| bars(known, sx, moved(Point::new(known.start_mm, from.y)).x)),
            motif: self.motif.map(|motif| Motif {
                origin: moved(motif.origin),
                steps: motif.steps.map(|step| Vec2::new(sx * step.x, sy * step.y)),
                ..motif
            }),
            angle_degrees: self.angle_degrees + turn.to_degrees(),
            // It was measured, not typed.
            as_typed: Vec::new(),
        };
        let shift = node.found - node.written;
        Ok(MeasuredPrint { print, along: along_scale, across: across_scale, turn, shift, lean })
    }

    fn refuse_absurd(
        &self,
        along: Option<f64>,
        across: Option<f64>,
        turn: f64,
        lean: f64,
    ) -> Result<(), MeasuredPrintError> {
        let (repeat_along, repeat_across) = self.repeats_mm();
        for (way, scale, repeat, light) in
            [("along", along, repeat_along, 2), ("across", across, repeat_across, 3)]
        {
            let Some(scale) = scale.filter(|scale| (scale - 1.0).abs() > MOST_STRETCH) else { continue };
            let written_mm = repeat.unwrap_or_default();
            return Err(MeasuredPrintError::Stretch { way, found_mm: scale * written_mm, written_mm, light });
        }
        if turn.to_degrees().abs() > MOST_TURN_DEGREES {
            return Err(MeasuredPrintError::Turned { degrees: turn.to_degrees() });
        }
        if lean.abs() > MOST_LEAN {
            return Err(MeasuredPrintError::Leans {
                percent: 100.0 * lean.abs(),
                over_mm: 1000.0 * lean.abs(),
            });
        }
        Ok(())
    }

    /// Its repeats along and across the cloth as they are written down, in mm: of the bars, else the motif's rows and
    /// columns.
    #[must_use]
    pub fn repeats_mm(&self) -> (Option<f64>, Option<f64>) {
        let motif = self.motif.map(|motif| motif.lattice()).filter(super::Lattice::is_sound);
        let along = self.crosswise.as_ref().map(Bars::period_mm);
        let across = self.lengthwise.as_ref().map(Bars::period_mm);
        // Seen from the side a motif's rows are its columns.
        let rows = motif.and_then(|lattice| {
            let aside = |v: Vec2| Vec2::new(v.y, v.x);
            let turned = super::Lattice { origin: lattice.origin, steps: lattice.steps.map(aside) };
            turned.column_pitch_mm()
        });
        (along.or(rows), across.or_else(|| motif.and_then(|lattice| lattice.column_pitch_mm())))
    }
}

fn stretched(bars: &Bars, scale: f64, start_mm: f64) -> Bars {
    let mut all = bars.bars.clone();
    for bar in &mut all {
        bar.width_mm *= scale;
        bar.gap_mm *= scale;
    }
    let repeat = bars.repeat.as_ref().map(|repeat| Length::from_mm(scale * repeat.mm()));
    Bars { start_mm, bars: all, repeat }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cloth::{Bar, Colour, MotifWay};

    fn bars(period: f64) -> Bars {
        let bar = Bar { width_mm: 0.3 * period, gap_mm: 0.7 * period, colour: Colour([9; 3]) };
        Bars::new(11.0, vec![bar])
    }

    fn sprig() -> Print {
        let motif = Motif {
            origin: Point::new(20.0, 30.0),
            steps: [Vec2::new(70.0, 96.0), Vec2::new(140.0, 0.0)],
            way: MotifWay::OneWay,
            mirrors: true,
        };
        Print { lengthwise: Some(bars(96.0)), motif: Some(motif), ..Print::default() }
    }

    /// The cloth as it really lies: stretched, turned, shifted.
    fn truth(sx: f64, sy: f64, degrees: f64, shift: (f64, f64)) -> Affine {
        Affine::translate(shift)
            * Affine::rotate(degrees.to_radians())
            * Affine::new([sx, 0.0, 0.0, sy, 0.0, 0.0])
    }

    fn places(true_from_written: Affine, written: [(f64, f64); 3]) -> [PrintPlace; 3] {
        written.map(|at| PrintPlace { written: at.into(), found: true_from_written * Point::from(at) })
    }

    const NODES: [(f64, f64); 3] = [(20.0, 30.0), (720.0, 30.0), (20.0, 798.0)];

    #[test]
    fn every_node_of_the_print_comes_to_lie_where_it_is_on_the_cloth() {
        let truth = truth(0.992, 1.013, 0.8, (7.5, -12.25));
        let found = sprig().measured(places(truth, NODES)).unwrap();
        assert!((found.along.unwrap() - 0.992).abs() < 1e-9 && (found.across.unwrap() - 1.013).abs() < 1e-9);
        assert!((found.turn.to_degrees() - 0.8).abs() < 1e-9 && found.lean.abs() < 1e-9);
        let (written, motif) = (sprig().motif.unwrap(), found.print.motif.unwrap());
        let sheet_from_print = found.print.print_from_sheet().inverse();
        for (i, j) in [(0.0, 0.0), (3.0, -1.0), (-2.0, 5.0)] {
            let at = |motif: &Motif| motif.origin + i * motif.steps[0] + j * motif.steps[1];
            let (expected, got) = (truth * at(&written), sheet_from_print * at(&motif));
            assert!(expected.distance(got) < 1e-9, "{expected} {got}");
        }
        // The bar under a place that was found is the bar that was written down there.
        let (known, bars) = (sprig().lengthwise.unwrap(), found.print.lengthwise.as_ref().unwrap());
        let edge = found.print.print_from_sheet() * (truth * Point::new(500.0, known.start_mm + 2.0 * 96.0));
        let off = (edge.y - bars.start_mm) / bars.period_mm();
        assert!((off - off.round()).abs() < 1e-9, "{off}");
    }

    #[test]
    fn a_stripe_gives_its_direction_and_its_distance_wherever_along_it_the_light_was_put() {
        let stripe = Print { lengthwise: Some(bars(48.0)), ..Print::default() };
        let truth = truth(1.0, 0.98, -0.5, (3.0, 4.0));
        let mut picked = places(truth, [(0.0, 11.0), (900.0, 11.0), (0.0, 491.0)]);
        // Along its bars a stripe has no marks: a light may lie 60 mm further on.
        let along = Vec2::from_angle(-0.5_f64.to_radians());
        picked[1].found += 60.0 * along;
        picked[2].found -= 25.0 * along;
        let found = stripe.measured(picked).unwrap();
        assert_eq!(found.along, None);
        assert!((found.across.unwrap() - 0.98).abs() < 1e-9 && (found.turn.to_degrees() + 0.5).abs() < 1e-9);
        let across = Print { crosswise: Some(bars(48.0)), ..Print::default() };
        let found = across.measured(places(truth, [(11.0, 0.0), (491.0, 0.0), (11.0, 700.0)])).unwrap();
        assert!((found.along.unwrap() - 1.0).abs() < 1e-9 && found.across.is_none());
    }

    #[test]
    fn what_can_not_be_is_refused_with_its_number() {
        let fails = |truth: Affine| sprig().measured(places(truth, NODES)).unwrap_err().to_string();
        assert!(fails(truth(1.1, 1.0, 0.0, (0.0, 0.0))).contains("light 2 been put on another repeat"));
        assert!(fails(truth(1.0, 0.88, 0.0, (0.0, 0.0))).contains("light 3 been put on another repeat"));
        assert!(fails(truth(1.0, 1.0, 9.0, (0.0, 0.0))).contains("turned by 9.0°"));
        assert!(fails(truth(1.0, -1.0, 0.0, (0.0, 0.0))).contains("wrong way round"));
        let lean = Affine::new([1.0, 0.0, 0.02, 1.0, 0.0, 0.0]);
        assert!(fails(lean).contains("leans by 2.0 %"), "{}", fails(lean));
        let close = places(Affine::IDENTITY, [(0.0, 0.0), (40.0, 0.0), (0.0, 800.0)]);
        assert!(sprig().measured(close).unwrap_err().to_string().contains("40 mm apart"));
        let none = Print::default().measured(places(Affine::IDENTITY, NODES));
        assert_eq!(none.unwrap_err(), MeasuredPrintError::NoPrint);
        let mut lost = places(Affine::IDENTITY, NODES);
        lost[1].found.x = f64::NAN;
        assert_eq!(sprig().measured(lost).unwrap_err(), MeasuredPrintError::NoPlace);
    }

    #[test]
    fn repeats_are_those_of_the_bars_or_of_the_motifs_rows_and_columns() {
        let (along, across) = sprig().repeats_mm();
        assert!((along.unwrap() - 70.0).abs() < 1e-9 && (across.unwrap() - 96.0).abs() < 1e-9);
        assert_eq!(
            Print { crosswise: Some(bars(30.0)), ..Print::default() }.repeats_mm(),
            (Some(30.0), None)
        );
    }
}
