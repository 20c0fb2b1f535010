//! The amount that a thing on the board stands for: dragging the thing changes it.
//!
//! A hem, a lengthen/shorten line, a dart's point, a shoulder, an opening and a seam each have one. Of a seam or an
//! opening the end next to the hand is pulled, and the other end stays. What has no alteration yet gets one.

use super::hold::Held;
use crate::alter::{
    AlterDart, AlterationId, DartChange, DartsAcross, Fade, Hem, Lengthen, LengthenAt, Opening, OpeningPart,
    Pieces, Place, Record, Shoulder, ShoulderPart, Width,
};
use crate::desk::Session;
use crate::geometry::{Length, Point, Vec2};
use crate::pattern::{Edge, EdgeRole, Piece};

/// An alteration's amount, and how a drag changes it.
pub(super) struct Amount {
    /// The alteration; `None` when there is none yet.
    id: Option<AlterationId>,
    record: Record,
    /// Which of the record's amounts it is; several that are to stay alike.
    places: Vec<usize>,
    /// The direction in which a drag makes it larger.
    pub(super) grows: Vec2,
}

impl Amount {
    /// The amount that a thing stands for when it is taken hold of at `from`, on the piece; `None` for what has none.
    pub(super) fn of(session: &Session, held: &Held, from: Point) -> Option<Self> {
        let piece = &session.open.evaluated().pieces.get(session.desk.piece)?.altered;
        let grows = grows(session, piece, held, from)?;
        if let Some((id, record)) = alteration_of(session, piece, held) {
            let places = places(&record, piece, held);
            return Some(Self { id: Some(id), record, places, grows });
        }
        let record = new_record(session, piece, held, from)?;
        let places = places(&record, piece, held);
        Some(Self { id: None, record, places, grows })
    }

    /// It in mm.
    pub(super) fn mm(&self) -> f64 {
        let amounts = self.record.amounts();
        self.places.first().and_then(|&place| amounts.get(place)).map_or(0.0, |amount| amount.length.mm())
    }

    /// The alteration with another amount.
    pub(super) fn set(&self, amount: &Length) -> (Option<AlterationId>, Record) {
        let places = self.places.iter();
        let record =
            places.fold(self.record.clone(), |record, &place| record.with_amount(place, amount.clone()));
        (self.id, record)
    }
}

fn grows(session: &Session, piece: &Piece, held: &Held, from: Point) -> Option<Vec2> {
    let up = piece.grainline.direction();
    match held {
        Held::Edge(id) => {
            let edge = piece.edge(id)?;
            let along = edge.curve.tangent_at(edge.curve.nearest(from).0);
            // The piece lies to the left of travel.
            let outwards = Vec2::new(along.y, -along.x);
            match kind(session, piece, edge)? {
                Kind::Hem | Kind::Seam => Some(outwards),
                Kind::Shoulder => Some(-up),
                Kind::Opening => Some(-outwards),
            }
        }
        Held::BalanceLine(_) => Some(-up),
        Held::Dart(_) => Some(up),
        _ => None,
    }
}

/// What a drag does to an edge.
enum Kind {
    Hem,
    Shoulder,
    Opening,
    Seam,
}

fn kind(session: &Session, piece: &Piece, edge: &Edge) -> Option<Kind> {
    let pattern = &session.open.garment().pattern;
    match edge.role {
        EdgeRole::Hem => Some(Kind::Hem),
        EdgeRole::Opening => Some(Kind::Opening),
        EdgeRole::Seam => {
            if Shoulder::at_seam(&pattern.seams, &pieces(session), piece, edge).is_some() {
                return Some(Kind::Shoulder);
            }
            let mut mates =
                pattern.seams_of(&piece.id, &edge.id).filter_map(|seam| seam.mate_of(&piece.id, &edge.id));
            let is_facing = |id| {
                let mate = session.open.evaluated().piece(id);
                mate.is_some_and(|mate| {
                    mate.altered.edges.iter().any(|edge| edge.role == EdgeRole::FacingEdge)
                })
            };
            // What is only faced is an opening: neck and armhole.
            Some(if mates.all(|mate| is_facing(&mate.piece)) { Kind::Opening } else { Kind::Seam })
        }
        EdgeRole::Fold | EdgeRole::FacingEdge | EdgeRole::DartMouth(_) => None,
    }
}

fn pieces(session: &Session) -> Vec<&Piece> {
    session.open.evaluated().pieces.iter().map(|piece| piece.altered.as_ref()).collect()
}

/// The last alteration that is on and whose amount the held thing shows.
fn alteration_of(session: &Session, piece: &Piece, held: &Held) -> Option<(AlterationId, Record)> {
    let replay = &session.open.evaluated().replay;
    let alterations = session.open.plan().alterations.iter().rev();
    let found =
        alterations.filter(|alteration| alteration.on).find(|alteration| match (&alteration.record, held) {
            (Record::Hem(hem), Held::Edge(id)) => {
                piece.edge(id).is_some_and(|edge| edge.role == EdgeRole::Hem) && hem.pieces.hold(piece)
            }
            (Record::Shoulder(_) | Record::Opening(_), Held::Edge(_)) => {
                !places(&alteration.record, piece, held).is_empty()
            }
            (Record::Width(_), Held::Edge(id)) => {
                let is_seam = piece.edge(id).and_then(|edge| kind(session, piece, edge));
                let touched = replay.touched.get(&(piece.id.clone(), id.clone()));
                matches!(is_seam, Some(Kind::Seam))
                    && touched.is_some_and(|steps| steps.contains(&alteration.id))
            }
            (Record::Lengthen(lengthen), Held::BalanceLine(held)) => {
                matches!(&lengthen.at, LengthenAt::BalanceLine { line, .. } if line == held)
            }
            (Record::Dart(known), Held::Dart(held)) => {
                known.piece == piece.id
                    && known.dart == *held
                    && matches!(known.change, DartChange::MoveApex { .. })
            }
            _ => false,
        });
    found.map(|alteration| (alteration.id, alteration.record.clone()))
}

/// Which of a record's amounts a held thing shows.
fn places(record: &Record, piece: &Piece, held: &Held) -> Vec<usize> {
    match (record, held) {
        (Record::Shoulder(shoulder), Held::Edge(id)) => {
            let own = |part: &ShoulderPart| part.piece == piece.id && part.shoulder == *id;
            let Some(place) = shoulder.parts.iter().position(own) else { return Vec::new() };
            let alike = shoulder.parts.windows(2).all(|pair| pair[0].lower_by == pair[1].lower_by);
            if alike { (0..shoulder.parts.len()).collect() } else { vec![place] }
        }
        (Record::Opening(opening), Held::Edge(id)) => {
            let own = |part: &OpeningPart| part.piece == piece.id && part.edges.contains(id);
            opening.parts.iter().position(own).into_iter().collect()
        }
        _ => vec![0],
    }
}

fn new_record(session: &Session, piece: &Piece, held: &Held, from: Point) -> Option<Record> {
    let nothing = Length::from_mm(0.0);
    match held {
        Held::Dart(dart) => Some(Record::Dart(AlterDart {
            piece: piece.id.clone(),
            dart: dart.clone(),
            change: DartChange::MoveApex { up: nothing.clone(), withdraw: nothing },
        })),
        Held::BalanceLine(line) => Some(Record::Lengthen(Lengthen {
            at: LengthenAt::BalanceLine {
                line: line.clone(),
                half_band: None,
                darts: DartsAcross::default(),
            },
            longer_by: nothing,
        })),
        Held::Edge(id) => {
            let edge = piece.edge(id)?;
            let (at, whole) = (edge.curve.nearest(from).0, edge.curve.length());
            let (near, far) = if at < 0.5 * whole { (&edge.from, &edge.to) } else { (&edge.to, &edge.from) };
            match kind(session, piece, edge)? {
                Kind::Hem => Some(Record::Hem(Hem::parallel(Pieces::All, nothing))),
                Kind::Shoulder => {
                    let seams = &session.open.garment().pattern.seams;
                    Shoulder::at_seam(seams, &pieces(session), piece, edge).map(Record::Shoulder)
                }
                Kind::Opening => {
                    let fade = Some(Fade { full_at: near.clone(), nothing_at: far.clone() });
                    let edges = vec![id.clone()];
                    let part = OpeningPart { piece: piece.id.clone(), edges, lower_by: nothing, fade };
                    Some(Record::Opening(Opening { parts: vec![part] }))
                }
                Kind::Seam => Some(Record::Width(Width {
                    piece: piece.id.clone(),
                    full: Place::Corner { corner: near.clone() },
                    nothing: Place::Corner { corner: far.clone() },
                    also_nothing: None,
                    let_out: nothing,
                })),
            }
        }
        _ => None,
    }
}
