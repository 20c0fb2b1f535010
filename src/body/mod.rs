//! The person who will wear the garment: what was measured, the size nearest to it, the room she needs to move.

mod ease;
mod nearest;
mod wearer;

pub use crate::pattern::BodyMeasurement;
pub use ease::minimum_ease_mm;
pub use nearest::{Nearest, nearest};
pub use wearer::Wearer;
