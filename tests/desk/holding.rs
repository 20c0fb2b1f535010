//! Taking hold of things on the board.

use crate::seat::{Seat, demo, empty};
use chalkbeam::alter::Record;
use chalkbeam::desk::{Held, Stop};
use chalkbeam::geometry::Vec2;
use chalkbeam::pattern::{Edge, EdgeRole, Piece};
use chalkbeam::scene::{Meaning, Shape};
use egui::accesskit::Role;

/// Millimetres a unit of the board, from a line whose place is known.
fn unit_mm(seat: &Seat, piece: &Piece) -> f64 {
    let fold = piece.fold().unwrap();
    let scene = &seat.board().scene;
    let drawn = scene.items.iter().find_map(|item| match &item.shape {
        Shape::Stroke(path) if item.meaning == Meaning::Grainline => path.elements()[1].end_point(),
        _ => None,
    });
    assert!(fold.curve.length() > 0.0);
    piece.grainline.to.y / drawn.unwrap().y
}

fn first_piece(seat: &Seat) -> Piece {
    seat.session().open.evaluated().pieces[0].altered.as_ref().clone()
}

fn hem(piece: &Piece) -> Edge {
    piece.edges.iter().find(|edge| edge.role == EdgeRole::Hem).unwrap().clone()
}

fn hem_mm(seat: &Seat) -> f64 {
    let last = seat.session().open.plan().alterations.last().unwrap();
    last.record.amounts().first().unwrap().length.mm()
}

#[test]
fn a_click_on_an_edge_shows_its_facts() {
    let mut seat = Seat::at(demo());
    let piece = first_piece(&seat);
    let unit = unit_mm(&seat, &piece);
    let edge = hem(&piece);
    let middle = edge.curve.point_at(0.4 * edge.curve.length());
    seat.click_at(seat.on_board((middle.x / unit, middle.y / unit)));
    assert_eq!(seat.session().desk.held, Some(Held::Edge(edge.id.clone())));
    assert!(seat.says("Edge “hem”, hem"));
    assert!(seat.says("allowance 25.0 mm"));
}

#[test]
fn the_hem_in_hand_may_slope_to_the_side_seams_or_be_drawn_square_to_them() {
    let mut seat = Seat::at(demo());
    let piece = first_piece(&seat);
    let unit = unit_mm(&seat, &piece);
    let edge = hem(&piece);
    let middle = edge.curve.point_at(0.4 * edge.curve.length());
    seat.click_at(seat.on_board((middle.x / unit, middle.y / unit)));
    seat.enter("Lengthen (with −, shorten) the hem of all pieces at the side seams", "-2 cm");
    let applied = |seat: &Seat| {
        let replay = &seat.session().open.evaluated().replay;
        matches!(replay.steps.last().unwrap().outcome, chalkbeam::alter::Outcome::Applied(_))
    };
    let last = seat.session().open.plan().alterations.last().unwrap().record.clone();
    let amounts: Vec<f64> = last.amounts().iter().map(|amount| amount.length.mm()).collect();
    assert_eq!(amounts, [0.0, -20.0]);
    assert!(applied(&seat));
    seat.click(Role::Button, "draw the hem of all pieces square to the side seams");
    assert!(applied(&seat));
    assert!(seat.says("angle between hem and side seam"), "{:?}", seat.labels(Role::Label));
}

#[test]
fn dragging_the_hem_changes_its_alteration_in_one_step() {
    let mut seat = Seat::at(demo());
    let piece = first_piece(&seat);
    let unit = unit_mm(&seat, &piece);
    let edge = hem(&piece);
    let middle = edge.curve.point_at(0.5 * edge.curve.length());
    let outwards = edge.curve.tangent_at(0.5 * edge.curve.length());
    let to = (middle.x + 30.0 * outwards.y, middle.y - 30.0 * outwards.x);
    seat.drag(seat.on_board((middle.x / unit, middle.y / unit)), seat.on_board((to.0 / unit, to.1 / unit)));
    let changed = hem_mm(&seat);
    assert!((changed + 50.0).abs() <= 2.0, "−80 mm dragged 30 mm outwards is {changed} mm");
    seat.click(Role::Button, "Take back");
    assert!((hem_mm(&seat) + 80.0).abs() < 1e-9, "one drag is one step");
}

#[test]
fn dragging_a_balance_line_of_an_unaltered_piece_adds_an_alteration() {
    let mut seat = Seat::at(empty());
    let piece = first_piece(&seat);
    let unit = unit_mm(&seat, &piece);
    let line = piece.balance_lines[0].line;
    let at = line.p0.lerp(line.p1, 0.3);
    let down = at - 25.0 * piece.grainline.direction();
    seat.drag(seat.on_board((at.x / unit, at.y / unit)), seat.on_board((down.x / unit, down.y / unit)));
    assert_eq!(seat.session().open.plan().alterations.len(), 1);
    assert!((hem_mm(&seat) - 25.0).abs() <= 2.0, "{}", hem_mm(&seat));
    seat.click(Role::Button, "Take back");
    assert!(seat.session().open.plan().alterations.is_empty());
}

/// Drags an edge of the first piece (further than the few px that are taken for a click) from a share of its length by so many mm outwards; what comes last in the list then.
fn dragged(seat: &mut Seat, edge: &str, share: f64, outwards_mm: f64) -> (Record, f64) {
    let piece = first_piece(seat);
    let unit = unit_mm(seat, &piece);
    let curve = &piece.edge(&edge.into()).unwrap().curve;
    let (at, along) = (curve.point_at(share * curve.length()), curve.tangent_at(share * curve.length()));
    let to = at + outwards_mm * Vec2::new(along.y, -along.x);
    seat.drag(seat.on_board((at.x / unit, at.y / unit)), seat.on_board((to.x / unit, to.y / unit)));
    let alterations = &seat.session().open.plan().alterations;
    assert_eq!(alterations.len(), 1, "one drag, one alteration");
    let record = alterations[0].record.clone();
    let mm = record.amounts()[0].length.mm();
    (record, mm)
}

#[test]
fn dragging_a_side_seam_lets_it_out_at_the_end_next_to_the_hand() {
    let mut seat = Seat::at(empty());
    let (record, mm) = dragged(&mut seat, "side", 0.2, 30.0);
    let Record::Width(width) = record else { panic!("{record:?}") };
    assert!((mm - 30.0).abs() <= 3.0, "{mm}");
    let from = first_piece(&seat).edge(&"side".into()).unwrap().from.clone();
    assert_eq!(width.full, chalkbeam::alter::Place::Corner { corner: from });
    // Taken hold of again it is the same alteration that changes.
    let (_, mm) = dragged(&mut seat, "side", 0.2, -20.0);
    assert!((mm - 10.0).abs() <= 5.0, "{mm}");
    seat.click(Role::Button, "Take back");
    seat.click(Role::Button, "Take back");
    assert!(seat.session().open.plan().alterations.is_empty());
}

#[test]
fn dragging_a_neckline_inwards_lowers_it() {
    let mut seat = Seat::at(empty());
    let (record, mm) = dragged(&mut seat, "neck", 0.3, -30.0);
    assert!(matches!(record, Record::Opening(_)), "{record:?}");
    assert!((mm - 30.0).abs() <= 3.0, "{mm}");
}

#[test]
fn dragging_a_shoulder_down_lowers_its_mate_with_it() {
    let mut seat = Seat::at(empty());
    let (record, mm) = dragged(&mut seat, "shoulder", 0.5, -30.0);
    let Record::Shoulder(shoulder) = record else { panic!("{record:?}") };
    assert!((15.0..=33.0).contains(&mm), "{mm}");
    let pieces: Vec<&str> = shoulder.parts.iter().map(|part| part.piece.as_str()).collect();
    assert_eq!(pieces, ["back", "front"]);
    assert_eq!(shoulder.parts[0].lower_by, shoulder.parts[1].lower_by);
}

#[test]
fn a_piece_is_dragged_on_the_cloth_and_lies_where_the_print_agrees_next_to_the_hand() {
    let mut seat = Seat::at(demo());
    seat.go_to(Stop::Lay);
    let at = seat.session().open.plan().lay[0].at;
    let middle = seat.find(Role::Image, "board").rect().center();
    // The lay is fitted to the board: take a place inside the left front.
    let board = seat.board().clone();
    let unit = {
        let stand = seat.session().open.plan().stand;
        let edge = board.scene.items.iter().find_map(|item| match &item.shape {
            Shape::Stroke(path) if item.meaning == Meaning::ClothEdge => path.elements()[0].end_point(),
            _ => None,
        });
        stand.at.x / edge.unwrap().x
    };
    let piece = seat.session().open.plan().lay[0].at + seat.session().open.plan().stand.at.to_vec2();
    let from = seat.on_board((piece.x / unit, (piece.y - 100.0) / unit));
    assert!(from.distance(middle) < 2000.0);
    let to = seat.on_board(((piece.x + 60.0) / unit, (piece.y - 140.0) / unit));
    seat.drag(from, to);
    let moved = seat.session().open.plan().lay[0].at;
    // The stripe repeats every 96 mm across, the half-drop every 70 mm along: no further from the hand than that.
    let off_hand = (moved - at) - Vec2::new(60.0, -40.0);
    assert!(off_hand.x.abs() <= 70.0 && off_hand.y.abs() <= 96.0 && moved != at, "{at} {moved}");
    let open = &seat.session().open;
    let laid = open.evaluated().laid(open.plan()).unwrap();
    let kept = chalkbeam::lay::snapped(&open.plan().lay[0], &laid);
    assert!(kept.at.distance(moved) < 1e-6, "{moved} would go on to {}", kept.at);
    seat.click(Role::Button, "Take back");
    assert_eq!(seat.session().open.plan().lay[0].at, at);
}
