//! Lengthen or shorten across the grain.
//!
//! **At a balance line**, in every piece that carries it. With q the signed distance from the line in the
//! direction of the grain (up is positive), everything below moves down the grain by d·σ(u), with
//! u = (b − q)/2b clamped to 0..1 and σ = 3u² − 2u³. Above the band (q ≥ b) nothing moves, below it (q ≤ −b)
//! all moves by d; between, the seam takes an S-curve without a kink, since σ′ is 0 at both ends. As every piece
//! has the same band, mates stay alike point by point.
//!
//! The map turns q into q − d·σ, with the derivative 1 + 3d·u(1 − u)/b, least at the line (u = ½): when
//! shortening, 1 − ¾·|d|/b. It stays positive, and the seam does not fold back on itself, as long as
//! **b > ¾·|d|**.
//!
//! Seams are broken exactly where they enter and leave the band, so that outside it they are moved and not
//! refitted. A straight stretch along the grain (a fold, a front edge) stays one straight line. Notches keep
//! their place on the cloth. Marks inside move without changing their shape, by the shift at their place; only
//! a marked line that goes through the whole band is stretched with it (a button line), and a trace follows
//! its outline. A dart in the band would be bent: that is refused. A dart that goes across the line, its apex on one
//! side and its mouth beyond the band on the other, can be drawn again ([`DartsAcross`]): the apex stays, the mouth
//! moves.
//!
//! **At the lower edge** the hem moves along the grain as it is, and the seams beside it are carried on straight,
//! or cut. (For a hem that curves as a circle's does, the parallel change of [`super::Hem`] is the right one:
//! along the grain a hem that slopes by β is moved by only d·cos β across its own line.)
//!
//! Method: the slash-and-spread of handbooks (cut along the line, spread by d, redraw the seam smoothly), with
//! the smooth redrawing written as a formula.

mod spread;

use super::draft::{Change, Draft};
use super::hem::{self, HemShift};
use super::{AlterError, Amount, Figure, Pieces};
use crate::geometry::Length;
use crate::pattern::{BalanceLineId, EdgeRole};
use serde::{Deserialize, Serialize};
use spread::Spread;

/// Half of the band over which a lengthening is spread when the record names none, in mm: the change of
/// direction of a side seam is then too gentle to see.
pub(super) const HALF_BAND_MM: f64 = 50.0;

/// Longer or shorter across the grain.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lengthen {
    /// Where the length is put in or taken out.
    pub at: LengthenAt,
    /// How much longer; negative is shorter.
    pub longer_by: Length,
}

/// Where length is put in or taken out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum LengthenAt {
    /// At a line across the grain, in all pieces that carry its name.
    BalanceLine {
        /// The line.
        line: BalanceLineId,
        /// How far the change is spread on each side of the line; 50 mm when absent.
        #[serde(default)]
        half_band: Option<Length>,
        /// What becomes of a dart whose apex and mouth lie on different sides of the line.
        #[serde(default)]
        darts: DartsAcross,
    },
    /// At the hem, along the grain.
    LowerEdge {
        /// Which pieces; all that have a hem when absent.
        #[serde(default)]
        pieces: Pieces,
    },
}

/// What becomes of a dart that goes across the line, from an apex on one side to a mouth on the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum DartsAcross {
    /// The lengthening is refused.
    #[default]
    Refuse,
    /// The dart is drawn again with the same mouth: seams keep their length, the angle changes.
    KeepMouth,
    /// The dart is drawn again with the same angle: the mouth and the seam beside it change.
    KeepAngle,
}

impl Lengthen {
    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let by = self.longer_by.mm();
        match &self.at {
            LengthenAt::BalanceLine { line, half_band, darts } => {
                let half_band = half_band.as_ref().map_or(HALF_BAND_MM, Length::mm);
                at_balance_line(draft, line, by, half_band, *darts)
            }
            LengthenAt::LowerEdge { pieces } => {
                hem::move_hems(draft, pieces, |piece| Ok(HemShift::Along(-by * piece.grainline.direction())))
            }
        }
    }
}

fn at_balance_line(
    draft: &Draft<'_>,
    id: &BalanceLineId,
    by: f64,
    half_band: f64,
    darts: DartsAcross,
) -> Result<Change, AlterError> {
    if half_band.is_nan() || half_band <= 0.0 {
        return Err(AlterError::NotPositive {
            what: "the spread on each side of the line",
            given_mm: half_band,
        });
    }
    let smallest_mm = -0.75 * by;
    if half_band <= smallest_mm {
        return Err(AlterError::BandTooNarrow {
            line: id.clone(),
            shorter_by_mm: -by,
            half_band_mm: half_band,
            smallest_mm,
        });
    }
    let mut change = Change::default();
    let mut carried = false;
    for piece in draft.pieces {
        let Some(line) = piece.balance_lines.iter().find(|line| &line.id == id) else {
            continue;
        };
        carried = true;
        if by == 0.0 {
            continue;
        }
        let spread = Spread::new(piece, line, by, half_band)?;
        let longer = spread.piece(piece, darts, &mut change.figures)?;
        for (old, new) in piece.edges.iter().zip(&longer.edges) {
            if old.role == EdgeRole::Fold && old.curve != new.curve {
                change.figures.push(Figure {
                    name: "length at the fold",
                    piece: Some(piece.id.clone()),
                    before: Some(Amount::Mm(old.curve.length())),
                    after: Amount::Mm(new.curve.length()),
                });
            }
        }
        change.pieces.push(longer);
    }
    if carried { Ok(change) } else { Err(AlterError::UnknownBalanceLine { line: id.clone() }) }
}
