//! Which way a hem runs from the centre to the side.
//!
//! A run of hem edges ends beside a seam, where the hem goes on in the mate, or beside a fold, an opening or a seam to
//! its own mirror image (a centre back seam): there is the centre. With one sewn end the side is that end. A gore has
//! seams at both ends; then the side seams must be named, and the way is walked from each of them over the gores to
//! the centre, so that both sides of every joint get the same amount. A facing's hem lies behind the hem of the piece
//! that it finishes and follows it from their common corner.

use super::HemSideError;
use crate::alter::AlterError;
use crate::alter::place::end_corner;
use crate::pattern::{EdgeRole, Piece, PieceId, Seam, SeamId};

/// Runs of neighbouring hem edges, as places in the outline; empty when there is no other edge.
pub(super) fn hem_runs(piece: &Piece) -> Vec<Vec<usize>> {
    let count = piece.edges.len();
    let is_hem = |index: usize| piece.edges[index % count].role == EdgeRole::Hem;
    let mut runs = Vec::new();
    for start in (0..count).filter(|&at| is_hem(at) && !is_hem(at + count - 1)) {
        runs.push((start..start + count).take_while(|&at| is_hem(at)).map(|at| at % count).collect());
    }
    runs
}

/// Whether a piece is a facing.
pub(super) fn is_facing(piece: &Piece) -> bool {
    piece.edges.iter().any(|edge| edge.role == EdgeRole::FacingEdge)
}

/// The way of one run of hem edges. Ends are 0 for the start of the run and 1 for its end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Way {
    /// From the centre to the side.
    FromCentre {
        /// Share of the way to the side at the start and at the end: 0 is the centre, 1 the side.
        share: [f64; 2],
        /// The end that lies on the side seam, if one does.
        side: Option<usize>,
    },
    /// Behind another run.
    Behind {
        /// Which.
        run: usize,
        /// This run's end and that run's end at their common corner.
        ends: [usize; 2],
    },
}

/// What lies at an end of a run.
#[derive(Clone, Copy)]
enum End<'a> {
    /// A fold, an opening, a seam to the mirror image.
    Centre,
    /// A seam over which the hem goes on at an end of another run.
    Joint { seam: &'a SeamId, run: usize, end: usize },
    /// The piece that a facing finishes.
    Behind { run: usize, end: usize },
}

struct HemRun<'a> {
    piece: &'a Piece,
    edges: Vec<usize>,
    length: f64,
}

impl HemRun<'_> {
    /// The edges before and after the corner at an end of the run.
    fn corner(&self, end: usize) -> [usize; 2] {
        let count = self.piece.edges.len();
        let (first, last) = (self.edges.first().copied(), self.edges.last().copied());
        let (first, last) = (first.unwrap_or_default(), last.unwrap_or_default());
        if end == 0 { [(first + count - 1) % count, first] } else { [last, (last + 1) % count] }
    }
}

/// The hems of all pieces, and their ways.
pub(super) struct HemWays<'a> {
    runs: Vec<HemRun<'a>>,
    ways: Vec<Option<Way>>,
}

impl<'a> HemWays<'a> {
    /// Follows every hem; `side_seams` names the seams where the ways end, and may be empty.
    pub(super) fn find(seams: &'a [Seam], pieces: Vec<&'a Piece>, side_seams: &[SeamId]) -> Self {
        let runs: Vec<HemRun<'a>> = pieces
            .into_iter()
            .flat_map(|piece| hem_runs(piece).into_iter().map(move |edges| (piece, edges)))
            .map(|(piece, edges)| {
                let length = edges.iter().map(|&at| piece.edges[at].curve.length()).sum();
                HemRun { piece, edges, length }
            })
            .collect();
        let ends: Vec<[End<'a>; 2]> =
            (0..runs.len()).map(|run| [0, 1].map(|end| end_of(&runs, seams, run, end))).collect();
        let mut ways: Vec<Option<Way>> = vec![None; runs.len()];
        for run in 0..runs.len() {
            for end in 0..2 {
                let End::Joint { seam, .. } = ends[run][end] else { continue };
                let is_side = if side_seams.is_empty() {
                    matches!(ends[run][1 - end], End::Centre)
                } else {
                    side_seams.contains(seam)
                };
                if is_side {
                    walk(&runs, &ends, side_seams, (run, end), &mut ways);
                }
            }
        }
        for (run, ends) in ends.iter().enumerate() {
            let behind = ends.iter().enumerate().find_map(|(mine, end)| match end {
                End::Behind { run, end } => Some(Way::Behind { run: *run, ends: [mine, *end] }),
                _ => None,
            });
            if behind.is_some() {
                ways[run] = behind;
            }
        }
        Self { runs, ways }
    }

    /// The runs of a piece, in the order of [`hem_runs`].
    pub(super) fn runs_of(&self, piece: &PieceId) -> Vec<usize> {
        (0..self.runs.len()).filter(|&run| &self.runs[run].piece.id == piece).collect()
    }

    /// The run and the end of a piece that lie on the side seam.
    pub(super) fn side_of(&self, piece: &PieceId) -> Option<(usize, usize)> {
        self.runs_of(piece).into_iter().find_map(|run| match self.ways[run] {
            Some(Way::FromCentre { side: Some(end), .. }) => Some((run, end)),
            _ => None,
        })
    }

    /// The way of a run.
    pub(super) fn way(&self, run: usize) -> Result<Way, AlterError> {
        let unknown =
            || AlterError::from(HemSideError::NoCentreAndSide { piece: self.runs[run].piece.id.clone() });
        let way = self.ways[run].ok_or_else(unknown)?;
        match way {
            Way::Behind { run: before, .. } if !matches!(self.ways[before], Some(Way::FromCentre { .. })) => {
                Err(unknown())
            }
            _ => Ok(way),
        }
    }

    pub(super) fn piece(&self, run: usize) -> &'a Piece {
        self.runs[run].piece
    }

    pub(super) fn edges(&self, run: usize) -> &[usize] {
        &self.runs[run].edges
    }

    pub(super) fn length(&self, run: usize) -> f64 {
        self.runs[run].length
    }

    /// The piece of a run, and the edges before and after the corner at its end.
    pub(super) fn corner(&self, run: usize, end: usize) -> (&'a Piece, [usize; 2]) {
        (self.runs[run].piece, self.runs[run].corner(end))
    }
}

fn end_of<'a>(runs: &[HemRun<'a>], seams: &'a [Seam], run: usize, end: usize) -> End<'a> {
    let own = &runs[run];
    let [before, after] = own.corner(end);
    let beside = if end == 0 { before } else { after };
    let corner = &own.piece.edges[after].from;
    let sides = seams.iter().flat_map(|seam| {
        let [first, second] = &seam.sides;
        [(seam, first, second), (seam, second, first)]
    });
    for (seam, mine, theirs) in sides {
        if !mine.holds(&own.piece.id, &own.piece.edges[beside].id) {
            continue;
        }
        // Both runs are travelled as they are sewn, so their starts meet, and their ends.
        let at_start = &mine.from == corner;
        if !at_start && end_corner(own.piece, mine) != Some(corner) {
            continue;
        }
        let found = runs.iter().enumerate().filter(|(_, other)| other.piece.id == theirs.piece).find_map(
            |(index, other)| {
                let there = if at_start { Some(&theirs.from) } else { end_corner(other.piece, theirs) };
                let end = (0..2).find(|&end| {
                    let [_, after] = other.corner(end);
                    Some(&other.piece.edges[after].from) == there
                })?;
                Some((index, end))
            },
        );
        let Some((index, found_end)) = found else { continue };
        if (index, found_end) == (run, end) {
            return End::Centre;
        }
        match (is_facing(own.piece), is_facing(runs[index].piece)) {
            (true, false) => return End::Behind { run: index, end: found_end },
            (false, true) => {}
            _ => return End::Joint { seam: &seam.id, run: index, end: found_end },
        }
    }
    End::Centre
}

/// Walks from a side over joints to the centre and notes the shares; a way that comes to another side, back to itself
/// or to a run that has one already is none.
fn walk(
    runs: &[HemRun<'_>],
    ends: &[[End<'_>; 2]],
    side_seams: &[SeamId],
    (run, end): (usize, usize),
    ways: &mut [Option<Way>],
) {
    let mut chain = vec![(run, end)];
    let (mut at, mut near) = (run, end);
    while let End::Joint { seam, run, end } = ends[at][1 - near] {
        if side_seams.contains(seam) || chain.iter().any(|(known, _)| *known == run) {
            return;
        }
        chain.push((run, end));
        (at, near) = (run, end);
    }
    if chain.iter().any(|(run, _)| ways[*run].is_some()) {
        return;
    }
    let whole: f64 = chain.iter().map(|(run, _)| runs[*run].length).sum();
    let mut passed = 0.0;
    for (number, (run, near)) in chain.into_iter().enumerate() {
        let share = |passed: f64| 1.0 - passed / whole.max(f64::MIN_POSITIVE);
        let (close, far) = (share(passed), share(passed + runs[run].length));
        passed += runs[run].length;
        let share = if near == 0 { [close, far] } else { [far, close] };
        ways[run] = Some(Way::FromCentre { share, side: (number == 0).then_some(near) });
    }
}
