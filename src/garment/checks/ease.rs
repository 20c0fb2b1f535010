//! Room to move: the pattern as altered against the wearer.

use super::Looked;
use crate::finding::{Finding, Severity};
use crate::garment::Found;
use crate::garment::fit::least_ease_mm;
use crate::pattern::BodyDirection;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let garment = looked.garment;
    let mut findings = Vec::new();
    for measure in &garment.pattern.measures {
        let taken = match measure.on(&looked.replay.pieces) {
            Ok(taken) => taken,
            Err(error) => {
                let what = format!("the measure “{}” can no longer be taken: {error}", measure.id);
                let remedy = "compare that part with the body by hand";
                findings.push(Finding::new(Severity::Note, what, remedy).into());
                continue;
            }
        };
        let Some(body) = garment.plan.wearer.measurements.get(&measure.of) else {
            continue;
        };
        if measure.of.direction() == BodyDirection::Along {
            continue;
        }
        let (ease, least) = (taken - body.mm(), least_ease_mm(measure));
        if ease < least {
            let words = measure.of.words();
            let what =
                format!("{words}: {ease:.0} mm of ease, and at least {least:.0} mm are needed to move in");
            let remedy = format!("compare the {words} with the sizes and blend to a larger one");
            findings.push(Finding::new(Severity::Warning, what, remedy).by_mm(ease - least).into());
        }
    }
    findings
}
