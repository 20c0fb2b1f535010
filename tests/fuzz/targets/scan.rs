//! Any bytes as a picture of a paper piece (PNG, JPEG, TIFF): traced or refused, and never a panic.
#![no_main]

use chalkbeam::import::{self, Options};
use libfuzzer_sys::fuzz_target;

/// How the formats begin.
const MARKS: [&[u8]; 4] = [b"\x89PNG", b"\xff\xd8\xff", b"II*\0", b"MM\0*"];

fuzz_target!(|bytes: &[u8]| {
    if !MARKS.iter().any(|mark| bytes.starts_with(mark)) {
        return;
    }
    if let Ok(imported) = import::read(bytes, &Options { dpi: Some(150.0), ..Options::default() }) {
        assert!(imported.pattern.faults().is_empty());
    }
});
