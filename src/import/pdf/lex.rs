//! The words of a page's drawing commands.
//!
//! ISO 32000-1, §7.2 (characters, white space), §7.3 (objects), §7.8.2 (content streams). A page is read to its end
//! whatever stands in it: what is no word of the language is counted, with the place of the first, and passed over,
//! so that nothing is lost in silence.

use super::number::{odd_number, plain_number};
use super::strings::hex;
use std::borrow::Cow;

/// Arrays and dictionaries inside each other deeper than this are passed over.
const DEEPEST: usize = 32;

/// Most values before one command; a list of dashes or of letters has a fraction of this.
const MOST_OPERANDS: usize = 100_000;

/// A value before a command.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Operand<'a> {
    Number(f64),
    Name(Cow<'a, [u8]>),
    Text(Vec<u8>),
    Array(Vec<Self>),
    /// Keys and values one after the other.
    Dictionary(Vec<Self>),
    /// `true`, `false`, `null`.
    Other,
}

impl Operand<'_> {
    pub(super) fn number(&self) -> Option<f64> {
        if let Self::Number(number) = self { Some(*number) } else { None }
    }

    pub(super) fn name(&self) -> Option<&[u8]> {
        if let Self::Name(name) = self { Some(name) } else { None }
    }
}

/// What could not be read in a stream of commands.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Strays {
    pub(super) count: usize,
    /// Byte of the first.
    pub(super) first: usize,
}

/// Reads commands, each with the values before it.
pub(super) struct Commands<'a> {
    pub(super) bytes: &'a [u8],
    pub(super) at: usize,
    pub(super) strays: Strays,
}

enum Token<'a> {
    Value(Operand<'a>),
    Command(&'a [u8]),
    OpenArray,
    CloseArray,
    OpenDictionary,
    CloseDictionary,
}

pub(super) fn is_space(byte: u8) -> bool {
    matches!(byte, 0 | b'\t' | b'\n' | 0x0c | b'\r' | b' ')
}

fn is_delimiter(byte: u8) -> bool {
    matches!(byte, b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%')
}

impl<'a> Commands<'a> {
    pub(super) fn of(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0, strays: Strays::default() }
    }

    /// Where the next command begins.
    pub(super) fn place(&self) -> usize {
        self.at
    }

    /// Counts something that could not be read.
    pub(super) fn stray(&mut self, at: usize) {
        if self.strays.count == 0 {
            self.strays.first = at;
        }
        self.strays.count += 1;
    }

    /// The next command; its values are put into `operands`. `None` at the end.
    pub(super) fn next(&mut self, operands: &mut Vec<Operand<'a>>) -> Option<&'a [u8]> {
        operands.clear();
        while let Some((at, token)) = self.token() {
            match token {
                Token::Command(word) => return Some(word),
                Token::Value(value) => self.push(operands, value, at),
                Token::OpenArray | Token::OpenDictionary => {
                    let array = matches!(token, Token::OpenArray);
                    if let Some(value) = self.nested(array, 1) {
                        self.push(operands, value, at);
                    }
                }
                Token::CloseArray | Token::CloseDictionary => self.stray(at),
            }
        }
        if !operands.is_empty() {
            self.stray(self.bytes.len());
        }
        None
    }

    fn push(&mut self, operands: &mut Vec<Operand<'a>>, value: Operand<'a>, at: usize) {
        if operands.len() < MOST_OPERANDS {
            operands.push(value);
        } else {
            self.stray(at);
        }
    }

    /// The rest of an array or a dictionary. A command inside ends it: the bracket was lost.
    fn nested(&mut self, array: bool, depth: usize) -> Option<Operand<'a>> {
        let mut values = Vec::new();
        loop {
            let before = self.at;
            let Some((at, token)) = self.token() else {
                self.stray(self.bytes.len());
                break;
            };
            match token {
                Token::Value(value) => self.push(&mut values, value, at),
                Token::OpenArray | Token::OpenDictionary if depth < DEEPEST => {
                    if let Some(value) = self.nested(matches!(token, Token::OpenArray), depth + 1) {
                        self.push(&mut values, value, at);
                    }
                }
                Token::OpenArray | Token::OpenDictionary => self.stray(at),
                Token::CloseArray if array => break,
                Token::CloseDictionary if !array => break,
                Token::CloseArray | Token::CloseDictionary => self.stray(at),
                Token::Command(_) => {
                    self.stray(at);
                    self.at = before;
                    break;
                }
            }
        }
        Some(if array { Operand::Array(values) } else { Operand::Dictionary(values) })
    }

    pub(super) fn peek(&self, ahead: usize) -> Option<u8> {
        self.bytes.get(self.at + ahead).copied()
    }

    fn skip_space(&mut self) {
        while let Some(byte) = self.peek(0) {
            if byte == b'%' {
                while self.peek(0).is_some_and(|byte| byte != b'\n' && byte != b'\r') {
                    self.at += 1;
                }
            } else if is_space(byte) {
                self.at += 1;
            } else {
                break;
            }
        }
    }

    fn token(&mut self) -> Option<(usize, Token<'a>)> {
        loop {
            self.skip_space();
            let at = self.at;
            let token = match self.peek(0)? {
                b'[' => self.single(Token::OpenArray),
                b']' => self.single(Token::CloseArray),
                b'<' if self.peek(1) == Some(b'<') => self.double(Token::OpenDictionary),
                b'>' if self.peek(1) == Some(b'>') => self.double(Token::CloseDictionary),
                b'<' => Token::Value(Operand::Text(self.hexadecimal())),
                b'(' => Token::Value(Operand::Text(self.literal())),
                b'/' => Token::Value(Operand::Name(self.name())),
                b')' | b'>' | b'{' | b'}' => {
                    self.at += 1;
                    self.stray(at);
                    continue;
                }
                _ => match self.word(at) {
                    Some(token) => token,
                    None => continue,
                },
            };
            return Some((at, token));
        }
    }

    fn single(&mut self, token: Token<'a>) -> Token<'a> {
        self.at += 1;
        token
    }

    fn double(&mut self, token: Token<'a>) -> Token<'a> {
        self.at += 2;
        token
    }

    fn regular(&mut self) -> &'a [u8] {
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        let length = rest.iter().position(|byte| is_space(*byte) || is_delimiter(*byte));
        let word = &rest[..length.unwrap_or(rest.len())];
        self.at += word.len();
        word
    }

    fn word(&mut self, at: usize) -> Option<Token<'a>> {
        let word = self.regular();
        match word.first() {
            Some(b'0'..=b'9' | b'+' | b'-' | b'.') => match plain_number(word) {
                Some(number) => Some(Token::Value(Operand::Number(number))),
                None => {
                    self.stray(at);
                    odd_number(word).map(|number| Token::Value(Operand::Number(number)))
                }
            },
            _ if matches!(word, b"true" | b"false" | b"null") => Some(Token::Value(Operand::Other)),
            _ => Some(Token::Command(word)),
        }
    }

    fn name(&mut self) -> Cow<'a, [u8]> {
        self.at += 1;
        let word = self.regular();
        if !word.contains(&b'#') {
            return Cow::Borrowed(word);
        }
        let mut name = Vec::with_capacity(word.len());
        let mut rest = word;
        while let Some((&byte, after)) = rest.split_first() {
            rest = after;
            let digits = after.get(..2).and_then(|two| Some((hex(two[0])?, hex(two[1])?)));
            match digits {
                Some((high, low)) if byte == b'#' => {
                    name.push(16 * high + low);
                    rest = &after[2..];
                }
                _ => name.push(byte),
            }
        }
        Cow::Owned(name)
    }

    /// The picture after `BI`: its values and data are passed over (§8.9.7).
    pub(super) fn skip_picture(&mut self) {
        let from = self.at;
        let mut operands = Vec::new();
        while let Some(word) = self.next(&mut operands) {
            match word {
                b"ID" => break,
                b"EI" => return,
                _ => {}
            }
        }
        // The data end at `EI` between white space, followed by what could be commands.
        let mut at = self.at;
        while let Some(rest) = self.bytes.get(at..).filter(|rest| rest.len() >= 3) {
            let ends = is_space(rest[0]) && &rest[1..3] == b"EI" && rest.get(3).is_none_or(|b| is_space(*b));
            let ahead = &rest[3..rest.len().min(16)];
            if ends && ahead.iter().all(|byte| byte.is_ascii_graphic() || is_space(*byte)) {
                self.at = at + 3;
                return;
            }
            at += 1;
        }
        self.stray(from);
        self.at = self.bytes.len();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn all(text: &[u8]) -> (Vec<(String, Vec<Operand<'_>>)>, Strays) {
        let mut commands = Commands::of(text);
        let mut operands = Vec::new();
        let mut found = Vec::new();
        while let Some(word) = commands.next(&mut operands) {
            found.push((String::from_utf8_lossy(word).into_owned(), operands.clone()));
        }
        (found, commands.strays)
    }

    #[test]
    fn commands_come_with_the_values_before_them() {
        let (found, strays) =
            all(b"q 1 0 0 -1.5 .25 +4. cm/La#20b BDC[(a\\)\\101)-3<4142 4>]TJ % note\n[3 2]0 d");
        let words: Vec<_> = found.iter().map(|(word, _)| word.as_str()).collect();
        assert_eq!(words, ["q", "cm", "BDC", "TJ", "d"]);
        let numbers: Vec<_> = found[1].1.iter().filter_map(Operand::number).collect();
        assert_eq!(numbers, [1.0, 0.0, 0.0, -1.5, 0.25, 4.0]);
        assert_eq!(found[2].1[0].name(), Some(&b"La b"[..]));
        let shown = Operand::Array(vec![
            Operand::Text(b"a)A".to_vec()),
            Operand::Number(-3.0),
            Operand::Text(b"AB@".to_vec()),
        ]);
        assert_eq!(found[3].1, [shown]);
        assert_eq!(strays.count, 0);
    }

    #[test]
    fn what_cannot_be_read_is_counted_and_the_rest_is_read() {
        let (found, strays) = all(b"0 0 m 1.5e3 2 l >> 5 6 l 1e400 7 l 1--2 3 l S");
        let lines: Vec<Vec<f64>> = found
            .iter()
            .filter(|(word, _)| word == "l")
            .map(|(_, values)| values.iter().filter_map(Operand::number).collect())
            .collect();
        assert_eq!(lines, [vec![1500.0, 2.0], vec![5.0, 6.0], vec![7.0], vec![1.0, 3.0]]);
        assert_eq!(strays, Strays { count: 4, first: 6 });
        assert_eq!(found.last().unwrap().0, "S");
    }

    #[test]
    fn an_inline_picture_is_passed_over() {
        let mut bytes = b"q BI /W 2 /H 2 /BPC 8 ID ".to_vec();
        bytes.extend([0, 200, b' ', b'E', b'I', b' ', 0x80, 0x90, 7]);
        bytes.extend(b"\nEI Q 1 1 m");
        let mut commands = Commands::of(&bytes);
        let mut operands = Vec::new();
        assert_eq!(commands.next(&mut operands), Some(&b"q"[..]));
        assert_eq!(commands.next(&mut operands), Some(&b"BI"[..]));
        commands.skip_picture();
        assert_eq!(commands.next(&mut operands), Some(&b"Q"[..]));
        assert_eq!(commands.strays.count, 0);
    }

    proptest! {
        #[test]
        fn any_bytes_are_read_to_their_end(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
            let _ = all(&bytes);
        }
    }
}
