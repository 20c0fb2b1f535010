//! Texts in the commands of a page (ISO 32000-1, §7.3.4).

use super::lex::{Commands, is_space};

pub(super) fn hex(byte: u8) -> Option<u8> {
    char::from(byte).to_digit(16).and_then(|digit| u8::try_from(digit).ok())
}

impl Commands<'_> {
    pub(super) fn hexadecimal(&mut self) -> Vec<u8> {
        let from = self.at;
        self.at += 1;
        let mut text = Vec::new();
        let mut half = None;
        loop {
            let Some(byte) = self.peek(0) else {
                self.stray(from);
                break;
            };
            self.at += 1;
            match (hex(byte), half) {
                (Some(digit), None) => half = Some(digit),
                (Some(digit), Some(high)) => {
                    text.push(16 * high + digit);
                    half = None;
                }
                (None, _) if byte == b'>' => break,
                (None, _) if is_space(byte) => {}
                (None, _) => self.stray(self.at - 1),
            }
        }
        text.extend(half.map(|high| 16 * high));
        text
    }

    /// A text in parentheses; escapes by §7.3.4.2.
    pub(super) fn literal(&mut self) -> Vec<u8> {
        let from = self.at;
        self.at += 1;
        let mut text = Vec::new();
        let mut depth = 1_usize;
        loop {
            let Some(byte) = self.peek(0) else {
                self.stray(from);
                break;
            };
            self.at += 1;
            match byte {
                b'(' => depth += 1,
                b')' => {
                    depth -= 1;
                    if depth == 0 {
                        break;
                    }
                }
                b'\\' => {
                    self.escape(&mut text);
                    continue;
                }
                _ => {}
            }
            text.push(byte);
        }
        text
    }

    fn escape(&mut self, text: &mut Vec<u8>) {
        let Some(byte) = self.peek(0) else { return };
        self.at += 1;
        match byte {
            b'n' => text.push(b'\n'),
            b'r' => text.push(b'\r'),
            b't' => text.push(b'\t'),
            b'b' => text.push(8),
            b'f' => text.push(12),
            b'\r' => {
                if self.peek(0) == Some(b'\n') {
                    self.at += 1;
                }
            }
            b'\n' => {}
            b'0'..=b'7' => {
                let mut code = u32::from(byte - b'0');
                for _ in 0..2 {
                    match self.peek(0) {
                        Some(digit @ b'0'..=b'7') => {
                            code = 8 * code + u32::from(digit - b'0');
                            self.at += 1;
                        }
                        _ => break,
                    }
                }
                text.push(u8::try_from(code & 0xff).unwrap_or(0));
            }
            other => text.push(other),
        }
    }
}
