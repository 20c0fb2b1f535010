//! How the cloth lies on the table: flat, or folded so that two plies are cut at once.
//!
//! Two sets of coordinates, both in mm. On the *sheet* the cloth lies flat with its right side up: x along it, y
//! across it from the edge of the usable width. On the *table* it lies as it will be cut; flat, both are the same.
//! A fold along the cloth is the line y = 0 of the table and a fold across it the line x = 0, and the cloth lies on
//! the positive side. The ply that shows its right side when seen from the side that faces up is the *facing* ply;
//! on the *turned* ply the same cut gives the mirror image.

use crate::geometry::{Affine, Length, Rect};
use serde::{Deserialize, Serialize};

/// How the cloth lies on the table.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Plies {
    /// In a single ply, right side up.
    #[default]
    Flat,
    /// Selvedge to selvedge, the fold along the middle.
    FoldedLengthwise {
        /// Which sides touch.
        right_sides: RightSides,
    },
    /// Cut end to cut end, the fold across the middle.
    FoldedCrosswise {
        /// Which sides touch.
        right_sides: RightSides,
    },
    /// One selvedge folded over by some width; the rest is a single ply.
    PartFolded {
        /// Width of the double part.
        folded_over: Length,
        /// Which sides touch.
        right_sides: RightSides,
    },
}

/// Whether the right sides of a folded cloth touch each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum RightSides {
    /// Right sides together.
    In,
    /// Wrong sides together; the print can be seen on both faces.
    Out,
}

/// One ply on the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ply {
    /// From the table to the sheet.
    pub sheet_from_table: Affine,
    /// What it covers of the table.
    pub area: Rect,
}

/// Which way a fold runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FoldWay {
    /// Along the cloth: the line y = 0 of the table.
    Lengthwise,
    /// Across it: the line x = 0 of the table.
    Crosswise,
}

/// Where a fold lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClothFold {
    /// Which way it runs.
    pub way: FoldWay,
    /// Where it lies on the sheet: y of a lengthwise fold, x of a crosswise one, in mm.
    pub on_sheet_mm: f64,
}

impl Plies {
    /// Which sides of a folded cloth touch; `None` when it lies flat.
    #[must_use]
    pub const fn right_sides(&self) -> Option<RightSides> {
        match self {
            Self::Flat => None,
            Self::FoldedLengthwise { right_sides }
            | Self::FoldedCrosswise { right_sides }
            | Self::PartFolded { right_sides, .. } => Some(*right_sides),
        }
    }

    /// The fold of a sheet of some size.
    pub(super) fn fold(&self, sheet: Rect) -> Option<ClothFold> {
        let (way, on_sheet_mm) = match self {
            Self::Flat => return None,
            Self::FoldedLengthwise { .. } => (FoldWay::Lengthwise, 0.5 * sheet.height()),
            Self::FoldedCrosswise { .. } => (FoldWay::Crosswise, 0.5 * sheet.width()),
            Self::PartFolded { folded_over, .. } => {
                let most = 0.5 * sheet.height();
                (FoldWay::Lengthwise, folded_over.mm().clamp(0.0, most))
            }
        };
        Some(ClothFold { way, on_sheet_mm })
    }

    /// The plies of a sheet of some size, the facing one first.
    pub(super) fn of_sheet(&self, sheet: Rect) -> Vec<Ply> {
        let Some(fold) = self.fold(sheet) else {
            return vec![Ply { sheet_from_table: Affine::IDENTITY, area: sheet }];
        };
        let at = fold.on_sheet_mm;
        let (facing, turned) = match fold.way {
            FoldWay::Lengthwise => (
                Rect::new(0.0, 0.0, sheet.width(), sheet.height() - at),
                Rect::new(0.0, 0.0, sheet.width(), at),
            ),
            FoldWay::Crosswise => (
                Rect::new(0.0, 0.0, sheet.width() - at, sheet.height()),
                Rect::new(0.0, 0.0, at, sheet.height()),
            ),
        };
        let (onward, back) = match fold.way {
            FoldWay::Lengthwise => ([1.0, 0.0, 0.0, 1.0, 0.0, at], [1.0, 0.0, 0.0, -1.0, 0.0, at]),
            FoldWay::Crosswise => ([1.0, 0.0, 0.0, 1.0, at, 0.0], [-1.0, 0.0, 0.0, 1.0, at, 0.0]),
        };
        vec![
            Ply { sheet_from_table: Affine::new(onward), area: facing },
            Ply { sheet_from_table: Affine::new(back), area: turned },
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    const SHEET: Rect = Rect::new(0.0, 0.0, 2600.0, 1400.0);

    #[test]
    fn both_plies_meet_in_the_fold_and_end_at_the_selvedges() {
        let fold = Plies::FoldedLengthwise { right_sides: RightSides::In };
        let [facing, turned] = fold.of_sheet(SHEET)[..] else { panic!("two plies") };
        assert_eq!(facing.area, turned.area);
        for ply in [facing, turned] {
            assert_eq!(ply.sheet_from_table * Point::new(50.0, 0.0), Point::new(50.0, 700.0));
        }
        assert_eq!(facing.sheet_from_table * Point::new(50.0, 700.0), Point::new(50.0, 1400.0));
        assert_eq!(turned.sheet_from_table * Point::new(50.0, 700.0), Point::new(50.0, 0.0));
        assert!(turned.sheet_from_table.determinant() < 0.0, "its cut is mirrored");
    }

    #[test]
    fn a_part_fold_leaves_the_rest_single() {
        let fold = Plies::PartFolded { folded_over: "30 cm".parse().unwrap(), right_sides: RightSides::Out };
        let [facing, turned] = fold.of_sheet(SHEET)[..] else { panic!("two plies") };
        assert_eq!(facing.area, Rect::new(0.0, 0.0, 2600.0, 1100.0));
        assert_eq!(turned.area, Rect::new(0.0, 0.0, 2600.0, 300.0));
    }
}
