//! An amount as a person typed it, with its unit.
//!
//! 15 mm is not 5/8 in (15.875 mm): the text and its unit are kept, and the millimetres are derived.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// A unit of length. One inch is 25.4 mm exactly (international yard and pound agreement, 1959).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// Millimetre.
    Mm,
    /// Centimetre.
    Cm,
    /// Inch.
    Inch,
}

impl Unit {
    /// Millimetres in one of the unit.
    #[must_use]
    pub const fn mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Cm => 10.0,
            Self::Inch => 25.4,
        }
    }

    /// The unit's sign.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Cm => "cm",
            Self::Inch => "in",
        }
    }
}

/// A length with the text that stood for it: `15 mm`, `5/8 in`, `1 1/2 in`, `4.2 cm`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Length {
    typed: String,
    amount: f64,
    unit: Unit,
}

/// Why a text is no length.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    /// Not a number that a tape shows.
    #[error(
        "“{0}” is not a length. Write it as the tape reads: 15 mm, 1.5 cm, 2.4 m, 5/8 in, 1 1/2 in or 8 ft 6 in"
    )]
    NotANumber(String),
    /// No unit, where one is needed.
    #[error("“{0}” has no unit. Add mm, cm, m, in, ft or yd")]
    NoUnit(String),
    /// Beyond any cloth.
    #[error("“{0}” is longer than any cloth (100 m). Check the number and its unit")]
    TooLarge(String),
}

impl Length {
    /// A length in millimetres, written with at most three decimals.
    #[must_use]
    pub fn from_mm(mm: f64) -> Self {
        let rounded = (mm * 1000.0).round() / 1000.0;
        Self { typed: format!("{rounded} mm"), amount: rounded, unit: Unit::Mm }
    }

    /// No length, in a unit: where an amount is still to be typed.
    #[must_use]
    pub fn nothing(unit: Unit) -> Self {
        Self { typed: format!("0 {}", unit.symbol()), amount: 0.0, unit }
    }

    /// Reads what a person typed; a bare number is taken in `bare_unit`.
    ///
    /// Understood: decimals with point or comma, fractions (`5/8`, `1 1/2`, `1½`), a sign, and the units
    /// mm, cm, in, inch, inches and the inch mark. Cloth and rooms are measured in m, yd and ft (a foot mark too, and
    /// inches after it: `8 ft 6 in`); what is counted on from such a length is counted in cm or inches.
    ///
    /// # Errors
    /// [`LengthError`] when the text is not such a number, or has no unit and `bare_unit` is `None`.
    pub fn parse(text: &str, bare_unit: Option<Unit>) -> Result<Self, LengthError> {
        let trimmed = text.trim();
        let bad = || LengthError::NotANumber(trimmed.to_owned());
        let (unit, amount) = match feet_and_inches(trimmed) {
            Some(inches) => (Some(Unit::Inch), inches),
            None => {
                let (number, unit) = split_unit(trimmed);
                let times = unit.map_or(1.0, |(_, times)| times);
                (unit.map(|(unit, _)| unit), times * number_of(number).ok_or_else(bad)?)
            }
        };
        let chosen = unit.or(bare_unit).ok_or_else(|| LengthError::NoUnit(trimmed.to_owned()))?;
        if (amount * chosen.mm()).abs() > super::tolerance::LARGEST_COORDINATE_MM {
            return Err(LengthError::TooLarge(trimmed.to_owned()));
        }
        let typed =
            if unit.is_some() { trimmed.to_owned() } else { format!("{trimmed} {}", chosen.symbol()) };
        Ok(Self { typed, amount, unit: chosen })
    }

    /// The length in millimetres.
    #[must_use]
    pub fn mm(&self) -> f64 {
        self.amount * self.unit.mm()
    }

    /// The unit that was typed; of longer ones that in which their parts are counted.
    #[must_use]
    pub const fn unit(&self) -> Unit {
        self.unit
    }
}

impl fmt::Display for Length {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.typed)
    }
}

impl FromStr for Length {
    type Err = LengthError;
    fn from_str(text: &str) -> Result<Self, LengthError> {
        Self::parse(text, None)
    }
}

impl TryFrom<String> for Length {
    type Error = LengthError;
    fn try_from(text: String) -> Result<Self, LengthError> {
        text.parse()
    }
}

impl From<Length> for String {
    fn from(length: Length) -> Self {
        length.typed
    }
}

/// The marks and words of a foot (12 in; a yard is 36, as the agreement above says).
const FEET: [&str; 6] = ["feet", "foot", "ft", "'", "′", "’"];

/// Feet with inches after them, in inches; `None` for anything else.
fn feet_and_inches(text: &str) -> Option<f64> {
    let lower = text.to_ascii_lowercase();
    let (feet, inches) = FEET.iter().find_map(|sign| lower.split_once(sign))?;
    let (inches, unit) = split_unit(inches.trim());
    matches!(unit, Some((Unit::Inch, times)) if times < 12.0).then_some(())?;
    let (feet, inches) = (number_of(feet.trim_end())?, number_of(inches)?);
    (inches >= 0.0).then(|| 12.0 * feet + inches.copysign(feet))
}

/// A text without the unit at its end; the unit in which its parts are counted, and how many of them it is.
fn split_unit(text: &str) -> (&str, Option<(Unit, f64)>) {
    const SUFFIXES: [(&str, Unit, f64); 18] = [
        ("mm", Unit::Mm, 1.0),
        ("cm", Unit::Cm, 1.0),
        ("m", Unit::Cm, 100.0),
        ("inches", Unit::Inch, 1.0),
        ("inch", Unit::Inch, 1.0),
        ("in", Unit::Inch, 1.0),
        ("\"", Unit::Inch, 1.0),
        ("″", Unit::Inch, 1.0),
        ("”", Unit::Inch, 1.0),
        (FEET[0], Unit::Inch, 12.0),
        (FEET[1], Unit::Inch, 12.0),
        (FEET[2], Unit::Inch, 12.0),
        (FEET[3], Unit::Inch, 12.0),
        (FEET[4], Unit::Inch, 12.0),
        (FEET[5], Unit::Inch, 12.0),
        ("yards", Unit::Inch, 36.0),
        ("yard", Unit::Inch, 36.0),
        ("yd", Unit::Inch, 36.0),
    ];
    for (suffix, unit, times) in SUFFIXES {
        let Some(cut) = text.len().checked_sub(suffix.len()) else {
            continue;
        };
        if text.is_char_boundary(cut) && text[cut..].eq_ignore_ascii_case(suffix) {
            return (text[..cut].trim_end(), Some((unit, times)));
        }
    }
    (text, None)
}

/// A decimal, a fraction, or a whole number and a fraction; with or without a sign.
fn number_of(text: &str) -> Option<f64> {
    let (sign, body) = match text.strip_prefix(['-', '−', '–']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, text.strip_prefix('+').unwrap_or(text).trim_start()),
    };
    let mut body = body.to_owned();
    for (sign, fraction) in VULGAR_FRACTIONS {
        body = body.replace(sign, fraction);
    }
    let mut parts = body.split_whitespace();
    let (first, second) = (parts.next()?, parts.next());
    if parts.next().is_some() {
        return None;
    }
    let value = match second {
        None => fraction_of(first).or_else(|| decimal_of(first))?,
        Some(fraction) => {
            let whole = first.bytes().all(|byte| byte.is_ascii_digit()).then(|| decimal_of(first))??;
            whole + fraction_of(fraction)?
        }
    };
    Some(sign * value)
}

const VULGAR_FRACTIONS: [(&str, &str); 7] =
    [("½", " 1/2"), ("¼", " 1/4"), ("¾", " 3/4"), ("⅛", " 1/8"), ("⅜", " 3/8"), ("⅝", " 5/8"), ("⅞", " 7/8")];

fn decimal_of(text: &str) -> Option<f64> {
    let plain = text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.' || byte == b',');
    let value: f64 = plain.then(|| text.replacen(',', ".", 1).parse().ok())??;
    value.is_finite().then_some(value)
}

fn fraction_of(text: &str) -> Option<f64> {
    let (above, below) = text.split_once('/')?;
    let (above, below) = (decimal_of(above)?, decimal_of(below)?);
    (below > 0.0).then(|| above / below)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_read_as_a_tape_is_read() {
        let cases = [
            ("40mm", 40.0),
            ("4 cm", 40.0),
            ("1.5 cm", 15.0),
            ("1,5 cm", 15.0),
            ("5/8 in", 15.875),
            ("1 1/2 in", 38.1),
            ("1½\"", 38.1),
            ("-15 mm", -15.0),
            ("−1/4 inch", -6.35),
            ("2.4 m", 2400.0),
            ("2,4m", 2400.0),
            ("3 yd", 2743.2),
            ("2 1/2 yards", 2286.0),
            ("8ft", 2438.4),
            ("8′", 2438.4),
            ("8 ft 6 in", 2590.8),
            ("8'6 1/2\"", 2603.5),
            ("-1 ft 2 in", -355.6),
            ("8 FT 6 IN", 2590.8),
        ];
        for (text, mm) in cases {
            assert!((Length::parse(text, None).unwrap().mm() - mm).abs() < 1e-12, "{text}");
        }
        assert!((Length::parse("1 1/2", Some(Unit::Inch)).unwrap().mm() - 38.1).abs() < 1e-12);
    }

    #[test]
    fn what_was_typed_is_what_is_shown() {
        assert_eq!(Length::parse("5/8 in", None).unwrap().to_string(), "5/8 in");
        assert_eq!(Length::parse("1.5", Some(Unit::Cm)).unwrap().to_string(), "1.5 cm");
    }

    #[test]
    fn nonsense_is_refused() {
        for text in [
            "",
            "mm",
            "a mm",
            "1/0 in",
            "1 2 3 cm",
            "1.5 1/2 in",
            "NaN mm",
            "inf cm",
            "1e9 mm",
            "--3 mm",
            "8 ft -6 in",
            "8 ft 6",
            "ft 6 in",
            "8 ft 6 cm",
            "8 ft 1 ft",
            "200 m",
        ] {
            assert!(Length::parse(text, None).is_err(), "{text}");
        }
        assert!(matches!(Length::parse("15", None), Err(LengthError::NoUnit(_))));
        assert!(matches!(Length::parse("200000 mm", None), Err(LengthError::TooLarge(_))));
    }
}
