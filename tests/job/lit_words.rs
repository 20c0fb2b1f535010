//! Words on the cloth that must not lie on lines, nor on each other.

use chalkbeam::demo::garden_coat;
use chalkbeam::floor::{FloorView, floor_scene};
use chalkbeam::garment::Command;
use chalkbeam::geometry::{Affine, BezPath, Point, Rect, Vec2};
use chalkbeam::lay::{Place, matches};
use chalkbeam::light::label_width_mm;
use chalkbeam::scene::{Meaning, Scene, Shape, Show, add_matches};

/// The ink of a word, upright in its own frame, and that frame.
fn ink(shape: &Shape) -> Option<(String, Affine, Rect)> {
    let Shape::Label { words, at, height_mm, angle } = shape else { return None };
    let half = 0.5 * label_width_mm(words, *height_mm);
    let frame = Affine::rotate(-angle) * Affine::translate(-at.to_vec2());
    Some((words.clone(), frame, Rect::new(-half, 0.0, half, *height_mm)))
}

fn crosses(path: &BezPath, frame: Affine, ink: Rect) -> bool {
    let mut last: Option<Point> = None;
    let mut hit = false;
    kurbo::flatten(frame * path, 0.2, |element| {
        if let Some(to) = element.end_point() {
            if let (Some(from), kurbo::PathEl::LineTo(_)) = (last, element) {
                hit |= (0..=500_u16).any(|step| ink.contains(from.lerp(to, f64::from(step) / 500.0)));
            }
            last = Some(to);
        }
    });
    hit
}

/// “TOP” that lies on a cutting line, on a word or on an arrow.
fn overlapped(scene: &Scene) -> Vec<String> {
    let mut found = Vec::new();
    for (index, item) in scene.items.iter().enumerate() {
        let Some((words, frame, ink_box)) = ink(&item.shape) else { continue };
        if words != "TOP" {
            continue;
        }
        for (other, beside) in scene.items.iter().enumerate().filter(|(other, _)| *other != index) {
            let lies_on = match &beside.shape {
                Shape::Stroke(path)
                    if matches!(beside.meaning, Meaning::CuttingLine | Meaning::Grainline) =>
                {
                    crosses(path, frame, ink_box)
                }
                Shape::Label { .. } => ink(&beside.shape).is_some_and(|(_, other_frame, other_box)| {
                    let other_box = (frame * other_frame.inverse()).transform_rect_bbox(other_box);
                    !other_box.intersect(ink_box).is_zero_area()
                }),
                _ => false,
            };
            if lies_on {
                found.push(format!("{:?}: on {:?} ({other})", item.piece, beside.meaning));
            }
        }
    }
    found
}

#[test]
fn the_word_top_lies_on_nothing_not_even_on_small_pieces_in_big_mode() {
    let open = garden_coat().unwrap();
    for (bold, turns) in [(false, 0), (true, 0), (false, 1), (true, 1)] {
        let mut view = FloorView::default();
        if bold {
            view.toggle_bold();
        }
        for _ in 0..turns {
            view.turn_words();
        }
        let scene = floor_scene(&open, &view, (1280, 720));
        let tops = scene.items.iter().filter(|item| item.meaning == Meaning::PrintTop);
        let chevrons = tops.filter(|item| matches!(item.shape, Shape::Fill(_))).count();
        assert_eq!(chevrons, open.plan().lay.len(), "every piece says where the top of the print is");
        assert_eq!(overlapped(&scene), Vec::<String>::new(), "big: {bold}, turned: {turns}");
    }
}

/// “off 4.2 mm along” at each match point, whichever way cloth and print lie: no two on each other.
#[test]
fn what_the_print_is_off_can_be_read_at_every_match_point() {
    let mut seen = 0;
    for (print_degrees, cloth_degrees, shift) in
        [(0.0, 0.0, (4.2, 0.0)), (7.0, 0.0, (3.0, 2.0)), (0.0, 25.0, (4.2, 3.1)), (30.0, 50.0, (5.5, -4.0))]
    {
        let mut open = garden_coat().unwrap();
        let mut cloth = open.plan().cloth().unwrap().clone();
        cloth.print.as_mut().unwrap().angle_degrees = print_degrees;
        open.perform(&Command::SetCloth(open.plan().on_table, cloth), None).unwrap();
        let back = open.plan().lay.iter().find(|place| place.piece == "back".into()).unwrap().clone();
        let at = back.at + Vec2::from(shift);
        open.perform(&Command::SetPlace(Place { at, ..back }), None).unwrap();
        let laid = open.evaluated().laid(open.plan()).unwrap();
        let surface_from_cloth = Affine::rotate(f64::to_radians(cloth_degrees));
        for sign_scale in [1.0, 1.6] {
            let mut scene = Scene::default();
            let show = Show { sign_scale, ..Show::for_cutting() };
            add_matches(&mut scene, &matches(&laid), surface_from_cloth, &show);
            let inks: Vec<_> = scene.items.iter().filter_map(|item| ink(&item.shape)).collect();
            seen += inks.len();
            for (index, (words, frame, here)) in inks.iter().enumerate() {
                assert!(words.starts_with("off "));
                for (other_words, other_frame, there) in &inks[..index] {
                    let there = (*frame * other_frame.inverse()).transform_rect_bbox(*there);
                    assert!(
                        there.intersect(*here).is_zero_area(),
                        "“{words}” on “{other_words}”: print {print_degrees}°, cloth {cloth_degrees}°, {sign_scale}"
                    );
                }
            }
        }
    }
    assert!(seen >= 20, "{seen}");
}
