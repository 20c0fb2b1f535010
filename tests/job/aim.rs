//! The aim: what was measured goes in, where the light falls comes out.

pub(crate) mod bump;
mod cloth;
pub(crate) mod errors;
pub(crate) mod keys;
pub(crate) mod laws;
mod lens;
mod marks;
mod planner;
mod proof;
mod tapes;

use chalkbeam::aim::{Aim, AimError, Homography, Lens, Measured, MeasuredMark, Plane, Tape};
use chalkbeam::geometry::Point;
use serde::Deserialize;

const PICTURE: (u32, u32) = (1920, 1080);

/// A measurement of marks whose places are known.
fn known(surface: &[(f64, f64)], picture: &[(f64, f64)]) -> Measured {
    let marks = surface.iter().zip(picture);
    let marks = marks.map(|(&surface, &picture)| MeasuredMark::new(picture, Some(surface)));
    Measured::new(PICTURE, marks.collect(), Vec::new())
}

/// The same measurement with tapes between all marks instead of places.
fn taped(measured: &Measured) -> Measured {
    let mut taped = measured.clone();
    for (from, a) in measured.marks.iter().enumerate() {
        for (to, b) in measured.marks.iter().enumerate().skip(from + 1) {
            let (a, b) = (Point::from(a.surface.unwrap()), Point::from(b.surface.unwrap()));
            let mm = a.distance(b);
            taped.tapes.push(Tape::new(from, to, mm));
        }
    }
    for mark in &mut taped.marks {
        mark.surface = None;
    }
    taped
}

/// An everyday quad: about a rectangle, marks 5 % inside the picture.
fn quad() -> Measured {
    known(
        &[(-742.0, -401.5), (738.5, -410.0), (751.0, 398.0), (-747.5, 405.5)],
        &[(96.0, 1026.0), (1824.0, 1020.0), (1800.0, 60.0), (110.0, 54.0)],
    )
}

#[derive(Deserialize)]
struct OpenCvCase {
    surface_mm: Vec<(f64, f64)>,
    picture_px: Vec<(f64, f64)>,
    noise_px: f64,
    #[serde(rename = "H")]
    homography: [[f64; 3]; 3],
    probe_mm: Vec<(f64, f64)>,
    probe_px: Vec<(f64, f64)>,
}

#[derive(Deserialize)]
struct OpenCvCases {
    cases: Vec<OpenCvCase>,
}

/// Reference: `cv2.findHomography(method=0)`, OpenCV 5.0.0 (data/aim/SOURCES.md).
#[test]
fn twenty_four_homographies_agree_with_opencv() {
    let file: OpenCvCases = serde_json::from_str(include_str!("data/aim/homography.json")).unwrap();
    assert_eq!(file.cases.len(), 24);
    for (index, case) in file.cases.iter().enumerate() {
        let aim = Aim::solve(&known(&case.surface_mm, &case.picture_px)).unwrap();
        let map = aim.picture_from_surface();
        let tolerance = if case.noise_px > 0.0 { 1e-3 } else { 1e-6 };
        for (&at, &expected) in case.probe_mm.iter().zip(&case.probe_px) {
            let gap = map.map(at.into()).unwrap().distance(expected.into());
            assert!(gap < tolerance, "case {index} at {at:?}: {gap} px");
        }
        let rows = map.rows().unwrap();
        for (row, expected) in rows.iter().flatten().zip(case.homography.iter().flatten()) {
            assert!((row - expected).abs() < 1e-4 * expected.abs().max(1.0), "case {index}");
        }
    }
}

#[derive(Deserialize)]
struct Chessboard {
    corners: Vec<(f64, f64)>,
    #[serde(rename = "H_cv2")]
    homography: [[f64; 3]; 3],
}

/// Reference: corners and homographies of OpenCV's sample photographs (data/aim/SOURCES.md). The board's y points
/// down there and up here.
#[test]
fn thirteen_photographed_chessboards_agree_with_opencv() {
    let boards: std::collections::BTreeMap<String, Chessboard> =
        serde_json::from_str(include_str!("data/aim/chess.json")).unwrap();
    assert_eq!(boards.len(), 13);
    for (name, board) in boards {
        let places: Vec<(f64, f64)> = (0..6)
            .flat_map(|row| (0..9).map(move |column| (25.0 * f64::from(column), -25.0 * f64::from(row))))
            .collect();
        let mut measured = known(&places, &board.corners);
        measured.picture_size = (640, 480);
        let bent = Aim::solve(&measured).unwrap();
        measured.lens = Some(Lens::straight((640, 480)));
        let aim = Aim::solve(&measured).unwrap();
        for &(x, y) in &places {
            let [u, v, w] = board.homography.map(|row| row[0] * x - row[1] * y + row[2]);
            let gap = aim.picture_from_surface().map(Point::new(x, y)).unwrap();
            let gap = gap.distance(Point::new(u / w, v / w));
            assert!(gap < 1e-3, "{name} at ({x}, {y}): {gap} px");
        }
        // The photographs' camera bends; with one radial coefficient they fit better by far.
        let rms = |aim: &Aim| {
            let squares = aim.marks().iter().map(|mark| mark.residual_px.powi(2));
            (squares.sum::<f64>() / 54.0).sqrt()
        };
        assert!(bent.lens().is_some_and(|lens| lens.radial < 0.0), "a barrel: {name}");
        assert!(rms(&bent) < 0.7 * rms(&aim));
    }
}

/// Heckbert, Fundamentals of Texture Mapping and Image Warping (1989), unit square to quad (formula from memory).
/// There y points down in both planes, here it is turned over on the surface, and h with it.
#[test]
fn a_unit_square_goes_to_a_quad_by_heckberts_formula() {
    let picture = [(96.0, 54.0), (1824.0, 60.0), (1800.0, 1020.0), (110.0, 1026.0)];
    let [p0, p1, p2, p3] = picture.map(Point::from);
    let (s, d1, d2) = ((p0 - p1) + (p2 - p3), p1 - p2, p3 - p2);
    let (g, h) = (s.cross(d2) / d1.cross(d2), d1.cross(s) / d1.cross(d2));
    assert!((g - 0.012_641_654_6).abs() < 1e-9 && (h - 0.022_664_733_6).abs() < 1e-9);
    let aim = Aim::solve(&known(&[(0.0, 0.0), (1.0, 0.0), (1.0, -1.0), (0.0, -1.0)], &picture)).unwrap();
    let expected = [
        [p1.x - p0.x + g * p1.x, -(p3.x - p0.x + h * p3.x), p0.x],
        [p1.y - p0.y + g * p1.y, -(p3.y - p0.y + h * p3.y), p0.y],
        [g, -h, 1.0],
    ];
    let found = aim.report().homography;
    for (a, b) in found.iter().flatten().zip(expected.iter().flatten()) {
        assert!((a - b).abs() < 1e-8, "{found:?}");
    }
    let centre = aim.picture_from_surface().map(Point::new(0.5, -0.5)).unwrap();
    assert!(centre.distance(Point::new(962.7796, 545.3786)) < 1e-4);
}

/// Distances between picture places, measured on the surface, do not depend on how the surface lies.
fn distances(aim: &Aim) -> Vec<f64> {
    let corners = aim.lit_quad();
    let pairs = (0..4).flat_map(|a| (0..a).map(move |b| (a, b)));
    pairs.map(|(a, b)| corners[a].distance(corners[b])).collect()
}

#[test]
fn six_tapes_say_as_much_as_four_places() {
    let (placed, taped) = (Aim::solve(&quad()).unwrap(), Aim::solve(&taped(&quad())).unwrap());
    for (a, b) in distances(&placed).iter().zip(distances(&taped)) {
        assert!((a - b).abs() < 1e-6);
    }
    let mean = taped.marks().iter().fold(Point::ORIGIN, |sum, mark| sum + mark.surface.to_vec2());
    assert!(mean.distance(Point::ORIGIN) < 1e-9, "the origin is the marks' centroid");
    let [left, right] = [0, 1].map(|mark| taped.marks()[mark].surface);
    assert!(right.x > left.x && taped.marks()[3].surface.y > left.y, "as the picture shows it");
}

#[test]
fn five_sides_hold_the_quad_and_four_do_not() {
    let mut measured = taped(&quad());
    let dropped = measured.tapes.remove(1);
    assert!(Aim::solve(&measured).is_ok());
    measured.tapes.remove(3);
    let error = Aim::solve(&measured).unwrap_err();
    let AimError::NotRigid { from, to, .. } = error else { panic!("{error}") };
    assert!(
        dropped.from == from && dropped.to == to
            || measured.tapes.iter().all(|t| (t.from, t.to) != (from, to))
    );
}

#[test]
fn some_places_and_some_tapes_go_together() {
    let full = quad();
    let mut measured = taped(&full);
    measured.marks[0].surface = full.marks[0].surface;
    measured.marks[1].surface = full.marks[1].surface;
    let aim = Aim::solve(&measured).unwrap();
    for (mark, truth) in aim.marks().iter().zip(&full.marks) {
        assert!(mark.surface.distance(truth.surface.unwrap().into()) < 1e-6);
    }
    measured.tapes[0].mm += 40.0;
    assert!(matches!(Aim::solve(&measured), Err(AimError::TapeAgainstPlaces { from: 0, to: 1, .. })));
}

#[test]
fn a_nudge_moves_the_light_and_keeps_the_marks() {
    let aim = Aim::solve(&taped(&quad())).unwrap();
    let nudged = aim.nudged(2, 3.0, -2.0).unwrap();
    for (before, after) in aim.marks().iter().zip(nudged.marks()) {
        assert_eq!(before.surface, after.surface);
    }
    let there = nudged.picture_from_surface().map(aim.marks()[2].surface).unwrap();
    assert!(there.distance(Point::new(1803.0, 58.0)) < 1e-6);
    assert_eq!(aim.nudged(4, 1.0, 0.0), Err(AimError::UnknownMark { mark: 4, count: 4 }));
    assert!(matches!(aim.nudged(0, f64::NAN, 0.0), Err(AimError::MarkOutOfReach { mark: 0, .. })));
    let again = Aim::solve(&aim.measured()).unwrap();
    for (a, b) in distances(&aim).iter().zip(distances(&again)) {
        assert!((a - b).abs() < 1e-6);
    }
}

#[test]
fn a_plain_view_is_an_aim_with_an_even_pitch() {
    let view = Homography::flat_view(0.5, Point::new(960.0, 540.0)).unwrap();
    let aim = Aim::from_homography(PICTURE, view).unwrap();
    let pitch = aim.pixel_pitch();
    for mm in pitch.corners_mm.into_iter().chain([pitch.centre_mm]) {
        assert!((mm - 2.0).abs() < 1e-12);
    }
    assert!(aim.lit_quad()[0].distance(Point::new(-1920.0, 1080.0)) < 1e-9);
}

#[test]
fn measurements_are_read_from_ron_and_strange_fields_are_refused() {
    let text = "(picture_size: (1920, 1080), marks: [
        (picture: (96, 1026), surface: Some((-742, -401.5))), (picture: (1824, 1020)),
        (picture: (1800, 60), surface: None), (picture: (110, 54))],
        tapes: [(from: 0, to: 1, mm: 1203.0)])";
    let measured: Measured = ron::from_str(text).unwrap();
    assert_eq!(measured.marks[0].surface, Some((-742.0, -401.5)));
    assert_eq!(measured.tapes, [Tape::new(0, 1, 1203.0)]);
    let back: Measured = ron::from_str(&ron::to_string(&measured).unwrap()).unwrap();
    assert_eq!(back, measured);
    let strange = text.replace("tapes:", "ropes:");
    assert!(ron::from_str::<Measured>(&strange).is_err());
}

#[test]
fn the_report_is_json_of_the_agreed_shape() {
    let json = serde_json::to_value(Aim::solve(&taped(&quad())).unwrap().report()).unwrap();
    let keys = |value: &serde_json::Value| -> Vec<String> {
        let mut keys: Vec<String> = value.as_object().unwrap().keys().cloned().collect();
        keys.sort();
        keys
    };
    assert_eq!(keys(&json), ["error", "homography", "marks", "pixel_pitch_mm", "suspects", "tapes"]);
    assert_eq!(keys(&json["error"]), ["centre_mm", "length_mm_per_m", "worst_corner_mm"]);
    assert_eq!(keys(&json["marks"][3]), ["picture", "residual_mm", "residual_px", "surface"]);
    assert_eq!(keys(&json["tapes"][5]), ["from", "mm", "residual_mm", "to"]);
    assert_eq!(keys(&json["pixel_pitch_mm"]), ["centre", "corners"]);
    assert_eq!(json["pixel_pitch_mm"]["corners"].as_array().unwrap().len(), 4);
    assert_eq!(json["homography"][2][2], 1.0);
    assert!(!json.to_string().contains("null"));
}

#[test]
fn of_many_marks_one_that_is_far_off_is_named() {
    let map = Aim::solve(&quad()).unwrap().picture_from_surface();
    let places: Vec<(f64, f64)> =
        (0..9).map(|mark| (700.0 * f64::from(mark % 3 - 1), 380.0 * f64::from(mark / 3 - 1))).collect();
    let picks: Vec<(f64, f64)> = places.iter().map(|&at| map.map(at.into()).unwrap().into()).collect();
    let mut measured = known(&places, &picks);
    assert!(Aim::solve(&measured).unwrap().marks().iter().all(|mark| mark.residual_px < 1e-9));
    measured.marks[5].picture.0 += 150.0;
    let error = Aim::solve(&measured).unwrap_err();
    assert!(matches!(error, AimError::MarkOff { mark: 5, residual_mm } if residual_mm > 50.0), "{error}");
}

/// What goes wrong, how, and what the message must name.
#[test]
fn bad_measurements_are_refused_with_the_marks_by_number() {
    type Spoil = fn(&mut Measured);
    let cases: [(Spoil, &str); 13] = [
        (|m| m.marks.truncate(3), "there are 3"),
        (|m| m.picture_size.0 = 0, "0 × 1080 px"),
        (|m| m.marks[2].picture.0 = f64::NAN, "mark 2 in the picture"),
        (|m| m.marks[1].picture.1 = 1e300, "mark 1 in the picture"),
        (|m| m.tapes[4].to = 9, "no mark 9"),
        (|m| m.tapes[0].to = 0, "mark 0 to itself"),
        (|m| m.tapes[3].mm = f64::INFINITY, "from mark 1 to mark 2 reads inf mm"),
        (|m| m.tapes[3].mm = -5.0, "from mark 1 to mark 2 reads -5 mm"),
        (|m| m.tapes[0].mm = 4000.0, "from mark 0 to mark 1 is longer"),
        (|m| m.tapes[1].mm -= 200.0, "read every tape a second time"),
        (|m| m.tapes.clear(), "tape the four sides"),
        (|m| m.tapes.retain(|tape| tape.from != 3 && tape.to != 3), "mark 3 has no place"),
        (|m| m.marks[3].picture = m.marks[1].picture, "marks 1 and 3 are in the same place"),
    ];
    for (spoil, expected) in cases {
        let mut measured = taped(&quad());
        spoil(&mut measured);
        let message = Aim::solve(&measured).unwrap_err().to_string();
        assert!(message.contains(expected), "{message}");
    }
    let mut measured = quad();
    measured.marks[1].surface = Some((0.0, 400.0));
    assert_eq!(
        Aim::solve(&measured),
        Err(AimError::Collinear { marks: vec![1, 2, 3], plane: Plane::Surface })
    );
    let mut mirrored = quad();
    for mark in &mut mirrored.marks {
        mark.picture.0 = 1920.0 - mark.picture.0;
    }
    assert_eq!(Aim::solve(&mirrored), Err(AimError::Mirrored { order: Some(vec![1, 0, 3, 2]) }));
    let mut far = quad();
    for mark in &mut far.marks {
        mark.surface = mark.surface.map(|(x, y)| (x, y + 90_000.0));
    }
    assert_eq!(Aim::solve(&far), Err(AimError::OriginOutOfLight));
}
