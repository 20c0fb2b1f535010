//! The table of fit.

use super::least_ease_mm;
use crate::alter::{Alteration, AlterationId, replay};
use crate::body::nearest;
use crate::garment::{Garment, OpenGarment};
use crate::pattern::{BodyDirection, BodyMeasurement, Measure, MeasureId, Pattern, Piece, SizeId};
use std::sync::Arc;

/// One measure of the pattern beside the body. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct FitZone {
    /// Which measure.
    pub measure: MeasureId,
    /// The body measurement that it is compared with.
    pub of: BodyMeasurement,
    /// The body; `None` where it was not measured.
    pub body_mm: Option<f64>,
    /// The pattern as altered so far; `None` where the measure can no longer be taken.
    pub pattern_mm: Option<f64>,
    /// How much larger the pattern is.
    pub ease_mm: Option<f64>,
    /// Least that it has to be larger.
    pub minimum_ease_mm: f64,
    /// The pattern as printed, in every size.
    pub by_size: Vec<InSize>,
    /// The size nearest to the body.
    pub nearest_size: Option<SizeId>,
    /// How far the body lies beyond the largest size (above 0) or below the smallest; 0 within.
    pub outside_sizes_mm: f64,
    /// The size that the pattern as altered is nearest to here.
    pub present_size: Option<SizeId>,
    /// The pattern after each step of the list that changed it.
    pub after_steps: Vec<AfterStep>,
}

/// A measure in one size as printed.
#[derive(Debug, Clone, PartialEq)]
pub struct InSize {
    /// Which size.
    pub size: SizeId,
    /// The measure in mm.
    pub pattern_mm: f64,
    /// How much larger than the wearer's body it is.
    pub difference_mm: Option<f64>,
    /// The body that the size is drafted for, where the pattern tells.
    pub drafted_for_mm: Option<f64>,
}

/// A measure after one step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AfterStep {
    /// The step.
    pub alteration: AlterationId,
    /// The measure in mm.
    pub pattern_mm: f64,
}

/// A step that changes a measure by less is left out of its history, in mm.
const CHANGED_MM: f64 = 0.05;

/// The table of fit, in the order of the pattern's measures.
#[must_use]
pub fn zones(open: &OpenGarment) -> Vec<FitZone> {
    let garment = open.garment();
    let alterations = &open.plan().alterations;
    let mut zones = zones_with(garment, alterations, &Printed::of(&garment.pattern));
    // After each step: the list is replayed up to it, since a step is only known together with those before.
    for (index, step) in alterations.iter().enumerate().filter(|(_, step)| step.on) {
        let pieces = replay(&garment.pattern, &open.plan().size, &alterations[..=index]).pieces;
        for (zone, measure) in zones.iter_mut().zip(&garment.pattern.measures) {
            let own_size = |in_size: &&InSize| in_size.size == open.plan().size;
            let before = zone.after_steps.last().map(|step| step.pattern_mm);
            let before = before.or_else(|| Some(zone.by_size.iter().find(own_size)?.pattern_mm));
            if let (Ok(pattern_mm), Some(before)) = (measure.on(&pieces), before)
                && (pattern_mm - before).abs() > CHANGED_MM
            {
                zone.after_steps.push(AfterStep { alteration: step.id, pattern_mm });
            }
        }
    }
    zones
}

/// The measures of the pattern as printed, by measure and size; the same whatever is altered.
pub(super) struct Printed(Vec<Vec<(SizeId, f64)>>);

impl Printed {
    pub(super) fn of(pattern: &Pattern) -> Self {
        let sizes = pattern.sizes.iter();
        let drawn: Vec<_> = sizes.filter_map(|size| Some((size, pattern.pieces_in(size)?))).collect();
        let measures = pattern.measures.iter().map(|measure| {
            let in_size = |(size, pieces): &(&SizeId, Vec<Arc<Piece>>)| {
                Some(((*size).clone(), measure.on(pieces).ok()?))
            };
            drawn.iter().filter_map(in_size).collect()
        });
        Self(measures.collect())
    }
}

/// The table with another list of alterations, without their history.
pub(super) fn zones_with(garment: &Garment, alterations: &[Alteration], printed: &Printed) -> Vec<FitZone> {
    let pieces = replay(&garment.pattern, &garment.plan.size, alterations).pieces;
    let measures = garment.pattern.measures.iter().zip(&printed.0);
    measures.map(|(measure, printed)| zone(garment, measure, measure.on(&pieces).ok(), printed)).collect()
}

fn zone(garment: &Garment, measure: &Measure, pattern_mm: Option<f64>, printed: &[(SizeId, f64)]) -> FitZone {
    let body = garment.plan.wearer.measurements.get(&measure.of);
    let body_mm = body.map(crate::geometry::Length::mm);
    let by_size = in_sizes(&garment.pattern, measure, printed, body_mm);
    let round = measure.of.direction() == BodyDirection::Round;
    let closest =
        body_mm.filter(|_| round).and_then(|body_mm| nearest_size(&by_size, body_mm, least_ease_mm(measure)));
    let tabled: Vec<f64> = by_size.iter().map(|in_size| in_size.pattern_mm).collect();
    let present = pattern_mm.filter(|_| round).and_then(|mm| nearest(&tabled, mm));
    let size = |index: usize| by_size.get(index).map(|in_size| in_size.size.clone());
    FitZone {
        measure: measure.id.clone(),
        of: measure.of,
        body_mm,
        pattern_mm,
        ease_mm: body_mm.and_then(|body| Some(pattern_mm? - body)),
        minimum_ease_mm: least_ease_mm(measure),
        nearest_size: closest.and_then(|closest| size(closest.index)),
        outside_sizes_mm: closest.map_or(0.0, |closest| closest.outside_mm),
        present_size: present.and_then(|present| size(present.index)),
        by_size,
        after_steps: Vec::new(),
    }
}

fn in_sizes(
    pattern: &Pattern,
    measure: &Measure,
    printed: &[(SizeId, f64)],
    body_mm: Option<f64>,
) -> Vec<InSize> {
    let in_size = |(size, pattern_mm): &(SizeId, f64)| InSize {
        size: size.clone(),
        pattern_mm: *pattern_mm,
        difference_mm: body_mm.map(|body| pattern_mm - body),
        drafted_for_mm: pattern.drafted_for_mm(size, measure.of),
    };
    printed.iter().map(in_size).collect()
}

/// The size nearest to a body: by the bodies that the sizes are drafted for, where every size tells its own, else by
/// the least ease.
fn nearest_size(by_size: &[InSize], body_mm: f64, least_ease_mm: f64) -> Option<crate::body::Nearest> {
    let drafted: Option<Vec<f64>> = by_size.iter().map(|in_size| in_size.drafted_for_mm).collect();
    let bodies = drafted.unwrap_or_else(|| {
        let fitting = by_size.iter().map(|in_size| in_size.pattern_mm - least_ease_mm);
        fitting.collect()
    });
    nearest(&bodies, body_mm)
}
