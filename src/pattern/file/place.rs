//! Where in a RON text a thing stands.
//!
//! The RON reader tells lines only for what it cannot read. For what it can read but a pattern cannot be (an
//! open outline, an unknown corner), the text is gone through once more to the thing's own line. The text is
//! known to be well-formed by then; anything else ends the search and no place is told.

/// A step into a RON text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step {
    /// Into the field of that name.
    Field(&'static str),
    /// To the item of a list, counted from 0.
    Item(usize),
}

/// Byte offset at which the thing at the end of `steps` begins; where the way ends early, as far as it goes.
pub(super) fn locate(text: &str, steps: &[Step]) -> Option<usize> {
    let mut tokens = Tokens { text, at: 0 };
    let mut found = None;
    let mut token = tokens.next()?;
    for step in steps {
        // A struct or a variant may be named before its bracket.
        while token.kind == Kind::Word {
            token = tokens.next()?;
        }
        if !matches!(token.kind, Kind::Open) {
            return found;
        }
        let mut item = 0;
        token = loop {
            let first = tokens.next()?;
            if first.kind == Kind::Close {
                return found;
            }
            let here = match step {
                Step::Item(index) => (item == *index).then_some(first),
                Step::Field(name) => {
                    let named = first.kind == Kind::Word && &text[first.start..first.end] == *name;
                    let colon = named.then(|| tokens.next()).flatten();
                    colon.filter(|token| token.kind == Kind::Colon).and_then(|_| tokens.next())
                }
            };
            if let Some(here) = here {
                found = Some(match step {
                    Step::Field(_) => first.start,
                    Step::Item(_) => here.start,
                });
                break here;
            }
            if tokens.skip_item(first)? {
                return found;
            }
            item += 1;
        };
    }
    found
}

/// Whether a text holds nothing but white space and comments.
pub(super) fn is_blank(text: &str) -> bool {
    Tokens { text, at: 0 }.next().is_none()
}

/// Whether a text ends inside a bracket, a string or a comment: it was cut short.
pub(super) fn is_cut_short(text: &str) -> bool {
    let mut tokens = Tokens { text, at: 0 };
    let mut depth = 0_usize;
    while let Some(token) = tokens.next() {
        match token.kind {
            Kind::Open => depth += 1,
            Kind::Close => depth = depth.saturating_sub(1),
            Kind::Torn => return true,
            _ => {}
        }
    }
    depth > 0
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Open,
    Close,
    Comma,
    Colon,
    Word,
    Other,
    /// A string or comment without end.
    Torn,
}

#[derive(Debug, Clone, Copy)]
struct Token {
    kind: Kind,
    start: usize,
    end: usize,
}

struct Tokens<'a> {
    text: &'a str,
    at: usize,
}

impl Tokens<'_> {
    fn next(&mut self) -> Option<Token> {
        let start = loop {
            let rest = &self.text[self.at..];
            let trimmed = rest.trim_start();
            self.at += rest.len() - trimmed.len();
            if trimmed.starts_with("//") {
                self.at += trimmed.find('\n').unwrap_or(trimmed.len());
            } else if trimmed.starts_with("/*") {
                match block_comment_length(trimmed) {
                    Some(length) => self.at += length,
                    None => return Some(self.take(Kind::Torn, trimmed.len())),
                }
            } else {
                break self.at;
            }
        };
        let rest = &self.text[start..];
        let first = rest.chars().next()?;
        let single = |kind| Some((kind, first.len_utf8()));
        let (kind, length) = match first {
            '(' | '[' | '{' => single(Kind::Open),
            ')' | ']' | '}' => single(Kind::Close),
            ',' => single(Kind::Comma),
            ':' => single(Kind::Colon),
            '"' => Some(string_length(rest).map_or((Kind::Torn, rest.len()), |length| (Kind::Other, length))),
            'r' if rest[1..].starts_with(['"', '#']) => raw_length(rest),
            _ => None,
        }
        .unwrap_or_else(|| word_length(rest));
        Some(self.take(kind, length))
    }

    fn take(&mut self, kind: Kind, length: usize) -> Token {
        let start = self.at;
        self.at += length;
        let end = self.at;
        Token { kind, start, end }
    }

    /// Goes past the rest of an item of which `first` was read; answers whether the bracket around it closed.
    fn skip_item(&mut self, first: Token) -> Option<bool> {
        let mut depth = usize::from(first.kind == Kind::Open);
        if depth == 0 && first.kind == Kind::Comma {
            return Some(false);
        }
        loop {
            match self.next()?.kind {
                Kind::Open => depth += 1,
                Kind::Close if depth == 0 => return Some(true),
                Kind::Close => depth -= 1,
                Kind::Comma if depth == 0 => return Some(false),
                _ => {}
            }
        }
    }
}

fn word_length(rest: &str) -> (Kind, usize) {
    let ends = |c: char| c.is_whitespace() || "()[]{},:\"/".contains(c);
    let length = rest.find(ends).filter(|length| *length > 0);
    let length = length.unwrap_or_else(|| {
        let one = rest.chars().next().map_or(0, char::len_utf8);
        if rest[..one].contains(ends) { one } else { rest.len() }
    });
    let word = rest.starts_with(|c: char| c.is_alphabetic() || c == '_');
    (if word { Kind::Word } else { Kind::Other }, length)
}

fn string_length(rest: &str) -> Option<usize> {
    let mut escaped = false;
    rest.char_indices().skip(1).find_map(|(index, c)| {
        let ends = c == '"' && !escaped;
        escaped = c == '\\' && !escaped;
        ends.then_some(index + 1)
    })
}

/// A raw string `r#"…"#`; `None` where it is a raw name instead.
fn raw_length(rest: &str) -> Option<(Kind, usize)> {
    let fences = rest[1..].bytes().take_while(|byte| *byte == b'#').count();
    let body = rest.get(1 + fences..)?.strip_prefix('"')?;
    let close = format!("\"{}", "#".repeat(fences));
    Some(match body.find(&close) {
        Some(index) => (Kind::Other, 2 + fences + index + close.len()),
        None => (Kind::Torn, rest.len()),
    })
}

fn block_comment_length(rest: &str) -> Option<usize> {
    let bytes = rest.as_bytes();
    let (mut depth, mut at) = (0_usize, 0);
    while at + 1 < bytes.len() {
        match &bytes[at..at + 2] {
            b"/*" => {
                depth += 1;
                at += 2;
            }
            b"*/" => {
                depth -= 1;
                at += 2;
                if depth == 0 {
                    return Some(at);
                }
            }
            _ => at += 1,
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = r##"// a comment, with ( brackets
(
    name: "a (b", /* [ nested /* ( */ */
    raw: r#"x"y"#,
    list: [(id: "one", at: (1, 2)), Named(id: "two", at: (3, -4.5))],
)"##;

    #[test]
    fn a_field_of_an_item_of_a_list_is_found() {
        let text = TEXT;
        let steps = [Step::Field("list"), Step::Item(1), Step::Field("at")];
        let offset = locate(text, &steps).unwrap();
        assert!(text[offset..].starts_with("at: (3, -4.5)"), "{}", &text[offset..]);
    }

    #[test]
    fn a_way_that_ends_early_leads_as_far_as_it_goes() {
        let text = TEXT;
        let offset = locate(text, &[Step::Field("list"), Step::Item(7)]).unwrap();
        assert!(text[offset..].starts_with("list:"));
        assert_eq!(locate(text, &[Step::Field("nothing")]), None);
    }

    #[test]
    fn a_text_that_ends_in_a_bracket_was_cut_short() {
        let text = TEXT;
        assert!(!is_cut_short(text));
        assert!(is_cut_short(&text[..text.len() - 1]));
        assert!(is_cut_short("(name: \"a)"));
        assert!(is_blank(" // nothing\n /* at all */ "));
    }
}
