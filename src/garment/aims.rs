//! The aims of a garment: table, floor, mat.

use super::plan::is_sane;
use crate::aim::{Aim, AimError, Bar, BarWay, Measured, Proof, ProofError, Verdict};
use crate::finding::{Finding, Severity, Subject};
use crate::geometry::{Length, Point};
use serde::{Deserialize, Serialize};

/// One aim, with the name of its surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NamedAim {
    /// `table`, `floor`, `mat`.
    pub name: String,
    /// What was measured.
    pub measured: Measured,
    /// How the picture is turned before it is lit, for a projector that hangs the other way or shines by a mirror.
    #[serde(default, skip_serializing_if = "Mount::is_plain")]
    pub mount: Mount,
    /// How far a check mark may be off before the projector is said to have moved, in px; `None` for three standard
    /// deviations of a pick made twice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub watch_px: Option<f64>,
    /// What a tape read on the bars of the proof.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub proof: Option<ProofSheet>,
}

impl NamedAim {
    /// An aim of a projector that stands the usual way, not yet proved.
    #[must_use]
    pub const fn new(name: String, measured: Measured) -> Self {
        Self { name, measured, mount: Mount::PLAIN, watch_px: None, proof: None }
    }

    /// What of it can't be meant, and what to do.
    pub(super) fn nonsense(&self) -> Option<String> {
        if self.watch_px.is_some_and(|px| !WATCH_PX.contains(&px)) {
            return Some(format!(
                "watch_px of the aim “{}” must be from 0.1 to 50 px. Correct it",
                self.name
            ));
        }
        let sheet = self.proof.as_ref()?;
        let strange = sheet.bars.iter().flatten().any(|(x, y)| !is_sane(*x) || !is_sane(*y));
        strange.then(|| {
            format!(
                "a bar under proof of the aim “{}” ends at no place of a table. Take proof out",
                self.name
            )
        })
    }
}

/// Limits of a check mark that make sense, in px.
pub(super) const WATCH_PX: std::ops::RangeInclusive<f64> = 0.1..=50.0;

/// How the picture is turned before it is lit. Marks are picked in the picture as it is meant to be seen, so an aim
/// knows nothing of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mount {
    /// Left for right: the light comes by a mirror.
    #[serde(default)]
    pub mirrored: bool,
    /// By half a turn: the projector hangs upside down.
    #[serde(default)]
    pub upside_down: bool,
    /// By a quarter turn to the left, after the others: the projector lies on its side.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub on_its_side: bool,
}

impl Mount {
    /// As it is.
    pub const PLAIN: Self = Self { mirrored: false, upside_down: false, on_its_side: false };

    fn is_plain(&self) -> bool {
        *self == Self::PLAIN
    }

    /// Width and height of the picture, as it is meant to be seen, that a window of a size lights, and the other way
    /// round.
    #[must_use]
    pub fn picture_size<T>(&self, (width, height): (T, T)) -> (T, T) {
        if self.on_its_side { (height, width) } else { (width, height) }
    }

    /// Where a place of the picture, px from its corner, is in the window's pixels; `size` is the picture's.
    #[must_use]
    pub fn in_window(&self, place: (f64, f64), size: (f64, f64)) -> (f64, f64) {
        let (x, y) = self.flipped(place, size);
        if self.on_its_side { (y, size.0 - x) } else { (x, y) }
    }

    /// Where a pixel of the window is in the picture; `size` is the picture's.
    #[must_use]
    pub fn in_picture(&self, window: (f64, f64), size: (f64, f64)) -> (f64, f64) {
        let (x, y) = window;
        let place = if self.on_its_side { (size.0 - y, x) } else { (x, y) };
        // What turns the picture over turns it back.
        self.flipped(place, size)
    }

    fn flipped(&self, (x, y): (f64, f64), (width, height): (f64, f64)) -> (f64, f64) {
        // Half a turn swaps both sides; a mirror one of them again.
        let x = if self.mirrored == self.upside_down { x } else { width - x };
        let y = if self.upside_down { height - y } else { y };
        (x, y)
    }
}

/// What a tape read on the bars that prove the scale. It is gone when the aim changes: it proves that aim alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProofSheet {
    /// The ends of the bars on the surface in mm, as they were lit: across, along, on the diagonal.
    pub bars: [[(f64, f64); 2]; 3],
    /// The readings, in the same order.
    #[serde(default)]
    pub readings: [Option<Length>; 3],
    /// How far 500 mm may be off.
    #[serde(default = "one_mm")]
    pub tolerance_in_500: Length,
}

fn one_mm() -> Length {
    Length::from_mm(1.0)
}

impl ProofSheet {
    /// A sheet for the bars of an aim, nothing read yet.
    #[must_use]
    pub fn of(aim: &Aim) -> Self {
        let ends = |bar: Bar| [bar.from, bar.to].map(|end| (end.x, end.y));
        Self { bars: aim.proof_bars().map(ends), readings: [None, None, None], tolerance_in_500: one_mm() }
    }

    /// The bars.
    #[must_use]
    pub fn bars(&self) -> [Bar; 3] {
        let ways = [BarWay::Across, BarWay::Along, BarWay::Diagonal];
        std::array::from_fn(|index| Bar {
            way: ways[index],
            from: self.bars[index][0].into(),
            to: self.bars[index][1].into(),
        })
    }

    /// What the tape says, once all three bars are read.
    ///
    /// # Errors
    /// [`ProofError`] for a reading or a tolerance that can't be.
    pub fn proof(&self) -> Option<Result<Proof, ProofError>> {
        let [across, along, diagonal] = &self.readings;
        let readings = [across.as_ref()?.mm(), along.as_ref()?.mm(), diagonal.as_ref()?.mm()];
        Some(Proof::of(&self.bars(), readings, 2.0 * self.tolerance_in_500.mm()))
    }
}

/// What became of the aim in use: the last good one stays lit while a mark is being moved.
#[derive(Debug, Clone, Default)]
pub struct AimAttempt {
    /// The last aim that could be solved.
    pub good: Option<Aim>,
    /// Why the present marks give none.
    pub trouble: Option<AimError>,
}

impl AimAttempt {
    /// What is missing before the aim can be cut by.
    #[must_use]
    pub fn finding(&self) -> Option<Finding> {
        if let Some(trouble) = &self.trouble {
            let what = format!("the marks as they stand give no aim: {trouble}");
            let remedy = "pick the marks again under the light";
            return Some(Finding::new(Severity::Stop, what, remedy).about(Subject::Aim));
        }
        let missing = || {
            let remedy = "lay down four marks, tape all six distances, and pick the marks under the light";
            Finding::new(Severity::Stop, "the projector is not aimed yet", remedy).about(Subject::Aim)
        };
        let Some(aim) = &self.good else { return Some(missing()) };
        aim.is_provisional().then(|| {
            let what = "the aim is provisional: fewer than four marks were found again, and the rest is guessed from \
                        how a projector turns";
            let remedy = "aim again (key I) with four marks or more before cutting; a shift of the projector would \
                          not show";
            Finding::new(Severity::Stop, what, remedy).about(Subject::Aim)
        })
    }

    /// What is said about an aim that there is: marks that don't fit, tapes, marks too far inside, a proof that fails.
    /// `work` is the outline of what is to be cut, on the surface in mm.
    pub(super) fn remarks(&self, sheet: Option<&ProofSheet>, work: Option<&[Point]>) -> Vec<Finding> {
        let Some(aim) = &self.good else { return Vec::new() };
        let warning =
            |what: String, remedy: &str| Finding::new(Severity::Warning, what, remedy).about(Subject::Aim);
        let mut remarks: Vec<Finding> = aim
            .outliers()
            .iter()
            .map(|outlier| {
                let what = format!(
                    "mark {} is {:.1} mm off; the other {} agree within {:.1} mm",
                    outlier.mark + 1,
                    outlier.off_mm,
                    outlier.others,
                    outlier.others_mm
                );
                warning(what, "pick it again, and measure its place again if that does not help")
                    .by_mm(outlier.off_mm)
            })
            .collect();
        if let Some(first) = aim.suspects().first() {
            let (from, to) = (first.from + 1, first.to + 1);
            let what = match aim.suspects() {
                [_] => format!("the tape {from}–{to} contradicts the others"),
                suspects => format!("the tapes contradict each other: one of {} is wrong", suspects.len()),
            };
            let remedy = format!(
                "read them a second time at the stop Aim, or lay a fifth mark; if it is {from}–{to}, it should read \
                 {:.0} mm",
                first.should_read_mm
            );
            remarks.push(warning(what, &remedy));
        }
        let cover = aim.cover(work);
        if !aim.marks().is_empty() && cover < Aim::COVER_LEAST {
            let of = work.map_or("the picture", |_| "what is to be cut in this light");
            let what =
                format!("the marks hold {:.0} % of {of}; beyond them the light is a guess", 100.0 * cover);
            remarks.push(warning(
                what,
                "lay marks nearer to the picture's corners, or keep the cutting between them",
            ));
        }
        if let Some(Ok(proof)) = sheet.and_then(ProofSheet::proof)
            && proof.verdict() != Verdict::Good
        {
            let severity = if proof.verdict() == Verdict::Bad { Severity::Stop } else { Severity::Warning };
            let what = format!("the tape says of the light: {proof}");
            let remedy =
                "read the bars again at the stop Aim; if they read the same, pick and tape the marks again";
            remarks.push(Finding::new(severity, what, remedy).about(Subject::Aim));
        }
        remarks
    }

    /// Solves the aim, keeping the last good one when it can't be.
    pub(super) fn attempt(&mut self, measured: &Measured) {
        match Aim::solve(measured) {
            Ok(aim) => {
                self.good = Some(aim);
                self.trouble = None;
            }
            Err(trouble) => self.trouble = Some(trouble),
        }
    }
}
