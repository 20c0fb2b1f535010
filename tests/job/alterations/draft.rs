//! The garden coat drafted from its published formulas, apart from any pattern file: back and front in five
//! sizes.

use chalkbeam::geometry::{Curve, Length, Line, Point, Segment, Vec2};
use chalkbeam::pattern::*;
use std::sync::Arc;

pub(super) fn mm(amount: f64) -> Length {
    Length::from_mm(amount)
}

/// Down the straight part of a side seam that leans out by `degrees`.
fn down(degrees: f64) -> Vec2 {
    let angle = degrees.to_radians();
    Vec2::new(-angle.sin(), -angle.cos())
}

fn turned(p: Point, about: Point, angle: f64) -> Point {
    about + Vec2::from_angle(angle).rotate_scale(p - about)
}

/// The points of one size, named as in the draft.
pub(super) struct Draft {
    pub(super) i: f64,
    pub(super) u: Point,
    pub(super) v: Point,
    pub(super) k: Point,
    pub(super) h: Point,
    pub(super) c: Point,
    pub(super) side: [Point; 4],
    pub(super) n: Point,
    pub(super) s: Point,
    pub(super) p: Point,
    pub(super) back_neck: [Point; 4],
    pub(super) back_armhole: [Point; 4],
    pub(super) t: Point,
    pub(super) m1: Point,
    pub(super) m2: Point,
    pub(super) u_front: Point,
    pub(super) s_front: Point,
    pub(super) p_front: Point,
    pub(super) f: Point,
    pub(super) front_neck: [Point; 4],
    pub(super) front_armhole: [Point; 4],
}

pub(super) fn draft(size: u8) -> Draft {
    let i = f64::from(size);
    let lean = 15.0_f64.to_radians();
    let u = Point::new(230.0 + 10.0 * i, 190.0 + i);
    let v = u + 120.0 * down(4.0);
    let k = Point::new(255.0 + 10.0 * i, -200.0);
    let c = Point::new(0.0, -200.0 + k.x / lean.tan());
    let r = c.y + 720.0;
    let h = Point::new(r * lean.sin(), c.y - r * lean.cos());
    let side = [v, v + 100.0 * down(4.0), k + 100.0 * Vec2::new(-lean.sin(), lean.cos()), k];
    let inward = Vec2::new(-4.0_f64.to_radians().cos(), 4.0_f64.to_radians().sin());
    let n = Point::new(0.0, 400.0 + 3.0 * i);
    let s = Point::new(75.0 + 1.5 * i, 422.0 + 3.0 * i);
    let slope = 18.0_f64.to_radians();
    let shoulder = 112.0 + 2.0 * i;
    let p = s + shoulder * Vec2::new(slope.cos(), -slope.sin());
    let e = Vec2::new(-slope.sin(), -slope.cos());
    let t = Point::new(132.0 + 5.0 * i, 150.0 + i);
    let theta = (13.0 + 0.5 * i).to_radians();
    let m2 = u + 80.0 * down(4.0);
    let (m1, u_front) = (turned(m2, t, theta), turned(u, t, theta));
    let s_front = Point::new(73.0 + 1.5 * i, 440.0 + 4.0 * i);
    let slope_front = 22.0_f64.to_radians();
    let p_front = s_front + shoulder * Vec2::new(slope_front.cos(), -slope_front.sin());
    let e_front = Vec2::new(-slope_front.sin(), -slope_front.cos());
    let f = Point::new(0.0, s_front.y - 100.0 - i);
    let inward_front = Vec2::from_angle(theta).rotate_scale(inward);
    Draft {
        i,
        u,
        v,
        k,
        h,
        c,
        side,
        n,
        s,
        p,
        back_neck: [n, Point::new(40.0 + i, n.y), s + 12.0 * e, s],
        back_armhole: [p, p + (95.0 + i) * e, u + (75.0 + 2.0 * i) * inward, u],
        t,
        m1,
        m2,
        u_front,
        s_front,
        p_front,
        f,
        front_neck: [f, Point::new(48.0 + i, f.y), s_front + 45.0 * e_front, s_front],
        front_armhole: [
            p_front,
            p_front + (95.0 + i) * e_front,
            u_front + (75.0 + 2.0 * i) * inward_front,
            u_front,
        ],
    }
}

fn cubic([a, b, c, d]: [Point; 4]) -> Curve {
    Curve::cubic(a, b, c, d)
}

fn chain(parts: &[Curve]) -> Curve {
    Curve::new(parts.iter().flat_map(Curve::segments).copied().collect::<Vec<Segment>>()).unwrap()
}

pub(super) fn edge(id: &str, from: &str, to: &str, role: EdgeRole, curve: Curve) -> Edge {
    Edge { id: id.into(), from: from.into(), to: to.into(), role, allowance: None, curve }
}

pub(super) fn piece(id: &str, edges: Vec<Edge>, count: u32, how: HowCut) -> Piece {
    Piece {
        id: id.into(),
        number: 1,
        cuttings: vec![Cutting { cloth: ClothKind::Cloth, count, how }],
        edges,
        notches: Vec::new(),
        darts: Vec::new(),
        grainline: Grainline { from: Point::new(60.0, -600.0), to: Point::new(60.0, 200.0) },
        balance_lines: Vec::new(),
        drill_holes: Vec::new(),
        inner_lines: Vec::new(),
        texts: Vec::new(),
        traces: Vec::new(),
    }
}

fn notch(id: &str, edge: &str, corner: &str, distance: f64) -> Notch {
    Notch { id: id.into(), edge: edge.into(), corner: corner.into(), distance, kind: NotchKind::Single }
}

fn waist(reach: f64) -> BalanceLine {
    BalanceLine { id: "waist".into(), line: Line::new(Point::new(-30.0, 40.0), Point::new(reach, 40.0)) }
}

fn back(d: &Draft) -> Piece {
    use EdgeRole::{Fold, Hem, Opening, Seam};
    let centre = Point::new(0.0, -720.0);
    let side = chain(&[Curve::line(d.h, d.k), cubic(d.side).reversed(), Curve::line(d.v, d.u)]);
    let mut back = piece(
        "back",
        vec![
            edge("hem", "hem_centre", "hem_side", Hem, Curve::arc(d.c, centre, 15_f64.to_radians())),
            edge("side", "hem_side", "underarm", Seam, side),
            edge("armhole", "underarm", "shoulder_tip", Opening, cubic(d.back_armhole).reversed()),
            edge("shoulder", "shoulder_tip", "shoulder_neck", Seam, Curve::line(d.p, d.s)),
            edge("neck", "shoulder_neck", "neck_centre", Opening, cubic(d.back_neck).reversed()),
            edge("centre", "neck_centre", "hem_centre", Fold, Curve::line(d.n, centre)),
        ],
        1,
        HowCut::OpenedOut,
    );
    back.notches =
        vec![notch("v", "side", "underarm", 120.0), notch("hip", "side", "hem_side", d.h.distance(d.k))];
    back.balance_lines = vec![waist(250.0)];
    back
}

fn front(d: &Draft) -> Piece {
    use EdgeRole::{DartMouth, Hem, Opening, Seam};
    let centre = Point::new(0.0, -720.0);
    let (top, bottom) = (Point::new(-30.0, d.f.y), Point::new(-30.0, -720.0));
    let lower = chain(&[Curve::line(d.h, d.k), cubic(d.side).reversed(), Curve::line(d.v, d.m2)]);
    let mut front = piece(
        "front",
        vec![
            edge("hem_overlap", "hem_front", "hem_centre", Hem, Curve::line(bottom, centre)),
            edge("hem", "hem_centre", "hem_side", Hem, Curve::arc(d.c, centre, 15_f64.to_radians())),
            edge("side_lower", "hem_side", "dart_lower", Seam, lower),
            edge("dart_mouth", "dart_lower", "dart_upper", DartMouth("bust".into()), Curve::line(d.m2, d.m1)),
            edge("side_upper", "dart_upper", "underarm", Seam, Curve::line(d.m1, d.u_front)),
            edge("armhole", "underarm", "shoulder_tip", Opening, cubic(d.front_armhole).reversed()),
            edge("shoulder", "shoulder_tip", "shoulder_neck", Seam, Curve::line(d.p_front, d.s_front)),
            edge("neck", "shoulder_neck", "neck_centre", Opening, cubic(d.front_neck).reversed()),
            edge("neck_overlap", "neck_centre", "neck_front", Opening, Curve::line(d.f, top)),
            edge("front_edge", "neck_front", "hem_front", Opening, Curve::line(top, bottom)),
        ],
        2,
        HowCut::MirroredPair,
    );
    front.darts = vec![Dart { id: "bust".into(), apex: d.t, pressed_toward: "dart_lower".into() }];
    front.notches = vec![
        notch("v", "side_lower", "dart_lower", 40.0),
        notch("hip", "side_lower", "hem_side", d.h.distance(d.k)),
    ];
    front.balance_lines = vec![waist(250.0)];
    front.drill_holes = vec![DrillHole { name: "bust point".to_owned(), at: d.t }];
    front
}

pub(super) fn run(piece: &str, from: &str, edges: &[&str]) -> Run {
    Run { piece: piece.into(), from: from.into(), edges: edges.iter().map(|&edge| edge.into()).collect() }
}

pub(super) fn seam(id: &str, sides: [Run; 2]) -> Seam {
    Seam { id: id.into(), sides, ease: EaseRange::default() }
}

/// Back and front of the coat in five sizes.
pub(super) fn coat() -> Pattern {
    let sizes: Vec<Draft> = (0..5).map(draft).collect();
    let in_sizes = |id: &str, make: fn(&Draft) -> Piece| SizedPiece {
        id: id.into(),
        by_size: sizes.iter().map(|size| Arc::new(make(size))).collect(),
    };
    Pattern {
        name: "Garden coat".to_owned(),
        sizes: sizes.iter().map(|size| size_name(size.i)).collect(),
        pieces: vec![in_sizes("back", back), in_sizes("front", front)],
        seams: vec![
            seam(
                "side",
                [run("back", "underarm", &["side"]), run("front", "underarm", &["side_upper", "side_lower"])],
            ),
            seam(
                "shoulder",
                [run("back", "shoulder_tip", &["shoulder"]), run("front", "shoulder_tip", &["shoulder"])],
            ),
        ],
        allowance: mm(15.0),
        hem_allowance: mm(25.0),
        bodies: Vec::new(),
        measures: Vec::new(),
    }
}

fn size_name(i: f64) -> SizeId {
    format!("{}", 84.0 + 4.0 * i).into()
}
