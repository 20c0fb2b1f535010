//! Bytes to text, text to a document, names of its elements.

use super::LARGEST_FILE;
use super::error::{At, SvgError};
use super::flood::check_tags;
use roxmltree::{Document, Node, ParsingOptions};
use std::borrow::Cow;

/// Most that a document's entities may grow it by, in bytes.
const LARGEST_GROWTH: usize = 16 * 1024 * 1024;

/// Most elements, with the texts between them; memory for them stays below 400 MB.
const MOST_NODES: u32 = 4_000_000;

/// Namespace of SVG.
const SVG: &str = "http://www.w3.org/2000/svg";

/// The text of a file: UTF-8, or UTF-16 with its mark.
pub(super) fn decode(bytes: &[u8]) -> Result<Cow<'_, str>, SvgError> {
    if bytes.len() > LARGEST_FILE {
        return Err(SvgError::TooLarge);
    }
    let units = |rest: &[u8], unit: fn([u8; 2]) -> u16| -> Result<String, SvgError> {
        let (pairs, odd) = rest.as_chunks::<2>();
        let text = char::decode_utf16(pairs.iter().map(|pair| unit(*pair))).collect::<Result<String, _>>();
        match text {
            Ok(text) if odd.is_empty() => Ok(text),
            _ => Err(SvgError::NotText),
        }
    };
    let text = match bytes {
        [0x1f, 0x8b, ..] => return Err(SvgError::Compressed),
        [0xff, 0xfe, rest @ ..] => Cow::Owned(units(rest, u16::from_le_bytes)?),
        [0xfe, 0xff, rest @ ..] => Cow::Owned(units(rest, u16::from_be_bytes)?),
        _ => {
            let text = std::str::from_utf8(bytes).map_err(not_text)?;
            Cow::Borrowed(text.strip_prefix('\u{feff}').unwrap_or(text))
        }
    };
    if text.trim().is_empty() {
        return Err(SvgError::Empty);
    }
    Ok(text)
}

/// Where the text stops being text is of no use to a person who sees a drawing.
fn not_text(_: std::str::Utf8Error) -> SvgError {
    SvgError::NotText
}

/// The document of a text.
pub(super) fn parse(text: &str) -> Result<Document<'_>, SvgError> {
    check_entities(text)?;
    check_tags(text)?;
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, options).map_err(|error| {
        if matches!(error, roxmltree::Error::NodesLimitReached) {
            return SvgError::TooMany { what: "elements and texts between them", most: MOST_NODES as usize };
        }
        let position = error.pos();
        let what = error.to_string();
        // The place stands before the message already.
        let what = what.rsplit_once(" at ").map_or(what.as_str(), |(what, _)| what);
        SvgError::Xml { at: At { line: position.row, column: position.col }, what: what.to_owned() }
    })?;
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        return Err(SvgError::NotSvg { found: root.tag_name().name().to_owned() });
    }
    Ok(document)
}

/// Lets pass what drawing programs write (a reference to the SVG standard, short names for namespaces), and nothing
/// that grows: entities that hold others, come from elsewhere, or are long and used often.
fn check_entities(text: &str) -> Result<(), SvgError> {
    let Some(start) = text.find("<!DOCTYPE") else {
        return Ok(());
    };
    let rest = &text[start..];
    let head_end = rest.find('>').unwrap_or(rest.len());
    let Some(open) = rest[..head_end].find('[') else {
        return Ok(());
    };
    let subset_end = rest.find("]>").or_else(|| rest.find(']')).unwrap_or(rest.len());
    let subset = rest.get(open..subset_end).unwrap_or_default();
    if !subset.contains("<!ENTITY") {
        return Ok(());
    }
    let refuse = |what| {
        let at = place(text, start);
        Err(SvgError::Entities { at, what })
    };
    if subset.contains('&') || subset.contains('%') {
        return refuse("hold each other");
    }
    if subset.contains("SYSTEM") || subset.contains("PUBLIC") {
        return refuse("come from another file");
    }
    let uses = rest[subset_end..].bytes().filter(|byte| *byte == b'&').count();
    if uses.saturating_mul(subset.len()) > LARGEST_GROWTH {
        return refuse("would grow to more than 16 MiB");
    }
    Ok(())
}

fn place(text: &str, offset: usize) -> At {
    let before = &text[..offset];
    let line_start = before.rfind('\n').map_or(0, |index| index + 1);
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    At {
        line: count(1 + before.matches('\n').count()),
        column: count(1 + before[line_start..].chars().count()),
    }
}

/// Where an element stands.
pub(super) fn place_of(node: Node<'_, '_>) -> At {
    let position = node.document().text_pos_at(node.range().start);
    At { line: position.row, column: position.col }
}

/// The element's name if it is SVG; files without the namespace are taken as meant.
pub(super) fn svg_name<'a>(node: Node<'a, '_>) -> Option<&'a str> {
    let ours = node.is_element() && node.tag_name().namespace().is_none_or(|namespace| namespace == SVG);
    ours.then(|| node.tag_name().name())
}

/// What a person called an element: label, title, or an id that no program made up.
pub(super) fn name_of(node: Node<'_, '_>) -> Option<String> {
    let label = node.attributes().find(|attribute| match attribute.name() {
        "label" => attribute.namespace().is_some(),
        "aria-label" | "data-name" => true,
        _ => false,
    });
    let label = label.map(|attribute| attribute.value());
    let title = || {
        let title = node.children().find(|child| svg_name(*child) == Some("title"));
        title.and_then(|title| title.text())
    };
    let id = || {
        let id = node.attribute("id").filter(|id| !is_made_up(id))?;
        Some(id.replace(['_', '-'], " "))
    };
    let name = label.or_else(title).map(ToOwned::to_owned).or_else(id)?;
    let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
    (!name.is_empty()).then_some(name)
}

/// Everything that an element is called, for words such as “grain”: the name first.
pub(super) fn tags_of(node: Node<'_, '_>, name: Option<&String>) -> String {
    let mut tags = name.cloned().unwrap_or_default();
    for attribute in ["id", "class"] {
        if let Some(value) = node.attribute(attribute) {
            tags.push(' ');
            tags.push_str(value);
        }
    }
    tags.trim_start().to_owned()
}

/// Whether a group is nothing but the wrapping that LibreOffice puts around each shape: two groups, the outer of which
/// has the shape's kind for a class (`com.sun.star.drawing.LineShape`). Groups that a person made are of class `Group`.
pub(super) fn is_wrapping(node: Node<'_, '_>) -> bool {
    let has_kind = |node: Node<'_, '_>| {
        node.attribute("class").is_some_and(|class| class.starts_with("com.sun.star.drawing."))
    };
    (has_kind(node) || node.parent().is_some_and(has_kind)) && name_of(node).is_none()
}

/// Ids that drawing programs give by themselves: the kind of thing and a number.
fn is_made_up(id: &str) -> bool {
    const KINDS: [&str; 18] = [
        "path",
        "g",
        "rect",
        "line",
        "polyline",
        "polygon",
        "circle",
        "ellipse",
        "use",
        "svg",
        "text",
        "group",
        "layer",
        "object",
        "id",
        "container-id",
        "glyph",
        "surface",
    ];
    let stem = id.trim_end_matches(|c: char| c.is_ascii_digit() || c == '-' || c == '_' || c == '.');
    stem.len() < id.len() && KINDS.contains(&stem.to_ascii_lowercase().as_str())
        || KINDS.contains(&id.to_ascii_lowercase().as_str())
}
