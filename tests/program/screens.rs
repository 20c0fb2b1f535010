//! A projector that is plugged in and pulled out while the program runs, under X11.
//!
//! Needs Xorg with its dummy driver, which has sockets without screens, xrandr (the plug), openbox (a window manager:
//! without one no window fills a screen) and xdotool. The dummy driver wants neither a graphics card nor a console, so
//! that Xorg starts without root too; where it is installed so that only a person at the console may start it, the
//! test says that nothing was tested, and fails on a build server.

use super::say;
use super::stage::{PATIENCE, begin, demo_folder, display_of, has_tools};
use chalkbeam::garment::Garment;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};
use tempfile::TempDir;
use x11rb::connection::Connection as _;
use x11rb::protocol::xproto::{AtomEnum, ConnectionExt as _, ImageFormat};
use x11rb::rust_connection::RustConnection;

/// A server that touches nothing of the machine: no keyboard, no mouse, no graphics card.
const CONFIGURATION: &str = r#"
Section "ServerFlags"
  Option "AutoAddDevices" "false"
  Option "AutoEnableDevices" "false"
  Option "AutoAddGPU" "false"
  Option "DontVTSwitch" "true"
EndSection
Section "Device"
  Identifier "nothing"
  Driver "dummy"
  VideoRam 256000
EndSection
Section "Monitor"
  Identifier "any"
  HorizSync 5.0 - 1000.0
  VertRefresh 5.0 - 200.0
EndSection
Section "Screen"
  Identifier "both"
  Device "nothing"
  Monitor "any"
  DefaultDepth 24
EndSection
"#;

/// Both screens in px; the laptop's holds the whole desk, the projector's is beside it.
const SCREEN: (u16, u16) = (1920, 1080);
/// Height in px of the findings' first lines at the foot of the desk, and where they begin and end (`desk::ui`).
const FOOT: (u16, u16, u16) = (110, 236, 400);

/// A laptop with a socket for a projector, the program on it.
struct Laptop {
    folder: TempDir,
    display: String,
    server: Child,
    manager: Option<Child>,
    program: Option<Child>,
    x11: RustConnection,
    floor: u32,
    desk: u32,
}

impl Drop for Laptop {
    fn drop(&mut self) {
        for child in [&mut self.program, &mut self.manager].into_iter().flatten().chain([&mut self.server]) {
            drop(child.kill());
            drop(child.wait());
        }
    }
}

impl Laptop {
    /// With one screen, the program begun; or `None` with a loud word where a tool is missing.
    fn open() -> Option<Self> {
        if !has_tools(&["Xorg", "xrandr", "openbox", "xdotool"]) {
            return None;
        }
        let folder = demo_folder();
        let file = |name: &str| folder.path().join(name);
        std::fs::write(file("xorg.conf"), CONFIGURATION).unwrap();
        std::fs::create_dir(file("none")).unwrap();
        let mut server = Command::new("Xorg")
            .args(["-displayfd", "1", "-noreset", "-nolisten", "tcp", "-config"])
            .arg(file("xorg.conf"))
            .arg("-configdir")
            .arg(file("none"))
            .arg("-logfile")
            .arg(file("xorg.log"))
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let display = display_of(&mut server);
        let Ok((x11, _)) = RustConnection::connect(Some(&display)) else {
            drop(server.kill());
            drop(server.wait());
            let log = std::fs::read_to_string(file("xorg.log")).unwrap_or_default();
            let why: Vec<&str> = log.lines().filter(|line| line.contains("(EE)")).collect();
            assert!(std::env::var_os("CI").is_none(), "Xorg does not start: {why:?}");
            say(&format!("NOT TESTED, no screen was plugged in: Xorg does not start: {why:?}"));
            return None;
        };
        let (manager, program) = (None, None);
        let mut laptop = Self { folder, display, server, manager, program, x11, floor: 0, desk: 0 };
        laptop.run("xrandr", &["--output", "DUMMY0", "--mode", "1920x1080", "--pos", "0x0", "--primary"]);
        for mode in ["1920x1080", "1280x720"] {
            laptop.run("xrandr", &["--addmode", "DUMMY1", mode]);
        }
        let mut openbox = Command::new("openbox");
        openbox.env("DISPLAY", &laptop.display).env("XDG_CONFIG_HOME", laptop.folder.path());
        laptop.manager = Some(openbox.stderr(Stdio::null()).spawn().unwrap());
        let root = laptop.x11.setup().roots[0].root;
        laptop.until("a window manager", |laptop| laptop.has(root, "_NET_SUPPORTING_WM_CHECK", None));
        // Away from everything that speaks when a pointer rests on it.
        laptop.run("xdotool", &["mousemove", "0", "0"]);
        laptop.program = Some(begin(laptop.folder.path(), &laptop.display));
        laptop.until("both windows", |laptop| laptop.window("floor") != 0 && laptop.window("desk") != 0);
        (laptop.floor, laptop.desk) = (laptop.window("floor"), laptop.window("desk"));
        Some(laptop)
    }

    fn run(&self, tool: &str, arguments: &[&str]) -> String {
        let output = Command::new(tool).args(arguments).env("DISPLAY", &self.display).output().unwrap();
        String::from_utf8(output.stdout).unwrap().trim().to_owned()
    }

    fn window(&self, name: &str) -> u32 {
        let found = self.run("xdotool", &["search", "--onlyvisible", "--name", &format!("chalkbeam {name}")]);
        found.lines().next().map_or(0, |id| id.parse().unwrap())
    }

    fn until(&mut self, what: &str, holds: impl Fn(&Self) -> bool) {
        let start = Instant::now();
        while !holds(self) {
            if let Some(program) = &mut self.program {
                let ended = program.try_wait().unwrap();
                assert!(ended.is_none(), "the program ended by itself: {ended:?}");
            }
            assert!(start.elapsed() < PATIENCE, "not within {PATIENCE:?}: {what}");
            sleep(Duration::from_millis(100));
        }
    }

    /// Whether a window has a property, with an atom in it if that is asked.
    fn has(&self, window: u32, property: &str, value: Option<&str>) -> bool {
        let atom = |name: &str| self.x11.intern_atom(false, name.as_bytes()).unwrap().reply().unwrap().atom;
        let found = self.x11.get_property(false, window, atom(property), AtomEnum::ANY, 0, 64).unwrap();
        let found: Vec<u32> = found.reply().unwrap().value32().into_iter().flatten().collect();
        value.map_or(!found.is_empty(), |value| found.contains(&atom(value)))
    }

    /// Where the floor window is on the server's whole plane, its size, and whether it fills a screen (Extended
    /// Window Manager Hints 1.5, `_NET_WM_STATE`).
    fn floor(&self) -> ((i16, i16), (u16, u16), bool) {
        let root = self.x11.setup().roots[0].root;
        let at = self.x11.translate_coordinates(self.floor, root, 0, 0).unwrap().reply().unwrap();
        let size = self.x11.get_geometry(self.floor).unwrap().reply().unwrap();
        let fills = self.has(self.floor, "_NET_WM_STATE", Some("_NET_WM_STATE_FULLSCREEN"));
        ((at.dst_x, at.dst_y), (size.width, size.height), fills)
    }

    /// Plugs the projector in, right of the laptop's screen, and waits until the floor window fills it.
    fn plug_in(&mut self) {
        self.run("xrandr", &["--output", "DUMMY1", "--mode", "1920x1080", "--right-of", "DUMMY0"]);
        self.until("the floor on the projector", |laptop| laptop.floor() == ((1920, 0), SCREEN, true));
    }

    /// Pulls its plug, and waits until the floor window is the window that it was.
    fn pull_out(&mut self, window: ((i16, i16), (u16, u16), bool)) {
        self.run("xrandr", &["--output", "DUMMY1", "--off"]);
        self.until("the floor in a window", |laptop| laptop.floor() == window);
    }

    /// What the desk's foot says in the colour of what must not be missed, as a picture; once it has stood still
    /// for a second.
    fn said(&mut self) -> Vec<bool> {
        self.run("xdotool", &["windowactivate", "--sync", &self.desk.to_string()]);
        let start = Instant::now();
        let mut before = self.foot();
        loop {
            sleep(Duration::from_secs(1));
            let now = self.foot();
            if now == before {
                return now;
            }
            before = now;
            assert!(start.elapsed() < PATIENCE, "the desk does not come to rest");
        }
    }

    /// Which px of the desk's foot are red rather than grey, green or yellow.
    fn foot(&self) -> Vec<bool> {
        let desk = self.x11.get_geometry(self.desk).unwrap().reply().unwrap();
        let (height, left, right) = FOOT;
        let (x, y) = (left.cast_signed(), (desk.height - height).cast_signed());
        let image =
            self.x11.get_image(ImageFormat::Z_PIXMAP, self.desk, x, y, desk.width - left - right, height, !0);
        let pixels = image.unwrap().reply().unwrap().data;
        // Blue, green, red, nothing.
        pixels.chunks_exact(4).map(|pixel| pixel[2] > pixel[1].saturating_add(60)).collect()
    }
}

#[test]
fn a_projector_plugged_in_while_the_program_runs_gets_the_floor_and_again_when_it_comes_back() {
    let Some(mut laptop) = Laptop::open() else { return };
    let red = |said: &[bool]| said.iter().filter(|red| **red).count();
    laptop.until("the floor at its size", |laptop| laptop.floor().1 == (960, 540));
    let nothing = laptop.said();
    assert_eq!(red(&nothing), 0, "nothing is wrong with one screen");
    let window = laptop.floor();
    assert!(!window.2 && window.0.0 < 1920, "a window on the laptop's screen: {window:?}");

    laptop.plug_in();
    assert!(laptop.said() == nothing, "the first time nothing has to be said");

    laptop.pull_out(window);
    let gone = laptop.said();
    assert!(red(&gone) > 200, "“The projector's screen is gone” in red");
    // The desk is alive: a key moves a mark, and the file follows.
    let garment = laptop.folder.path().join("garden-coat.garment.ron");
    let mark = || Garment::read(&garment).unwrap().aims[0].measured.marks[0].picture;
    let before = mark();
    laptop.run("xdotool", &["key", "m", "Right"]);
    laptop.until("the mark 1 px further in the file", |_| (mark().0 - before.0 - 1.0).abs() < 1e-9);

    laptop.plug_in();
    let back = laptop.said();
    assert!(red(&back) > 200, "“The projector is back” in red");
    assert!(back != gone, "something else than before");

    // And so each time: the words are the same again.
    laptop.pull_out(window);
    assert!(laptop.said() == gone, "gone again");
    laptop.plug_in();
    assert!(laptop.said() == back, "back again");

    // Set to less than it has, its pixels are no longer its own: a second sentence in red.
    laptop.run("xrandr", &["--output", "DUMMY1", "--mode", "1280x720"]);
    laptop.until("the floor as small", |laptop| laptop.floor() == ((1920, 0), (1280, 720), true));
    let scaled = laptop.said();
    assert!(2 * red(&scaled) > 3 * red(&back), "{} px are red, {} before", red(&scaled), red(&back));
}
