//! The rules that a lay keeps, what a person may set about them, and what she lets pass.

use super::{Match, MatchedAt};
use crate::geometry::Length;
use crate::pattern::{PieceId, SeamId};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// A rule of the lay.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Rule {
    /// Every copy on the cutting list has one place.
    Copies,
    /// A piece lies on the usable cloth.
    Inside,
    /// No two pieces overlap, nor come closer than the gap.
    Apart,
    /// A piece keeps off flaws.
    Flaws,
    /// The grainline lies as it should.
    Grain,
    /// The tops of all pieces point the same way where the cloth has a direction.
    Direction,
    /// Of a pair one is as drawn and one mirrored.
    Pair,
    /// A fold edge lies exactly on the fold of the cloth, or the piece is opened out.
    Fold,
    /// The cloth may be cut folded as it lies.
    Plies,
    /// The chosen bar or gap lies on the centre.
    Centre,
    /// The halves on both sides of a fold agree in print.
    FoldPrint,
    /// The print agrees at a seam.
    Match,
}

impl Rule {
    /// All of them, in the order in which they are looked at.
    pub const ALL: [Self; 12] = [
        Self::Copies,
        Self::Inside,
        Self::Apart,
        Self::Flaws,
        Self::Grain,
        Self::Direction,
        Self::Pair,
        Self::Fold,
        Self::Plies,
        Self::Centre,
        Self::FoldPrint,
        Self::Match,
    ];
}

impl fmt::Display for Rule {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::Copies => "every copy laid once",
            Self::Inside => "on the cloth",
            Self::Apart => "apart from each other",
            Self::Flaws => "off the flaws",
            Self::Grain => "on the grain",
            Self::Direction => "the same way up",
            Self::Pair => "left and right",
            Self::Fold => "fold on fold",
            Self::Plies => "plies alike",
            Self::Centre => "bar on the centre",
            Self::FoldPrint => "halves alike",
            Self::Match => "matched at seams",
        })
    }
}

/// How a piece's grainline lies on the cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Grain {
    /// Along the cloth.
    #[default]
    Warp,
    /// Across it.
    Weft,
    /// At 45° to both.
    Bias,
}

/// What lies on the centre front, the centre back or a fold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum CentreOn {
    /// The widest bar: the one that shows most, unless she says otherwise.
    #[default]
    WidestBar,
    /// A bar, counted from 1 in the list of bars.
    Bar(u32),
    /// The widest gap between bars.
    WidestGap,
    /// The gap after a bar, counted from 1.
    Gap(u32),
    /// Whatever comes.
    Anything,
}

/// What a person sets about the rules.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LayRules {
    /// Least distance between two cutting lines.
    pub gap: Length,
    /// Furthest that a grainline may be off, in degrees.
    pub grain_tolerance_degrees: f64,
    /// Pieces whose grainline does not lie along the cloth.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub grain: BTreeMap<PieceId, Grain>,
    /// What lies on the centre.
    pub centre: CentreOn,
    /// Copies that stay where they lie when a lay is sought.
    #[serde(skip_serializing_if = "BTreeSet::is_empty")]
    pub pinned: BTreeSet<(PieceId, u32)>,
    /// Rules let pass.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub let_pass: Vec<LetPass>,
}

/// Half a degree: 6 mm over a grainline of 700 mm, about what a hand lays by eye and tape. Common practice.
const GRAIN_TOLERANCE_DEGREES: f64 = 0.5;

impl Default for LayRules {
    fn default() -> Self {
        Self {
            gap: Length::from_mm(0.0),
            grain_tolerance_degrees: GRAIN_TOLERANCE_DEGREES,
            grain: BTreeMap::new(),
            centre: CentreOn::default(),
            pinned: BTreeSet::new(),
            let_pass: Vec::new(),
        }
    }
}

impl LayRules {
    /// Whether a copy stays where it lies when a lay is sought.
    #[must_use]
    pub fn is_pinned(&self, piece: &PieceId, copy: u32) -> bool {
        self.pinned.iter().any(|(known, number)| known == piece && *number == copy)
    }

    /// Whether a rule is let pass on all pieces, with a reason.
    #[must_use]
    pub fn lets_pass(&self, rule: Rule) -> bool {
        let everywhere = |by: &LetPass| by.piece.is_none() && by.seam.is_none();
        self.let_pass.iter().any(|by| by.rule == rule && everywhere(by) && by.has_reason())
    }

    /// Whether a rule is let pass on a piece, with a reason: on this one, or on all.
    #[must_use]
    pub fn lets_pass_on(&self, rule: Rule, piece: &PieceId) -> bool {
        let here = |by: &LetPass| by.seam.is_none() && by.piece.as_ref().is_none_or(|known| known == piece);
        self.let_pass.iter().any(|by| by.rule == rule && here(by) && by.has_reason())
    }

    /// Whether the print need not agree at a place where two copies meet.
    #[must_use]
    pub fn lets_pass_at(&self, found: &Match) -> bool {
        self.let_pass.iter().any(|by| {
            let piece = by.piece.as_ref();
            let seam = by.seam.as_ref();
            let here = piece.is_none_or(|piece| *piece == found.first.piece || *piece == found.second.piece)
                && seam.is_none_or(|seam| matches!(&found.at, MatchedAt::Seam(at) if at == seam));
            by.rule == Rule::Match && here && by.has_reason()
        })
    }

    /// How a piece's grainline is to lie.
    #[must_use]
    pub fn grain_of(&self, piece: &PieceId) -> Grain {
        self.grain.get(piece).copied().unwrap_or_default()
    }
}

/// A rule let pass, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LetPass {
    /// Which rule.
    pub rule: Rule,
    /// Only on this piece; on all, when there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub piece: Option<PieceId>,
    /// Only at this seam.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seam: Option<SeamId>,
    /// Why. Without a reason nothing is let pass.
    pub reason: String,
}

impl LetPass {
    /// Whether a reason is written. Without one nothing is let pass.
    #[must_use]
    pub fn has_reason(&self) -> bool {
        !self.reason.trim().is_empty()
    }
}
