//! What was cut or begun before something was changed: how a copy looked then against how it looks now, and what is
//! said of it. It is kept in the garment's file, so that a change by hand between two days is seen as well.

use super::{OpenGarment, StandWork};
use crate::finding::{Finding, Severity, Subject};
use crate::geometry::BezPath;
use crate::pattern::{ClothKind, PieceId};
use kurbo::Shape as _;
use serde::{Deserialize, Serialize};

/// A line that is so much longer or shorter, in mm, was altered; what rounding leaves is far below it.
const SAME_LENGTH_MM: f64 = 0.2;
/// A line that lies so far off, in mm, in the mean of its length, was altered.
const SAME_LINE_MM: f64 = 0.05;
/// A copy that lies so near, in mm, was not moved.
const SAME_PLACE_MM: f64 = 0.5;
/// Nor one that is turned by so little, in degrees: half a millimetre on a metre.
const SAME_TURN_DEGREES: f64 = 0.03;
/// A mark that is so near, in mm, is the same mark: tapes that are read again move it by less.
const SAME_MARK_MM: f64 = 3.0;
/// So many marks fix a surface: two of another surface may happen to lie as far apart.
const MARKS_LEAST: usize = 3;

/// How a copy looked, and where it lay, when it was cut.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AsCut {
    /// Length of its cutting line in mm, and the area within in mm².
    pub cutting: (f64, f64),
    /// The same of its seam line.
    pub seam: (f64, f64),
    /// Its place on the cloth in mm, its turn in degrees, and whether it was turned over; `None` for a ply that lies
    /// under another.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<(f64, f64, f64, bool)>,
}

impl AsCut {
    /// In what the copy looks different now, in words; `None` where it does not.
    fn altered(&self, now: &Self) -> Option<String> {
        let lines =
            [("cutting line", self.cutting, now.cutting), ("seam line", self.seam, now.seam)].into_iter();
        lines
            .filter_map(|(line, then, now)| {
                let (longer, more) = (now.0 - then.0, now.1 - then.1);
                if !within(longer, SAME_LENGTH_MM) {
                    let way = if longer > 0.0 { "longer" } else { "shorter" };
                    return Some(format!("its {line} is {:.1} mm {way} now", longer.abs()));
                }
                (!within(more, SAME_LINE_MM * then.0))
                    .then(|| format!("its {line} runs elsewhere now, though it is as long"))
            })
            .next()
    }

    /// Whether it lies elsewhere now.
    fn is_moved(&self, now: &Self) -> bool {
        let (Some(then), Some(now)) = (self.place, now.place) else { return false };
        let turn = (then.2 - now.2 + 180.0).rem_euclid(360.0) - 180.0;
        let near = (then.0 - now.0).hypot(then.1 - now.1) <= SAME_PLACE_MM;
        !(near && turn.abs() <= SAME_TURN_DEGREES && then.3 == now.3)
    }
}

/// Whether a difference is no more than that; NaN is more than anything.
fn within(difference: f64, most: f64) -> bool {
    difference.abs() <= most
}

fn size(path: &BezPath) -> (f64, f64) {
    /// How exactly a line's length is taken, in mm.
    const EXACT_MM: f64 = 0.001;
    (path.perimeter(EXACT_MM), path.area().abs())
}

impl OpenGarment {
    /// How a copy from the cloth on the table looks and lies now; `None` for a piece that there is not.
    pub(super) fn looks(&self, piece: &PieceId, copy: u32) -> Option<AsCut> {
        self.looks_on(self.plan().on_table, piece, copy)
    }

    fn looks_on(&self, cloth: ClothKind, piece: &PieceId, copy: u32) -> Option<AsCut> {
        let found = self.evaluated().piece(piece)?;
        let seam = size(&found.altered.outline());
        let mut places = self.plan().lay_on(cloth).iter();
        let place = places.find(|place| &place.piece == piece && place.copy == copy);
        Some(AsCut {
            cutting: found.cutting_path.as_ref().map_or(seam, size),
            seam,
            place: place.map(|place| (place.at.x, place.at.y, place.turn_degrees, place.mirrored)),
        })
    }

    /// The places of the marks of the aim in use, on the surface in mm.
    pub(super) fn marks_on_surface(&self) -> Vec<(f64, f64)> {
        let aim = self.aim.good.as_ref();
        aim.map(|aim| aim.marks().iter().map(|mark| mark.surface.into()).collect()).unwrap_or_default()
    }

    /// What was changed after it was cut, or after the stands were begun in which it is cut.
    #[must_use]
    pub fn outdated(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        for done in &self.garment.progress {
            let Some((then, now)) = done.as_cut.zip(self.looks_on(done.cloth, &done.piece, done.copy)) else {
                continue;
            };
            let which = format!("“{}” {}", done.piece, done.copy);
            if let Some(how) = then.altered(&now) {
                let what = format!("{which} was cut before it was altered: {how}");
                let remedy = "take the change back (Ctrl Z), or take the tick back and cut this copy anew; what was \
                              cut no longer fits its mates";
                findings.push(Finding::new(Severity::Stop, what, remedy).on(&done.piece));
            } else if then.is_moved(&now) {
                let what = format!("{which} was moved on the cloth after it was cut there");
                let remedy = "lay it back where its hole is (Ctrl Z), so that nothing else is laid there";
                let finding = Finding::new(Severity::Warning, what, remedy);
                findings.push(finding.on(&done.piece).about(Subject::Lay));
            }
        }
        if let Some(stands) = &self.garment.stands {
            findings.extend(self.outdated_stands(stands));
        }
        findings
    }

    fn outdated_stands(&self, stands: &StandWork) -> Vec<Finding> {
        let remedy = "take the change back (Ctrl Z), or leave the stands at the stop Cut and begin them anew";
        let stop = |what: String| Finding::new(Severity::Stop, what, remedy);
        let mut findings = Vec::new();
        for (piece, copy, then) in &stands.begun {
            let now = self.looks(piece, *copy).filter(|now| now.place.is_some());
            let how = match &now {
                None => Some("lies on the cloth no more".to_owned()),
                Some(now) => then
                    .altered(now)
                    .map(|how| format!("was altered: {how}"))
                    .or_else(|| then.is_moved(now).then(|| "was moved on the cloth".to_owned())),
            };
            if let Some(how) = how {
                let what = format!(
                    "since the cutting in stands began, “{piece}” {copy} {how}; the cuts before this one don't fit"
                );
                findings.push(stop(what).on(piece));
            }
        }
        let is_begun = |piece: &PieceId, copy: u32| {
            stands.begun.iter().any(|(known, number, _)| known == piece && *number == copy)
        };
        if stands.copy.is_none() && !stands.begun.is_empty() {
            let new = self.plan().lay.iter().find(|place| !is_begun(&place.piece, place.copy));
            findings.extend(new.map(|new| {
                let (piece, copy) = (&new.piece, new.copy);
                stop(format!("“{piece}” {copy} was laid after the cutting in stands began")).on(piece)
            }));
        }
        let marks = self.marks_on_surface();
        let is_there =
            |&&(x, y): &&(f64, f64)| marks.iter().any(|mark| (mark.0 - x).hypot(mark.1 - y) <= SAME_MARK_MM);
        let known = stands.marks.iter().filter(is_there).count();
        if known < MARKS_LEAST.min(stands.marks.len()) {
            let what = "the aim has other marks than when the cutting in stands began: where the cloth lies is no \
                        longer known";
            findings.push(stop(what.to_owned()).about(Subject::Aim));
        }
        findings
    }
}
