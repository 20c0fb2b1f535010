//! The flaws of the cloth in the light: where they lie, hatched, with their names.

use chalkbeam::cloth::{Cloth, Flaw, Plies, RightSides};
use chalkbeam::demo;
use chalkbeam::floor::{FloorView, floor_scene};
use chalkbeam::garment::{Command, OpenGarment};
use chalkbeam::geometry::{BezPath, Point};
use chalkbeam::pattern::ClothKind;
use chalkbeam::scene::{Layer, Meaning, Scene, Shape, Show, View, cloth_overlay};
use kurbo::Shape as _;

/// An L of 100 mm, so that hatching by its box would show.
const HOLE: [(f64, f64); 6] =
    [(303.0, 200.0), (403.0, 200.0), (403.0, 231.0), (332.0, 231.0), (332.0, 300.0), (303.0, 300.0)];

fn with_hole(plies: Plies, corners: &[(f64, f64)]) -> OpenGarment {
    let mut open = demo::garden_coat().unwrap();
    let cloth = open.plan().cloths[&ClothKind::Cloth].clone();
    let outline = corners.iter().copied().map(Point::from).collect();
    let flaws = vec![Flaw { what: "hole".to_owned(), outline }];
    open.perform(&Command::SetCloth(ClothKind::Cloth, Cloth { flaws, plies, ..cloth }), None).unwrap();
    open
}

fn lit(open: &OpenGarment, show: &Show) -> (Vec<BezPath>, Vec<String>) {
    seen(&cloth_overlay(open, &View { whole_cloth: true, ..View::of(show) }))
}

fn seen(scene: &Scene) -> (Vec<BezPath>, Vec<String>) {
    let (mut lines, mut words) = (Vec::new(), Vec::new());
    for item in scene.items.iter().filter(|item| item.meaning == Meaning::Flaw) {
        match &item.shape {
            Shape::Stroke(path) => lines.push(path.clone()),
            Shape::Label { words: said, .. } => words.push(said.clone()),
            Shape::Fill(_) => panic!("a fill would hide the cloth"),
        }
    }
    (lines, words)
}

#[test]
fn a_flaw_is_hatched_within_its_outline_and_named_with_the_layer_of_the_print() {
    let open = with_hole(Plies::Flat, &HOLE);
    let (lines, words) = lit(&open, &Show::for_cutting());
    assert_eq!((lines.len(), &words[..]), (1, &["hole".to_owned()][..]));
    let stand = open.stand().surface_from_cloth();
    let mut hole = BezPath::new();
    for (index, corner) in HOLE.iter().enumerate() {
        let at = stand * Point::from(*corner);
        if index == 0 { hole.move_to(at) } else { hole.line_to(at) }
    }
    hole.close_path();
    let segments: Vec<_> = lines[0].segments().collect();
    assert!(segments.len() > HOLE.len() + 6, "{} lines", segments.len());
    for segment in &segments[HOLE.len()..] {
        let middle = kurbo::ParamCurve::eval(segment, 0.5);
        assert_ne!(hole.winding(middle), 0, "{middle:?}");
    }
    // All of the outline is there.
    let round: f64 =
        segments[..HOLE.len()].iter().map(|side| kurbo::ParamCurveArclen::arclen(side, 1e-6)).sum();
    assert!((round - 400.0).abs() < 1e-6, "{round}");
    let mut show = Show::for_cutting();
    show.toggle(Layer::Print);
    assert_eq!(lit(&open, &show), (Vec::new(), Vec::new()));
}

/// Folded at 690 mm, the sheet's 200..300 mm lie on the turned ply, 390..490 mm from the fold.
#[test]
fn a_flaw_of_the_ply_below_is_lit_where_it_will_be_cut_through() {
    for (right_sides, words) in [(RightSides::In, "hole"), (RightSides::Out, "hole, on the ply below")] {
        let open = with_hole(Plies::FoldedLengthwise { right_sides }, &HOLE);
        let (lines, said) = lit(&open, &Show::for_cutting());
        assert_eq!((lines.len(), said), (1, vec![words.to_owned()]));
        let on_cloth = (open.stand().surface_from_cloth().inverse() * lines[0].clone()).bounding_box();
        assert!((on_cloth.y0 - 390.0).abs() < 1e-6 && (on_cloth.y1 - 490.0).abs() < 1e-6, "{on_cloth:?}");
    }
    // Across the fold it lies on both plies, up to the fold on each.
    let across = [(300.0, 650.0), (340.0, 650.0), (340.0, 710.0), (300.0, 710.0)];
    let open = with_hole(Plies::FoldedLengthwise { right_sides: RightSides::In }, &across);
    let (lines, _) = lit(&open, &Show::for_cutting());
    let to =
        lines.iter().map(|path| (open.stand().surface_from_cloth().inverse() * path.clone()).bounding_box());
    let mut to: Vec<_> = to.map(|area| (area.y0.round(), area.y1.round())).collect();
    to.sort_by(|a, b| a.1.total_cmp(&b.1));
    assert_eq!(to, [(0.0, 20.0), (0.0, 40.0)]);
}

#[test]
fn nothing_is_lit_of_a_flaw_off_the_cloth_nor_where_only_cutting_lines_are_wanted() {
    let open = with_hole(Plies::Flat, &[(300.0, -60.0), (340.0, -60.0), (340.0, -20.0)]);
    assert_eq!(lit(&open, &Show::for_cutting()), (Vec::new(), Vec::new()));
    let open = with_hole(Plies::Flat, &HOLE);
    let mut view = FloorView::default();
    let lines = |view: &FloorView| seen(&floor_scene(&open, view, (1920, 1080))).0.len();
    let before = lines(&view);
    view.only_cutting_lines = true;
    assert_eq!((before, lines(&view)), (usize::from(open.aim().good.is_some()), 0));
}
