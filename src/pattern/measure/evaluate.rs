//! Taking a measure on pieces.

use super::super::walk::SeamSide;
use super::super::{EdgeId, Piece, PieceId};
use super::across::width_inside;
use super::{Landmark, Measure, MeasurePath, Term};
use crate::geometry::tolerance::JOIN_MM;
use crate::geometry::{Curve, Point};
use std::sync::Arc;

/// Why a measure cannot be taken on pieces.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MeasureError {
    /// No such piece.
    #[error("there is no piece “{0}”. Name one of the pattern's pieces")]
    UnknownPiece(PieceId),
    /// The piece has no such landmark.
    #[error("the piece “{piece}” has no place such as {landmark}. Check the name")]
    UnknownLandmark {
        /// Which piece.
        piece: PieceId,
        /// The place as it is named.
        landmark: String,
    },
    /// The edges cannot be followed.
    #[error(
        "the edges {edges} of the piece “{piece}” cannot be followed one after the other. List them in order, \
         from the corner where the first begins"
    )]
    NoRun {
        /// Which piece.
        piece: PieceId,
        /// The edges as named.
        edges: String,
    },
    /// A landmark that is not on the edges that are measured along.
    #[error("{landmark} does not lie on the edges that are measured on “{piece}”. Choose one that does")]
    OffTheRun {
        /// Which piece.
        piece: PieceId,
        /// The place.
        landmark: String,
    },
    /// A level at which the piece has no cloth.
    #[error("the piece “{piece}” has no width at the level of {landmark}. Choose a level inside it")]
    NoWidth {
        /// Which piece.
        piece: PieceId,
        /// The level.
        landmark: String,
    },
}

impl Measure {
    /// The measure on these pieces, in mm.
    ///
    /// # Errors
    /// [`MeasureError`] when a piece or a place of it is not there.
    pub fn on(&self, pieces: &[Arc<Piece>]) -> Result<f64, MeasureError> {
        self.terms.iter().map(|term| term.on(pieces)).sum()
    }
}

impl Term {
    /// The term on these pieces, as many times as it is there, in mm.
    ///
    /// # Errors
    /// As [`Measure::on`].
    pub fn on(&self, pieces: &[Arc<Piece>]) -> Result<f64, MeasureError> {
        let once = match (&self.path, self.path.piece()) {
            (MeasurePath::Constant(length), _) => length.mm(),
            (_, None) => 0.0,
            (path, Some(id)) => {
                let piece = pieces.iter().find(|piece| &piece.id == id);
                let piece = piece.ok_or_else(|| MeasureError::UnknownPiece(id.clone()))?;
                path.on(piece)?
            }
        };
        Ok(f64::from(self.times) * once)
    }
}

impl MeasurePath {
    fn on(&self, piece: &Piece) -> Result<f64, MeasureError> {
        match self {
            Self::Constant(length) => Ok(length.mm()),
            Self::Across { level, .. } => across(piece, level),
            Self::AlongGrain { from, to, .. } => {
                let apart = to.on(piece)? - from.on(piece)?;
                Ok(apart.dot(piece.grainline.direction()).abs())
            }
            Self::Straight { from, to, .. } => Ok(from.on(piece)?.distance(to.on(piece)?)),
            Self::Along { run, from, to } => {
                let side = SeamSide::new(piece, run).ok_or_else(|| MeasureError::NoRun {
                    piece: piece.id.clone(),
                    edges: quoted(&run.edges),
                })?;
                let begin = from.as_ref().map_or(Ok(0.0), |mark| mark.along(&side))?;
                let end = to.as_ref().map_or(Ok(side.length()), |mark| mark.along(&side))?;
                Ok((end - begin).abs())
            }
        }
    }
}

impl Landmark {
    /// The place on a piece.
    ///
    /// # Errors
    /// [`MeasureError::UnknownLandmark`] when the piece has none such.
    pub fn on(&self, piece: &Piece) -> Result<Point, MeasureError> {
        let found = match self {
            Self::Corner(id) => piece.corner(id),
            Self::Notch(id) => {
                let notch = piece.notches.iter().find(|notch| &notch.id == id);
                notch.and_then(|notch| piece.notch_point(notch))
            }
            Self::Apex(id) => piece.dart(id).map(|dart| dart.apex),
            Self::BalanceLine(id) => {
                let line = piece.balance_lines.iter().find(|line| &line.id == id);
                line.map(|known| known.line.p0.midpoint(known.line.p1))
            }
            Self::FromCorner { corner, edge, distance } => piece.edge(edge).and_then(|edge| {
                let (along, length) = (distance.mm(), edge.curve.length());
                let on_edge = (-JOIN_MM..=length + JOIN_MM).contains(&along);
                if corner == &edge.from {
                    on_edge.then(|| edge.curve.point_at(along))
                } else {
                    (on_edge && corner == &edge.to).then(|| edge.curve.point_at(length - along))
                }
            }),
        };
        found.ok_or_else(|| MeasureError::UnknownLandmark {
            piece: piece.id.clone(),
            landmark: self.to_string(),
        })
    }

    /// Distance from the beginning of a run.
    fn along(&self, side: &SeamSide<'_>) -> Result<f64, MeasureError> {
        self.on(side.piece())?;
        let found = match self {
            Self::Corner(id) => side.distance_of_corner(id),
            Self::Notch(id) => {
                let notch = side.piece().notches.iter().find(|notch| &notch.id == id);
                notch.and_then(|notch| side.distance_of(notch))
            }
            Self::FromCorner { corner, edge, distance } => {
                let edges: Vec<_> = side.edges().collect();
                let held = edges.iter().find(|(held, _)| &held.id == edge);
                held.and_then(|(held, forward)| {
                    let begins = if *forward { &held.from } else { &held.to };
                    let before = side.distance_of_corner(begins)?;
                    let from_begin =
                        if corner == begins { distance.mm() } else { held.curve.length() - distance.mm() };
                    Some(before + from_begin)
                })
            }
            Self::Apex(_) | Self::BalanceLine(_) => None,
        };
        found.ok_or_else(|| MeasureError::OffTheRun {
            piece: side.piece().id.clone(),
            landmark: self.to_string(),
        })
    }
}

/// Width across the grain at a level, without what darts take up there.
fn across(piece: &Piece, level: &Landmark) -> Result<f64, MeasureError> {
    let (at, up) = (level.on(piece)?, piece.grainline.direction());
    let whole = width_inside(piece.edges.iter().map(|edge| &edge.curve), at, up);
    let in_darts: f64 = piece
        .darts
        .iter()
        .filter_map(|dart| {
            let mouth = &piece.dart_mouth(&dart.id)?.curve;
            let legs = [Curve::line(dart.apex, mouth.start()), Curve::line(mouth.end(), dart.apex)];
            let wedge = [&legs[0], mouth, &legs[1]];
            Some(width_inside(wedge.into_iter(), at, up))
        })
        .sum();
    let width = whole - in_darts;
    if width > 0.0 {
        Ok(width)
    } else {
        Err(MeasureError::NoWidth { piece: piece.id.clone(), landmark: level.to_string() })
    }
}

fn quoted(edges: &[EdgeId]) -> String {
    let names: Vec<_> = edges.iter().map(|edge| format!("“{edge}”")).collect();
    names.join(", ")
}
