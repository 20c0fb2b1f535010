//! Several sizes of a piece become one piece whose corners, edges and notches can be followed from size to size.
//!
//! Drawings show each size as an outline of its own. Corners are matched by their order round the outline, their
//! place in its bounding box and the angle by which it turns ([`corners`]); a corner that one size lacks is no
//! corner in any, and the edges before and after it become one. What was matched and how surely comes back as
//! [`SizeMatch`], because a wrong match would blend a neckline into a shoulder.
//!
//! Pieces of different sizes are the same piece when their names are; pieces without a name, when they lie on each
//! other. Limit: sizes of unnamed pieces that lie side by side stay pieces of their own size, and are told.

mod corners;
mod notches;

use super::recognise::{Found, rank_of_letters};
use crate::finding::{Finding, Severity};
use crate::geometry::Rect;
use crate::pattern::{DartId, Edge, EdgeRole, Piece, PieceId, SizeId, SizedPiece};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A match less sure than this is told as a warning.
const SURE: f64 = 0.6;

/// Pieces without names whose bounding boxes share this part of their union are sizes of one piece.
const SAME_PLACE: f64 = 0.3;

/// How the sizes of a piece were put on each other; a proposal to be looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeMatch {
    /// Which piece.
    pub piece: PieceId,
    /// Corners that every size has.
    pub corners: usize,
    /// Corners that some size lacks; they became part of an edge.
    pub dissolved: usize,
    /// From 0, a guess, to 1, corners in the same places.
    pub confidence: f64,
}

/// The sizes from small to large, the pieces in all of them, and how they were matched.
pub(super) struct InSizes {
    pub(super) sizes: Vec<SizeId>,
    pub(super) pieces: Vec<SizedPiece>,
    pub(super) matches: Vec<SizeMatch>,
    /// For each piece, in each size, on which of the drawings it is.
    pub(super) sheets: Vec<Vec<usize>>,
}

/// A piece with the size that it shows.
pub(super) struct OfSize {
    pub(super) size: String,
    /// On which of the drawings, from 0.
    pub(super) sheet: usize,
    pub(super) found: Found,
}

/// Puts pieces of all sizes together.
pub(super) fn in_sizes(mut all: Vec<OfSize>, findings: &mut Vec<Finding>) -> InSizes {
    let sizes = ordered_sizes(&all);
    if sizes.len() > 1 {
        name_by_place(&mut all, &sizes);
    }
    let mut order: Vec<PieceId> = Vec::new();
    let mut by_piece: BTreeMap<PieceId, BTreeMap<String, (usize, Piece)>> = BTreeMap::new();
    let mut numbers: BTreeMap<PieceId, Option<u32>> = BTreeMap::new();
    for OfSize { size, sheet, found } in all {
        let id = found.piece.id.clone();
        let number = numbers.entry(id.clone()).or_default();
        *number = number.or(found.number);
        if !order.contains(&id) {
            order.push(id.clone());
        }
        let known = by_piece.entry(id.clone()).or_default();
        if known.insert(size.clone(), (sheet, found.piece)).is_some() {
            let what = format!("The piece is there twice in one size ({size}); the later one was taken");
            let remedy = "Give the two different names, and import again";
            findings.push(Finding::new(Severity::Stop, what, remedy).on(&id));
        }
    }
    let mut pieces: Vec<(SizedPiece, Vec<usize>)> = Vec::new();
    let mut matches = Vec::new();
    let mut written: Vec<Option<u32>> = Vec::new();
    for id in order {
        let Some(mut by_size) = by_piece.remove(&id) else {
            continue;
        };
        let missing: Vec<&str> =
            sizes.iter().filter(|size| !by_size.contains_key(*size)).map(String::as_str).collect();
        if !missing.is_empty() {
            let what =
                format!("The piece was left out: it is not there in some sizes: {}", missing.join(", "));
            let remedy = "Add those sizes, or import the sizes that have it by themselves";
            findings.push(Finding::new(Severity::Stop, what, remedy).on(&id));
            continue;
        }
        let (on, in_order): (Vec<usize>, Vec<Piece>) =
            sizes.iter().filter_map(|size| by_size.remove(size)).unzip();
        let number = u32::try_from(pieces.len() + 1).unwrap_or(u32::MAX);
        let Some((mut same, matched)) = follow(in_order, findings) else {
            continue;
        };
        for piece in &mut same {
            piece.number = number;
        }
        matches.extend(matched);
        written.push(numbers.get(&id).copied().flatten());
        pieces.push((SizedPiece { id, by_size: same.into_iter().map(Arc::new).collect() }, on));
    }
    // Numbers that are written on the pieces count when every piece has its own.
    let own: Option<BTreeSet<u32>> = written.iter().copied().collect();
    if own.is_some_and(|own| own.len() == pieces.len()) {
        for ((sized, _), number) in pieces.iter_mut().zip(written) {
            for piece in &mut sized.by_size {
                Arc::make_mut(piece).number = number.unwrap_or(piece.number);
            }
        }
        pieces.sort_by_key(|(sized, _)| sized.by_size.first().map(|piece| piece.number));
    }
    let (pieces, sheets) = pieces.into_iter().unzip();
    InSizes { sizes: sizes.into_iter().map(SizeId::from).collect(), pieces, matches, sheets }
}

/// The sizes from small to large: by number, by letters, else by the cloth that they take.
fn ordered_sizes(all: &[OfSize]) -> Vec<String> {
    let distinct: BTreeSet<&String> = all.iter().map(|one| &one.size).collect();
    let mut sizes: Vec<String> = distinct.into_iter().cloned().collect();
    let number = |size: &String| size.parse::<f64>().ok().filter(|number| number.is_finite());
    let letter = |size: &String| rank_of_letters(size);
    if sizes.iter().all(|size| number(size).is_some()) {
        sizes.sort_by(|a, b| number(a).partial_cmp(&number(b)).unwrap_or(std::cmp::Ordering::Equal));
    } else if sizes.iter().all(|size| letter(size).is_some()) {
        sizes.sort_by_key(letter);
    } else {
        let cloth = |size: &String| -> f64 {
            let of_size = all.iter().filter(|one| &one.size == size);
            of_size.map(|one| crate::pattern::signed_area(&one.found.piece.polygon())).sum()
        };
        sizes.sort_by(|a, b| cloth(a).total_cmp(&cloth(b)));
    }
    sizes
}

/// Gives pieces without a name that of the piece that they lie on.
fn name_by_place(all: &mut [OfSize], sizes: &[String]) {
    let count = |size: &String| all.iter().filter(|one| &one.size == size).count();
    let Some(reference) = sizes.iter().rev().max_by_key(|size| count(size)).cloned() else {
        return;
    };
    let boxes: Vec<Rect> = all.iter().map(|one| one.found.piece.bounding_box()).collect();
    let overlap = |a: usize, b: usize| {
        let (one, two) = (boxes[a], boxes[b]);
        let shared = one.intersect(two);
        let shared = shared.width().max(0.0) * shared.height().max(0.0);
        shared / (one.area() + two.area() - shared).max(f64::MIN_POSITIVE)
    };
    let of_reference: Vec<usize> = (0..all.len()).filter(|at| all[*at].size == reference).collect();
    for &at in &of_reference {
        if all[at].found.named {
            continue;
        }
        let lying_on =
            (0..all.len()).filter(|other| all[*other].found.named && overlap(at, *other) >= SAME_PLACE);
        if let Some(best) = lying_on.max_by(|a, b| overlap(at, *a).total_cmp(&overlap(at, *b))) {
            all[at].found.piece.id = all[best].found.piece.id.clone();
            all[at].found.named = true;
        }
    }
    for size in sizes.iter().filter(|size| **size != reference) {
        let here: Vec<usize> = (0..all.len()).filter(|at| &all[*at].size == size).collect();
        let mut pairs: Vec<(f64, usize, usize)> = here
            .iter()
            .filter(|at| !all[**at].found.named)
            .flat_map(|at| of_reference.iter().map(move |other| (overlap(*at, *other), *at, *other)))
            .filter(|(share, ..)| *share >= SAME_PLACE)
            .collect();
        pairs.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut taken: BTreeSet<PieceId> = here
            .iter()
            .filter(|at| all[**at].found.named)
            .map(|at| all[*at].found.piece.id.clone())
            .collect();
        let mut done = BTreeSet::new();
        for (_, at, other) in pairs {
            let id = all[other].found.piece.id.clone();
            if done.contains(&at) || !taken.insert(id.clone()) {
                continue;
            }
            done.insert(at);
            all[at].found.piece.id = id;
        }
        for at in here {
            if !all[at].found.named && !done.contains(&at) {
                let own = format!("{} of size {size}", all[at].found.piece.id);
                all[at].found.piece.id = own.into();
            }
        }
    }
}

/// The sizes of a piece with the same corners, edges and notches in each; nothing when it cannot be used.
fn follow(by_size: Vec<Piece>, findings: &mut Vec<Finding>) -> Option<(Vec<Piece>, Option<SizeMatch>)> {
    if by_size.len() == 1 {
        return Some((by_size, None));
    }
    let id = by_size.first()?.id.clone();
    let Some(kept) = corners::in_every_size(&by_size) else {
        let what = format!(
            "The piece was left out: its outline has more than {} corners, too many to follow from size to size",
            corners::MOST_CORNERS
        );
        let remedy = "Draw its curves as curves, or import one size";
        findings.push(Finding::new(Severity::Stop, what, remedy).on(&id));
        return None;
    };
    let reference = &by_size[kept.reference];
    let most = by_size.iter().map(|piece| piece.edges.len()).max().unwrap_or(0);
    let names: Vec<Edge> = edges_between(reference, &kept.by_size[kept.reference], None)?;
    let mut same = Vec::new();
    for (piece, corners) in by_size.iter().zip(&kept.by_size) {
        let edges = edges_between(piece, corners, Some(&names))?;
        same.push(notches::moved(piece, corners, edges));
    }
    let lost = notches::matched(&mut same, kept.reference);
    if lost > 0 {
        let what = format!("{lost} notch(es) are not there in every size and were left out");
        let remedy = "Look at the notches of this piece in each size, and draw those that are missing";
        findings.push(Finding::new(Severity::Warning, what, remedy).on(&id));
    }
    keep_common_marks(&id, &mut same, findings);
    let cuttings = reference.cuttings.clone();
    for piece in &mut same {
        piece.id = id.clone();
        piece.cuttings.clone_from(&cuttings);
    }
    let broken = same.iter().find_map(|piece| piece.faults(None, true).into_iter().next());
    if let Some(fault) = broken {
        let what = format!("The piece was left out: {}", fault.kind);
        let remedy = "Import one size, or mend the drawing where it was made";
        findings.push(Finding::new(Severity::Stop, what, remedy).on(&id));
        return None;
    }
    let dissolved = most - names.len();
    if kept.confidence < SURE {
        let what = format!(
            "The corners of the sizes do not correspond surely ({:.0} of 100): {} were matched, {dissolved} are not in every size",
            kept.confidence * 100.0,
            names.len()
        );
        let remedy = "Compare the edges of two sizes before blending between them";
        findings.push(Finding::new(Severity::Warning, what, remedy).on(&id));
    }
    let matched = SizeMatch { piece: id, corners: names.len(), dissolved, confidence: kept.confidence };
    Some((same, Some(matched)))
}

/// Keeps the darts and lengthen/shorten lines that every size has; the others are told, and lines become inner lines.
fn keep_common_marks(id: &PieceId, same: &mut [Piece], findings: &mut Vec<Finding>) {
    let in_all = |has: &dyn Fn(&Piece, &str) -> bool, name: &str| same.iter().all(|piece| has(piece, name));
    let lines: BTreeSet<String> = same
        .iter()
        .flat_map(|piece| piece.balance_lines.iter().map(|line| line.id.to_string()))
        .filter(|name| {
            in_all(&|piece, name| piece.balance_lines.iter().any(|line| line.id.as_str() == name), name)
        })
        .collect();
    let is_dart = |piece: &Piece, name: &str| {
        let dart = DartId::from(name);
        piece.dart(&dart).is_some() && piece.dart_mouth(&dart).is_some()
    };
    let darts: BTreeSet<String> = same
        .iter()
        .flat_map(|piece| piece.darts.iter().map(|dart| dart.id.to_string()))
        .filter(|name| in_all(&is_dart, name))
        .collect();
    let mut lost = 0;
    for piece in same.iter_mut() {
        let (kept, single): (Vec<_>, Vec<_>) =
            piece.balance_lines.drain(..).partition(|line| lines.contains(line.id.as_str()));
        piece.balance_lines = kept;
        lost += single.len();
        for line in single {
            let curve = crate::geometry::Curve::line(line.line.p0, line.line.p1);
            piece.inner_lines.push(crate::pattern::InnerLine { name: line.id.to_string(), curve });
        }
        lost += piece.darts.iter().filter(|dart| !darts.contains(dart.id.as_str())).count();
        piece.darts.retain(|dart| darts.contains(dart.id.as_str()));
        for edge in &mut piece.edges {
            if matches!(&edge.role, EdgeRole::DartMouth(dart) if !darts.contains(dart.as_str())) {
                edge.role = EdgeRole::Seam;
            }
        }
    }
    if lost > 0 {
        let what = format!(
            "{lost} dart(s) or lengthen/shorten line(s) are not there in every size and were left out"
        );
        let remedy = "Look at this piece in each size, and draw those that are missing";
        findings.push(Finding::new(Severity::Warning, what, remedy).on(id));
    }
}

/// The edges from each kept corner to the next, called and used like `names`, or like the piece's own.
fn edges_between(piece: &Piece, corners: &[usize], names: Option<&[Edge]>) -> Option<Vec<Edge>> {
    let count = piece.edges.len();
    let mut edges = Vec::new();
    for (index, &from) in corners.iter().enumerate() {
        let to = corners[(index + 1) % corners.len()];
        let length = if to > from { to - from } else { to + count - from };
        let mut run = (from..from + length).map(|at| &piece.edges[at % count]);
        let mut edge = run.next()?.clone();
        for next in run {
            edge.curve = edge.curve.joined(&next.curve).ok()?;
            if edge.role != next.role {
                edge.role = EdgeRole::Seam;
            }
            if edge.allowance != next.allowance {
                edge.allowance = None;
            }
        }
        match names {
            Some(names) => {
                let like = names.get(index)?.clone();
                edge = Edge { curve: edge.curve, ..like };
            }
            None => {
                edge.from = format!("corner {}", index + 1).into();
                edge.to = format!("corner {}", (index + 1) % corners.len() + 1).into();
            }
        }
        edges.push(edge);
    }
    Some(edges)
}
