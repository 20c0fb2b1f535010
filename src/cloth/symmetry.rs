//! Which motions bring the print upon itself: where it may be folded, and whether it has a direction.
//!
//! Nothing here is asked of a person that follows from the bars. A fold agrees where *every* part of the print
//! agrees: bars at the middle of a band about which they read the same both ways, a motif where mirrored nodes fall
//! on nodes and the motif itself looks the same left for right. A cloth has no direction when half a turn brings it
//! upon itself (handbooks: no motif with a top, no pile, no uneven order).

use super::{Bars, FoldWay, Motif, MotifWay, Print};
use crate::geometry::{Point, Vec2};
use std::fmt;

/// Where a print may be folded so that both plies agree.
#[derive(Debug, Clone, PartialEq)]
pub enum MirrorLines {
    /// At any place: nothing changes in that direction.
    Anywhere,
    /// At these places of the sheet, in mm, rising: y for a lengthwise fold, x for a crosswise one.
    At(Vec<f64>),
    /// Nowhere.
    Nowhere(Unlike),
}

/// Why the two sides of a fold, or a cloth and itself turned round, never agree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unlike {
    /// The bars along the cloth are uneven.
    BarsAlong,
    /// The bars across the cloth are uneven.
    BarsAcross,
    /// The motif is not the same left for right.
    MotifSideways,
    /// The motif has a top.
    MotifTop,
    /// The motif's places are not.
    MotifPlaces,
    /// The print runs at an angle to the grain.
    Angle,
    /// Each part agrees somewhere, but nowhere all of them.
    Together,
    /// The cloth has a nap.
    Nap,
}

impl fmt::Display for Unlike {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::BarsAlong => "the bars along the cloth are uneven",
            Self::BarsAcross => "the bars across the cloth are uneven",
            Self::MotifSideways => "the motif is not the same left for right",
            Self::MotifTop => "the motif has a top",
            Self::MotifPlaces => "the motif's places are not the same mirrored",
            Self::Angle => "the print runs at an angle to the grain",
            Self::Together => "bars and motif agree with their mirror image in different places",
            Self::Nap => "the cloth has a nap",
        })
    }
}

/// Mirror lines of bars and of a motif that lie closer are one, in mm: two prints half of this apart show a
/// difference below a tape's division.
const ONE_LINE_MM: f64 = 0.5;

/// More lines than this on one cloth are threads, not a print.
const MOST_LINES: usize = 20_000;

impl MirrorLines {
    /// How far the print beyond a fold at `at` lies from its mirror image, in mm: twice the way to the nearest
    /// mirror line, with the sign of the way from that line. `None` when there is no such line.
    #[must_use]
    pub fn phase_error(&self, at: f64) -> Option<f64> {
        match self {
            Self::Anywhere => Some(0.0),
            Self::At(lines) => {
                let off = lines.iter().map(|line| at - line);
                off.min_by(|a, b| a.abs().total_cmp(&b.abs())).map(|off| 2.0 * off)
            }
            Self::Nowhere(_) => None,
        }
    }
}

impl Print {
    /// Whether the bars that run along the cloth are even; true without such bars.
    #[must_use]
    pub fn is_even_across(&self) -> bool {
        self.lengthwise.as_ref().is_none_or(Bars::are_even)
    }

    /// Whether the bars that run across the cloth are even; true without such bars.
    #[must_use]
    pub fn is_even_along(&self) -> bool {
        self.crosswise.as_ref().is_none_or(Bars::are_even)
    }

    /// Where between two places of the sheet a fold brings the print upon its mirror image.
    #[must_use]
    pub fn mirror_lines(&self, way: FoldWay, from: f64, to: f64) -> MirrorLines {
        let bars = match way {
            FoldWay::Lengthwise => &self.lengthwise,
            FoldWay::Crosswise => &self.crosswise,
        };
        let bars = bars.as_ref().filter(|bars| bars.is_sound());
        let anything =
            bars.is_some() || self.motif.is_some() || self.lengthwise.is_some() || self.crosswise.is_some();
        if self.angle_degrees != 0.0 && anything {
            return MirrorLines::Nowhere(Unlike::Angle);
        }
        let of_bars = bars.map(|bars| {
            let lines = bars.mirror_lines_mm();
            (!lines.is_empty()).then(|| spread(&lines, bars.period_mm(), from, to))
        });
        let of_motif = self.motif.as_ref().map(|motif| motif.mirror_lines(way, from, to));
        let uneven = match way {
            FoldWay::Lengthwise => Unlike::BarsAlong,
            FoldWay::Crosswise => Unlike::BarsAcross,
        };
        match (of_bars, of_motif) {
            (Some(None), _) => MirrorLines::Nowhere(uneven),
            (_, Some(Err(unlike))) => MirrorLines::Nowhere(unlike),
            (None, None) => MirrorLines::Anywhere,
            (Some(Some(lines)), None) | (None, Some(Ok(lines))) => MirrorLines::At(lines),
            (Some(Some(bars)), Some(Ok(motif))) => {
                let near = |line: &f64| {
                    let after = motif.partition_point(|other| other < line);
                    let around = [after.checked_sub(1), Some(after)];
                    let mut others = around.into_iter().flatten().filter_map(|index| motif.get(index));
                    others.any(|other| (other - line).abs() <= ONE_LINE_MM)
                };
                let both: Vec<f64> = bars.into_iter().filter(near).collect();
                if both.is_empty() { MirrorLines::Nowhere(Unlike::Together) } else { MirrorLines::At(both) }
            }
        }
    }

    /// Why the print does not come upon itself by half a turn; `None` when it does.
    #[must_use]
    pub fn has_direction(&self) -> Option<Unlike> {
        self.half_turn_centre().err()
    }

    /// A place about which half a turn brings the print upon itself, before the print was turned to its angle.
    ///
    /// # Errors
    /// Why there is none.
    pub fn half_turn_centre(&self) -> Result<Point, Unlike> {
        if let Some(motif) = &self.motif
            && motif.way == MotifWay::OneWay
        {
            return Err(Unlike::MotifTop);
        }
        if !self.is_even_across() {
            return Err(Unlike::BarsAlong);
        }
        if !self.is_even_along() {
            return Err(Unlike::BarsAcross);
        }
        let sound = |bars: &Option<Bars>| bars.clone().filter(Bars::is_sound);
        let (lengthwise, crosswise) = (sound(&self.lengthwise), sound(&self.crosswise));
        let first_line = |bars: &Option<Bars>| {
            let lines = bars.as_ref().map(Bars::mirror_lines_mm);
            lines.and_then(|lines| lines.first().copied()).unwrap_or_default()
        };
        let Some(motif) = self.motif.as_ref().filter(|motif| motif.lattice().is_sound()) else {
            return Ok(Point::new(first_line(&crosswise), first_line(&lengthwise)));
        };
        // Half a turn about any place midway between nodes brings nodes upon nodes; one such place must lie on a
        // mirror line of each set of bars.
        let on_lines = |bars: &Option<Bars>, at: f64| {
            bars.as_ref().is_none_or(|bars| {
                let period = bars.period_mm();
                let mut lines = bars.mirror_lines_mm().into_iter();
                lines.any(|line| {
                    let off = at - line;
                    (off - (off / period).round() * period).abs() <= ONE_LINE_MM
                })
            })
        };
        let [a, b] = motif.lattice().reduced().steps;
        let counts = -MOST_HALF_STEPS..=MOST_HALF_STEPS;
        let places = counts.clone().flat_map(|i| counts.clone().map(move |j| (i, j)));
        let mut centres = places.map(|(i, j)| motif.origin + 0.5 * (f64::from(i) * a + f64::from(j) * b));
        centres
            .find(|centre| on_lines(&lengthwise, centre.y) && on_lines(&crosswise, centre.x))
            .ok_or(Unlike::Together)
    }
}

/// Half steps of the motif each way that are looked at for a common centre of the half turn.
const MOST_HALF_STEPS: i32 = 16;

/// Every place between two that lies a whole number of periods from one of `lines`, rising.
fn spread(lines: &[f64], period: f64, from: f64, to: f64) -> Vec<f64> {
    let mut places = Vec::new();
    if !period.is_finite() || period <= 0.0 || !from.is_finite() || !to.is_finite() {
        return places;
    }
    for line in lines {
        let mut place = line + ((from - line) / period).ceil() * period;
        while place <= to && places.len() < MOST_LINES {
            places.push(place);
            place += period;
        }
    }
    places.sort_by(f64::total_cmp);
    places
}

impl Motif {
    /// Where a fold brings nodes upon nodes and the motif upon its like.
    fn mirror_lines(&self, way: FoldWay, from: f64, to: f64) -> Result<Vec<f64>, Unlike> {
        let looks_the_same = match (way, self.way) {
            (_, MotifWay::NoWay) => true,
            (FoldWay::Lengthwise, _) => self.mirrors,
            // Upside down is left for right and then half a turn.
            (FoldWay::Crosswise, MotifWay::OneWay) => return Err(Unlike::MotifTop),
            (FoldWay::Crosswise, MotifWay::TwoWay) => self.mirrors,
        };
        if !looks_the_same {
            return Err(Unlike::MotifSideways);
        }
        let lattice = self.lattice();
        let mirrored = |step: Vec2| match way {
            FoldWay::Lengthwise => Vec2::new(step.x, -step.y),
            FoldWay::Crosswise => Vec2::new(-step.x, step.y),
        };
        if !lattice.is_sound() || !self.steps.iter().all(|&step| lattice.holds(mirrored(step), ONE_LINE_MM)) {
            return Err(Unlike::MotifPlaces);
        }
        let (square, at) = match way {
            FoldWay::Lengthwise => (Vec2::new(0.0, 1.0), self.origin.y),
            FoldWay::Crosswise => (Vec2::new(1.0, 0.0), self.origin.x),
        };
        // A mirrored lattice that is itself has a shortest way square to the fold: the difference of a step and
        // its mirror image, or a step that is square already, or half that difference where it is a way.
        let squares = lattice.reduced().steps.into_iter().flat_map(|step| {
            let whole = (step - mirrored(step)).dot(square).abs();
            [0.5 * whole, whole]
        });
        let shortest = squares
            .filter(|&length| length > ONE_LINE_MM && lattice.holds(length * square, ONE_LINE_MM))
            .min_by(f64::total_cmp)
            .ok_or(Unlike::MotifPlaces)?;
        Ok(spread(&[at], 0.5 * shortest, from, to))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cloth::{Bar, Colour};

    fn bars(start_mm: f64, list: &[(f64, f64, u8)]) -> Bars {
        let bar = |&(width_mm, gap_mm, shade): &(f64, f64, u8)| Bar {
            width_mm,
            gap_mm,
            colour: Colour([shade; 3]),
        };
        Bars::new(start_mm, list.iter().map(bar).collect())
    }

    fn motif(steps: [(f64, f64); 2], way: MotifWay, mirrors: bool) -> Motif {
        Motif { origin: Point::new(35.0, 10.0), steps: steps.map(Vec2::from), way, mirrors }
    }

    fn lines(print: &Print, way: FoldWay) -> MirrorLines {
        print.mirror_lines(way, 0.0, 400.0)
    }

    #[test]
    fn a_fold_off_the_middle_of_a_bar_shows_twice_the_way() {
        let print = Print { lengthwise: Some(bars(20.0, &[(40.0, 60.0, 1)])), ..Print::default() };
        let found = lines(&print, FoldWay::Lengthwise);
        assert_eq!(found, MirrorLines::At(vec![40.0, 90.0, 140.0, 190.0, 240.0, 290.0, 340.0, 390.0]));
        assert_eq!(found.phase_error(143.0), Some(6.0));
        assert_eq!(found.phase_error(87.5), Some(-5.0));
        assert_eq!(lines(&print, FoldWay::Crosswise), MirrorLines::Anywhere);
        assert_eq!(print.has_direction(), None);
    }

    #[test]
    fn an_uneven_order_folds_nowhere_and_has_a_direction() {
        let print = Print {
            lengthwise: Some(bars(0.0, &[(24.0, 12.0, 1), (16.0, 8.0, 2), (4.0, 32.0, 3)])),
            ..Print::default()
        };
        assert_eq!(lines(&print, FoldWay::Lengthwise), MirrorLines::Nowhere(Unlike::BarsAlong));
        assert_eq!(print.has_direction(), Some(Unlike::BarsAlong));
        let across = Print { crosswise: print.lengthwise.clone(), ..Print::default() };
        assert_eq!(lines(&across, FoldWay::Lengthwise), MirrorLines::Anywhere);
        assert_eq!(across.has_direction(), Some(Unlike::BarsAcross));
    }

    #[test]
    fn a_half_drop_mirrors_at_every_half_column() {
        let print = Print {
            motif: Some(motif([(70.0, 96.0), (0.0, 192.0)], MotifWay::TwoWay, true)),
            ..Print::default()
        };
        assert_eq!(
            lines(&print, FoldWay::Lengthwise),
            MirrorLines::At(vec![10.0, 106.0, 202.0, 298.0, 394.0])
        );
        assert_eq!(print.has_direction(), None);
    }

    #[test]
    fn a_skewed_lattice_mirrors_nowhere_and_still_turns() {
        let print = Print {
            motif: Some(motif([(70.0, 30.0), (0.0, 192.0)], MotifWay::TwoWay, true)),
            ..Print::default()
        };
        assert_eq!(lines(&print, FoldWay::Lengthwise), MirrorLines::Nowhere(Unlike::MotifPlaces));
        assert_eq!(print.has_direction(), None);
    }

    #[test]
    fn a_motif_with_a_top_may_be_folded_along_but_not_across() {
        let print = Print {
            motif: Some(motif([(70.0, 0.0), (0.0, 50.0)], MotifWay::OneWay, true)),
            ..Print::default()
        };
        assert!(matches!(lines(&print, FoldWay::Lengthwise), MirrorLines::At(_)));
        assert_eq!(lines(&print, FoldWay::Crosswise), MirrorLines::Nowhere(Unlike::MotifTop));
        assert_eq!(print.has_direction(), Some(Unlike::MotifTop));
    }

    #[test]
    fn bars_and_motif_must_agree_at_one_place() {
        let mut print = Print {
            lengthwise: Some(bars(0.0, &[(20.0, 80.0, 1)])),
            motif: Some(motif([(70.0, 0.0), (0.0, 100.0)], MotifWay::TwoWay, true)),
            ..Print::default()
        };
        // Bars mirror at 10 and 60, the motif at 10 and 60.
        assert!(matches!(lines(&print, FoldWay::Lengthwise), MirrorLines::At(_)));
        assert_eq!(print.has_direction(), None);
        print.lengthwise = Some(bars(7.0, &[(20.0, 80.0, 1)]));
        assert_eq!(lines(&print, FoldWay::Lengthwise), MirrorLines::Nowhere(Unlike::Together));
        assert_eq!(print.has_direction(), Some(Unlike::Together));
    }
}
