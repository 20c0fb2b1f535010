//! The planner against figures computed beforehand for two rooms.

use super::PICTURE;
use chalkbeam::aim::{Hanging, PlanError, Prospect, ShiftCount};

/// A projector tilted by 20°, its picture `width` mm wide at `throw` mm along the axis.
fn tilted(width: f64, throw: f64) -> Hanging {
    let tilt = 20_f64.to_radians();
    Hanging {
        throw_ratio: throw / width,
        shift: 0.0,
        lens_height_mm: throw * tilt.cos(),
        tilt,
        picture_size: PICTURE,
        lumens: Some(3000.0),
    }
}

fn near(found: f64, expected: f64, within: f64) -> bool {
    (found / expected - 1.0).abs() < within
}

/// Pitch by the closed forms h·cos φ/(f·cos(τ + φ)) across and h·cos² φ/(f·cos²(τ + φ)) along; and figures simulated
/// beforehand (1600 mm at 1.8 m: 0.83–0.89 mm, 1.11 in the worst corner; 2400 mm at 2.5 m: 1.25–1.33, 1.70).
#[test]
fn pixels_are_as_large_as_the_closed_forms_say() {
    for (width, throw, centre, corner) in [(1600.0, 1800.0, 0.89, 1.11), (2400.0, 2500.0, 1.33, 1.70)] {
        let hanging = tilted(width, throw);
        let found = hanging.prospect().unwrap();
        let focal = 1920.0 * hanging.throw_ratio;
        let along = hanging.lens_height_mm / (focal * hanging.tilt.cos().powi(2));
        assert!(near(found.pixel_centre_mm, along, 1e-9));
        assert!(near(found.pixel_centre_mm, centre, 0.01), "{}", found.pixel_centre_mm);
        assert!(near(found.pixel_far_corner_mm, corner, 0.02), "{}", found.pixel_far_corner_mm);
        assert!(near(found.throw_mm, throw, 1e-9));
        // Sides of the trapezoid lie at τ ± φ.
        let phi = (540.0 / focal).atan();
        let across =
            |angle: f64| 1920.0 * hanging.lens_height_mm * phi.cos() / (focal * (hanging.tilt + angle).cos());
        assert!(near(found.far_side_mm, across(phi), 1e-9) && near(found.near_side_mm, across(-phi), 1e-9));
        assert!(near(found.keystone, found.far_side_mm / found.near_side_mm, 1e-12));
    }
}

/// Figures simulated beforehand for picks of 0.5 px and tapes of 1 mm: 1σ of the worst corner, and of a length.
#[test]
fn accuracy_is_the_error_maps() {
    for (width, throw, expected) in [
        (1600.0, 1800.0, [(1.25, 1.42), (0.73, f64::NAN), (0.57, f64::NAN)]),
        (2400.0, 2500.0, [(1.50, 1.12), (1.11, f64::NAN), (0.86, f64::NAN)]),
    ] {
        let found = tilted(width, throw).prospect().unwrap();
        assert_eq!(found.accuracy.len(), 3);
        for (accuracy, (corner, length)) in found.accuracy.iter().zip(expected) {
            assert!(near(accuracy.worst_corner_sigma_mm, corner, 0.1), "{accuracy:?} {corner}");
            assert!(length.is_nan() || near(accuracy.length_mm_per_m, length, 0.1), "{accuracy:?} {length}");
        }
    }
}

/// ISO lumens over the picture's area: 3000 lm make 2080 lx on 1.44 m² and 930 on 3.24 m² (worked by hand).
#[test]
fn lux_is_lumens_over_the_true_area() {
    let straight = |width: f64, throw: f64| -> Prospect {
        Hanging { tilt: 0.0, lens_height_mm: throw, ..tilted(width, throw) }.prospect().unwrap()
    };
    assert!(near(straight(1600.0, 1800.0).lux.unwrap(), 2083.3, 1e-4));
    assert!(near(straight(2400.0, 2500.0).lux.unwrap(), 925.9, 1e-4));
    let found = straight(1600.0, 1800.0);
    assert!(near(found.rectangle_mm[0], 1600.0, 1e-6) && near(found.rectangle_mm[1], 900.0, 1e-6));
    assert!(near(found.keystone, 1.0, 1e-9) && found.middle_from_plumb_mm.abs() < 1e-6);
}

#[test]
fn both_ways_of_counting_a_shift_put_the_axis_on_the_edge_at_a_hundred() {
    for (above_axis, half_heights) in [(50.0, 0.0), (100.0, 100.0), (0.0, -100.0)] {
        let gap = ShiftCount::AboveAxis.heights(above_axis) - ShiftCount::HalfHeights.heights(half_heights);
        assert!(gap.abs() < 1e-12);
    }
    let found = Hanging {
        tilt: 0.0,
        lens_height_mm: 1800.0,
        shift: ShiftCount::HalfHeights.heights(100.0),
        ..tilted(1600.0, 1800.0)
    }
    .prospect()
    .unwrap();
    assert!(near(found.middle_from_plumb_mm, 450.0, 1e-9), "half of the picture's 900 mm");
    assert!(near(found.keystone, 1.0, 1e-9), "a shift makes no keystone");
}

#[test]
fn numbers_that_cannot_be_are_refused_in_words() {
    let good = tilted(1600.0, 1800.0);
    let said = |hanging: Hanging| hanging.prospect().unwrap_err().to_string();
    assert!(said(Hanging { throw_ratio: f64::NAN, ..good }).contains("throw ratio"));
    assert!(said(Hanging { lens_height_mm: -5.0, ..good }).contains("lens height"));
    assert!(said(Hanging { lumens: Some(-1.0), ..good }).contains("lumens"));
    let steep = Hanging { tilt: 1.1, throw_ratio: 0.5, ..good };
    assert!(matches!(steep.prospect(), Err(PlanError::NoPicture(_))));
}
