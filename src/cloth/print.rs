//! What repeats on the cloth: bars along it, bars across it, a motif; and where all of it repeats together.
//!
//! Space: the sheet, in mm (see [`super::Plies`]). A print may run at an angle to the grain; its bars and its motif
//! are then written down as they lie before that turn, about the sheet's origin.

use super::{Bars, Lattice};
use crate::geometry::{Affine, Length, Point, Rect, Vec2, pair};
use serde::{Deserialize, Serialize};

/// A print or weave that repeats.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Print {
    /// Bars that run along the cloth, repeated across it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lengthwise: Option<Bars>,
    /// Bars that run across the cloth, repeated along it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crosswise: Option<Bars>,
    /// A motif.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub motif: Option<Motif>,
    /// By how much the print runs off the warp, counter-clockwise, in degrees; within ±45.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub angle_degrees: f64,
    /// Its measures as they were typed, each with its unit; see [`Print::typed`].
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub as_typed: Vec<Length>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands the field over by reference")]
fn is_zero(angle: &f64) -> bool {
    *angle == 0.0
}

/// A motif and where it stands: at an origin and every whole number of two steps from it. A half-drop repeat is a
/// pair of steps such as (96, 70) and (192, 0).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Motif {
    /// One node.
    #[serde(with = "pair")]
    pub origin: Point,
    /// Two steps to neighbouring nodes, not parallel.
    #[serde(with = "pair::two")]
    pub steps: [Vec2; 2],
    /// How many ways up it can be looked at.
    #[serde(default)]
    pub way: MotifWay,
    /// Whether it looks the same left for right, as in a mirror set up along the cloth.
    #[serde(default)]
    pub mirrors: bool,
}

/// How many ways up a motif can be looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum MotifWay {
    /// It has a top, which points to positive x.
    #[default]
    OneWay,
    /// It looks the same turned by half a turn.
    TwoWay,
    /// It has no direction at all: a dot.
    NoWay,
}

impl Motif {
    /// Where it stands.
    #[must_use]
    pub const fn lattice(&self) -> Lattice {
        Lattice { origin: self.origin, steps: self.steps }
    }

    /// The nodes inside a rectangle; see [`Lattice::nodes_in`].
    #[must_use]
    pub fn nodes_in(&self, area: Rect) -> Vec<Point> {
        self.lattice().nodes_in(area)
    }
}

/// By which ways the whole print comes upon itself again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Repeat {
    /// By any: there is no print.
    Plain,
    /// By any along bars of one kind, and by whole steps square to them.
    Bars {
        /// From a bar to its like, square to the bars.
        step: Vec2,
    },
    /// By whole numbers of two steps.
    Lattice(Lattice),
    /// By none that fits on a cloth: bars and motif go their own ways.
    Never,
}

impl Repeat {
    /// The way of the repeat that is closest to a way on the sheet.
    #[must_use]
    pub fn nearest_way(&self, way: Vec2) -> Vec2 {
        match self {
            Self::Plain => way,
            Self::Bars { step } => {
                let times = way.dot(*step) / step.hypot2();
                way - (times - times.round()) * *step
            }
            Self::Lattice(lattice) => lattice.nearest_way(way),
            Self::Never => Vec2::ZERO,
        }
    }

    /// What a way on the sheet lacks to be one of the repeat, in mm: along the cloth (x) and across it (y).
    #[must_use]
    pub fn phase_error(&self, way: Vec2) -> Vec2 {
        way - self.nearest_way(way)
    }
}

/// Repeats that meet within this are one, in mm: a tenth of what the eye sees on cloth.
const TOGETHER_MM: f64 = 0.1;

/// How many steps of the motif are looked at for one that also fits the bars; 24 each way go over any garment.
const MOST_STEPS: i32 = 24;

impl Print {
    /// A measure as it was typed: 9.525 mm are 3/8 in, if that is what the tape read.
    #[must_use]
    pub fn typed(&self, mm: f64) -> Length {
        let same = |typed: &&Length| typed.mm().to_bits() == mm.to_bits();
        self.as_typed.iter().rev().find(same).cloned().unwrap_or_else(|| Length::from_mm(mm))
    }

    /// Keeps how a measure was typed, and forgets those that are none of its measures any more.
    pub fn keep_typed(&mut self, typed: Length) {
        let measures = self.measures_mm();
        let is_used = |typed: &Length| measures.iter().any(|mm| mm.to_bits() == typed.mm().to_bits());
        self.as_typed.retain(|known| known.mm().to_bits() != typed.mm().to_bits() && is_used(known));
        if is_used(&typed) {
            self.as_typed.push(typed);
        }
    }

    /// Every length that is written down of it, in mm.
    fn measures_mm(&self) -> Vec<f64> {
        let bars = [&self.lengthwise, &self.crosswise].into_iter().flatten();
        let of_bars = bars.flat_map(|bars| {
            let widths = bars.bars.iter().flat_map(|bar| [bar.width_mm, bar.gap_mm]);
            std::iter::once(bars.start_mm).chain(widths)
        });
        let of_motif = self.motif.iter().flat_map(|motif| {
            let [a, b] = motif.steps;
            [motif.origin.x, motif.origin.y, a.x, a.y, b.x, b.y]
        });
        of_bars.chain(of_motif).collect()
    }

    /// From the sheet to the print before it was turned.
    #[must_use]
    pub fn print_from_sheet(&self) -> Affine {
        Affine::rotate(-self.angle_degrees.to_radians())
    }

    /// By which ways the whole print comes upon itself again, on the sheet. Bars that can't be are left out.
    #[must_use]
    pub fn repeat(&self) -> Repeat {
        let turn = Affine::rotate(self.angle_degrees.to_radians());
        let turned = |way: Vec2| (turn * way.to_point()).to_vec2();
        let period = |bars: &Option<Bars>| {
            let sound = bars.as_ref().filter(|bars| bars.is_sound());
            sound.map(Bars::period_mm)
        };
        let (across, along) = (period(&self.lengthwise), period(&self.crosswise));
        let motif = self.motif.map(|motif| motif.lattice()).filter(Lattice::is_sound);
        let lattice = match (motif, across, along) {
            (None, None, None) => return Repeat::Plain,
            (None, Some(across), None) => {
                let step = turned(Vec2::new(0.0, across));
                return Repeat::Bars { step };
            }
            (None, None, Some(along)) => {
                let step = turned(Vec2::new(along, 0.0));
                return Repeat::Bars { step };
            }
            (None, Some(across), Some(along)) => Some(Lattice {
                origin: Point::ORIGIN,
                steps: [Vec2::new(along, 0.0), Vec2::new(0.0, across)],
            }),
            (Some(motif), _, _) => within_bars(&motif, along, across),
        };
        lattice.map_or(Repeat::Never, |lattice| {
            Repeat::Lattice(Lattice { origin: turn * lattice.origin, steps: lattice.steps.map(turned) })
        })
    }
}

/// The ways of a motif that also bring bars of given periods upon themselves.
fn within_bars(motif: &Lattice, along: Option<f64>, across: Option<f64>) -> Option<Lattice> {
    let reduced = motif.reduced();
    let fits = |way: f64, period: Option<f64>| {
        period.is_none_or(|period| (way - (way / period).round() * period).abs() <= TOGETHER_MM)
    };
    let [a, b] = reduced.steps;
    let mut ways: Vec<Vec2> = Vec::new();
    for i in -MOST_STEPS..=MOST_STEPS {
        for j in 0..=MOST_STEPS {
            let way = f64::from(i) * a + f64::from(j) * b;
            if (j > 0 || i > 0) && fits(way.x, along) && fits(way.y, across) {
                ways.push(way);
            }
        }
    }
    // The two shortest that are not parallel span all of them.
    let shorter = |p: &Vec2, q: &Vec2| p.hypot2().total_cmp(&q.hypot2());
    let first = ways.iter().copied().min_by(shorter)?;
    let aslant = |way: &Vec2| way.cross(first).abs() > 1e-6 * way.hypot() * first.hypot();
    let second = ways.iter().copied().filter(aslant).min_by(shorter)?;
    Some(Lattice { origin: motif.origin, steps: [first, second] })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cloth::{Bar, Colour};

    fn stripe(period: f64) -> Bars {
        Bars::new(10.0, vec![Bar { width_mm: 0.25 * period, gap_mm: 0.75 * period, colour: Colour([0; 3]) }])
    }

    fn sprig() -> Motif {
        Motif {
            origin: Point::new(35.0, 10.0),
            steps: [Vec2::new(70.0, 96.0), Vec2::new(0.0, 192.0)],
            way: MotifWay::OneWay,
            mirrors: true,
        }
    }

    #[test]
    fn bars_along_repeat_across_and_slide_along() {
        let print = Print { lengthwise: Some(stripe(96.0)), ..Print::default() };
        let error = print.repeat().phase_error(Vec2::new(33.0, 480.0 - 3.0));
        assert!((error - Vec2::new(0.0, -3.0)).hypot() < 1e-9);
    }

    #[test]
    fn a_check_repeats_both_ways_apart() {
        let print =
            Print { lengthwise: Some(stripe(96.0)), crosswise: Some(stripe(70.0)), ..Print::default() };
        let error = print.repeat().phase_error(Vec2::new(702.0, 475.0));
        assert!((error - Vec2::new(2.0, -5.0)).hypot() < 1e-9);
    }

    #[test]
    fn a_motif_that_steps_with_the_bars_keeps_its_own_repeat_and_one_that_does_not_takes_more_steps() {
        let mut print = Print { lengthwise: Some(stripe(96.0)), motif: Some(sprig()), ..Print::default() };
        let Repeat::Lattice(lattice) = print.repeat() else { panic!("{:?}", print.repeat()) };
        let cell = |lattice: Lattice| lattice.steps[0].cross(lattice.steps[1]).abs();
        assert!((cell(lattice) - 70.0 * 192.0).abs() < 1e-6);
        // Bars of 64 mm and columns of 96 mm meet every 192 mm.
        print.lengthwise = Some(stripe(64.0));
        let Repeat::Lattice(lattice) = print.repeat() else { panic!("{:?}", print.repeat()) };
        assert!(lattice.holds(Vec2::new(140.0, 192.0), 1e-9));
        assert!(!lattice.holds(Vec2::new(70.0, 96.0), 1.0));
        // 96 mm and 61.7 mm do not meet on any cloth.
        print.lengthwise = Some(stripe(61.7));
        print.motif = Some(Motif { steps: [Vec2::new(70.0, 0.0), Vec2::new(0.0, 96.37)], ..sprig() });
        let never = print.repeat();
        assert!(matches!(never, Repeat::Never), "{never:?}");
    }

    #[test]
    fn a_print_at_an_angle_repeats_at_that_angle() {
        let print = Print { lengthwise: Some(stripe(100.0)), angle_degrees: 30.0, ..Print::default() };
        let step = Vec2::from_angle(120_f64.to_radians()) * 100.0;
        assert!(print.repeat().phase_error(3.0 * step).hypot() < 1e-9);
        let along = Vec2::from_angle(30_f64.to_radians()) * 123.0;
        assert!(print.repeat().phase_error(along).hypot() < 1e-9);
    }
}
