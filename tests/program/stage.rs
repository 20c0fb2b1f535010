//! A virtual display with the program on it.
//!
//! Needs Xvfb (the display, X.Org's) and xdotool (keys through the XTEST extension). The picture is read from the
//! display's own frame buffer (`-fbdir`), a file in the format of xwd: header, colour map, then rows of 32-bit
//! pixels (X.Org, `XWDFile.h`, version 7).

use super::say;
use chalkbeam::garment::Garment;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// How long a slow machine is waited for.
pub(super) const PATIENCE: Duration = Duration::from_secs(40);
/// Size of the floor window on a display without a second screen: half the demo's aimed picture.
const FLOOR: (usize, usize) = (960, 540);

/// A display of its own, the program on it, and a folder with the demo's garment.
pub(super) struct Stage {
    folder: TempDir,
    display: String,
    server: Child,
    pub(super) program: Child,
    pub(super) floor: String,
    pub(super) desk: String,
}

/// Whether all these tools are there; a loud word where one isn't. On a build server (CI set) that is a failure.
pub(super) fn has_tools(tools: &[&str]) -> bool {
    tools.iter().all(|tool| {
        let found =
            Command::new("sh").args(["-c", &format!("command -v {tool}")]).stdout(Stdio::null()).status();
        let is_there = found.is_ok_and(|status| status.success());
        if !is_there {
            assert!(std::env::var_os("CI").is_none(), "{tool} is missing");
            say(&format!("NOT TESTED, no window was opened: {tool} is missing"));
        }
        is_there
    })
}

/// A folder of its own with the demo's garment.
pub(super) fn demo_folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    for name in ["garden-coat.garment.ron", "garden-coat.pattern.ron"] {
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data").join(name);
        std::fs::copy(from, folder.path().join(name)).unwrap();
    }
    folder
}

/// The program on a display, with the garment of a folder.
pub(super) fn begin(folder: &Path, display: &str) -> Child {
    Command::new(env!("CARGO_BIN_EXE_chalkbeam"))
        .arg(folder.join("garden-coat.garment.ron"))
        .env("DISPLAY", display)
        .env("XDG_RUNTIME_DIR", folder)
        .env("XDG_CONFIG_HOME", folder)
        .env_remove("WAYLAND_DISPLAY")
        .spawn()
        .unwrap()
}

impl Drop for Stage {
    fn drop(&mut self) {
        for child in [&mut self.program, &mut self.server] {
            drop(child.kill());
            drop(child.wait());
        }
    }
}

/// The display of a server that tells its number (`-displayfd 1`).
pub(super) fn display_of(server: &mut Child) -> String {
    let mut number = String::new();
    BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
    format!(":{}", number.trim())
}

impl Stage {
    /// Everything set up, or `None` with a loud word where a tool is missing. On a build server (CI set) that is a
    /// failure.
    pub(super) fn set() -> Option<Self> {
        if !has_tools(&["Xvfb", "xdotool"]) {
            return None;
        }
        let folder = demo_folder();
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "2600x900x24", "-nolisten", "tcp", "-fbdir"])
            .arg(folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let display = display_of(&mut server);
        let program = begin(folder.path(), &display);
        let mut stage = Self { folder, display, server, program, floor: String::new(), desk: String::new() };
        stage.find_windows();
        Some(stage)
    }

    fn find_windows(&mut self) {
        self.floor = self.window("chalkbeam floor");
        self.desk = self.window("chalkbeam desk");
        // Side by side, so that both are seen whole; there is no window manager to argue.
        self.xdotool(&["windowmove", &self.floor, "0", "0"]);
        self.xdotool(&["windowmove", &self.desk, "1000", "0"]);
        self.until("the floor is lit", |stage| stage.lit() > 500);
        self.settle();
    }

    /// The power is cut, and the program begun again.
    pub(super) fn cut_the_power(&mut self) {
        self.program.kill().unwrap();
        self.program.wait().unwrap();
        self.until("darkness", |stage| stage.xdotool(&["search", "--name", "chalkbeam floor"]).is_empty());
        self.program = begin(self.folder.path(), &self.display);
        self.find_windows();
    }

    /// The garment as its file has it.
    pub(super) fn saved(&self) -> Garment {
        Garment::read(&self.garment()).unwrap()
    }

    pub(super) fn xdotool(&self, arguments: &[&str]) -> String {
        let output = Command::new("xdotool").args(arguments).env("DISPLAY", &self.display).output().unwrap();
        String::from_utf8(output.stdout).unwrap().trim().to_owned()
    }

    pub(super) fn window(&mut self, title: &str) -> String {
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
    pub(super) fn press(&self, window: &str, keys: &[&str]) {
        self.xdotool(&["windowfocus", "--sync", window]);
        for key in keys {
            self.xdotool(&["key", "--clearmodifiers", key]);
        }
    }

    /// Pixels of the screen as red, green, blue; rows from the top.
    pub(super) fn screen(&self) -> Screen {
        let bytes = std::fs::read(self.folder.path().join("Xvfb_screen0")).unwrap();
        let word =
            |index: usize| u32::from_be_bytes(bytes[4 * index..4 * index + 4].try_into().unwrap()) as usize;
        let (header, colours, row) = (word(0), word(19), word(12));
        assert_eq!((word(1), word(11)), (7, 32), "an xwd of 32-bit pixels");
        Screen { row, pixels: bytes[header + 12 * colours..].to_vec() }
    }

    /// Number of pixels of the floor that are lit.
    pub(super) fn lit(&self) -> usize {
        self.screen().lit(FLOOR)
    }

    /// Waits until something holds.
    pub(super) fn until(&self, what: &str, holds: impl Fn(&Self) -> bool) {
        let start = Instant::now();
        while !holds(self) {
            assert!(start.elapsed() < PATIENCE, "not within {PATIENCE:?}: {what}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Waits until the screen has been still for a second.
    pub(super) fn settle(&self) {
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

    pub(super) fn garment(&self) -> PathBuf {
        self.folder.path().join("garden-coat.garment.ron")
    }

    /// A mark's pick as the file has it.
    pub(super) fn pick(&self, mark: usize) -> (f64, f64) {
        self.saved().aims[0].measured.marks[mark].picture
    }

    /// Waits until the file holds a mark's pick.
    pub(super) fn until_saved(&self, mark: usize, pick: (f64, f64)) {
        let is = |found: (f64, f64)| (found.0 - pick.0).abs() < 1e-9 && (found.1 - pick.1).abs() < 1e-9;
        self.until(&format!("mark {} at {pick:?} in the file", mark + 1), |stage| is(stage.pick(mark)));
    }

    /// Processor time that the program has used, in seconds (proc(5): fields 14 and 15, in ticks of 10 ms).
    pub(super) fn processor_seconds(&self) -> f64 {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.program.id())).unwrap();
        let after_name = stat.rsplit(')').next().unwrap();
        let fields: Vec<&str> = after_name.split_whitespace().collect();
        let ticks: f64 = [fields[11], fields[12]].iter().map(|field| field.parse::<f64>().unwrap()).sum();
        0.01 * ticks
    }
}

pub(super) struct Screen {
    row: usize,
    pub(super) pixels: Vec<u8>,
}

impl Screen {
    pub(super) fn lit(&self, (width, height): (usize, usize)) -> usize {
        let is_lit = |x: usize, y: usize| {
            let at = y * self.row + 4 * x;
            self.pixels[at..at + 3].iter().any(|channel| *channel > 40)
        };
        (0..height).map(|y| (0..width).filter(|&x| is_lit(x, y)).count()).sum()
    }
}
