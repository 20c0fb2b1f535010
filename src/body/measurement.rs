//! Names of body measurements.
//!
//! The terms are those of ISO 8559-1:2017 (garment construction and anthropometric surveys: body dimensions),
//! from memory; how each is taken, the standard says.

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

impl BodyMeasurement {
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
