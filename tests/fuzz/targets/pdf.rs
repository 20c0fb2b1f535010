//! Any bytes as a PDF file: pages, the sheet that they make, the pattern on it; never a panic.
#![no_main]

use chalkbeam::import::{self, Options};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if !bytes.windows(5).take(1024).any(|mark| mark == b"%PDF-") {
        return;
    }
    if let Ok(imported) = import::read(bytes, &Options::default()) {
        assert!(imported.pattern.faults().is_empty());
    }
});
