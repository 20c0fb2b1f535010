//! One side of a seam as matching asks for it: on which hand the piece lies, where darts are closed, where the print
//! is to agree.

use crate::pattern::{BalanceLineId, CornerId, EdgeRole, NotchId, Piece, Run, SeamSide};

/// One side of a seam on its piece; distances are arc lengths in mm from where sewing begins, darts closed.
#[derive(Debug, Clone)]
pub(super) struct Side<'a> {
    pub(super) walked: SeamSide<'a>,
    /// Where darts are closed.
    pub(super) darts: Vec<f64>,
    /// Whether the piece lies to the left of the way of sewing, as drawn.
    pub(super) inside_left: bool,
    /// The end that meets a hem.
    pub(super) hem: Option<HemEnd>,
}

/// Which end of a side meets the hem.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum HemEnd {
    Start,
    End,
}

impl<'a> Side<'a> {
    /// A run on its piece; `None` when the piece lacks one of its edges or they do not follow each other.
    pub(super) fn of(piece: &'a Piece, run: &Run) -> Option<Self> {
        let walked = SeamSide::new(piece, run)?;
        let [start, end] = walked.ends()?;
        let at_hem = |corner: &CornerId| {
            let mut hems = piece.edges.iter().filter(|edge| edge.role == EdgeRole::Hem);
            hems.any(|hem| &hem.from == corner || &hem.to == corner)
        };
        let hem = if at_hem(end) { Some(HemEnd::End) } else { at_hem(start).then_some(HemEnd::Start) };
        let mut darts = Vec::new();
        let (mut length, mut before): (f64, Option<&CornerId>) = (0.0, None);
        for (edge, forward) in walked.edges() {
            let (begins, ends) = if forward { (&edge.from, &edge.to) } else { (&edge.to, &edge.from) };
            if before.is_some_and(|before| before != begins) {
                darts.push(length);
            }
            length += edge.curve.length();
            before = Some(ends);
        }
        // An outline is travelled with the piece to its left.
        let inside_left = walked.edges().next().is_some_and(|(_, forward)| forward);
        Some(Self { walked, darts, inside_left, hem })
    }
}

/// Where the print is to agree on two sides of a seam: the distance on each.
///
/// The notch that carries the name of a balance line (the waist) levels the garment; else the shared notch nearest
/// the hem, for print is matched from the hem up; else the hem itself; without a hem the first shared notch (on an
/// armhole sewn from the underarm, the lower one), else where sewing begins.
pub(super) fn match_distances(sides: [&Side<'_>; 2], levels: &[BalanceLineId]) -> [f64; 2] {
    let [first, second] = sides;
    let theirs = second.walked.notches();
    let on_both = |(id, on_first): (&NotchId, f64)| {
        let (_, on_second) = theirs.iter().find(|(their, _)| *their == id)?;
        let levels = levels.iter().any(|level| level.as_str() == id.as_str());
        Some((levels, [on_first, *on_second]))
    };
    let shared: Vec<(bool, [f64; 2])> =
        first.walked.notches().into_iter().filter_map(|(id, on_first)| on_both((id, on_first))).collect();
    if let Some((_, distances)) = shared.iter().find(|(levels, _)| *levels) {
        return *distances;
    }
    // In the order of the walk.
    let (nearest_start, nearest_end) = (shared.first(), shared.last());
    let ends = [first.walked.length(), second.walked.length()];
    match first.hem {
        Some(HemEnd::End) => nearest_end.map_or(ends, |(_, distances)| *distances),
        Some(HemEnd::Start) | None => nearest_start.map_or([0.0, 0.0], |(_, distances)| *distances),
    }
}
