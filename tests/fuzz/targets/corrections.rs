//! Any text as a list of corrections, made on a drawing of two pieces: replayed or refused, and never a panic.
#![no_main]

use chalkbeam::document;
use chalkbeam::import::{self, Correction, Options};
use libfuzzer_sys::fuzz_target;
use std::path::Path;

/// Two outlines with inner lines, an open corner and words.
const DRAWING: &[u8] = br#"<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300">
    <path d="M20 20H180V280H20Z"/><path d="M100 60V240"/><path d="M20 150H180"/><path d="M90 100L100 160L110 100"/>
    <path d="M220 20H380V270"/><path d="M380 280H220V20"/><text x="60" y="90" font-size="12">1 FRONT</text></svg>"#;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let Ok(corrections) = document::parse::<Vec<Correction>>(text, Path::new("any")) else { return };
    if let Ok(imported) = import::read(DRAWING, &Options { corrections, ..Options::default() }) {
        assert!(imported.pattern.faults().is_empty());
    }
});
