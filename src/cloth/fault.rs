//! What keeps a cloth from being cut as it is written down, each with its numbers and what to do.
//!
//! Nothing is corrected and nothing dropped: the cloth stays as typed, and the fault is said until it is mended.

use crate::geometry::Point;

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
            Self::BarsExceedRepeat { bars_mm, repeat_mm, .. } => Some(*bars_mm - *repeat_mm),
            Self::PrintedOffGrain { mm, .. } => Some(*mm),
            _ => None,
        }
    }
}
