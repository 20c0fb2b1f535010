//! How an element is drawn, as far as a pattern asks: whether it shows, whether it is dashed, its arrowheads, the size
//! of its letters.

use super::super::drawing;
use super::super::drawing::Arrows;
use super::document::svg_name;
use roxmltree::{Document, Node};
use std::collections::BTreeMap;
use std::str::FromStr as _;

/// What a rule of a style sheet is for: an element, an id, a class; none where it asks for none.
type Selector = [Option<String>; 3];

/// Classes of one element that are asked for; drawing programs write one or two.
const MOST_CLASSES: usize = 32;

/// Rules of the document's style sheets for an element, a class or an id. Of rules for the same thing the later one
/// counts; which of them is more particular is not asked.
#[derive(Default)]
pub(super) struct Sheets {
    /// By what they are for: each property with its place in the sheets and its value. So an element asks for what it is
    /// called, and not each rule for each element.
    rules: BTreeMap<Selector, BTreeMap<String, (usize, String)>>,
    read: usize,
    /// Rules that were not understood.
    pub(super) passed_over: usize,
}

impl Sheets {
    pub(super) fn of(document: &Document<'_>) -> Self {
        let mut sheets = Self::default();
        for node in document.descendants().filter(|node| svg_name(*node) == Some("style")) {
            let css: String = node.children().filter_map(|child| child.text()).collect();
            sheets.read(&without_comments(&css));
        }
        sheets
    }

    fn read(&mut self, css: &str) {
        let mut rest = css;
        while let Some(open) = rest.find('{') {
            let selectors = rest[..open].rsplit(';').next().unwrap_or_default();
            let close = rest[open..].find('}').map_or(rest.len(), |close| open + close);
            let declarations = declarations(&rest[open + 1..close]);
            for selector in selectors.split(',') {
                let Some(selector) = selector_of(selector.trim()) else {
                    self.passed_over += 1;
                    continue;
                };
                self.read += 1;
                let known = self.rules.entry(selector).or_default();
                for (name, value) in &declarations {
                    known.insert(name.clone(), (self.read, value.clone()));
                }
            }
            rest = rest.get(close + 1..).unwrap_or_default();
        }
    }

    fn value(&self, node: Node<'_, '_>, property: &str) -> Option<&str> {
        if self.rules.is_empty() {
            return None;
        }
        let element = [None, Some(node.tag_name().name())];
        let id = [None, node.attribute("id")];
        let classes = node.attribute("class").unwrap_or_default();
        let classes = classes.split_whitespace().take(MOST_CLASSES).map(Some);
        let classes: Vec<Option<&str>> = std::iter::once(None).chain(classes).collect();
        let mut last: Option<&(usize, String)> = None;
        for element in element {
            // An element without an id is asked once.
            for id in id.iter().enumerate().filter(|(at, id)| *at == 0 || id.is_some()).map(|(_, id)| id) {
                for class in &classes {
                    let selector = [element, *id, *class].map(|part| part.map(ToOwned::to_owned));
                    let found = self.rules.get(&selector).and_then(|rule| rule.get(property));
                    last = match (last, found) {
                        (Some(a), Some(b)) => Some(if b.0 > a.0 { b } else { a }),
                        (a, b) => a.or(b),
                    };
                }
            }
        }
        last.map(|(_, value)| value.as_str())
    }
}

fn selector_of(text: &str) -> Option<Selector> {
    let plain = |c: char| c.is_alphanumeric() || "-_.#*".contains(c);
    if text.is_empty() || !text.chars().all(plain) {
        return None;
    }
    let mut selector: Selector = [None, None, None];
    let parts_from = |text: &str| text.find(['.', '#']).unwrap_or(text.len());
    let (element, mut rest) = text.split_at(parts_from(text));
    if !element.is_empty() && element != "*" {
        selector[0] = Some(element.to_owned());
    }
    while !rest.is_empty() {
        let end = 1 + parts_from(&rest[1..]);
        let place = if rest.starts_with('#') { 1 } else { 2 };
        if selector[place].is_some() {
            return None;
        }
        selector[place] = Some(rest[1..end].to_owned());
        rest = &rest[end..];
    }
    Some(selector)
}

fn without_comments(css: &str) -> String {
    let mut kept = String::new();
    let mut rest = css;
    while let Some(open) = rest.find("/*") {
        kept.push_str(&rest[..open]);
        rest = rest[open + 2..].find("*/").map_or("", |close| &rest[open + 2 + close + 2..]);
    }
    kept.push_str(rest);
    kept
}

fn declarations(css: &str) -> Vec<(String, String)> {
    let owned = |(name, value): (&str, &str)| (name.to_ascii_lowercase(), value.to_owned());
    css.split(';').filter_map(declared).map(owned).collect()
}

/// The name and the value of one declaration.
fn declared(text: &str) -> Option<(&str, &str)> {
    let (name, value) = text.split_once(':')?;
    Some((name.trim(), value.trim().trim_end_matches("!important").trim_end()))
}

/// A property of an element itself: inline style, style sheet, attribute, in this order.
pub(super) fn property(node: Node<'_, '_>, sheets: &Sheets, name: &str) -> Option<String> {
    let inline = node.attribute("style").unwrap_or_default();
    let inline = inline.rsplit(';').filter_map(declared).find(|(said, _)| said.eq_ignore_ascii_case(name));
    inline
        .map(|(_, value)| value.to_owned())
        .or_else(|| sheets.value(node, name).map(ToOwned::to_owned))
        .or_else(|| node.attribute(name).map(|value| value.trim().to_owned()))
}

/// What an element hands on to those inside it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    pub(super) visible: bool,
    pub(super) stroked: bool,
    pub(super) filled: bool,
    colour: Option<[u8; 3]>,
    fill: [u8; 3],
    /// The first dashes and gaps, in tenths of a unit.
    dashes: [u32; 6],
    pub(super) arrows: Arrows,
    /// Height of letters in units.
    pub(super) font_size: f64,
}

impl Default for Look {
    /// As SVG begins: filled, not stroked, letters of 16 px (CSS `medium`).
    fn default() -> Self {
        Self {
            visible: true,
            stroked: false,
            filled: true,
            colour: None,
            fill: [0; 3],
            dashes: [0; 6],
            arrows: Arrows::default(),
            font_size: 16.0,
        }
    }
}

impl Look {
    /// The look of an element inside one that looks like this.
    pub(super) fn inside(mut self, node: Node<'_, '_>, sheets: &Sheets) -> Self {
        let value = |name| property(node, sheets, name).filter(|value| value != "inherit");
        if let Some(visibility) = value("visibility") {
            self.visible = visibility == "visible";
        }
        if let Some(stroke) = value("stroke") {
            self.stroked = shows(&stroke);
            let colour = svgtypes::Color::from_str(&stroke).ok();
            self.colour = colour.map(|colour| [colour.red, colour.green, colour.blue]);
        }
        if let Some(fill) = value("fill") {
            self.filled = shows(&fill);
            // Gradients and other paints that are no colour count as black.
            let colour = svgtypes::Color::from_str(&fill).ok();
            self.fill = colour.map_or([0; 3], |colour| [colour.red, colour.green, colour.blue]);
        }
        if let Some(dashes) = value("stroke-dasharray") {
            let lengths = dashes.split([' ', ',']).filter_map(|dash| {
                let length: f64 = dash.trim_end_matches(char::is_alphabetic).parse().ok()?;
                (length > 0.0).then(|| tenths(length))
            });
            self.dashes = [0; 6];
            for (dash, length) in self.dashes.iter_mut().zip(lengths) {
                *dash = length;
            }
        }
        for name in ["marker-start", "marker-end", "marker"] {
            if let Some(marker) = value(name) {
                let shown = marker != "none";
                if name != "marker-end" {
                    self.arrows.start = shown;
                }
                if name != "marker-start" {
                    self.arrows.end = shown;
                }
            }
        }
        if let Some(size) = value("font-size").and_then(|size| font_size(&size, self.font_size)) {
            self.font_size = size;
        }
        self
    }

    /// How a stroke with this look is drawn; how wide, does not tell lines apart.
    pub(super) fn drawn(&self) -> drawing::Look {
        drawing::Look {
            colour: self.colour,
            width: 0,
            dashes: self.dashes.iter().copied().filter(|dash| *dash > 0).collect(),
            fill: self.filled.then_some(self.fill),
        }
    }
}

/// At least one, so that a dash stays a dash.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to what fits before the cast"
)]
fn tenths(length: f64) -> u32 {
    (length * 10.0).clamp(1.0, 1e6) as u32
}

fn shows(paint: &str) -> bool {
    paint != "none" && paint != "transparent"
}

/// Letters' height in units; CSS pixels are units.
fn font_size(text: &str, around: f64) -> Option<f64> {
    use svgtypes::LengthUnit;
    let length = svgtypes::Length::from_str(text).ok()?;
    let factor = match length.unit {
        LengthUnit::None | LengthUnit::Px => 1.0,
        LengthUnit::In => 96.0,
        LengthUnit::Cm => 96.0 / 2.54,
        LengthUnit::Mm => 96.0 / 25.4,
        LengthUnit::Pt => 96.0 / 72.0,
        LengthUnit::Pc => 16.0,
        LengthUnit::Em => around,
        LengthUnit::Ex => 0.5 * around,
        LengthUnit::Percent => 0.01 * around,
    };
    let size = length.number * factor;
    (size.is_finite() && size > 0.0).then_some(size)
}
