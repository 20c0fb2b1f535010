//! Hems that cannot be turned up flat, or that break.
//!
//! A turned-up allowance a is longer (on a flared hem) or shorter at its cut edge than the hem where it is sewn, by
//! a·Δθ, Δθ being how far the hem turns. Handbooks narrow the allowance as the hem grows rounder, from 2 to 3 inches on
//! a moderate flare to a quarter of an inch on a circle.

use super::Looked;
use crate::finding::{Finding, Severity};
use crate::garment::Found;
use crate::pattern::EdgeRole;

/// Share of its length by which an allowance can be eased in and pressed flat (from memory; wool takes more, firm
/// cotton less).
const EASED_SHARE: f64 = 0.05;

/// A bend within a hem that shows as a corner, in degrees.
const KINK_DEGREES: f64 = 5.0;

/// A difference below this is pressed away on any hem, in mm.
const PRESSED_MM: f64 = 3.0;

pub(super) fn check(looked: &Looked<'_>) -> Vec<Found> {
    let mut findings = Vec::new();
    for piece in looked.pieces {
        let (id, edges) = (&piece.altered.id, &piece.altered.edges);
        let hems = edges.iter().enumerate().filter(|(_, edge)| edge.role == EdgeRole::Hem);
        for (index, hem) in hems {
            let width = looked.replay.allowances.width_mm(&piece.altered, index);
            let (length, turn) = (hem.curve.length(), hem.curve.turn());
            let surplus = width * turn;
            if surplus.abs() > (EASED_SHARE * length).max(PRESSED_MM) {
                let fits = EASED_SHARE * length / turn.abs();
                let (is, how) = if surplus > 0.0 { ("longer", "eased in") } else { ("shorter", "stretched") };
                let what = format!(
                    "the allowance of the hem of “{id}” is {:.0} mm {is} at its cut edge than the hem, too much to be \
                     {how}",
                    surplus.abs()
                );
                let remedy = format!("turn up at most {fits:.0} mm, or face the hem");
                let middle = hem.curve.point_at(0.5 * length);
                let finding = Finding::new(Severity::Warning, what, remedy);
                findings.push(finding.on(id).at(middle).by_mm(surplus).into());
            }
            let kink = hem.curve.segments().windows(2).find_map(|pair| {
                let (came, goes) = (pair[0].tangent(1.0), pair[1].tangent(0.0));
                let bend = came.cross(goes).atan2(came.dot(goes)).to_degrees();
                (bend.abs() > KINK_DEGREES).then(|| (pair[1].start(), bend))
            });
            if let Some((at, bend)) = kink {
                let what = format!("the hem of “{id}” has a corner of {:.0}°", bend.abs());
                let remedy = "redraw the hem as one smooth line, unless the corner is meant";
                let severity = if piece.printed.edge(&hem.id).is_some_and(|old| old.curve == hem.curve) {
                    Severity::Note
                } else {
                    Severity::Warning
                };
                findings.push(Finding::new(severity, what, remedy).on(id).at(at).into());
            }
        }
    }
    findings
}
