//! Names that stand for things of a pattern. A type each, so that a corner is never taken for an edge.

use serde::{Deserialize, Serialize};
use std::fmt;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(String);

        impl $name {
            /// The name as written.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                formatter.write_str(&self.0)
            }
        }

        impl From<&str> for $name {
            fn from(name: &str) -> Self {
                Self(name.to_owned())
            }
        }

        impl From<String> for $name {
            fn from(name: String) -> Self {
                Self(name)
            }
        }
    )+};
}

ids! {
    /// A size, as printed: `88`.
    SizeId,
    /// A piece, unique in the pattern: `front`.
    PieceId,
    /// An edge, unique in its piece: `armhole`.
    EdgeId,
    /// A corner, unique in its piece: `underarm`.
    CornerId,
    /// A notch, unique in its piece.
    NotchId,
    /// A dart, unique in its piece.
    DartId,
    /// A balance line; pieces that carry the same name are lengthened together: `waist`.
    BalanceLineId,
    /// A measure, unique in the pattern: `hip`.
    MeasureId,
    /// A seam, unique in the pattern: `side`.
    SeamId,
}
