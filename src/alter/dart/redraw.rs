//! A dart after its apex and its mouth have moved apart: a French dart whose waist was lengthened or shortened.
//!
//! The apex stays with the bust and the mouth with the waist, so the legs are drawn again, made equal and trued
//! if they were. Keeping the **mouth** keeps the seam lengths and changes the angle; keeping the **angle** makes the
//! mouth 2ℓ·sin(θ/2) for legs of ℓ and changes the length of the seam beside it, which the report tells.

use super::{Wedge, dart_named, equalise, true_cap};
use crate::alter::AlterError;
use crate::geometry::{Affine, Curve};
use crate::pattern::{DartId, Piece};

/// Draws a dart again after a shift; `angle` is what its (signed) angle shall be, or nothing to keep the mouth.
pub(in crate::alter) fn redrawn(
    piece: &mut Piece,
    dart: &DartId,
    angle: Option<f64>,
    trued: bool,
) -> Result<(), AlterError> {
    equalise(piece, dart, None)?;
    if let Some(angle) = angle {
        let wedge = Wedge::of(piece, dart_named(piece, dart)?)?;
        let count = piece.edges.len();
        let [first, second] = wedge.ends;
        let turned = |by: f64| Affine::rotate_about(by, wedge.apex);
        let side = if wedge.pressed_to_first { wedge.mouth + 1 } else { wedge.mouth + count - 1 } % count;
        let seam = piece.edges[side].curve.clone();
        if wedge.pressed_to_first {
            let end = turned(angle) * first;
            piece.edges[side].curve = seam.with_ends(end, seam.end());
            piece.edges[wedge.mouth].curve = Curve::line(first, end);
        } else {
            let start = turned(-angle) * second;
            piece.edges[side].curve = seam.with_ends(seam.start(), start);
            piece.edges[wedge.mouth].curve = Curve::line(start, second);
        }
    }
    if trued { true_cap(piece, dart) } else { Ok(()) }
}
