//! Bars side by side, and whether their order reads the same both ways.
//!
//! A bar list is *even* when it equals its own reverse under some cyclic shift: folded at the middle of the right
//! bar, the bars of both halves coincide. That is the handbooks' test with a turned-back corner (Pacific Northwest
//! Extension PNW187, *Sewing with Stripes, Checks, and Plaids*), done on numbers. Where the cloth may be folded is a
//! by-product: the mirror lines.

use super::Colour;
use crate::geometry::Length;
use serde::{Deserialize, Serialize};

/// Bars side by side, repeated.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bars {
    /// Where the first bar of some repeat begins, in mm from the edge of the usable width (or from the cut end).
    pub start_mm: f64,
    /// The bars of one repeat, in order.
    pub bars: Vec<Bar>,
    /// One repeat, where it was measured over many and is known better than the sum of its bars. Bars and gaps
    /// are then stretched to it alike.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repeat: Option<Length>,
}

/// One bar and the ground after it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bar {
    /// Width in mm.
    pub width_mm: f64,
    /// Ground up to the next bar, in mm.
    pub gap_mm: f64,
    /// Its colour.
    pub colour: Colour,
}

/// A bar, or the ground between two, within the first repeat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Where its middle lies, in mm from the edge of the usable width (or from the cut end).
    pub middle_mm: f64,
    /// Its width in mm.
    pub width_mm: f64,
    /// Its colour; `None` for ground.
    pub colour: Option<Colour>,
}

/// Widths that differ by less count as the same, in mm: half the finest division of a tape.
pub const EVEN_MM: f64 = 0.5;

/// A band narrower than this is none.
const NO_WIDTH_MM: f64 = 1e-6;

impl Bars {
    /// The bars of a list, beginning at a place, their repeat being their sum.
    #[must_use]
    pub const fn new(start_mm: f64, bars: Vec<Bar>) -> Self {
        Self { start_mm, bars, repeat: None }
    }

    /// The repeat in mm: as measured, else all bars and gaps.
    #[must_use]
    pub fn period_mm(&self) -> f64 {
        self.repeat.as_ref().map_or_else(|| self.sum_mm(), Length::mm)
    }

    /// All bars and gaps of one repeat, in mm.
    #[must_use]
    pub fn sum_mm(&self) -> f64 {
        self.bars.iter().map(|bar| bar.width_mm + bar.gap_mm).sum()
    }

    /// All bars of one repeat without the gaps, in mm.
    #[must_use]
    pub fn inked_mm(&self) -> f64 {
        self.bars.iter().map(|bar| bar.width_mm).sum()
    }

    /// Whether the list can be a print: widths above nothing, gaps not below it, and a repeat of some size.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        let sum = self.sum_mm();
        !self.bars.is_empty()
            && self.start_mm.is_finite()
            && self.bars.iter().all(|bar| bar.width_mm > 0.0 && bar.gap_mm >= 0.0 && sum.is_finite())
            && self.period_mm() >= super::SMALLEST_REPEAT_MM
    }

    /// Bars and gaps of the first repeat as they alternate, touching bars of one colour taken together.
    fn bands(&self) -> Vec<Band> {
        let sum = self.sum_mm();
        let stretch = if sum > 0.0 { self.period_mm() / sum } else { 1.0 };
        let mut from = self.start_mm;
        let mut bands: Vec<Band> = Vec::with_capacity(2 * self.bars.len());
        for bar in &self.bars {
            for (width, colour) in [(bar.width_mm, Some(bar.colour)), (bar.gap_mm, None)] {
                let width_mm = width * stretch;
                if width_mm <= NO_WIDTH_MM {
                    continue;
                }
                match bands.last_mut().filter(|before| before.colour == colour) {
                    Some(before) => {
                        before.width_mm += width_mm;
                        before.middle_mm += 0.5 * width_mm;
                    }
                    None => bands.push(Band { middle_mm: from + 0.5 * width_mm, width_mm, colour }),
                }
                from += width_mm;
            }
        }
        // The last may run on into the first of the next repeat.
        if bands.len() > 1
            && let (Some(first), Some(last)) = (bands.first().copied(), bands.last_mut())
            && first.colour == last.colour
        {
            last.width_mm += first.width_mm;
            last.middle_mm += 0.5 * first.width_mm;
            bands.remove(0);
        }
        bands
    }

    /// Middles of the bands at which a fold brings like upon like, in mm, within one repeat; empty when the bars
    /// are uneven. A single colour from edge to edge answers its one middle.
    #[must_use]
    pub fn mirror_lines_mm(&self) -> Vec<f64> {
        let bands = self.bands();
        let count = bands.len();
        let alike = |a: &Band, b: &Band| a.colour == b.colour && (a.width_mm - b.width_mm).abs() < EVEN_MM;
        // Neighbours differ in colour, so a mirror line can only be the middle of a band.
        let mirrors = |middle: usize| {
            (1..=count / 2)
                .all(|off| alike(&bands[(middle + off) % count], &bands[(middle + count - off) % count]))
        };
        (0..count).filter(|&middle| mirrors(middle)).map(|middle| bands[middle].middle_mm).collect()
    }

    /// Whether the bars equal their own reverse under some cyclic shift.
    #[must_use]
    pub fn are_even(&self) -> bool {
        !self.mirror_lines_mm().is_empty()
    }

    /// A bar of the first repeat, counted from 1.
    #[must_use]
    pub fn bar(&self, number: u32) -> Option<Band> {
        self.band(number, false)
    }

    /// The ground after a bar of the first repeat, counted from 1.
    #[must_use]
    pub fn gap(&self, number: u32) -> Option<Band> {
        self.band(number, true)
    }

    fn band(&self, number: u32, ground: bool) -> Option<Band> {
        let index = usize::try_from(number).ok()?.checked_sub(1)?;
        let bar = self.bars.get(index)?;
        let sum = self.sum_mm();
        let stretch = if sum > 0.0 { self.period_mm() / sum } else { 1.0 };
        let before: f64 = self.bars[..index].iter().map(|bar| bar.width_mm + bar.gap_mm).sum();
        let (from, width) = if ground { (before + bar.width_mm, bar.gap_mm) } else { (before, bar.width_mm) };
        Some(Band {
            middle_mm: self.start_mm + stretch * (from + 0.5 * width),
            width_mm: stretch * width,
            colour: (!ground).then_some(bar.colour),
        })
    }

    /// Number of the widest bar, from 1; the first of several.
    #[must_use]
    pub fn widest_bar(&self) -> Option<u32> {
        widest(self.bars.iter().map(|bar| bar.width_mm))
    }

    /// Number of the bar before the widest gap, from 1; the first of several.
    #[must_use]
    pub fn widest_gap(&self) -> Option<u32> {
        widest(self.bars.iter().map(|bar| bar.gap_mm))
    }
}

fn widest(widths: impl Iterator<Item = f64>) -> Option<u32> {
    let mut best: Option<(u32, f64)> = None;
    for (number, width) in (1..).zip(widths) {
        if best.is_none_or(|(_, most)| width > most) {
            best = Some((number, width));
        }
    }
    best.map(|(number, _)| number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bars(list: &[(f64, f64, u8)]) -> Bars {
        let bar = |&(width_mm, gap_mm, shade): &(f64, f64, u8)| Bar {
            width_mm,
            gap_mm,
            colour: Colour([shade; 3]),
        };
        Bars::new(7.0, list.iter().map(bar).collect())
    }

    /// The list, then the same bars and gaps in reverse, the gap at the turn doubled.
    fn there_and_back(list: &[(f64, f64, u8)]) -> Vec<(f64, f64, u8)> {
        let mut all = list.to_vec();
        if let Some(last) = all.last_mut() {
            last.1 *= 2.0;
        }
        for index in (0..list.len()).rev() {
            let gap = if index == 0 { 0.0 } else { list[index - 1].1 };
            all.push((list[index].0, gap, list[index].2));
        }
        all
    }

    fn a_list(most: usize) -> impl Strategy<Value = Vec<(f64, f64, u8)>> {
        prop::collection::vec((3.0..30.0_f64, 2.0..30.0_f64, 0..4_u8), 1..most)
    }

    proptest! {
        #[test]
        fn a_list_followed_by_its_reverse_is_even(list in a_list(6)) {
            prop_assert!(bars(&there_and_back(&list)).are_even());
        }

        #[test]
        fn a_cyclic_shift_changes_nothing(list in a_list(6), by in 0..6_usize, doubled in any::<bool>()) {
            let list = if doubled { there_and_back(&list) } else { list };
            let mut shifted = list.clone();
            shifted.rotate_left(by % list.len());
            prop_assert_eq!(bars(&list).are_even(), bars(&shifted).are_even());
            prop_assert_eq!(
                bars(&list).mirror_lines_mm().len(),
                bars(&shifted).mirror_lines_mm().len()
            );
        }

        /// Three colours in a row, the widths whatever they are, have no mirror: the reverse has another order.
        #[test]
        fn three_colours_in_a_row_are_uneven(list in prop::collection::vec((3.0..30.0_f64, 2.0..30.0_f64), 3)) {
            let three: Vec<_> = list.iter().zip(1..).map(|(&(width, gap), shade)| (width, gap, shade)).collect();
            prop_assert!(!bars(&three).are_even());
        }

        /// Against the definition, written out: some shift of the list read backwards is the list.
        #[test]
        fn even_means_that_a_shift_of_the_reverse_is_the_list(
            // Whole centimetres and few of them, so that chance makes even lists too.
            list in prop::collection::vec((1..3_u8, 1..3_u8, 0..2_u8), 1..5)
        ) {
            let list: Vec<_> = list
                .iter()
                .map(|&(width, gap, shade)| (10.0 * f64::from(width), 10.0 * f64::from(gap), shade))
                .collect();
            let mut threads: Vec<Option<u8>> = Vec::new();
            for &(width, gap, shade) in &list {
                for (size, colour) in [(width, Some(shade)), (gap, None)] {
                    let mut left = size;
                    while left > 0.0 {
                        threads.push(colour);
                        left -= 10.0;
                    }
                }
            }
            let backwards: Vec<_> = threads.iter().rev().copied().collect();
            let by_definition = (0..threads.len()).any(|by| {
                let mut shifted = backwards.clone();
                shifted.rotate_left(by);
                shifted == threads
            });
            prop_assert_eq!(bars(&list).are_even(), by_definition);
        }
    }

    #[test]
    fn a_plain_stripe_mirrors_about_its_bar_and_about_its_gap() {
        let stripe = bars(&[(24.0, 12.0, 1)]);
        assert_eq!(stripe.mirror_lines_mm(), [19.0, 37.0]);
    }

    #[test]
    fn a_balanced_plaid_mirrors_about_its_middle_bar() {
        // wide, thin, thin: thin bars on both sides of the wide one at the same distance.
        let plaid = bars(&[(30.0, 10.0, 1), (4.0, 20.0, 2), (4.0, 10.0, 2)]);
        assert_eq!(plaid.mirror_lines_mm(), [22.0, 61.0]);
    }

    #[test]
    fn half_a_tape_division_does_not_make_a_stripe_uneven_but_a_millimetre_does() {
        assert!(bars(&[(30.0, 10.0, 1), (4.0, 20.0, 2), (4.0, 10.3, 2)]).are_even());
        assert!(!bars(&[(30.0, 10.0, 1), (4.0, 20.0, 2), (4.0, 11.0, 2)]).are_even());
    }

    #[test]
    fn a_repeat_measured_over_many_stretches_the_bars() {
        let mut stripe = bars(&[(24.0, 12.0, 1), (10.0, 4.0, 2)]);
        assert!((stripe.period_mm() - 50.0).abs() < 1e-12);
        stripe.repeat = Some(Length::from_mm(51.0));
        let second = stripe.bar(2).unwrap();
        assert!((second.middle_mm - (7.0 + 1.02 * 41.0)).abs() < 1e-9);
        assert!((second.width_mm - 10.2).abs() < 1e-9);
    }

    #[test]
    fn the_widest_are_counted_from_one() {
        let stripe = bars(&[(4.0, 12.0, 1), (24.0, 4.0, 2), (24.0, 32.0, 3)]);
        assert_eq!((stripe.widest_bar(), stripe.widest_gap()), (Some(2), Some(3)));
        assert_eq!(Bars::default().widest_bar(), None);
        assert!(stripe.bar(0).is_none() && stripe.bar(4).is_none());
    }
}
