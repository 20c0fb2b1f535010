//! In which units lengths are said to a person.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;

use super::Unit;

/// In which units the program says lengths. What a person typed keeps the unit in which it was typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub enum Units {
    /// Millimetres, centimetres and metres.
    #[default]
    Metric,
    /// Inches with decimals, one more than the millimetres or centimetres would have.
    Inches,
}

/// Units in words, the longer before those that they begin like.
const METRIC: [(&str, f64, usize); 3] = [(" mm", 1.0, 1), (" cm", 10.0, 1), (" m", 1000.0, 0)];

impl Units {
    /// The unit of a number that is typed without one.
    #[must_use]
    pub const fn bare(self) -> Unit {
        match self {
            Self::Metric => Unit::Mm,
            Self::Inches => Unit::Inch,
        }
    }

    /// Words with their lengths in these units. Lengths are a number, or numbers joined by an arrow or a cross or in
    /// brackets, a blank and mm, cm or m; areas and rates (`mm²`, `mm/m`) stay as they are.
    #[must_use]
    pub fn say(self, words: &str) -> Cow<'_, str> {
        if self == Self::Metric {
            return Cow::Borrowed(words);
        }
        let mut said = String::with_capacity(words.len());
        let mut rest = words;
        while let Some((at, unit, mm, more)) = next_unit(rest) {
            let (before, behind) = (&rest[..at], &rest[at + unit.len()..]);
            let ends_word = !behind.starts_with(|c: char| c.is_alphanumeric() || matches!(c, '²' | '/'));
            let start = if ends_word { numbers_before(before) } else { at };
            if start == at {
                said.push_str(&rest[..at + unit.len()]);
            } else {
                said.push_str(&before[..start]);
                said.push_str(&in_inches(&before[start..], mm, more));
                said.push_str(" in");
                let change = &behind[..change_behind(behind)];
                said.push_str(&in_inches(change, mm, more));
                rest = &behind[change.len()..];
                continue;
            }
            rest = behind;
        }
        said.push_str(rest);
        Cow::Owned(said)
    }
}

/// The first of the units: where, which, its millimetres and its further decimals in inches.
fn next_unit(words: &str) -> Option<(usize, &'static str, f64, usize)> {
    let found = METRIC.iter().filter_map(|(unit, mm, more)| Some((words.find(unit)?, *unit, *mm, *more)));
    found.min_by_key(|(at, unit, ..)| (*at, usize::MAX - unit.len()))
}

/// Where the numbers begin that stand at the end of words: `12.5`, `3 → 4.5`, `(1, 2)`; the end itself when there are
/// none.
fn numbers_before(words: &str) -> usize {
    if let Some(inside) = words.strip_suffix(')')
        && let Some(open) = inside.rfind('(')
        && inside[open + 1..].split(", ").all(is_number)
    {
        return open;
    }
    let mut start = words.len();
    loop {
        let number = words[..start].rfind(|c: char| !c.is_ascii_digit() && c != '.');
        let begin = number.map_or(0, |at| at + words[at..].chars().next().map_or(1, char::len_utf8));
        if !is_number(&words[begin..start]) {
            // Not a number after the joint: what was found before it ends here.
            return JOINTS
                .iter()
                .find(|joint| words[start..].starts_with(**joint))
                .map_or(start, |j| start + j.len());
        }
        match JOINTS.iter().find(|joint| words[..begin].ends_with(**joint)) {
            Some(joint) => start = begin - joint.len(),
            None => return begin,
        }
    }
}

/// How far the change in brackets reaches that may stand behind a length: ` (+12.5)`; nothing when none does.
fn change_behind(words: &str) -> usize {
    let amount = words.strip_prefix(" (").and_then(|inside| inside.split_once(')'));
    let signed = amount.filter(|(amount, _)| amount.strip_prefix(['+', '−']).is_some_and(is_number));
    signed.map_or(0, |(amount, _)| " (".len() + amount.len() + ")".len())
}

/// What joins numbers of one unit.
const JOINTS: [&str; 2] = [" → ", " × "];

fn is_number(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit()) && word.parse::<f64>().is_ok()
}

/// Every number of the words in inches, with so many decimals more; signs and joints stay.
fn in_inches(words: &str, mm: f64, more: usize) -> String {
    let mut said = String::new();
    let mut rest = words;
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        said.push_str(&rest[..at]);
        rest = &rest[at..];
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        // A full stop behind a number ends a sentence.
        let number = rest[..end].trim_end_matches('.');
        let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        match number.parse::<f64>() {
            Ok(amount) => said.push_str(&format!("{:.*}", decimals + more, amount * mm / Unit::Inch.mm())),
            Err(_) => said.push_str(number),
        }
        rest = &rest[number.len()..];
    }
    said.push_str(rest);
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_in_words_become_inches() {
        for (metric, inches) in [
            ("14 cm to spare", "5.5 in to spare"),
            (
                "the seam does not meet: 254.0 mm on “a”, 25.4 mm on “b”",
                "the seam does not meet: 10.00 in on “a”, 1.00 in on “b”",
            ),
            ("800.0 → 812.7 mm (+12.7 mm)", "31.50 → 32.00 in (+0.50 in)"),
            ("812.7 → 800.0 mm (−12.7), 3 (+1)", "32.00 → 31.50 in (−0.50), 3 (+1)"),
            ("a picture of 2540 × 1270 mm", "a picture of 100.0 × 50.0 in"),
            ("near (25, −51) mm; more", "near (25, −51) mm; more"),
            ("near (254, 508) mm", "near (10.0, 20.0) in"),
            ("aimed, ±0.9 mm", "aimed, ±0.04 in"),
            ("size 84, 254 mm.", "size 84, 10.0 in."),
            ("1.5 m long", "59.1 in long"),
            ("within 0.6 mm/m, 3 mm² and 5 members", "within 0.6 mm/m, 3 mm² and 5 members"),
            ("two mm, x mm, 3mm", "two mm, x mm, 3mm"),
            ("", ""),
        ] {
            assert_eq!(Units::Inches.say(metric), inches);
            assert_eq!(Units::Metric.say(metric), metric);
        }
    }

    proptest::proptest! {
        #[test]
        fn any_words_can_be_said(words in "[ -~×→−±(), ]{0,40}( mm| cm| m|)[ -~²]{0,10}") {
            let said = Units::Inches.say(&words);
            proptest::prop_assert!(said.len() < 10 * words.len() + 10);
        }

        #[test]
        fn what_is_said_in_inches_is_as_long_within_its_last_decimal(mm in 0.0..3000.0f64) {
            let said = Units::Inches.say(&format!("{mm:.1} mm")).into_owned();
            let inches: f64 = said.trim_end_matches(" in").parse().unwrap();
            proptest::prop_assert!((inches * 25.4 - mm).abs() <= 0.05 + 0.005 * 25.4 + 1e-9);
        }
    }
}
