//! A record in the words of the list of alterations, and its amount.

use super::{
    Allowance, AlterDart, Blend, CornerShape, DartChange, Facing, FullBust, Hem, Lengthen, LengthenAt,
    MarginAt, Opening, OpeningPart, Pieces, Place, Record, Shoulder, ShoulderArmhole, Width,
};
use crate::geometry::Length;

/// An amount of a record that can be changed by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedAmount {
    /// What the amount is, in a few words.
    pub words: String,
    /// How much.
    pub length: Length,
}

impl Record {
    /// What is asked for, in a short sentence.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Lengthen(record) => record.words(),
            Self::Hem(record) => record.words(),
            Self::Blend(record) => record.words(),
            Self::Dart(record) => record.words(),
            Self::Shoulder(record) => record.words(),
            Self::Width(record) => record.words(),
            Self::Opening(record) => record.words(),
            Self::Allowance(record) => record.words(),
            Self::Facing(record) => record.words(),
            Self::FullBust(record) => record.words(),
        }
    }

    /// The amounts that can be changed by themselves, in a fixed order.
    #[must_use]
    pub fn amounts(&self) -> Vec<NamedAmount> {
        // The record itself says where its amounts are; a copy is read instead of changed.
        let mut copy = self.clone();
        let slots = copy.amount_slots();
        slots.into_iter().map(|(words, length)| NamedAmount { words, length: length.clone() }).collect()
    }

    /// The same record with another amount at a place of [`Record::amounts`]; a place that there is not changes
    /// nothing.
    #[must_use]
    pub fn with_amount(&self, place: usize, amount: Length) -> Self {
        let mut changed = self.clone();
        if let Some((_, slot)) = changed.amount_slots().into_iter().nth(place) {
            *slot = amount;
        }
        changed
    }

    fn amount_slots(&mut self) -> Vec<(String, &mut Length)> {
        match self {
            Self::Lengthen(record) => vec![("longer by".to_owned(), &mut record.longer_by)],
            Self::Hem(record) => record.amount_slots(),
            Self::Blend(_) => Vec::new(),
            Self::Dart(record) => record.change.amount_slots(),
            Self::Shoulder(record) => {
                let parts = record.parts.iter_mut();
                parts.map(|part| (format!("{} lower by", part.piece), &mut part.lower_by)).collect()
            }
            Self::Width(record) => vec![("let out by".to_owned(), &mut record.let_out)],
            Self::Opening(record) => {
                let parts = record.parts.iter_mut();
                parts.map(|part| (format!("{} lower by", part.piece), &mut part.lower_by)).collect()
            }
            Self::Allowance(record) => record.amount_slots(),
            Self::FullBust(record) => {
                let spread = ("wider at the bust by".to_owned(), &mut record.spread);
                let back = record
                    .withdraw
                    .as_mut()
                    .map(|back| ("point back from the bust point by".to_owned(), back));
                std::iter::once(spread).chain(back).collect()
            }
            Self::Facing(record) => {
                let width = ("width".to_owned(), &mut record.width);
                let trim = record
                    .trim
                    .as_mut()
                    .map(|trim| ("trimmed for the turn of the cloth by".to_owned(), trim));
                let others = record.other_widths.iter_mut();
                let others = others.map(|other| (format!("width along {}", other.edge), &mut other.width));
                std::iter::once(width).chain(others).chain(trim).collect()
            }
        }
    }
}

impl Allowance {
    fn words(&self) -> String {
        match self {
            Self::Garment { seam, hem } => {
                let said = [("seams", seam), ("hems", hem)].into_iter();
                let said: Vec<_> = said
                    .filter_map(|(of, width)| width.as_ref().map(|width| format!("{width} on {of}")))
                    .collect();
                format!("allowance {}", said.join(", "))
            }
            Self::Edges { piece, edges, width } => {
                let edges: Vec<_> = edges.iter().map(ToString::to_string).collect();
                format!("allowance {width} on {} of {piece}", edges.join(", "))
            }
            Self::Corner { piece, corner, shape } => {
                let shape = match shape {
                    CornerShape::Mitred => "mitred".to_owned(),
                    CornerShape::Squared { first } => format!("squared to “{first}”"),
                    CornerShape::Mirrored { turned } => format!("mirrored for “{turned}”"),
                    CornerShape::Notched => "notched".to_owned(),
                };
                format!("allowance {shape} at the corner “{corner}” of {piece}")
            }
            Self::Margin(zone) => {
                let at = match &zone.at {
                    MarginAt::Corner { corner } => format!("the corner “{corner}”"),
                    MarginAt::Mouth { dart } => format!("the mouth of the dart “{dart}”"),
                };
                format!("{} left untrimmed at {at} of {}", zone.width, zone.piece)
            }
        }
    }

    fn amount_slots(&mut self) -> Vec<(String, &mut Length)> {
        match self {
            Self::Garment { seam, hem } => {
                let seam = seam.as_mut().map(|width| ("seams".to_owned(), width));
                let hem = hem.as_mut().map(|width| ("hems".to_owned(), width));
                seam.into_iter().chain(hem).collect()
            }
            Self::Edges { width, .. } => vec![("wide".to_owned(), width)],
            Self::Corner { .. } => Vec::new(),
            Self::Margin(zone) => vec![("wide".to_owned(), &mut zone.width)],
        }
    }
}

impl FullBust {
    fn words(&self) -> String {
        format!("{} wider at the bust by {}, through the dart “{}”", self.piece, self.spread, self.dart)
    }
}

impl Facing {
    fn words(&self) -> String {
        let along: Vec<_> = self.along.iter().map(|faced| faced.piece.to_string()).collect();
        let others = self.other_widths.iter().map(|other| format!(", {} along {}", other.width, other.edge));
        let others: String = others.collect();
        format!("{} drawn again from {}, {} wide{others}", self.piece, along.join(" and "), self.width)
    }
}

impl DartChange {
    fn amount_slots(&mut self) -> Vec<(String, &mut Length)> {
        match self {
            Self::EqualiseLegs { .. } | Self::True => Vec::new(),
            Self::MoveApex { up, withdraw } => {
                vec![("up by".to_owned(), up), ("back from the bust point by".to_owned(), withdraw)]
            }
            Self::MoveMouth { by, .. } => vec![("by".to_owned(), by)],
            Self::Rotate { withdraw, .. } => vec![("back from the bust point by".to_owned(), withdraw)],
        }
    }
}

impl Place {
    fn words(&self) -> String {
        match self {
            Self::Corner { corner } => format!("“{corner}”"),
            Self::FromCorner { corner, edge, distance } => {
                format!("{distance} from “{corner}” along “{edge}”")
            }
            Self::Notch { notch } => format!("the notch “{notch}”"),
            Self::BalanceLine { line, edge } => format!("the line “{line}” on “{edge}”"),
        }
    }
}

impl Blend {
    fn words(&self) -> String {
        let (from, until) = (self.from.words(), self.until.words());
        format!("blend to size {} from {from} to {until} on {} and its mates", self.to, self.piece)
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
            Self::Only(pieces) => pieces.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
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

impl AlterDart {
    fn words(&self) -> String {
        let of = format!("the dart “{}” of {}", self.dart, self.piece);
        match &self.change {
            DartChange::EqualiseLegs { .. } => format!("legs of {of} made equal"),
            DartChange::True => format!("cap of {of} trued"),
            DartChange::MoveApex { up, withdraw } => format!("point of {of} up by {up}, back by {withdraw}"),
            DartChange::MoveMouth { toward, by } => format!("mouth of {of} towards “{toward}” by {by}"),
            DartChange::Rotate { to, .. } => format!("{of} turned to {}", to.words()),
        }
    }
}

impl Shoulder {
    fn words(&self) -> String {
        let parts: Vec<_> =
            self.parts.iter().map(|part| format!("{} by {}", part.piece, part.lower_by)).collect();
        let armhole = match self.armhole {
            ShoulderArmhole::Keep => "armhole kept",
            ShoulderArmhole::Tighten => "armhole tighter",
        };
        format!("shoulder lower, {}; {armhole}", parts.join(", "))
    }
}

impl Width {
    fn words(&self) -> String {
        let (full, nothing) = (self.full.words(), self.nothing.words());
        let also =
            self.also_nothing.as_ref().map_or_else(String::new, |place| format!(" and {}", place.words()));
        let by = &self.let_out;
        format!("{} let out by {by} at {full}, nothing at {nothing}{also}", self.piece)
    }
}

impl Opening {
    fn words(&self) -> String {
        let part = |part: &OpeningPart| {
            let edges: Vec<_> = part.edges.iter().map(ToString::to_string).collect();
            let fade = part.fade.as_ref();
            let at = fade.map_or_else(String::new, |fade| {
                format!(" at “{}”, nothing at “{}”", fade.full_at, fade.nothing_at)
            });
            format!("{} {} lower by {}{at}", part.piece, edges.join(" and "), part.lower_by)
        };
        self.parts.iter().map(part).collect::<Vec<_>>().join("; ")
    }
}

impl Hem {
    fn words(&self) -> String {
        let by = longer(&self.longer_by);
        let by = match &self.at_side {
            Some(side) => format!("{by} at the centre, {} at the side", longer(side)),
            None => by,
        };
        let angle = self.side_angle_degrees;
        let angle =
            angle.map_or_else(String::new, |degrees| format!(", meeting the side seam at {degrees}°"));
        format!("hem {by}{angle}, {}", self.pieces.words())
    }

    fn amount_slots(&mut self) -> Vec<(String, &mut Length)> {
        match &mut self.at_side {
            None => vec![("longer by".to_owned(), &mut self.longer_by)],
            Some(side) => vec![
                ("longer at the centre by".to_owned(), &mut self.longer_by),
                ("longer at the side seam by".to_owned(), side),
            ],
        }
    }
}
