//! A record in the words of the list of alterations.

use super::{Hem, Lengthen, LengthenAt, Pieces, Record};
use crate::geometry::Length;

impl Record {
    /// What is asked for, in a short sentence.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Lengthen(lengthen) => lengthen.words(),
            Self::Hem(hem) => hem.words(),
        }
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
