//! How the text of a pattern file is laid out: one line an edge, a notch, a mark, so that a person finds and
//! mends it, and two versions of a file can be compared line by line.

use super::twin::{DrawnTwin, PatternTwin, PieceTwin};
use crate::pattern::{Measure, Seam};
use serde::Serialize;
use std::fmt::Write as _;

/// The whole text.
pub(super) fn text_of(pattern: &PatternTwin) -> String {
    let mut page = Page {
        text: "// Millimetres; x to the right, y up; outlines counter-clockwise, along the seam line.\n(\n"
            .to_owned(),
        indent: 1,
    };
    page.field("format", &pattern.format);
    page.field("version", &pattern.version);
    page.field("name", &pattern.name);
    page.field("sizes", &pattern.sizes);
    page.field("allowance", &pattern.allowance);
    page.field("hem_allowance", &pattern.hem_allowance);
    page.block("pieces: [", "],", |page| {
        for piece in &pattern.pieces {
            page.block("(", "),", |page| page.piece(piece));
        }
    });
    page.block("seams: [", "],", |page| {
        for seam in &pattern.seams {
            page.block("(", "),", |page| page.seam(seam));
        }
    });
    page.rows("bodies", &pattern.bodies);
    if !pattern.measures.is_empty() {
        page.block("measures: [", "],", |page| {
            for measure in &pattern.measures {
                page.block("(", "),", |page| page.measure(measure));
            }
        });
    }
    page.text.push_str(")\n");
    page.text
}

struct Page {
    text: String,
    indent: usize,
}

impl Page {
    fn line(&mut self, line: &str) {
        for _ in 0..self.indent {
            self.text.push_str("    ");
        }
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn block(&mut self, open: &str, close: &str, inside: impl FnOnce(&mut Self)) {
        self.line(open);
        self.indent += 1;
        inside(self);
        self.indent -= 1;
        self.line(close);
    }

    fn field(&mut self, name: &str, value: &impl Serialize) {
        let mut line = String::new();
        // Writing to a string does not fail.
        if write!(line, "{name}: {},", on_one_line(value)).is_ok() {
            self.line(&line);
        }
    }

    fn rows(&mut self, name: &str, rows: &[impl Serialize]) {
        if rows.is_empty() {
            return;
        }
        self.block(&format!("{name}: ["), "],", |page| {
            for row in rows {
                page.line(&format!("{},", on_one_line(row)));
            }
        });
    }

    fn piece(&mut self, piece: &PieceTwin) {
        self.field("id", &piece.id);
        self.field("number", &piece.number);
        self.rows("cuttings", &piece.cuttings);
        self.rows("edges", &piece.edges);
        self.rows("notches", &piece.notches);
        self.rows("darts", &piece.darts);
        self.block("drawn: [", "],", |page| {
            for drawn in &piece.drawn {
                page.block("(", "),", |page| page.drawn(drawn));
            }
        });
    }

    fn drawn(&mut self, drawn: &DrawnTwin) {
        self.field("size", &drawn.size);
        self.rows("edges", &drawn.edges);
        self.rows("notches", &drawn.notches);
        self.rows("darts", &drawn.darts);
        self.field("grainline", &drawn.grainline);
        self.rows("balance_lines", &drawn.balance_lines);
        self.rows("drill_holes", &drawn.drill_holes);
        self.rows("inner_lines", &drawn.inner_lines);
        self.rows("texts", &drawn.texts);
    }

    fn measure(&mut self, measure: &Measure) {
        self.field("id", &measure.id);
        self.field("of", &measure.of);
        if let Some(ease) = &measure.minimum_ease {
            self.field("minimum_ease", ease);
        }
        self.rows("terms", &measure.terms);
    }

    fn seam(&mut self, seam: &Seam) {
        self.field("id", &seam.id);
        self.block("sides: (", "),", |page| {
            for side in &seam.sides {
                page.line(&format!("{},", on_one_line(side)));
            }
        });
        if seam.ease != crate::pattern::EaseRange::default() {
            self.field("ease", &seam.ease);
        }
    }
}

/// A value as RON on one line. Names, numbers and lists of them always have a RON text; an empty one would be
/// seen by the reader, which refuses it.
fn on_one_line(value: &impl Serialize) -> String {
    let layout = ron::ser::PrettyConfig::new().depth_limit(0).new_line("\n");
    super::twin::options().to_string_pretty(value, layout).unwrap_or_default()
}
