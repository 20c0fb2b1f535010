//! Rectangles on plain or striped cloth, one rule at a time.

use super::{amounts, broken, place};
use chalkbeam::cloth::{Bar, Bars, Cloth, Colour, Flaw, Plies, Print, RightSides};
use chalkbeam::finding::Severity;
use chalkbeam::geometry::{BezPath, Curve, Point, Rect};
use chalkbeam::lay::{self, BarOrder, Grain, Laid, LayRules, Parts, Place, Rule};
use chalkbeam::pattern::*;
use kurbo::Shape as _;
use std::sync::Arc;

/// The edges of a piece by its corners from the lower left on, counter-clockwise: hem, right, top, left, from `a` to
/// `d`; the left one is the fold of a piece that is halved.
pub(crate) fn edges(corners: [Point; 4], halved: bool) -> Vec<Edge> {
    let left = if halved { EdgeRole::Fold } else { EdgeRole::Seam };
    let roles = [EdgeRole::Hem, EdgeRole::Seam, EdgeRole::Opening, left];
    let (names, ends) = (["hem", "right", "top", "left"], ["a", "b", "c", "d"]);
    let edge = |(index, role): (usize, EdgeRole)| Edge {
        id: names[index].into(),
        from: ends[index].into(),
        to: ends[(index + 1) % 4].into(),
        role,
        allowance: None,
        curve: Curve::line(corners[index], corners[(index + 1) % 4]),
    };
    roles.into_iter().enumerate().map(edge).collect()
}

/// A rectangle from the origin, its left edge on the fold where it is halved, cut with one allowance to the left and
/// one to the right.
pub(super) fn rectangle(
    id: &str,
    size: (f64, f64),
    allowances: (f64, f64),
    count: u32,
    how: HowCut,
) -> (Arc<Piece>, BezPath) {
    let (width, height) = size;
    let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)].map(Point::from);
    let halved = matches!(how, HowCut::OnFold | HowCut::OpenedOut);
    let edges = edges(corners, halved);
    let piece = Piece {
        id: id.into(),
        number: 1,
        cuttings: vec![Cutting { cloth: ClothKind::Cloth, count, how }],
        edges,
        notches: Vec::new(),
        darts: Vec::new(),
        grainline: Grainline { from: Point::new(0.5 * width, 0.0), to: Point::new(0.5 * width, height) },
        balance_lines: Vec::new(),
        drill_holes: Vec::new(),
        inner_lines: Vec::new(),
        texts: Vec::new(),
        traces: Vec::new(),
    };
    let cut = Rect::new(-allowances.0, 0.0, width + allowances.1, height);
    (Arc::new(piece), cut.to_path(0.1))
}

pub(super) fn parts(pieces: &[(Arc<Piece>, BezPath)], seams: &[Seam]) -> Parts {
    Parts::of(pieces.iter().map(|(piece, path)| (piece, Some(path), None)), seams, ClothKind::Cloth)
}

pub(super) fn cloth(width: &str, length: &str) -> Cloth {
    Cloth::plain("plain", width.parse().unwrap(), length.parse().unwrap(), Colour([200; 3]))
}

fn looked<T>(
    cloth: &Cloth,
    parts: &Parts,
    places: &[Place],
    rules: &LayRules,
    look: impl FnOnce(&Laid<'_>) -> T,
) -> T {
    look(&Laid { cloth, parts, places, rules })
}

fn rules() -> LayRules {
    LayRules::default()
}

#[test]
fn a_piece_wider_than_the_cloth_is_told_with_both_numbers() {
    let parts = parts(&[rectangle("back", (400.0, 900.0), (0.0, 15.0), 1, HowCut::OpenedOut)], &[]);
    // 2 × 415 mm opened out; half a degree of turn saves nothing on a piece that is longer than wide.
    looked(&cloth("80 cm", "2000 mm"), &parts, &[place("back", 1, 100.0, 400.0)], &rules(), |laid| {
        let said = broken(laid, Rule::Inside);
        assert_eq!(said.len(), 1);
        assert!(
            said[0].finding.what.contains("830 mm") && said[0].finding.what.contains("800 mm"),
            "{}",
            said[0].finding.what
        );
        assert!((said[0].finding.amount_mm.unwrap() - 30.0).abs() < 1e-6);
    });
    // On the weft it is 900 mm across.
    let on_weft = LayRules { grain: [("back".into(), Grain::Weft)].into(), ..rules() };
    let across = Place { turn_degrees: 90.0, ..place("back", 1, 900.0, 0.0) };
    looked(&cloth("90 cm", "2000 mm"), &parts, &[across], &on_weft, |laid| {
        assert!(broken(laid, Rule::Inside).is_empty());
        assert!(broken(laid, Rule::Grain).is_empty());
    });
}

#[test]
fn the_edge_of_the_cloth_may_be_touched_but_not_passed() {
    let parts = parts(&[rectangle("cuff", (100.0, 200.0), (0.0, 0.0), 2, HowCut::Single)], &[]);
    for (y, over) in [(100.0, None), (99.991, None), (99.98, Some(0.02)), (650.0, None), (651.5, Some(1.5))] {
        looked(&cloth("65 cm", "30 cm"), &parts, &[place("cuff", 1, 0.0, y)], &rules(), |laid| {
            let said = amounts(laid, Rule::Inside);
            assert_eq!(said.len(), usize::from(over.is_some()), "{y} {said:?}");
            if let Some(over) = over {
                assert!((said[0] - over).abs() < 1e-9);
            }
        });
    }
}

#[test]
fn pieces_may_touch_unless_a_gap_is_asked_for() {
    let parts = parts(&[rectangle("cuff", (100.0, 200.0), (0.0, 0.0), 2, HowCut::Single)], &[]);
    let places = [place("cuff", 1, 0.0, 300.0), place("cuff", 2, 200.0, 300.0)];
    let cloth = cloth("65 cm", "1000 mm");
    looked(&cloth, &parts, &places, &rules(), |laid| {
        assert!(broken(laid, Rule::Apart).is_empty());
    });
    let asked = LayRules { gap: "5 mm".parse().unwrap(), ..rules() };
    for (x, lacks) in [(200.0, Some(5.0)), (203.5, Some(1.5)), (205.0, None), (600.0, None)] {
        let places = [place("cuff", 1, 0.0, 300.0), place("cuff", 2, x, 330.0)];
        looked(&cloth, &parts, &places, &asked, |laid| {
            let said = amounts(laid, Rule::Apart);
            assert_eq!(said.len(), usize::from(lacks.is_some()), "{x}");
            if let Some(lacks) = lacks {
                assert!((said[0] - lacks).abs() < 1e-9);
            }
        });
    }
}

#[test]
fn flaws_are_kept_off_on_both_plies() {
    let parts = parts(&[rectangle("cuff", (100.0, 200.0), (0.0, 0.0), 2, HowCut::MirroredPair)], &[]);
    let mut cloth = cloth("100 cm", "1000 mm");
    // On the sheet at y 150..160: on the turned ply of folded cloth, 340..350 mm from the fold.
    cloth.flaws = vec![Flaw {
        what: "slub".to_owned(),
        outline: [(100.0, 150.0), (120.0, 150.0), (120.0, 160.0), (100.0, 160.0)].map(Point::from).to_vec(),
    }];
    let on = |cloth: &Cloth, y: f64| {
        looked(cloth, &parts, &[place("cuff", 1, 50.0, y)], &rules(), |laid| broken(laid, Rule::Flaws).len())
    };
    assert_eq!((on(&cloth, 200.0), on(&cloth, 150.0), on(&cloth, 400.0)), (1, 0, 0));
    cloth.plies = Plies::FoldedLengthwise { right_sides: RightSides::In };
    assert_eq!((on(&cloth, 200.0), on(&cloth, 400.0), on(&cloth, 340.0)), (0, 1, 0));
}

#[test]
fn the_grain_is_kept_within_its_tolerance() {
    let parts = parts(&[rectangle("cuff", (100.0, 200.0), (0.0, 0.0), 2, HowCut::Single)], &[]);
    let cloth = cloth("100 cm", "1000 mm");
    let off = |turn: f64, rules: &LayRules| {
        let turned = Place { turn_degrees: turn, ..place("cuff", 1, 400.0, 400.0) };
        looked(&cloth, &parts, &[turned], rules, |laid| {
            broken(laid, Rule::Grain)
                .first()
                .map(|breach| (breach.finding.severity, breach.finding.amount_mm.unwrap()))
        })
    };
    assert_eq!(off(0.5, &rules()), None);
    assert_eq!(off(180.0, &rules()), None);
    let (severity, mm) = off(3.0, &rules()).unwrap();
    assert_eq!(severity, Severity::Stop);
    assert!((mm - 200.0 * 3_f64.to_radians().sin()).abs() < 1e-9);
    let on_bias = LayRules { grain: [("cuff".into(), Grain::Bias)].into(), ..rules() };
    assert_eq!(off(45.0, &on_bias), None);
    assert_eq!(off(135.0, &on_bias), None);
    assert!(off(0.0, &on_bias).is_some());
}

#[test]
fn with_a_nap_all_pieces_stand_the_same_way_up_whichever_that_is() {
    let parts = parts(&[rectangle("cuff", (100.0, 200.0), (0.0, 0.0), 3, HowCut::Single)], &[]);
    let mut cloth = cloth("100 cm", "1000 mm");
    cloth.nap = true;
    let turned = |turns: [f64; 3]| {
        let places = [1, 2, 3].map(|copy| Place {
            turn_degrees: turns[usize::try_from(copy - 1).unwrap()],
            ..place("cuff", copy, 300.0, 150.0 + 200.0 * f64::from(copy))
        });
        looked(&cloth, &parts, &places, &rules(), |laid| {
            let said = broken(laid, Rule::Direction);
            said.iter().map(|breach| breach.copies[0].1).collect::<Vec<_>>()
        })
    };
    assert!(turned([0.0; 3]).is_empty());
    assert!(turned([180.0; 3]).is_empty());
    assert_eq!(turned([180.0, 0.0, 180.0]), [2]);
}

#[test]
fn a_single_piece_on_two_plies_would_be_cut_twice_and_once_mirrored() {
    let parts = parts(&[rectangle("yoke", (100.0, 200.0), (0.0, 0.0), 1, HowCut::Single)], &[]);
    let mut cloth = cloth("100 cm", "1000 mm");
    cloth.plies = Plies::PartFolded { folded_over: "30 cm".parse().unwrap(), right_sides: RightSides::In };
    let said = |y: f64, rule| {
        looked(&cloth, &parts, &[place("yoke", 1, 50.0, y)], &rules(), |laid| broken(laid, rule).len())
    };
    // The double part reaches 300 mm from the fold, the single part 700.
    assert_eq!((said(250.0, Rule::Copies), said(250.0, Rule::Pair)), (1, 1));
    assert_eq!((said(450.0, Rule::Copies), said(450.0, Rule::Pair)), (0, 0));
    assert_eq!((said(350.0, Rule::Plies), said(450.0, Rule::Plies)), (1, 0));
    assert_eq!((said(700.0, Rule::Inside), said(701.0, Rule::Inside)), (0, 1));
}

/// On part-folded cloth a piece lies on the fold or opened out on the single part.
#[test]
fn a_fold_piece_lies_on_the_fold_or_is_opened_out_beyond_it() {
    let parts = parts(&[rectangle("back", (150.0, 400.0), (0.0, 10.0), 1, HowCut::OnFold)], &[]);
    let mut cloth = cloth("100 cm", "1000 mm");
    cloth.plies = Plies::PartFolded { folded_over: "30 cm".parse().unwrap(), right_sides: RightSides::In };
    let said = |y: f64, rule| {
        let laid_down = Place { mirrored: true, ..place("back", 1, 50.0, y) };
        looked(&cloth, &parts, &[laid_down], &rules(), |laid| broken(laid, rule).len())
    };
    let every = |y: f64| [Rule::Fold, Rule::Plies, Rule::Inside, Rule::Copies].map(|rule| said(y, rule));
    assert_eq!(every(0.0), [0; 4], "on the fold");
    assert_eq!(every(500.0), [0; 4], "opened out from 340 to 660");
    assert_eq!(every(100.0), [1, 0, 0, 0], "beside the fold: cut in two halves");
    assert_eq!(every(200.0), [0, 1, 0, 0], "partly double");
}

/// Uneven bars, a repeat of 30 mm: their order must go on over a seam.
fn stripe() -> Vec<Bar> {
    [(10.0, 4.0, 1), (6.0, 10.0, 2)]
        .map(|(width_mm, gap_mm, shade)| Bar { width_mm, gap_mm, colour: Colour([shade; 3]) })
        .to_vec()
}

/// The seam lines decide, not the cutting lines: allowances of 10 and 25 mm are 35 mm apart when cut, and 35 is no
/// whole number of stripes.
#[test]
fn stripes_are_matched_on_the_seam_line_and_not_on_the_cutting_line() {
    let pieces = [
        rectangle("left", (200.0, 400.0), (0.0, 10.0), 1, HowCut::Single),
        rectangle("right", (200.0, 400.0), (25.0, 0.0), 1, HowCut::Single),
    ];
    let run = |piece: &str, from: &str, edge: &str| Run {
        piece: piece.into(),
        from: from.into(),
        edges: vec![edge.into()],
    };
    let seam = Seam {
        id: "middle".into(),
        sides: [run("left", "b", "right"), run("right", "a", "left")],
        ease: EaseRange::default(),
    };
    let parts = parts(&pieces, &[seam]);
    let mut cloth = cloth("140 cm", "1000 mm");
    cloth.print = Some(Print { lengthwise: Some(Bars::new(0.0, stripe())), ..Print::default() });
    let free = LayRules { centre: lay::CentreOn::Anything, ..rules() };
    // As it lies, a piece's right is the cloth's lower y: the seam line of “left” is at y − 200.
    let matched = |seams_apart: f64| {
        let places = [place("left", 1, 100.0, 1200.0), place("right", 1, 100.0, 1000.0 - seams_apart)];
        looked(&cloth, &parts, &places, &free, |laid| {
            let all = lay::matches(laid);
            assert_eq!(all.len(), 1);
            assert_eq!(all[0].order, BarOrder::Continues);
            assert_eq!(all[0].along_mm, None);
            (all[0].across_mm.unwrap(), amounts(laid, Rule::Match))
        })
    };
    let (off, said) = matched(120.0);
    assert!(off.abs() < 1e-9 && said.is_empty(), "four stripes between the seam lines");
    // Cutting lines four stripes apart: the seam lines are 120 + 35 = 155 mm apart, 5 mm from five stripes.
    let (off, said) = matched(155.0);
    assert!((off.abs() - 5.0).abs() < 1e-9 && said.len() == 1, "{off} {said:?}");
}

/// A centre back seam joins a piece to its own mirror image; it comes first of all seams, and an uneven order goes on
/// over it.
#[test]
fn a_pair_sewn_to_each_other_is_matched_once() {
    let pieces = [rectangle("back", (200.0, 400.0), (15.0, 15.0), 2, HowCut::MirroredPair)];
    let run = || Run { piece: "back".into(), from: "a".into(), edges: vec!["left".into()] };
    let seam = Seam { id: "middle".into(), sides: [run(), run()], ease: EaseRange::default() };
    let parts = parts(&pieces, &[seam]);
    let mut cloth = cloth("140 cm", "1000 mm");
    cloth.print = Some(Print {
        lengthwise: Some(Bars::new(0.0, stripe())),
        crosswise: Some(Bars::new(0.0, stripe())),
        ..Print::default()
    });
    let second = Place { mirrored: true, ..place("back", 2, 100.0, 700.0 - 32.0) };
    let places = [place("back", 1, 106.0, 400.0), second];
    looked(&cloth, &parts, &places, &rules(), |laid| {
        let [matched] = &lay::matches(laid)[..] else { panic!("one seam, once") };
        assert_eq!((matched.first.copy, matched.second.copy), (1, 2));
        assert_eq!(matched.order, BarOrder::Continues);
        // 268 mm across are nine stripes of 30 mm less 2; 6 mm along are 6.
        assert!((matched.across_mm.unwrap() - 2.0).abs() < 1e-9, "{matched:?}");
        assert!((matched.along_mm.unwrap() - 6.0).abs() < 1e-9, "{matched:?}");
        assert!(matched.failing.is_empty());
        let mut off = amounts(laid, Rule::Match);
        off.sort_by(f64::total_cmp);
        assert!((off[0] - 2.0).abs() < 1e-9 && (off[1] - 6.0).abs() < 1e-9);
    });
}
