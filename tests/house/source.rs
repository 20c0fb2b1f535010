//! Reads a source file as far as the house needs it: words and signs without comments and quoted text, the paths
//! that lead into other rooms, and what belongs to tests.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// A file of the library, as the house sees it.
pub(super) struct File {
    /// From the top of the project, with `/`.
    pub(super) name: String,
    pub(super) text: String,
    pub(super) tokens: Vec<Token>,
}

impl File {
    pub(super) fn read(top: &Path, path: &Path) -> Self {
        let text = fs::read_to_string(path).unwrap();
        let name = path.strip_prefix(top).unwrap().to_string_lossy().replace('\\', "/");
        let tokens = tokens(&text);
        Self { name, text, tokens }
    }

    /// The modules down to this file, `["garment", "aims"]`.
    fn modules(&self) -> Vec<&str> {
        let inner = self.name.strip_prefix("src/").unwrap();
        let inner = inner.strip_suffix(".rs").unwrap();
        let mut modules: Vec<_> = inner.split('/').collect();
        if modules.last() == Some(&"mod") {
            modules.pop();
        }
        modules
    }

    pub(super) fn room(&self) -> &str {
        self.modules()[0]
    }

    pub(super) fn token(&self, index: usize) -> &str {
        self.tokens.get(index).map_or("", |token| &token.text)
    }

    /// Every path from the crate's root: (line, first name).
    pub(super) fn paths_from_the_root(&self) -> Vec<(usize, String)> {
        let mut found = Vec::new();
        let depth = if self.room() == "lib" { 0 } else { self.modules().len() };
        // Modules opened in the file, by the brace that closes them.
        let (mut braces, mut inline) = (0_usize, Vec::new());
        let mut index = 0;
        while index < self.tokens.len() {
            match self.token(index) {
                "{" => {
                    braces += 1;
                    if index >= 2 && self.token(index - 2) == "mod" {
                        inline.push(braces);
                    }
                }
                "}" => {
                    if inline.last() == Some(&braces) {
                        inline.pop();
                    }
                    braces = braces.saturating_sub(1);
                }
                "crate" | "chalkbeam" if self.token(index + 1) == "::" => {
                    found.extend(self.first_names(index + 2));
                }
                "super" if self.token(index.wrapping_sub(1)) != "::" => {
                    let mut climbed = 1;
                    while self.token(index + 1) == "::" && self.token(index + 2) == "super" {
                        climbed += 1;
                        index += 2;
                    }
                    if climbed >= depth + inline.len() && self.token(index + 1) == "::" {
                        found.extend(self.first_names(index + 2));
                    }
                }
                _ => {}
            }
            index += 1;
        }
        found
    }

    /// The name at a place, or, at an opening brace, the first name of each branch: `a` and `b` of `{a::c, b}`.
    fn first_names(&self, at: usize) -> Vec<(usize, String)> {
        if self.token(at) != "{" {
            return self.tokens.get(at).map(|token| (token.line, token.text.clone())).into_iter().collect();
        }
        let (mut names, mut depth) = (Vec::new(), 0_usize);
        for index in at..self.tokens.len() {
            match self.token(index) {
                "{" => depth += 1,
                "}" => depth -= 1,
                _ => {
                    let opens = matches!(self.token(index - 1), "{" | ",");
                    if depth == 1 && opens && self.token(index) != "," {
                        names.push((self.tokens[index].line, self.token(index).to_owned()));
                    }
                }
            }
            if depth == 0 {
                break;
            }
        }
        names
    }

    /// Every name that a path or a `use` begins with, but for the file's own modules: (line, name).
    pub(super) fn outside_names(&self) -> Vec<(usize, &str)> {
        let own: BTreeSet<&str> = (1..self.tokens.len())
            .filter(|&index| self.token(index - 1) == "mod")
            .map(|index| self.token(index))
            .collect();
        (0..self.tokens.len())
            .filter(|&index| !own.contains(self.token(index)))
            .filter(|&index| {
                let (before, after) = (self.token(index.wrapping_sub(1)), self.token(index + 1));
                let begins_path = after == "::" && before != "::";
                // `use png;`, `use png as p;` and `::png`.
                let used_whole = before == "use" && matches!(after, ";" | "as");
                begins_path || used_whole
            })
            .map(|index| (self.tokens[index].line, self.token(index)))
            .collect()
    }

    /// Which tokens belong to tests: everything under a `#[cfg(test)]`.
    pub(super) fn in_tests(&self) -> Vec<bool> {
        let mut tests = vec![false; self.tokens.len()];
        let mut index = 0;
        while index < self.tokens.len() {
            let attribute = ["#", "[", "cfg", "(", "test", ")", "]"];
            let here = attribute.iter().enumerate().all(|(offset, text)| self.token(index + offset) == *text);
            if !here {
                index += 1;
                continue;
            }
            // To the end of the item: its semicolon, or the brace that closes it.
            let mut depth = 0_usize;
            while index < self.tokens.len() {
                tests[index] = true;
                match self.token(index) {
                    "{" => depth += 1,
                    "}" => depth = depth.saturating_sub(1),
                    _ => {}
                }
                let ends = depth == 0 && matches!(self.token(index), ";" | "}");
                index += 1;
                if ends {
                    break;
                }
            }
        }
        tests
    }
}

/// A word or a sign of the source, without comments and text in quotes.
pub(super) struct Token {
    pub(super) line: usize,
    text: String,
}

fn tokens(text: &str) -> Vec<Token> {
    let source: Vec<char> = text.chars().collect();
    let (mut tokens, mut line, mut at) = (Vec::new(), 1, 0);
    let word = |c: char| c.is_alphanumeric() || c == '_';
    while at < source.len() {
        let (here, next) = (source[at], source.get(at + 1).copied().unwrap_or(' '));
        let end = match here {
            '/' if next == '/' => skip_while(&source, at, |c| c != '\n'),
            '/' if next == '*' => end_of_comment(&source, at),
            '"' => end_of_quotes(&source, at + 1),
            'r' | 'b' if matches!(next, '"' | '#' | 'r') && opens_raw(&source, at).is_some() => {
                end_of_raw(&source, at)
            }
            // A character in quotes; a lifetime has no second quote that near.
            '\'' if next == '\\' => skip_while(&source, at + 3, |c| c != '\'') + 1,
            '\'' if source.get(at + 2) == Some(&'\'') => at + 3,
            _ if word(here) => {
                let end = skip_while(&source, at, word);
                let text = source[at..end].iter().collect();
                tokens.push(Token { line, text });
                end
            }
            ':' if next == ':' => {
                tokens.push(Token { line, text: "::".to_owned() });
                at + 2
            }
            _ => {
                if !here.is_whitespace() {
                    tokens.push(Token { line, text: here.to_string() });
                }
                at + 1
            }
        };
        let end = end.min(source.len());
        line += source[at..end].iter().filter(|c| **c == '\n').count();
        at = end;
    }
    tokens
}

fn skip_while(source: &[char], mut at: usize, goes_on: impl Fn(char) -> bool) -> usize {
    while at < source.len() && goes_on(source[at]) {
        at += 1;
    }
    at
}

fn end_of_comment(source: &[char], at: usize) -> usize {
    let closes = |at: &usize| source[*at] == '*' && source.get(at + 1) == Some(&'/');
    (at + 2..source.len()).find(closes).map_or(source.len(), |at| at + 2)
}

fn end_of_quotes(source: &[char], mut at: usize) -> usize {
    while at < source.len() && source[at] != '"' {
        at += if source[at] == '\\' { 2 } else { 1 };
    }
    at + 1
}

/// The hashes of raw text that opens here, `r#"`.
fn opens_raw(source: &[char], at: usize) -> Option<usize> {
    let at = at + usize::from(source[at] == 'b');
    let start = at + usize::from(source.get(at) == Some(&'r'));
    let hashes = skip_while(source, start, |c| c == '#');
    let raw = start > at || hashes == start;
    (raw && source.get(hashes) == Some(&'"')).then_some(hashes - start)
}

fn end_of_raw(source: &[char], at: usize) -> usize {
    let Some(hashes) = opens_raw(source, at) else {
        return at + 1;
    };
    let start = skip_while(source, at, |c| c != '"') + 1;
    if source[at..start].iter().all(|c| *c != 'r') {
        return end_of_quotes(source, start);
    }
    let closes = |at: &usize| {
        source[*at] == '"' && source[at + 1..].iter().take(hashes).filter(|c| **c == '#').count() == hashes
    };
    (start..source.len()).find(closes).map_or(source.len(), |at| at + 1 + hashes)
}

/// A file that is not on the disk, for the laws of the scanner itself.
fn imagined(name: &str, text: &str) -> File {
    File { name: name.to_owned(), text: text.to_owned(), tokens: tokens(text) }
}

#[test]
fn the_scanner_sees_every_way_into_another_room() {
    let text = "use crate::light::Device;\nuse crate::{\n    desk::Session,\n    floor::{FloorView, keys},\n};\n\
                // crate::sheet in a comment\nfn f<'a>(c: char) { let quoted = \"crate::body\"; let q = '\"'; super::super::scene::g() }\n\
                mod tests { use super::super::super::aim::Aim; use super::super::sibling; }";
    let file = imagined("src/garment/aims.rs", text);
    let found: Vec<_> = file.paths_from_the_root();
    let expected = [(1, "light"), (3, "desk"), (4, "floor"), (7, "scene"), (8, "aim")];
    assert_eq!(found, expected.map(|(line, room)| (line, room.to_owned())).to_vec());
    assert_eq!(file.room(), "garment");
}

#[test]
fn the_scanner_sees_outside_crates_and_what_tests_may_do() {
    let file = imagined(
        "src/demo.rs",
        "use wgpu::{Device, Queue};\nuse png;\nfn f() { winit::go(); my::egui::x(); r#\"lyon::x\"#; }\nmod ron;\nuse ron::gather;\n#[cfg(test)]\nmod tests { fn g() { a.unwrap() } }\nfn h() { b.unwrap() }",
    );
    let names: Vec<_> = file.outside_names();
    assert_eq!(names, [(1, "wgpu"), (2, "png"), (3, "winit"), (3, "my")]);
    let tests = file.in_tests();
    let unwraps: Vec<_> = (0..file.tokens.len())
        .filter(|&index| file.token(index) == "unwrap")
        .map(|index| tests[index])
        .collect();
    assert_eq!(unwraps, [true, false]);
}
