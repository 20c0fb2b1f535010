//! The rules of a lay, on the garden coat and on plain pieces made for one question each.

mod coat;
mod desk;
mod even;
mod order;
mod pass;
pub(crate) mod plain;

use chalkbeam::finding::Severity;
use chalkbeam::geometry::Point;
use chalkbeam::lay::{self, Breach, Laid, Place, Rule};

/// A place that is neither turned nor mirrored.
fn place(piece: &str, copy: u32, x: f64, y: f64) -> Place {
    Place { piece: piece.into(), copy, at: Point::new(x, y), turn_degrees: 0.0, mirrored: false }
}

/// What is said under one rule, notes left out.
fn broken(laid: &Laid<'_>, rule: Rule) -> Vec<Breach> {
    lay::breaches(laid)
        .into_iter()
        .filter(|breach| breach.rule == rule && breach.finding.severity > Severity::Note)
        .collect()
}

/// The amounts said under one rule, in mm.
fn amounts(laid: &Laid<'_>, rule: Rule) -> Vec<f64> {
    broken(laid, rule).iter().filter_map(|breach| breach.finding.amount_mm).collect()
}
