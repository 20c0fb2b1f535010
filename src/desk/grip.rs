//! What on a piece's drawing can be taken hold of, and which amount the drag changes.
//!
//! A hem, a balance line and a dart's point carry an amount of an alteration; a seam or an opening is selected, and
//! the card says what can be done with it. A drag changes the last alteration that moves the thing, or begins
//! one. The amount is what the hand has moved in the direction in which the alteration moves the thing.

use super::Session;
use crate::alter::{
    AlterDart, Alteration, AlterationId, DartChange, DartsAcross, Hem, Lengthen, LengthenAt, Pieces, Record,
};
use crate::garment::{Command, EvaluatedPiece};
use crate::geometry::{Length, Point, Vec2};
use crate::pattern::{DartId, EdgeId, EdgeRole, Piece};
use kurbo::ParamCurveNearest as _;

/// What is selected on the piece's drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Selected {
    /// An edge.
    Edge(EdgeId),
    /// A dart.
    Dart(DartId),
}

/// An amount in the hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Grip {
    /// The alteration whose amount it is.
    alteration: AlterationId,
    /// Which of its amounts.
    place: usize,
    /// The amount when it was taken hold of, in mm.
    start_mm: f64,
    /// The direction on the piece in which a longer amount moves the thing; of length 1.
    direction: Vec2,
}

impl Grip {
    /// The command for a drag by so much since the press, on the piece in mm; amounts are whole millimetres, as a
    /// hand can hold no finer.
    pub(super) fn command(&self, session: &Session, by: Vec2) -> Option<Command> {
        let alterations = &session.open.plan().alterations;
        let known = alterations.iter().find(|known| known.id == self.alteration)?;
        let amount = Length::from_mm((self.start_mm + by.dot(self.direction)).round());
        Some(Command::ChangeAlteration(
            self.alteration,
            known.record.with_amount(self.place, amount),
        ))
    }
}

/// What lies under the pointer at a place of the piece on the board, within `reach_mm`.
pub(super) fn selected_at(piece: &Piece, place: Point, reach_mm: f64) -> Option<Selected> {
    let darts = piece
        .darts
        .iter()
        .map(|dart| (Selected::Dart(dart.id.clone()), dart.apex.distance(place)));
    let edges = piece.edges.iter().map(|edge| {
        let selected = match &edge.role {
            EdgeRole::DartMouth(dart) => Selected::Dart(dart.clone()),
            _ => Selected::Edge(edge.id.clone()),
        };
        (selected, edge.curve.nearest(place).1)
    });
    let nearest = darts.chain(edges).min_by(|a, b| a.1.total_cmp(&b.1))?;
    (nearest.1 <= reach_mm).then_some(nearest.0)
}

/// The amount that a drag from `place` changes, and the alteration to begin first where there is none.
pub(super) fn grip_at(session: &Session, place: Point, reach_mm: f64) -> Option<(Grip, Option<Record>)> {
    let piece: &EvaluatedPiece = session.open.evaluated().pieces.get(session.desk.piece)?;
    let altered = &piece.altered;
    let up = altered.grainline.direction();
    for dart in &altered.darts {
        if dart.apex.distance(place) <= reach_mm {
            let change = DartChange::MoveApex {
                up: Length::from_mm(0.0),
                withdraw: Length::from_mm(0.0),
            };
            let fresh = AlterDart {
                piece: altered.id.clone(),
                dart: dart.id.clone(),
                change,
            };
            let is_its = |record: &Record| match record {
                Record::Dart(known) => {
                    known.piece == altered.id
                        && known.dart == dart.id
                        && matches!(known.change, DartChange::MoveApex { .. })
                }
                _ => false,
            };
            return Some(grip(session, up, Record::Dart(fresh), is_its));
        }
    }
    for edge in altered.edges.iter().filter(|edge| edge.role == EdgeRole::Hem) {
        let (along, distance) = edge.curve.nearest(place);
        if distance <= reach_mm {
            let tangent = edge.curve.tangent_at(along);
            let outward = Vec2::new(tangent.y, -tangent.x);
            let fresh = Record::Hem(Hem {
                pieces: Pieces::All,
                longer_by: Length::from_mm(0.0),
            });
            let is_its = |record: &Record| match record {
                Record::Hem(hem) => hem.pieces.hold(altered),
                _ => false,
            };
            return Some(grip(session, outward, fresh, is_its));
        }
    }
    for balance in &altered.balance_lines {
        if balance.line.nearest(place, 1e-3).distance_sq.sqrt() <= reach_mm {
            let at = LengthenAt::BalanceLine {
                line: balance.id.clone(),
                half_band: None,
                darts: DartsAcross::default(),
            };
            let fresh = Record::Lengthen(Lengthen {
                at,
                longer_by: Length::from_mm(0.0),
            });
            let is_its = |record: &Record| match record {
                Record::Lengthen(Lengthen {
                    at: LengthenAt::BalanceLine { line, .. },
                    ..
                }) => *line == balance.id,
                _ => false,
            };
            return Some(grip(session, -up, fresh, is_its));
        }
    }
    None
}

fn grip(
    session: &Session,
    direction: Vec2,
    fresh: Record,
    is_its: impl Fn(&Record) -> bool,
) -> (Grip, Option<Record>) {
    let alterations = &session.open.plan().alterations;
    let known = alterations
        .iter()
        .rev()
        .find(|known: &&Alteration| known.on && is_its(&known.record));
    match known {
        Some(known) => {
            let start_mm = known
                .record
                .amounts()
                .first()
                .map_or(0.0, |amount| amount.length.mm());
            (
                Grip {
                    alteration: known.id,
                    place: 0,
                    start_mm,
                    direction,
                },
                None,
            )
        }
        None => {
            let alteration = session.open.plan().next_alteration_id();
            (
                Grip {
                    alteration,
                    place: 0,
                    start_mm: 0.0,
                    direction,
                },
                Some(fresh),
            )
        }
    }
}
