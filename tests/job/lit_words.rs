//! Words on the cloth that must not lie on lines, nor on each other.

use chalkbeam::demo::garden_coat;
use chalkbeam::floor::{FloorView, floor_scene};
use chalkbeam::geometry::{Affine, BezPath, Point, Rect};
use chalkbeam::light::label_width_mm;
use chalkbeam::scene::{Meaning, Scene, Shape};

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
