//! Colours, well enough to tell lines apart.
//!
//! Source: ISO 32000-1, §8.6. Device colours as they are, CMYK without profiles (red = (1 − C)(1 − K)), profiles by
//! their number of parts, spot colours by the ends of their table. A spot colour whose table is a program gets
//! a colour made of its name, so that two of them stay two.

use super::MOST_NESTED;
use hayro_syntax::object::{Array, Dict, Name, Number, Object, Stream, String as Text};

/// Red, green and blue.
pub(super) type Colour = [u8; 3];

/// A way to say colours.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) enum Space {
    #[default]
    Grey,
    Rgb,
    Cmyk,
    Lab,
    Indexed {
        base: Box<Self>,
        table: Vec<u8>,
    },
    Spot {
        base: Box<Self>,
        /// The colour without and with all of the ink, in the base.
        ends: Option<(Vec<f64>, Vec<f64>)>,
        /// A colour to tell it by, where its table is a program.
        by_name: Colour,
        inks: usize,
    },
    Pattern,
}

/// The grey that stands for a pattern.
const PATTERN: Colour = [128; 3];

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to what fits before the cast"
)]
fn byte(part: f64) -> u8 {
    (255.0 * part).round().clamp(0.0, 255.0) as u8
}

impl Space {
    /// The space that an object describes; names are looked for in the resources.
    pub(super) fn of(object: &Object<'_>, named: &Dict<'_>, depth: usize) -> Option<Self> {
        if depth > MOST_NESTED {
            return None;
        }
        match object {
            Object::Name(name) => match &**name {
                b"DeviceGray" | b"CalGray" | b"G" => Some(Self::Grey),
                b"DeviceRGB" | b"CalRGB" | b"RGB" => Some(Self::Rgb),
                b"DeviceCMYK" | b"CMYK" => Some(Self::Cmyk),
                b"Pattern" => Some(Self::Pattern),
                other => Self::of(&named.get::<Object<'_>>(other)?, named, depth + 1),
            },
            Object::Array(parts) => Self::of_parts(parts, named, depth),
            _ => None,
        }
    }

    fn of_parts(parts: &Array<'_>, named: &Dict<'_>, depth: usize) -> Option<Self> {
        let mut parts = parts.iter::<Object<'_>>();
        let Object::Name(kind) = parts.next()? else { return None };
        Some(match &*kind {
            b"ICCBased" => {
                let Object::Stream(profile) = parts.next()? else { return None };
                match profile.dict().get::<i32>("N")? {
                    1 => Self::Grey,
                    4 => Self::Cmyk,
                    _ => Self::Rgb,
                }
            }
            b"Lab" => Self::Lab,
            b"Indexed" | b"I" => {
                let base = Box::new(Self::of(&parts.next()?, named, depth + 1)?);
                let _last = parts.next()?;
                let table = match parts.next()? {
                    Object::String(text) => text.as_bytes().to_vec(),
                    Object::Stream(stream) => stream.decoded_data().ok()?.into_owned(),
                    _ => return None,
                };
                Self::Indexed { base, table }
            }
            b"Separation" | b"DeviceN" => {
                let names = parts.next()?;
                let inks = match &names {
                    Object::Array(names) => names.raw_iter().count().max(1),
                    _ => 1,
                };
                let base = Box::new(Self::of(&parts.next()?, named, depth + 1)?);
                let ends = parts.next().filter(|_| inks == 1).and_then(|table| ends_of(&table));
                Self::Spot { base, ends, by_name: named_colour(&names), inks }
            }
            _ => return Self::of(&Object::Name(kind), named, depth + 1),
        })
    }

    /// How many numbers a colour has.
    fn parts(&self) -> usize {
        match self {
            Self::Grey | Self::Indexed { .. } => 1,
            Self::Rgb | Self::Lab => 3,
            Self::Cmyk => 4,
            Self::Spot { inks, .. } => *inks,
            Self::Pattern => 0,
        }
    }

    /// The colour that a space begins with.
    pub(super) fn first(&self) -> Colour {
        match self {
            Self::Spot { inks, .. } => self.colour(&vec![1.0; *inks]),
            Self::Cmyk => [0; 3],
            _ => self.colour(&vec![0.0; self.parts()]),
        }
    }

    /// The colour of some numbers; what is missing is 0.
    pub(super) fn colour(&self, numbers: &[f64]) -> Colour {
        let at =
            |index: usize| numbers.get(index).copied().filter(|number| number.is_finite()).unwrap_or(0.0);
        match self {
            Self::Grey => [byte(at(0)); 3],
            Self::Rgb => [byte(at(0)), byte(at(1)), byte(at(2))],
            Self::Cmyk => [0, 1, 2].map(|part| byte((1.0 - at(part)) * (1.0 - at(3)))),
            Self::Lab => lab(at(0), at(1), at(2)),
            Self::Indexed { base, table } => {
                let count = base.parts().max(1);
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "clamped to what fits before the cast"
                )]
                let from = count * at(0).clamp(0.0, 4095.0) as usize;
                let entry = table.get(from..from + count).unwrap_or_default();
                let numbers: Vec<f64> = entry.iter().map(|byte| f64::from(*byte) / 255.0).collect();
                base.colour(&numbers)
            }
            Self::Spot { base, ends: Some((none, all)), .. } => {
                let mixed = none.iter().zip(all).map(|(none, all)| none + at(0) * (all - none));
                base.colour(&mixed.collect::<Vec<_>>())
            }
            Self::Spot { by_name, inks, .. } => {
                let ink = (0..*inks).map(at).fold(0.0, f64::max).clamp(0.0, 1.0);
                by_name.map(|part| byte(1.0 - ink * (1.0 - f64::from(part) / 255.0)))
            }
            Self::Pattern => PATTERN,
        }
    }
}

/// What a table of one ink gives for nothing and for all of it (§7.10.2 and §7.10.3).
fn ends_of(table: &Object<'_>) -> Option<(Vec<f64>, Vec<f64>)> {
    let numbers = |dict: &Dict<'_>, key: &str| -> Option<Vec<f64>> {
        Some(dict.get::<Array<'_>>(key)?.iter::<Number>().map(|number| number.as_f64()).take(32).collect())
    };
    match table {
        Object::Dict(dict) if dict.get::<i32>("FunctionType") == Some(2) => Some((
            numbers(dict, "C0").unwrap_or_else(|| vec![0.0]),
            numbers(dict, "C1").unwrap_or_else(|| vec![1.0]),
        )),
        Object::Stream(stream) if stream.dict().get::<i32>("FunctionType") == Some(0) => sampled(stream),
        _ => None,
    }
}

fn sampled(stream: &Stream<'_>) -> Option<(Vec<f64>, Vec<f64>)> {
    let dict = stream.dict();
    let range = dict.get::<Array<'_>>("Range")?.iter::<Number>().count() / 2;
    if dict.get::<i32>("BitsPerSample")? != 8 || !(1..=32).contains(&range) {
        return None;
    }
    let samples = stream.decoded_data().ok()?;
    let part = |bytes: &[u8]| bytes.iter().map(|byte| f64::from(*byte) / 255.0).collect::<Vec<_>>();
    Some((part(samples.get(..range)?), part(samples.get(samples.len().checked_sub(range)?..)?)))
}

/// A colour made of a name: black for the inks that print everywhere, else one of many.
fn named_colour(names: &Object<'_>) -> Colour {
    let name: Vec<u8> = match names {
        Object::Name(name) => name.to_vec(),
        Object::Array(names) => names.iter::<Name<'_>>().flat_map(|name| name.to_vec()).collect(),
        Object::String(text) => Text::as_bytes(text).to_vec(),
        _ => Vec::new(),
    };
    if matches!(&name[..], b"All" | b"Black") {
        return [0; 3];
    }
    let sum = name.iter().fold(7_u32, |sum, byte| sum.wrapping_mul(31).wrapping_add(u32::from(*byte)));
    let [a, b, c, _] = sum.to_le_bytes();
    [a, b, c].map(|part| part % 200)
}

/// CIE L*a*b* with the white of D50, to sRGB (IEC 61966-2-1; the matrix for D50 by Bradford's method).
fn lab(lightness: f64, a: f64, b: f64) -> Colour {
    let y = (lightness + 16.0) / 116.0;
    let part = |t: f64| if t > 6.0 / 29.0 { t * t * t } else { (t - 4.0 / 29.0) * 108.0 / 841.0 };
    let (x, y, z) = (0.9642 * part(y + a / 500.0), part(y), 0.8249 * part(y - b / 200.0));
    let linear = [
        3.1339 * x - 1.6169 * y - 0.4906 * z,
        -0.9788 * x + 1.9161 * y + 0.0335 * z,
        0.0719 * x - 0.2290 * y + 1.4052 * z,
    ];
    linear.map(|part| {
        let part = part.clamp(0.0, 1.0);
        byte(if part <= 0.003_130_8 { 12.92 * part } else { 1.055 * part.powf(1.0 / 2.4) - 0.055 })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_come_out_as_they_are_seen() {
        assert_eq!(Space::Grey.colour(&[0.5]), [128; 3]);
        assert_eq!(Space::Cmyk.colour(&[0.0, 1.0, 1.0, 0.0]), [255, 0, 0]);
        assert_eq!(Space::Cmyk.colour(&[0.0, 0.0, 0.0, 1.0]), [0, 0, 0]);
        let indexed = Space::Indexed { base: Box::new(Space::Rgb), table: vec![0, 0, 0, 1, 2, 3] };
        assert_eq!(indexed.colour(&[1.0]), [1, 2, 3]);
        assert_eq!(indexed.colour(&[7.0]), [0, 0, 0]);
        // White and a mid grey of CIE L*a*b*: L* of 53.4 is sRGB 128 (IEC 61966-2-1).
        assert_eq!(Space::Lab.colour(&[100.0, 0.0, 0.0]), [255; 3]);
        assert!(Space::Lab.colour(&[53.4, 0.0, 0.0]).iter().all(|part| part.abs_diff(128) <= 1));
    }
}
