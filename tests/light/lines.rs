//! How lines look: width, dashes, corners, order.

use crate::studio::{device, item, light, linear, scene, stroke, total, upright};
use chalkbeam::aim::Homography;
use chalkbeam::geometry::{BezPath, Point};
use chalkbeam::light::picture;
use chalkbeam::scene::{Brightness, Lamp, Meaning, Rhythm, Shape, style_of};
use kurbo::{Circle, Shape as _};

/// Light summed over columns (of the rows given), one number for each column.
fn columns(picture: &chalkbeam::light::Picture, rows: std::ops::Range<u32>) -> Vec<f64> {
    (0..picture.size()[0]).map(|x| rows.clone().map(|y| light(picture, x, y)).sum()).collect()
}

#[test]
fn a_line_is_as_wide_as_its_meaning_says_and_never_thinner_than_its_pixels() {
    for (px_per_mm, meaning) in [
        (4.0, Meaning::CuttingLine),
        (1.0, Meaning::CuttingLine),
        (0.5, Meaning::CuttingLine),
        (3.0, Meaning::ActiveMark),
        (0.7, Meaning::Pointed),
    ] {
        let style = style_of(meaning);
        let wanted = (style.width_mm * px_per_mm).max(style.least_px);
        for turn in [0.0, 0.3, 0.8, 1.2] {
            let reach = 150.0 / px_per_mm;
            let (dx, dy) = (reach * f64::cos(turn), reach * f64::sin(turn));
            let line = format!("M{},{} L{dx},{dy}", -dx, -dy);
            let aim = upright(px_per_mm, (200.3, 200.6));
            let Some(picture) = linear([400, 400], &aim, &scene([stroke(meaning, &line)])) else {
                return;
            };
            // All the light, over the length: flat ends keep the length exactly.
            let width = total(&picture) / 300.0;
            assert!(
                (width - wanted).abs() < 0.01 * wanted,
                "{meaning:?} at {turn}: {width} px for {wanted} px"
            );
        }
    }
}

#[test]
fn dashes_are_as_long_as_the_rhythm_says() {
    let Rhythm::Dashed(dash) = style_of(Meaning::SeamLine).rhythm else { panic!("the seam line is basted") };
    let strength = f64::from(Brightness::Middling.share());
    let px_per_mm = 2.3;
    let width = style_of(Meaning::SeamLine).width_mm * px_per_mm;
    let aim = upright(px_per_mm, (20.4, 30.3));
    let Some(picture) = linear([500, 60], &aim, &scene([stroke(Meaning::SeamLine, "M0,0 L190,0")])) else {
        return;
    };
    let profile: Vec<_> = columns(&picture, 0..60).iter().map(|sum| sum / width / strength).collect();
    let period = dash.on_mm + dash.off_mm;
    for step in 0..10 {
        let start = 20.4 + f64::from(step) * period * px_per_mm;
        let middle = start + dash.on_mm / 2.0 * px_per_mm;
        let reach = (period / 2.0 * px_per_mm).floor();
        let window = (middle - reach) as usize..=(middle + reach) as usize;
        let lit: f64 = profile[window.clone()].iter().sum();
        let moment: f64 = window.map(|x| profile[x] * (x as f64 + 0.5)).sum();
        assert!((lit / px_per_mm - dash.on_mm).abs() < 0.03, "dash {step}: {} mm", lit / px_per_mm);
        assert!((moment / lit - middle).abs() < 0.03, "dash {step}: {} px for {middle} px", moment / lit);
        let gap = start + (dash.on_mm + dash.off_mm / 2.0) * px_per_mm;
        assert!(profile[gap as usize] < 0.01, "gap {step} is dark");
    }
}

#[test]
fn dashes_keep_their_length_in_mm_under_perspective() {
    // Twice as far away at the end of the line as at its start.
    let aim = Homography::new(
        glam::DMat3::from_cols(
            glam::DVec3::new(3.0, 0.0, 1e-3),
            glam::DVec3::new(0.0, -3.0, 0.0),
            glam::DVec3::new(10.0, 30.0, 1.0),
        ),
        Point::ORIGIN,
    )
    .unwrap();
    let Some(picture) = linear([1600, 60], &aim, &scene([stroke(Meaning::SeamLine, "M0,0 L1000,0")])) else {
        return;
    };
    let profile = columns(&picture, 0..60);
    let strength = f64::from(Brightness::Middling.share());
    let mm_at = |px: f64| (px - 10.0) / (3.0 - 1e-3 * px);
    let px_per_mm = |mm: f64| 2.99 / (1.0 + 1e-3 * mm).powi(2);
    let mut edges = Vec::new();
    for x in 1..profile.len() {
        // Where the profile passes half of what the line gives there.
        let w = 1.0 + 1e-3 * mm_at(x as f64);
        let half = 0.5 * strength * (0.8 * 3.0 / w).max(1.0);
        let (a, b) = (profile[x - 1] - half, profile[x] - half);
        if (a < 0.0) != (b < 0.0) {
            edges.push(mm_at(x as f64 - 0.5 + a / (a - b)));
        }
    }
    assert!(edges.len() > 100, "{} edges", edges.len());
    for (index, &edge) in edges.iter().enumerate() {
        let expected = (index / 2) as f64 * 16.0 + (index % 2) as f64 * 12.0;
        if expected > 990.0 {
            break; // the line ends within a dash
        }
        let error = (edge - expected).abs() * px_per_mm(expected);
        assert!(error < 0.2, "edge {index} at {edge} mm for {expected} mm");
    }
}

#[test]
fn no_pixel_is_lit_twice_at_a_join() {
    // Light of a closed line = its length × its width (Pappus; a mitred square is the difference of two
    // squares, which is the same).
    let px_per_mm = 2.0;
    let width_px = style_of(Meaning::ActiveMark).width_mm * px_per_mm;
    let circle = Circle::new(Point::ORIGIN, 40.0).to_path(1e-5);
    let square = "M-40,-37 L41,-37 L41,39 L-40,39 Z";
    for (name, shape, length) in [
        ("circle", Shape::Stroke(circle), std::f64::consts::TAU * 40.0),
        ("square", Shape::Stroke(BezPath::from_svg(square).unwrap()), 2.0 * (81.0 + 76.0)),
    ] {
        for turn in [0.0, 0.4] {
            let rotated = match &shape {
                Shape::Stroke(path) => kurbo::Affine::rotate(turn) * path.clone(),
                _ => panic!("a stroke"),
            };
            let items = scene([item(Meaning::ActiveMark, Shape::Stroke(rotated))]);
            let Some(picture) = linear([260, 260], &upright(px_per_mm, (130.2, 129.7)), &items) else {
                return;
            };
            let expected = length * px_per_mm * width_px;
            let lit = total(&picture);
            assert!((lit / expected - 1.0).abs() < 2e-3, "{name} turned by {turn}: {lit} for {expected}");
        }
    }
}

#[test]
fn corners_are_sharp() {
    // A right angle's outer corner is lit to its tip; an acute one is cut off half a width beyond the point.
    let px_per_mm = 10.0;
    let half_px = style_of(Meaning::CuttingLine).width_mm * px_per_mm / 2.0;
    let corner = scene([stroke(Meaning::CuttingLine, "M0,0 L10,0 L10,10")]);
    let Some(picture) = linear([200, 200], &upright(px_per_mm, (50.0, 150.0)), &corner) else {
        return;
    };
    let tip = |distance: f64| light(&picture, (150.0 + distance) as u32, (150.0 + distance) as u32);
    assert!(tip(half_px - 2.0) > 0.99, "lit to the tip");
    assert!(tip(half_px + 1.5) < 0.01, "and no further");

    let spike = scene([stroke(Meaning::CuttingLine, "M0,0 L10,0 L0,0.5")]);
    let Some(picture) = linear([200, 200], &upright(px_per_mm, (50.0, 150.0)), &spike) else {
        return;
    };
    assert!(light(&picture, (150.0 + half_px - 2.0) as u32, 148) > 0.9);
    assert!(light(&picture, (150.0 + half_px + 2.0) as u32, 148) < 0.01);
}

#[test]
fn a_doubled_line_is_two_lines_at_its_gap() {
    let aim = upright(3.0, (20.0, 40.2));
    let Some(picture) = linear([400, 80], &aim, &scene([stroke(Meaning::NewHem, "M0,0 L120,0")])) else {
        return;
    };
    let row_light = |y: u32| (22..52).map(|x| light(&picture, x, y)).sum::<f64>();
    let centre = |rows: std::ops::Range<u32>| {
        let sum: f64 = rows.clone().map(row_light).sum();
        rows.map(|y| row_light(y) * (f64::from(y) + 0.5)).sum::<f64>() / sum
    };
    let (upper, lower) = (centre(20..40), centre(40..60));
    assert!((lower - upper - 12.0).abs() < 0.02, "{upper} and {lower}");
    assert!(((lower + upper) / 2.0 - 40.2).abs() < 0.02);
}

#[test]
fn the_aim_and_its_negative_draw_the_same_picture() {
    let Some(device) = device() else { return };
    let aim = upright(1.5, (100.0, 100.0));
    let negative = Homography::new(-aim.matrix(), Point::ORIGIN).unwrap();
    let items = scene([stroke(Meaning::SeamLine, "M-40,-30 C0,50 20,0 40,40")]);
    let [one, other] = [aim, negative]
        .map(|aim| picture(device, [200, 200], &aim, &items, &Lamp::default()).unwrap().srgb());
    assert!(one.iter().any(|&byte| byte > 100 && byte < 255));
    assert_eq!(one, other);
}

#[test]
fn later_items_lie_over_earlier_ones_and_the_background_shows_between() {
    let Some(device) = device() else { return };
    let lamp = Lamp::of([0.0, 0.2, 0.0], [1.0, 0.0, 0.0], [1.0, 1.0, 1.0]);
    let square = BezPath::from_svg("M-20,-20 L20,-20 L20,20 L-20,20 Z").unwrap();
    let items = scene([item(Meaning::Notch, Shape::Fill(square)), stroke(Meaning::Caution, "M-40,0 L40,0")]);
    let picture = picture(device, [100, 100], &upright(1.0, (50.0, 50.5)), &items, &lamp).unwrap();
    let near = |x, y, wanted: [f32; 3]| {
        let seen = picture.linear(x, y).unwrap();
        (0..3).all(|channel| (seen[channel] - wanted[channel]).abs() < 0.15)
    };
    assert!(near(5, 5, [1.0, 1.0, 1.0]), "background");
    assert!(near(50, 40, [0.0, 0.2, 0.0]), "fill");
    assert!(near(50, 50, [1.0, 0.0, 0.0]), "caution over the fill");
}

#[test]
fn a_picture_of_no_size_is_refused_with_the_limits() {
    let Some(device) = device() else { return };
    let refused = picture(device, [0, 100], &upright(1.0, (0.0, 0.0)), &scene([]), &Lamp::default());
    let message = refused.unwrap_err().to_string();
    assert!(message.contains("0 × 100 px"), "{message}");
}

#[test]
fn a_png_holds_the_picture_and_is_written_whole() {
    let Some(device) = device() else { return };
    let items = scene([stroke(Meaning::CuttingLine, "M0,0 L50,20")]);
    let picture = picture(device, [64, 32], &upright(1.0, (5.0, 28.0)), &items, &Lamp::default()).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("still.png");
    picture.write_png(&path).unwrap();
    let mut reader =
        png::Decoder::new(std::io::BufReader::new(std::fs::File::open(&path).unwrap())).read_info().unwrap();
    let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut bytes).unwrap();
    assert_eq!(bytes, picture.srgb());
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);

    let nowhere = folder.path().join("missing/still.png");
    let message = picture.write_png(&nowhere).unwrap_err().to_string();
    assert!(message.contains("still.png") && message.contains("another folder"), "{message}");
}
