//! A motif's places as a tape finds them: how soon it comes again along the cloth, how far its columns are apart, and by
//! how much the next column is dropped. Half the repeat is the trade's half-drop.

use super::Lattice;
use crate::geometry::Vec2;

/// Places in columns along the cloth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Columns {
    /// From one motif to the next in its column, along the cloth, in mm.
    pub repeat_mm: f64,
    /// From one column to the next, across the cloth, in mm.
    pub apart_mm: f64,
    /// By how much the next column is moved along the cloth, in mm.
    pub drop_mm: f64,
}

/// Steps of a motif that are looked at for one along the cloth.
const MOST_STEPS: i32 = 12;

/// A step is along the cloth if it leaves it by less, in mm.
const ALONG_MM: f64 = 1e-6;

impl Columns {
    /// The columns of a lattice; `None` where no few of its steps lead back into the column.
    #[must_use]
    pub fn of(lattice: &Lattice) -> Option<Self> {
        let [next, along] = lattice.steps;
        // As written by [`Columns::steps`]: numbers stay as they were typed, sound or not.
        if along.y == 0.0 {
            return Some(Self { repeat_mm: along.x, apart_mm: next.y, drop_mm: next.x });
        }
        let apart_mm = lattice.column_pitch_mm()?;
        let [a, b] = lattice.reduced().steps;
        let counts = -MOST_STEPS..=MOST_STEPS;
        let pairs = counts.clone().flat_map(|i| counts.clone().map(move |j| (i, j)));
        let ways: Vec<Vec2> = pairs.map(|(i, j)| f64::from(i) * a + f64::from(j) * b).collect();
        let in_column = ways.iter().filter(|way| way.y.abs() < ALONG_MM && way.x > ALONG_MM);
        let repeat_mm = in_column.map(|way| way.x).min_by(f64::total_cmp)?;
        let beside = ways.iter().filter(|way| (way.y - apart_mm).abs() < ALONG_MM);
        let drops = beside.map(|way| way.x.rem_euclid(repeat_mm));
        // What is rounded to a whole repeat is no drop.
        let drops = drops.map(|drop| if repeat_mm - drop < ALONG_MM { 0.0 } else { drop });
        let drop_mm = drops.min_by(f64::total_cmp)?;
        Some(Self { repeat_mm, apart_mm, drop_mm })
    }

    /// The steps of a motif in such columns.
    #[must_use]
    pub const fn steps(&self) -> [Vec2; 2] {
        [Vec2::new(self.drop_mm, self.apart_mm), Vec2::new(self.repeat_mm, 0.0)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    fn of(steps: [Vec2; 2]) -> Columns {
        Columns::of(&Lattice { origin: Point::ORIGIN, steps }).unwrap()
    }

    #[test]
    fn a_half_drop_is_told_however_its_steps_are_written() {
        let half = Columns { repeat_mm: 140.0, apart_mm: 96.0, drop_mm: 70.0 };
        assert_eq!(of(half.steps()), half);
        assert_eq!(of([Vec2::new(70.0, 96.0), Vec2::new(0.0, 192.0)]), half);
        let square = of([Vec2::new(0.0, 60.0), Vec2::new(80.0, 60.0)]);
        assert_eq!(square, Columns { repeat_mm: 80.0, apart_mm: 60.0, drop_mm: 0.0 });
    }

    #[test]
    fn what_was_typed_stays_as_it_was_typed_even_if_it_spans_nothing() {
        let none = Columns { repeat_mm: 0.0, apart_mm: -5.0, drop_mm: 300.0 };
        assert_eq!(of(none.steps()), none);
        let lattice = Lattice { origin: Point::ORIGIN, steps: [Vec2::new(1.0, 1.0), Vec2::new(2.0, 2.0)] };
        assert_eq!(Columns::of(&lattice), None);
    }
}
