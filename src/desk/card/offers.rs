//! What can be done with an edge or a dart, as sentences with an amount to fill in.
//!
//! An offer follows from what the edge is and what lies beside it, so that she never has to name a corner: a
//! hem is lengthened, a seam is let out at one end and fades at the other, a curved opening is lowered, a
//! shoulder comes down together with its mate's.

use crate::alter::{
    Allowance, AlterDart, Blend, CornerShape, DartChange, Facing, Fade, FullBust, Hem, Lengthen, LengthenAt,
    MarginAt, MarginZone, Opening, OpeningPart, Pieces, Place, Record, Shoulder, ShoulderArmhole,
    ShoulderPart, Width,
};
use crate::geometry::Length;
use crate::pattern::{CornerId, Dart, Edge, EdgeId, EdgeRole, NotchId, Pattern, Piece, SizeId};

/// A sentence with an amount to fill in, or none.
pub(super) struct Offer {
    /// The sentence, up to the amount.
    pub(super) words: String,
    /// The record, with an amount of nothing.
    pub(super) record: Record,
    /// Whether an amount has to be filled in.
    pub(super) takes_amount: bool,
    /// The only one of the record's amounts that it goes to; all, when `None`.
    only: Option<usize>,
}

impl Offer {
    fn by(words: impl Into<String>, record: Record) -> Self {
        Self { words: words.into(), record, takes_amount: true, only: None }
    }

    fn at_once(words: impl Into<String>, record: Record) -> Self {
        Self { words: words.into(), record, takes_amount: false, only: None }
    }

    /// The record with every amount that it takes set to one.
    pub(super) fn filled(&self, amount: &Length) -> Record {
        let places = self.only.map_or(0..self.record.amounts().len(), |only| only..only + 1);
        places.fold(self.record.clone(), |record, place| record.with_amount(place, amount.clone()))
    }
}

fn nothing() -> Length {
    Length::from_mm(0.0)
}

/// What can be done with an edge of a piece.
pub(super) fn for_edge(pattern: &Pattern, pieces: &[&Piece], piece: &Piece, edge: &Edge) -> Vec<Offer> {
    let mut offers = Vec::new();
    match &edge.role {
        EdgeRole::Hem => hem(pattern, pieces, piece, &mut offers),
        EdgeRole::Seam | EdgeRole::Opening => {
            shoulder(pattern, pieces, piece, edge, &mut offers);
            width(pattern, piece, edge, &mut offers);
            opening(piece, edge, &mut offers);
        }
        EdgeRole::DartMouth(dart) => {
            if let Some(dart) = piece.dart(dart) {
                offers.extend(for_dart(piece, dart));
            }
        }
        EdgeRole::Fold | EdgeRole::FacingEdge => {}
    }
    if edge.role != EdgeRole::Fold {
        allowance(piece, edge, &mut offers);
    }
    offers
}

/// What can be done with a piece as a whole.
pub(super) fn for_piece(pattern: &Pattern, piece: &Piece) -> Vec<Offer> {
    let mut offers = Vec::new();
    if let Some(facing) = Facing::again(pattern, piece) {
        let words = format!("draw {} again from the edge that it faces", piece.id);
        offers.push(Offer::at_once(words, Record::Facing(facing)));
    }
    let none = Some(nothing());
    let garment = Record::Allowance(Allowance::Garment { seam: none.clone(), hem: None });
    offers.push(Offer::by("Make the allowance of all seams of the garment", garment));
    let hems = Record::Allowance(Allowance::Garment { seam: None, hem: none });
    offers.push(Offer::by("Make the allowance of all hems of the garment", hems));
    offers
}

fn allowance(piece: &Piece, edge: &Edge, offers: &mut Vec<Offer>) {
    let edges = Allowance::Edges { piece: piece.id.clone(), edges: vec![edge.id.clone()], width: nothing() };
    offers.push(Offer::by("Make the allowance of this edge", Record::Allowance(edges)));
    let turned = edge.role == EdgeRole::Hem;
    for corner in [&edge.from, &edge.to] {
        let at = |shape| {
            Record::Allowance(Allowance::Corner { piece: piece.id.clone(), corner: corner.clone(), shape })
        };
        let shapes = [
            (
                turned,
                "mirrored, to lie flush when turned up",
                CornerShape::Mirrored { turned: edge.id.clone() },
            ),
            (!turned, "squared, this seam sewn first", CornerShape::Squared { first: edge.id.clone() }),
            (!turned, "notched, for seams pressed open", CornerShape::Notched),
        ];
        for (_, words, shape) in shapes.into_iter().filter(|(fits, ..)| *fits) {
            offers.push(Offer::at_once(format!("allowance at “{corner}” {words}"), at(shape)));
        }
    }
}

/// Blends along an edge, both ways, to a size.
pub(super) fn blends(piece: &Piece, edge: &Edge, to: &SizeId) -> Vec<Offer> {
    let ends = [(&edge.from, &edge.to), (&edge.to, &edge.from)];
    ends.into_iter()
        .map(|(from, until)| {
            let corner = |corner: &CornerId| Place::Corner { corner: corner.clone() };
            let record = Record::Blend(Blend {
                to: to.clone(),
                piece: piece.id.clone(),
                from: corner(from),
                until: corner(until),
                through: None,
            });
            let words =
                format!("go over to size {to} along this edge, from “{from}” to “{until}”, with its mates");
            Offer::at_once(words, record)
        })
        .collect()
}

fn hem(pattern: &Pattern, pieces: &[&Piece], piece: &Piece, offers: &mut Vec<Offer>) {
    let all = Hem::parallel(Pieces::All, nothing());
    offers.push(Offer::by(
        "Lengthen (with −, shorten) the hem of all pieces, square to itself, by",
        Record::Hem(all.clone()),
    ));
    let only = Record::Hem(Hem::parallel(Pieces::Only(vec![piece.id.clone()]), nothing()));
    offers.push(Offer::by(format!("Lengthen (with −, shorten) the hem of {} alone by", piece.id), only));
    // Where every hem has a centre and a side, it may slope from one to the other.
    let mut hemmed = pieces.iter().filter(|piece| piece.edges.iter().any(|edge| edge.role == EdgeRole::Hem));
    if hemmed.all(|hemmed| Hem::has_way(&pattern.seams, pieces, &hemmed.id)) {
        let sloping = Record::Hem(Hem { at_side: Some(nothing()), ..all.clone() });
        let at = [("the side seams", "the centre", 1), ("the centre", "the side seams", 0)];
        for (full, none, place) in at {
            let words = format!(
                "Lengthen (with −, shorten) the hem of all pieces at {full}, nothing at {none} and evenly between, by"
            );
            offers.push(Offer { only: Some(place), ..Offer::by(words, sloping.clone()) });
        }
        let square = Record::Hem(Hem { side_angle_degrees: Some(90.0), ..all });
        offers.push(Offer::at_once("draw the hem of all pieces square to the side seams", square));
    }
    let at = LengthenAt::LowerEdge { pieces: Pieces::All };
    let along = Record::Lengthen(Lengthen { at, longer_by: nothing() });
    offers.push(Offer::by(
        "Lengthen (with −, shorten) all pieces at the lower edge, along the grain, by",
        along,
    ));
}

fn width(pattern: &Pattern, piece: &Piece, edge: &Edge, offers: &mut Vec<Offer>) {
    if pattern.seams_of(&piece.id, &edge.id).next().is_none() {
        return;
    }
    for (full, nothing_at) in [(&edge.from, &edge.to), (&edge.to, &edge.from)] {
        let corner = |corner: &CornerId| Place::Corner { corner: corner.clone() };
        let record = Record::Width(Width {
            piece: piece.id.clone(),
            full: corner(full),
            nothing: corner(nothing_at),
            also_nothing: None,
            let_out: nothing(),
        });
        let words =
            format!("Let out (with −, take in) at “{full}”, nothing at “{nothing_at}”, with the mates, by");
        offers.push(Offer::by(words, record));
    }
}

fn opening(piece: &Piece, edge: &Edge, offers: &mut Vec<Offer>) {
    let fades = [
        (None, "all along".to_owned()),
        (Some((&edge.from, &edge.to)), format!("at “{}”, nothing at “{}”,", edge.from, edge.to)),
        (Some((&edge.to, &edge.from)), format!("at “{}”, nothing at “{}”,", edge.to, edge.from)),
    ];
    for (fade, where_to) in fades {
        let fade = fade.map(|(full, nothing)| Fade { full_at: full.clone(), nothing_at: nothing.clone() });
        let part =
            OpeningPart { piece: piece.id.clone(), edges: vec![edge.id.clone()], lower_by: nothing(), fade };
        let words = format!("Lower (with −, raise) this edge of {} {where_to} by", piece.id);
        offers.push(Offer::by(words, Record::Opening(Opening { parts: vec![part] })));
    }
}

fn shoulder(pattern: &Pattern, pieces: &[&Piece], piece: &Piece, edge: &Edge, offers: &mut Vec<Offer>) {
    let Some(Shoulder { parts, .. }) = Shoulder::at_seam(&pattern.seams, pieces, piece, edge) else {
        return;
    };
    let names: Vec<String> = parts.iter().map(|part| part.piece.to_string()).collect();
    for (armhole, kept) in [
        (ShoulderArmhole::Keep, "the armhole keeps its length"),
        (ShoulderArmhole::Tighten, "the armhole becomes tighter (sleeveless)"),
    ] {
        let record = Record::Shoulder(Shoulder { parts: parts.clone(), armhole });
        let words = format!("Lower (with −, raise) the shoulder tip of {}; {kept}; by", names.join(" and "));
        offers.push(Offer::by(words, record));
    }
}

/// What can be done with a dart.
pub(super) fn for_dart(piece: &Piece, dart: &Dart) -> Vec<Offer> {
    let record = |change| Record::Dart(AlterDart { piece: piece.id.clone(), dart: dart.id.clone(), change });
    let apex = || record(DartChange::MoveApex { up: nothing(), withdraw: nothing() });
    let mut offers = vec![
        Offer::at_once("make both legs as long", record(DartChange::EqualiseLegs { slide: None })),
        Offer::at_once(
            format!("true the cap, pressed towards “{}”", dart.pressed_toward),
            record(DartChange::True),
        ),
        Offer { only: Some(0), ..Offer::by("Raise (with −, lower) the point by", apex()) },
        Offer { only: Some(1), ..Offer::by("Draw the point back from the bust by", apex()) },
    ];
    for toward in beside_mouth(piece, dart) {
        let words = format!("Move the mouth towards “{toward}” by");
        offers.push(Offer::by(words, record(DartChange::MoveMouth { toward, by: nothing() })));
    }
    let margin = MarginZone {
        piece: piece.id.clone(),
        at: MarginAt::Mouth { dart: dart.id.clone() },
        width: nothing(),
    };
    let margin = Record::Allowance(Allowance::Margin(margin));
    offers.push(Offer::by(
        "Leave cloth untrimmed at the mouth until it is sewn (25 to 30 mm is usual)",
        margin,
    ));
    for hinge in armhole_notches(piece) {
        let bust = FullBust {
            piece: piece.id.clone(),
            dart: dart.id.clone(),
            bust_point: None,
            hinge: Place::Notch { notch: hinge.clone() },
            spread: nothing(),
            withdraw: None,
        };
        let words = format!("More room for the bust, hinged at the notch “{hinge}”: each front wider by");
        offers.push(Offer::by(words, Record::FullBust(bust)));
    }
    for corner in corners_to_turn_to(piece, dart) {
        let to = Place::Corner { corner: corner.clone() };
        let words = format!("close it and open it at “{corner}” instead");
        offers
            .push(Offer::at_once(words, record(DartChange::Rotate { to, about: None, withdraw: nothing() })));
    }
    offers
}

/// Notches on edges that meet a shoulder: where a full-bust slash may hinge.
fn armhole_notches(piece: &Piece) -> Vec<NotchId> {
    let meets_shoulder = |id: &EdgeId| {
        piece
            .edges
            .iter()
            .any(|edge| ShoulderPart::at(piece, &edge.id).is_some_and(|part| part.armhole == *id))
    };
    let notches = piece.notches.iter().filter(|notch| meets_shoulder(&notch.edge));
    notches.map(|notch| notch.id.clone()).collect()
}

fn beside_mouth(piece: &Piece, dart: &Dart) -> Vec<EdgeId> {
    let Some(mouth) = piece.dart_mouth(&dart.id) else {
        return Vec::new();
    };
    let edges = piece.edges.iter();
    let beside = edges.filter(|edge| edge.to == mouth.from || edge.from == mouth.to);
    beside.map(|edge| edge.id.clone()).collect()
}

fn corners_to_turn_to(piece: &Piece, dart: &Dart) -> Vec<CornerId> {
    let Some(mouth) = piece.dart_mouth(&dart.id) else {
        return Vec::new();
    };
    let corners = piece.edges.iter().map(|edge| &edge.from);
    corners.filter(|corner| **corner != mouth.from && **corner != mouth.to).cloned().collect()
}
