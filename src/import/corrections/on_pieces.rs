//! Corrections of pieces, in every size at once: what is pointed to in one size is found in the others at the same
//! part of the same edge.

use super::super::edges::{self, OnEdge};
use super::super::recognise::role_of;
use super::on_drawing::not_done;
use super::{Correction, PICK_MM};
use crate::finding::Finding;
use crate::geometry::{Curve, Point, Segment};
use crate::pattern::{
    Cutting, EdgeId, EdgeRole, Grainline, HowCut, Pattern, Piece, PieceId, SizeId, SizedPiece,
};
use kurbo::Shape as _;
use std::sync::Arc;

/// A corner is drawn where the outline turns by more than this, in radians (3°).
const DRAWN_CORNER: f64 = 0.05;

/// In other sizes a corner is drawn within this part of the edge's length from where it is expected.
const CORNER_REACH: f64 = 0.04;

/// Puts pieces right. What could not be done is told.
pub(in super::super) fn correct(
    pieces: &mut [SizedPiece],
    sizes: &[SizeId],
    list: &[Correction],
    findings: &mut Vec<Finding>,
) {
    for correction in list {
        let (at, done) = match correction {
            Correction::Corner { at } => (*at, corner(pieces, *at)),
            Correction::NoCorner { at } => (*at, no_corner(pieces, *at)),
            Correction::NamePiece { at, name } => (*at, name_piece(pieces, *at, name, findings)),
            Correction::NameEdge { at, name } => (*at, name_edge(pieces, *at, name)),
            Correction::Grain { from, to } => (from.midpoint(*to), grain(pieces, *from, *to, findings)),
            Correction::Fold { at } => (*at, fold(pieces, *at)),
            _ => continue,
        };
        match done {
            Ok((place, changed)) => {
                let broken = faults(&changed, sizes);
                match broken {
                    None => pieces[place] = changed,
                    Some(why) => findings.push(not_done(correction, at, &why)),
                }
            }
            Err(why) => findings.push(not_done(correction, at, why)),
        }
    }
}

type Changed = Result<(usize, SizedPiece), &'static str>;

/// What keeps a piece from being used, if anything.
fn faults(sized: &SizedPiece, sizes: &[SizeId]) -> Option<String> {
    let nothing = || crate::geometry::Length::from_mm(0.0);
    let alone = Pattern {
        name: "one piece".to_owned(),
        sizes: sizes.to_vec(),
        pieces: vec![sized.clone()],
        seams: Vec::new(),
        allowance: nothing(),
        hem_allowance: nothing(),
        bodies: Vec::new(),
        measures: Vec::new(),
    };
    alone.faults().first().map(ToString::to_string)
}

/// Piece, size and place on its outline nearest to a place on the sheet.
fn on_outline(pieces: &[SizedPiece], at: Point) -> Option<(usize, usize, OnEdge)> {
    let all = pieces.iter().enumerate().flat_map(|(place, sized)| {
        sized.by_size.iter().enumerate().map(move |(size, piece)| (place, size, piece))
    });
    let near = all.filter_map(|(place, size, piece)| {
        if !piece.bounding_box().inflate(PICK_MM, PICK_MM).contains(at) {
            return None;
        }
        let (on, off) = edges::nearest(piece, at)?;
        (off <= PICK_MM).then_some((off, (place, size, on)))
    });
    near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, found)| found)
}

const NO_OUTLINE: &str = "no outline is there";

/// Changes a piece in every size.
fn in_every_size(sized: &SizedPiece, change: impl Fn(&Piece) -> Option<Piece>) -> Option<SizedPiece> {
    let by_size: Option<Vec<Arc<Piece>>> =
        sized.by_size.iter().map(|piece| change(piece).map(Arc::new)).collect();
    let by_size = by_size?;
    Some(SizedPiece { id: by_size.first()?.id.clone(), by_size })
}

/// The place where a curve turns that is nearest to an arc length, within `reach`; else the arc length itself.
fn drawn_corner(curve: &Curve, along: f64, reach: f64) -> f64 {
    let mut so_far = 0.0;
    let mut best: Option<(f64, f64)> = None;
    for pair in curve.segments().windows(2) {
        let [before, after] = pair else { continue };
        so_far += Segment::length(before);
        let (t, u) = (before.tangent(1.0), after.tangent(0.0));
        let off = (so_far - along).abs();
        let turns = t.cross(u).atan2(t.dot(u)).abs() > DRAWN_CORNER;
        if turns && off <= reach && best.is_none_or(|(known, _)| off < known) {
            best = Some((off, so_far));
        }
    }
    best.map_or(along, |(_, place)| place)
}

fn corner(pieces: &[SizedPiece], at: Point) -> Changed {
    let (place, size, (edge, along)) = on_outline(pieces, at).ok_or(NO_OUTLINE)?;
    let sized = &pieces[place];
    let pointed = &sized.by_size[size].edges[edge].curve;
    let part = drawn_corner(pointed, along, PICK_MM) / pointed.length();
    let changed = in_every_size(sized, |piece| {
        let curve = &piece.edges.get(edge)?.curve;
        let along = drawn_corner(curve, part * curve.length(), CORNER_REACH * curve.length());
        edges::with_corner(piece, (edge, along)).map(|(piece, _)| piece)
    });
    let changed = changed.ok_or("the outline cannot be parted there")?;
    if changed == *sized {
        return Err("there is a corner already");
    }
    Ok((place, changed))
}

fn no_corner(pieces: &[SizedPiece], at: Point) -> Changed {
    let all = pieces.iter().enumerate().flat_map(|(place, sized)| {
        sized.by_size.iter().flat_map(move |piece| {
            let corners = piece.edges.iter().enumerate();
            corners.map(move |(index, edge)| (edge.curve.start().distance(at), place, index))
        })
    });
    let near = all.filter(|(off, ..)| *off <= PICK_MM).min_by(|a, b| a.0.total_cmp(&b.0));
    let (_, place, index) = near.ok_or("no corner is there")?;
    let changed = in_every_size(&pieces[place], |piece| edges::without_corner(piece, index));
    Ok((place, changed.ok_or("the edges on either side cannot become one")?))
}

/// The piece that a place lies in, in any size: the smallest.
fn piece_at(pieces: &[SizedPiece], at: Point) -> Option<usize> {
    let inside = pieces.iter().enumerate().flat_map(|(place, sized)| {
        let holding = sized.by_size.iter().filter(|piece| piece.outline().contains(at));
        holding.map(move |piece| (piece.outline().area().abs(), place))
    });
    inside.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, place)| place)
}

fn name_piece(pieces: &[SizedPiece], at: Point, name: &str, findings: &mut [Finding]) -> Changed {
    let place = piece_at(pieces, at).ok_or("no piece is there")?;
    let id = PieceId::from(name.trim());
    if id.as_str().is_empty() {
        return Err("the name is empty");
    }
    if pieces.iter().enumerate().any(|(other, sized)| other != place && sized.id == id) {
        return Err("another piece is called so");
    }
    let old = &pieces[place].id;
    for finding in findings.iter_mut().filter(|finding| finding.piece.as_ref() == Some(old)) {
        finding.piece = Some(id.clone());
    }
    let changed = in_every_size(&pieces[place], |piece| Some(Piece { id: id.clone(), ..piece.clone() }));
    Ok((place, changed.ok_or("the piece has no size")?))
}

fn name_edge(pieces: &[SizedPiece], at: Point, name: &str) -> Changed {
    let (place, _, (index, _)) = on_outline(pieces, at).ok_or(NO_OUTLINE)?;
    let id = EdgeId::from(name.trim());
    if id.as_str().is_empty() {
        return Err("the name is empty");
    }
    let changed = in_every_size(&pieces[place], |piece| {
        if piece.edges.iter().enumerate().any(|(other, edge)| other != index && edge.id == id) {
            return None;
        }
        let mut named = piece.clone();
        let edge = named.edges.get_mut(index)?;
        let old = std::mem::replace(&mut edge.id, id.clone());
        if edge.role == EdgeRole::Seam {
            edge.role = role_of(id.as_str(), &edge.curve);
        }
        named.notches.iter_mut().filter(|notch| notch.edge == old).for_each(|notch| notch.edge = id.clone());
        Some(named)
    });
    Ok((place, changed.ok_or("another edge of the piece is called so")?))
}

fn grain(pieces: &[SizedPiece], from: Point, to: Point, findings: &mut Vec<Finding>) -> Changed {
    let place = piece_at(pieces, from.midpoint(to)).ok_or("no piece is there")?;
    if from.distance(to) < PICK_MM {
        return Err("its ends are the same place");
    }
    let id = &pieces[place].id;
    findings.retain(|finding| !(finding.piece.as_ref() == Some(id) && finding.what.contains("grainline")));
    let changed = in_every_size(&pieces[place], |piece| {
        Some(Piece { grainline: Grainline { from, to }, ..piece.clone() })
    });
    Ok((place, changed.ok_or("the piece has no size")?))
}

fn fold(pieces: &[SizedPiece], at: Point) -> Changed {
    let (place, _, (index, _)) = on_outline(pieces, at).ok_or(NO_OUTLINE)?;
    let changed = in_every_size(&pieces[place], |piece| {
        let mut folded = piece.clone();
        for edge in folded.edges.iter_mut().filter(|edge| edge.role == EdgeRole::Fold) {
            edge.role = EdgeRole::Seam;
        }
        let edge = folded.edges.get_mut(index)?;
        let chord = edge.curve.start().distance(edge.curve.end());
        if edge.curve.length() - chord > 0.01 {
            return None;
        }
        edge.role = EdgeRole::Fold;
        edge.allowance = None;
        let single = |cutting: &&mut Cutting| cutting.how == HowCut::Single;
        folded.cuttings.iter_mut().filter(single).for_each(|cutting| cutting.how = HowCut::OnFold);
        Some(folded)
    });
    Ok((place, changed.ok_or("the edge is not straight in every size")?))
}
