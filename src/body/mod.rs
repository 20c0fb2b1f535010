//! The person who will wear the garment.

mod measurement;
mod wearer;

pub use measurement::BodyMeasurement;
pub use wearer::Wearer;
