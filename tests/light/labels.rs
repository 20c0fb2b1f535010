//! Words on the cloth: as high as asked, right way up, whole.

use crate::studio::{label, light, linear, scene, total, upright};
use chalkbeam::light::Picture;

const PX_PER_MM: f64 = 4.0;

/// Rows and columns that hold ink, in px: (top, bottom, left, right), edges at half light.
fn ink_box(picture: &Picture) -> [f64; 4] {
    let [width, height] = picture.size();
    let row = |y: u32| (0..width).any(|x| light(picture, x, y) > 0.5);
    let column = |x: u32| (0..height).any(|y| light(picture, x, y) > 0.5);
    [
        (0..height).find(|&y| row(y)).unwrap().into(),
        f64::from((0..height).rfind(|&y| row(y)).unwrap() + 1),
        (0..width).find(|&x| column(x)).unwrap().into(),
        f64::from((0..width).rfind(|&x| column(x)).unwrap() + 1),
    ]
}

#[test]
fn a_capital_is_as_high_on_the_cloth_as_asked() {
    for height in [12.0, 20.0] {
        let words = scene([label("H", (25.0, 10.0), height, 0.0)]);
        let Some(picture) = linear([200, 160], &upright(PX_PER_MM, (0.0, 150.0)), &words) else {
            return;
        };
        let [top, bottom, left, right] = ink_box(&picture);
        let measured = (bottom - top) / PX_PER_MM;
        assert!((measured - height).abs() <= 0.3, "{measured} mm for {height} mm");
        assert!((bottom - 110.0).abs() <= 1.0, "the foot stands on the baseline");
        assert!(((left + right) / 2.0 - 100.0).abs() <= 1.5, "about its middle");
    }
}

#[test]
fn words_stand_right_way_up_and_are_not_mirrored() {
    // An L has its bar at the foot and its stem on the left.
    let Some(picture) =
        linear([200, 200], &upright(PX_PER_MM, (100.0, 130.0)), &scene([label("L", (0.0, 0.0), 16.0, 0.0)]))
    else {
        return;
    };
    let [top, bottom, left, right] = ink_box(&picture);
    let part = |rows: std::ops::Range<f64>, columns: std::ops::Range<f64>| {
        let mut sum = 0.0;
        for y in rows.start as u32..rows.end as u32 {
            for x in columns.start as u32..columns.end as u32 {
                sum += light(&picture, x, y);
            }
        }
        sum
    };
    let (middle_x, middle_y) = ((left + right) / 2.0, (top + bottom) / 2.0);
    assert!(part(top..middle_y, middle_x..right) < 0.01 * part(top..bottom, left..right));
    assert!(part(middle_y..bottom, left..middle_x) > part(middle_y..bottom, middle_x..right));
}

#[test]
fn a_turned_label_reads_along_its_angle() {
    // A quarter turn to the left: what was wide is high.
    let aim = upright(PX_PER_MM, (150.0, 150.0));
    let [flat, turned] = [0.0, std::f64::consts::FRAC_PI_2]
        .map(|angle| linear([300, 300], &aim, &scene([label("Sleeve", (0.0, 0.0), 12.0, angle)])));
    let (Some(flat), Some(turned)) = (flat, turned) else {
        return;
    };
    let [a, b] = [ink_box(&flat), ink_box(&turned)];
    assert!(((a[3] - a[2]) - (b[1] - b[0])).abs() <= 2.0, "{a:?} {b:?}");
    assert!((total(&flat) / total(&turned) - 1.0).abs() < 0.02);
}

#[test]
fn small_words_at_a_projectors_pixel_still_have_light_and_gaps() {
    // 12 mm at 0.9 mm a pixel: thirteen pixels high.
    let Some(picture) =
        linear([120, 40], &upright(1.0 / 0.9, (60.0, 30.0)), &scene([label("HHH", (0.0, 0.0), 12.0, 0.0)]))
    else {
        return;
    };
    // Along the row through the stems above the bar: light, dark, light... six stems.
    let row: Vec<_> = (0..120).map(|x| light(&picture, x, 20)).collect();
    let stems = row.windows(2).filter(|pair| pair[0] < 0.5 && pair[1] >= 0.5).count();
    assert_eq!(stems, 6, "{row:?}");
}
