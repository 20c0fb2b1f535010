//! The motif on the board and in the light: a tick at each of its places.

use chalkbeam::demo;
use chalkbeam::geometry::Point;
use chalkbeam::pattern::ClothKind;
use chalkbeam::scene::{Meaning, Shape, Show, View, cloth_overlay};
use kurbo::Shape as _;

/// The coat's sprigs stand in a half-drop: in every other column of 96 mm, half of 140 mm higher.
#[test]
fn a_half_drop_is_drawn_with_every_other_column_half_a_drop_along() {
    let open = demo::garden_coat().unwrap();
    let cloth = &open.plan().cloths[&ClothKind::Cloth];
    let origin = cloth.print.as_ref().unwrap().motif.unwrap().origin;
    // Without the pieces, whose words would hide some.
    let mut bare = demo::garden_coat().unwrap();
    for place in open.plan().lay.clone() {
        let taken = chalkbeam::garment::Command::RemovePlace(place.piece, place.copy);
        bare.perform(&taken, None).unwrap();
    }
    let show = Show::for_cutting();
    let scene = cloth_overlay(&bare, &View { whole_cloth: true, ..View::of(&show) });
    let on_cloth = bare.stand().surface_from_cloth().inverse();
    let mut nodes: Vec<Point> = Vec::new();
    for item in scene.items.iter().filter(|item| item.meaning == Meaning::PrintNode) {
        let Shape::Stroke(path) = &item.shape else { panic!("ticks are strokes") };
        for stroke in (on_cloth * path.clone()).segments() {
            let middle = stroke.bounding_box().center();
            if nodes.iter().all(|known| known.distance(middle) > 1.0) {
                nodes.push(middle);
            }
        }
    }
    // A node a cell of 96 × 140 mm.
    let extent = cloth.extent();
    let count = extent.area() / (96.0 * 140.0);
    assert!((nodes.len() as f64 / count - 1.0).abs() < 0.08, "{} of {count}", nodes.len());
    for node in nodes {
        let columns = ((node.y - origin.y) / 96.0).round();
        let along = (node.x - origin.x - 70.0 * columns) / 140.0;
        assert!((node.y - origin.y - 96.0 * columns).abs() < 1e-6, "{node:?}");
        assert!((along - along.round()).abs() < 1e-6, "{node:?}");
    }
}
