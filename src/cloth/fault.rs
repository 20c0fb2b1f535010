//! What keeps a cloth from being cut as it is written down, each with its numbers and what to do.
//!
//! Nothing is corrected and nothing dropped: the cloth stays as typed, and the fault is said until it is mended.

use super::{Bars, Cloth, FoldWay, MOST_SHEAR_PERCENT, Plies, Repeat, SMALLEST_REPEAT_MM};
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;
use crate::geometry::{Point, Rect};

/// Something the matter with a cloth. What it says names the measure with its number.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ClothFault {
    /// A side that is no length.
    #[error("its {what} is {mm:.0} mm")]
    NoRoom {
        /// `usable width` or `length at hand`.
        what: &'static str,
        /// As written.
        mm: f64,
    },
    /// More usable width than cloth.
    #[error("its usable width, {usable_mm:.0} mm, is more than the whole width of {whole_mm:.0} mm")]
    WiderThanItself {
        /// Usable.
        usable_mm: f64,
        /// Selvedges counted.
        whole_mm: f64,
    },
    /// A part fold beyond the middle, or none.
    #[error("{over_mm:.0} mm folded over can't be: the usable width is {width_mm:.0} mm, half of it {:.0} mm", 0.5 * .width_mm)]
    FoldedTooFar {
        /// As written.
        over_mm: f64,
        /// Usable.
        width_mm: f64,
    },
    /// A shrinkage that no cloth has.
    #[error("a shrinkage of {percent:.1} % {way} can't be")]
    Shrinkage {
        /// As written.
        percent: f64,
        /// `along it` or `across it`.
        way: &'static str,
    },
    /// Not pre-shrunk.
    #[error("it is not pre-shrunk: {length_mm:.0} mm by {width_mm:.0} mm will be left after washing")]
    NotPreShrunk {
        /// Length after shrinking.
        length_mm: f64,
        /// Usable width after shrinking.
        width_mm: f64,
    },
    /// Nobody knows whether it shrinks.
    #[error("it is not pre-shrunk, and how much it shrinks was not measured")]
    ShrinkageUnknown,
    /// The weft runs off square.
    #[error("its weft runs off square by {off_mm:.1} mm over {over_mm:.0} mm, {percent:.1} %")]
    Shear {
        /// Off square.
        off_mm: f64,
        /// Over this width.
        over_mm: f64,
        /// Of that width.
        percent: f64,
    },
    /// A shear that was not measured.
    #[error("a shear of {off_mm:.1} mm over {over_mm:.0} mm can't be")]
    ShearAbsurd {
        /// As written.
        off_mm: f64,
        /// As written.
        over_mm: f64,
    },
    /// Bars without bars.
    #[error("its bars {way} the cloth are none")]
    NoBars {
        /// `along` or `across`.
        way: &'static str,
    },
    /// A bar that has no width.
    #[error("bar {number} {way} the cloth is {mm:.1} mm wide")]
    BarWidth {
        /// `along` or `across`.
        way: &'static str,
        /// From 1.
        number: usize,
        /// As written.
        mm: f64,
    },
    /// More bars than repeat.
    #[error("the bars {way} the cloth take {bars_mm:.1} mm, but a repeat is {repeat_mm:.1} mm")]
    BarsExceedRepeat {
        /// `along` or `across`.
        way: &'static str,
        /// Widths of all bars.
        bars_mm: f64,
        /// The repeat.
        repeat_mm: f64,
    },
    /// A repeat measured otherwise than its bars add up to.
    #[error(
        "the repeat of the bars {way} the cloth was measured as {repeat_mm:.1} mm, but bars and gaps add up to \
         {sum_mm:.1} mm"
    )]
    RepeatDoubtful {
        /// `along` or `across`.
        way: &'static str,
        /// As measured.
        repeat_mm: f64,
        /// As added up.
        sum_mm: f64,
    },
    /// A repeat that is none.
    #[error("the repeat of the bars {way} the cloth is {mm:.2} mm")]
    RepeatAbsurd {
        /// `along` or `across`.
        way: &'static str,
        /// As it comes out.
        mm: f64,
    },
    /// A repeat that does not come round on this cloth.
    #[error(
        "the repeat of the bars {way} the cloth, {repeat_mm:.0} mm, is more than the cloth's {cloth_mm:.0} mm"
    )]
    RepeatBeyondCloth {
        /// `along` or `across`.
        way: &'static str,
        /// As it comes out.
        repeat_mm: f64,
        /// The cloth in that direction.
        cloth_mm: f64,
    },
    /// Steps of a motif that span nothing.
    #[error("the motif's steps ({:.1}, {:.1}) and ({:.1}, {:.1}) mm are parallel or nothing", .steps[0].0, .steps[0].1, .steps[1].0, .steps[1].1)]
    MotifSteps {
        /// As written.
        steps: [(f64, f64); 2],
    },
    /// A motif closer to itself than threads.
    #[error("the motif comes again after {mm:.2} mm")]
    MotifTooClose {
        /// The shortest step.
        mm: f64,
    },
    /// A print turned too far.
    #[error("the print can't run at {degrees:.1}° to the grain")]
    Angle {
        /// As written.
        degrees: f64,
    },
    /// Bars and motif that never come round together.
    #[error("bars and motif have no repeat in common, so that no two pieces can be matched in both")]
    NoCommonRepeat,
    /// The print runs off the weave.
    #[error("the print runs {degrees:.1}° off the grain: {mm:.0} mm a metre")]
    PrintedOffGrain {
        /// By how much.
        degrees: f64,
        /// Over a metre.
        mm: f64,
    },
    /// A flaw that is no area.
    #[error("the flaw “{what}” has {corners} corners")]
    FlawCorners {
        /// Which.
        what: String,
        /// As written.
        corners: usize,
    },
    /// A flaw that is not on the cloth.
    #[error("the flaw “{what}” lies {off_mm:.0} mm off the cloth")]
    FlawOutside {
        /// Which.
        what: String,
        /// To the cloth's nearest edge.
        off_mm: f64,
        /// One of its corners.
        at: Point,
    },
    /// A cost below nothing.
    #[error("a cost of {amount:.2} a metre can't be")]
    Cost {
        /// As written.
        amount: f64,
    },
    /// A number that is none.
    #[error("{what} is not a number that a cloth can have (at most 100 m, and no NaN)")]
    NoNumber {
        /// Which.
        what: &'static str,
    },
}

/// Least and most that any cloth shrinks, in per cent; below nothing it grows.
const SHRINKAGE_PERCENT: std::ops::RangeInclusive<f64> = -10.0..=50.0;

/// A measured repeat may differ from the sum of its bars by this share: each bar is read to half a millimetre.
const REPEAT_DOUBT: f64 = 0.05;

/// A print at a larger angle is written down with its bars the other way.
const MOST_DEGREES: f64 = 45.0;

/// A print further off the grain than this, and less than meant on purpose, was printed askew; degrees.
const ASKEW_DEGREES: std::ops::RangeInclusive<f64> = 0.05..=10.0;

impl ClothFault {
    /// What to do.
    #[must_use]
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::NoRoom { .. } => "measure the cloth and write it down with its unit",
            Self::WiderThanItself { .. } => {
                "measure both again; a selvedge takes some 13 to 25 mm at each side (common practice)"
            }
            Self::FoldedTooFar { .. } => "fold over at most half the usable width, or fold it lengthwise",
            Self::Shrinkage { .. } => {
                "wash a swatch, measure it before and after, and write down what it lost"
            }
            Self::NotPreShrunk { .. } | Self::ShrinkageUnknown => {
                "shrink it as it will be laundered, measure it again, and tick it as pre-shrunk"
            }
            Self::Shear { .. } => {
                "pull it straight on the bias and press it; heat-set or bonded cloth can't be straightened: then cut \
                 by the print or by the lengthwise thread"
            }
            Self::ShearAbsurd { .. } => {
                "follow one thread from selvedge to selvedge and measure both ways again"
            }
            Self::NoBars { .. } => "write down the bars of one repeat, or strike the bars out",
            Self::BarWidth { .. } => "measure the bar, or strike it out",
            Self::BarsExceedRepeat { .. } => "measure the bars and the gaps of one repeat again",
            Self::RepeatDoubtful { .. } => {
                "measure over several repeats and divide, and see that no bar is missing"
            }
            Self::RepeatAbsurd { .. } => {
                "a repeat of less than 1 mm is the weave; measure again or strike it out"
            }
            Self::RepeatBeyondCloth { .. } => {
                "see whether the unit is right; otherwise it is a border, not a repeat"
            }
            Self::MotifSteps { .. } => {
                "measure from one motif to its like along the cloth and to its like across it"
            }
            Self::MotifTooClose { .. } => {
                "a motif every millimetre is the weave; measure again or strike it out"
            }
            Self::Angle { .. } => "write an angle within ±45°; beyond that, write the bars the other way",
            Self::NoCommonRepeat => {
                "measure bars and motif again; if it is so, match the one that shows more"
            }
            Self::PrintedOffGrain { .. } => {
                "choose: cut by the grain, and the print runs askew, or by the print"
            }
            Self::FlawCorners { .. } => "draw round it with at least three corners",
            Self::FlawOutside { .. } => "move it onto the cloth, or strike it out",
            Self::Cost { .. } => "write down what a metre costs",
            Self::NoNumber { .. } => "correct it",
        }
    }

    /// Whether the cloth must not be cut before it is settled.
    #[must_use]
    pub const fn stops(&self) -> bool {
        !matches!(
            self,
            Self::Shear { .. }
                | Self::RepeatDoubtful { .. }
                | Self::RepeatBeyondCloth { .. }
                | Self::NoCommonRepeat
                | Self::PrintedOffGrain { .. }
                | Self::FlawOutside { .. }
                | Self::Cost { .. }
        )
    }

    /// By how much, in mm, where it is a length.
    #[must_use]
    pub const fn amount_mm(&self) -> Option<f64> {
        match self {
            Self::WiderThanItself { usable_mm, whole_mm } => Some(*usable_mm - *whole_mm),
            Self::Shear { off_mm, .. } | Self::FlawOutside { off_mm, .. } => Some(*off_mm),
            Self::BarsExceedRepeat {
                bars_mm, repeat_mm, ..
            } => Some(*bars_mm - *repeat_mm),
            Self::PrintedOffGrain { mm, .. } => Some(*mm),
            _ => None,
        }
    }
}

impl Cloth {
    /// What keeps it from being cut as it is written down, in the order of the card.
    #[must_use]
    pub fn faults(&self) -> Vec<ClothFault> {
        let mut faults = Vec::new();
        if let Some(what) = self.strange_number() {
            faults.push(ClothFault::NoNumber { what });
            return faults;
        }
        self.size_faults(&mut faults);
        self.state_faults(&mut faults);
        self.print_faults(&mut faults);
        let sheet = self.sheet();
        for flaw in &self.flaws {
            let Some(&first) = flaw.outline.first().filter(|_| flaw.outline.len() >= 3) else {
                faults.push(ClothFault::FlawCorners {
                    what: flaw.what.clone(),
                    corners: flaw.outline.len(),
                });
                continue;
            };
            let around = Rect::from_points(first, first);
            let bounds = flaw
                .outline
                .iter()
                .fold(around, |all, &corner| all.union_pt(corner));
            let (off_x, off_y) = (
                (sheet.x0 - bounds.x1).max(bounds.x0 - sheet.x1).max(0.0),
                (sheet.y0 - bounds.y1).max(bounds.y0 - sheet.y1).max(0.0),
            );
            if off_x > 0.0 || off_y > 0.0 {
                faults.push(ClothFault::FlawOutside {
                    what: flaw.what.clone(),
                    off_mm: off_x.hypot(off_y),
                    at: first,
                });
            }
        }
        if let Some(cost) = self.cost_per_metre.as_ref().filter(|cost| cost.amount < 0.0) {
            let amount = cost.amount;
            faults.push(ClothFault::Cost { amount });
        }
        faults
    }

    fn size_faults(&self, faults: &mut Vec<ClothFault>) {
        let usable_mm = self.width.mm();
        for (what, mm) in [("usable width", usable_mm), ("length at hand", self.length.mm())] {
            if mm <= 0.0 {
                faults.push(ClothFault::NoRoom { what, mm });
            }
        }
        if let Some(whole) = &self.between_selvedges {
            let whole_mm = whole.mm();
            if usable_mm > whole_mm {
                faults.push(ClothFault::WiderThanItself { usable_mm, whole_mm });
            }
        }
        if let Plies::PartFolded { folded_over, .. } = &self.plies {
            let over_mm = folded_over.mm();
            if over_mm <= 0.0 || over_mm > 0.5 * usable_mm {
                let width_mm = usable_mm;
                faults.push(ClothFault::FoldedTooFar { over_mm, width_mm });
            }
        }
    }

    fn state_faults(&self, faults: &mut Vec<ClothFault>) {
        let shrinkage = &self.shrinkage;
        let (along, across) = (shrinkage.along_percent, shrinkage.across_percent);
        let mut absurd = false;
        for (way, percent) in [("along it", along), ("across it", across)] {
            if !SHRINKAGE_PERCENT.contains(&percent) {
                faults.push(ClothFault::Shrinkage { percent, way });
                absurd = true;
            }
        }
        if !shrinkage.pre_shrunk && !absurd {
            faults.push(if along == 0.0 && across == 0.0 {
                ClothFault::ShrinkageUnknown
            } else {
                ClothFault::NotPreShrunk {
                    length_mm: shrinkage.length_left_mm(self.length.mm()),
                    width_mm: shrinkage.width_left_mm(self.width.mm()),
                }
            });
        }
        if let Some(shear) = &self.shear {
            let (off_mm, over_mm) = (shear.off.mm(), shear.over.mm());
            match shear.percent() {
                Some(percent) if percent.abs() <= 100.0 => {
                    if percent.abs() > MOST_SHEAR_PERCENT {
                        faults.push(ClothFault::Shear {
                            off_mm,
                            over_mm,
                            percent: percent.abs(),
                        });
                    }
                }
                _ => faults.push(ClothFault::ShearAbsurd { off_mm, over_mm }),
            }
        }
    }

    fn print_faults(&self, faults: &mut Vec<ClothFault>) {
        let Some(print) = &self.print else { return };
        let before = faults.len();
        let sheet = self.sheet();
        if let Some(bars) = &print.lengthwise {
            bars_faults(bars, "along", sheet.height(), faults);
        }
        if let Some(bars) = &print.crosswise {
            bars_faults(bars, "across", sheet.width(), faults);
        }
        if let Some(motif) = &print.motif {
            let lattice = motif.lattice();
            if !lattice.is_sound() {
                let steps = motif.steps.map(|step| (step.x, step.y));
                faults.push(ClothFault::MotifSteps { steps });
            } else {
                let mm = lattice.reduced().steps[0].hypot();
                if mm < SMALLEST_REPEAT_MM {
                    faults.push(ClothFault::MotifTooClose { mm });
                }
            }
        }
        let degrees = print.angle_degrees;
        if degrees.abs() > MOST_DEGREES {
            faults.push(ClothFault::Angle { degrees });
        } else if ASKEW_DEGREES.contains(&degrees.abs()) {
            let mm = 1000.0 * degrees.abs().to_radians().tan();
            faults.push(ClothFault::PrintedOffGrain { degrees, mm });
        }
        if faults.len() == before && matches!(print.repeat(), Repeat::Never) {
            faults.push(ClothFault::NoCommonRepeat);
        }
    }

    /// Which of its numbers is none, or beyond any cloth; `None` when all are fine. Lengths are sound by their type.
    #[must_use]
    pub fn strange_number(&self) -> Option<&'static str> {
        let sane = |value: &f64| value.is_finite() && value.abs() <= LARGEST_COORDINATE_MM;
        let shrinkage = [self.shrinkage.along_percent, self.shrinkage.across_percent];
        if !shrinkage.iter().all(sane) {
            return Some("the shrinkage");
        }
        if !self.cost_per_metre.iter().all(|cost| cost.amount.is_finite()) {
            return Some("the cost of a metre");
        }
        let corners = self.flaws.iter().flat_map(|flaw| &flaw.outline);
        if !corners
            .flat_map(|corner| [corner.x, corner.y])
            .all(|value| sane(&value))
        {
            return Some("a corner of a flaw");
        }
        let print = self.print.as_ref()?;
        let bars = [&print.lengthwise, &print.crosswise].into_iter().flatten();
        let of_bars = bars.flat_map(|bars| {
            let widths = bars.bars.iter().flat_map(|bar| [bar.width_mm, bar.gap_mm]);
            std::iter::once(bars.start_mm).chain(widths)
        });
        let of_motif = print.motif.iter().flat_map(|motif| {
            let [a, b] = motif.steps;
            [motif.origin.x, motif.origin.y, a.x, a.y, b.x, b.y]
        });
        let mut all = of_bars.chain(of_motif).chain([print.angle_degrees]);
        (!all.all(|value| sane(&value))).then_some("a measure of the print")
    }

    /// Why it can't be cut folded as it lies, in words; `None` when it can, or lies flat.
    #[must_use]
    pub fn why_not_folded(&self) -> Option<super::Unlike> {
        match self.mirror_lines(self.fold()?.way) {
            super::MirrorLines::Nowhere(unlike) => Some(unlike),
            _ => None,
        }
    }

    /// How far the print on the turned ply lies from the one on the facing ply, in mm; `None` when the cloth lies
    /// flat or they never agree.
    #[must_use]
    pub fn fold_phase_error_mm(&self) -> Option<(FoldWay, f64)> {
        let fold = self.fold()?;
        let error = self.mirror_lines(fold.way).phase_error(fold.on_sheet_mm)?;
        Some((fold.way, error))
    }
}

fn bars_faults(bars: &Bars, way: &'static str, cloth_mm: f64, faults: &mut Vec<ClothFault>) {
    if bars.bars.is_empty() {
        faults.push(ClothFault::NoBars { way });
        return;
    }
    let before = faults.len();
    for (number, bar) in (1..).zip(&bars.bars) {
        if bar.width_mm <= 0.0 {
            faults.push(ClothFault::BarWidth {
                way,
                number,
                mm: bar.width_mm,
            });
        }
    }
    let (bars_mm, sum_mm, repeat_mm) = (bars.inked_mm(), bars.sum_mm(), bars.period_mm());
    if bars_mm > repeat_mm || bars.bars.iter().any(|bar| bar.gap_mm < 0.0) {
        faults.push(ClothFault::BarsExceedRepeat {
            way,
            bars_mm,
            repeat_mm,
        });
    }
    if faults.len() > before {
        return;
    }
    if repeat_mm < SMALLEST_REPEAT_MM {
        faults.push(ClothFault::RepeatAbsurd { way, mm: repeat_mm });
    } else if (repeat_mm - sum_mm).abs() > REPEAT_DOUBT * repeat_mm {
        faults.push(ClothFault::RepeatDoubtful {
            way,
            repeat_mm,
            sum_mm,
        });
    } else if repeat_mm > cloth_mm && cloth_mm > 0.0 {
        faults.push(ClothFault::RepeatBeyondCloth {
            way,
            repeat_mm,
            cloth_mm,
        });
    }
}
