//! What may be sewn to what: edges as long as each other in every size, with notches at the same places.
//!
//! A proposal, never a fact. Lengths say little by themselves (two side seams, two shoulders), so a pair is taken
//! only when its notches agree and no other edge fits as well; the others are told.

use crate::geometry::tolerance::ARC_LENGTH_MM;
use crate::pattern::{EaseRange, Edge, EdgeRole, NotchKind, Piece, Run, Seam, SizedPiece};
use std::collections::BTreeMap;

/// Edges longer than each other by more than this are no mates, in mm. Drawings round lengths to a tenth; ease is
/// for a person to say.
const AS_LONG_MM: f64 = 0.6;

/// Notches on mates lie apart by at most this, in mm.
const NOTCH_MM: f64 = 1.5;

/// Edges shorter than this are as long as others by chance, in mm.
const SHORTEST_MM: f64 = 30.0;

/// A proposal surer than this becomes a seam.
const TAKEN: f64 = 0.75;

/// Proposals less sure than this are not worth a word.
const TOLD: f64 = 0.4;

/// A pair that is less like mates than another by no more than this is its rival.
const RIVAL: f64 = 0.15;

/// More edges than this are not compared with each other.
const MOST_EDGES: usize = 2000;

/// Two edges that may be sewn together.
#[derive(Debug, Clone, PartialEq)]
pub struct Mates {
    /// The two sides, both travelled the same way when sewn.
    pub sides: [Run; 2],
    /// How much longer one is than the other at most, in any size, in mm.
    pub differ_mm: f64,
    /// Notches that meet.
    pub notches: usize,
    /// From 0, a guess, to 1.
    pub confidence: f64,
    /// Whether it became a seam of the pattern.
    pub taken: bool,
}

impl Mates {
    /// In words: what may be sewn to what, and why.
    #[must_use]
    pub fn words(&self) -> String {
        let [one, other] = &self.sides;
        let edges = |run: &Run| run.edges.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
        let notches = match self.notches {
            0 => "without notches".to_owned(),
            1 => "with 1 notch that meets".to_owned(),
            count => format!("with {count} notches that meet"),
        };
        format!(
            "{} of {} may be sewn to {} of {}: as long within {:.1} mm in every size, {notches}",
            edges(one),
            one.piece,
            edges(other),
            other.piece,
            self.differ_mm
        )
    }
}

/// An edge by its piece and place.
type At = (usize, usize);

/// What is compared of an edge.
struct Known {
    at: At,
    /// In each size its length, and its notches from its start.
    by_size: Vec<(f64, Vec<(f64, bool)>)>,
}

impl Known {
    /// `None` when a size lacks the edge.
    fn of(sized: &SizedPiece, sizes: usize, at: At) -> Option<Self> {
        let in_size = |size: usize| {
            let piece = sized.by_size.get(size)?;
            let edge = piece.edges.get(at.1)?;
            Some((edge.curve.length(), notches(piece, edge)))
        };
        Some(Self { at, by_size: (0..sizes).map(in_size).collect::<Option<_>>()? })
    }
}

struct Pair {
    sides: [At; 2],
    /// As of [`Mates`].
    differ_mm: f64,
    notches: usize,
    likeness: f64,
}

/// Notches along an edge: distance from the start, and whether double.
fn notches(piece: &Piece, edge: &Edge) -> Vec<(f64, bool)> {
    let on = piece.notches.iter().filter(|notch| notch.edge == edge.id);
    let mut places: Vec<(f64, bool)> =
        on.map(|notch| (notch.distance_from_start(edge), notch.kind == NotchKind::Double)).collect();
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    places
}

/// What may be sewn to what, the surest first.
pub(super) fn mates_of(pieces: &[SizedPiece]) -> Vec<Mates> {
    let Some(first) = pieces.first() else { return Vec::new() };
    let sizes = first.by_size.len();
    let mut edges: Vec<(f64, Known)> = Vec::new();
    for (place, sized) in pieces.iter().enumerate() {
        let Some(piece) = sized.by_size.first() else { continue };
        for (index, edge) in piece.edges.iter().enumerate() {
            let length = edge.curve.length();
            if edge.role == EdgeRole::Seam && length >= SHORTEST_MM && edge.from != edge.to {
                edges.extend(Known::of(sized, sizes, (place, index)).map(|known| (length, known)));
            }
        }
    }
    if edges.len() > MOST_EDGES {
        return Vec::new();
    }
    edges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut pairs: Vec<Pair> = Vec::new();
    for (rank, (length, one)) in edges.iter().enumerate() {
        let near = edges[rank + 1..].iter().take_while(|(other, _)| other - length <= AS_LONG_MM);
        pairs.extend(near.filter_map(|(_, other)| pair(one, other)));
    }
    pairs.sort_by(|a, b| b.likeness.total_cmp(&a.likeness));
    // For each edge how like mates its pairs are, the likest first.
    let mut likenesses: BTreeMap<At, Vec<f64>> = BTreeMap::new();
    for pair in &pairs {
        pair.sides.iter().for_each(|side| likenesses.entry(*side).or_default().push(pair.likeness));
    }
    // Other pairs of either edge that are nearly as like. A pair is counted with both of its edges.
    let rivals = |pair: &Pair| {
        let as_like = |likeness: &f64| *likeness >= pair.likeness - RIVAL;
        let of_side = pair.sides.iter().filter_map(|side| likenesses.get(side));
        of_side.map(|all| all.partition_point(as_like)).sum::<usize>().saturating_sub(2)
    };
    let mut mates: Vec<Mates> = Vec::new();
    let mut taken: Vec<At> = Vec::new();
    for pair in &pairs {
        #[expect(clippy::cast_precision_loss, reason = "a handful of rivals")]
        let confidence = pair.likeness / (1.0 + 0.5 * rivals(pair) as f64);
        if confidence < TOLD || pair.sides.iter().any(|side| taken.contains(side)) {
            continue;
        }
        let is_taken = confidence >= TAKEN && pair.notches > 0;
        if is_taken {
            taken.extend(pair.sides);
        }
        let [a, b] = pair.sides.map(|(place, index)| (pieces[place].by_size.first(), index));
        let (Some(one), Some(other)) = (a.0, b.0) else { continue };
        let (first, second) = (&one.edges[a.1], &other.edges[b.1]);
        let run = |piece: &Piece, edge: &Edge, from| Run {
            piece: piece.id.clone(),
            from,
            edges: vec![edge.id.clone()],
        };
        mates.push(Mates {
            sides: [run(one, first, first.from.clone()), run(other, second, second.to.clone())],
            differ_mm: pair.differ_mm,
            notches: pair.notches,
            confidence,
            taken: is_taken,
        });
    }
    mates
}

/// How like mates two edges are; nothing when they are none. Outlines run counter-clockwise, so that mates laid on
/// each other with right sides together run against each other.
fn pair(one: &Known, other: &Known) -> Option<Pair> {
    let mut differ_mm: f64 = 0.0;
    let mut drift_mm: f64 = 0.0;
    let mut count = 0;
    for ((length, own), (against, theirs)) in one.by_size.iter().zip(&other.by_size) {
        differ_mm = differ_mm.max((length - against).abs());
        if own.len() != theirs.len() {
            return None;
        }
        count = own.len();
        for ((at, _), (there, _)) in own.iter().zip(theirs.iter().rev()) {
            drift_mm = drift_mm.max((at - (against - there)).abs());
        }
    }
    if differ_mm > AS_LONG_MM || drift_mm > NOTCH_MM {
        return None;
    }
    // Lengths that follow each other through many sizes say more than one length.
    let by_length = 0.55 + if one.by_size.len() > 2 { 0.1 } else { 0.0 } - 0.2 * differ_mm / AS_LONG_MM;
    let by_notches = match count {
        0 => 0.0,
        1 => 0.25,
        _ => 0.35,
    } - 0.1 * drift_mm / NOTCH_MM;
    let same_piece = if one.at.0 == other.at.0 { 0.2 } else { 0.0 };
    let likeness = (by_length + by_notches - same_piece).clamp(0.0, 1.0);
    let differ_mm = if differ_mm < ARC_LENGTH_MM { 0.0 } else { differ_mm };
    Some(Pair { sides: [one.at, other.at], differ_mm, notches: count, likeness })
}

/// The surest as seams.
pub(super) fn seams_of(mates: &[Mates]) -> Vec<Seam> {
    let taken = mates.iter().filter(|mates| mates.taken).enumerate();
    taken
        .map(|(index, mates)| Seam {
            id: format!("seam {}", index + 1).as_str().into(),
            sides: mates.sides.clone(),
            ease: EaseRange { least_mm: -AS_LONG_MM, most_mm: AS_LONG_MM },
        })
        .collect()
}
