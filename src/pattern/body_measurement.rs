//! Names of body measurements.
//!
//! The terms are those of ISO 8559-1:2017 (garment construction and anthropometric surveys: body dimensions),
//! from memory; how each is taken, the standard says. A pattern says which of them its measures are for, and a
//! wearer's are written down under the same names, so the names live here, in the lower of the two rooms.

use serde::{Deserialize, Serialize};

/// A measurement of the body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum BodyMeasurement {
    /// Around the fullest part of the bust, the tape level.
    BustGirth,
    /// Around the natural waistline.
    WaistGirth,
    /// Around the fullest part of the buttocks, the tape level.
    HipGirth,
    /// Around the chest, just under the bust.
    UnderbustGirth,
    /// Around the upper arm.
    UpperArmGirth,
    /// From the nape of the neck to the waist, down the back.
    BackWaistLength,
    /// From the side of the neck over the bust to the waist.
    FrontWaistLength,
    /// From the side of the neck to the shoulder point.
    ShoulderLength,
    /// Between the shoulder points, across the back.
    ShoulderWidth,
    /// From the waist to the hip level, at the side.
    WaistToHip,
    /// From the crown to the floor.
    Height,
}

/// Whether a measurement goes round the body or along it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BodyDirection {
    /// Round it: a pattern answers with another size, and wants ease to move in.
    Round,
    /// Along or across it: a pattern answers with a lengthened or shortened piece.
    Along,
}

impl BodyMeasurement {
    /// Whether it goes round the body or along it.
    #[must_use]
    pub const fn direction(self) -> BodyDirection {
        match self {
            Self::BustGirth
            | Self::WaistGirth
            | Self::HipGirth
            | Self::UnderbustGirth
            | Self::UpperArmGirth => BodyDirection::Round,
            Self::BackWaistLength
            | Self::FrontWaistLength
            | Self::ShoulderLength
            | Self::ShoulderWidth
            | Self::WaistToHip
            | Self::Height => BodyDirection::Along,
        }
    }

    /// The name as a tape-holder says it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::BustGirth => "bust girth",
            Self::WaistGirth => "waist girth",
            Self::HipGirth => "hip girth",
            Self::UnderbustGirth => "underbust girth",
            Self::UpperArmGirth => "upper arm girth",
            Self::BackWaistLength => "back waist length",
            Self::FrontWaistLength => "front waist length",
            Self::ShoulderLength => "shoulder length",
            Self::ShoulderWidth => "shoulder width",
            Self::WaistToHip => "waist to hip",
            Self::Height => "height",
        }
    }
}
