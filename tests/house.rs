//! The house: what each room may use, and that nobody reaches further.
//!
//! One crate means that the compiler would let any room use any other. This test holds the table instead: it reads
//! every file under `src/`, collects the paths into other rooms and the names of outside crates, and fails with a
//! sentence for each that the table does not allow. The same table stands in DEVELOPERS.md and is compared here.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

#[path = "house/source.rs"]
mod source;

use source::File;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The rooms in the order of the data's flow, each with the rooms that it may use. All stand before it.
const ROOMS: &[(&str, &[&str])] = &[
    ("geometry", &[]),
    ("document", &[]),
    ("pattern", &["geometry"]),
    ("finding", &["geometry", "pattern"]),
    ("alter", &["geometry", "pattern"]),
    ("body", &["geometry", "pattern"]),
    ("cloth", &["geometry"]),
    ("lay", &["cloth", "finding", "geometry", "pattern"]),
    ("aim", &["geometry"]),
    ("import", &["document", "finding", "geometry", "pattern"]),
    ("photo", &["aim", "geometry"]),
    ("garment", &["aim", "alter", "body", "cloth", "document", "finding", "geometry", "lay", "pattern"]),
    ("demo", &["garment", "pattern"]),
    ("scene", &["aim", "alter", "cloth", "finding", "garment", "geometry", "lay", "pattern"]),
    ("light", &["aim", "document", "geometry", "scene"]),
    (
        "sheet",
        &["alter", "body", "cloth", "document", "finding", "garment", "geometry", "lay", "pattern", "scene"],
    ),
    ("floor", &["aim", "cloth", "finding", "garment", "geometry", "light", "pattern", "scene"]),
    ("remote", &["floor"]),
    (
        "desk",
        &[
            "aim", "alter", "body", "cloth", "demo", "document", "finding", "floor", "garment", "geometry",
            "import", "lay", "light", "pattern", "photo", "remote", "scene", "sheet",
        ],
    ),
    (
        "cli",
        &[
            "aim", "alter", "body", "cloth", "demo", "desk", "document", "finding", "floor", "garment",
            "geometry", "import", "lay", "light", "pattern", "photo", "scene", "sheet",
        ],
    ),
    ("main", &["cli"]),
];

/// Every room may name these: the shared language of curves in mm, of files and of errors.
const EVERYWHERE: &[&str] = &["kurbo", "serde", "thiserror"];

/// The other outside crates, each with the rooms that may name it.
const CRATES: &[(&str, &[&str])] = &[
    // Regions: booleans and offsets.
    ("fastrand", &["lay"]),
    ("jagua_rs", &["lay"]),
    ("i_overlay", &["geometry", "lay"]),
    // Linear algebra of an aim, and the 3 × 3 that becomes a uniform.
    ("nalgebra", &["aim", "photo"]),
    ("glam", &["aim", "floor", "light", "photo"]),
    // From scene to pixels.
    ("bytemuck", &["light"]),
    ("lyon", &["light"]),
    ("pollster", &["light"]),
    ("png", &["import", "light", "photo"]),
    ("skrifa", &["light"]),
    ("wgpu", &["desk", "light"]),
    // Windows.
    ("egui", &["desk"]),
    ("egui_wgpu", &["desk"]),
    ("egui_winit", &["desk"]),
    // Ends of lines by the thousand.
    ("foldhash", &["import"]),
    ("smallvec", &["import"]),
    ("winit", &["desk"]),
    ("x11rb", &["desk"]),
    ("jiff", &["desk", "sheet"]),
    // The phone as a remote.
    ("getrandom", &["remote"]),
    ("httparse", &["remote"]),
    ("qrcode", &["remote"]),
    // Files.
    ("ron", &["document", "pattern"]),
    ("strsim", &["document", "pattern"]),
    ("tempfile", &["document", "pattern"]),
    ("hayro_syntax", &["import"]),
    ("cap", &["import"]),
    ("rustix", &["import"]),
    ("roxmltree", &["import"]),
    ("svgtypes", &["import"]),
    ("sha2", &["import"]),
    ("tiff", &["import"]),
    ("zune_jpeg", &["import"]),
    // The terminal.
    ("clap", &["cli"]),
    ("serde_json", &["cli"]),
];

/// What lies at the top of the project; anything else belongs into one of these.
const TOP: &[&str] = &[
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "assets",
    "demo-data",
    "shaders",
    "src",
    "tests",
];

/// A file longer than this says why in its header.
const LONGEST: usize = 600;
/// How the reason begins.
const REASON: &str = "//! Long because ";

fn top() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Whether a room of the table is there yet.
fn is_built(room: &str) -> bool {
    let src = top().join("src");
    src.join(room).is_dir() || src.join(format!("{room}.rs")).is_file()
}

/// A room's row in the table of what may be used.
fn may_use(room: &str) -> Option<&'static [&'static str]> {
    ROOMS.iter().find(|(name, _)| *name == room).map(|(_, rooms)| *rooms)
}

/// Every file below a folder with one of these endings, in order; what a build has left (`target`) is nobody's.
fn files_below(folder: &Path, endings: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut entries: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.ends_with("target") {
            continue;
        }
        if path.is_dir() {
            found.extend(files_below(&path, endings));
        } else if path.extension().is_some_and(|ending| endings.iter().any(|wanted| ending == *wanted)) {
            found.push(path);
        }
    }
    found
}

fn library() -> Vec<File> {
    files_below(&top().join("src"), &["rs"]).iter().map(|path| File::read(top(), path)).collect()
}

fn complain(complaints: &[String]) {
    assert!(complaints.is_empty(), "\n{}\n", complaints.join("\n"));
}

/// Names of the crates under a heading of Cargo.toml.
fn crates_under(heading: &str) -> BTreeSet<String> {
    let manifest = fs::read_to_string(top().join("Cargo.toml")).unwrap();
    manifest
        .lines()
        .skip_while(|line| *line != heading)
        .skip(1)
        .take_while(|line| !line.starts_with('['))
        .filter(|line| !line.starts_with('#'))
        .filter_map(|line| Some(line.split_once('=')?.0.trim().replace('-', "_")))
        .collect()
}

#[test]
fn no_room_uses_a_room_that_the_house_does_not_allow() {
    let mut complaints = Vec::new();
    for file in library() {
        let room = file.room();
        if room == "lib" {
            continue;
        }
        let Some(allowed) = may_use(room) else {
            complaints
                .push(format!("{}: the room “{room}” is not in the table of tests/house.rs", file.name));
            continue;
        };
        for (line, used) in file.paths_from_the_root() {
            if used != room && !allowed.contains(&used.as_str()) {
                complaints.push(format!(
                    "{}:{line}: the room “{room}” may not use “{used}”; move the code, or ask whether the house is wrong",
                    file.name
                ));
            }
        }
    }
    complain(&complaints);
}

#[test]
fn no_room_names_an_outside_crate_that_is_not_for_it() {
    let known: BTreeSet<String> =
        crates_under("[dependencies]").union(&crates_under("[dev-dependencies]")).cloned().collect();
    let dev_only: BTreeSet<_> = known.difference(&crates_under("[dependencies]")).cloned().collect();
    let mut complaints = Vec::new();
    for name in crates_under("[dependencies]") {
        let listed = EVERYWHERE.contains(&name.as_str()) || CRATES.iter().any(|(known, _)| *known == name);
        if !listed {
            complaints.push(format!(
                "Cargo.toml: the table of tests/house.rs does not say which rooms may use “{name}”"
            ));
        }
    }
    for file in library() {
        let tests = file.in_tests();
        for (line, name) in file.outside_names() {
            let in_test = file.tokens.iter().zip(&tests).any(|(token, test)| token.line == line && *test);
            let free = EVERYWHERE.contains(&name) || in_test && dev_only.contains(name);
            if !known.contains(name) || free {
                continue;
            }
            let rooms = CRATES.iter().find(|(known, _)| *known == name).map_or(&[][..], |(_, rooms)| rooms);
            let allowed = rooms.contains(&file.room()) || in_test && name == "tempfile";
            if !allowed {
                complaints.push(format!(
                    "{}:{line}: the room “{}” may not name the crate “{name}”; that belongs to {}",
                    file.name,
                    file.room(),
                    rooms.join(", ")
                ));
            }
        }
    }
    complain(&complaints);
}

#[test]
fn the_table_points_one_way() {
    for (index, (room, used)) in ROOMS.iter().enumerate() {
        for other in *used {
            assert!(
                ROOMS[..index].iter().any(|(earlier, _)| earlier == other),
                "“{room}” may use “{other}”, which does not stand before it"
            );
        }
        assert!(used.is_sorted(), "the rooms that “{room}” may use are not in order");
    }
    for (name, rooms) in CRATES {
        for room in *rooms {
            assert!(may_use(room).is_some(), "“{name}” is for “{room}”, which is no room");
        }
    }
}

#[test]
fn the_developers_table_is_this_table() {
    let text = fs::read_to_string(top().join("DEVELOPERS.md")).unwrap();
    for (room, used) in ROOMS {
        let row = text.lines().find(|line| line.starts_with(&format!("| `{room}` |")));
        if !is_built(room) {
            assert!(row.is_none(), "DEVELOPERS.md tells of “{room}”, which is not there");
            continue;
        }
        let row = row.unwrap_or_else(|| panic!("DEVELOPERS.md has no row for the room “{room}”"));
        let told = row.trim_end_matches([' ', '|']).rsplit('|').next().unwrap().trim();
        let built: Vec<_> = used.iter().filter(|used| is_built(used)).copied().collect();
        let expected = if built.is_empty() { "nothing of ours".to_owned() } else { built.join(", ") };
        assert_eq!(told, expected, "DEVELOPERS.md, what “{room}” may use");
    }
}

#[test]
fn no_file_is_long_without_a_reason() {
    let mut complaints = Vec::new();
    for folder in ["src", "tests", "shaders"] {
        for path in files_below(&top().join(folder), &["rs", "wgsl"]) {
            let text = fs::read_to_string(&path).unwrap();
            let lines = text.lines().count();
            let reasoned =
                text.lines().take_while(|line| line.starts_with("//")).any(|line| line.starts_with(REASON));
            if lines > LONGEST && !reasoned {
                complaints.push(format!(
                    "{}: {lines} lines; divide it, or say why not in the header (“{REASON}…”)",
                    path.display()
                ));
            }
        }
    }
    complain(&complaints);
}

#[test]
fn every_shader_is_used() {
    let library = library();
    for path in files_below(&top().join("shaders"), &["wgsl"]) {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        assert!(
            library.iter().any(|file| file.text.contains(&format!("shaders/{name}"))),
            "shaders/{name} is used by no file in src/"
        );
    }
}

#[test]
fn nothing_lies_about_at_the_top() {
    let ignored = fs::read_to_string(top().join(".gitignore")).unwrap();
    for entry in fs::read_dir(top()).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        let known = name.starts_with('.')
            || TOP.contains(&name.as_str())
            || ignored.lines().any(|line| line.trim_matches('/') == name);
        assert!(known, "“{name}” lies at the top of the project; it belongs into one of {}", TOP.join(", "));
    }
}

#[test]
fn the_library_ends_for_nobody() {
    let library = library();
    // Files that only tests have: `#[cfg(test)] mod name;`
    let mut test_files = BTreeSet::new();
    for file in &library {
        let tests = file.in_tests();
        let folder = file
            .name
            .strip_suffix("/mod.rs")
            .map_or_else(|| file.name.trim_end_matches(".rs").to_owned(), str::to_owned);
        for (index, in_test) in tests.iter().enumerate() {
            if *in_test && file.token(index) == "mod" && file.token(index + 2) == ";" {
                test_files.insert(format!("{folder}/{}.rs", file.token(index + 1)));
            }
        }
    }
    let mut complaints = Vec::new();
    for file in library.iter().filter(|file| !test_files.contains(&file.name)) {
        for (index, in_test) in file.in_tests().into_iter().enumerate() {
            let (before, here, after) =
                (file.token(index.wrapping_sub(1)), file.token(index), file.token(index + 1));
            let called = matches!(here, "unwrap" | "expect") && before == "." && after == "(";
            let raised = matches!(here, "panic" | "todo" | "unimplemented" | "unreachable") && after == "!";
            if !in_test && (called || raised) {
                complaints.push(format!(
                    "{}:{}: “{here}” would end the program; return an error that says what to do",
                    file.name, file.tokens[index].line
                ));
            }
        }
    }
    complain(&complaints);
}

#[test]
fn the_readme_lists_the_keys_that_there_are() {
    let readme = fs::read_to_string(top().join("README.md")).unwrap();
    let keys = chalkbeam::floor::key_list();
    assert!(readme.contains(&format!("\n{keys}\n")), "README.md, under Keys, should have\n{keys}");
}

#[test]
fn the_readme_shows_pictures_and_files_that_are_there() {
    for page in ["README.md", "DEVELOPERS.md"] {
        let text = fs::read_to_string(top().join(page)).unwrap();
        for link in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            assert!(
                link.starts_with("https://") || link.starts_with('#') || top().join(link).exists(),
                "{page} points to “{link}”, which is not there"
            );
        }
    }
}
