//! Darts: equal legs, the cap, the place of apex and mouth.
//!
//! A dart is an apex and a mouth, an edge of its own between the two ends of its straight legs. Each change here
//! keeps the seam that the mouth interrupts: closed, it is the same line as before, unless the report says
//! otherwise.
//!
//! - [`DartChange::EqualiseLegs`] slides an end of the mouth along its seam until both legs are as long.
//! - [`DartChange::True`] draws the cap, so that the folded wedge ends in the seam (`cap.rs`).
//! - [`DartChange::MoveApex`] raises or lowers the point along the grain and withdraws it from the bust point.
//!   The mouth stays, so the seams do; the angle changes and is reported.
//! - [`DartChange::MoveMouth`] and [`DartChange::Rotate`] close the dart and open it elsewhere (`rotate.rs`). The
//!   angle about the pivot is kept.
//!
//! Legs are straight: the pattern knows no others. A dart whose mouth runs over a corner of the seam line is
//! not handled.

mod cap;
mod equalise;
mod redraw;
mod rotate;

pub(super) use cap::{is_trued, true_cap};
pub(super) use equalise::{equal_legs, equalise};
pub(super) use redraw::redrawn;
pub(super) use rotate::reversed;

use super::draft::{Change, Draft};
use super::{AlterError, Amount, Figure, Place};
use crate::geometry::{Length, Point, Vec2};
use crate::pattern::{CornerId, Dart, DartId, EdgeId, Piece, PieceId};
use serde::{Deserialize, Serialize};

/// A change of one dart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AlterDart {
    /// Which piece.
    pub piece: PieceId,
    /// Which dart.
    pub dart: DartId,
    /// What is done to it.
    pub change: DartChange,
}

/// What is done to a dart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum DartChange {
    /// Makes both legs as long by sliding an end of the mouth along its seam.
    EqualiseLegs {
        /// Which end slides; the one away from which the dart is pressed when absent.
        #[serde(default)]
        slide: Option<CornerId>,
    },
    /// Draws the cap for the direction in which the dart is pressed.
    True,
    /// Moves the point.
    MoveApex {
        /// Up the grain; negative is down.
        #[serde(default = "nothing")]
        up: Length,
        /// Back from the bust point, towards the middle of the mouth.
        #[serde(default = "nothing")]
        withdraw: Length,
    },
    /// Moves the mouth along its seam, with the same angle about the apex.
    MoveMouth {
        /// Along the seam, towards this edge beside the mouth.
        toward: EdgeId,
        /// How far.
        by: Length,
    },
    /// Closes the dart and opens it at another place.
    Rotate {
        /// Where it opens.
        to: Place,
        /// Drill hole that marks the bust point, about which it turns; the dart's own apex when absent.
        #[serde(default)]
        about: Option<String>,
        /// Then back from the bust point, towards the middle of the new mouth.
        #[serde(default = "nothing")]
        withdraw: Length,
    },
}

fn nothing() -> Length {
    Length::from_mm(0.0)
}

/// A dart with everything that it hangs on.
#[derive(Clone, Copy)]
pub(super) struct Wedge {
    /// Place of the mouth in the outline.
    pub mouth: usize,
    pub apex: Point,
    /// The mouth's ends, in the direction of travel.
    pub ends: [Point; 2],
    /// Whether the wedge is pressed towards the first of them.
    pub pressed_to_first: bool,
}

impl Wedge {
    pub(super) fn of(piece: &Piece, dart: &Dart) -> Result<Self, AlterError> {
        let unknown = || AlterError::NoMouth { piece: piece.id.clone(), dart: dart.id.clone() };
        let edge = piece.dart_mouth(&dart.id).ok_or_else(unknown)?;
        Ok(Self {
            mouth: piece.edge_index(&edge.id).ok_or_else(unknown)?,
            apex: dart.apex,
            ends: [edge.curve.start(), edge.curve.end()],
            pressed_to_first: dart.pressed_toward == edge.from,
        })
    }

    pub(super) fn legs(&self) -> [f64; 2] {
        self.ends.map(|end| end.distance(self.apex))
    }

    /// Signed angle from the first leg to the second.
    pub(super) fn angle(&self) -> f64 {
        let [first, second] = self.ends.map(|end| end - self.apex);
        first.cross(second).atan2(first.dot(second))
    }

    pub(super) fn mouth_width(&self) -> f64 {
        self.ends[0].distance(self.ends[1])
    }
}

/// The dart's measures before and after, for the report.
pub(super) fn measures(piece: &Piece, before: &Wedge, after: &Wedge) -> Vec<Figure> {
    let figure = |name, before: Amount, after: Amount| Figure {
        name,
        piece: Some(piece.id.clone()),
        before: Some(before),
        after,
    };
    let degrees = |wedge: &Wedge| Amount::Degrees(wedge.angle().abs().to_degrees());
    let ([a0, a1], [b0, b1]) = (before.legs(), after.legs());
    let mut figures = vec![
        figure("dart angle", degrees(before), degrees(after)),
        figure("dart mouth", Amount::Mm(before.mouth_width()), Amount::Mm(after.mouth_width())),
        figure("first dart leg", Amount::Mm(a0), Amount::Mm(b0)),
        figure("second dart leg", Amount::Mm(a1), Amount::Mm(b1)),
    ];
    if is_trued(piece, after) {
        let cap = &piece.edges[after.mouth].curve;
        figures.push(Figure {
            name: "dart cap tip from apex",
            piece: Some(piece.id.clone()),
            before: None,
            after: Amount::Mm(cap::tip_of(cap, after.apex).1),
        });
    }
    figures
}

pub(super) fn dart_named<'a>(piece: &'a Piece, dart: &DartId) -> Result<&'a Dart, AlterError> {
    piece.dart(dart).ok_or_else(|| AlterError::UnknownDart { piece: piece.id.clone(), dart: dart.clone() })
}

impl AlterDart {
    pub(super) fn apply(&self, draft: &Draft<'_>) -> Result<Change, AlterError> {
        let old = draft.piece(&self.piece)?;
        let dart = dart_named(old, &self.dart)?;
        let before = Wedge::of(old, dart)?;
        let mut piece = old.clone();
        let mut change = Change::default();
        match &self.change {
            DartChange::EqualiseLegs { slide } => equalise(&mut piece, &self.dart, slide.as_ref())?,
            DartChange::True => true_cap(&mut piece, &self.dart)?,
            DartChange::MoveApex { up, withdraw } => {
                let moved = dart.apex + up.mm() * old.grainline.direction();
                set_apex(&mut piece, &self.dart, withdrawn(moved, before.ends, withdraw.mm()));
                let wedge = Wedge::of(&piece, dart_named(&piece, &self.dart)?)?;
                let [first, second] = wedge.legs();
                if !equal_legs(&wedge) {
                    change.notes.push(format!(
                        "Piece “{}”: the legs of dart “{}” are {first:.1} mm and {second:.1} mm long. Equalise them, then \
                         true the dart.",
                        piece.id, self.dart
                    ));
                } else if is_trued(old, &before) {
                    true_cap(&mut piece, &self.dart)?;
                }
            }
            DartChange::MoveMouth { toward, by } => {
                let mouth = before.mouth;
                let count = old.edges.len();
                let beside = [(mouth + count - 1) % count, (mouth + 1) % count];
                let side = beside.into_iter().find(|&at| &old.edges[at].id == toward);
                let side = side
                    .ok_or_else(|| AlterError::UnknownEdge { piece: old.id.clone(), edge: toward.clone() })?;
                let length = old.edges[side].curve.length();
                let along = if side == beside[0] { length - by.mm() } else { by.mm() };
                let spot = super::place::Spot { edge: side, along };
                let turned = rotate::rotated(old, &self.dart, before.apex, spot, draft)?;
                piece = turned.piece;
            }
            DartChange::Rotate { to, about, withdraw } => {
                let pivot = match about {
                    None => before.apex,
                    Some(name) => {
                        let hole = old.drill_holes.iter().find(|hole| &hole.name == name);
                        let hole = hole.ok_or_else(|| AlterError::UnknownDrillHole {
                            piece: old.id.clone(),
                            name: name.clone(),
                        })?;
                        hole.at
                    }
                };
                let turned = rotate::rotated(old, &self.dart, pivot, to.on(old)?, draft)?;
                piece = turned.piece;
                change.seams = turned.seams;
                let wedge = Wedge::of(&piece, dart_named(&piece, &self.dart)?)?;
                set_apex(&mut piece, &self.dart, withdrawn(pivot, wedge.ends, withdraw.mm()));
            }
        }
        let after = Wedge::of(&piece, dart_named(&piece, &self.dart)?)?;
        change.figures = measures(&piece, &before, &after);
        change.pieces.push(piece);
        Ok(change)
    }
}

fn set_apex(piece: &mut Piece, dart: &DartId, apex: Point) {
    for known in piece.darts.iter_mut().filter(|known| &known.id == dart) {
        known.apex = apex;
    }
}

fn withdrawn(apex: Point, ends: [Point; 2], by: f64) -> Point {
    let axis: Vec2 = ends[0].midpoint(ends[1]) - apex;
    if axis.hypot() > 0.0 { apex + by * axis.normalize() } else { apex }
}
