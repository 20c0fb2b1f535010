//! Lines are cut at clips of any shape, as viewers cut them.

use super::poppler::picture;
use super::{only_page, written};
use chalkbeam::geometry::{Affine, Curve, Point, Segment, Vec2};
use chalkbeam::import::pdf::{Page, drawing_of_page};
use chalkbeam::import::{Stroke, Words};
use proptest::prelude::*;
use std::f64::consts::TAU;
use std::fmt::Write as _;

pub(super) const CENTRE: Point = Point::new(100.0, 110.0);
pub(super) const RADIUS: f64 = 60.0;

/// How far a line may be off in its length, in mm.
pub(super) const LENGTH_MM: f64 = 0.02;

/// Commands in millimetres.
pub(super) fn in_mm(commands: &str) -> Vec<u8> {
    let mm = 72.0 / 25.4;
    let font = "/Resources << /Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >> >>";
    written(&format!("q {mm} 0 0 {mm} 0 0 cm {commands} Q"), font, "")
}

pub(super) fn read(commands: &str) -> Page {
    only_page(&in_mm(commands))
}

pub(super) fn strokes(page: &Page) -> Vec<Stroke> {
    drawing_of_page(page).0.groups.into_iter().flat_map(|group| group.strokes).collect()
}

fn lengths(page: &Page) -> Vec<f64> {
    strokes(page).iter().map(|stroke| stroke.curve.length()).collect()
}

fn says(page: &Page, words: &str) -> bool {
    page.findings.iter().any(|finding| finding.what.contains(words))
}

/// A circle of sixteen cubics, which lie within a millionth of its radius beside it. (A cubic of angle α errs by
/// r·4/27·(α/4)⁶, Goldapp, Computer Aided Geometric Design 8 (1991), 227–238.)
pub(super) fn circle(centre: Point, radius: f64, turn: f64) -> String {
    let step = turn.signum() * TAU / 16.0;
    let handle = 4.0 / 3.0 * (step / 4.0).tan() * radius;
    let at = |k: f64| {
        let out = Vec2::from_angle(k * step);
        (centre + radius * out, handle * Vec2::new(-out.y, out.x))
    };
    let start = at(0.0).0;
    let mut path = format!("{} {} m ", start.x, start.y);
    for k in 0..16 {
        let ((p, out), (q, back)) = (at(f64::from(k)), at(f64::from(k + 1)));
        let (c, d) = (p + out, q - back);
        write!(path, "{} {} {} {} {} {} c ", c.x, c.y, d.x, d.y, q.x, q.y).unwrap();
    }
    path + "h "
}

fn line(from: (f64, f64), to: (f64, f64)) -> String {
    format!("{} {} m {} {} l S ", from.0, from.1, to.0, to.1)
}

/// Lines of 1 to 239 mm, every 7 mm, both ways; with the distance of each from the centre.
fn grid() -> (String, Vec<f64>) {
    let mut commands = "0.4 w ".to_owned();
    let mut offs = Vec::new();
    for k in 0..34 {
        let at = 3.0 + 7.0 * f64::from(k);
        commands += &line((at, 1.0), (at, 239.0));
        commands += &line((1.0, at), (239.0, at));
        offs.extend([(at - CENTRE.x).abs(), (at - CENTRE.y).abs()]);
    }
    (commands, offs)
}

#[test]
fn a_circle_leaves_its_chords_of_a_grid() {
    let (lines, offs) = grid();
    let page = read(&format!("{} W n {lines}", circle(CENTRE, RADIUS, 1.0)));
    // Pythagoras.
    let expected: Vec<f64> = offs
        .iter()
        .filter(|off| **off < RADIUS)
        .map(|off| 2.0 * (RADIUS * RADIUS - off * off).sqrt())
        .collect();
    let chords = strokes(&page);
    assert_eq!(chords.len(), expected.len());
    let mut worst = 0.0_f64;
    for (chord, expected) in chords.iter().zip(&expected) {
        worst = worst.max((chord.curve.length() - expected).abs());
        for end in [chord.curve.start(), chord.curve.end()] {
            assert!((end.distance(CENTRE) - RADIUS).abs() <= LENGTH_MM, "{end}");
        }
    }
    eprintln!("chords are {worst:.4} mm off at most");
    assert!(worst <= LENGTH_MM, "{worst}");
    assert!(!says(&page, "followed by the box"), "{:?}", page.findings);
    assert!(says(&page, &format!("{} line(s) outside of what", offs.len() - expected.len())));
    assert!(page.lines.iter().all(|line| line.window.is_none()), "a chord lies in the box");
}

#[test]
fn a_ring_is_a_ring_by_both_rules_and_a_disc_where_both_circles_turn_alike() {
    let cases = [(1.0, "W*", 2), (-1.0, "W*", 2), (-1.0, "W", 2), (1.0, "W", 1)];
    for (turn, rule, parts) in cases {
        let clip = circle(CENTRE, RADIUS, 1.0) + &circle(CENTRE, 25.0, turn);
        let page = read(&format!("{clip} {rule} n {}", line((1.0, CENTRE.y), (239.0, CENTRE.y))));
        let lengths = lengths(&page);
        assert_eq!(lengths.len(), parts, "{turn} {rule}");
        let whole = if parts == 2 { RADIUS - 25.0 } else { 2.0 * RADIUS };
        assert!(lengths.iter().all(|length| (length - whole).abs() <= LENGTH_MM), "{lengths:?}");
    }
    // The same square twice is none by the one rule, and itself by the other.
    let twice = "10 10 50 50 re 10 10 50 50 re";
    for (rule, expected) in [("W*", vec![]), ("W", vec![50.0])] {
        let page = read(&format!("{twice} {rule} n {}", line((1.0, 30.0), (239.0, 30.0))));
        assert_eq!(
            lengths(&page).iter().map(|length| length.round()).collect::<Vec<_>>(),
            expected,
            "{rule}"
        );
    }
}

#[test]
fn each_clip_narrows_the_one_before_and_q_brings_it_back() {
    let across = line((1.0, CENTRE.y), (239.0, CENTRE.y));
    // A square on its corner, 80 mm across, with its middle at the rim of the circle.
    let (x, y) = (CENTRE.x + RADIUS, CENTRE.y);
    let diamond = format!("{} {y} m {x} {} l {} {y} l {x} {} l h", x - 40.0, y + 40.0, x + 40.0, y - 40.0);
    let clip = circle(CENTRE, RADIUS, 1.0);
    let page =
        read(&format!("{across} q {clip} W n {across} q {diamond} W n {across} Q {across} Q {across}"));
    let expected = [238.0, 120.0, 40.0, 120.0, 238.0];
    let found = lengths(&page);
    assert_eq!(found.len(), expected.len(), "{found:?}");
    for (found, expected) in found.iter().zip(expected) {
        assert!((found - expected).abs() <= LENGTH_MM, "{found} {expected}");
    }
    // A rectangle that narrows a circle is a window of what the circle leaves.
    let page = read(&format!("{clip} W n 0 0 {} 240 re W n {across}", CENTRE.x));
    assert!((lengths(&page)[0] - RADIUS).abs() <= LENGTH_MM);
    // Beside each other: nothing shows.
    let beside = circle(CENTRE + Vec2::new(100.0, 70.0), 60.0, 1.0);
    assert!(lengths(&read(&format!("{clip} W n {beside} W n {across}"))).is_empty());
}

/// Commands that turn what follows about the centre.
fn turned(angle: f64) -> String {
    let motion = Affine::translate(CENTRE.to_vec2()) * Affine::rotate(angle);
    let words: Vec<String> = motion.as_coeffs().iter().map(|number| format!("{number:.9}")).collect();
    format!("{} cm", words.join(" "))
}

#[test]
fn a_turned_rectangle_cuts_along_its_own_sides() {
    for degrees in [0.0_f64, 3.0, 30.0, 45.0, 77.0, 90.0] {
        let angle = degrees.to_radians();
        let mut commands = format!("q {} -50 -20 100 40 re W n ", turned(angle));
        let mut expected = Vec::new();
        for k in 0..12 {
            let along = 0.1 + 15.0_f64.to_radians() * f64::from(k);
            let far = 300.0 * Vec2::from_angle(along);
            commands += &line((-far.x, -far.y), (far.x, far.y));
            // A line through the middle leaves by the nearer side.
            expected.push((100.0 / along.cos().abs()).min(40.0 / along.sin().abs()));
        }
        let page = read(&format!("{commands} Q"));
        let found = lengths(&page);
        assert_eq!(found.len(), expected.len());
        for (found, expected) in found.iter().zip(&expected) {
            assert!((found - expected).abs() <= LENGTH_MM, "{degrees}: {found} {expected}");
        }
        assert!(!says(&page, "followed by the box"));
    }
}

#[test]
fn what_lies_inside_comes_back_untouched_and_curves_stay_curves() {
    let own = circle(CENTRE, 40.0, 1.0);
    let lines = format!("{} {own} S", line((90.0, 100.0), (110.0, 120.0)));
    let clip = circle(CENTRE, RADIUS, 1.0);
    assert_eq!(strokes(&read(&format!("{clip} W n {lines}"))), strokes(&read(&lines)));
    // Also what is drawn along its own clip.
    assert_eq!(strokes(&read(&format!("{own} W n {lines}"))), strokes(&read(&lines)));
    assert_eq!(strokes(&read(&format!("{own} W S {lines}"))).len(), 3);
    // Half of a circle beside it: an arc of sixteen cubics, some of them cut.
    let page = read(&format!("20 20 m {} 20 l 20 220 l W n {own} S", CENTRE.x));
    for part in strokes(&page) {
        assert!(!part.closed);
        for segment in part.curve.segments() {
            assert!(matches!(segment, Segment::Cubic(_)));
            assert!((segment.eval(0.4).distance(CENTRE) - 40.0).abs() < 1e-3);
        }
    }
    assert!(!strokes(&page).is_empty());
}

#[test]
fn a_line_that_is_drawn_as_a_thin_shape_is_a_shorter_one() {
    let clip = circle(CENTRE, RADIUS, 1.0);
    // A bar of 1 mm through the whole circle, and one that begins in its middle.
    let bars = format!("1 {} 238 1 re f {} {} 138 1 re f", CENTRE.y - 0.5, CENTRE.x, CENTRE.y + 20.0);
    let bars = strokes(&read(&format!("{clip} W n {bars}")));
    assert_eq!(bars.len(), 2);
    let half = (RADIUS * RADIUS - 20.5 * 20.5).sqrt();
    for (bar, long) in bars.iter().zip([2.0 * RADIUS, half]) {
        assert!(bar.closed && bar.curve.start().distance(bar.curve.end()) < 0.01);
        let bounds = bar.curve.bounding_box();
        assert!((bounds.width() - long).abs() < 0.3 && (bounds.height() - 1.0).abs() < 1e-6, "{bounds:?}");
    }
    // The same drawn as a line keeps those parts of its outline that show.
    let wide = strokes(&read(&format!("{clip} W n 1 100 238 20 re S")));
    assert_eq!(wide.iter().map(|part| part.closed).collect::<Vec<_>>(), [false, false]);
    assert!(strokes(&read(&format!("{clip} W n 1 1 238 238 re S"))).is_empty());
}

#[test]
fn words_are_left_out_by_their_place() {
    let set = |x: f64, y: f64, words: &str| format!("BT /F 5 Tf {x} {y} Td ({words}) Tj ET ");
    let clip = circle(CENTRE, RADIUS, 1.0);
    let all = set(90.0, 110.0, "inside") + &set(42.0, 145.0, "hidden") + &set(38.0, 110.0, "at the rim");
    let page = read(&format!("q {clip} W n {all} Q {}", set(42.0, 145.0, "later")));
    let words: Vec<&str> = page.words.iter().map(|(_, Words { words, .. })| words.as_str()).collect();
    assert_eq!(words, ["inside", "at the rim", "later"]);
    assert!(says(&page, "1 run(s) of letters outside of what"), "{:?}", page.findings);
}

#[test]
fn a_turned_form_is_cut_at_its_own_box() {
    let form = line((-90.0, 0.0), (90.0, 0.0));
    let object = format!(
        "5 0 obj\n<< /Type /XObject /Subtype /Form /BBox [-30 -10 30 10] /Length {} >> stream\n{form}\nendstream\nendobj\n",
        form.len()
    );
    let resources = "/Resources << /XObject << /A 5 0 R >> >>";
    let page = only_page(&written("0.8 0.6 -0.6 0.8 300 300 cm /A Do", resources, &object));
    let found = lengths(&page);
    assert!((found[0] - 60.0 * 25.4 / 72.0).abs() <= LENGTH_MM, "{found:?}");
}

#[test]
fn clips_that_take_too_long_are_followed_by_their_box_and_told() {
    // Forty clips in each other: the last eight by their box.
    let clip = circle(CENTRE, RADIUS, 1.0) + "W n ";
    let across = line((1.0, CENTRE.y), (239.0, CENTRE.y));
    let page = read(&format!("{} {across}", clip.repeat(40)));
    assert!(says(&page, "8 clip(s) on page 1 are no upright rectangles and were followed by the box"));
    assert!((lengths(&page)[0] - 2.0 * RADIUS).abs() <= LENGTH_MM);
    // A comb of twenty thousand teeth, and lines across all of them.
    let mut comb = "20 20 m ".to_owned();
    for k in 0..20_000 {
        let x = 20.0 + 0.01 * f64::from(k);
        write!(comb, "{x:.3} 200 l {:.3} 60 l ", x + 0.005).unwrap();
    }
    let lines: String =
        (0..40).map(|k| line((1.0, 80.0 + f64::from(k)), (239.0, 80.3 + f64::from(k)))).collect();
    let page = read(&format!("{comb} W n {lines}"));
    assert!(says(&page, "1 clip(s) on page 1 are no upright rectangles"), "{:?}", page.findings);
    assert!(page.lines.iter().any(|line| line.window.is_some()));
}

#[test]
fn poppler_shows_the_same_parts_of_a_grid() {
    // A circle with a turned square out of its middle, and inside that the half of a star.
    let hole = "100 85 m 125 110 l 100 135 l 75 110 l h";
    let star: String = (0..5)
        .map(|k| {
            let at = CENTRE + 80.0 * Vec2::from_angle(TAU * (0.25 + 0.4 * f64::from(k)));
            format!("{} {} {} ", at.x, at.y, if k == 0 { "m" } else { "l" })
        })
        .collect();
    for clip in [
        format!("{} {hole} W* n", circle(CENTRE, RADIUS, 1.0)),
        format!("{star} W n"),
        format!("{star} W* n {} W n", circle(CENTRE, 50.0, -1.0)),
    ] {
        let bytes = in_mm(&format!("{clip} {}", grid().0));
        let Some(picture) = picture(&bytes) else { return };
        let parts = strokes(&only_page(&bytes));
        let (mut dark, mut light, mut wrong) = (0, 0, 0);
        for k in 0..34 {
            let across = 3.0 + 7.0 * f64::from(k);
            for step in 0..220 {
                let along = 5.0 + f64::from(step);
                for place in [Point::new(across, along), Point::new(along, across)] {
                    // Not where another line crosses it.
                    if ((along - 3.0 + 3.5).rem_euclid(7.0) - 3.5).abs() < 1.0 {
                        continue;
                    }
                    // A dot of 0.17 mm and half a line may lie between both.
                    let near = |reach: f64| parts.iter().any(|part| part.curve.distance_to(place) <= reach);
                    let ends = |part: &Stroke| {
                        part.curve.start().distance(place).min(part.curve.end().distance(place)) < 0.6
                    };
                    if parts.iter().any(ends) {
                        continue;
                    }
                    let shown = near(0.01);
                    let found = picture.at(place) > 0.4;
                    dark += u32::from(shown);
                    light += u32::from(!shown);
                    wrong += u32::from(shown != found);
                }
            }
        }
        eprintln!("{dark} places on lines, {light} beside, {wrong} otherwise in poppler");
        assert!(dark > 500 && light > 500, "{dark} {light}");
        assert_eq!(wrong, 0, "{clip}");
    }
}

proptest! {
    #[test]
    fn what_a_clip_leaves_and_what_its_complement_leaves_add_up(
        at in proptest::array::uniform8(10.0..230.0_f64),
        corners in proptest::collection::vec((10.0..230.0_f64, 10.0..230.0_f64), 3..12),
        rounded in any::<bool>(),
    ) {
        let p = |k: usize| Point::new(at[2 * k], at[2 * k + 1]);
        let curve = Curve::cubic(p(0), p(1), p(2), p(3));
        let numbers: Vec<String> = at.iter().map(f64::to_string).collect();
        let drawn = format!("{} {} m {} c S ", numbers[0], numbers[1], numbers[2..].join(" "));
        // A path that may cross itself, by the rule under which its complement is one too.
        let mut clip = String::new();
        for (k, (x, y)) in corners.iter().enumerate() {
            let command = match (k, rounded) {
                (0, _) => format!("{x} {y} m "),
                (_, true) => format!("{y} {x} {x} {y} v "),
                _ => format!("{x} {y} l "),
            };
            clip += &command;
        }
        let page = read(&format!("q {clip} h W* n {drawn} Q {clip} h 0 0 240 240 re W* n {drawn}"));
        let sum: f64 = lengths(&page).iter().sum();
        // What runs along the edge, or so close to it that it may, lies in both.
        const STEPS: u32 = 6000;
        const EDGE_MM: f64 = 0.02;
        let edge = edge_of(&corners, rounded);
        let points: Vec<Point> =
            (0..=STEPS).map(|k| curve.point_at(curve.length() * f64::from(k) / f64::from(STEPS))).collect();
        let step = curve.length() / f64::from(STEPS);
        let close = points.iter().filter(|point| {
            edge.iter().any(|edge| {
                let reach = EDGE_MM + step;
                edge.bounding_box().inflate(reach, reach).contains(**point) && edge.distance_to(**point) <= reach
            })
        });
        let twice = step * f64::from(u32::try_from(close.count()).unwrap());
        let off = sum - curve.length();
        prop_assert!(off.abs() <= twice + 0.05, "{off} mm, {twice} near the edge");
        prop_assert!(!says(&page, "no upright rectangles"));
    }
}

/// The edge of the clip of the law above.
fn edge_of(corners: &[(f64, f64)], rounded: bool) -> Vec<Curve> {
    let next = corners.iter().skip(1).chain(corners.first()).enumerate();
    corners
        .iter()
        .zip(next)
        .map(|(from, (k, to))| {
            let (from, end) = (Point::from(*from), Point::from(*to));
            // The closing line is straight.
            if rounded && k + 1 < corners.len() {
                Curve::cubic(from, from, Point::new(to.1, to.0), end)
            } else {
                Curve::line(from, end)
            }
        })
        .collect()
}
