//! The size nearest to a body.

use crate::geometry::tolerance::JOIN_MM;

/// The entry of a size table nearest to a measurement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Its place in the table.
    pub index: usize,
    /// How far the body lies outside the table, in mm: above 0 beyond its largest, below 0 under its smallest, by more
    /// than half the last step; else 0.
    pub outside_mm: f64,
}

/// The entry of `table` (mm, one a size) nearest to `body_mm`; halfway between two, the larger, which can be taken
/// in. `None` for an empty table or numbers that are none.
#[must_use]
pub fn nearest(table: &[f64], body_mm: f64) -> Option<Nearest> {
    if !body_mm.is_finite() || table.iter().any(|entry| !entry.is_finite()) {
        return None;
    }
    // Converted inches are halfway only to their rounding.
    let off = |index: usize| ((table[index] - body_mm).abs() / JOIN_MM).round();
    let closer = |&a: &usize, &b: &usize| off(a).total_cmp(&off(b)).then(table[b].total_cmp(&table[a]));
    let index = (0..table.len()).min_by(closer)?;
    let mut sorted = table.to_vec();
    sorted.sort_by(f64::total_cmp);
    let (least, most) = (*sorted.first()?, *sorted.last()?);
    let half_step = |from: Option<&[f64]>| from.map_or(0.0, |pair| 0.5 * (pair[1] - pair[0]));
    let below = least - half_step(sorted.windows(2).next());
    let above = most + half_step(sorted.windows(2).last());
    let outside_mm = if body_mm > above {
        body_mm - most
    } else if body_mm < below {
        body_mm - least
    } else {
        0.0
    };
    Some(Nearest { index, outside_mm })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ASTM D5585-11e1, body measurements for adult female misses figure type, sizes 00, 0, 2 … 20: bust and
    /// “straight” waist in inches, as its catalogue page gives them.
    const SIZES: [&str; 12] = ["00", "0", "2", "4", "6", "8", "10", "12", "14", "16", "18", "20"];
    const BUST_IN: [f64; 12] =
        [31.125, 31.75, 33.0, 34.125, 35.25, 36.25, 37.25, 38.75, 40.375, 42.125, 44.0, 46.0];
    const WAIST_IN: [f64; 12] =
        [25.375, 26.125, 26.875, 27.625, 28.5, 29.5, 30.5, 32.25, 34.0, 36.0, 38.25, 40.5];

    fn size(table: &[f64], inches: f64) -> &'static str {
        let mm: Vec<f64> = table.iter().map(|entry| entry * 25.4).collect();
        SIZES[nearest(&mm, inches * 25.4).unwrap().index]
    }

    #[test]
    fn a_body_of_the_standards_table_has_its_own_size() {
        for (index, name) in SIZES.iter().enumerate() {
            assert_eq!(size(&BUST_IN, BUST_IN[index]), *name);
            assert_eq!(size(&WAIST_IN, WAIST_IN[index]), *name);
        }
    }

    #[test]
    fn between_two_sizes_of_the_standard_the_nearer_one_is_taken() {
        // 37 lies ¾ above 8 (36¼) and ¼ below 10 (37¼); 29¾ lies ¼ above 8 (29½) and ¾ below 10 (30½).
        assert_eq!(size(&BUST_IN, 37.0), "10");
        assert_eq!(size(&WAIST_IN, 29.75), "8");
        // A bust of 36¼ with a waist of 32: 8 above, 12 below (32¼; 10 is 30½).
        assert_eq!((size(&BUST_IN, 36.25), size(&WAIST_IN, 32.0)), ("8", "12"));
    }

    #[test]
    fn halfway_the_larger_size_is_taken() {
        // 36¾ is half an inch from 36¼ and from 37¼.
        assert_eq!(size(&BUST_IN, 36.75), "10");
    }

    #[test]
    fn a_body_beyond_the_table_is_said_to_be() {
        let table = [840.0, 880.0, 920.0];
        assert!((nearest(&table, 960.0).unwrap().outside_mm - 40.0).abs() < 1e-9);
        assert!((nearest(&table, 810.0).unwrap().outside_mm + 30.0).abs() < 1e-9);
        assert!(nearest(&table, 935.0).unwrap().outside_mm.abs() < 1e-9);
        assert_eq!(nearest(&[], 880.0), None);
        assert_eq!(nearest(&table, f64::NAN), None);
    }
}
