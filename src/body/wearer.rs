//! A person's measurements.

use super::BodyMeasurement;
use crate::geometry::Length;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A person and her measurements, each in the unit that was read off the tape.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wearer {
    /// What the worksheet calls her.
    #[serde(default)]
    pub name: String,
    /// What was measured.
    #[serde(default)]
    pub measurements: BTreeMap<BodyMeasurement, Length>,
}
