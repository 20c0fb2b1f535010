//! The commands of the terminal, by the real program: results, their shapes, and every kind of bad input.

mod bad;
mod importing;
mod lay;

use kurbo::{BezPath, ParamCurveArclen as _, PathEl, Point};
use serde_json::Value;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const GARMENT: &str = "garden-coat.garment.ron";
const PATTERN: &str = "garden-coat.pattern.ron";

fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// A folder with the demo in it, and the program run there without a display.
struct Table {
    folder: tempfile::TempDir,
}

impl Table {
    fn with_demo() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
        for name in [GARMENT, PATTERN] {
            std::fs::copy(from.join(name), folder.path().join(name)).unwrap();
        }
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
    }

    /// Writes a file of the demo with one thing changed in it.
    fn change(&self, name: &str, from: &str, to: &str) {
        let text = self.read(name);
        assert!(text.contains(from), "{name} has no {from}");
        self.write(name, &text.replacen(from, to, 1));
    }

    /// Every file with its bytes.
    fn files(&self) -> Vec<(PathBuf, Vec<u8>)> {
        let mut files: Vec<_> = std::fs::read_dir(self.folder.path())
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.is_file())
            .map(|path| (path.clone(), std::fs::read(&path).unwrap()))
            .collect();
        files.sort();
        files
    }

    fn command<A: AsRef<OsStr>>(&self, arguments: &[A]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_chalkbeam"));
        command
            .args(arguments)
            .current_dir(self.folder.path())
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY");
        command
    }

    fn run<A: AsRef<OsStr>>(&self, arguments: &[A]) -> Output {
        self.command(arguments).output().unwrap()
    }

    /// What a command prints when all is well.
    fn prints<A: AsRef<OsStr>>(&self, arguments: &[A]) -> String {
        let output = self.run(arguments);
        let words = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{words}");
        String::from_utf8(output.stdout).unwrap()
    }

    fn json<A: AsRef<OsStr>>(&self, arguments: &[A]) -> Value {
        serde_json::from_str(&self.prints(arguments)).unwrap()
    }

    /// The one message of a command that is refused; no file is touched.
    fn refuses<A: AsRef<OsStr> + std::fmt::Debug>(&self, arguments: &[A]) -> String {
        let before = self.files();
        let output = self.run(arguments);
        let words = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {words}");
        assert!(output.stdout.is_empty(), "{arguments:?} printed a result");
        let messages =
            words.lines().filter(|line| line.starts_with("chalkbeam: ") || line.starts_with("error: "));
        assert_eq!(messages.count(), 1, "{arguments:?}: {words}");
        for alarm in ["panicked", "RUST_BACKTRACE", "thread '"] {
            assert!(!words.contains(alarm), "{arguments:?}: {words}");
        }
        assert!(words.len() < 2000, "{arguments:?}: {} bytes", words.len());
        assert_eq!(self.files(), before, "{arguments:?} touched a file");
        words
    }
}

/// Whether there is a driver to draw with; loudly not tested without, and a failure on a build server.
fn can_draw(output: &Output) -> bool {
    let words = String::from_utf8_lossy(&output.stderr);
    let driverless = output.status.code() == Some(2) && words.contains("mesa-vulkan-drivers");
    assert!(!driverless || std::env::var_os("CI").is_none(), "{words}");
    if driverless {
        eprintln!("NOT TESTED, no picture was made: {words}");
    }
    !driverless
}

fn png_size(path: &Path) -> (u32, u32) {
    let file = std::io::BufReader::new(std::fs::File::open(path).unwrap());
    let reader = png::Decoder::new(file).read_info().unwrap();
    (reader.info().width, reader.info().height)
}

/// Share of pixels that are lit.
fn lit_share(path: &Path) -> f64 {
    let file = std::io::BufReader::new(std::fs::File::open(path).unwrap());
    let mut reader = png::Decoder::new(file).read_info().unwrap();
    let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut bytes).unwrap();
    let lit = bytes.chunks_exact(4).filter(|pixel| pixel[..3].iter().any(|light| *light > 100));
    let (lit, all) = (lit.count(), bytes.len() / 4);
    f64::from(u32::try_from(lit).unwrap()) / f64::from(u32::try_from(all).unwrap())
}

fn keys(value: &Value) -> Vec<&str> {
    value.as_object().unwrap().keys().map(String::as_str).collect()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
}

/// What was measured for the demo's aim, as a file of its own.
fn measured(table: &Table, change: impl Fn(&str) -> String) -> &'static str {
    let garment = table.read(GARMENT);
    let start = garment.find("measured: (").unwrap() + "measured: ".len();
    let end = garment[start..].find("\n            ),").unwrap() + start;
    let text = format!("{}\n)\n", garment[start..end].trim_end());
    table.write("table.measured.ron", &change(&text));
    "table.measured.ron"
}

#[test]
fn help_names_every_command_and_the_cautions() {
    let table = Table::with_demo();
    let words = table.prints(&["--help"]);
    for wanted in ["still", "aim", "check", "export", "GARMENT", "Never look into the lens", "manuals"] {
        assert!(words.contains(wanted), "no {wanted} in\n{words}");
    }
    for command in ["still", "aim", "check", "export"] {
        assert!(table.prints(&[command, "--help"]).contains("Usage"), "{command}");
    }
    assert!(table.prints(&["--version"]).starts_with("chalkbeam "));
}

#[test]
fn the_aim_maps_the_surface_onto_the_picks() {
    let table = Table::with_demo();
    let file = measured(&table, str::to_owned);
    let report = table.json(&["aim", file, "--json"]);
    let mut fields = keys(&report);
    fields.sort_unstable();
    assert_eq!(fields, ["error", "homography", "marks", "pixel_pitch_mm", "suspects", "tapes"]);
    let rows: Vec<_> = report["homography"].as_array().unwrap().iter().map(numbers).collect();
    assert!((rows[2][2] - 1.0).abs() < 1e-12);
    let marks = report["marks"].as_array().unwrap();
    assert_eq!(marks.len(), 4);
    // By hand: x′ = (h₁·X)/(h₃·X), y′ = (h₂·X)/(h₃·X), and the distances of the marks' places.
    let places: Vec<_> = marks.iter().map(|mark| numbers(&mark["surface"])).collect();
    for (mark, place) in marks.iter().zip(&places) {
        let picture = numbers(&mark["picture"]);
        let row = |row: &Vec<f64>| row[0] * place[0] + row[1] * place[1] + row[2];
        let (x, y) = (row(&rows[0]) / row(&rows[2]), row(&rows[1]) / row(&rows[2]));
        let off = (x - picture[0]).hypot(y - picture[1]);
        assert!((off - mark["residual_px"].as_f64().unwrap()).abs() < 1e-6);
        assert!(mark["residual_mm"].as_f64().unwrap() < 1.0);
    }
    for tape in report["tapes"].as_array().unwrap() {
        let end = |name: &str| &places[usize::try_from(tape[name].as_u64().unwrap()).unwrap()];
        let (from, to) = (end("from"), end("to"));
        let distance = (from[0] - to[0]).hypot(from[1] - to[1]);
        let residual = distance - tape["mm"].as_f64().unwrap();
        assert!((residual - tape["residual_mm"].as_f64().unwrap()).abs() < 1e-6);
        assert!(residual.abs() < 1.0, "{tape}");
    }
    let pitch = &report["pixel_pitch_mm"];
    assert!((0.9..1.2).contains(&pitch["centre"].as_f64().unwrap()), "{pitch}");
    assert_eq!(numbers(&pitch["corners"]).len(), 4);
    let words = table.prints(&["aim", file]);
    assert!(words.contains("one pixel") && words.contains("mm"), "{words}");
}

#[test]
fn the_aim_says_which_cloth_it_allows_for_and_how_much_that_is() {
    let table = Table::with_demo();
    assert!(!table.prints(&["aim", measured(&table, str::to_owned)]).contains("cloth"));
    let thick = |text: &str| {
        text.replacen("(", "(\n    cloth: (thickness_mm: 6.0, lens_height_mm: 2000.0, foot: (0.0, 0.0)),", 1)
    };
    let file = measured(&table, thick);
    let report = table.json(&["aim", file, "--json"]);
    assert_eq!(report["cloth"]["thickness_mm"].as_f64(), Some(6.0));
    // Similar triangles: what falls at R from the foot of the plumb line meets the top of the cloth R·t/h before.
    let rows: Vec<_> = report["homography"].as_array().unwrap().iter().map(numbers).collect();
    let map = nalgebra::Matrix3::from_fn(|row, column| rows[row][column]).try_inverse().unwrap();
    let reach = [(0.0, 0.0), (1920.0, 0.0), (1920.0, 1080.0), (0.0, 1080.0)].map(|(x, y)| {
        let place = map * nalgebra::Vector3::new(x, y, 1.0);
        (place.x / place.z).hypot(place.y / place.z)
    });
    let off = reach.into_iter().fold(0.0, f64::max) * 6.0 / 2000.0;
    let words = table.prints(&["aim", file]);
    assert!(words.contains("cloth 6.0 mm thick under a lens 2000 mm high"), "{words}");
    assert!(words.contains(&format!("up to {off:.1} mm off")), "{off}: {words}");
}

#[test]
fn a_check_tells_pieces_alterations_and_findings() {
    let table = Table::with_demo();
    let report = table.json(&["check", GARMENT, "--json"]);
    assert_eq!(report["pieces"].as_array().unwrap().len(), 6);
    let length = |piece: &str, edge: &str| {
        let named = |list: &Value, name: &str| -> Value {
            let found = list.as_array().unwrap().iter().find(|known| known["name"] == name);
            found.unwrap_or_else(|| panic!("no {name}")).clone()
        };
        let edges = named(&report["pieces"], piece)["edges"].clone();
        named(&edges, edge)["length_mm"].as_f64().unwrap()
    };
    // The coat's own table: blended side 880.65, lengthened by 21, hemmed by 80; hem quarter 393.65.
    assert!((length("back", "side") - 821.62).abs() < 0.02);
    assert!((length("back", "hem") - 393.65).abs() < 0.02);
    let front = length("front", "side lower") + length("front", "side upper");
    assert!((front - 821.62).abs() < 0.02, "{front}");
    assert_eq!(report["pieces"][0]["size"], "88");
    let alterations = report["alterations"].as_array().unwrap();
    assert_eq!(alterations.len(), 3);
    for alteration in alterations {
        assert_eq!(alteration["outcome"], "applied", "{alteration}");
        assert!(!alteration["what"].as_str().unwrap().is_empty());
    }
    for finding in report["findings"].as_array().unwrap() {
        let fields = keys(finding);
        for wanted in ["what", "severity", "piece", "at_mm", "amount_mm", "remedy"] {
            assert!(fields.contains(&wanted), "no {wanted} in {finding}");
        }
        assert!(["note", "warning", "stop"].contains(&finding["severity"].as_str().unwrap()));
        assert!(!finding["remedy"].as_str().unwrap().is_empty(), "{finding}");
    }
    let words = table.prints(&["check", GARMENT]);
    assert!(words.contains("821.62 mm"), "{words}");
}

#[test]
fn an_alteration_that_cannot_be_done_is_told_and_is_no_error() {
    let table = Table::with_demo();
    table.change(GARMENT, "line: \"waist\"", "line: \"thigh\"");
    let report = table.json(&["check", GARMENT, "--json"]);
    let failed = &report["alterations"][1];
    assert_eq!(failed["outcome"], "failed");
    assert!(failed["why"].as_str().unwrap().contains("thigh"));
    let stop = |finding: &&Value| finding["severity"] == "stop";
    assert!(report["findings"].as_array().unwrap().iter().any(|finding| stop(&finding)));
}

/// A path of the exported drawing, by its id, in mm.
fn exported(tree: &usvg::Tree, id: &str) -> BezPath {
    use usvg::tiny_skia_path::PathSegment;
    /// A CSS pixel in mm: 96 to the inch.
    const MM: f64 = 25.4 / 96.0;
    let node = tree.node_by_id(id).unwrap_or_else(|| panic!("no {id}"));
    let usvg::Node::Path(path) = node else { panic!("{id} is no path") };
    let at = |p: usvg::tiny_skia_path::Point| {
        let mut p = p;
        node.abs_transform().map_point(&mut p);
        Point::new(f64::from(p.x) * MM, f64::from(p.y) * MM)
    };
    path.data()
        .segments()
        .map(|segment| match segment {
            PathSegment::MoveTo(p) => PathEl::MoveTo(at(p)),
            PathSegment::LineTo(p) => PathEl::LineTo(at(p)),
            PathSegment::QuadTo(a, p) => PathEl::QuadTo(at(a), at(p)),
            PathSegment::CubicTo(a, b, p) => PathEl::CurveTo(at(a), at(b), at(p)),
            PathSegment::Close => PathEl::ClosePath,
        })
        .collect()
}

#[test]
fn exported_edges_have_the_lengths_that_the_check_tells() {
    let table = Table::with_demo();
    let report = table.json(&["check", GARMENT, "--json"]);
    assert_eq!(table.prints(&["export", GARMENT, "--out", "coat.svg"]), "");
    let text = table.read("coat.svg");
    // usvg (an SVG reader apart from this project) measures in CSS pixels.
    let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).unwrap();
    let (mut edges, mut worst) = (0, 0.0_f64);
    for piece in report["pieces"].as_array().unwrap() {
        let name = piece["name"].as_str().unwrap();
        for edge in piece["edges"].as_array().unwrap() {
            let id = format!("{name}/{}", edge["name"].as_str().unwrap());
            let path = exported(&tree, &id);
            let length: f64 = path.segments().map(|segment| segment.arclen(1e-6)).sum();
            worst = worst.max((length - edge["length_mm"].as_f64().unwrap()).abs());
            edges += 1;
        }
    }
    assert!(edges > 25, "{edges}");
    assert!(worst < 0.01, "an edge is {worst} mm off");
    // True size: the sheet is as large as it says, in mm.
    let width: f64 =
        text.split("width=\"").nth(1).and_then(|rest| rest.split("mm\"").next()).unwrap().parse().unwrap();
    let drawn = f64::from(tree.size().width()) * 25.4 / 96.0;
    assert!((drawn - width).abs() < 0.01, "{drawn} for {width}");
}

#[test]
fn a_still_is_the_projectors_frame() {
    let table = Table::with_demo();
    let output = table.run(&["still", GARMENT, "--out", "frame.png"]);
    if !can_draw(&output) {
        return;
    }
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(png_size(&table.path("frame.png")), (1920, 1080));
    let lit = lit_share(&table.path("frame.png"));
    assert!((0.005..0.3).contains(&lit), "{lit} of the frame is lit");
    table.prints(&["still", GARMENT, "--out", "small.png", "--size", "960x540", "--marks"]);
    assert_eq!(png_size(&table.path("small.png")), (960, 540));
    // The same frame twice is the same file.
    table.prints(&["still", GARMENT, "--out", "again.png"]);
    assert_eq!(
        std::fs::read(table.path("frame.png")).unwrap(),
        std::fs::read(table.path("again.png")).unwrap()
    );
}

#[test]
fn without_a_display_the_floor_is_left_as_a_picture() {
    let table = Table::with_demo();
    let none: [&str; 0] = [];
    let output = table.run(&none);
    if !can_draw(&output) {
        return;
    }
    assert_eq!(output.status.code(), Some(0));
    let words = String::from_utf8(output.stderr).unwrap();
    assert!(words.contains("no display"), "{words}");
    let summary = String::from_utf8(output.stdout).unwrap();
    for wanted in ["Garden coat", "Pattern", "Aim", "chalkbeam-floor.png"] {
        assert!(summary.contains(wanted), "no {wanted} in\n{summary}");
    }
    assert_eq!(png_size(&table.path("chalkbeam-floor.png")), (1920, 1080));
    // A garment named is the garment shown.
    table.change(GARMENT, "name: \"Garden coat\"", "name: \"Coat for Sunday\"");
    assert!(table.prints(&[GARMENT]).contains("Coat for Sunday"));
}

#[test]
fn without_a_driver_the_package_is_named() {
    let table = Table::with_demo();
    let output = table
        .command(&["still", GARMENT, "--out", "frame.png"])
        .env("WGPU_BACKEND", "vulkan")
        .env("VK_DRIVER_FILES", "/nonexistent.json")
        .env("VK_ICD_FILENAMES", "/nonexistent.json")
        .output()
        .unwrap();
    let words = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{words}");
    assert!(words.contains("mesa-vulkan-drivers"), "{words}");
    assert!(!table.path("frame.png").exists());
}
