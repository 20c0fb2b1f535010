//! The cloth: whether bars are even, which way is up, what is wrong with it, and how it is written down.

mod even;
mod faults;
mod flaws;
mod nodes;
mod several;

use chalkbeam::cloth::{
    Bar, Bars, Cloth, Colour, Direction, FoldWay, MirrorLines, Motif, MotifWay, Plies, Print, RightSides,
    Unlike,
};
use chalkbeam::geometry::{Point, Vec2};

fn bars(list: &[(f64, f64, u8)]) -> Bars {
    let bar =
        |&(width_mm, gap_mm, shade): &(f64, f64, u8)| Bar { width_mm, gap_mm, colour: Colour([shade; 3]) };
    Bars::new(0.0, list.iter().map(bar).collect())
}

fn cloth() -> Cloth {
    let (width, length) = ("138 cm".parse().unwrap(), "260 cm".parse().unwrap());
    let mut cloth = Cloth::plain("cloth", width, length, Colour([60, 80, 70]));
    cloth.shrinkage.pre_shrunk = true;
    cloth
}

fn with_print(print: Print) -> Cloth {
    Cloth { print: Some(print), ..cloth() }
}

#[test]
fn direction_follows_from_the_print_and_is_not_asked() {
    let stripe = bars(&[(24.0, 12.0, 1), (16.0, 8.0, 2), (4.0, 32.0, 3)]);
    let motif = |way| {
        Some(Motif {
            origin: Point::ORIGIN,
            steps: [Vec2::new(70.0, 96.0), Vec2::new(0.0, 192.0)],
            way,
            mirrors: true,
        })
    };
    let direction = |print| with_print(print).direction();
    let plain = Print::default;
    assert_eq!(cloth().direction(), Direction::Free);
    let lengthwise = Some(stripe.clone());
    assert_eq!(direction(Print { lengthwise, ..plain() }), Direction::OneWay(Unlike::BarsAlong));
    let crosswise = Some(stripe);
    assert_eq!(direction(Print { crosswise, ..plain() }), Direction::OneWay(Unlike::BarsAcross));
    let (lengthwise, crosswise) = (Some(bars(&[(20.0, 76.0, 1)])), Some(bars(&[(10.0, 60.0, 1)])));
    assert_eq!(direction(Print { lengthwise, crosswise, ..plain() }), Direction::Free);
    for (way, expected) in [
        (MotifWay::OneWay, Direction::Top),
        (MotifWay::TwoWay, Direction::Free),
        (MotifWay::NoWay, Direction::Free),
    ] {
        let motif = motif(way);
        assert_eq!(direction(Print { motif, ..plain() }), expected);
    }
}

#[test]
fn where_a_fold_may_lie_is_in_millimetres() {
    let print = Print { lengthwise: Some(bars(&[(24.0, 72.0, 1)])), ..Print::default() };
    let mut folded = with_print(print);
    folded.plies = Plies::FoldedLengthwise { right_sides: RightSides::In };
    let MirrorLines::At(lines) = folded.mirror_lines(FoldWay::Lengthwise) else {
        panic!("an even stripe folds")
    };
    assert!(lines.contains(&12.0) && lines.contains(&60.0) && lines.contains(&684.0));
    // The fold at 690 mm lies 6 mm from the middle of a bar: the plies are 12 mm apart.
    let (way, error) = folded.fold_phase_error_mm().unwrap();
    assert_eq!(way, FoldWay::Lengthwise);
    assert!((error - 12.0).abs() < 1e-9, "{error}");
}

const WRITTEN: &str = r##"(
    name: "check",
    width: "138 cm",
    between_selvedges: "142 cm",
    length: "260 cm",
    colour: "#2f4a3f",
    plies: PartFolded(folded_over: "40 cm", right_sides: In),
    nap: true,
    print: (
        lengthwise: (start_mm: 6.0, bars: [(width_mm: 20.0, gap_mm: 30.0, colour: "#16261f")], repeat: "50.4 mm"),
        motif: (origin: (1.0, 2.0), steps: ((70.0, 96.0), (0.0, 192.0)), way: TwoWay),
        angle_degrees: 1.5,
    ),
    shrinkage: (along_percent: 4.0, across_percent: 1.0, pre_shrunk: true),
    shear: (off: "1/2 in", over: "55 in"),
    flaws: [(what: "stain", outline: [(10.0, 10.0), (40.0, 10.0), (40.0, 30.0)])],
    cost_per_metre: (amount: 18.5, currency: "EUR"),
)"##;

#[test]
fn a_cloth_is_written_as_a_person_would_and_keeps_its_units() {
    let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    let cloth: Cloth = options.from_str(WRITTEN).unwrap();
    assert_eq!(cloth.length.to_string(), "260 cm");
    assert_eq!(cloth.shear.as_ref().unwrap().off.to_string(), "1/2 in");
    assert!((cloth.print.as_ref().unwrap().lengthwise.as_ref().unwrap().period_mm() - 50.4).abs() < 1e-12);
    let text = options.to_string(&cloth).unwrap();
    assert_eq!(options.from_str::<Cloth>(&text).unwrap(), cloth);
    let misspelt = WRITTEN.replace("nap: true", "napp: true");
    let refused = options.from_str::<Cloth>(&misspelt).unwrap_err().to_string();
    assert!(refused.contains("napp"), "{refused}");
}
