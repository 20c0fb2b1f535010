//! A record in the words of the list of alterations, and its amount.

use super::{Blend, Hem, Lengthen, LengthenAt, Pieces, Place, Record};
use crate::geometry::Length;

impl Record {
    /// What is asked for, in a short sentence.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Lengthen(lengthen) => lengthen.words(),
            Self::Hem(hem) => hem.words(),
            Self::Blend(blend) => blend.words(),
        }
    }

    /// The amount that can be changed by itself, where the record has one.
    #[must_use]
    pub const fn amount(&self) -> Option<&Length> {
        match self {
            Self::Lengthen(lengthen) => Some(&lengthen.longer_by),
            Self::Hem(hem) => Some(&hem.longer_by),
            Self::Blend(_) => None,
        }
    }

    /// The same record with another amount; one without an amount comes back as it was.
    #[must_use]
    pub fn with_amount(&self, amount: Length) -> Self {
        match self.clone() {
            Self::Lengthen(record) => Self::Lengthen(Lengthen {
                longer_by: amount,
                ..record
            }),
            Self::Hem(record) => Self::Hem(Hem {
                longer_by: amount,
                ..record
            }),
            Self::Blend(record) => Self::Blend(record),
        }
    }
}

impl Place {
    fn words(&self) -> String {
        match self {
            Self::Corner { corner } => format!("“{corner}”"),
            Self::FromCorner {
                corner,
                edge,
                distance,
            } => format!("{distance} from “{corner}” along “{edge}”"),
            Self::Notch { notch } => format!("the notch “{notch}”"),
            Self::BalanceLine { line, edge } => format!("the line “{line}” on “{edge}”"),
        }
    }
}

impl Blend {
    fn words(&self) -> String {
        let (from, until) = (self.from.words(), self.until.words());
        format!(
            "blend to size {} from {from} to {until} on {} and its mates",
            self.to, self.piece
        )
    }
}

/// `longer by 21 mm`, `shorter by 80 mm`.
fn longer(by: &Length) -> String {
    match by.to_string().strip_prefix(['-', '−']) {
        Some(amount) => format!("shorter by {}", amount.trim_start()),
        None => format!("longer by {by}"),
    }
}

impl Pieces {
    fn words(&self) -> String {
        match self {
            Self::All => "all pieces".to_owned(),
            Self::Only(pieces) => pieces
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join(", "),
        }
    }
}

impl Lengthen {
    fn words(&self) -> String {
        let by = longer(&self.longer_by);
        match &self.at {
            LengthenAt::BalanceLine { line, .. } => format!("{by} at the line “{line}”"),
            LengthenAt::LowerEdge { pieces } => format!("{by} at the lower edge, {}", pieces.words()),
        }
    }
}

impl Hem {
    fn words(&self) -> String {
        format!("hem {}, {}", longer(&self.longer_by), self.pieces.words())
    }
}
