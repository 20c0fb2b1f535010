//! Numbers as the standard writes them, and as programs do that don't keep to it.
//!
//! Source: ISO 32000-1, §7.3.3: a sign, digits, a point; no exponent.

/// Most digits that an `u64` holds whatever they are.
const MOST_DIGITS: u32 = 18;

/// A number as the standard writes it: a sign, digits, a point.
pub(super) fn plain_number(word: &[u8]) -> Option<f64> {
    let (negative, digits) = match word.split_first()? {
        (b'-', rest) => (true, rest),
        (b'+', rest) => (false, rest),
        _ => (false, word),
    };
    let (mut whole, mut decimals, mut count, mut pointed) = (0_u64, 0_u32, 0_u32, false);
    for &byte in digits {
        match byte {
            b'0'..=b'9' => {
                count += 1;
                if count > MOST_DIGITS {
                    return long_number(word);
                }
                whole = 10 * whole + u64::from(byte - b'0');
                decimals += u32::from(pointed);
            }
            b'.' if !pointed => pointed = true,
            _ => return None,
        }
    }
    if count == 0 {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "as exact as the digits of a number that is rounded once")]
    let magnitude = whole as f64 / POWERS.get(decimals as usize).copied().unwrap_or(f64::INFINITY);
    Some(if negative { -magnitude } else { magnitude })
}

const POWERS: [f64; 19] =
    [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18];

/// A number with more digits than fit, still as the standard writes it.
fn long_number(word: &[u8]) -> Option<f64> {
    let plain = word.iter().skip(1).all(|byte| byte.is_ascii_digit() || *byte == b'.');
    let text = std::str::from_utf8(word).ok().filter(|_| plain)?;
    text.parse().ok()
}

/// What other programs make of a number that is none: with an exponent, two signs, or a sign in its middle.
pub(super) fn odd_number(word: &[u8]) -> Option<f64> {
    let text = std::str::from_utf8(word).ok()?;
    if let Some(number) = text.parse::<f64>().ok().filter(|number| number.is_finite()) {
        return Some(number);
    }
    let sign = if text.starts_with('-') { -1.0 } else { 1.0 };
    let digits = text.trim_start_matches(['-', '+']);
    let end = digits.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(digits.len());
    let number: f64 = digits[..end].parse().ok()?;
    // An exponent beyond all numbers is no number at all.
    let kept = digits[end..].starts_with(['-', '+']);
    kept.then_some(sign * number).filter(|number| number.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn plain_numbers_are_read_as_rust_reads_them(text in "[+-]?[0-9]{1,12}(\\.[0-9]{0,6})?") {
            let expected: f64 = text.parse().unwrap();
            let found = plain_number(text.as_bytes()).unwrap();
            prop_assert!((found - expected).abs() <= 1e-15 * expected.abs());
        }
    }
}
