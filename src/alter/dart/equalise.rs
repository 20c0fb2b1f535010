//! Legs of one length.

use super::{Wedge, dart_named};
use crate::alter::AlterError;
use crate::geometry::{Curve, crossings};
use crate::pattern::{CornerId, DartId, Piece};

/// Legs that differ by no more than this count as equal, in mm (trade tolerance for a dart).
const EQUAL_LEGS_MM: f64 = 0.5;

/// How far an end of the mouth may slide, in mm.
const SLIDE_MM: f64 = 60.0;

/// Whether the legs are equal as a dressmaker measures.
pub(in crate::alter) fn equal_legs(wedge: &Wedge) -> bool {
    let [first, second] = wedge.legs();
    (first - second).abs() <= EQUAL_LEGS_MM
}

/// Slides one end of the mouth along the seam beside it until its leg is as long as the other; the mouth is
/// straight afterwards.
pub(in crate::alter) fn equalise(
    piece: &mut Piece,
    dart: &DartId,
    slide: Option<&CornerId>,
) -> Result<(), AlterError> {
    let wedge = Wedge::of(piece, dart_named(piece, dart)?)?;
    let mouth = &piece.edges[wedge.mouth];
    let slides_first = match slide {
        None => !wedge.pressed_to_first,
        Some(corner) if corner == &mouth.from => true,
        Some(corner) if corner == &mouth.to => false,
        Some(corner) => {
            return Err(AlterError::UnknownCorner { piece: piece.id.clone(), corner: corner.clone() });
        }
    };
    let (sliding, fixed) = if slides_first { (0, 1) } else { (1, 0) };
    let legs = wedge.legs();
    if (legs[0] - legs[1]).abs() < 1e-9 {
        return Ok(());
    }
    let count = piece.edges.len();
    let side = if slides_first { wedge.mouth + count - 1 } else { wedge.mouth + 1 } % count;
    // All places at the length of the other leg, near the sliding end.
    let radius = legs[fixed];
    let around = (wedge.ends[sliding] - wedge.apex).atan2();
    let spread = (SLIDE_MM / radius.max(SLIDE_MM)).asin();
    let start = wedge.apex + radius * crate::geometry::Vec2::from_angle(around - spread);
    let circle = Curve::arc(wedge.apex, start, 2.0 * spread);
    let seam = &piece.edges[side].curve;
    let long = if slides_first { seam.extended(0.0, SLIDE_MM) } else { seam.extended(SLIDE_MM, 0.0) };
    let meeting = crossings(&long, &circle)
        .into_iter()
        .min_by(|a, b| a.at.distance(wedge.ends[sliding]).total_cmp(&b.at.distance(wedge.ends[sliding])));
    let kept = meeting.and_then(|meeting| {
        if slides_first {
            long.portion(0.0, meeting.on_first)
        } else {
            long.portion(meeting.on_first, f64::INFINITY)
        }
    });
    let kept = kept.ok_or_else(|| AlterError::CannotEqualise {
        piece: piece.id.clone(),
        dart: dart.clone(),
        first_mm: legs[0],
        second_mm: legs[1],
    })?;
    let place = if slides_first { kept.end() } else { kept.start() };
    let (old_length, new_length) = (seam.length(), kept.length());
    let slid_corner = if slides_first { mouth.from.clone() } else { mouth.to.clone() };
    let side_id = piece.edges[side].id.clone();
    piece.edges[side].curve = kept;
    piece.edges[wedge.mouth].curve =
        if slides_first { Curve::line(place, wedge.ends[1]) } else { Curve::line(wedge.ends[0], place) };
    // Notches stay where they are on the cloth.
    for notch in &mut piece.notches {
        if notch.edge == side_id && notch.corner == slid_corner {
            notch.distance += new_length - old_length;
        }
    }
    Ok(())
}
