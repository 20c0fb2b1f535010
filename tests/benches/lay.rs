//! How dense a lay gets in how much time.
//!
//! `cargo bench --bench lay` lays a garment of our own and times the rules under a hand that drags a piece;
//! `cargo bench --bench lay -- FOLDER [SECONDS [SEED]]` lays every JSON file of a folder (name, width, items with
//! points, copies and turns_degrees).

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a bench prints, and fails by panicking")]

use chalkbeam::garment::{Command, GestureId};
use chalkbeam::geometry::Point;
use chalkbeam::lay;
use chalkbeam::lay::search::{Item, Pose, Problem, Settings, check, search};
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
    }
    for (name, problem) in problems {
        let (begun, seen) = (Instant::now(), Mutex::new(Vec::new()));
        let settings = Settings::seconds(seconds, seed);
        let outcome = search(&problem, &settings, &AtomicBool::new(false), &|outcome| {
            seen.lock().unwrap().push((begun.elapsed().as_secs_f64(), outcome.density));
        });
        let outcome = outcome.unwrap();
        assert_eq!(check(&problem, &outcome.places), vec![]);
        let seen = seen.into_inner().unwrap();
        print!("{name:12} first after {:.3} s", seen[0].0);
        for mark in MARKS.into_iter().filter(|mark| *mark <= seconds) {
            let until = seen.iter().filter(|(at, _)| *at <= mark);
            let density = until.map(|(_, density)| *density).fold(0.0, f64::max);
            print!("   {mark} s {:.2} %", 100.0 * density);
        }
        println!("   used {:.1}, at least {:.1}", outcome.used_mm, outcome.bound.mm);
    }
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
    });
    Problem { width: 1400.0, items: items.collect(), ..Problem::default() }
}
