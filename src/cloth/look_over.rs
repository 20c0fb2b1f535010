//! Looks a cloth over for what keeps it from being cut as it is written down.

use super::SMALLEST_REPEAT_MM;
use super::{
    Bars, Cloth, ClothFault, FoldWay, MOST_SHEAR_PERCENT, MirrorLines, Plies, Print, Repeat, Unlike,
};
use crate::geometry::Rect;
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;

/// Least and most that any cloth shrinks, in per cent; below nothing it grows.
const SHRINKAGE_PERCENT: std::ops::RangeInclusive<f64> = -10.0..=50.0;

/// A measured repeat may differ from the sum of its bars by this share: each bar is read to half a millimetre.
const REPEAT_DOUBT: f64 = 0.05;

/// A print at a larger angle is written down with its bars the other way.
const MOST_DEGREES: f64 = 45.0;

/// A print further off the grain than this, and less than meant on purpose, was printed askew; degrees.
const ASKEW_DEGREES: std::ops::RangeInclusive<f64> = 0.05..=10.0;

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
                faults.push(ClothFault::FlawCorners { what: flaw.what.clone(), corners: flaw.outline.len() });
                continue;
            };
            let around = Rect::from_points(first, first);
            let bounds = flaw.outline.iter().fold(around, |all, &corner| all.union_pt(corner));
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
                        faults.push(ClothFault::Shear { off_mm, over_mm, percent: percent.abs() });
                    }
                }
                _ => faults.push(ClothFault::ShearAbsurd { off_mm, over_mm }),
            }
        }
    }

    fn print_faults(&self, faults: &mut Vec<ClothFault>) {
        let Some(print) = self.print_in_use() else { return };
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
        let sane = is_sane;
        let shrinkage = [self.shrinkage.along_percent, self.shrinkage.across_percent];
        if !shrinkage.iter().all(sane) {
            return Some("the shrinkage");
        }
        if !self.cost_per_metre.iter().all(|cost| cost.amount.is_finite()) {
            return Some("the cost of a metre");
        }
        let corners = self.flaws.iter().flat_map(|flaw| &flaw.outline);
        if !corners.flat_map(|corner| [corner.x, corner.y]).all(|value| sane(&value)) {
            return Some("a corner of a flaw");
        }
        let prints = self.print.iter().chain(&self.measured_print);
        prints.into_iter().any(strange_print).then_some("a measure of the print")
    }

    /// Its print, when every measure of it is a number; whatever computes with a print starts here.
    #[must_use]
    pub fn sound_print(&self) -> Option<&Print> {
        self.print_in_use().filter(|_| self.strange_number().is_none())
    }

    /// Why it can't be cut folded as it lies, in words; `None` when it can, or lies flat.
    #[must_use]
    pub fn why_not_folded(&self) -> Option<Unlike> {
        match self.mirror_lines(self.fold()?.way) {
            MirrorLines::Nowhere(unlike) => Some(unlike),
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
            faults.push(ClothFault::BarWidth { way, number, mm: bar.width_mm });
        }
    }
    let (bars_mm, sum_mm, repeat_mm) = (bars.inked_mm(), bars.sum_mm(), bars.period_mm());
    if bars_mm > repeat_mm || bars.bars.iter().any(|bar| bar.gap_mm < 0.0) {
        faults.push(ClothFault::BarsExceedRepeat { way, bars_mm, repeat_mm });
    }
    if faults.len() > before {
        return;
    }
    if repeat_mm < SMALLEST_REPEAT_MM {
        faults.push(ClothFault::RepeatAbsurd { way, mm: repeat_mm });
    } else if (repeat_mm - sum_mm).abs() > REPEAT_DOUBT * repeat_mm {
        faults.push(ClothFault::RepeatDoubtful { way, repeat_mm, sum_mm });
    } else if repeat_mm > cloth_mm && cloth_mm > 0.0 {
        faults.push(ClothFault::RepeatBeyondCloth { way, repeat_mm, cloth_mm });
    }
}

/// Whether a measure of a print is no number, or beyond any cloth.
fn strange_print(print: &Print) -> bool {
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
    !all.all(|value| is_sane(&value))
}

fn is_sane(value: &f64) -> bool {
    value.is_finite() && value.abs() <= LARGEST_COORDINATE_MM
}
