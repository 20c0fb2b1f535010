//! What follows from what is written down of a cloth, with its reason in a few words; none of it is asked.

use crate::cloth::{Bars, Cloth, Direction, FoldWay, MirrorLines, Repeat};

/// The sentences; `used_mm` is how much of it is laid.
pub(super) fn words(cloth: &Cloth, used_mm: Option<f64>) -> Vec<String> {
    let mut words = Vec::new();
    if let Some(print) = cloth.sound_print() {
        for (bars, way) in [(&print.lengthwise, "along"), (&print.crosswise, "across")] {
            if let Some(bars) = bars.as_ref().filter(|bars| bars.is_sound()) {
                words.push(bars_words(bars, way));
            }
        }
        words.push(match print.repeat() {
            Repeat::Plain | Repeat::Bars { .. } => String::new(),
            Repeat::Lattice(lattice) => {
                let [a, b] = lattice.reduced().steps;
                let along = [a, b].map(|step| format!("{:.1} mm by {:.1} mm", step.x.abs(), step.y.abs()));
                format!("All of it comes again after steps of {}, along by across.", along.join(" and of "))
            }
            Repeat::Never => "Bars and motif have no repeat in common.".to_owned(),
        });
    }
    words.push(match cloth.direction() {
        Direction::Top => "One-way: the motif has a top, which points away from the cut end.".to_owned(),
        Direction::OneWay(unlike) => format!("One-way, every piece the same way up: {unlike}."),
        Direction::Free => "Two-way: turned by half a turn it looks the same.".to_owned(),
    });
    for (way, name) in [(FoldWay::Lengthwise, "lengthwise"), (FoldWay::Crosswise, "crosswise")] {
        words.push(match cloth.mirror_lines(way) {
            MirrorLines::Anywhere => format!("It may be folded {name} anywhere."),
            MirrorLines::At(lines) => match lines.first() {
                Some(first) => format!(
                    "It may be folded {name} at {} places, the first {first:.1} mm from its edge.",
                    lines.len()
                ),
                None => format!("It can't be folded {name}: no mirror line lies on it."),
            },
            MirrorLines::Nowhere(unlike) => format!("It can't be cut folded {name}: {unlike}."),
        });
    }
    if let Some(whole) = cloth.cost_of(cloth.length.mm()) {
        words.push(match used_mm.and_then(|used| cloth.cost_of(used)) {
            Some(used) => format!("All of it costs {whole}, what is laid {used}."),
            None => format!("All of it costs {whole}."),
        });
    }
    words.retain(|words| !words.is_empty());
    words
}

fn bars_words(bars: &Bars, way: &str) -> String {
    let period = bars.period_mm();
    match bars.mirror_lines_mm().first() {
        Some(line) => format!(
            "Bars {way}: a repeat of {period:.1} mm, even; it reads the same both ways from {:.1} mm.",
            line.rem_euclid(period)
        ),
        None => format!(
            "Bars {way}: a repeat of {period:.1} mm, uneven; read backwards, the bars come in another order."
        ),
    }
}
