//! What the program says and leaves behind on a machine without a display.

use super::still::frame;
use super::{CliError, print, say};
use crate::finding::Severity;
use crate::floor::FloorView;
use crate::garment::OpenGarment;

use std::path::Path;

/// Name of the picture of the floor window.
const PICTURE: &str = "chalkbeam-floor.png";

/// Writes the picture of the floor window into the present folder and prints a summary.
pub(super) fn without_display(open: &OpenGarment) -> Result<(), CliError> {
    say(
        "There is no display here, so no window can open. The picture of the floor window is written instead.",
    );
    frame(open, &FloorView::default(), None)?.write_png(Path::new(PICTURE))?;
    print(&summary(open))
}

/// A garment in a few lines.
pub(super) fn summary(open: &OpenGarment) -> String {
    let mut words = String::new();
    let mut line = |text: String| words.push_str(&(text + "\n"));
    let plan = open.plan();
    line(format!("{}, size {}", open.garment().name, plan.size));
    for step in crate::desk::way_words(open) {
        line(format!("  {:8} {}", step.0, step.1));
    }
    for finding in open.findings() {
        let grade = match finding.severity {
            Severity::Stop => "stop",
            Severity::Warning => "warning",
            Severity::Note => "note",
        };
        line(format!("  {grade}: {}; {}", finding.what, finding.remedy));
    }
    line(format!("picture: {PICTURE}"));
    words
}
