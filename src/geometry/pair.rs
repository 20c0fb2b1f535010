//! Points in files: `(12.5, 40.0)`, not `(x: 12.5, y: 40.0)`. For `#[serde(with = "pair")]`.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// Writes a point or a vector as a pair.
///
/// # Errors
/// What the serializer says.
pub fn serialize<T: Copy + Into<(f64, f64)>, S: Serializer>(
    value: &T,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    let pair: (f64, f64) = (*value).into();
    pair.serialize(serializer)
}

/// Reads a point or a vector from a pair.
///
/// # Errors
/// What the deserializer says.
pub fn deserialize<'de, T: From<(f64, f64)>, D: Deserializer<'de>>(deserializer: D) -> Result<T, D::Error> {
    <(f64, f64)>::deserialize(deserializer).map(T::from)
}

/// The same for two of them.
pub mod two {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    /// Writes two points or vectors as pairs.
    ///
    /// # Errors
    /// What the serializer says.
    pub fn serialize<T: Copy + Into<(f64, f64)>, S: Serializer>(
        value: &[T; 2],
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        let pairs: [(f64, f64); 2] = value.map(Into::into);
        pairs.serialize(serializer)
    }

    /// Reads two points or vectors from pairs.
    ///
    /// # Errors
    /// What the deserializer says.
    pub fn deserialize<'de, T: From<(f64, f64)>, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<[T; 2], D::Error> {
        <[(f64, f64); 2]>::deserialize(deserializer).map(|pairs| pairs.map(T::from))
    }
}
