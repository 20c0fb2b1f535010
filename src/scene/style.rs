//! How each meaning looks: the rhythm of the line first, brightness second, colour last.
//!
//! Rhythm survives any print and any eye; colour does not. So each meaning has a rhythm of its own, three
//! steps of brightness are used, and there are two colours: the lamp colour, and a second only for what must
//! not be cut yet.

use super::Meaning;

/// One on–off step of a rhythm, in mm along the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dash {
    /// Light for so long.
    pub on_mm: f64,
    /// Dark for so long.
    pub off_mm: f64,
}

/// How a line is broken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rhythm {
    /// Unbroken.
    Full,
    /// The same dash again and again.
    Dashed(Dash),
    /// Unbroken or dashed, twice side by side, `gap_mm` between the centres.
    Doubled {
        /// Distance between the two lines' centres, in mm.
        gap_mm: f64,
        /// The dash of both.
        dash: Dash,
    },
}

/// Share of the lamp's light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Brightness {
    /// All of it.
    Strong,
    /// Two thirds.
    Middling,
    /// A third.
    Faint,
}

impl Brightness {
    /// The share as a number, linear light.
    #[must_use]
    pub const fn share(self) -> f32 {
        match self {
            Self::Strong => 1.0,
            Self::Middling => 0.66,
            Self::Faint => 0.33,
        }
    }
}

/// Which of the two colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// The lamp colour, chosen against the cloth.
    Lamp,
    /// The second colour: not to be cut yet.
    Caution,
}

/// How an item is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Style {
    /// Width on the cloth in mm.
    pub width_mm: f64,
    /// The line is never thinner than this on the projector, in px.
    pub least_px: f64,
    /// How the line is broken.
    pub rhythm: Rhythm,
    /// How bright.
    pub brightness: Brightness,
    /// In which colour.
    pub ink: Ink,
}

const BASTING: Dash = Dash { on_mm: 12.0, off_mm: 4.0 };

/// The look of a meaning.
#[must_use]
pub const fn style_of(meaning: Meaning) -> Style {
    use Brightness::{Faint, Middling, Strong};
    use Rhythm::{Dashed, Doubled, Full};
    const fn lamp(width_mm: f64, least_px: f64, rhythm: Rhythm, brightness: Brightness) -> Style {
        Style { width_mm, least_px, rhythm, brightness, ink: Ink::Lamp }
    }
    match meaning {
        Meaning::CuttingLine | Meaning::FoldLine => lamp(1.2, 1.5, Full, Strong),
        Meaning::MarginLine => lamp(1.2, 1.5, Dashed(Dash { on_mm: 10.0, off_mm: 6.0 }), Strong),
        Meaning::SeamLine => lamp(0.8, 1.0, Dashed(BASTING), Middling),
        Meaning::HemLine => lamp(0.8, 1.0, Doubled { gap_mm: 4.0, dash: BASTING }, Middling),
        Meaning::NewHem => lamp(1.2, 1.5, Doubled { gap_mm: 4.0, dash: BASTING }, Strong),
        Meaning::OldHem => lamp(0.8, 1.0, Dashed(Dash { on_mm: 1.5, off_mm: 10.0 }), Middling),
        Meaning::FoldBracket | Meaning::Notch | Meaning::PrintTop => lamp(1.2, 1.5, Full, Strong),
        Meaning::Grainline | Meaning::InnerLine | Meaning::DrillHole => lamp(0.6, 1.0, Full, Middling),
        Meaning::DartLeg => lamp(0.8, 1.0, Dashed(Dash { on_mm: 8.0, off_mm: 4.0 }), Strong),
        Meaning::DartCap => lamp(0.8, 1.0, Full, Middling),
        Meaning::CentreLine => lamp(0.6, 1.0, Dashed(Dash { on_mm: 30.0, off_mm: 15.0 }), Middling),
        Meaning::BalanceLine => lamp(0.6, 1.0, Dashed(Dash { on_mm: 24.0, off_mm: 6.0 }), Middling),
        Meaning::MirroredHalf => lamp(0.8, 1.0, Full, Faint),
        Meaning::PrintNode => lamp(0.6, 1.0, Full, Middling),
        Meaning::ClothEdge => lamp(0.8, 1.0, Dashed(Dash { on_mm: 40.0, off_mm: 12.0 }), Faint),
        Meaning::Flaw => lamp(0.8, 1.0, Dashed(Dash { on_mm: 5.0, off_mm: 2.5 }), Middling),
        Meaning::Before => lamp(0.8, 1.0, Dashed(Dash { on_mm: 3.0, off_mm: 3.0 }), Faint),
        Meaning::Error => lamp(0.8, 1.0, Full, Middling),
        Meaning::LightEdge | Meaning::Quiet => lamp(0.8, 1.0, Full, Faint),
        Meaning::TapeLine => lamp(0.6, 1.0, Dashed(Dash { on_mm: 6.0, off_mm: 6.0 }), Middling),
        Meaning::Link => lamp(0.6, 1.0, Dashed(Dash { on_mm: 2.0, off_mm: 6.0 }), Middling),
        Meaning::LinkOff => lamp(1.2, 1.5, Dashed(Dash { on_mm: 14.0, off_mm: 4.0 }), Strong),
        Meaning::EdgeNumber | Meaning::Amount | Meaning::PieceName | Meaning::Note => {
            lamp(0.8, 1.0, Full, Strong)
        }
        Meaning::Proof | Meaning::Mark => lamp(0.8, 1.5, Full, Strong),
        Meaning::ActiveMark | Meaning::Pointed => lamp(2.4, 3.0, Full, Strong),
        Meaning::Caution => {
            Style { width_mm: 1.2, least_px: 1.5, rhythm: Full, brightness: Strong, ink: Ink::Caution }
        }
    }
}
