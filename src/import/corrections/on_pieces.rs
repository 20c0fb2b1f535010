//! Corrections of pieces, in every size at once: what is pointed to in one size is found in the others at the same
//! part of the same edge.

use super::super::edges::{self, OnEdge};
use super::super::recognise::role_of;
use super::on_drawing::not_done;
use super::{Correction, PICK_MM};
use crate::finding::Finding;
use crate::geometry::{Curve, Point, Segment, Vec2};
use crate::pattern::{
    Cutting, EdgeId, EdgeRole, Grainline, HowCut, Pattern, Piece, PieceId, SizeId, SizedPiece,
};
use kurbo::Shape as _;
use std::sync::Arc;

/// A corner is drawn where the outline turns by more than this, in radians (3°).
const DRAWN_CORNER: f64 = 0.05;

/// In other sizes a corner is drawn within this part of the edge's length from where it is expected.
const CORNER_REACH: f64 = 0.04;

/// Puts pieces right; `sheets` says on which of the drawings each is in each size. What could not be done is told.
pub(in super::super) fn correct(
    pieces: &mut [SizedPiece],
    sheets: &[Vec<usize>],
    sizes: &[SizeId],
    list: &[Correction],
    findings: &mut Vec<Finding>,
) {
    for correction in list {
        let (at, done) = match correction {
            Correction::Corner { at, sheet } => (*at, corner(&On { pieces, sheets, sheet: *sheet }, *at)),
            Correction::NoCorner { at, sheet } => {
                (*at, no_corner(&On { pieces, sheets, sheet: *sheet }, *at))
            }
            Correction::NamePiece { at, name, sheet } => {
                (*at, name_piece(&On { pieces, sheets, sheet: *sheet }, *at, name, findings))
            }
            Correction::NameEdge { at, name, sheet } => {
                (*at, name_edge(&On { pieces, sheets, sheet: *sheet }, *at, name))
            }
            Correction::Grain { from, to, sheet } => {
                (from.midpoint(*to), grain(&On { pieces, sheets, sheet: *sheet }, *from, *to, findings))
            }
            Correction::Fold { at, sheet } => (*at, fold(&On { pieces, sheets, sheet: *sheet }, *at)),
            _ => continue,
        };
        match done {
            Ok((place, changed)) => {
                let broken = faults(&changed, sizes);
                match broken {
                    None => pieces[place] = changed,
                    Some(why) => findings.push(not_done(correction, Some(at), &why)),
                }
            }
            Err(why) => findings.push(not_done(correction, Some(at), why)),
        }
    }
}

/// The pieces, and the sheet that was pointed to.
struct On<'a> {
    pieces: &'a [SizedPiece],
    sheets: &'a [Vec<usize>],
    sheet: usize,
}

impl<'a> On<'a> {
    /// What lies on the sheet: place of the piece, place of the size, and the piece in it.
    fn there(&self) -> impl Iterator<Item = (usize, usize, &'a Piece)> + use<'a> {
        let (pieces, sheets, sheet) = (self.pieces, self.sheets, self.sheet);
        pieces.iter().enumerate().flat_map(move |(place, sized)| {
            let on = sheets.get(place).map(Vec::as_slice).unwrap_or_default();
            let sizes = sized.by_size.iter().enumerate().zip(on).filter(move |(_, on)| **on == sheet);
            sizes.map(move |((size, piece), _)| (place, size, &**piece))
        })
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
fn on_outline(on: &On<'_>, at: Point) -> Option<(usize, usize, OnEdge)> {
    let near = on.there().filter_map(|(place, size, piece)| {
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

fn corner(on: &On<'_>, at: Point) -> Changed {
    let (place, size, (edge, along)) = on_outline(on, at).ok_or(NO_OUTLINE)?;
    let sized = &on.pieces[place];
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

fn no_corner(on: &On<'_>, at: Point) -> Changed {
    let all = on.there().flat_map(|(place, _, piece)| {
        let corners = piece.edges.iter().enumerate();
        corners.map(move |(index, edge)| (edge.curve.start().distance(at), place, index))
    });
    let near = all.filter(|(off, ..)| *off <= PICK_MM).min_by(|a, b| a.0.total_cmp(&b.0));
    let (_, place, index) = near.ok_or("no corner is there")?;
    let changed = in_every_size(&on.pieces[place], |piece| edges::without_corner(piece, index));
    Ok((place, changed.ok_or("the edges on either side cannot become one")?))
}

/// The piece that a place lies in, and its size: the smallest.
fn piece_at(on: &On<'_>, at: Point) -> Option<(usize, usize)> {
    let holding = on.there().filter(|(.., piece)| piece.outline().contains(at));
    let inside = holding.map(|(place, size, piece)| (piece.outline().area().abs(), place, size));
    inside.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, place, size)| (place, size))
}

fn name_piece(on: &On<'_>, at: Point, name: &str, findings: &mut [Finding]) -> Changed {
    let pieces = on.pieces;
    let (place, _) = piece_at(on, at).ok_or("no piece is there")?;
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

fn name_edge(on: &On<'_>, at: Point, name: &str) -> Changed {
    let pieces = on.pieces;
    let (place, _, (index, _)) = on_outline(on, at).ok_or(NO_OUTLINE)?;
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

fn grain(on: &On<'_>, from: Point, to: Point, findings: &mut Vec<Finding>) -> Changed {
    let pieces = on.pieces;
    let (place, size) = piece_at(on, from.midpoint(to)).ok_or("no piece is there")?;
    if from.distance(to) < PICK_MM {
        return Err("its ends are the same place");
    }
    let id = &pieces[place].id;
    findings.retain(|finding| !(finding.piece.as_ref() == Some(id) && finding.what.contains("grainline")));
    // On another sheet the piece lies elsewhere, and its grainline with it.
    let middle = |size: usize| pieces[place].by_size[size].bounding_box().center();
    let by_size =
        pieces[place].by_size.iter().zip(&on.sheets[place]).enumerate().map(|(other, (piece, sheet))| {
            let off = if *sheet == on.sheet { Vec2::ZERO } else { middle(other) - middle(size) };
            Arc::new(Piece { grainline: Grainline { from: from + off, to: to + off }, ..Piece::clone(piece) })
        });
    Ok((place, SizedPiece { id: id.clone(), by_size: by_size.collect() }))
}

fn fold(on: &On<'_>, at: Point) -> Changed {
    let pieces = on.pieces;
    let (place, _, (index, _)) = on_outline(on, at).ok_or(NO_OUTLINE)?;
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
