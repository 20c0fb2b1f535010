//! What the layers of a pattern hold: one table, which a person may change.

use super::super::drawing::Part;
use std::collections::{BTreeMap, BTreeSet};
use std::str::FromStr;

/// What a layer holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LayerUse {
    /// Lines or marks of a kind.
    Holds(Part),
    /// Points where the outline turns.
    Turns,
    /// Words only.
    Words,
    /// Nothing that a garment needs: points of curves, grading, checks.
    Unused,
}

/// The layers of ASTM D6673 and what they hold (from memory; the standard was withdrawn in 2019), with their words
/// for a person to change.
const LAYERS: [(&str, LayerUse); 23] = [
    ("1", LayerUse::Holds(Part::Outline)),
    ("2", LayerUse::Turns),
    ("3", LayerUse::Unused),
    ("4", LayerUse::Holds(Part::Notch)),
    ("5", LayerUse::Unused),
    ("6", LayerUse::Holds(Part::Fold)),
    ("7", LayerUse::Holds(Part::Grain)),
    ("8", LayerUse::Holds(Part::Inner)),
    ("9", LayerUse::Holds(Part::Stripe)),
    ("10", LayerUse::Holds(Part::Plaid)),
    ("11", LayerUse::Holds(Part::CutOut)),
    ("13", LayerUse::Holds(Part::Drill)),
    ("14", LayerUse::Holds(Part::SewLine)),
    ("15", LayerUse::Words),
    // T, castle, check and U notches.
    ("80", LayerUse::Holds(Part::Notch)),
    ("81", LayerUse::Holds(Part::Notch)),
    ("82", LayerUse::Holds(Part::Notch)),
    ("83", LayerUse::Holds(Part::Notch)),
    // Curves to check the lines against.
    ("84", LayerUse::Unused),
    ("85", LayerUse::Unused),
    ("86", LayerUse::Unused),
    ("87", LayerUse::Unused),
    ("DEFPOINTS", LayerUse::Unused),
];

/// What each layer holds, by its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LayerMap {
    holds: BTreeMap<String, LayerUse>,
    /// Layers of which a person said what they hold.
    told: BTreeSet<String>,
}

impl Default for LayerMap {
    /// The layers of ASTM D6673.
    fn default() -> Self {
        let layers = LAYERS.iter().map(|(name, holds)| ((*name).to_owned(), *holds));
        Self { holds: layers.collect(), told: BTreeSet::new() }
    }
}

/// `01` and `1` are one layer, and capitals do not tell layers apart.
fn key(layer: &str) -> String {
    let name = layer.trim().to_uppercase();
    match name.trim_start_matches('0') {
        number if !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()) => number.to_owned(),
        _ => name,
    }
}

impl LayerMap {
    /// What a layer holds; `None` for a layer that the table does not name.
    #[must_use]
    pub fn holds(&self, layer: &str) -> Option<LayerUse> {
        self.holds.get(&key(layer)).copied()
    }

    /// Says what a layer holds.
    pub fn set(&mut self, layer: &str, holds: LayerUse) {
        self.holds.insert(key(layer), holds);
        self.told.insert(key(layer));
    }

    /// Whether a person said what a layer holds.
    #[must_use]
    pub fn is_told(&self, layer: &str) -> bool {
        self.told.contains(&key(layer))
    }
}

/// The words for what a layer holds.
const WORDS: [(&str, LayerUse); 13] = [
    ("outline", LayerUse::Holds(Part::Outline)),
    ("sew-line", LayerUse::Holds(Part::SewLine)),
    ("notch", LayerUse::Holds(Part::Notch)),
    ("grain", LayerUse::Holds(Part::Grain)),
    ("drill", LayerUse::Holds(Part::Drill)),
    ("fold", LayerUse::Holds(Part::Fold)),
    ("cut-out", LayerUse::Holds(Part::CutOut)),
    ("stripe", LayerUse::Holds(Part::Stripe)),
    ("plaid", LayerUse::Holds(Part::Plaid)),
    ("inner", LayerUse::Holds(Part::Inner)),
    ("turns", LayerUse::Turns),
    ("words", LayerUse::Words),
    ("unused", LayerUse::Unused),
];

impl FromStr for LayerUse {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let found = WORDS.iter().find(|(word, _)| *word == text);
        found.map(|(_, holds)| *holds).ok_or_else(|| {
            let words: Vec<_> = WORDS.iter().map(|(word, _)| *word).collect();
            format!("“{text}” is nothing that a layer holds. Say one of: {}", words.join(", "))
        })
    }
}
