//! Widths of letters of the standard fonts, which a file need not tell.
//!
//! Source: Adobe's font metrics for the 14 standard fonts (AFM 4.1), as reportlab 5.1 holds them; thousandths of the
//! size of the letters, for the codes 32 to 126 of `StandardEncoding`.

/// Width of a letter of another script, or of a font without metrics, in thousandths.
const OTHER: u16 = 500;

/// Width of every letter of a font like Courier.
const EVEN: u16 = 600;

/// Width of a letter of the standard font that a name calls for.
pub(super) fn standard_width(font: &str, letter: char) -> f64 {
    let name = font.to_lowercase();
    let called = |words: &[&str]| words.iter().any(|word| name.contains(word));
    if called(&["courier", "mono"]) {
        return f64::from(EVEN);
    }
    let bold = called(&["bold", "black", "heavy"]);
    let table = match (called(&["times", "serif", "roman"]) && !called(&["sans"]), bold) {
        (true, false) => &SERIF,
        (true, true) => &SERIF_BOLD,
        (false, false) => &SANS,
        (false, true) => &SANS_BOLD,
    };
    let index = u32::from(letter).checked_sub(32).and_then(|index| usize::try_from(index).ok());
    f64::from(index.and_then(|index| table.get(index)).copied().unwrap_or(OTHER))
}

/// Helvetica.
const SANS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 222, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278,
    500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469,
    556, 222, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500,
    278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];

/// Helvetica-Bold.
const SANS_BOLD: [u16; 95] = [
    278, 333, 474, 556, 556, 889, 722, 278, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667, 611, 778, 722, 278,
    556, 722, 611, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584,
    556, 278, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611, 611, 611, 389, 556,
    333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584,
];

/// Times-Roman.
const SERIF: [u16; 95] = [
    250, 333, 408, 500, 500, 833, 778, 333, 333, 333, 500, 564, 250, 333, 250, 278, 500, 500, 500, 500, 500,
    500, 500, 500, 500, 500, 278, 278, 564, 564, 564, 444, 921, 722, 667, 667, 722, 611, 556, 722, 722, 333,
    389, 722, 611, 889, 722, 722, 556, 722, 667, 556, 611, 722, 722, 944, 722, 722, 611, 333, 278, 333, 469,
    500, 333, 444, 500, 444, 500, 444, 333, 500, 500, 278, 278, 500, 278, 778, 500, 500, 500, 500, 333, 389,
    278, 500, 500, 722, 500, 500, 444, 480, 200, 480, 541,
];

/// Times-Bold.
const SERIF_BOLD: [u16; 95] = [
    250, 333, 555, 500, 500, 1000, 833, 333, 333, 333, 500, 570, 250, 333, 250, 278, 500, 500, 500, 500, 500,
    500, 500, 500, 500, 500, 333, 333, 570, 570, 570, 500, 930, 722, 667, 722, 722, 667, 611, 778, 778, 389,
    500, 778, 667, 944, 722, 778, 611, 778, 722, 556, 667, 722, 722, 1000, 722, 722, 667, 333, 278, 333, 581,
    500, 333, 500, 556, 444, 556, 444, 333, 500, 556, 278, 333, 556, 278, 833, 556, 500, 556, 556, 444, 389,
    333, 556, 500, 722, 500, 500, 444, 394, 220, 394, 520,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_those_of_the_metrics() {
        // Helvetica.afm and Times-Roman.afm: A 667 and 722, space 278 and 250.
        assert!((standard_width("Helvetica", 'A') - 667.0).abs() < 1e-9);
        assert!((standard_width("ABCDEF+Times-Roman", 'A') - 722.0).abs() < 1e-9);
        assert!((standard_width("Times-Roman", ' ') - 250.0).abs() < 1e-9);
        assert!((standard_width("Courier", 'i') - 600.0).abs() < 1e-9);
    }
}
