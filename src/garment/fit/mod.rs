//! The pattern against the wearer: the table of fit, and alterations to propose.
//!
//! Every measure of the pattern is one zone of the [table](zones): the body, the pattern as altered so far, the ease
//! between, and the same in every size as printed. [`proposals`] turns differences into records that the person
//! accepts one by one, as any other alteration. Both look at the altered garment, so that what was accepted is not
//! proposed again.
//!
//! **Round the body** a zone has a nearest size: the one whose drafted-for body is nearest, where the pattern tells
//! (a coat is meant to be roomier than a dress, and only the pattern knows by how much); else the one whose ease comes
//! nearest to the least. **Along the body** the wanted length is the body and as much as the pattern gives its own
//! body in that size.

mod level;
mod propose;
mod table;

pub use propose::{Proposal, proposals};
pub use table::{AfterStep, FitZone, InSize, zones};

use crate::body::minimum_ease_mm;
use crate::pattern::Measure;

/// The least ease of a measure in mm: the pattern's own word, else the general table for that part of the body, else
/// nothing.
#[must_use]
pub fn least_ease_mm(measure: &Measure) -> f64 {
    let own = measure.minimum_ease.as_ref().map(crate::geometry::Length::mm);
    own.or_else(|| minimum_ease_mm(measure.of).map(|range| *range.start())).unwrap_or(0.0)
}
