//! Pieces laid on a cloth: which of them lie under one ply and which under two, and what is cut of each.

use super::{LayRules, Outline, Part, Parts, Place};
use crate::cloth::{Cloth, FoldWay, Ply};
use crate::geometry::{Affine, Point, Rect, Vec2};
use crate::pattern::PieceId;

/// A lay: places of parts on a cloth, and the rules that they are to keep.
#[derive(Debug, Clone, Copy)]
pub struct Laid<'a> {
    /// The cloth.
    pub cloth: &'a Cloth,
    /// What is cut from it.
    pub parts: &'a Parts,
    /// Where each lies.
    pub places: &'a [Place],
    /// What is set about the rules.
    pub rules: &'a LayRules,
}

/// A piece may lie this much over an edge or off a fold, in mm.
pub(super) const ON_EDGE_MM: f64 = 0.01;

/// The lay looked at: every place with its part, its outline on the table and the copies that it gives.
#[derive(Debug)]
pub(super) struct Table<'a> {
    pub(super) laid: Laid<'a>,
    pub(super) extent: Rect,
    pub(super) plies: Vec<Ply>,
    pub(super) spots: Vec<Spot<'a>>,
}

/// One place looked at.
#[derive(Debug)]
pub(super) struct Spot<'a> {
    /// Number of the place in the lay.
    pub(super) index: usize,
    pub(super) place: &'a Place,
    pub(super) part_index: usize,
    pub(super) part: &'a Part,
    pub(super) table_from_piece: Affine,
    /// What is cut, on the table.
    pub(super) outline: Outline,
    pub(super) under: Under,
    /// The copies that come of it.
    pub(super) copies: Vec<CopyOnSheet>,
}

/// What a place lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Under {
    /// A single ply.
    Single,
    /// Two plies.
    Double,
    /// Partly one and partly two.
    Both,
}

/// One copy of a piece as it lies on the flat sheet.
#[derive(Debug, Clone)]
pub(super) struct CopyOnSheet {
    /// Which copy, from 1.
    pub(super) number: u32,
    /// From the piece to the sheet; of a piece with a fold also from its other half, drawn as the first.
    pub(super) halves: Vec<OnSheet>,
}

/// From a piece to the table and to the sheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct OnSheet {
    pub(super) table_from_piece: Affine,
    pub(super) sheet_from_piece: Affine,
}

impl OnSheet {
    pub(super) fn is_mirrored(&self) -> bool {
        self.sheet_from_piece.determinant() < 0.0
    }

    /// From the table to the sheet, on the ply that it is cut from.
    pub(super) fn sheet_from_table(self) -> Affine {
        self.sheet_from_piece * self.table_from_piece.inverse()
    }

    /// Where a direction of the piece points on the sheet.
    pub(super) fn direction(&self, of_piece: Vec2) -> Vec2 {
        let origin = self.sheet_from_piece * Point::ORIGIN;
        self.sheet_from_piece * of_piece.to_point() - origin
    }
}

impl<'a> Laid<'a> {
    pub(super) fn table(self) -> Table<'a> {
        let plies = self.cloth.plies();
        let extent = self.cloth.extent();
        let double = self.cloth.double_area();
        let fold = self.cloth.fold().map(|fold| fold.way);
        let spots = self
            .places
            .iter()
            .enumerate()
            .filter(|(_, place)| place.is_somewhere())
            .filter_map(|(index, place)| {
                let part_index = self.parts.index(&place.piece)?;
                let part = &self.parts.all()[part_index];
                Some(spot((index, place), (part_index, part), &plies, extent, double.zip(fold)))
            })
            .collect();
        Table { laid: self, extent, plies, spots }
    }

    /// The copies that are cut at each place of the lay, in the lay's order: two where two plies lie under it.
    #[must_use]
    pub fn copies_cut(self) -> Vec<Vec<u32>> {
        let places = self.places;
        let mut copies: Vec<Vec<u32>> = places.iter().map(|place| vec![place.copy]).collect();
        for spot in self.table().spots {
            if let Some(known) = copies.get_mut(spot.index) {
                *known = spot.copies.iter().map(|copy| copy.number).collect();
            }
        }
        copies
    }

    /// Length of cloth that the lay takes: from the cut end to the furthest point of a piece, in mm, as it lies on
    /// the table.
    #[must_use]
    pub fn used_length_mm(&self) -> f64 {
        let table = self.table();
        let ends = table.spots.iter().map(|spot| spot.outline.bounds().x1);
        ends.fold(0.0, f64::max)
    }
}

fn spot<'a>(
    (index, place): (usize, &'a Place),
    (part_index, part): (usize, &'a Part),
    plies: &[Ply],
    extent: Rect,
    double: Option<(Rect, FoldWay)>,
) -> Spot<'a> {
    let table_from_piece = place.cloth_from_piece(&part.piece);
    let half = part.half().moved(table_from_piece);
    let (under, outline) = match double {
        None => (Under::Single, whole(part, half, table_from_piece)),
        Some((area, _)) if area == extent => (Under::Double, half),
        Some((area, way)) => {
            let (far, reach) = match way {
                FoldWay::Lengthwise => (area.y1, span(&half, |rect| (rect.y0, rect.y1))),
                FoldWay::Crosswise => (area.x1, span(&half, |rect| (rect.x0, rect.x1))),
            };
            let opened = whole(part, half.clone(), table_from_piece);
            let opened_from = match way {
                FoldWay::Lengthwise => opened.bounds().y0,
                FoldWay::Crosswise => opened.bounds().x0,
            };
            if opened_from >= far - ON_EDGE_MM {
                (Under::Single, opened)
            } else if reach.1 <= far + ON_EDGE_MM {
                (Under::Double, half)
            } else {
                (Under::Both, half)
            }
        }
    };
    let sheet = |ply: &Ply, table_from_piece: Affine| OnSheet {
        table_from_piece,
        sheet_from_piece: ply.sheet_from_table * table_from_piece,
    };
    let mut copies = Vec::new();
    if let Some(facing) = plies.first() {
        let first = sheet(facing, table_from_piece);
        match (under, plies.get(1)) {
            (Under::Double | Under::Both, Some(turned)) => {
                let second = sheet(turned, table_from_piece);
                if part.fold().is_some() {
                    copies.push(CopyOnSheet { number: place.copy, halves: vec![first, second] });
                } else {
                    for (number, half) in [(place.copy, first), (place.copy.saturating_add(1), second)] {
                        copies.push(CopyOnSheet { number, halves: vec![half] });
                    }
                }
            }
            _ => {
                let other = part.mirror().map(|mirror| sheet(facing, table_from_piece * mirror));
                copies.push(CopyOnSheet {
                    number: place.copy,
                    halves: std::iter::once(first).chain(other).collect(),
                });
            }
        }
    }
    Spot { index, place, part_index, part, table_from_piece, outline, under, copies }
}

fn whole(part: &Part, half: Outline, table_from_piece: Affine) -> Outline {
    if part.fold().is_some() { part.whole().moved(table_from_piece) } else { half }
}

fn span(outline: &Outline, of: impl Fn(Rect) -> (f64, f64)) -> (f64, f64) {
    of(outline.bounds())
}

impl Spot<'_> {
    pub(super) fn id(&self) -> &PieceId {
        &self.place.piece
    }

    /// `“front”, copy 2`
    pub(super) fn name(&self) -> String {
        name(&self.place.piece, self.place.copy)
    }

    /// The place, moved on the table.
    pub(super) fn moved(&self, by: Vec2) -> Place {
        Place { at: self.place.at + by, ..self.place.clone() }
    }

    /// The place, turned about the middle of what is cut, counter-clockwise.
    pub(super) fn turned(&self, degrees: f64) -> Place {
        let about = Affine::rotate_about(degrees.to_radians(), self.outline.bounds().center());
        Place {
            at: about * self.place.at,
            turn_degrees: (self.place.turn_degrees + degrees).rem_euclid(360.0),
            ..self.place.clone()
        }
    }

    /// A place of the table on the piece.
    pub(super) fn on_piece(&self, table: Point) -> Point {
        self.table_from_piece.inverse() * table
    }
}

/// `“front”, copy 2`
pub(super) fn name(piece: &PieceId, copy: u32) -> String {
    format!("“{piece}”, copy {copy},")
}
