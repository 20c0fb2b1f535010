//! One side of a seam, walked along the seam line with its darts closed.

use crate::geometry::{Curve, Point};
use crate::pattern::{BalanceLineId, EdgeRole, NotchId, Piece, Run};

/// One side of a seam on its piece; distances are arc lengths in mm from where sewing begins, darts closed.
#[derive(Debug, Clone)]
pub(super) struct Walk {
    /// Each edge in the direction of sewing, with the distance at which it begins.
    edges: Vec<(f64, Curve)>,
    /// Whole length.
    pub(super) length: f64,
    /// Where darts are closed.
    pub(super) darts: Vec<f64>,
    /// Notches, with their distances.
    pub(super) notches: Vec<(NotchId, f64)>,
    /// Whether the piece lies to the left of the way of sewing, as drawn.
    pub(super) inside_left: bool,
    /// The end that meets a hem: at the start, at the end, or none.
    pub(super) hem: Option<HemEnd>,
}

/// Which end of a side meets the hem.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum HemEnd {
    Start,
    End,
}

impl Walk {
    /// Walks a run; `None` when it names what the piece does not have.
    pub(super) fn of(piece: &Piece, run: &Run) -> Option<Self> {
        let mut at = &run.from;
        let mut walk = Self {
            edges: Vec::new(),
            length: 0.0,
            darts: Vec::new(),
            notches: Vec::new(),
            inside_left: true,
            hem: None,
        };
        let at_hem = |corner| {
            let mut hems = piece.edges.iter().filter(|edge| edge.role == EdgeRole::Hem);
            hems.any(|hem| &hem.from == corner || &hem.to == corner)
        };
        let starts_at_hem = at_hem(at);
        for (index, id) in run.edges.iter().enumerate() {
            let edge = piece.edge(id)?;
            let follows = &edge.from == at || &edge.to == at;
            if !follows && index > 0 {
                walk.darts.push(walk.length);
            }
            let onward = if follows {
                &edge.from == at
            } else {
                // Across a closed dart, the edge begins at the dart's other end.
                let mouths = piece
                    .edges
                    .iter()
                    .filter(|mouth| matches!(mouth.role, EdgeRole::DartMouth(_)));
                let beyond = mouths.filter_map(|mouth| {
                    if &mouth.from == at {
                        Some(&mouth.to)
                    } else {
                        (&mouth.to == at).then_some(&mouth.from)
                    }
                });
                let mut beyond = beyond.filter(|corner| **corner == edge.from || **corner == edge.to);
                beyond.next()? == &edge.from
            };
            if index == 0 {
                walk.inside_left = onward;
            }
            let length = edge.curve.length();
            for notch in piece.notches.iter().filter(|notch| &notch.edge == id) {
                let from_start = notch.distance_from_start(edge);
                let on_edge = if onward { from_start } else { length - from_start };
                walk.notches.push((notch.id.clone(), walk.length + on_edge));
            }
            let curve = if onward {
                edge.curve.clone()
            } else {
                edge.curve.reversed()
            };
            walk.edges.push((walk.length, curve));
            walk.length += length;
            at = if onward { &edge.to } else { &edge.from };
        }
        walk.hem = if at_hem(at) {
            Some(HemEnd::End)
        } else {
            starts_at_hem.then_some(HemEnd::Start)
        };
        (!walk.edges.is_empty()).then_some(walk)
    }

    /// The point on the seam line at a distance, clamped to the side.
    pub(super) fn point_at(&self, distance: f64) -> Point {
        let index = self.edges.partition_point(|(start, _)| *start <= distance);
        let (start, curve) = &self.edges[index.saturating_sub(1)];
        curve.point_at(distance - start)
    }

    /// Distance of a notch.
    pub(super) fn notch(&self, id: &NotchId) -> Option<f64> {
        let found = self.notches.iter().find(|(known, _)| known == id);
        found.map(|&(_, distance)| distance)
    }
}

/// Where the print is to agree on two sides of a seam: the distance on each.
///
/// The notch that carries the name of a balance line (the waist) levels the garment; else the shared notch nearest
/// the hem, for print is matched from the hem up; else the hem itself; without a hem the first shared notch (on an
/// armhole sewn from the underarm, the lower one), else where sewing begins.
pub(super) fn match_distances(sides: [&Walk; 2], levels: &[BalanceLineId]) -> [f64; 2] {
    let [first, second] = sides;
    let shared: Vec<(&NotchId, [f64; 2])> = first
        .notches
        .iter()
        .filter_map(|(id, on_first)| Some((id, [*on_first, second.notch(id)?])))
        .collect();
    let level = shared
        .iter()
        .find(|(id, _)| levels.iter().any(|level| level.as_str() == id.as_str()));
    if let Some((_, distances)) = level {
        return *distances;
    }
    let nearest = |from_end: bool| {
        let way = |distances: &[f64; 2]| {
            if from_end {
                first.length - distances[0]
            } else {
                distances[0]
            }
        };
        let all = shared.iter().map(|(_, distances)| *distances);
        all.min_by(|a, b| way(a).total_cmp(&way(b)))
    };
    match first.hem {
        Some(HemEnd::End) => nearest(true).unwrap_or([first.length, second.length]),
        Some(HemEnd::Start) | None => nearest(false).unwrap_or([0.0, 0.0]),
    }
}
