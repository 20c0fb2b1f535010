//! What is said of a lay that was found, and what is tried where the cloth is too short for it.

use super::LayProblem;
use crate::cloth::{Cloth, Plies};
use crate::finding::{Finding, Severity};
use crate::lay::search::{Bound, Outcome, Problem, Relief, SearchError, Settings, relief, search};
use crate::lay::{LayRules, Parts, Place};
use std::sync::atomic::AtomicBool;

/// Saving less is no help, in mm.
const LEAST_SAVING_MM: f64 = 1.0;

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

/// What would make a lay shorter, each tried with the given settings: one rule let go at a time, and cloth that is
/// folded laid flat instead. The most helpful first; what saves nothing is left out.
///
/// # Errors
/// [`SearchError`] as from [`relief`].
pub fn reliefs(
    (cloth, parts, rules, keep): (&Cloth, &Parts, &LayRules, &[Place]),
    problem: &Problem,
    outcome: &Outcome,
    settings: &Settings,
    stop: &AtomicBool,
) -> Result<Vec<Relief>, SearchError> {
    let mut reliefs = relief(problem, outcome, settings, stop)?;
    if cloth.fold().is_some() {
        let flat = Cloth { plies: Plies::Flat, ..cloth.clone() };
        // Laid flat the pieces may not fit, or be no problem at all: then it is no help.
        let found = LayProblem::of(&flat, parts, rules, keep)
            .ok()
            .and_then(|made| search(&made.problem, settings, stop, &|_outcome| {}).ok());
        if let Some(used_mm) = found.map(|found| found.used_mm) {
            let saves_mm = outcome.used_mm - used_mm;
            if saves_mm > LEAST_SAVING_MM {
                reliefs.push(Relief { what: "the cloth laid flat, in a single ply", used_mm, saves_mm });
            }
        }
    }
    reliefs.sort_by(|a, b| b.saves_mm.total_cmp(&a.saves_mm));
    Ok(reliefs)
}
