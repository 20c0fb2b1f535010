//! How long a large layered PDF takes to become strokes, against poppler in the same run. Figures, no pass or fail.
//!
//! The goals that the figures are read against: a fifth of the time of `pdftocairo -svg`, and less memory than ten
//! times the drawing's own numbers. Run with `cargo bench --bench import`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a bench fails by panicking, and prints what it found"
)]

use chalkbeam::import::pdf::child::Reading;
use chalkbeam::import::pdf::read_pages;
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

const CURVES: usize = 200_000;
const LAYERS: usize = 10;

/// An A0 sheet of curves in ten layers, so many curves a path.
fn sheet(in_a_path: usize) -> Vec<u8> {
    let mut commands = String::new();
    let mut drawn = 0;
    for layer in 0..LAYERS {
        writeln!(commands, "/OC /L{layer} BDC 0.5 w").unwrap();
        while drawn < CURVES * (layer + 1) / LAYERS {
            let mut at = point(drawn);
            write!(commands, "{:.3} {:.3} m ", at.0, at.1).unwrap();
            for _ in 0..in_a_path {
                let (x, y) = (at.0 + 3.0, at.1 + 1.5);
                writeln!(
                    commands,
                    "{:.3} {:.3} {:.3} {:.3} {x:.3} {y:.3} c",
                    at.0 + 1.0,
                    at.1 + 2.0,
                    at.0 + 2.0,
                    at.1 - 1.0
                )
                .unwrap();
                at = (x, y);
                drawn += 1;
            }
            commands.push_str("S\n");
        }
        commands.push_str("EMC\n");
    }
    let groups: String = (0..LAYERS).map(|layer| format!("{} 0 R ", layer + 5)).collect();
    let named: String = (0..LAYERS).map(|layer| format!("/L{layer} {} 0 R ", layer + 5)).collect();
    let mut objects = vec![
        format!("<< /Type /Catalog /Pages 2 0 R /OCProperties << /OCGs [{groups}] /D << >> >> >>"),
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>".to_owned(),
        format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 2384 3370] /Resources << /Properties << {named} >> >> /Contents 4 0 R >>"
        ),
        format!("<< /Length {} >> stream\n{commands}\nendstream", commands.len()),
    ];
    objects.extend((0..LAYERS).map(|layer| format!("<< /Type /OCG /Name (Size {}) >>", 34 + 2 * layer)));
    let mut bytes = b"%PDF-1.6\n".to_vec();
    let mut places = Vec::new();
    for (object, number) in objects.iter().zip(1..) {
        places.push(bytes.len());
        bytes.extend(format!("{number} 0 obj\n{object}\nendobj\n").into_bytes());
    }
    let start = bytes.len();
    bytes.extend(format!("xref\n0 {}\n0000000000 65535 f \n", places.len() + 1).into_bytes());
    bytes.extend(places.iter().flat_map(|place| format!("{place:010} 00000 n \n").into_bytes()));
    bytes.extend(
        format!("trailer << /Size {} /Root 1 0 R >>\nstartxref\n{start}\n%%EOF\n", places.len() + 1)
            .into_bytes(),
    );
    bytes
}

fn point(index: usize) -> (f64, f64) {
    let step = |count: usize| f64::from(u32::try_from(count).unwrap());
    (10.0 + 5.0 * step(index % 440), 10.0 + 7.0 * step(index / 440))
}

/// The shortest of several runs.
fn shortest(mut run: impl FnMut()) -> Duration {
    let timed = (0..5).map(|_| {
        let begun = Instant::now();
        run();
        begun.elapsed()
    });
    timed.min().unwrap()
}

/// Most memory that the process has held so far, in MB (Linux).
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    for in_a_path in [50, 1] {
        let bytes = sheet(in_a_path);
        let megabytes = bytes.len() as f64 / 1e6;
        let before = peak_mb();
        let mut lines = 0;
        let here = shortest(|| {
            lines = 0;
            read_pages(&bytes, |page| lines += page.lines.len()).unwrap();
        });
        let memory = before.zip(peak_mb()).map(|(before, after)| after - before);
        let apart = shortest(|| {
            let program = Path::new(env!("CARGO_BIN_EXE_chalkbeam"));
            let pages = Reading::start(program, bytes.clone()).unwrap().wait().unwrap();
            assert_eq!(pages[0].lines.len(), lines);
        });
        println!(
            "{CURVES} curves, {in_a_path} a path ({megabytes:.1} MB, {lines} lines): {here:.1?} in this process (memory {} MB), {apart:.1?} by a process of its own",
            memory.map_or_else(|| "?".to_owned(), |memory| format!("{memory:.0}")),
        );
        let (from, to) = (folder.path().join("sheet.pdf"), folder.path().join("sheet.svg"));
        std::fs::write(&from, &bytes).unwrap();
        if Command::new("pdftocairo").arg("-v").output().is_err() {
            println!("pdftocairo is missing (package poppler-utils): no comparison");
            continue;
        }
        let poppler = shortest(|| {
            assert!(Command::new("pdftocairo").arg("-svg").args([&from, &to]).status().unwrap().success());
        });
        println!(
            "  pdftocairo -svg: {poppler:.1?}; that is {:.1} and {:.1} times as long",
            poppler.as_secs_f64() / here.as_secs_f64(),
            poppler.as_secs_f64() / apart.as_secs_f64()
        );
    }
}
