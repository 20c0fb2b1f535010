//! The two windows on a virtual display: real keys in, light and files out.
//!
//! Needs Xvfb (the display, X.Org's) and xdotool (keys through the XTEST extension). The picture is read from the
//! display's own frame buffer (`-fbdir`), a file in the format of xwd: header, colour map, then rows of 32-bit
//! pixels (X.Org, `XWDFile.h`, version 7).

use chalkbeam::garment::Garment;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// How long a slow machine is waited for.
const PATIENCE: Duration = Duration::from_secs(40);
/// Size of the floor window on a display without a second screen: half the demo's aimed picture.
const FLOOR: (usize, usize) = (960, 540);

/// A display of its own, the program on it, and a folder with the demo's garment.
struct Stage {
    folder: TempDir,
    display: String,
    server: Child,
    program: Child,
    floor: String,
    desk: String,
}

impl Drop for Stage {
    fn drop(&mut self) {
        for child in [&mut self.program, &mut self.server] {
            drop(child.kill());
            drop(child.wait());
        }
    }
}

impl Stage {
    /// Everything set up, or `None` with a loud word where a tool is missing. On a build server (CI set) that is a
    /// failure.
    fn set() -> Option<Self> {
        for tool in ["Xvfb", "xdotool"] {
            let found =
                Command::new("sh").args(["-c", &format!("command -v {tool}")]).stdout(Stdio::null()).status();
            if !found.is_ok_and(|status| status.success()) {
                assert!(std::env::var_os("CI").is_none(), "{tool} is missing");
                say(&format!("NOT TESTED, no window was opened: {tool} is missing"));
                return None;
            }
        }
        let folder = TempDir::new().unwrap();
        for name in ["garden-coat.garment.ron", "garden-coat.pattern.ron"] {
            let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data").join(name);
            std::fs::copy(from, folder.path().join(name)).unwrap();
        }
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "2600x900x24", "-nolisten", "tcp", "-fbdir"])
            .arg(folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut number = String::new();
        BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
        let display = format!(":{}", number.trim());
        let program = Command::new(env!("CARGO_BIN_EXE_chalkbeam"))
            .arg(folder.path().join("garden-coat.garment.ron"))
            .env("DISPLAY", &display)
            .env("XDG_RUNTIME_DIR", folder.path())
            .env_remove("WAYLAND_DISPLAY")
            .spawn()
            .unwrap();
        let mut stage = Self { folder, display, server, program, floor: String::new(), desk: String::new() };
        stage.floor = stage.window("chalkbeam floor");
        stage.desk = stage.window("chalkbeam desk");
        // Side by side, so that both are seen whole; there is no window manager to argue.
        stage.xdotool(&["windowmove", &stage.floor, "0", "0"]);
        stage.xdotool(&["windowmove", &stage.desk, "1000", "0"]);
        stage.until("the floor is lit", |stage| stage.lit() > 500);
        stage.settle();
        Some(stage)
    }

    fn xdotool(&self, arguments: &[&str]) -> String {
        let output = Command::new("xdotool").args(arguments).env("DISPLAY", &self.display).output().unwrap();
        String::from_utf8(output.stdout).unwrap().trim().to_owned()
    }

    fn window(&mut self, title: &str) -> String {
        let start = Instant::now();
        loop {
            let found = self.xdotool(&["search", "--name", title]);
            if let Some(id) = found.lines().next() {
                return id.to_owned();
            }
            let ended = self.program.try_wait().unwrap();
            assert!(ended.is_none(), "the program ended by itself: {ended:?}");
            assert!(start.elapsed() < PATIENCE, "no window “{title}”");
            std::thread::sleep(Duration::from_millis(100));
        }
    }

    /// Presses keys in a window, as the keyboard does.
    fn press(&self, window: &str, keys: &[&str]) {
        self.xdotool(&["windowfocus", "--sync", window]);
        for key in keys {
            self.xdotool(&["key", "--clearmodifiers", key]);
        }
    }

    /// Pixels of the screen as red, green, blue; rows from the top.
    fn screen(&self) -> Screen {
        let bytes = std::fs::read(self.folder.path().join("Xvfb_screen0")).unwrap();
        let word =
            |index: usize| u32::from_be_bytes(bytes[4 * index..4 * index + 4].try_into().unwrap()) as usize;
        let (header, colours, row) = (word(0), word(19), word(12));
        assert_eq!((word(1), word(11)), (7, 32), "an xwd of 32-bit pixels");
        Screen { row, pixels: bytes[header + 12 * colours..].to_vec() }
    }

    /// Number of pixels of the floor that are lit.
    fn lit(&self) -> usize {
        self.screen().lit(FLOOR)
    }

    /// Waits until something holds.
    fn until(&self, what: &str, holds: impl Fn(&Self) -> bool) {
        let start = Instant::now();
        while !holds(self) {
            assert!(start.elapsed() < PATIENCE, "not within {PATIENCE:?}: {what}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Waits until the screen has been still for a second.
    fn settle(&self) {
        let start = Instant::now();
        let mut before = self.screen().pixels;
        loop {
            std::thread::sleep(Duration::from_secs(1));
            let now = self.screen().pixels;
            if now == before {
                return;
            }
            before = now;
            assert!(start.elapsed() < PATIENCE, "the screen does not come to rest");
        }
    }

    fn garment(&self) -> PathBuf {
        self.folder.path().join("garden-coat.garment.ron")
    }

    /// A mark's pick as the file has it.
    fn pick(&self, mark: usize) -> (f64, f64) {
        let garment = Garment::read(&self.garment()).unwrap();
        garment.aims[0].measured.marks[mark].picture
    }

    /// Waits until the file holds a mark's pick.
    fn until_saved(&self, mark: usize, pick: (f64, f64)) {
        let is = |found: (f64, f64)| (found.0 - pick.0).abs() < 1e-9 && (found.1 - pick.1).abs() < 1e-9;
        self.until(&format!("mark {} at {pick:?} in the file", mark + 1), |stage| is(stage.pick(mark)));
    }

    /// Processor time that the program has used, in seconds (proc(5): fields 14 and 15, in ticks of 10 ms).
    fn processor_seconds(&self) -> f64 {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.program.id())).unwrap();
        let after_name = stat.rsplit(')').next().unwrap();
        let fields: Vec<&str> = after_name.split_whitespace().collect();
        let ticks: f64 = [fields[11], fields[12]].iter().map(|field| field.parse::<f64>().unwrap()).sum();
        0.01 * ticks
    }
}

/// Past the test harness, which swallows what a passing test prints.
#[expect(clippy::explicit_write, reason = "eprintln would be swallowed")]
fn say(words: &str) {
    writeln!(std::io::stderr(), "{words}").unwrap();
}

struct Screen {
    row: usize,
    pixels: Vec<u8>,
}

impl Screen {
    fn lit(&self, (width, height): (usize, usize)) -> usize {
        let is_lit = |x: usize, y: usize| {
            let at = y * self.row + 4 * x;
            self.pixels[at..at + 3].iter().any(|channel| *channel > 40)
        };
        (0..height).map(|y| (0..width).filter(|&x| is_lit(x, y)).count()).sum()
    }
}

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
