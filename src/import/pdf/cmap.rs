//! Tables from the codes of a font to letters or to the font's own numbers (CMaps).
//!
//! Source: ISO 32000-1, §9.7.5 and §9.10.3; Adobe technical note 5014 for the commands.

use super::encoding::utf16;
use super::lex::{Commands, Operand};
use std::collections::BTreeMap;

/// Most codes that a table may name; a font has at most 65 536.
const MOST_CODES: usize = 70_000;

/// A table of codes.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct CodeMap {
    letters: BTreeMap<u32, String>,
    /// First code, last code, number of the first.
    numbers: Vec<(u32, u32, u32)>,
    /// Lengths in bytes with the first and last code of each.
    spaces: Vec<(usize, u32, u32)>,
}

/// A code of at most four bytes.
fn code(text: &[u8]) -> Option<u32> {
    (!text.is_empty() && text.len() <= 4)
        .then(|| text.iter().fold(0, |sum, byte| sum << 8 | u32::from(*byte)))
}

impl CodeMap {
    pub(super) fn of(bytes: &[u8]) -> Self {
        let mut map = Self::default();
        let mut commands = Commands::of(bytes);
        let mut operands = Vec::new();
        while let Some(word) = commands.next(&mut operands) {
            match word {
                b"endbfchar" => map.add(&operands, 2, Self::letter),
                b"endbfrange" => map.add(&operands, 3, Self::letters),
                b"endcidchar" => map.add(&operands, 2, Self::number),
                b"endcidrange" => map.add(&operands, 3, Self::numbers),
                b"endcodespacerange" => map.add(&operands, 2, Self::space),
                _ => {}
            }
        }
        map
    }

    fn add(
        &mut self,
        operands: &[Operand<'_>],
        count: usize,
        one: fn(&mut Self, &[Operand<'_>]) -> Option<()>,
    ) {
        for values in operands.chunks_exact(count) {
            if self.letters.len() + self.numbers.len() + self.spaces.len() < MOST_CODES {
                // A row that is none is passed over.
                let _row = one(self, values);
            }
        }
    }

    fn letter(&mut self, values: &[Operand<'_>]) -> Option<()> {
        let [Operand::Text(from), Operand::Text(to)] = values else { return None };
        self.letters.insert(code(from)?, utf16(to));
        Some(())
    }

    fn letters(&mut self, values: &[Operand<'_>]) -> Option<()> {
        let [Operand::Text(from), Operand::Text(to), letters] = values else { return None };
        let (from, to) = (code(from)?, code(to)?);
        match letters {
            Operand::Text(first) => {
                let (last, stem) = first.split_last()?;
                for code in from..=to.min(from.saturating_add(255)) {
                    let step = u8::try_from(code - from).ok()?;
                    let mut letter = stem.to_vec();
                    letter.push(last.checked_add(step)?);
                    self.letters.insert(code, utf16(&letter));
                }
            }
            Operand::Array(each) => {
                for (code, letter) in (from..=to).zip(each) {
                    if let Operand::Text(letter) = letter {
                        self.letters.insert(code, utf16(letter));
                    }
                }
            }
            _ => {}
        }
        Some(())
    }

    fn number(&mut self, values: &[Operand<'_>]) -> Option<()> {
        let [Operand::Text(from), Operand::Number(number)] = values else { return None };
        let code = code(from)?;
        self.numbers.push((code, code, whole(*number)?));
        Some(())
    }

    fn numbers(&mut self, values: &[Operand<'_>]) -> Option<()> {
        let [Operand::Text(from), Operand::Text(to), Operand::Number(number)] = values else { return None };
        self.numbers.push((code(from)?, code(to)?, whole(*number)?));
        Some(())
    }

    fn space(&mut self, values: &[Operand<'_>]) -> Option<()> {
        let [Operand::Text(from), Operand::Text(to)] = values else { return None };
        self.spaces.push((from.len(), code(from)?, code(to)?));
        Some(())
    }

    /// The letters of a code.
    pub(super) fn letters_of(&self, code: u32) -> Option<&str> {
        self.letters.get(&code).map(String::as_str)
    }

    /// The font's own number of a code; the code itself where the table has none.
    pub(super) fn number_of(&self, code: u32) -> u32 {
        let range = self.numbers.iter().find(|(from, to, _)| (*from..=*to).contains(&code));
        range.map_or(code, |(from, _, number)| number.saturating_add(code - from))
    }

    /// The first code of a text and its length in bytes: the shortest that the table allows, else two bytes.
    pub(super) fn next(&self, text: &[u8]) -> Option<(u32, usize)> {
        let fitting = (1..=4).find_map(|length| {
            let code = code(text.get(..length)?)?;
            let fits = |space: &(usize, u32, u32)| space.0 == length && (space.1..=space.2).contains(&code);
            self.spaces.iter().any(fits).then_some((code, length))
        });
        fitting.or_else(|| {
            let length = text.len().min(2);
            Some((code(text.get(..length)?)?, length))
        })
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "within u32 by the check before it"
)]
fn whole(number: f64) -> Option<u32> {
    (0.0..=f64::from(u32::MAX)).contains(&number).then_some(number as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_gives_letters_numbers_and_lengths() {
        let map = CodeMap::of(
            b"1 begincodespacerange <00> <7f> <8000> <ffff> endcodespacerange
              2 beginbfchar <01> <0041> <8002> <00660069> endbfchar
              2 beginbfrange <10> <12> <0061> <20> <21> [<0078> <0079>] endbfrange
              1 begincidrange <8000> <80ff> 500 endcidrange",
        );
        assert_eq!(map.letters_of(1), Some("A"));
        assert_eq!(map.letters_of(0x8002), Some("fi"));
        assert_eq!(map.letters_of(0x12), Some("c"));
        assert_eq!(map.letters_of(0x21), Some("y"));
        assert_eq!(map.number_of(0x8003), 503);
        assert_eq!(map.next(&[1, 0x80]), Some((1, 1)));
        assert_eq!(map.next(&[0x80, 2, 1]), Some((0x8002, 2)));
        assert_eq!(map.next(&[]), None);
    }
}
