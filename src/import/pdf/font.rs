//! Fonts, as far as words need them: which letters a text shows, and how far it reaches.
//!
//! Source: ISO 32000-1, §9.5 to §9.10. Shapes of letters are not looked at. Limits: the tables for Chinese,
//! Japanese and Korean that a file only names are not known, unless they are of Unicode; text that runs downwards is
//! taken to run to the right.

use super::cmap::CodeMap;
use super::encoding::{Encoding, letter_named};
use super::widths::standard_width;
use hayro_syntax::object::{Array, Dict, Name, Number, Object, Stream};
use std::collections::BTreeMap;

/// Most widths that a font may tell.
const MOST_WIDTHS: usize = 70_000;

/// One letter as a text shows it.
pub(super) struct Shown {
    /// The letters; empty where the font does not tell.
    pub(super) letters: String,
    /// Width as part of the size.
    pub(super) width: f64,
    /// Whether it is the code 32 in one byte, which takes word spacing.
    pub(super) is_space: bool,
}

/// What a font tells about its letters.
pub(super) struct Font {
    to_unicode: Option<CodeMap>,
    kind: Kind,
}

enum Kind {
    /// One byte a letter: letter and width of each code.
    Simple { letters: Vec<Option<char>>, widths: Vec<f64> },
    /// Several bytes a letter.
    Composite { codes: CodeMap, widths: BTreeMap<u32, f64>, width: f64, unicode: bool },
}

impl Font {
    pub(super) fn of(dict: &Dict<'_>) -> Self {
        let table = |key: &str| dict.get::<Stream<'_>>(key).and_then(|stream| stream.decoded_data().ok());
        let to_unicode = table("ToUnicode").map(|bytes| CodeMap::of(&bytes));
        let composite = dict.get::<Name<'_>>("Subtype").is_some_and(|name| &*name == b"Type0");
        let kind = if composite { composite_of(dict) } else { simple_of(dict) };
        Self { to_unicode, kind }
    }

    /// The letters of a text, one after the other.
    pub(super) fn show(&self, text: &[u8]) -> Vec<Shown> {
        let told = |code: u32| self.to_unicode.as_ref().and_then(|map| map.letters_of(code));
        match &self.kind {
            Kind::Simple { letters, widths } => text
                .iter()
                .map(|byte| {
                    let index = usize::from(*byte);
                    let own = || letters.get(index).copied().flatten().map(String::from);
                    Shown {
                        letters: told(u32::from(*byte)).map(str::to_owned).or_else(own).unwrap_or_default(),
                        width: widths.get(index).copied().unwrap_or(0.5),
                        is_space: *byte == 32,
                    }
                })
                .collect(),
            Kind::Composite { codes, widths, width, unicode } => {
                let mut shown = Vec::new();
                let mut rest = text;
                while let Some((code, length)) = codes.next(rest) {
                    let own = || unicode.then(|| char::from_u32(code)).flatten().map(String::from);
                    shown.push(Shown {
                        letters: told(code).map(str::to_owned).or_else(own).unwrap_or_default(),
                        width: widths.get(&codes.number_of(code)).copied().unwrap_or(*width),
                        is_space: length == 1 && code == 32,
                    });
                    rest = rest.get(length..).unwrap_or_default();
                }
                shown
            }
        }
    }
}

fn simple_of(dict: &Dict<'_>) -> Kind {
    let font = dict.get::<Name<'_>>("BaseFont").map(|name| name.as_str().to_owned()).unwrap_or_default();
    let (mut base, mut differences) = (None, None);
    match dict.get::<Object<'_>>("Encoding") {
        Some(Object::Name(name)) => base = Encoding::named(&name),
        Some(Object::Dict(own)) => {
            base = own.get::<Name<'_>>("BaseEncoding").and_then(|name| Encoding::named(&name));
            differences = own.get::<Array<'_>>("Differences");
        }
        _ => {}
    }
    // An own table of the font file is not read; what TrueType fonts use without one is as good a guess.
    let truetype = dict.get::<Name<'_>>("Subtype").is_some_and(|name| &*name == b"TrueType");
    let base = base.unwrap_or(if truetype { Encoding::WinAnsi } else { Encoding::Standard });
    let mut letters: Vec<Option<char>> = (0..=255).map(|code| base.letter(code)).collect();
    let mut code = 0_usize;
    for item in differences.iter().flat_map(|array| array.iter::<Object<'_>>()) {
        match item {
            Object::Number(number) => code = usize::try_from(number.as_i64()).unwrap_or(256),
            Object::Name(name) => {
                if let Some(letter) = letters.get_mut(code) {
                    *letter = letter_named(&name);
                }
                code = code.saturating_add(1);
            }
            _ => {}
        }
    }
    // Type 3 fonts measure in their own space.
    let unit = match dict.get::<Array<'_>>("FontMatrix") {
        Some(matrix) => matrix.iter::<Number>().next().map_or(1e-3, |scale| scale.as_f64().abs()),
        None => 1e-3,
    };
    let first = dict.get::<i32>("FirstChar").and_then(|code| usize::try_from(code).ok()).unwrap_or(0);
    let missing = dict.get::<Dict<'_>>("FontDescriptor").and_then(|of| of.get::<f64>("MissingWidth"));
    let widths = match dict.get::<Array<'_>>("Widths") {
        Some(told) => {
            let mut widths = vec![missing.unwrap_or(0.0) * unit; 256];
            for (width, told) in widths.iter_mut().skip(first).zip(told.iter::<Number>()) {
                *width = told.as_f64() * unit;
            }
            widths
        }
        None => letters.iter().map(|letter| standard_width(&font, letter.unwrap_or('n')) * 1e-3).collect(),
    };
    Kind::Simple { letters, widths }
}

fn composite_of(dict: &Dict<'_>) -> Kind {
    let (codes, unicode) = match dict.get::<Object<'_>>("Encoding") {
        Some(Object::Stream(stream)) => {
            (stream.decoded_data().map(|bytes| CodeMap::of(&bytes)).unwrap_or_default(), false)
        }
        Some(Object::Name(name)) => {
            let unicode = name.windows(4).any(|part| part == b"UCS2" || part == b"UTF1");
            (CodeMap::default(), unicode)
        }
        _ => (CodeMap::default(), false),
    };
    let below = dict.get::<Array<'_>>("DescendantFonts").and_then(|fonts| fonts.iter::<Dict<'_>>().next());
    let width = below.as_ref().and_then(|font| font.get::<f64>("DW")).unwrap_or(1000.0) * 1e-3;
    let mut widths = BTreeMap::new();
    let told = below.as_ref().and_then(|font| font.get::<Array<'_>>("W"));
    let mut pending: Vec<u32> = Vec::new();
    for item in told.iter().flat_map(|array| array.iter::<Object<'_>>()) {
        if widths.len() > MOST_WIDTHS {
            break;
        }
        match item {
            Object::Array(each) => {
                let first = pending.pop().unwrap_or(0);
                pending.clear();
                let each = each.iter::<Number>().map(|width| width.as_f64() * 1e-3);
                widths.extend((first..).zip(each).take(MOST_WIDTHS));
            }
            Object::Number(number) => {
                if let [first, last] = pending[..] {
                    let last = last.min(first.saturating_add(u32::from(u16::MAX)));
                    widths.extend((first..=last).map(|code| (code, number.as_f64() * 1e-3)));
                    pending.clear();
                } else {
                    pending.push(u32::try_from(number.as_i64()).unwrap_or(0));
                }
            }
            _ => {}
        }
    }
    Kind::Composite { codes, widths, width, unicode }
}
