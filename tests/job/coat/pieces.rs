//! The pattern of the garden coat, put together from the draft.

mod facings;
mod seams;

use super::draft::{BALANCE_Y, Draft, FRONT_EDGE, SIZES};
use chalkbeam::geometry::{Curve, Length, Line, Point, Segment};
use chalkbeam::pattern::{
    BalanceLine, ClothKind, Cutting, Dart, DrillHole, Edge, EdgeRole, Grainline, HowCut, InnerLine, Notch,
    NotchKind, Pattern, Piece, PrintedText, SizedPiece,
};
use std::sync::Arc;

/// The garden coat in five sizes.
pub(super) fn garden_coat() -> Pattern {
    let by_step: Vec<Vec<Piece>> =
        (0..5).map(|step| pieces(&Draft::of(step), SIZES[usize::from(step)])).collect();
    let pieces = (0..by_step[0].len())
        .map(|index| SizedPiece {
            id: by_step[0][index].id.clone(),
            by_size: by_step.iter().map(|pieces| Arc::new(pieces[index].clone())).collect(),
        })
        .collect();
    Pattern {
        name: "Garden coat".to_owned(),
        sizes: SIZES.map(Into::into).to_vec(),
        pieces,
        seams: seams::seams(),
        allowance: "15 mm".parse().unwrap(),
        hem_allowance: "25 mm".parse().unwrap(),
        bodies: super::measures::bodies(),
        measures: super::measures::measures(),
    }
}

fn pieces(d: &Draft, size: &str) -> Vec<Piece> {
    vec![
        back(d, size),
        front(d, size),
        facings::front_facing(d, size),
        facings::back_neck_facing(d, size),
        facings::front_armhole_facing(d, size),
        facings::back_armhole_facing(d, size),
    ]
}

fn edge(id: &str, from: &str, to: &str, role: EdgeRole, segments: Vec<Segment>) -> Edge {
    // The inner edge of a facing is overcast as it is cut.
    let bare = role == FacingEdge;
    Edge {
        id: id.into(),
        from: from.into(),
        to: to.into(),
        role,
        allowance: bare.then(|| Length::from_mm(0.0)),
        curve: Curve::new(segments).unwrap(),
    }
}

fn straight(from: Point, to: Point) -> Vec<Segment> {
    vec![Segment::line(from, to)]
}

fn notch(id: &str, edge: &str, corner: &str, distance: f64, kind: NotchKind) -> Notch {
    Notch { id: id.into(), edge: edge.into(), corner: corner.into(), distance, kind }
}

fn cut(cloth: ClothKind, count: u32, how: HowCut) -> Cutting {
    Cutting { cloth, count, how }
}

fn text(words: String, x: f64, y: f64, height_mm: f64) -> PrintedText {
    let at = Point::new(x, y);
    PrintedText { words, at, height_mm }
}

fn upright(x: f64, low: f64, high: f64) -> Grainline {
    Grainline { from: Point::new(x, low), to: Point::new(x, high) }
}

fn waist_line(from: f64, to: f64) -> BalanceLine {
    BalanceLine { id: "waist".into(), line: Line::new((from, BALANCE_Y), (to, BALANCE_Y)) }
}

fn piece(id: &str, number: u32, cuttings: Vec<Cutting>, edges: Vec<Edge>, grainline: Grainline) -> Piece {
    Piece {
        id: id.into(),
        number,
        cuttings,
        edges,
        notches: Vec::new(),
        darts: Vec::new(),
        grainline,
        balance_lines: Vec::new(),
        drill_holes: Vec::new(),
        inner_lines: Vec::new(),
        texts: Vec::new(),
        traces: Vec::new(),
    }
}

use EdgeRole::{DartMouth, FacingEdge, Fold, Hem, Seam as Sewn};
use NotchKind::{Double, Single};

/// Notch on an armhole, measured from the underarm: single at the front, double at the back (common practice).
const FRONT_ARMHOLE_NOTCH: f64 = 85.0;
const BACK_ARMHOLE_NOTCH: f64 = 95.0;
/// Notches on the neckline, measured from the shoulder.
const FRONT_NECK_NOTCH: f64 = 70.0;
const BACK_NECK_NOTCH: f64 = 45.0;

fn back(d: &Draft, size: &str) -> Piece {
    let edges = vec![
        edge("hem", "hem centre", "hem side", Hem, d.hem()),
        edge("side", "hem side", "underarm", Sewn, d.back_side()),
        edge("armhole", "underarm", "shoulder tip", Sewn, Draft::armhole_up(&d.back_armhole)),
        edge(
            "shoulder",
            "shoulder tip",
            "shoulder neck",
            Sewn,
            straight(d.back_shoulder_tip, d.back_shoulder_neck),
        ),
        edge("neck", "shoulder neck", "neck centre", Sewn, d.back_neck_to_centre()),
        edge("fold", "neck centre", "hem centre", Fold, straight(d.back_neck_centre, d.hem_centre)),
    ];
    let cuttings = vec![cut(ClothKind::Cloth, 1, HowCut::OpenedOut)];
    let [below_dart, waist, hip] = d.side_levels();
    let mut back = piece("back", 1, cuttings, edges, upright(90.0, -450.0, 250.0));
    back.notches = vec![
        notch("armhole back", "armhole", "underarm", BACK_ARMHOLE_NOTCH, Double),
        notch("below dart", "side", "underarm", below_dart, Single),
        notch("waist", "side", "underarm", waist, Single),
        notch("hip", "side", "underarm", hip, Single),
        notch("shoulder", "shoulder", "shoulder neck", 0.5 * d.shoulder, Double),
        notch("neck back", "neck", "shoulder neck", BACK_NECK_NOTCH, Double),
    ];
    back.balance_lines = vec![waist_line(0.0, d.side_at_balance())];
    back.texts = vec![
        text(format!("1 Back, size {size}"), 110.0, -300.0, 14.0),
        text("cut 1, opened out at the fold".to_owned(), 110.0, -325.0, 8.0),
    ];
    back
}

fn front(d: &Draft, size: &str) -> Piece {
    let edges = vec![
        edge("hem", "hem front edge", "hem side", Hem, d.front_hem()),
        edge("side lower", "hem side", "dart lower", Sewn, d.front_side_lower()),
        edge("dart mouth", "dart lower", "dart upper", DartMouth("bust".into()), d.cap()),
        edge("side upper", "dart upper", "underarm", Sewn, straight(d.dart_upper, d.front_underarm)),
        edge("armhole", "underarm", "shoulder tip", Sewn, Draft::armhole_up(&d.front_armhole)),
        edge(
            "shoulder",
            "shoulder tip",
            "shoulder neck",
            Sewn,
            straight(d.front_shoulder_tip, d.front_shoulder_neck),
        ),
        edge("neck", "shoulder neck", "neck front edge", Sewn, d.front_neck_to_edge()),
        edge(
            "front edge",
            "neck front edge",
            "hem front edge",
            Sewn,
            straight(d.neck_front_edge(), d.hem_front_edge()),
        ),
    ];
    let cuttings = vec![cut(ClothKind::Cloth, 2, HowCut::MirroredPair)];
    // The dart takes the first 80 mm of the side away from the lower edge.
    let [below_dart, waist, hip] = d.side_levels().map(|level| level - 80.0);
    let mut front = piece("front", 2, cuttings, edges, upright(70.0, -450.0, 250.0));
    front.notches = vec![
        notch("armhole front", "armhole", "underarm", FRONT_ARMHOLE_NOTCH, Single),
        notch("below dart", "side lower", "dart lower", below_dart, Single),
        notch("waist", "side lower", "dart lower", waist, Single),
        notch("hip", "side lower", "dart lower", hip, Single),
        notch("shoulder", "shoulder", "shoulder neck", 0.5 * d.shoulder, Double),
        notch("neck front", "neck", "shoulder neck", FRONT_NECK_NOTCH, Single),
    ];
    front.notches.extend(front_edge_notches(d));
    front.darts = vec![Dart { id: "bust".into(), apex: d.apex, pressed_toward: "dart lower".into() }];
    front.balance_lines = vec![waist_line(FRONT_EDGE, d.side_at_balance())];
    front.drill_holes = vec![DrillHole { name: "bust dart".to_owned(), at: d.drill_hole() }];
    let (from, to) = d.pocket();
    front.inner_lines = vec![
        InnerLine {
            name: "centre front, button line".to_owned(),
            curve: Curve::line(d.front_neck_centre, d.hem_centre),
        },
        InnerLine { name: "pocket place".to_owned(), curve: Curve::line(from, to) },
    ];
    front.texts = vec![
        text(format!("2 Front, size {size}"), 90.0, -300.0, 14.0),
        text("cut 2, mirrored".to_owned(), 90.0, -325.0, 8.0),
    ];
    front
}

/// Notches that the front and its facing share along neckline, front edge and hem.
fn front_edge_notches(d: &Draft) -> [Notch; 3] {
    [
        notch("centre front neck", "neck", "neck front edge", -FRONT_EDGE, Single),
        notch("waist front", "front edge", "neck front edge", d.front_neck_centre.y, Single),
        notch("centre front hem", "hem", "hem front edge", -FRONT_EDGE, Single),
    ]
}
