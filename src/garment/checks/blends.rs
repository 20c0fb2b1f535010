//! Zones over which two sizes are blended too quickly.

use super::Looked;
use crate::alter::{Amount, Blend, Outcome, Place, Record};
use crate::finding::{Finding, Severity};
use crate::garment::Found;
use crate::geometry::Point;
use crate::pattern::{Landmark, Piece, SizeId};

/// A zone shorter than this many times the distance between the sizes shows as a bump (from memory).
const SHORTEST_ZONE: f64 = 5.0;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let plan = &looked.garment.plan;
    let mut findings = Vec::new();
    let mut own = plan.size.clone();
    for (alteration, step) in plan.alterations.iter().zip(&looked.replay.steps) {
        let (Record::Blend(blend), Outcome::Applied(report)) = (&alteration.record, &step.outcome) else {
            continue;
        };
        let zone = report.figure("blended stretch", Some(&blend.piece));
        let length = zone.map(|figure| &figure.after);
        if let (Some(Amount::Mm(length)), Some(apart)) = (length, sizes_apart(looked, blend, &own)) {
            let wanted = SHORTEST_ZONE * apart;
            if *length < wanted {
                let id = &blend.piece;
                let what = format!(
                    "alteration {} goes over to size {} on “{id}” within {length:.0} mm, which is short for a \
                     difference of {apart:.0} mm",
                    alteration.id, blend.to
                );
                let remedy = format!("begin earlier or end later: blend over at least {wanted:.0} mm");
                let finding = Finding::new(Severity::Warning, what, remedy).on(id).by_mm(length - wanted);
                let at = looked.piece(id).and_then(|piece| point(&blend.until, &piece.altered));
                findings.push(match at {
                    Some(at) => finding.at(at).into(),
                    None => finding.into(),
                });
            }
        }
        own = blend.to.clone();
    }
    findings
}

/// How far the two sizes lie apart at the ends of the zone, as printed.
fn sizes_apart(looked: &Looked<'_>, blend: &Blend, own: &SizeId) -> Option<f64> {
    let pattern = &looked.garment.pattern;
    let (old, new) = (pattern.piece(&blend.piece, own)?, pattern.piece(&blend.piece, &blend.to)?);
    let apart = |place: &Place| Some(point(place, old)?.distance(point(place, new)?));
    let ends = [apart(&blend.from), apart(&blend.until)];
    ends.into_iter().flatten().reduce(f64::max)
}

/// The place on a piece.
fn point(place: &Place, piece: &Piece) -> Option<Point> {
    let landmark = match place {
        Place::Corner { corner } => Landmark::Corner(corner.clone()),
        Place::Notch { notch } => Landmark::Notch(notch.clone()),
        Place::BalanceLine { line, .. } => Landmark::BalanceLine(line.clone()),
        Place::FromCorner { corner, edge, distance } => {
            Landmark::FromCorner { corner: corner.clone(), edge: edge.clone(), distance: distance.clone() }
        }
    };
    landmark.on(piece).ok()
}
