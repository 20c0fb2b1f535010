//! Why a hem cannot be drawn from centre to side.

use crate::pattern::{EdgeId, PieceId};

/// Why a hem cannot be drawn from centre to side.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum HemSideError {
    /// It cannot be told where a hem's centre is, and where its side.
    #[error(
        "the hem of piece “{piece}” does not run from a centre to one side seam; name the side seams, give one amount for the whole hem, or alter the other pieces alone"
    )]
    NoCentreAndSide {
        /// Which piece.
        piece: PieceId,
    },
    /// A hem that can't be turned up at its end.
    #[error(
        "a hem that meets its side seam at {given_degrees:.0}° cannot be turned up; give 45° to 135°, 90° is square"
    )]
    Angle {
        /// The angle asked for, in degrees.
        given_degrees: f64,
    },
    /// A hem cannot be brought to the side seam as asked.
    #[error(
        "the hem “{hem}” of piece “{piece}”, moved by {by_mm:.1} mm at its end, does not meet “{side}” as asked; use a smaller amount or an angle nearer to what the pattern has"
    )]
    MissesSide {
        /// Which piece.
        piece: PieceId,
        /// Which edge is the hem.
        hem: EdgeId,
        /// Which edge it shall meet.
        side: EdgeId,
        /// The change at the end, in mm.
        by_mm: f64,
    },
}
