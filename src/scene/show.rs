//! What of the overlay is shown.

use std::collections::BTreeSet;

/// A part of the overlay that can be switched on and off by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Cutting lines.
    CuttingLines,
    /// Seam lines and hems.
    SeamLines,
    /// The hem as it was before it was changed.
    OldHem,
    /// Notches, darts, drill holes, inner lines.
    Marks,
    /// Fold lines with their brackets.
    Folds,
    /// The other half across the fold.
    MirroredHalf,
    /// Grainlines.
    Grainlines,
    /// Balance lines with the amount changed.
    BalanceLines,
    /// The chevrons towards the top of the print.
    PrintTop,
    /// Nodes of the print's repeat, the cloth's edges and its flaws.
    Print,
    /// Names of pieces and other words.
    Words,
    /// The marks of the aim.
    AimMarks,
    /// The square and the bars that prove the scale.
    Proof,
    /// How far off the light may be.
    ErrorMap,
    /// The keys, in a corner.
    Legend,
}

impl Layer {
    /// All of them.
    pub const ALL: [Self; 15] = [
        Self::CuttingLines,
        Self::SeamLines,
        Self::OldHem,
        Self::Marks,
        Self::Folds,
        Self::MirroredHalf,
        Self::Grainlines,
        Self::BalanceLines,
        Self::PrintTop,
        Self::Print,
        Self::Words,
        Self::AimMarks,
        Self::Proof,
        Self::ErrorMap,
        Self::Legend,
    ];
}

/// What is shown, and from where it is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Show {
    /// The layers that are on.
    pub layers: BTreeSet<Layer>,
    /// Direction on the surface of a line of text, in radians: 0 is read by somebody who stands at the
    /// surface's lower edge.
    pub reading_angle: f64,
    /// How many times larger than on the cloth signs and words are drawn; 1 on the cloth. The board, which shows
    /// the surface small, sets it so that they can be read.
    pub sign_scale: f64,
}

impl Show {
    /// Everything but the aim's own marks and proof: what is wanted for cutting.
    #[must_use]
    pub fn for_cutting() -> Self {
        let aiming = [Layer::AimMarks, Layer::Proof, Layer::ErrorMap];
        Self {
            layers: Layer::ALL.into_iter().filter(|layer| !aiming.contains(layer)).collect(),
            reading_angle: 0.0,
            sign_scale: 1.0,
        }
    }

    /// Everything.
    #[must_use]
    pub fn everything() -> Self {
        Self { layers: Layer::ALL.into_iter().collect(), reading_angle: 0.0, sign_scale: 1.0 }
    }

    /// Nothing but the cutting lines: everything dark that is not to be cut along.
    #[must_use]
    pub fn only_cutting_lines() -> Self {
        Self { layers: BTreeSet::from([Layer::CuttingLines]), reading_angle: 0.0, sign_scale: 1.0 }
    }

    /// Whether a layer is on.
    #[must_use]
    pub fn has(&self, layer: Layer) -> bool {
        self.layers.contains(&layer)
    }

    /// Switches a layer on or off.
    pub fn toggle(&mut self, layer: Layer) {
        if !self.layers.remove(&layer) {
            self.layers.insert(layer);
        }
    }
}
