//! How long the main job takes, on the garden coat and on a thousand pieces. Figures, no pass or fail.
//!
//! The goals that the figures are read against: an edit re-evaluated in 1 ms, twenty alterations replayed in 2 ms, the floor's scene tessellated in
//! 2 ms, time and memory growing with the number of pieces and no faster.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a bench fails by panicking, and prints what it found"
)]

mod twenty;

use chalkbeam::alter::{AlterationId, Hem, Pieces, Record, replay};
use chalkbeam::demo::garden_coat;
use chalkbeam::floor::{FloorMemory, FloorView, floor_scene, floor_throw, lamp_of};
use chalkbeam::garment::{Command, Evaluated, Garment, OpenGarment, Plan};
use chalkbeam::light::{Depth, Device, Drawing, Renderer, Studio, Uploaded};
use chalkbeam::pattern::Pattern;
use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use std::hint::black_box;
use std::sync::Arc;
use std::time::Duration;

const FULL_HD: (u32, u32) = (1920, 1080);
const FOUR_K: (u32, u32) = (3840, 2160);

/// The coat's pieces over and over, under names of their own, each copy laid; alterations that change no mates.
fn many_pieces(count: usize) -> Garment {
    let coat = garden_coat().unwrap().garment().clone();
    let pieces = coat.pattern.pieces.iter().cycle().take(count);
    let renamed = pieces.enumerate().map(|(index, piece)| {
        let mut piece = piece.clone();
        piece.id = format!("{} {index}", piece.id).as_str().into();
        for drawn in &mut piece.by_size {
            Arc::make_mut(drawn).id = piece.id.clone();
        }
        piece
    });
    let pattern = Pattern { pieces: renamed.collect(), seams: Vec::new(), ..coat.pattern.as_ref().clone() };
    let lay = pattern.pieces.iter().zip(0_u32..).map(|(piece, index)| {
        let mut place = coat.plan.lay[0].clone();
        place.piece = piece.id.clone();
        place.at += apart(index);
        place
    });
    let keeps = |known: &&chalkbeam::alter::Alteration| !matches!(known.record, Record::Blend(_));
    let plan = Plan {
        lay: lay.collect(),
        alterations: coat.plan.alterations.iter().filter(keeps).cloned().collect(),
        ..coat.plan.as_ref().clone()
    };
    Garment { pattern: Arc::new(pattern), plan: Arc::new(plan), ..coat }
}

/// Places side by side, wide enough apart that no copy lies on another.
fn apart(index: u32) -> chalkbeam::geometry::Vec2 {
    chalkbeam::geometry::Vec2::new(1500.0 * f64::from(index % 32), 1500.0 * f64::from(index / 32))
}

/// Most memory that the process has held so far, in MB (Linux).
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}

fn edits(criterion: &mut Criterion) {
    let mut open = garden_coat().unwrap();
    let mut longer = false;
    criterion.bench_function("re-evaluate the coat after an edit", |bencher| {
        bencher.iter(|| {
            longer = !longer;
            let hem = Hem::parallel(Pieces::All, if longer { "-80 mm" } else { "-81 mm" }.parse().unwrap());
            let command = Command::ChangeAlteration(AlterationId(2), Record::Hem(hem));
            open.perform(&command, None).unwrap();
        });
    });
}

fn replays(criterion: &mut Criterion) {
    let garment = garden_coat().unwrap().garment().clone();
    let mut group = criterion.benchmark_group("replay twenty alterations");
    for (name, blend_at) in [("the blend first", 0), ("the blend in the middle", 10), ("the blend last", 19)]
    {
        let list = twenty::twenty(blend_at);
        group.bench_function(name, |bencher| {
            bencher.iter(|| replay(&garment.pattern, &garment.plan.size, black_box(&list)));
        });
    }
    group.finish();
}

fn scenes(criterion: &mut Criterion) {
    let (open, view) = (garden_coat().unwrap(), FloorView::default());
    criterion.bench_function("build the floor's scene", |bencher| {
        bencher.iter(|| floor_scene(black_box(&open), &view, FULL_HD));
    });
    let (scene, lamp) = (floor_scene(&open, &view, FULL_HD), lamp_of(&open));
    criterion.bench_function("tessellate the floor's scene", |bencher| {
        bencher.iter(|| Drawing::new(black_box(&scene), &lamp));
    });
}

fn frames(criterion: &mut Criterion) {
    let device = match Device::headless() {
        Ok(device) => device,
        Err(error) => {
            println!("no frame was timed: {error}");
            return;
        }
    };
    println!("frames by {}", device.describe());
    let (open, view) = (garden_coat().unwrap(), FloorView::default());
    let lamp = lamp_of(&open);
    let mut group = criterion.benchmark_group("frame");
    group.sample_size(20);
    for (name, size) in [("1080p", FULL_HD), ("4K", FOUR_K)] {
        let scene = floor_scene(&open, &view, size);
        let map = floor_throw(&open, size).unwrap();
        let uploaded = Uploaded::new(&device, Drawing::new(&scene, &lamp));
        let format = Depth::Srgb8.format();
        let renderer = Renderer::new(&device, format);
        let target = target(&device, size, format);
        let size = [size.0, size.1];
        group.bench_function(BenchmarkId::new("drawn", name), |bencher| {
            bencher.iter(|| {
                renderer.draw(&device, &target, size, map, lamp.background, &[&uploaded]);
                device.device.poll(wgpu::PollType::wait_indefinitely()).unwrap();
            });
        });
        let studio = Studio::new(&device, Depth::Srgb8);
        group.bench_function(BenchmarkId::new("drawn and read back", name), |bencher| {
            bencher.iter(|| studio.take(size, map, lamp.background, &[&uploaded]).unwrap());
        });
    }
    for (name, size) in [("720p", (1280, 720)), ("4K", FOUR_K)] {
        let id = BenchmarkId::new("from a nudge to the frame", name);
        group.bench_function(id, |bencher| nudged_frame(bencher, &device, size));
    }
    group.finish();
}

/// What happens between an arrow key and the light: the aim solved anew, the scene, the frame drawn. The goal is one
/// refresh of a projector, 16.7 ms; at 4K on a graphics card 2 ms.
fn nudged_frame(bencher: &mut criterion::Bencher<'_>, device: &Device, size: (u32, u32)) {
    let (mut open, mut view) = (garden_coat().unwrap(), FloorView::default());
    view.toggle_aiming();
    let (lamp, format) = (lamp_of(&open), Depth::Srgb8.format());
    let renderer = Renderer::new(device, format);
    let target = target(device, size, format);
    let mut memory = FloorMemory::default();
    let cloth = Uploaded::new(device, Drawing::new(&memory.scene(&open, &view, size).cloth, &lamp));
    let mut right = false;
    bencher.iter(|| {
        right = !right;
        let by_px = (if right { 1.0 } else { -1.0 }, 0.0);
        open.perform(&Command::NudgeMark { mark: 0, by_px }, None).unwrap();
        let scene = memory.scene(&open, &view, size);
        let aimed = Uploaded::new(device, Drawing::new(&scene.aimed, &lamp));
        let map = floor_throw(&open, size).unwrap();
        renderer.draw(device, &target, [size.0, size.1], map, lamp.background, &[&cloth, &aimed]);
        device.device.poll(wgpu::PollType::wait_indefinitely()).unwrap();
    });
}

fn target(device: &Device, (width, height): (u32, u32), format: wgpu::TextureFormat) -> wgpu::TextureView {
    let texture = device.device.create_texture(&wgpu::TextureDescriptor {
        label: Some("frame"),
        size: wgpu::Extent3d { width, height, depth_or_array_layers: 1 },
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format,
        usage: wgpu::TextureUsages::RENDER_ATTACHMENT,
        view_formats: &[],
    });
    texture.create_view(&wgpu::TextureViewDescriptor::default())
}

fn first_frame(criterion: &mut Criterion) {
    let folder = tempfile::tempdir().unwrap();
    let garment = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/garden-coat.garment.ron");
    let mut group = criterion.benchmark_group("process");
    group.sample_size(10);
    group.bench_function("from start to the first frame on disk", |bencher| {
        bencher.iter(|| {
            let done = std::process::Command::new(env!("CARGO_BIN_EXE_chalkbeam"))
                .args(["still", garment, "--out", "frame.png"])
                .current_dir(folder.path())
                .output()
                .unwrap();
            assert!(done.status.success());
        });
    });
    group.finish();
}

fn thousand(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("many pieces");
    group.sample_size(10).measurement_time(Duration::from_secs(5));
    for count in [10, 100, 1000] {
        let garment = many_pieces(count);
        group.throughput(Throughput::Elements(count as u64));
        group.bench_function(BenchmarkId::new("evaluate", count), |bencher| {
            bencher.iter(|| Evaluated::of(black_box(&garment)));
        });
        let open = OpenGarment::new(garment, None);
        let view = FloorView::default();
        group.bench_function(BenchmarkId::new("scene", count), |bencher| {
            bencher.iter(|| floor_scene(black_box(&open), &view, FULL_HD));
        });
        let (scene, lamp) = (floor_scene(&open, &view, FULL_HD), lamp_of(&open));
        group.bench_function(BenchmarkId::new("tessellate", count), |bencher| {
            bencher.iter(|| Drawing::new(black_box(&scene), &lamp));
        });
        if let Some(peak) = peak_mb() {
            println!("most memory held so far, with {count} pieces: {peak:.0} MB");
        }
    }
    group.finish();
}

criterion_group!(benches, thousand, edits, replays, scenes, frames, first_frame);
criterion_main!(benches);
