//! Measures of the pattern: named sums of distances over its pieces, to be compared with the body.
//!
//! A measure is taken as one takes it from paper, seam line to seam line with darts closed: across a piece at a
//! level, along the grain between two levels, along edges, straight between two points; each so many times (twice
//! for a half that is cut on a fold or as a pair), and constants for what overlaps. It is kept in names (pieces,
//! corners, notches), so that it can be taken in every size and after every alteration.
//!
//! Method: the flat-pattern measurement of handbooks (pattern seam to seam, less darts, less body, is the ease).

mod across;
mod evaluate;

pub use evaluate::MeasureError;

use super::{
    BalanceLineId, BodyMeasurement, CornerId, DartId, EdgeId, MeasureId, NotchId, PieceId, Run, SizeId,
};
use crate::geometry::Length;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;

/// One measure of the pattern.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measure {
    /// Its name, unique in the pattern.
    pub id: MeasureId,
    /// The body measurement that it is compared with.
    pub of: BodyMeasurement,
    /// Least that it must be larger than the body; below nothing for cloth that stretches. When absent, the general
    /// least for that part of the body.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minimum_ease: Option<Length>,
    /// What is added up.
    pub terms: Vec<Term>,
}

/// One part of a measure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Term {
    /// What is measured.
    pub path: MeasurePath,
    /// How many times it is there on the whole garment.
    #[serde(default = "once")]
    pub times: u32,
}

const fn once() -> u32 {
    1
}

/// What is measured for a term.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum MeasurePath {
    /// Across the grain through a piece at the level of a landmark, what darts take up there left out.
    Across {
        /// Which piece.
        piece: PieceId,
        /// Its level.
        level: Landmark,
    },
    /// Along the grain between the levels of two landmarks.
    AlongGrain {
        /// Which piece.
        piece: PieceId,
        /// One level.
        from: Landmark,
        /// The other.
        to: Landmark,
    },
    /// Along edges, dart mouths left out; all of them, or the part between two landmarks on them.
    Along {
        /// The edges.
        run: Run,
        /// Where the part begins; the run's beginning when absent.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        from: Option<Landmark>,
        /// Where it ends; the run's end when absent.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        to: Option<Landmark>,
    },
    /// Straight from one landmark to another.
    Straight {
        /// Which piece.
        piece: PieceId,
        /// One end.
        from: Landmark,
        /// The other.
        to: Landmark,
    },
    /// A fixed amount: below nothing for an overlap.
    Constant(Length),
}

/// A point of a piece that stands for the same thing in every size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Landmark {
    /// A corner.
    Corner(CornerId),
    /// A notch.
    Notch(NotchId),
    /// The apex of a dart.
    Apex(DartId),
    /// The middle of a balance line; a level only.
    BalanceLine(BalanceLineId),
    /// A distance along an edge from one of its corners.
    FromCorner {
        /// The corner.
        corner: CornerId,
        /// The edge.
        edge: EdgeId,
        /// How far.
        distance: Length,
    },
}

/// The body that a size is drafted for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SizeBody {
    /// Which size.
    pub size: SizeId,
    /// Its measurements, as the pattern's table gives them.
    pub measurements: BTreeMap<BodyMeasurement, Length>,
}

impl MeasurePath {
    /// The piece that it is measured on; none for a constant.
    #[must_use]
    pub const fn piece(&self) -> Option<&PieceId> {
        match self {
            Self::Across { piece, .. } | Self::AlongGrain { piece, .. } | Self::Straight { piece, .. } => {
                Some(piece)
            }
            Self::Along { run, .. } => Some(&run.piece),
            Self::Constant(_) => None,
        }
    }

    /// The landmarks that it goes by.
    #[must_use]
    pub fn landmarks(&self) -> Vec<&Landmark> {
        match self {
            Self::Across { level, .. } => vec![level],
            Self::AlongGrain { from, to, .. } | Self::Straight { from, to, .. } => vec![from, to],
            Self::Along { from, to, .. } => from.iter().chain(to).collect(),
            Self::Constant(_) => Vec::new(),
        }
    }
}

impl fmt::Display for Landmark {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Corner(id) => write!(formatter, "the corner “{id}”"),
            Self::Notch(id) => write!(formatter, "the notch “{id}”"),
            Self::Apex(id) => write!(formatter, "the apex of the dart “{id}”"),
            Self::BalanceLine(id) => write!(formatter, "the line “{id}”"),
            Self::FromCorner { corner, edge, distance } => {
                write!(formatter, "{distance} from “{corner}” along “{edge}”")
            }
        }
    }
}
