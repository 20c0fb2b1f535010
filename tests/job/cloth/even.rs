//! Whether bars are even, against the handbooks' fold done on painted cloth.

use super::bars;
use proptest::prelude::*;

/// The colour at a place across the cloth, painted bar by bar; ground is 255.
fn painted(list: &[(f64, f64, u8)], at: f64) -> u8 {
    let period: f64 = list.iter().map(|(width, gap, _)| width + gap).sum();
    let mut left = at.rem_euclid(period);
    for &(width, gap, shade) in list {
        if left < width {
            return shade;
        }
        left -= width;
        if left < gap {
            return 255;
        }
        left -= gap;
    }
    255
}

/// The test of Pacific Northwest Extension PNW187, *Sewing with Stripes, Checks, and Plaids*, on painted cloth: fold
/// at the centre of a bar (any of them, or of a gap) and look whether the bars of both layers coincide.
fn folds_upon_itself(list: &[(f64, f64, u8)]) -> bool {
    let period: f64 = list.iter().map(|(width, gap, _)| width + gap).sum();
    let mut middles = Vec::new();
    let mut from = 0.0;
    for &(width, gap, _) in list {
        middles.push(from + 0.5 * width);
        middles.push(from + width + 0.5 * gap);
        from += width + gap;
    }
    middles.into_iter().any(|fold| {
        // Odd quarters of a millimetre never fall on the edge of a bar that is measured in whole ones.
        let mut off = 0.25;
        let mut same = true;
        while off < period {
            same &= painted(list, fold + off) == painted(list, fold - off);
            off += 0.5;
        }
        same
    })
}

#[test]
fn plaids_of_the_handbooks_are_judged_as_by_folding() {
    for (list, even) in [
        // One bar.
        (vec![(24.0, 72.0, 1)], true),
        // Balanced: the bars beside the main bar are the same on both sides.
        (vec![(30.0, 10.0, 1), (6.0, 12.0, 2), (6.0, 10.0, 2)], true),
        (vec![(30.0, 8.0, 1), (10.0, 6.0, 2), (4.0, 6.0, 3), (10.0, 8.0, 2)], true),
        // The same bars at other distances.
        (vec![(30.0, 10.0, 1), (6.0, 12.0, 2), (6.0, 14.0, 2)], false),
        // The garden coat's stripe.
        (vec![(24.0, 12.0, 1), (16.0, 8.0, 2), (4.0, 32.0, 3)], false),
        // The same widths, other colours.
        (vec![(30.0, 10.0, 1), (6.0, 12.0, 2), (6.0, 10.0, 3)], false),
        // Two colours side by side, no ground.
        (vec![(30.0, 0.0, 1), (20.0, 0.0, 2)], true),
        (vec![(30.0, 0.0, 1), (20.0, 0.0, 2), (10.0, 0.0, 3)], false),
    ] {
        assert_eq!(folds_upon_itself(&list), even, "folding {list:?}");
        assert_eq!(bars(&list).are_even(), even, "{list:?}");
    }
}

proptest! {
    /// Random bars in whole millimetres, some made even on purpose, against the fold of painted cloth.
    #[test]
    fn even_is_what_folding_says(
        list in prop::collection::vec((2..20_u8, 1..20_u8, 0..3_u8), 1..5),
        back in any::<bool>(),
    ) {
        let mut list: Vec<_> = list
            .into_iter()
            .map(|(width, gap, shade)| (2.0 * f64::from(width), 2.0 * f64::from(gap), shade))
            .collect();
        if back {
            let there = list.clone();
            for pair in there.windows(2).rev() {
                list.push((pair[0].0, if list.len() + 1 == 2 * there.len() - 1 { 10.0 } else { pair[0].1 }, pair[0].2));
            }
        }
        prop_assert_eq!(bars(&list).are_even(), folds_upon_itself(&list), "{:?}", list);
    }

    /// A list of unequal widths in rising order has no mirror image.
    #[test]
    fn bars_that_only_grow_are_uneven(first in 2..10_u8, steps in prop::collection::vec(2..9_u8, 2..5)) {
        let mut width = f64::from(first);
        let mut list = vec![(width, 10.0, 1)];
        for step in steps {
            width += f64::from(step);
            list.push((width, 10.0, 1));
        }
        prop_assert!(!bars(&list).are_even());
    }
}
