//! A colour as it is written: `#2a3d66`.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// An sRGB colour (IEC 61966-2-1), eight bits a channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Colour(pub [u8; 3]);

/// Why a text is no colour.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("“{0}” is not a colour. Write # and six hexadecimal digits for red, green and blue, such as #2a3d66")]
pub struct ColourError(String);

impl FromStr for Colour {
    type Err = ColourError;
    fn from_str(text: &str) -> Result<Self, ColourError> {
        let bad = || ColourError(text.to_owned());
        let digits = text.trim().strip_prefix('#').ok_or_else(bad)?;
        if digits.len() != 6 || !digits.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            return Err(bad());
        }
        let channel =
            |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).map_err(|_not_hexadecimal| bad());
        Ok(Self([channel(0)?, channel(2)?, channel(4)?]))
    }
}

impl TryFrom<String> for Colour {
    type Error = ColourError;
    fn try_from(text: String) -> Result<Self, ColourError> {
        text.parse()
    }
}

impl fmt::Display for Colour {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [red, green, blue] = self.0;
        write!(formatter, "#{red:02x}{green:02x}{blue:02x}")
    }
}

impl From<Colour> for String {
    fn from(colour: Colour) -> Self {
        colour.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_colour_reads_back_as_it_was_written() {
        assert_eq!("#2A3d66".parse::<Colour>().unwrap().to_string(), "#2a3d66");
        for text in ["2a3d66", "#2a3d6", "#2a3d6g", "#é2a3d", ""] {
            assert!(text.parse::<Colour>().is_err(), "{text}");
        }
    }
}
