//! What was asked for, as it is kept in the garment.

use super::{Allowance, AlterDart, Blend, Facing, FullBust, Hem, Lengthen, Opening, Shoulder, Width};
use crate::pattern::{Piece, PieceId};
use serde::{Deserialize, Serialize};
use std::fmt;

/// The name of an alteration, unique in its garment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct AlterationId(pub u32);

impl fmt::Display for AlterationId {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}", self.0)
    }
}

/// One alteration of the list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alteration {
    /// Its name, unique in the garment and kept for good.
    pub id: AlterationId,
    /// Whether it is applied; one that is off stays in the list.
    pub on: bool,
    /// What is asked for.
    pub record: Record,
}

/// What is asked for, one variant an alteration. Written in RON with the extension `unwrap_variant_newtypes`,
/// a record reads `Lengthen(at: BalanceLine(line: "waist"), longer_by: "21 mm")`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Record {
    /// Longer or shorter across the grain.
    Lengthen(Lengthen),
    /// The hem longer or shorter, parallel to itself.
    Hem(Hem),
    /// From one size into another along a seam.
    Blend(Blend),
    /// A dart's legs, cap, apex or place.
    Dart(AlterDart),
    /// The shoulder's slope.
    Shoulder(Shoulder),
    /// Let out or taken in along a seam.
    Width(Width),
    /// Neckline or armhole raised or lowered.
    Opening(Opening),
    /// Width and corners of the allowances.
    Allowance(Allowance),
    /// A facing drawn again.
    Facing(Facing),
    /// More room for the bust.
    FullBust(FullBust),
}

/// Which pieces an alteration is for.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Pieces {
    /// Every piece that has what the alteration changes.
    #[default]
    All,
    /// These only.
    Only(Vec<PieceId>),
}

impl Pieces {
    /// Whether `piece` is meant.
    #[must_use]
    pub fn hold(&self, piece: &Piece) -> bool {
        match self {
            Self::All => true,
            Self::Only(named) => named.contains(&piece.id),
        }
    }
}
