//! Which edge of a facing is which.

use crate::geometry::Curve;
use crate::geometry::tolerance::JOIN_MM;
use crate::pattern::{Edge, EdgeRole, Piece};

/// The edges of a facing as places in its outline, in its order: the inner edge, the end beside the start of the outer
/// edge, the outer edge, the other end. None is empty.
#[derive(Debug, PartialEq)]
pub(super) struct Build {
    pub inner: Vec<usize>,
    pub start: Vec<usize>,
    pub outer: Vec<usize>,
    pub end: Vec<usize>,
}

impl Build {
    /// The build of a facing. `is_sewn` tells which edges are sewn to what is faced; when it knows none, everything
    /// between two ends of one edge each is taken as the outer edge. `None` when the piece has no such build.
    pub(super) fn of(facing: &Piece, is_sewn: impl Fn(&Edge) -> bool) -> Option<Self> {
        let count = facing.edges.len();
        let is_inner = |at: usize| facing.edges[at % count].role == EdgeRole::FacingEdge;
        let mut starts = (0..count).filter(|&at| is_inner(at) && !is_inner(at + count - 1));
        let (Some(first), None) = (starts.next(), starts.next()) else { return None };
        let round: Vec<usize> = (first..first + count).map(|at| at % count).collect();
        let inner_edges = round.iter().take_while(|&&at| is_inner(at)).count();
        let (inner, rest) = round.split_at(inner_edges);
        let sewn = |at: &usize| is_sewn(&facing.edges[*at]);
        let (from, until) = match (rest.iter().position(sewn), rest.iter().rposition(sewn)) {
            (Some(from), Some(last)) if rest[from..=last].iter().all(sewn) => (from, last + 1),
            (None, _) => (1, rest.len().saturating_sub(1)),
            _ => return None,
        };
        if from == 0 || until >= rest.len() || from >= until {
            return None;
        }
        Some(Self {
            inner: inner.to_vec(),
            start: rest[..from].to_vec(),
            outer: rest[from..until].to_vec(),
            end: rest[until..].to_vec(),
        })
    }
}

/// A new line for several edges, divided between them: at the `joints` of what it was copied from where there are just
/// as many, else in proportion to what they were. `None` when an edge would have no length.
pub(super) fn divided(facing: &Piece, edges: &[usize], line: &Curve, joints: &[f64]) -> Option<Vec<Curve>> {
    let whole = line.length();
    let mut cuts: Vec<f64> =
        joints.iter().copied().filter(|at| (JOIN_MM..whole - JOIN_MM).contains(at)).collect();
    if cuts.len() + 1 != edges.len() {
        let lengths: Vec<f64> = edges.iter().map(|&at| facing.edges[at].curve.length()).collect();
        let all: f64 = lengths.iter().sum();
        let mut passed = 0.0;
        cuts = lengths
            .iter()
            .take(edges.len().saturating_sub(1))
            .map(|length| {
                passed += length;
                passed / all * whole
            })
            .collect();
    }
    let ends = cuts.iter().copied().chain([f64::INFINITY]);
    let starts = std::iter::once(0.0).chain(cuts.iter().copied());
    starts.zip(ends).map(|(from, to)| line.portion(from, to)).collect()
}
