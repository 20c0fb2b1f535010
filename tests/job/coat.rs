//! The garden coat: its draft, its file, and every number that its table gives.

mod draft;
mod file;
mod make;
mod measures;
mod pieces;
pub(crate) mod svg;
mod table;

use chalkbeam::pattern::Pattern;
use std::fs;
use std::path::PathBuf;

/// A file of the demonstration data.
pub(crate) fn demo(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-data").join(name)
}

/// The coat as drafted.
pub(crate) fn drafted() -> Pattern {
    pieces::garden_coat()
}

#[test]
fn the_file_is_the_draft() {
    let (path, text) = (demo("garden-coat.pattern.ron"), drafted().to_ron());
    if std::env::var_os("CHALKBEAM_WRITE_DEMO").is_some() {
        drafted().write(&path).unwrap();
    }
    let written = fs::read_to_string(path).unwrap();
    assert!(written == text, "the file differs from the draft; write it with CHALKBEAM_WRITE_DEMO=1");
}

#[test]
fn the_svg_is_the_draft() {
    let path = demo("garden-coat.svg");
    let drawn = svg::drawing(&drafted(), "1500mm", "1250mm");
    if std::env::var_os("CHALKBEAM_WRITE_DEMO").is_some() {
        fs::write(&path, &drawn).unwrap();
    }
    assert!(
        fs::read_to_string(path).unwrap() == drawn,
        "the drawing differs from the draft; write it with CHALKBEAM_WRITE_DEMO=1"
    );
}

#[test]
fn a_pattern_that_was_read_is_written_as_the_same_text_and_read_as_the_same_pattern() {
    let pattern = Pattern::read(demo("garden-coat.pattern.ron")).unwrap();
    let text = pattern.to_ron();
    assert_eq!(text, drafted().to_ron());
    assert!(Pattern::parse(&text, "again").unwrap() == pattern);
}
