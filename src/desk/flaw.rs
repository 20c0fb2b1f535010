//! A flaw of the cloth that is being drawn on the board, corner by corner; and what goes when another cloth is put on
//! the table.

use super::{Session, Stop};
use crate::cloth::{Cloth, Flaw, RightSides};
use crate::geometry::{Affine, Point};

/// A flaw that is being drawn.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FlawDrawing {
    corners: Vec<Point>,
}

/// Corners closer than this are one, in mm.
const ONE_CORNER_MM: f64 = 1.0;

impl FlawDrawing {
    /// So many corners make a flaw.
    pub const LEAST_CORNERS: usize = 3;

    /// Its corners so far, on the sheet, in mm.
    #[must_use]
    pub fn corners(&self) -> &[Point] {
        &self.corners
    }

    /// Takes the last corner back.
    pub fn take_back(&mut self) {
        self.corners.pop();
    }

    /// The flaw; `None` before it has enough corners.
    #[must_use]
    pub fn flaw(self) -> Option<Flaw> {
        let enough = self.corners.len() >= Self::LEAST_CORNERS;
        enough.then(|| Flaw { what: "flaw".to_owned(), outline: self.corners })
    }
}

/// From the table to the sheet at a place of the table: by the ply that is seen there.
pub(super) fn sheet_from_table(cloth: &Cloth, on_table: Point) -> Affine {
    let plies = cloth.plies();
    let turned = plies.get(1).filter(|ply| ply.area.contains(on_table));
    // Right sides out, the facing ply lies on top.
    let seen = turned.filter(|_| cloth.plies.right_sides() == Some(RightSides::In)).or_else(|| plies.first());
    seen.map_or(Affine::IDENTITY, |ply| ply.sheet_from_table)
}

impl Session {
    /// Adds a corner, at a place of the surface, to the flaw that is being drawn. `true` when the first corner was
    /// hit again within `reach` (mm), and the flaw is whole.
    pub(super) fn point_to_flaw(&mut self, on_surface: Point, reach: f64) -> bool {
        let Some(cloth) = self.open.plan().cloth() else { return false };
        let on_table = self.open.stand().surface_from_cloth().inverse() * on_surface;
        let exact = sheet_from_table(cloth, on_table) * on_table;
        let Some(flaw) = &mut self.desk.flaw else { return false };
        if flaw.corners.len() >= FlawDrawing::LEAST_CORNERS
            && flaw.corners.first().is_some_and(|first| first.distance(exact) <= reach)
        {
            return true;
        }
        // Nobody points finer than to a millimetre.
        let corner = Point::new(exact.x.round(), exact.y.round());
        if flaw.corners.last().is_none_or(|last| last.distance(corner) >= ONE_CORNER_MM) {
            flaw.corners.push(corner);
        }
        false
    }

    /// Another cloth is on the table: what pointed to the one before points to nothing any more.
    pub(super) fn table_was_changed(&mut self) {
        self.floor.only = None;
        self.floor.rehearsing = false;
        self.floor.pointed = None;
        self.floor.print_seek = None;
        self.desk.held = None;
        self.desk.flaw = None;
        self.desk.let_pass = None;
        for stop in [Stop::Cloth, Stop::Lay] {
            self.desk.looks.fit(stop);
        }
    }
}
