//! The least room that a woven garment needs beside the body.
//!
//! Source: the table “minimum ease” of a textbook on making costumes (Central Washington University, chapters 16
//! and 17), in inches: bust 1½ to 2, waist of a dress ¾ to 1 (of a skirt ½ to ¾), hip 2 to 2¾. It holds for woven
//! cloth without stretch; ease that the style asks for comes on top.

use super::BodyMeasurement;
use std::ops::RangeInclusive;

/// Millimetres in an inch.
const INCH_MM: f64 = 25.4;

/// Least room in mm, from the tightest that is still worn to what the table would rather give; `None` where the
/// table says nothing. For the waist it is that of a dress.
#[must_use]
pub fn minimum_ease_mm(of: BodyMeasurement) -> Option<RangeInclusive<f64>> {
    let inches = |least: f64, most: f64| Some(least * INCH_MM..=most * INCH_MM);
    match of {
        BodyMeasurement::BustGirth => inches(1.5, 2.0),
        BodyMeasurement::WaistGirth => inches(0.75, 1.0),
        BodyMeasurement::HipGirth => inches(2.0, 2.75),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_in_millimetres() {
        let least = |of| minimum_ease_mm(of).map(|range| (range.start() * 100.0).round() / 100.0);
        assert_eq!(least(BodyMeasurement::BustGirth), Some(38.1));
        assert_eq!(least(BodyMeasurement::WaistGirth), Some(19.05));
        assert_eq!(least(BodyMeasurement::HipGirth), Some(50.8));
        assert_eq!(least(BodyMeasurement::BackWaistLength), None);
    }
}
