//! What is said of a lay that was found, and what is tried where the cloth is too short for it.

use super::LayProblem;
use crate::cloth::{Cloth, Plies};
use crate::finding::{Finding, Severity};
use crate::lay::search::{
    Bound, Change, Outcome, Problem, Relief, SearchError, Settings, changes, tried, tried_all,
};
use crate::lay::{LayRules, Parts, Place};
use crate::pattern::PieceId;
use std::sync::atomic::AtomicBool;

/// A lay that was found, in numbers that are said.
#[derive(Debug, Clone, PartialEq)]
pub struct LayAnswer {
    /// What the cloth is called.
    pub cloth: String,
    /// Its usable width, in mm, folded or not.
    pub width_mm: f64,
    /// How far along the cloth the pieces reach, in mm.
    pub used_mm: f64,
    /// Length at hand, in mm; `None` where only the need was asked.
    pub at_hand_mm: Option<f64>,
    /// What no lay can go below.
    pub bound: Bound,
    /// Whether this is proved to be the shortest lay.
    pub shortest: bool,
    /// Share of the used cloth that is pieces.
    pub density: f64,
    /// By how much the length at hand falls short, in mm.
    pub short_mm: Option<f64>,
    /// What was tried to make it shorter, the most helpful first.
    pub reliefs: Vec<Relief>,
}

impl LayAnswer {
    /// What is to be said of an outcome of the search.
    #[must_use]
    pub fn of(cloth: &Cloth, problem: &Problem, outcome: &Outcome, reliefs: &[Relief]) -> Self {
        Self {
            cloth: cloth.name.clone(),
            width_mm: cloth.width.mm(),
            used_mm: outcome.used_mm,
            at_hand_mm: problem.length,
            bound: outcome.bound,
            shortest: outcome.proved,
            density: outcome.density,
            short_mm: outcome.short_by(problem),
            reliefs: reliefs.to_vec(),
        }
    }

    /// How much is used, what is left or lacking, how good that is, and what would help.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        let mut sentences = Vec::new();
        sentences.push(match (self.short_mm, self.at_hand_mm) {
            (Some(short), Some(at_hand)) => format!(
                "{:.0} mm are needed, {at_hand:.0} mm are at hand: {:.0} mm short.",
                self.used_mm.ceil(),
                short.ceil()
            ),
            (_, Some(at_hand)) => format!(
                "{:.0} mm of {at_hand:.0} mm are used: {:.0} mm to spare.",
                self.used_mm.ceil(),
                (at_hand - self.used_mm).max(0.0).floor()
            ),
            (_, None) => format!("{:.0} mm are needed.", self.used_mm.ceil()),
        });
        sentences.push(if self.shortest {
            format!("It is the shortest lay there is ({}).", self.bound.kind.words())
        } else {
            format!(
                "No lay can be shorter than {:.0} mm ({}).",
                self.bound.mm.floor(),
                self.bound.kind.words()
            )
        });
        sentences.push(format!("{:.0} % of the used cloth is pieces.", 100.0 * self.density));
        for relief in &self.reliefs {
            let enough = match self.at_hand_mm {
                Some(at_hand) if relief.used_mm <= at_hand => ", and that is enough",
                Some(_) => ", still too much",
                None => "",
            };
            sentences.push(format!(
                "Tried: {} needs {:.0} mm, {:.0} mm less{enough}.",
                relief.what,
                relief.used_mm.ceil(),
                relief.saves_mm.floor()
            ));
        }
        sentences
    }

    /// The need in one sentence, for cloth of another width or kind.
    #[must_use]
    pub fn need(&self) -> String {
        format!(
            "Of “{}” {:.0} mm wide, {:.0} mm ({:.2} m) are needed.",
            self.cloth,
            self.width_mm,
            self.used_mm.ceil(),
            (0.1 * self.used_mm).ceil() / 100.0
        )
    }

    /// The finding that the cloth is too short, with what would help; `None` where it is not.
    #[must_use]
    pub fn too_short(&self) -> Option<Finding> {
        let short = self.short_mm?;
        let tried = self.reliefs.iter().map(|relief| {
            format!("{} would need {:.0} mm ({:.0} mm less)", relief.what, relief.used_mm, relief.saves_mm)
        });
        let mut remedies = vec![format!("{:.0} mm of cloth", self.used_mm.ceil())];
        remedies.extend(tried);
        let what = format!(
            "“{}” is {short:.1} mm short: the shortest lay found needs {:.1} mm, {:.1} mm are at hand",
            self.cloth,
            self.used_mm,
            self.used_mm - short
        );
        Some(Finding::new(Severity::Stop, what, remedies.join("; or ")).by_mm(short))
    }
}

/// What would make a lay shorter, each tried by a search: one rule let go at a time, a piece in two parts, cloth joined
/// on, a narrower hem, and cloth that is folded laid flat instead. All searches together have the given time. The most
/// helpful first; what saves nothing is left out.
///
/// # Errors
/// [`SearchError::Nothing`] when there is nothing to lay.
pub fn reliefs(
    (cloth, parts, rules, keep): (&Cloth, &Parts, &LayRules, &[Place]),
    problem: &Problem,
    outcome: &Outcome,
    settings: &Settings,
    stop: &AtomicBool,
) -> Result<Vec<Relief>, SearchError> {
    if outcome.places.is_empty() {
        return Err(SearchError::Nothing);
    }
    let mut changes = changes(problem, outcome);
    if cloth.fold().is_some() {
        let flat = Cloth { plies: Plies::Flat, ..cloth.clone() };
        // Laid flat the pieces may not fit, or be no problem at all: then it is no help.
        if let Ok(made) = LayProblem::of(&flat, parts, rules, keep) {
            changes.push(Change::new("the cloth laid flat, in a single ply,", made.problem));
        }
    }
    let widest = parts.widest_hem_mm();
    let has_hems = widest > NARROWEST_HEM_MM + 1.0;
    let each = settings.shared_by(changes.len() + if has_hems { HEM_TRIES } else { 0 });
    let mut reliefs = tried_all(&changes, outcome, &each, stop);
    if has_hems {
        let narrowed = |hem: f64| {
            let stays = |piece: &PieceId| keep.iter().any(|place| place.piece == *piece);
            let made = LayProblem::of(cloth, &parts.with_hems(hem, stays)?, rules, keep).ok()?;
            let what = format!("a hem of {hem:.0} mm instead of {widest:.0} mm");
            tried(&Change::new(what, made.problem), outcome, &each, stop)
        };
        reliefs.extend(narrower_hem(problem.length, widest, narrowed));
    }
    reliefs.sort_by(|a, b| b.saves_mm.total_cmp(&a.saves_mm));
    Ok(reliefs)
}

/// The widest hem with which the length at hand is enough, or else the narrowest that can be turned up.
fn narrower_hem(
    at_hand: Option<f64>,
    widest: f64,
    narrowed: impl Fn(f64) -> Option<Relief>,
) -> Option<Relief> {
    let is_enough = |relief: &Relief| at_hand.is_some_and(|at_hand| relief.used_mm <= at_hand);
    let mut best = narrowed(NARROWEST_HEM_MM)?;
    if !is_enough(&best) {
        return Some(best);
    }
    let (mut low, mut high) = (NARROWEST_HEM_MM, widest);
    for _ in 1..HEM_TRIES {
        let middle = (0.5 * (low + high)).floor();
        if middle <= low {
            break;
        }
        match narrowed(middle).filter(is_enough) {
            Some(relief) => {
                best = relief;
                low = middle;
            }
            None => high = middle,
        }
    }
    Some(best)
}

/// The narrowest hem that can be turned up and stitched, in mm (common practice: a narrow hem of 10 mm).
const NARROWEST_HEM_MM: f64 = 10.0;

/// Searches for the widest hem that is narrow enough.
const HEM_TRIES: usize = 5;

#[cfg(test)]
mod tests {
    use super::*;

    /// A lay that is a millimetre shorter for each of the hem: 17 mm must be saved, so that 23 of 40 mm are left.
    #[test]
    fn the_widest_hem_that_is_narrow_enough_is_found() {
        let narrowed = |hem: f64| {
            let used_mm = 2000.0 - (40.0 - hem);
            Some(Relief { what: format!("{hem:.0}"), used_mm, saves_mm: 2000.0 - used_mm })
        };
        let found = narrower_hem(Some(1983.0), 40.0, narrowed).unwrap();
        assert!((21.0..=23.0).contains(&(found.used_mm - 1960.0)), "{found:?}");
        assert_eq!(narrower_hem(Some(1000.0), 40.0, narrowed).unwrap().what, "10");
        assert_eq!(narrower_hem(Some(1983.0), 40.0, |_| None), None);
    }
}
