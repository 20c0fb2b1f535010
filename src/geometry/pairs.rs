//! Lists of points in files: `[(0.0, 1.0), (2.5, 3.0)]`. For `#[serde(with = "pairs")]`.

use super::Point;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// Writes points as pairs.
///
/// # Errors
/// What the serializer says.
pub fn serialize<S: Serializer>(points: &[Point], serializer: S) -> Result<S::Ok, S::Error> {
    let pairs: Vec<(f64, f64)> = points.iter().map(|point| (point.x, point.y)).collect();
    pairs.serialize(serializer)
}

/// Reads points from pairs.
///
/// # Errors
/// What the deserializer says.
pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<Point>, D::Error> {
    <Vec<(f64, f64)>>::deserialize(deserializer).map(|pairs| pairs.into_iter().map(Point::from).collect())
}
