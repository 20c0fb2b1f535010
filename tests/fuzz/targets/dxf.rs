//! Any bytes as a DXF file: read or refused, and never a panic.
#![no_main]

use chalkbeam::import::{Options, dxf};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(imported) = dxf::read(bytes, &Options { millimetres_per_unit: Some(1.0), ..Options::default() }) {
        assert!(imported.pattern.faults().is_empty());
    }
});
