//! Whether the print agrees where pieces are sewn together.
//!
//! The print is compared **on the seam line**, at the place where a seam is levelled (see [`super::run`]), never at
//! the cutting line; along and across the cloth apart. Three things decide about a seam:
//!
//! - *Level* (along): the same bar across, or the same sprig, at the same height all round the body. Both pieces are
//!   compared on their centre lines at the level of the match point where a bar was centred on both, else at the
//!   match point itself; a half-drop asks for half a drop more where an odd number of columns lies between (phase:
//!   mod(p − q, repeat) = 0).
//! - *Order* (across): where both seam lines lean the same way, or lie along the grain, the order of bars goes on
//!   over the seam and the phases must be the same. Where they lean apart, as side seams do, bars meet in a chevron,
//!   and that needs a print that is its own mirror image midway between the two places. An uneven order can't; it
//!   then breaks, and is reported, not mended.
//! - *How long it holds*: beyond a closed dart, and where seam lines run at different angles, the print drifts apart;
//!   at a shoulder the tops of both pieces meet. These are computed from the seam lines and said.
//!
//! Order in which seams are looked at: centre front, centre back, side, pocket, sleeve to front, sleeve, the rest.

mod link;
mod phases;
mod say;

pub(super) use link::links;
pub(super) use phases::{Phases, centre_bands};
pub(super) use say::check;

use super::Laid;
use crate::cloth::Unlike;
use crate::geometry::Point;
use crate::pattern::{PieceId, SeamId};
use std::fmt;

/// The print agrees within this, in mm: about a pixel of light on the cloth, and less than seams are sewn to.
pub const PRINT_TOLERANCE_MM: f64 = 1.0;

/// Two places that are brought together when sewn, and how the print agrees there.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// Where.
    pub at: MatchedAt,
    /// On one copy.
    pub first: MatchEnd,
    /// On the other.
    pub second: MatchEnd,
    /// What the second lacks along the cloth to agree, in mm: moved by so much, it would. `None` where nothing
    /// repeats along the cloth, or nothing could agree.
    pub along_mm: Option<f64>,
    /// The same across the cloth.
    pub across_mm: Option<f64>,
    /// How bars go on over the seam.
    pub order: BarOrder,
    /// Where the print must fail to agree, whatever is done.
    pub failing: Vec<Failing>,
}

/// Where two places are brought together.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum MatchedAt {
    /// The centre of a piece that meets its pair there, buttoned or zipped.
    Centre(PieceId),
    /// A seam.
    Seam(SeamId),
}

/// One of two places that are brought together.
#[derive(Debug, Clone, PartialEq)]
pub struct MatchEnd {
    /// On which piece.
    pub piece: PieceId,
    /// On which copy.
    pub copy: u32,
    /// Where on the seam line, on the table, in mm.
    pub on_table: Point,
}

/// How bars along the cloth go on over a seam.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BarOrder {
    /// In the same order, as on the cloth.
    Continues,
    /// In reverse: bars meet in a chevron.
    Mirrors,
    /// Neither: the seam lines lean apart and the print has no mirror image.
    Breaks(Unlike),
}

/// Where the print must fail to agree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Failing {
    /// The tops of both pieces meet, as at a shoulder.
    TopsMeet {
        /// How far the print drifts apart along the seam, in mm.
        drift_mm: f64,
    },
    /// Both seam lines run at different angles.
    EdgesDiffer {
        /// How far the print drifts apart along the seam, in mm.
        drift_mm: f64,
    },
    /// Beyond a closed dart.
    BeyondDart {
        /// How far the print is apart there, in mm.
        drift_mm: f64,
    },
}

impl fmt::Display for MatchedAt {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Centre(piece) => write!(formatter, "the centre of “{piece}”"),
            Self::Seam(seam) => write!(formatter, "the seam “{seam}”"),
        }
    }
}

impl Match {
    /// Whether the print agrees, in all that can.
    #[must_use]
    pub fn agrees(&self) -> bool {
        let fine = |error: Option<f64>| error.is_none_or(|mm| mm.abs() <= PRINT_TOLERANCE_MM);
        fine(self.along_mm) && (matches!(self.order, BarOrder::Breaks(_)) || fine(self.across_mm))
    }

    fn tops_meet(&self) -> bool {
        self.failing.iter().any(|failing| matches!(failing, Failing::TopsMeet { .. }))
    }
}

/// All places that are brought together when sewn, those to be matched first in front; none on cloth without a
/// print.
#[must_use]
pub fn matches(laid: &Laid<'_>) -> Vec<Match> {
    let table = laid.table();
    links(&table).into_iter().map(|link| link.matched).collect()
}
