//! Allowances: widths in their unit, shapes of corners, margin zones.

use super::draft::*;
use super::measure::*;
use super::{applied, list};
use chalkbeam::alter::{
    Allowance, AlterError, CornerShape, CutRunOf, CuttingLine, MarginAt, MarginZone, Outcome, Record,
    cutting_line, replay,
};
use chalkbeam::geometry::{Affine, Curve, Length, Point};
use chalkbeam::pattern::{EdgeRole, HowCut, Pattern};
use kurbo::Shape as _;

fn inches(text: &str) -> Length {
    Length::parse(text, None).unwrap()
}

/// 200 wide, 100 high, its lower edge a hem.
fn rectangle() -> Pattern {
    slanted(0.0)
}

/// The same with its right side leaning out by `lean` mm at the top.
fn slanted(lean: f64) -> Pattern {
    let corners = [(0.0, 0.0), (200.0, 0.0), (200.0 + lean, 100.0), (0.0, 100.0)].map(Point::from);
    let names = ["a", "b", "c", "d"];
    let roles = [EdgeRole::Hem, EdgeRole::Seam, EdgeRole::Seam, EdgeRole::Seam];
    let ids = ["hem", "right", "top", "left"];
    let edges = (0..4).map(|at| {
        let next = (at + 1) % 4;
        edge(ids[at], names[at], names[next], roles[at].clone(), Curve::line(corners[at], corners[next]))
    });
    lone(piece("panel", edges.collect(), 1, HowCut::Single))
}

fn cut_panel(pattern: &Pattern, records: Vec<Allowance>) -> CuttingLine {
    let done = applied(pattern, "one", records.into_iter().map(Record::Allowance));
    cutting_line(done.piece(&"panel".into()).unwrap(), &done.allowances).unwrap()
}

fn at_b(shape: CornerShape) -> Allowance {
    Allowance::Corner { piece: "panel".into(), corner: "b".into(), shape }
}

#[test]
fn widths_keep_their_unit_and_belong_to_garment_or_edge() {
    let pattern = rectangle();
    let garment = Allowance::Garment { seam: Some(inches("5/8 in")), hem: Some(mm(30.0)) };
    let edges =
        Allowance::Edges { piece: "panel".into(), edges: vec!["left".into()], width: inches("1/4 in") };
    let line = cut_panel(&pattern, vec![garment.clone(), edges]);
    let area = line.outline().bounding_box();
    assert!((area.x0 + 6.35).abs() < 1e-9 && (area.x1 - 215.875).abs() < 1e-9);
    assert!((area.y0 + 30.0).abs() < 1e-9 && (area.y1 - 115.875).abs() < 1e-9);
    let text = ron::to_string(&Record::Allowance(garment)).unwrap();
    assert!(text.contains("5/8 in"), "{text}");
    let negative = Allowance::Garment { seam: Some(mm(-1.0)), hem: None };
    let failed = replay(&pattern, &"one".into(), &list([Record::Allowance(negative)]));
    assert!(matches!(failed.steps[0].outcome, Outcome::Failed(AlterError::NotPositive { .. })));
}

#[test]
fn a_squared_corner_ends_square_to_the_seam_that_is_sewn_first() {
    // A side that leans out: blunt below, sharp above.
    let pattern = slanted(60.0);
    for first in ["right", "hem"] {
        let shape = CornerShape::Squared { first: first.into() };
        let line = cut_panel(&pattern, vec![at_b(shape)]);
        let around = line.runs.iter().find(|run| run.of == CutRunOf::Corner("b".into())).unwrap();
        let segments = around.curve.segments();
        let first_edge = line.along(&first.into()).unwrap();
        let along =
            if first == "hem" { first_edge.curve.end_tangent() } else { first_edge.curve.start_tangent() };
        // The leg of the corner that touches the first seam's cutting line is square to it.
        let leg = if first == "hem" { segments[0] } else { *segments.last().unwrap() };
        assert!(leg.tangent(0.5).dot(along).abs() < 1e-9, "{first}");
        let width = if first == "hem" { 25.0 } else { 15.0 };
        assert!((leg.length() - width).abs() < 1e-6, "as long as the allowance is wide");
    }
}

#[test]
fn a_mirrored_hem_lies_flush_when_it_is_turned_up() {
    for lean in [60.0, -40.0, 0.0] {
        let pattern = slanted(lean);
        let shape = CornerShape::Mirrored { turned: "hem".into() };
        let line = cut_panel(&pattern, vec![at_b(shape)]);
        let right = &line.along(&"right".into()).unwrap().curve;
        let Some(around) = line.runs.iter().find(|run| run.of == CutRunOf::Corner("b".into())) else {
            panic!("the corner has a stretch of its own");
        };
        let turned_up = around.curve.transformed(Affine::reflect(Point::ORIGIN, (1.0, 0.0)));
        for step in 0..=10 {
            let (_, off) = right.nearest(turned_up.point_at(turned_up.length() * f64::from(step) / 10.0));
            assert!(off < 1e-6, "{lean} {off}");
        }
        // The turned-up part reaches the whole depth of the hem.
        assert!((turned_up.bounding_box().y1 - 25.0).abs() < 1e-6);
    }
}

#[test]
fn a_notched_corner_leaves_out_the_corner() {
    let pattern = rectangle();
    let whole = cut_panel(&pattern, vec![]).outline().area();
    let notched = cut_panel(&pattern, vec![at_b(CornerShape::Notched)]).outline().area();
    assert!(whole - notched > 300.0 && whole - notched < 15.0 * 25.0, "{}", whole - notched);
}

#[test]
fn a_margin_zone_stands_outside_the_cutting_line_over_the_mouth() {
    let pattern = coat();
    let zone = |at: MarginAt| {
        Record::Allowance(Allowance::Margin(MarginZone { piece: "front".into(), at, width: mm(25.0) }))
    };
    let records =
        [zone(MarginAt::Mouth { dart: "bust".into() }), zone(MarginAt::Corner { corner: "underarm".into() })];
    let done = applied(&pattern, "88", records);
    let line = cutting_line(done.piece(&"front".into()).unwrap(), &done.allowances).unwrap();
    assert_eq!(line.margins.len(), 2);
    let outline = line.outline();
    for margin in &line.margins {
        let on_line =
            |p: Point| line.runs.iter().map(|run| run.curve.nearest(p).1).fold(f64::INFINITY, f64::min);
        assert!(on_line(margin.start()) < 1e-6 && on_line(margin.end()) < 1e-6);
        let middle = margin.segments()[1];
        for step in 0..=10 {
            let p = middle.eval(f64::from(step) / 10.0);
            assert!(!outline.contains(p));
            assert!(on_line(p) > 24.9, "at least the margin outside: {}", on_line(p));
        }
    }
    let back = cutting_line(done.piece(&"back".into()).unwrap(), &done.allowances).unwrap();
    assert!(back.margins.is_empty());
}
