//! What the words on a piece say: name, number, how it is cut, on the fold, lengthen or shorten here.

use super::super::drawing::Words;
use super::readings::{is_size, size_in};
use crate::geometry::Point;
use crate::pattern::{ClothKind, Cutting, HowCut};

/// What words say about a piece.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Label {
    pub(super) name: Option<String>,
    pub(super) number: Option<u32>,
    pub(super) cuttings: Vec<Cutting>,
    /// Where words say that it lies on the fold.
    pub(super) fold_at: Vec<Point>,
    /// Where words say to lengthen or shorten.
    pub(super) lengthen_at: Vec<Point>,
    /// Where words say grain.
    pub(super) grain_at: Option<Point>,
}

/// Longest name of a piece, in letters.
const LONGEST_NAME: usize = 40;

/// Words that differ less in height are in letters of one size, in mm.
const SAME_HEIGHT_MM: f64 = 0.1;

/// The next line of a text stands so many heights of its capitals lower, at least and at most.
const NEAREST_LINE: f64 = 0.8;
const FURTHEST_LINE: f64 = 2.5;

/// Words that give instructions and no name.
const INSTRUCTIONS: [&str; 17] = [
    "cut",
    "fold",
    "grain",
    "lengthen",
    "shorten",
    "place",
    "size",
    "sizes",
    "notch",
    "seam",
    "allowance",
    "scale",
    "test",
    "square",
    "hem",
    "page",
    "copyright",
];

/// Largest count that a pattern says to cut.
const MOST_COPIES: u32 = 100;

/// Numbers below count pieces rather than sizes.
const SMALLEST_NUMBER: u32 = 30;

impl Label {
    /// Reads the words of a piece.
    pub(super) fn of<'a>(all: impl Iterator<Item = &'a Words>) -> Self {
        let mut label = Self::default();
        let mut name: Option<Name<'a>> = None;
        let mut others: Vec<Name<'a>> = Vec::new();
        for words in all {
            let lower = words.words.to_lowercase();
            let parts: Vec<&str> =
                lower.split(|c: char| !c.is_alphanumeric()).filter(|part| !part.is_empty()).collect();
            let says = |word: &str| parts.contains(&word);
            label.cuttings.extend(cuttings(&parts));
            if says("fold") {
                label.fold_at.push(words.at);
            }
            if says("lengthen") || says("shorten") {
                label.lengthen_at.push(words.at);
            }
            if (says("grain") || says("grainline")) && label.grain_at.is_none() {
                label.grain_at = Some(words.at);
            }
            let before_size = before_size(&words.words);
            let instructs = |word: &&str| says(word) && !(before_size.is_some() && *word == "size");
            if INSTRUCTIONS.iter().any(instructs) || size_in(&words.words).is_some() {
                continue;
            }
            let (rest, number) = numbered(before_size.unwrap_or(&words.words).trim());
            let rest = if number.is_some() { without_last_size(rest) } else { rest };
            if rest.is_empty() {
                // A number alone is the piece's when it stands large, and no size.
                if !is_size(&words.words) || words.height_mm >= 8.0 {
                    label.number = label.number.or(number);
                }
                continue;
            }
            let named = rest.chars().any(char::is_alphabetic) && rest.chars().count() <= LONGEST_NAME;
            if !named || is_size(&rest) {
                continue;
            }
            let larger =
                name.as_ref().is_none_or(|name| words.height_mm > name.words.height_mm + SAME_HEIGHT_MM);
            let this = Name { words, rest, number };
            let other = if larger { name.replace(this) } else { Some(this) };
            others.extend(other);
        }
        if let Some(name) = name {
            label.number = name.number.or(label.number);
            label.name = Some(name.with_second_line(&others));
        }
        label
    }
}

/// Words that may be the name of a piece.
struct Name<'a> {
    words: &'a Words,
    /// The name in them, without number and size.
    rest: String,
    number: Option<u32>,
}

impl Name<'_> {
    /// The name with the line below it, where that goes on in small letters: `5 Front armhole`, `facing, size 88`.
    fn with_second_line(&self, others: &[Self]) -> String {
        let line = &self.words;
        let below = others.iter().find(|other| {
            let height = line.height_mm;
            let step = other.words.at - line.at;
            // y is up, and the next line lies to the right of the way that the words run.
            let (along, down) = (step.dot(line.along), line.along.cross(-step));
            (other.words.height_mm - height).abs() <= SAME_HEIGHT_MM
                && along.abs() <= height
                && (NEAREST_LINE * height..=FURTHEST_LINE * height).contains(&down)
                && other.number.is_none()
                && other.rest.starts_with(char::is_lowercase)
        });
        match below {
            Some(below) if self.rest.len() + below.rest.len() < LONGEST_NAME => {
                format!("{} {}", self.rest, below.rest)
            }
            _ => self.rest.clone(),
        }
    }
}

/// A name without the number before or behind it: `1 FRONT`, `Back (2)`.
fn numbered(text: &str) -> (String, Option<u32>) {
    let bare = |part: &str| part.trim_matches(|c: char| !c.is_alphanumeric()).to_owned();
    let number = |part: &str| {
        let part = bare(part);
        let digits = !part.is_empty() && part.len() <= 3 && part.bytes().all(|b| b.is_ascii_digit());
        digits.then(|| part.parse::<u32>().ok()).flatten().filter(|number| *number > 0)
    };
    let parts: Vec<&str> = text.split_whitespace().collect();
    let (rest, found) = match parts.as_slice() {
        [first, rest @ ..] if number(first).is_some() => (rest, number(first)),
        [rest @ .., last] if number(last).is_some() => (rest, number(last)),
        all => (all, None),
    };
    let rest = rest.join(" ");
    (
        rest.trim_matches(|c: char| matches!(c, ':' | '-' | '–' | '.' | ',') || c.is_whitespace()).to_owned(),
        found,
    )
}

/// What stands before the size in words like `1 Back, size 84` or `Back size M`, if something does.
fn before_size(text: &str) -> Option<&str> {
    let (before, size) = text.trim().rsplit_once(char::is_whitespace)?;
    let before = before.trim_end();
    let stem = before.len().checked_sub("size".len())?;
    let called = before.get(stem..).is_some_and(|word| word.eq_ignore_ascii_case("size"));
    let name = before.get(..stem)?;
    let apart = name.ends_with(|c: char| !c.is_alphanumeric());
    let names = name.chars().any(char::is_alphabetic);
    (called && apart && names && is_size(size)).then(|| name.trim_end_matches(|c: char| !c.is_alphanumeric()))
}

/// A name without a size in centimetres that it ends with: `Front facing 84`.
fn without_last_size(name: String) -> String {
    match name.rsplit_once(' ') {
        Some((stem, last))
            if is_size(last) && last.parse().is_ok_and(|size: u32| size >= SMALLEST_NUMBER) =>
        {
            stem.to_owned()
        }
        _ => name,
    }
}

/// `cut 2`, `cut 1 on fold`, `cut 2 lining`, `cut 2 mirrored`, also several in one line.
fn cuttings(parts: &[&str]) -> Vec<Cutting> {
    let mut found: Vec<Cutting> = Vec::new();
    for (at, _) in parts.iter().enumerate().filter(|(_, part)| **part == "cut") {
        let rest = &parts[at + 1..];
        let rest = &rest[..rest.iter().position(|part| *part == "cut").unwrap_or(rest.len())];
        let Some(count) = rest.first().and_then(|part| count_of(part)) else { continue };
        let says = |word: &str| rest.contains(&word);
        let how = if says("opened") {
            HowCut::OpenedOut
        } else if says("fold") {
            HowCut::OnFold
        } else if says("pair") || says("pairs") || says("mirrored") || says("mirror") || says("reversed") {
            HowCut::MirroredPair
        } else {
            HowCut::Single
        };
        let cloths = [
            (ClothKind::Lining, says("lining")),
            (ClothKind::Interfacing, says("interfacing")),
            (ClothKind::Cloth, says("cloth") || says("fabric") || says("main") || says("self")),
        ];
        let mut named: Vec<ClothKind> =
            cloths.into_iter().filter(|(_, said)| *said).map(|(kind, _)| kind).collect();
        if named.is_empty() {
            named.push(ClothKind::Cloth);
        }
        found.extend(named.into_iter().map(|cloth| Cutting { cloth, count, how }));
    }
    found
}

fn count_of(word: &str) -> Option<u32> {
    let count = match word {
        "one" => 1,
        "two" => 2,
        "three" => 3,
        "four" => 4,
        _ => word.trim_start_matches('x').parse().ok()?,
    };
    (1..=MOST_COPIES).contains(&count).then_some(count)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vec2;

    fn label(lines: &[(&str, f64)]) -> Label {
        let words: Vec<Words> = lines
            .iter()
            .map(|(words, height_mm)| Words {
                words: (*words).to_owned(),
                at: Point::ZERO,
                height_mm: *height_mm,
                along: Vec2::new(1.0, 0.0),
            })
            .collect();
        Label::of(words.iter())
    }

    #[test]
    fn name_number_and_count_are_read_from_the_words_of_a_piece() {
        let front = label(&[
            ("Garden coat", 4.0),
            ("1 FRONT", 9.0),
            ("Cut 2 fabric, cut 2 lining", 4.0),
            ("38", 3.0),
        ]);
        assert_eq!((front.name.as_deref(), front.number), (Some("FRONT"), Some(1)));
        let cut: Vec<_> = front.cuttings.iter().map(|cut| (cut.cloth, cut.count, cut.how)).collect();
        assert_eq!(cut, [(ClothKind::Cloth, 2, HowCut::Single), (ClothKind::Lining, 2, HowCut::Single)]);
        let back = label(&[("Back (2)", 9.0), ("CUT 1 ON FOLD", 4.0), ("Lengthen or shorten here", 3.0)]);
        assert_eq!((back.name.as_deref(), back.number), (Some("Back"), Some(2)));
        assert_eq!(back.cuttings[0].how, HowCut::OnFold);
        assert!(!back.fold_at.is_empty() && back.lengthen_at.len() == 1);
        let pair = label(&[("Sleeve", 9.0), ("cut two, one mirrored", 4.0)]);
        assert_eq!(pair.cuttings[0].how, HowCut::MirroredPair);
        assert_eq!(label(&[("size 38", 3.0), ("grain", 3.0)]).name, None);
        for words in ["1 Back, size 84", "1 Back size M", "1. Back 84", "Back 1"] {
            let back = label(&[(words, 9.0)]);
            assert_eq!((back.name.as_deref(), back.number), (Some("Back"), Some(1)), "{words}");
        }
        assert_eq!(label(&[("3 Pocket 2", 9.0)]).name.as_deref(), Some("Pocket 2"));
        assert_eq!(label(&[("Cut 2 in size 84", 9.0)]).name, None);
    }

    #[test]
    fn a_name_goes_on_in_the_line_below_it_whichever_way_it_runs() {
        let two = |second: &str, below: f64, along: Vec2| {
            let right = Vec2::new(along.y, -along.x);
            let first = Words {
                words: "5 Front armhole".to_owned(),
                at: Point::new(70.0, 40.0),
                height_mm: 5.0,
                along,
            };
            let at = first.at + right * below;
            let second = Words { words: second.to_owned(), at, ..first.clone() };
            Label::of([&first, &second].into_iter()).name.unwrap()
        };
        for along in [Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0), Vec2::new(-0.6, 0.8)] {
            assert_eq!(two("facing, size 88", 7.0, along), "Front armhole facing");
            assert_eq!(two("Garden coat", 7.0, along), "Front armhole", "begins anew");
            assert_eq!(two("facing, size 88", 15.0, along), "Front armhole", "stands apart");
            assert_eq!(two("facing, size 88", -7.0, along), "Front armhole", "stands above");
            assert_eq!(two("cut 2, mirrored", 7.0, along), "Front armhole", "instructs");
        }
    }
}
