//! A zone on one piece: woven there, and carried to the mates.

use super::marks::gone_over;
use super::weave::{Loop, Twin, Woven, zone_edges};
use super::{Blend, Gone};
use crate::alter::draft::{Change, Draft};
use crate::alter::place::{
    Place, Spot, edge_from, edges_of_run, end_corner, is_mouth, sewn_along, spot_in_run,
};
use crate::alter::{AlterError, Amount, Figure};
use crate::pattern::{CornerId, Piece, Run, SizeId};

/// A zone shorter than this many times the distance between the sizes makes a visible bump (from memory of
/// grading practice; a warning, not a rule).
const SHORTEST_ZONE: f64 = 5.0;

/// A zone on one piece, in both sizes.
pub(super) struct Job<'a> {
    pub old: &'a Piece,
    pub new: &'a Piece,
    pub from: Twin,
    pub until: Twin,
    pub forward: bool,
    pub through: Option<CornerId>,
}

/// A spot at a corner, written as the start of the edge after it (`at_start`) or the end of the one before.
pub(super) fn settled(piece: &Piece, spot: Spot, at_start: bool) -> Spot {
    let count = piece.edges.len();
    let length = piece.edges[spot.edge].curve.length();
    let close = crate::geometry::tolerance::JOIN_MM;
    if at_start && spot.along >= length - close {
        return Spot { edge: (spot.edge + 1) % count, along: 0.0 };
    }
    if !at_start && spot.along <= close {
        let edge = (spot.edge + count - 1) % count;
        return Spot { edge, along: piece.edges[edge].curve.length() };
    }
    spot
}

impl<'a> Job<'a> {
    /// The edges of the zone.
    fn zone(&self) -> Vec<usize> {
        let count = self.old.edges.len();
        if self.forward {
            zone_edges(self.from.edge, self.until.edge, count)
        } else {
            zone_edges(self.until.edge, self.from.edge, count)
        }
    }

    /// Seams that the zone lies on: this piece's run and its mate's.
    pub(super) fn mates(&self, draft: &Draft<'a>) -> Vec<(&'a Run, &'a Run)> {
        let zone = self.zone();
        let holds = |run: &Run| {
            let is_held = |&edge: &usize| run.holds(&self.old.id, &self.old.edges[edge].id);
            zone.iter().any(is_held)
        };
        let sides = draft.seams.iter().flat_map(|seam| {
            let [first, second] = &seam.sides;
            [(first, second), (second, first)]
        });
        sides.filter(|(mine, mate)| holds(mine) && mate.piece != self.old.id).collect()
    }

    /// The same zone on a mate.
    pub(super) fn carried_to<'b>(
        &self,
        run: &Run,
        mate: &Run,
        old: &'b Piece,
        new: &'b Piece,
        blend: &Blend,
        draft: &Draft<'_>,
    ) -> Result<Job<'b>, AlterError> {
        let lost = || AlterError::ZoneLeavesSeam { piece: self.old.id.clone(), mate: mate.piece.clone() };
        let carried = |twin: Twin, place: &Place| -> Option<Twin> {
            let spots = [(self.old, old, 0), (self.new, new, 1)].map(|(mine, theirs, size)| {
                let notched = match place {
                    Place::Notch { .. } => place.on(theirs).ok(),
                    _ => None,
                };
                let on_run = notched.filter(|&spot| sewn_along(theirs, mate, spot).is_some());
                on_run.or_else(|| {
                    let spot = Spot { edge: twin.edge, along: twin.along[size] };
                    let sewn = sewn_along(mine, run, spot)?;
                    // From the nearer end of the seam, as one would walk it.
                    let (whole, theirs_whole) = (run_length(mine, run)?, run_length(theirs, mate)?);
                    let there = if sewn <= 0.5 * whole { sewn } else { theirs_whole - (whole - sewn) };
                    spot_in_run(theirs, mate, there)
                })
            });
            let [Some(on_old), Some(on_new)] = spots else {
                return None;
            };
            (on_old.edge == on_new.edge)
                .then_some(Twin { edge: on_old.edge, along: [on_old.along, on_new.along] })
        };
        let from = carried(self.from, &blend.from).ok_or_else(lost)?;
        let until = carried(self.until, &blend.until).ok_or_else(lost)?;
        let mine_forward = edges_of_run(self.old, run).ok_or_else(lost)?.1;
        let theirs_forward = edges_of_run(old, mate).ok_or_else(lost)?.1;
        let through = blend.through.as_ref().and_then(|corner| {
            let sides = draft.seams.iter().flat_map(|seam| {
                let [first, second] = &seam.sides;
                [(first, second), (second, first)]
            });
            let mut ends =
                sides.filter(|(mine, theirs)| mine.piece == blend.piece && theirs.piece == mate.piece);
            ends.find_map(|(mine, theirs)| {
                let source = draft.piece(&blend.piece).ok()?;
                if &mine.from == corner {
                    return Some(theirs.from.clone());
                }
                (end_corner(source, mine)? == corner).then(|| end_corner(old, theirs).cloned())?
            })
        });
        Ok(Job { old, new, from, until, forward: (self.forward == mine_forward) == theirs_forward, through })
    }

    /// Weaves the two sizes of this piece.
    pub(super) fn run(&self, to: &SizeId, change: &mut Change) -> Result<(Piece, Gone), AlterError> {
        if self.old == self.new {
            let left =
                Gone { is_new: vec![true; self.old.edges.len()], differs: vec![false; self.old.edges.len()] };
            return Ok((self.old.clone(), left));
        }
        let pairs = self.old.edges.iter().zip(&self.new.edges);
        let forwards = Loop {
            edges: pairs.map(|(old, new)| [old.curve.clone(), new.curve.clone()]).collect(),
            is_mouth: self.old.edges.iter().map(|edge| is_mouth(&edge.role)).collect(),
        };
        let count = self.old.edges.len();
        let turned = |edge: usize| if self.forward { edge } else { count - 1 - edge };
        let (outlines, from, until) = if self.forward {
            (forwards, self.from, self.until)
        } else {
            let backwards = forwards.reversed();
            let (from, until) = (forwards.reversed_twin(self.from), forwards.reversed_twin(self.until));
            (backwards, from, until)
        };
        let fading = match &self.through {
            Some(corner) => {
                let after = edge_from(self.old, corner)?;
                let fading = if self.forward { after } else { (after + count - 1) % count };
                Some(turned(fading))
                    .filter(|fading| !zone_edges(from.edge, until.edge, count).contains(fading))
            }
            None => outlines.one_line_after(until.edge, from.edge),
        };
        let fading =
            fading.ok_or_else(|| AlterError::NoWayBack { piece: self.old.id.clone(), size: to.clone() })?;
        let woven = outlines.weave(from, until, fading);
        self.report(&outlines, (from, until), &woven, to, change);
        let woven = if self.forward { woven } else { woven.reversed() };
        let piece = gone_over(self.old, self.new, &woven);
        let left = Gone {
            is_new: (0..count).map(|edge| woven.is_new(edge)).collect(),
            differs: differing(self.old, self.new),
        };
        Ok((piece, left))
    }

    fn report(
        &self,
        outlines: &Loop,
        (from, until): (Twin, Twin),
        woven: &Woven,
        to: &SizeId,
        change: &mut Change,
    ) {
        let count = self.old.edges.len();
        let mut lengths = [0.0, 0.0];
        for edge in zone_edges(from.edge, until.edge, count).into_iter().filter(|&at| !outlines.is_mouth[at])
        {
            let old = outlines.edges[edge][0].length();
            let start = if edge == from.edge { from.along[0] } else { 0.0 };
            let end = if edge == until.edge { until.along[0] } else { old };
            lengths[0] += end - start;
            lengths[1] += woven.zone_length(edge, (from, until));
        }
        change.figures.push(Figure {
            name: "blended stretch",
            piece: Some(self.old.id.clone()),
            before: Some(Amount::Mm(lengths[0])),
            after: Amount::Mm(lengths[1]),
        });
        let apart = [from, until].map(|twin| {
            let [old, new] = &outlines.edges[twin.edge];
            old.point_at(twin.along[0]).distance(new.point_at(twin.along[1]))
        });
        let apart = apart[0].max(apart[1]);
        if lengths[1] < SHORTEST_ZONE * apart {
            change.notes.push(format!(
                "Piece “{}”: size {to} is {apart:.0} mm away, and the zone only {:.0} mm long. Blend over at least \
                 {:.0} mm for a smooth seam.",
                self.old.id,
                lengths[1],
                SHORTEST_ZONE * apart
            ));
        }
    }
}

fn run_length(piece: &Piece, run: &Run) -> Option<f64> {
    let (edges, _) = edges_of_run(piece, run)?;
    Some(edges.iter().map(|&edge| piece.edges[edge].curve.length()).sum())
}

pub(super) fn differing(old: &Piece, new: &Piece) -> Vec<bool> {
    let pairs = old.edges.iter().zip(&new.edges);
    pairs.map(|(old, new)| old.curve != new.curve).collect()
}
