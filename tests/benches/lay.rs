//! How dense a lay gets in how much time.
//!
//! `cargo bench --bench lay` lays a garment of our own and times the rules under a hand that drags a piece;
//! `cargo bench --bench lay -- FOLDER [SECONDS [SEED]]` lays every JSON file of a folder (name, width, items with
//! points, copies and turns_degrees).

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a bench prints, and fails by panicking")]

#[path = "../job/lay_search/pieces.rs"]
#[allow(dead_code, reason = "the job's tests use the rest")]
mod pieces;
#[path = "../job/lay_search/twelve.rs"]
mod twelve;

use chalkbeam::finding::Severity;
use chalkbeam::garment::{Command, GestureId, LayProblem};
use chalkbeam::geometry::{Affine, Point};
use chalkbeam::lay;
use chalkbeam::lay::search::{Clearance, Engine, Item, Outcome, Pose, Problem, Settings, check, search};
use chalkbeam::pattern::ClothKind;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

/// Seconds at which the density is read off.
const MARKS: [f64; 5] = [0.3, 1.0, 5.0, 10.0, 60.0];

fn main() {
    // Cargo adds `--bench` of its own.
    let arguments: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with("--")).collect();
    let seconds: f64 = arguments.get(1).map_or(5.0, |text| text.parse().unwrap());
    let seed: u64 = arguments.get(2).map_or(1, |text| text.parse().unwrap());
    let problems = match arguments.first() {
        Some(folder) => read(Path::new(folder)),
        None => vec![("own".to_owned(), own())],
    };
    if arguments.is_empty() {
        drag();
        coat();
        fold();
        lattice();
        engines();
        row("40 on a plaid", &pieces::wardrobe_on_a_plaid(), 10.0, 1);
        for (count, turns) in [(40, 2), (100, 4), (300, 2), (300, 4)] {
            row(&format!("{count}, {turns} turns"), &pieces::all_different(count, turns), 3.0, 1);
        }
    }
    for (name, problem) in problems {
        row(&name, &problem, seconds, seed);
    }
}

/// Lays a problem for so long and prints how dense it is at the marks.
fn row(name: &str, problem: &Problem, seconds: f64, seed: u64) {
    let (outcome, seen, took) = found(problem, seconds, seed);
    print!("{name:15} first after {:.3} s", seen[0].0);
    for mark in MARKS.into_iter().filter(|mark| *mark <= seconds) {
        let until = seen.iter().filter(|(at, _)| *at <= mark);
        let density = until.map(|(_, outcome)| outcome.density).fold(0.0, f64::max);
        print!("   {mark} s {:.2} %", 100.0 * density);
    }
    println!("   used {:.1}, at least {:.1}, ended after {took:.2} s", outcome.used_mm, outcome.bound.mm);
}

/// The lay found in so many seconds, every better one with its time, and how long it really took; every one checked.
fn found(problem: &Problem, seconds: f64, seed: u64) -> (Outcome, Vec<(f64, Outcome)>, f64) {
    let (begun, seen) = (Instant::now(), Mutex::new(Vec::new()));
    let settings = Settings::seconds(seconds, seed);
    let outcome = search(problem, &settings, &AtomicBool::new(false), &|outcome| {
        seen.lock().unwrap().push((begun.elapsed().as_secs_f64(), outcome.clone()));
    });
    let (outcome, took) = (outcome.unwrap(), begun.elapsed().as_secs_f64());
    assert_eq!(check(problem, &outcome.places), vec![]);
    (outcome, seen.into_inner().unwrap(), took)
}

/// The coat on its striped cloth: from the garment to the first lay that no rule finds fault with.
fn coat() {
    let open = chalkbeam::demo::garden_coat().unwrap();
    let (plan, parts) = (open.plan(), &open.evaluated().parts);
    let cloth = &plan.cloths[&ClothKind::Cloth];
    let begun = Instant::now();
    let made = LayProblem::of(cloth, parts, &plan.lay_rules, &[]).unwrap();
    let ready = begun.elapsed().as_secs_f64();
    let (outcome, seen, _) = found(&made.problem, 2.0, 1);
    let first = seen.iter().find(|(_, outcome)| {
        let places = made.places(outcome);
        let findings = lay::check(&lay::Laid { cloth, parts, places: &places, rules: &plan.lay_rules });
        findings.iter().all(|finding| finding.severity == Severity::Note)
    });
    let first = first.map(|(at, _)| ready + at);
    println!(
        "coat: the problem after {ready:.3} s, every rule kept after {first:.3?} s, {:.1} mm at 2 s",
        outcome.used_mm
    );
}

/// Mostly pieces on the fold: when the lay comes within half a per cent of the shortest sequence.
fn fold() {
    let (outcome, seen, _) = found(&pieces::blouse_on_the_fold(), 5.0, 1);
    let near = seen.iter().find(|(_, outcome)| outcome.used_mm <= 1.005 * outcome.bound.mm);
    println!(
        "fold: {:.5} of the bound by {}, 1.005 after {:.3?} s",
        outcome.used_mm / outcome.bound.mm,
        outcome.bound.kind.words(),
        near.map(|(at, _)| at)
    );
}

/// One piece of a lay asked for at many places: how many answers a second each engine gives, and the exact outlines.
fn engines() {
    let problem = pieces::wardrobe_on_a_plaid();
    let (outcome, _, _) = found(&problem, 1.0, 1);
    let lifted = outcome.places.iter().position(|place| place.item == 2).unwrap();
    let mut clearance = Clearance::new(&problem, &outcome.places, lifted).unwrap();
    let golden = |n: u32, by: f64| (f64::from(n) * by).fract();
    let asked: Vec<Point> = (0..40_000)
        .map(|n| Point::new(outcome.used_mm * golden(n, 0.618_034), problem.width * golden(n, 0.754_878)))
        .collect();
    let outlines: Vec<lay::Outline> =
        outcome.places.iter().map(|place| lay::Outline::new(place.outline(&problem))).collect();
    let moving = lay::Outline::new(problem.items[2].outline.clone());
    let by_outlines = |at: &Point| {
        let moved = moving.moved(Affine::translate(at.to_vec2()));
        !outlines.iter().enumerate().any(|(n, other)| n != lifted && moved.overlap(other).is_some())
    };
    let rate = |what: &str, is_clear: &mut dyn FnMut(&Point) -> bool| {
        let begun = Instant::now();
        let clear = asked.iter().filter(|at| is_clear(at)).count();
        let rate = 1e-3 * asked.len() as f64 / begun.elapsed().as_secs_f64();
        println!("engines: {what}: {rate:.0} thousand places a second, {clear} of {} clear", asked.len());
    };
    rate("depth fields", &mut |at| clearance.is_clear(Engine::Fields, 0, *at));
    rate("jagua-rs's quadtree", &mut |at| clearance.is_clear(Engine::Quadtree, 0, *at));
    rate("outlines, exactly", &mut |at| by_outlines(at));
}

/// Twelve small problems on a lattice: which are proved by the search itself, and when.
fn lattice() {
    let mut proved = 0;
    for n in 0..12 {
        let (outcome, seen, took) = found(&twelve::instance(n), 10.0, 1);
        proved += usize::from(outcome.proved);
        let (last, _) = seen.last().unwrap();
        println!("lattice {n:2}: {:.1} mm after {last:.2} s, search over after {took:.2} s", outcome.used_mm);
    }
    println!("lattice: {proved} of 12 counted out within 10 s");
}

/// A back of the coat dragged over its striped cloth, step by step: what the rules take to look at it again.
fn drag() {
    let mut open = chalkbeam::demo::garden_coat().unwrap();
    let index = open.plan().lay.iter().position(|place| place.piece.as_str() == "back").unwrap();
    let (mut place, mut all, mut whole, mut snap) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for step in 0..200 {
        let mut moved = open.plan().lay[index].clone();
        moved.at.x += if step % 2 == 0 { 3.7 } else { -3.7 };
        let laid = open.evaluated().laid(open.plan()).unwrap();
        snap.push(timed(|| lay::snapped(&moved, &laid)));
        place.push(timed(|| lay::check_place(&laid, index)));
        all.push(timed(|| lay::check(&laid)));
        whole.push(timed(|| open.perform(&Command::SetPlace(moved.clone()), Some(GestureId(1)))));
    }
    for (what, times) in [
        ("the piece in hand looked at by every rule", place),
        ("the whole lay looked at", all),
        ("where it snaps to", snap),
        ("the whole change, with every check of the garment", whole),
    ] {
        let mut times = times;
        times.sort_by(f64::total_cmp);
        println!(
            "drag: {what}: {:.2} ms in the middle, {:.2} ms at worst of {}",
            times[times.len() / 2],
            times[times.len() - 1],
            times.len()
        );
    }
}

/// How long something takes, in ms.
fn timed<T>(what: impl FnOnce() -> T) -> f64 {
    let begun = Instant::now();
    let _kept = std::hint::black_box(what());
    1000.0 * begun.elapsed().as_secs_f64()
}

fn read(folder: &Path) -> Vec<(String, Problem)> {
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "json"));
    paths.sort();
    let problem = |path: &Path| {
        let file: serde_json::Value = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
        let items = file["items"].as_array().unwrap().iter().map(|item| {
            let number = |value: &serde_json::Value| value.as_f64().unwrap();
            let points = item["points"].as_array().unwrap().iter();
            let turns = item["turns_degrees"].as_array().unwrap().iter();
            Item {
                name: String::new(),
                outline: points.map(|p| Point::new(number(&p[0]), number(&p[1]))).collect(),
                copies: usize::try_from(item["copies"].as_u64().unwrap()).unwrap(),
                poses: turns.map(|turn| Pose::turned(number(turn).to_radians())).collect(),
                fold_level: None,
                repeat: None,
                pinned: None,
                band: None,
                over_flaws: false,
            }
        });
        let problem =
            Problem { width: file["width"].as_f64().unwrap(), items: items.collect(), ..Problem::default() };
        (file["name"].as_str().unwrap().to_owned(), problem)
    };
    paths.iter().map(|path| problem(path)).collect()
}

/// A jacket of our own, four times.
fn own() -> Problem {
    let shapes: [(&[(f64, f64)], usize); 4] = [
        (
            &[
                (0.0, 0.0),
                (640.0, 0.0),
                (700.0, 90.0),
                (690.0, 210.0),
                (560.0, 190.0),
                (430.0, 260.0),
                (0.0, 280.0),
            ],
            8,
        ),
        (
            &[
                (0.0, 30.0),
                (430.0, 0.0),
                (520.0, 90.0),
                (560.0, 170.0),
                (520.0, 250.0),
                (430.0, 340.0),
                (0.0, 310.0),
            ],
            8,
        ),
        (&[(0.0, 0.0), (230.0, 0.0), (260.0, 60.0), (200.0, 80.0), (0.0, 80.0)], 8),
        (&[(0.0, 0.0), (180.0, 0.0), (180.0, 160.0), (90.0, 190.0), (0.0, 160.0)], 8),
    ];
    let items = shapes.iter().map(|(points, copies)| Item {
        name: String::new(),
        outline: points.iter().copied().map(Point::from).collect(),
        copies: *copies,
        poses: vec![Pose::turned(0.0), Pose::turned(std::f64::consts::PI)],
        fold_level: None,
        repeat: None,
        pinned: None,
        band: None,
        over_flaws: false,
    });
    Problem { width: 1400.0, items: items.collect(), ..Problem::default() }
}
