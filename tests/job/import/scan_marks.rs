//! What is drawn on a paper piece is read with its outline: grainline, dart, notches, lines to be marked.
//!
//! The pictures are drawn here: lines of a pen of even width with greys at their borders, noise over all of it, and dirt.

use super::{finding, says};
use chalkbeam::geometry::{Affine, Curve, Point};
use chalkbeam::import::{self, Imported, Options};
use chalkbeam::pattern::{NotchKind, Piece};

/// The page, in mm either way.
const PAGE: f64 = 200.0;
const WITHIN_MM: f64 = 0.3;

/// Whole numbers in an order of their own (Knuth’s MMIX constants).
struct Dice(u64);

impl Dice {
    /// From 0 to 1.
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 33).unwrap()) / f64::from(1_u32 << 31)
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "pixels and greys, from zero")]
fn whole(number: f64) -> usize {
    number.max(0.0) as usize
}

/// A sheet of paper, places in mm, y up; how much of each pixel is ink.
struct Paper {
    dpi: f64,
    side: usize,
    ink: Vec<f64>,
    /// As the sheet lies in the scanner.
    askew: Affine,
}

impl Paper {
    fn new(dpi: f64) -> Self {
        let side = whole((PAGE * dpi / 25.4).ceil());
        Self { dpi, side, ink: vec![0.0; side * side], askew: Affine::rotate_about(0.012, (100.0, 100.0)) }
    }

    fn line(&mut self, points: &[(f64, f64)], width: f64) {
        let dots = self.dpi / 25.4;
        let place = |at: &(f64, f64)| {
            let at = self.askew * Point::from(*at);
            Point::new(at.x * dots, self.side as f64 - at.y * dots)
        };
        let points: Vec<Point> = points.iter().map(place).collect();
        let half = 0.5 * width * dots;
        for pair in points.windows(2) {
            let (from, along) = (pair[0], pair[1] - pair[0]);
            let range = |a: f64, b: f64| {
                whole(a.min(b) - half - 2.0)..=whole(a.max(b) + half + 2.0).min(self.side - 1)
            };
            for y in range(pair[0].y, pair[1].y) {
                for x in range(pair[0].x, pair[1].x) {
                    let at = Point::new(x as f64 + 0.5, y as f64 + 0.5);
                    let part = ((at - from).dot(along) / along.hypot2().max(1e-9)).clamp(0.0, 1.0);
                    let covered = (half + 0.5 - at.distance(from + part * along)).clamp(0.0, 1.0);
                    let ink = &mut self.ink[y * self.side + x];
                    *ink = ink.max(covered);
                }
            }
        }
    }

    /// Dots of up to 1.2 mm and hairs of up to 2.5 mm, some of them on lines.
    fn dirt(&mut self, count: usize, dice: &mut Dice) {
        for _ in 0..count {
            let at = (PAGE * dice.roll(), PAGE * dice.roll());
            let (length, angle) = (2.5 * dice.roll(), 6.3 * dice.roll());
            if dice.roll() < 0.5 {
                self.line(&[at, at], 1.2 * dice.roll());
            } else {
                self.line(&[at, (at.0 + length * angle.cos(), at.1 + length * angle.sin())], 0.2);
            }
        }
    }

    fn scanned(&self, dice: &mut Dice) -> Imported {
        let grey = |ink: &f64| {
            let noise = 14.0 * (dice.roll() + dice.roll() + dice.roll() - 1.5);
            u8::try_from(whole((236.0 - 190.0 * ink + noise).round().min(255.0))).unwrap()
        };
        let greys: Vec<u8> = self.ink.iter().map(grey).collect();
        let mut bytes = Vec::new();
        let side = u32::try_from(self.side).unwrap();
        let mut encoder = png::Encoder::new(&mut bytes, side, side);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_compression(png::Compression::Fast);
        encoder.write_header().unwrap().write_image_data(&greys).unwrap();
        let imported = import::read(&bytes, &Options { dpi: Some(self.dpi), ..Options::default() }).unwrap();
        assert_eq!(imported.pattern.faults(), []);
        imported
    }

    fn at(&self, x: f64, y: f64) -> Point {
        self.askew * Point::new(x, y)
    }
}

/// A piece with one round side: its points.
fn outline() -> Vec<(f64, f64)> {
    let round = Curve::cubic(
        (170.0, 120.0).into(),
        (150.0, 130.0).into(),
        (150.0, 160.0).into(),
        (120.0, 170.0).into(),
    );
    let mut points = vec![(30.0, 30.0), (170.0, 30.0)];
    points.extend(
        (0..=60).map(|step| round.point_at(round.length() * f64::from(step) / 60.0)).map(|at| (at.x, at.y)),
    );
    points.extend([(30.0, 160.0), (30.0, 30.0)]);
    points
}

/// Lines from a tip back to either side, so long and at such an angle in degrees to the stem.
fn head(tip: (f64, f64), up: f64, length: f64, degrees: f64) -> [[(f64, f64); 2]; 2] {
    let (x, y) = (length * degrees.to_radians().sin(), up * length * degrees.to_radians().cos());
    [[tip, (tip.0 - x, tip.1 - y)], [tip, (tip.0 + x, tip.1 - y)]]
}

fn only(imported: &Imported) -> &Piece {
    assert_eq!(imported.pattern.pieces.len(), 1, "{:?}", imported.findings);
    &imported.pattern.pieces[0].by_size[0]
}

/// How far the outline lies from the truth, there and back; the mouth of a dart is open.
fn off(paper: &Paper, piece: &Piece) -> f64 {
    let truth: Vec<Point> = outline().iter().map(|(x, y)| paper.at(*x, *y)).collect();
    let truth = Curve::polyline(&truth).unwrap();
    let edges: Vec<&Curve> = piece.edges.iter().map(|edge| &edge.curve).collect();
    let places = |curve: &Curve| -> Vec<Point> {
        (0..=1000).map(|step| curve.point_at(curve.length() * f64::from(step) / 1000.0)).collect()
    };
    let there = edges.iter().flat_map(|edge| places(edge)).map(|at| truth.nearest(at).1);
    let nearest = |at: Point| edges.iter().map(|edge| edge.nearest(at).1).fold(f64::INFINITY, f64::min);
    there.chain(places(&truth).into_iter().map(nearest)).fold(0.0, f64::max)
}

#[test]
fn grainline_dart_notches_and_short_lines_of_a_paper_piece_are_read_among_dirt() {
    for (width, dpi, seed) in [(0.5, 300.0, 1), (0.65, 300.0, 2), (0.8, 300.0, 3), (0.7, 150.0, 4)] {
        let mut paper = Paper::new(dpi);
        paper.line(&outline(), width);
        // A grainline with an open head at either end.
        paper.line(&[(60.0, 50.0), (60.0, 140.0)], width);
        for side in head((60.0, 140.0), 1.0, 7.0, 28.0).iter().chain(&head((60.0, 50.0), -1.0, 7.0, 28.0)) {
            paper.line(side, width);
        }
        // A dart, ticks inward, across, and across a round side, a short line and a longer one.
        paper.line(&[(90.0, 30.0), (100.0, 95.0), (110.0, 30.0)], width);
        paper.line(&[(30.0, 80.0), (35.0, 80.0)], width);
        paper.line(&[(166.0, 70.0), (174.0, 70.0)], width);
        paper.line(&[(170.0, 100.0), (160.0, 100.0)], width);
        paper.line(&[(120.0, 120.0), (129.0, 120.0)], width);
        paper.line(&[(80.0, 120.0), (105.0, 135.0)], width);
        let mut dice = Dice(seed);
        paper.dirt(120, &mut dice);
        let imported = paper.scanned(&mut dice);
        let piece = only(&imported);
        let far = off(&paper, piece);
        eprintln!("{width} mm wide: {far:.3} mm off");
        assert!(far <= WITHIN_MM, "{width}: {far} mm off");
        // The grainline.
        let grain = piece.grainline;
        for (found, drawn) in [(grain.from, paper.at(60.0, 50.0)), (grain.to, paper.at(60.0, 140.0))] {
            assert!(found.distance(drawn) <= 1.5, "{width}: {found:?} for {drawn:?}");
        }
        assert!(imported.proposals.iter().any(|one| one.what == "The grainline"));
        assert!(says(&imported, "does not tell which end is up"));
        // The dart.
        let [dart] = &piece.darts[..] else { panic!("{width}: {:?} {:?}", piece.darts, piece.inner_lines) };
        assert!(dart.apex.distance(paper.at(100.0, 95.0)) <= 1.0, "{width}: {:?}", dart.apex);
        let mouth = piece.dart_mouth(&dart.id).unwrap();
        assert!((mouth.curve.length() - 20.0).abs() <= 0.6, "{width}: {}", mouth.curve.length());
        // The notches.
        let mut places: Vec<Point> =
            piece.notches.iter().map(|notch| piece.notch_point(notch).unwrap()).collect();
        places.sort_by(|a, b| a.y.total_cmp(&b.y));
        let drawn = [(170.0, 70.0), (30.0, 80.0), (170.0, 100.0)].map(|(x, y)| paper.at(x, y));
        assert_eq!(places.len(), drawn.len(), "{width}: {places:?}");
        for at in drawn {
            let near = places.iter().map(|place| place.distance(at)).fold(f64::INFINITY, f64::min);
            assert!(near <= 0.4, "{width}: {near} mm from {at:?}");
        }
        assert!(piece.notches.iter().all(|notch| notch.kind == NotchKind::Single), "{width}");
        // Lines to be marked.
        let mut lengths: Vec<f64> = piece.inner_lines.iter().map(|line| line.curve.length()).collect();
        lengths.sort_by(f64::total_cmp);
        let [short, long] = lengths[..] else { panic!("{width}: lines of {lengths:?} mm") };
        assert!(
            (short - 9.0 - width).abs() <= 0.5 && (long - 29.15 - width).abs() <= 0.5,
            "{width}: {lengths:?}"
        );
    }
}

#[test]
fn an_arrow_with_one_head_tells_which_end_is_up_and_letters_stay_out() {
    let mut paper = Paper::new(300.0);
    paper.line(&outline(), 0.6);
    paper.line(&[(60.0, 140.0), (60.0, 50.0)], 0.6);
    // Two barbs on the lower end, drawn away from the tip like a pen does.
    for side in head((60.0, 50.0), -1.0, 5.0, 40.0) {
        paper.line(&side, 0.6);
    }
    // Letters of 6 mm: an A, an L, an O.
    paper.line(&[(100.0, 100.0), (102.0, 106.0), (104.0, 100.0)], 0.6);
    paper.line(&[(101.0, 102.5), (103.0, 102.5)], 0.6);
    paper.line(&[(106.0, 106.0), (106.0, 100.0), (109.0, 100.0)], 0.6);
    paper.line(&[(111.0, 100.0), (114.0, 103.0), (111.0, 106.0), (110.0, 103.0), (111.0, 100.0)], 0.6);
    let mut dice = Dice(7);
    let imported = paper.scanned(&mut dice);
    let piece = only(&imported);
    assert!(piece.grainline.to.distance(paper.at(60.0, 50.0)) <= 1.5, "{:?}", piece.grainline);
    assert!(!says(&imported, "which end is up"));
    assert!(piece.inner_lines.is_empty() && piece.notches.is_empty(), "{:?}", piece.inner_lines);
    assert!(finding(&imported, "small dark thing").what.starts_with("3 "));
    assert!(off(&paper, piece) <= WITHIN_MM);
}

/// A piece in two parts on either side of a line across, which both outlines share, is one piece with a line.
#[test]
fn a_line_from_edge_to_edge_leaves_the_outline_where_it_is() {
    let mut paper = Paper::new(300.0);
    paper.line(&outline(), 0.7);
    paper.line(&[(30.0, 90.0), (170.0, 90.0)], 0.7);
    paper.line(&[(30.0, 97.0), (170.0, 97.0)], 0.7);
    let imported = paper.scanned(&mut Dice(11));
    let piece = only(&imported);
    assert!(off(&paper, piece) <= WITHIN_MM, "{}", off(&paper, piece));
    let [balance] = &piece.balance_lines[..] else { panic!("{:?}", piece.inner_lines) };
    let middle = paper.at(100.0, 93.5);
    assert!(balance.line.p0.midpoint(balance.line.p1).distance(middle) <= 0.5, "{balance:?}");
}

#[test]
fn filled_heads_and_two_ticks_side_by_side_are_told() {
    // Long heads on a short stem, and short ones on a long stem.
    for (length, low, high) in [(7.0, 50.0, 140.0), (4.5, 36.0, 156.0)] {
        let mut paper = Paper::new(300.0);
        paper.line(&outline(), 0.6);
        paper.line(&[(60.0, low + 2.0), (60.0, high - 2.0)], 0.6);
        // Triangles, filled line by line.
        for (tip, up) in [(high, 1.0), (low, -1.0)] {
            for step in 0..=70 {
                let along = length * f64::from(step) / 70.0;
                let half = along * 2.5 / 7.0;
                paper.line(&[(60.0 - half, tip - up * along), (60.0 + half, tip - up * along)], 0.2);
            }
        }
        paper.line(&[(30.0, 80.0), (36.0, 80.0)], 0.6);
        paper.line(&[(30.0, 86.0), (36.0, 86.0)], 0.6);
        let imported = paper.scanned(&mut Dice(5));
        let piece = only(&imported);
        let grain = piece.grainline;
        for (found, drawn) in [(grain.from, paper.at(60.0, low)), (grain.to, paper.at(60.0, high))] {
            assert!(found.distance(drawn) <= 1.5, "{found:?} for {drawn:?}");
        }
        assert!(!says(&imported, "has no grainline") && piece.inner_lines.is_empty(), "{length}");
        let [notch] = &piece.notches[..] else { panic!("{:?}", piece.notches) };
        assert_eq!(notch.kind, NotchKind::Double);
        assert!(piece.notch_point(notch).unwrap().distance(paper.at(30.0, 83.0)) <= 0.4);
    }
}

#[test]
fn noise_and_dirt_alone_make_no_marks() {
    let mut paper = Paper::new(300.0);
    paper.line(&outline(), 0.6);
    let mut dice = Dice(23);
    paper.dirt(600, &mut dice);
    let imported = paper.scanned(&mut dice);
    let piece = only(&imported);
    assert!(piece.notches.is_empty() && piece.inner_lines.is_empty() && piece.darts.is_empty());
    assert!(off(&paper, piece) <= WITHIN_MM, "{}", off(&paper, piece));
}
