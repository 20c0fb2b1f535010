//! Files that were made to drown a reader: what is counted before anything is parsed, and what each clone costs.
//!
//! The parser compares the attributes of an element with each other, and keeps for each element that declares a
//! namespace a list of all that hold there; both grow with the square of what a file writes. A clone is read anew
//! each time, with its styles, words and points.

use super::document::svg_name;
use super::error::SvgError;
use roxmltree::Node;
use std::collections::BTreeSet;

/// Most attributes of one element; drawing programs write some thirty.
const MOST_ATTRIBUTES: usize = 1000;

/// Most attributes of a file; memory for them stays below 400 MB.
const MOST_OF_ALL: usize = 6_000_000;

/// Most prefixes of namespaces; drawing programs write some fifteen.
const MOST_PREFIXES: usize = 100;

/// Letters that clones may hold in all, each clone counted: names, styles, words and points.
const MOST_CLONED_LETTERS: usize = 32 * 1024 * 1024;

/// A letter of a style costs as much as so many others: each of its properties is looked up.
const STYLE_COST: usize = 8;

/// Refuses what would take the parser too long, by looking at the tags alone.
pub(super) fn check_tags(text: &str) -> Result<(), SvgError> {
    let bytes = text.as_bytes();
    let mut prefixes: BTreeSet<&[u8]> = BTreeSet::new();
    let mut of_all = 0_usize;
    let mut at = 0;
    while let Some(open) = find(bytes, at, b"<") {
        at = open + 1;
        let skipped = [(&b"!--"[..], &b"-->"[..]), (b"![CDATA[", b"]]>")];
        if let Some((_, end)) = skipped.iter().find(|(begin, _)| bytes[at..].starts_with(begin)) {
            at = find(bytes, at, end).unwrap_or(bytes.len());
            continue;
        }
        if !bytes.get(at).is_some_and(u8::is_ascii_alphabetic) {
            continue;
        }
        let mut own = 0_usize;
        let mut word = at;
        while let Some(&byte) = bytes.get(at) {
            match byte {
                b'>' => break,
                b'=' => {
                    own += 1;
                    if let Some(prefix) = bytes[word..at].strip_prefix(b"xmlns:") {
                        prefixes.insert(prefix.trim_ascii_end());
                    }
                }
                b'"' | b'\'' => at = find(bytes, at + 1, &[byte]).unwrap_or(bytes.len()),
                byte if byte.is_ascii_whitespace() => word = at + 1,
                _ => {}
            }
            at += 1;
        }
        of_all += own;
        for (what, count, most) in [
            ("attributes of one element", own, MOST_ATTRIBUTES),
            ("attributes", of_all, MOST_OF_ALL),
            ("prefixes of namespaces", prefixes.len(), MOST_PREFIXES),
        ] {
            if count > most {
                return Err(SvgError::TooMany { what, most });
            }
        }
    }
    Ok(())
}

fn find(bytes: &[u8], from: usize, wanted: &[u8]) -> Option<usize> {
    let rest = bytes.get(from..)?;
    let first = *wanted.first()?;
    let mut places = rest.iter().enumerate().filter(|(_, byte)| **byte == first).map(|(at, _)| at);
    places.find(|at| rest[*at..].starts_with(wanted)).map(|at| from + at)
}

/// What clones have held so far.
#[derive(Debug, Default)]
pub(super) struct Cloned {
    letters: usize,
}

impl Cloned {
    /// Counts an element that a clone shows.
    pub(super) fn count(&mut self, node: Node<'_, '_>) -> Result<(), SvgError> {
        let cost = |name: &str| if name == "style" { STYLE_COST } else { 1 };
        let own = |node: Node<'_, '_>| {
            node.attributes().map(|one| cost(one.name()) * one.value().len() + 1).sum::<usize>()
        };
        let words = |node: Node<'_, '_>| node.text().filter(|_| node.is_text()).map_or(0, str::len);
        let letters = match svg_name(node) {
            Some("text") => node.descendants().map(|node| own(node) + words(node) + 1).sum(),
            _ => own(node),
        };
        self.letters = self.letters.saturating_add(letters);
        if self.letters > MOST_CLONED_LETTERS {
            return Err(SvgError::TooMany { what: "letters in clones", most: MOST_CLONED_LETTERS });
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_are_counted_and_what_only_looks_like_one_is_not() {
        let many = |count: usize| (0..count).map(|k| format!(" a{k} = 'x>y'")).collect::<String>();
        assert!(check_tags(&format!("<svg{}/>", many(1000))).is_ok());
        assert!(check_tags(&format!("<svg{}/>", many(1001))).is_err());
        for harmless in [
            format!("<svg><!-- <g{} --></svg>", many(2000)),
            format!("<svg><style><![CDATA[ a<b{} ]]></style></svg>", many(2000)),
            format!("<svg a=\"{}\"/>", "=".repeat(2000)),
        ] {
            assert!(check_tags(&harmless).is_ok(), "{harmless}");
        }
        let prefixes = |count: usize| (0..count).map(|k| format!("<g xmlns:p{k}='u'>")).collect::<String>();
        assert!(check_tags(&prefixes(100)).is_ok());
        assert!(check_tags(&prefixes(101)).is_err());
        assert!(check_tags(&"<g xmlns:p='u'>".repeat(1000)).is_ok());
        // Cut off anywhere, it ends.
        for text in ["<", "<a", "<a b=", "<a b='", "<!--", "<![CDATA[", "<a b='c"] {
            assert!(check_tags(text).is_ok(), "{text}");
        }
    }
}
