//! A stale facing of the coat, and the redraft that is offered for it.

use crate::garments::{bare_coat, garment, mm, said};
use chalkbeam::alter::{Facing, Fade, Hem, Opening, OpeningPart, Pieces, Record};
use chalkbeam::garment::{Command, Found, OpenGarment};
use chalkbeam::geometry::{Curve, Point};
use chalkbeam::pattern::{CornerId, Edge, EdgeId, Pattern, Piece};
use std::sync::Arc;

fn lower(piece: &str, edge: &str, full: &str, nothing: &str, by: f64) -> Command {
    let fade = Some(Fade { full_at: full.into(), nothing_at: nothing.into() });
    let part = OpeningPart { piece: piece.into(), edges: vec![edge.into()], lower_by: mm(by), fade };
    Command::AddAlteration(Record::Opening(Opening { parts: vec![part] }))
}

fn lower_neck(by: f64) -> Command {
    lower("front", "neck", "neck front edge", "shoulder neck", by)
}

fn stale_facings(open: &OpenGarment) -> Vec<Found> {
    said(open)
        .into_iter()
        .filter(|found| found.what.contains("facing") && found.what.contains("stale"))
        .collect()
}

/// Accepts what is offered for one stale facing after the other.
fn accept_all(open: &mut OpenGarment) -> usize {
    for accepted in 0..10 {
        let Some(found) = stale_facings(open).into_iter().next() else { return accepted };
        let command = found.mend.unwrap().command;
        // A hem that left a facing out takes it in; else it is drawn again.
        let takes_in = matches!(command, Command::ChangeAlteration(_, Record::Hem(_)));
        assert!(takes_in || matches!(command, Command::AddAlteration(Record::Facing(_))), "{command:?}");
        open.perform(&command, None).unwrap();
    }
    panic!("still stale: {:#?}", stale_facings(open));
}

fn piece(open: &OpenGarment, id: &str) -> Arc<Piece> {
    Arc::clone(&open.evaluated().piece(&id.into()).unwrap().altered)
}

fn curve(piece: &Piece, edge: &str) -> Curve {
    piece.edge(&edge.into()).unwrap().curve.clone()
}

#[test]
fn the_front_facing_is_drawn_again_round_the_neck_and_down_the_front_as_wide_as_it_was() {
    let mut open = bare_coat("88");
    open.perform(&lower_neck(12.0), None).unwrap();
    assert_eq!(stale_facings(&open).len(), 1);
    assert_eq!(accept_all(&mut open), 1);
    assert!(!open.evaluated().stale.contains(&"front facing".into()));
    let (front, facing) = (piece(&open, "front"), piece(&open, "front facing"));
    for edge in ["neck", "front edge"] {
        assert_eq!(curve(&front, edge), curve(&facing, edge), "copied as it is");
    }
    // Drafted 60 mm wide at the shoulder, and from x = −30 to x = 55 down the front.
    assert!((curve(&facing, "shoulder").length() - 60.0).abs() < 0.01);
    let inner = curve(&facing, "inner edge");
    assert!((inner.start().x - 55.0).abs() < 1e-6);
    let neck = curve(&facing, "neck");
    let mut round_the_neck = 0;
    for step in 0..=200 {
        let point = inner.point_at(inner.length() * f64::from(step) / 200.0);
        let from_neck = (0..=2000)
            .map(|step| neck.point_at(neck.length() * f64::from(step) / 2000.0).distance(point))
            .fold(f64::INFINITY, f64::min);
        let down_the_front = (point.x - 55.0).abs() < 1e-6;
        assert!(down_the_front || (from_neck - 60.0).abs() < 0.01, "{point:?} is {from_neck} from the neck");
        round_the_neck += u32::from(!down_the_front);
    }
    assert!(round_the_neck > 10);
}

#[test]
fn after_any_opening_is_lowered_the_offers_leave_no_facing_stale() {
    let mut open = bare_coat("96");
    for command in [
        lower_neck(20.0),
        lower("back", "neck", "neck centre", "shoulder neck", 10.0),
        lower("front", "armhole", "underarm", "shoulder tip", 8.0),
        lower("back", "armhole", "underarm", "shoulder tip", 8.0),
        Command::AddAlteration(Record::Hem(Hem::parallel(
            Pieces::Only(vec!["front".into(), "back".into()]),
            mm(-40.0),
        ))),
    ] {
        open.perform(&command, None).unwrap();
    }
    assert!(stale_facings(&open).len() >= 4, "{:#?}", said(&open));
    assert_eq!(accept_all(&mut open), 5, "the hem, and then front, back neck and both armholes");
    assert!(open.evaluated().stale.is_empty(), "{:?}", open.evaluated().stale);
    for facing in ["front facing", "back neck facing", "front armhole facing", "back armhole facing"] {
        assert!(open.evaluated().piece(&facing.into()).unwrap().cutting.is_ok(), "{facing}");
    }
}

#[test]
fn a_facing_trimmed_for_the_turn_of_cloth_is_not_stale_until_its_edge_moves_on() {
    let mut open = bare_coat("88");
    open.perform(&lower_neck(12.0), None).unwrap();
    // The facings of front and back meet at the shoulder, so both are trimmed.
    for id in ["front facing", "back neck facing"] {
        let again = Facing::again(&open.garment().pattern, &piece(&open, id)).unwrap();
        let trimmed = Record::Facing(Facing { trim: Some(mm(1.5)), ..again });
        open.perform(&Command::AddAlteration(trimmed), None).unwrap();
    }
    assert!(stale_facings(&open).is_empty(), "{:#?}", stale_facings(&open));
    assert!(
        !open
            .evaluated()
            .replay
            .stale(&open.garment().pattern, &"88".into())
            .iter()
            .any(|stale| { stale.piece.as_str() == "front facing" || stale.mate.as_str() == "front facing" })
    );
    // 1.5 mm inside the front's edge, at the front edge as at the neck.
    let (front, facing) = (piece(&open, "front"), piece(&open, "front facing"));
    for (edge, along) in [("front edge", 500.0), ("neck", 60.0)] {
        let point = curve(&facing, edge).point_at(along);
        assert!((curve(&front, edge).distance_to(point) - 1.5).abs() < 0.01, "{edge}");
    }
    open.perform(&lower_neck(15.0), None).unwrap();
    assert_eq!(stale_facings(&open).len(), 1);
}

/// The coat with a change to a piece in every size.
fn coat_with(id: &str, change: impl Fn(&mut Piece)) -> Pattern {
    let mut pattern = bare_coat("88").garment().pattern.as_ref().clone();
    for piece in pattern.pieces.iter_mut().filter(|piece| piece.id.as_str() == id) {
        piece.by_size.iter_mut().for_each(|drawn| change(Arc::make_mut(drawn)));
    }
    pattern
}

/// Cuts the hem in two at the centre front, 30 mm from the front edge.
fn cut_hem(piece: &mut Piece) {
    let at = piece.edge_index(&"hem".into()).unwrap();
    let hem = piece.edges[at].clone();
    let (Some(overlap), Some(rest)) = hem.curve.split_at(30.0) else { panic!("a hem of 30 mm") };
    let centre = CornerId::from("centre hem");
    piece.edges[at] = Edge { id: "hem overlap".into(), to: centre.clone(), curve: overlap, ..hem.clone() };
    piece.edges.insert(at + 1, Edge { from: centre, curve: rest, ..hem });
    piece.notches.retain(|notch| notch.edge != EdgeId::from("hem"));
}

#[test]
fn an_end_of_two_edges_is_divided_where_the_faced_piece_is() {
    let mut pattern = coat_with("front facing", cut_hem);
    for piece in pattern.pieces.iter_mut().filter(|piece| piece.id.as_str() == "front") {
        piece.by_size.iter_mut().for_each(|drawn| cut_hem(Arc::make_mut(drawn)));
    }
    let mut open = garment(pattern, "88", |_| {});
    open.perform(&lower_neck(12.0), None).unwrap();
    assert_eq!(accept_all(&mut open), 1);
    let facing = piece(&open, "front facing");
    assert!(facing.corner(&"centre hem".into()).unwrap().distance(Point::new(0.0, -720.0)) < 1e-6);
    assert!((curve(&facing, "hem overlap").length() - 30.0).abs() < 1e-6);
    assert!((curve(&facing, "hem").length() - 55.0).abs() < 0.02);
}

#[test]
fn a_facing_drawn_with_one_outer_edge_for_two_takes_both() {
    let mut pattern = coat_with("front facing", |facing| {
        let at = facing.edge_index(&"neck".into()).unwrap();
        let front = facing.edges.remove(at + 1);
        let neck = &mut facing.edges[at];
        neck.curve = neck.curve.joined(&front.curve).unwrap();
        neck.to = front.to.clone();
        facing.notches.retain(|notch| notch.id.as_str() == "neck front");
    });
    for run in pattern.seams.iter_mut().flat_map(|seam| &mut seam.sides) {
        if run.piece.as_str() == "front facing" && run.edges.len() == 2 {
            run.edges = vec!["neck".into()];
        }
    }
    let mut open = garment(pattern, "88", |_| {});
    open.perform(&lower_neck(12.0), None).unwrap();
    assert_eq!(accept_all(&mut open), 1);
    let (front, facing) = (piece(&open, "front"), piece(&open, "front facing"));
    let both = curve(&front, "neck").length() + curve(&front, "front edge").length();
    assert!((curve(&facing, "neck").length() - both).abs() < 1e-6);
}
