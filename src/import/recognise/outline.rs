//! An outline is cut into edges at its corners.

use super::super::drawing::{Drawing, Part};
use super::chain::{LineId, Loop};
use super::{CORNER_TURN, Names};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Curve, Segment};
use crate::pattern::{Edge, EdgeRole};
use std::collections::BTreeSet;

/// A place that the file calls a corner lies this close to one at most, in mm.
const TOLD_CORNER_MM: f64 = 0.05;

/// An outline turns by more than this at a corner that the file tells and that has a notch, in radians (4°).
const TOLD_CORNER_TURN: f64 = 0.07;

/// A turn of more than this is a corner whatever the file tells, in radians (60°).
const SURE_CORNER_TURN: f64 = 1.05;

/// A segment of the outline, the stroke that it comes from, and whether that stroke begins with it.
struct Piecemeal {
    segment: Segment,
    stroke: LineId,
    first: bool,
}

/// The edges of an outline, in order, beginning at its first corner.
pub(super) fn edges_of(drawing: &Drawing, at: usize, ring: &Loop, piece: &str) -> Vec<Edge> {
    let mut pieces: Vec<Piecemeal> = Vec::new();
    for (stroke, curve) in ring.parts() {
        let mut first = true;
        for segment in curve.segments() {
            // A stretch shorter than ends may lie apart has no direction worth a corner.
            if segment.length() > JOIN_MM {
                pieces.push(Piecemeal { segment: *segment, stroke: *stroke, first });
                first = false;
            }
        }
    }
    if pieces.is_empty() {
        return Vec::new();
    }
    let group = &drawing.groups[at];
    let name_of = |(group, stroke): LineId| drawing.groups[group].strokes[stroke].name.as_ref();
    let count = pieces.len();
    let is_corner = |index: usize| {
        let (before, after) = (&pieces[(index + count - 1) % count], &pieces[index]);
        let (t, u) = (before.segment.tangent(1.0), after.segment.tangent(0.0));
        let turn = t.cross(u).atan2(t.dot(u)).abs();
        let at = after.segment.start();
        let told = group.turns.iter().any(|corner| corner.distance(at) <= TOLD_CORNER_MM);
        let notched = || {
            let mut notches = group.spots.iter().filter(|spot| spot.part == Part::Notch);
            notches.any(|notch| notch.at.distance(at) <= TOLD_CORNER_MM)
        };
        // A file that tells its corners has said so, but for notches on a line that goes on.
        let turned = match group.turns.is_empty() {
            true => turn > CORNER_TURN,
            false => (told && (turn > TOLD_CORNER_TURN || !notched())) || turn > SURE_CORNER_TURN,
        };
        let renamed = after.first
            && before.stroke != after.stroke
            && name_of(before.stroke).is_some()
            && name_of(after.stroke).is_some();
        turned || renamed
    };
    let mut corners: Vec<usize> = (0..count).filter(|index| is_corner(*index)).collect();
    if corners.is_empty() {
        corners.push(0);
    }
    let whole = ring.parts().len() == 1;
    let mut names = Names::default();
    let mut edges = Vec::new();
    for (index, &from) in corners.iter().enumerate() {
        let next = corners[(index + 1) % corners.len()];
        let length = if next > from { next - from } else { next + count - from };
        let span: Vec<&Piecemeal> = (from..from + length).map(|at| &pieces[at % count]).collect();
        let Ok(curve) = Curve::new(span.iter().map(|piece| piece.segment).collect()) else {
            continue;
        };
        let sources: BTreeSet<LineId> = span.iter().map(|piece| piece.stroke).collect();
        let named =
            sources.iter().copied().filter_map(name_of).next().filter(|_| !whole && sources.len() == 1);
        let name =
            named.map_or_else(|| format!("edge {}", index + 1), |name| short_name(name, piece).to_owned());
        let id = names.unique(name);
        edges.push(Edge {
            role: role_of(&id, &curve),
            id: id.into(),
            from: corner_name(index).into(),
            to: corner_name((index + 1) % corners.len()).into(),
            allowance: None,
            curve,
        });
    }
    edges
}

fn corner_name(index: usize) -> String {
    format!("corner {}", index + 1)
}

/// `hem` out of `front hem`, on the piece `front`.
fn short_name<'a>(name: &'a str, piece: &str) -> &'a str {
    let rest = name.strip_prefix(piece).map(str::trim_start);
    rest.filter(|rest| !rest.is_empty()).unwrap_or(name)
}

/// What an edge becomes, as far as its name tells.
pub(in crate::import) fn role_of(name: &str, curve: &Curve) -> EdgeRole {
    let lower = name.to_lowercase();
    let says = |word: &str| lower.split(|c: char| !c.is_alphanumeric()).any(|part| part == word);
    let straight = matches!(curve.segments(), [Segment::Line(_)]);
    if says("fold") && straight {
        EdgeRole::Fold
    } else if says("hem") {
        EdgeRole::Hem
    } else {
        EdgeRole::Seam
    }
}
