//! What the cloth has been through: shrinking, straightening, faults in the weave; and what it costs.

use crate::geometry::{Length, Point, pairs};
use serde::{Deserialize, Serialize};

/// How much the cloth shrinks, from a washed swatch, and whether it has been done.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Shrinkage {
    /// Shrinks along the cloth by this many per cent of its length.
    pub along_percent: f64,
    /// Shrinks across the cloth by this many per cent of its width.
    pub across_percent: f64,
    /// Whether it has been shrunk as it will be laundered (or is known not to shrink). Width and length at hand
    /// are then those after shrinking.
    pub pre_shrunk: bool,
}

impl Shrinkage {
    /// Length to buy so that `needed_mm` are left after shrinking: needed ÷ (1 − shrinkage). `None` where nothing
    /// would be left.
    #[must_use]
    pub fn length_to_buy_mm(&self, needed_mm: f64) -> Option<f64> {
        let left = 1.0 - self.along_percent / 100.0;
        (left > 0.0).then(|| needed_mm / left)
    }

    /// What is left of a length after shrinking, in mm.
    #[must_use]
    pub fn length_left_mm(&self, length_mm: f64) -> f64 {
        length_mm * (1.0 - self.along_percent / 100.0)
    }

    /// What is left of a width after shrinking, in mm.
    #[must_use]
    pub fn width_left_mm(&self, width_mm: f64) -> f64 {
        width_mm * (1.0 - self.across_percent / 100.0)
    }
}

/// How far the weft runs off square, from two numbers: a pulled thread, or a woven bar, followed from one selvedge
/// to the other. Never from a printed line, which says nothing about the weave (leaflet 4.204, *Straightening the
/// Fabric Grain*).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shear {
    /// How far along the cloth the thread arrives from square.
    pub off: Length,
    /// Over which width it was followed.
    pub over: Length,
}

/// Shear above which the cloth should be straightened before it is cut, in per cent: 14 mm over 1400. From memory.
pub const MOST_SHEAR_PERCENT: f64 = 1.0;

impl Shear {
    /// Off square, in per cent of the width; `None` where no width was measured.
    #[must_use]
    pub fn percent(&self) -> Option<f64> {
        (self.over.mm() > 0.0).then(|| 100.0 * self.off.mm() / self.over.mm())
    }
}

/// A fault in the cloth that pieces keep off: a hole, a stain, a pulled thread.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Flaw {
    /// What it is.
    pub what: String,
    /// Its corners on the sheet, in mm, in order.
    #[serde(with = "pairs")]
    pub outline: Vec<Point>,
}

/// An amount of money.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cost {
    /// How much.
    pub amount: f64,
    /// In which currency: an ISO 4217 code, or what she calls it.
    pub currency: String,
}

impl Cost {
    /// The cost of a length at this much a metre.
    #[must_use]
    pub fn of_length(&self, length_mm: f64) -> Self {
        Self { amount: self.amount * length_mm / 1000.0, currency: self.currency.clone() }
    }
}

impl std::fmt::Display for Cost {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "{:.2} {}", self.amount, self.currency)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_bought_leaves_what_is_needed() {
        let shrinkage = Shrinkage { along_percent: 4.0, across_percent: 2.0, pre_shrunk: false };
        let bought = shrinkage.length_to_buy_mm(2400.0).unwrap();
        assert!((bought - 2500.0).abs() < 1e-9);
        assert!((shrinkage.length_left_mm(bought) - 2400.0).abs() < 1e-9);
        assert!((shrinkage.width_left_mm(1400.0) - 1372.0).abs() < 1e-9);
        let all = Shrinkage { along_percent: 100.0, ..shrinkage };
        assert_eq!(all.length_to_buy_mm(1.0), None);
    }

    #[test]
    fn fourteen_millimetres_over_fourteen_hundred_are_one_per_cent() {
        let shear = Shear { off: "14 mm".parse().unwrap(), over: "1.4 cm".parse().unwrap() };
        assert_eq!(shear.percent(), Some(100.0));
        let shear = Shear { over: "140 cm".parse().unwrap(), ..shear };
        assert!((shear.percent().unwrap() - MOST_SHEAR_PERCENT).abs() < 1e-12);
    }

    #[test]
    fn two_metres_and_a_half_cost_as_much_and_a_half() {
        let cost = Cost { amount: 18.5, currency: "EUR".to_owned() };
        assert_eq!(cost.of_length(2500.0).to_string(), "46.25 EUR");
    }
}
