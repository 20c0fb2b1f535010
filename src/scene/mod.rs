//! The overlay as a list of things to draw, in surface millimetres, each with its meaning.
//!
//! A [`Scene`] knows no pixel and no screen. How an item looks ([`Style`]) follows from what it means
//! ([`Meaning`]) in one table, so that the projector, the desk's board, a picture and a test agree.

mod aiming;
mod board;
mod clear;
mod flaws;
mod lamp;
mod matched;
mod occupied;
mod overlay;
mod piece;
mod print;
mod show;
mod signs;
mod style;
mod words;

pub use aiming::{
    PROOF_SIDE_MM, add_arrow, add_bars, add_crosses, add_error_map, add_marks, add_numbered_marks, add_proof,
};
pub use board::{
    add_held, add_light, add_pointed, add_tapes, all_pieces, all_pieces_extent, before_and_after,
    changed_edges, printed_piece,
};
pub use flaws::add_flaws;
pub use lamp::{LAMP_COLOURS, Lamp, contrast_on, lamp_colour_for, lamp_of_colour};
pub use matched::{add_matches, add_other_half};
pub use overlay::{
    Pointed, STEADY_MM, View, aim_overlay, cloth_overlay, lit_on_surface, overlay, steady, steady_light,
};
pub use piece::{CopyOfPiece, add_copy};
pub use print::{add_print, print_places};
pub use show::{Layer, Show};
pub use style::{Brightness, Dash, Ink, Rhythm, Style, style_of};

use crate::geometry::{BezPath, Point, Units};
use crate::pattern::PieceId;

/// Things to draw, in the order of drawing (later over earlier), in surface mm with y up.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Scene {
    /// The things.
    pub items: Vec<Item>,
}

impl Scene {
    /// The same things with all sizes `factor` times as large.
    #[must_use]
    pub fn scaled(mut self, factor: f64) -> Self {
        let scale = crate::geometry::Affine::scale(factor);
        for item in &mut self.items {
            match &mut item.shape {
                Shape::Stroke(path) | Shape::Fill(path) => path.apply_affine(scale),
                Shape::Label { at, height_mm, .. } => {
                    *at = scale * *at;
                    *height_mm *= factor;
                }
            }
        }
        self
    }

    /// The same things with lengths in words said in `units`.
    #[must_use]
    pub fn said_in(mut self, units: Units) -> Self {
        if units == Units::Metric {
            return self;
        }
        for item in &mut self.items {
            if let Shape::Label { words, .. } = &mut item.shape {
                *words = units.say(words).into_owned();
            }
        }
        self
    }
}

/// One thing to draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What it says.
    pub meaning: Meaning,
    /// The piece that it belongs to, if any.
    pub piece: Option<PieceId>,
    /// Its shape.
    pub shape: Shape,
}

/// The shape of an item.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A line along a path; each subpath has its own arc length, from which the rhythm is counted.
    Stroke(BezPath),
    /// The inside of a path (non-zero winding).
    Fill(BezPath),
    /// Words.
    Label {
        /// The words, one line.
        words: String,
        /// Middle of the baseline.
        at: Point,
        /// Height of a capital in mm.
        height_mm: f64,
        /// Direction of the baseline, radians from the x axis.
        angle: f64,
    },
}

impl Shape {
    /// Corners of an upright rectangle around it, roughly; of words only their middle.
    #[must_use]
    pub fn corners(&self) -> Vec<Point> {
        let extent = match self {
            Self::Stroke(path) | Self::Fill(path) if path.is_empty() => return Vec::new(),
            Self::Stroke(path) | Self::Fill(path) => path.control_box(),
            Self::Label { at, .. } => return vec![*at],
        };
        clear::corners(extent).into()
    }
}

/// What an item says to the person at the cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Meaning {
    /// Cut here.
    CuttingLine,
    /// Cloth left untrimmed until the piece is sewn and checked ends here.
    MarginLine,
    /// Sew here.
    SeamLine,
    /// Turn up here (the seam line of a hem that was not changed).
    HemLine,
    /// The hem after it was changed.
    NewHem,
    /// The hem before it was changed.
    OldHem,
    /// Lies on the fold.
    FoldLine,
    /// Middle of a piece that is cut opened out: not cut, not folded.
    CentreLine,
    /// The bracket whose arms point to the fold.
    FoldBracket,
    /// Direction of the warp.
    Grainline,
    /// Triangle on the seam line that meets its like.
    Notch,
    /// Leg of a dart.
    DartLeg,
    /// Cap of a dart beyond the seam.
    DartCap,
    /// Cross to be marked through the cloth.
    DrillHole,
    /// Line to be marked, not cut.
    InnerLine,
    /// Lengthen/shorten line.
    BalanceLine,
    /// The amount that was changed there.
    Amount,
    /// This way is the top of the print.
    PrintTop,
    /// The other half, across the fold.
    MirroredHalf,
    /// Node of the print's repeat.
    PrintNode,
    /// Edge of the cloth.
    ClothEdge,
    /// Cloth that pieces keep off.
    Flaw,
    /// Name of a piece.
    PieceName,
    /// Other words.
    Note,
    /// Words about something that is switched off.
    Quiet,
    /// The square (or bar) that a tape proves.
    Proof,
    /// How far off the light may be.
    Error,
    /// A mark of the aim.
    Mark,
    /// The mark that the keys move.
    ActiveMark,
    /// Must not be cut yet.
    Caution,
    /// A line as it was before, under its altered self (on the desk only).
    Before,
    /// Number of a changed edge (on the desk only).
    EdgeNumber,
    /// Two places that are brought together when sewn, and whose print agrees (on the desk only).
    Link,
    /// Two such places whose print is off (on the desk only).
    LinkOff,
    /// Edge of what the projector lights (on the desk only).
    LightEdge,
    /// A tape between two marks (on the desk only).
    TapeLine,
    /// The line under the pointer or named by a finding.
    Pointed,
}
