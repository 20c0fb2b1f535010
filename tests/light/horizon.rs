//! Lines that run behind the lens.

use crate::studio::{light, linear, scene, stroke, total};
use chalkbeam::aim::Homography;
use chalkbeam::geometry::Point;
use chalkbeam::scene::Meaning;
use glam::{DMat3, DVec3};

/// The horizon of this aim is the line y = 500 mm, at the top of the picture and beyond.
fn low_over_the_table() -> Homography {
    let matrix = DMat3::from_cols(
        DVec3::new(1.0, 0.0, 0.0),
        DVec3::new(-0.6, -0.3, -0.002),
        DVec3::new(300.0, 350.0, 1.0),
    );
    Homography::new(matrix, Point::ORIGIN).unwrap()
}

#[test]
fn a_line_through_the_horizon_is_drawn_up_to_it_and_not_beyond() {
    let aim = low_over_the_table();
    let [short, long] = ["M0,-100 L20,490", "M0,-100 L60,1670"];
    let Some(expected) = linear([600, 400], &aim, &scene([stroke(Meaning::CuttingLine, short)])) else {
        return;
    };
    let long = linear([600, 400], &aim, &scene([stroke(Meaning::CuttingLine, long)])).unwrap();
    let mut lit = 0;
    for y in 0..400 {
        for x in 0..600 {
            let (a, b) = (light(&expected, x, y), light(&long, x, y));
            lit += u32::from(a > 0.5);
            assert!((a - b).abs() < 0.02, "({x}, {y}): {a} and {b}");
        }
    }
    assert!(lit > 100);
}

#[test]
fn what_lies_behind_the_lens_gives_no_light() {
    let behind = scene([
        stroke(Meaning::CuttingLine, "M-500,600 L500,700 L0,2000 Z"),
        stroke(Meaning::SeamLine, "M-500,501 L500,501"),
    ]);
    let Some(picture) = linear([600, 400], &low_over_the_table(), &behind) else {
        return;
    };
    assert!(total(&picture) < 1e-6);
}

#[test]
fn dashes_do_not_move_when_the_far_end_is_cut_off() {
    let aim = low_over_the_table();
    let [short, long] = ["M0,-100 L0,380", "M0,-100 L0,1000"];
    let Some(short) = linear([600, 400], &aim, &scene([stroke(Meaning::SeamLine, short)])) else {
        return;
    };
    let long = linear([600, 400], &aim, &scene([stroke(Meaning::SeamLine, long)])).unwrap();
    // The nearer part of the table, well away from the short line's end.
    for y in 340..400 {
        for x in 0..600 {
            assert!((light(&short, x, y) - light(&long, x, y)).abs() < 0.02, "({x}, {y})");
        }
    }
}
