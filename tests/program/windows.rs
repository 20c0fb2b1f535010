//! The two windows on a virtual display: real keys in, light and files out.

use super::stage::{PATIENCE, Stage};
use std::time::{Duration, Instant};

#[test]
fn arrows_move_the_mark_by_1_10_and_a_tenth_px_and_the_file_follows() {
    let Some(stage) = Stage::set() else { return };
    let (first, second) = (stage.pick(0), stage.pick(1));
    // Unlit marks stay where they are.
    stage.press(&stage.floor, &["Right"]);
    stage.press(&stage.floor, &["m", "Right"]);
    stage.until_saved(0, (first.0 + 1.0, first.1));
    stage.press(&stage.floor, &["shift+Down"]);
    stage.until_saved(0, (first.0 + 1.0, first.1 + 10.0));
    stage.press(&stage.floor, &["ctrl+Left"]);
    stage.until_saved(0, (first.0 + 0.9, first.1 + 10.0));
    // Tab goes on to the next mark, Shift and Tab back; at the desk too.
    stage.press(&stage.floor, &["Tab", "Up"]);
    stage.until_saved(1, (second.0, second.1 - 1.0));
    stage.press(&stage.desk, &["shift+Tab", "Up"]);
    stage.until_saved(0, (first.0 + 0.9, first.1 + 9.0));
    stage.press(&stage.desk, &["Tab", "Down"]);
    stage.until_saved(1, second);
}

#[test]
fn space_leaves_the_cutting_lines_and_escape_nothing() {
    let Some(stage) = Stage::set() else { return };
    let all = stage.lit();
    stage.press(&stage.floor, &["space"]);
    stage.until("fewer lines", |stage| stage.lit() < all / 2);
    stage.settle();
    let cutting_lines = stage.lit();
    assert!(cutting_lines > 300, "{cutting_lines} px of cutting lines");
    stage.press(&stage.floor, &["Escape"]);
    stage.until("darkness", |stage| stage.lit() == 0);
    stage.press(&stage.desk, &["Escape"]);
    stage.until("the cutting lines again", |stage| stage.lit() == cutting_lines);
    stage.press(&stage.desk, &["space"]);
    stage.until("everything again", |stage| stage.lit() == all);
}

#[test]
fn a_floor_window_that_the_system_takes_away_is_opened_again() {
    let Some(mut stage) = Stage::set() else { return };
    let before = stage.floor.clone();
    // Not the close button, which asks: the window is destroyed, as when its screen is unplugged.
    stage.xdotool(&["windowclose", &before]);
    stage.until("another floor window", |stage| {
        let found = stage.xdotool(&["search", "--name", "chalkbeam floor"]);
        !found.is_empty() && found != before
    });
    stage.floor = stage.window("chalkbeam floor");
    stage.xdotool(&["windowmove", &stage.floor, "0", "0"]);
    stage.until("the floor is lit again", |stage| stage.lit() > 500);
    stage.settle();
    // Its keys are heard, and nothing was lost.
    let lit = stage.lit();
    stage.press(&stage.floor, &["space"]);
    stage.until("only cutting lines", |stage| stage.lit() < lit / 2);
}

#[test]
fn nothing_is_done_while_nothing_happens() {
    /// Share of one processor that a program at rest may use.
    const MOST: f64 = 0.02;
    let Some(stage) = Stage::set() else { return };
    let before = stage.processor_seconds();
    let picture = stage.screen().pixels;
    let start = Instant::now();
    std::thread::sleep(Duration::from_secs(5));
    let share = (stage.processor_seconds() - before) / start.elapsed().as_secs_f64();
    assert!(share < MOST, "{:.1} % of a processor at rest", 100.0 * share);
    assert!(stage.screen().pixels == picture, "nothing was drawn");
    // And yet it is awake.
    stage.press(&stage.floor, &["s"]);
    stage.until("the seam lines are gone", |stage| stage.screen().pixels != picture);
}

#[test]
fn leaving_by_key_saves_what_was_done() {
    let Some(mut stage) = Stage::set() else { return };
    let first = stage.pick(0);
    // At once, long before the garment would be saved by itself.
    stage.press(&stage.desk, &["m", "Right", "ctrl+q"]);
    let start = Instant::now();
    let status = loop {
        if let Some(status) = stage.program.try_wait().unwrap() {
            break status;
        }
        assert!(start.elapsed() < PATIENCE, "it does not end");
        std::thread::sleep(Duration::from_millis(50));
    };
    assert!(status.success(), "{status}");
    assert!((stage.pick(0).0 - first.0 - 1.0).abs() < 1e-9);
}
