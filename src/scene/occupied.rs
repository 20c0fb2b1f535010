//! Places in a grid of cells with summed counts: whether a box holds any is told without looking at them.
//!
//! The counts are sums over everything below and left of a cell (a summed-area table, after Crow, *Summed-area
//! tables for texture mapping*, SIGGRAPH 1984), so a box costs four look-ups however large it is.

use crate::geometry::{Point, Rect};

/// Most cells a side: a piece as long as the largest coordinate still fits into memory.
const MOST_CELLS: f64 = 400.0;

/// Places, sorted into cells.
#[derive(Debug, Clone)]
pub(super) struct Occupied {
    origin: Point,
    cell_mm: f64,
    columns: usize,
    rows: usize,
    /// Number of places in all cells below and left of a grid corner, `columns + 1` corners a row.
    sums: Vec<usize>,
    /// Where each cell's places begin in `places`, and where the last one's end.
    starts: Vec<usize>,
    places: Vec<Point>,
}

/// A range of cells: columns and rows from the first up to but not including the second.
#[derive(Debug, Clone, Copy)]
struct Cells {
    columns: (usize, usize),
    rows: (usize, usize),
}

impl Occupied {
    /// Sorts places into cells of about `cell_mm`. Places that are no numbers are left out.
    pub(super) fn new(mut places: Vec<Point>, cell_mm: f64) -> Self {
        places.retain(|place| place.is_finite());
        let extent = places.iter().map(|&place| Rect::from_points(place, place));
        let extent = extent.reduce(|all, place| all.union(place)).unwrap_or_default();
        let cell_mm = cell_mm.max(extent.width().max(extent.height()) / MOST_CELLS).max(f64::MIN_POSITIVE);
        let mut occupied = Self {
            origin: extent.origin(),
            cell_mm,
            columns: whole(extent.width() / cell_mm) + 1,
            rows: whole(extent.height() / cell_mm) + 1,
            sums: Vec::new(),
            starts: Vec::new(),
            places: Vec::new(),
        };
        occupied.sort(places);
        occupied
    }

    fn sort(&mut self, mut places: Vec<Point>) {
        places.sort_by_key(|&place| self.cell_of(place));
        self.starts = vec![0; self.columns * self.rows + 1];
        for &place in &places {
            let cell = self.cell_of(place);
            self.starts[cell + 1] += 1;
        }
        self.sums = vec![0; (self.columns + 1) * (self.rows + 1)];
        for row in 0..self.rows {
            let mut in_row = 0;
            for column in 0..self.columns {
                in_row += self.starts[row * self.columns + column + 1];
                let above = (row + 1) * (self.columns + 1) + column + 1;
                self.sums[above] = self.sums[above - self.columns - 1] + in_row;
            }
        }
        for cell in 1..self.starts.len() {
            self.starts[cell] += self.starts[cell - 1];
        }
        self.places = places;
    }

    fn cell_of(&self, place: Point) -> usize {
        let step = (place - self.origin) / self.cell_mm;
        whole(step.y).min(self.rows - 1) * self.columns + whole(step.x).min(self.columns - 1)
    }

    /// Whether some place lies within `wanted` for sure: in a cell that is all within it.
    pub(super) fn surely_touches(&self, wanted: Rect) -> bool {
        let low = (wanted.origin() - self.origin) / self.cell_mm;
        let high = (Point::new(wanted.x1, wanted.y1) - self.origin) / self.cell_mm;
        // The last cells end where the places do, so what reaches over the end takes them whole.
        let within = Cells {
            columns: (whole(low.x.ceil()), whole(high.x.floor()).min(self.columns)),
            rows: (whole(low.y.ceil()), whole(high.y.floor()).min(self.rows)),
        };
        wanted.x0 < wanted.x1 && wanted.y0 < wanted.y1 && self.count(within) > 0
    }

    /// The places in all cells that `wanted` touches: all those within it and some beside it.
    pub(super) fn near(&self, wanted: Rect) -> impl Iterator<Item = Point> {
        let low = (wanted.origin() - self.origin) / self.cell_mm;
        let high = (Point::new(wanted.x1, wanted.y1) - self.origin) / self.cell_mm;
        let is_apart = high.x < 0.0 || high.y < 0.0;
        let touched = Cells {
            columns: (whole(low.x), if is_apart { 0 } else { (whole(high.x) + 1).min(self.columns) }),
            rows: (whole(low.y), (whole(high.y) + 1).min(self.rows)),
        };
        let rows = if self.count(touched) > 0 { touched.rows.0..touched.rows.1 } else { 0..0 };
        rows.flat_map(move |row| {
            let cell = |column: usize| self.starts[row * self.columns + column];
            self.places[cell(touched.columns.0)..cell(touched.columns.1)].iter().copied()
        })
    }

    fn count(&self, cells: Cells) -> usize {
        let (from, to) = cells.columns;
        let (low, high) = cells.rows;
        if from >= to || low >= high {
            return 0;
        }
        let sum = |column: usize, row: usize| self.sums[row * (self.columns + 1) + column];
        sum(to, high) + sum(from, low) - sum(from, high) - sum(to, low)
    }
}

/// Rounded down; nothing below 0.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to a small number before"
)]
fn whole(number: f64) -> usize {
    number.clamp(0.0, 1e6) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn places() -> impl Strategy<Value = Vec<Point>> {
        let place = (-300.0..500.0, -900.0..200.0).prop_map(Point::from);
        proptest::collection::vec(place, 0..200)
    }

    fn boxes() -> impl Strategy<Value = Rect> {
        (-500.0..700.0, -1100.0..400.0, -5.0..300.0, -5.0..300.0)
            .prop_map(|(x, y, width, height): (f64, f64, f64, f64)| Rect::new(x, y, x + width, y + height))
    }

    proptest! {
        #[test]
        fn nothing_within_a_box_is_overlooked(places in places(), wanted in boxes(), cell in 1.0..60.0) {
            let occupied = Occupied::new(places.clone(), cell);
            let holds = |place: &Point| {
                (wanted.x0..=wanted.x1).contains(&place.x) && (wanted.y0..=wanted.y1).contains(&place.y)
            };
            let within = places.iter().filter(|place| holds(place)).count();
            prop_assert_eq!(occupied.near(wanted).filter(holds).count(), within);
            prop_assert!(!occupied.surely_touches(wanted) || within > 0);
        }
    }

    #[test]
    fn without_places_every_box_is_free() {
        let occupied = Occupied::new(vec![Point::new(f64::NAN, 0.0)], 5.0);
        let wanted = Rect::new(-10.0, -10.0, 10.0, 10.0);
        assert!(!occupied.surely_touches(wanted) && occupied.near(wanted).next().is_none());
    }

    #[test]
    fn a_box_over_a_crowd_is_known_to_be_taken() {
        let crowd = (0..100).map(|k| Point::new(f64::from(k % 10), f64::from(k / 10))).collect();
        let occupied = Occupied::new(crowd, 1.0);
        assert!(occupied.surely_touches(Rect::new(2.0, 2.0, 5.0, 5.0)));
        assert!(occupied.surely_touches(Rect::new(-5.0, -5.0, 15.0, 15.0)));
    }
}
