//! How an element is drawn, as far as a pattern asks: whether it shows, whether it is dashed, its arrowheads, the size
//! of its letters.

use super::super::drawing;
use super::super::drawing::Arrows;
use super::document::svg_name;
use roxmltree::{Document, Node};
use std::str::FromStr as _;

/// Rules of the document's style sheets for an element, a class or an id. Of rules for the same thing the later one
/// counts; which of them is more particular is not asked.
#[derive(Default)]
pub(super) struct Sheets {
    rules: Vec<Rule>,
    /// Rules that were not understood.
    pub(super) passed_over: usize,
}

struct Rule {
    element: Option<String>,
    class: Option<String>,
    id: Option<String>,
    declarations: Vec<(String, String)>,
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
                match Rule::of(selector.trim(), &declarations) {
                    Some(rule) => self.rules.push(rule),
                    None => self.passed_over += 1,
                }
            }
            rest = rest.get(close + 1..).unwrap_or_default();
        }
    }

    fn value(&self, node: Node<'_, '_>, property: &str) -> Option<&str> {
        if self.rules.is_empty() {
            return None;
        }
        let matching = self.rules.iter().rev().filter(|rule| rule.matches(node));
        let mut named = matching.flat_map(|rule| rule.declarations.iter().rev());
        named.find(|(name, _)| name == property).map(|(_, value)| value.as_str())
    }
}

impl Rule {
    fn of(selector: &str, declarations: &[(String, String)]) -> Option<Self> {
        let plain = |c: char| c.is_alphanumeric() || "-_.#*".contains(c);
        if selector.is_empty() || !selector.chars().all(plain) {
            return None;
        }
        let mut rule = Self { element: None, class: None, id: None, declarations: declarations.to_vec() };
        let parts_from = |text: &str| text.find(['.', '#']).unwrap_or(text.len());
        let (element, mut rest) = selector.split_at(parts_from(selector));
        if !element.is_empty() && element != "*" {
            rule.element = Some(element.to_owned());
        }
        while !rest.is_empty() {
            let end = 1 + parts_from(&rest[1..]);
            let name = Some(rest[1..end].to_owned());
            let place = if rest.starts_with('.') { &mut rule.class } else { &mut rule.id };
            if place.is_some() {
                return None;
            }
            *place = name;
            rest = &rest[end..];
        }
        Some(rule)
    }

    fn matches(&self, node: Node<'_, '_>) -> bool {
        let class = |wanted: &String| {
            let classes = node.attribute("class").unwrap_or_default();
            classes.split_whitespace().any(|class| class == wanted)
        };
        self.element.as_ref().is_none_or(|name| node.tag_name().name() == name)
            && self.id.as_ref().is_none_or(|id| node.attribute("id") == Some(id))
            && self.class.as_ref().is_none_or(class)
    }
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
    let one = |text: &str| {
        let (name, value) = text.split_once(':')?;
        let value = value.trim().trim_end_matches("!important").trim_end();
        Some((name.trim().to_ascii_lowercase(), value.to_owned()))
    };
    css.split(';').filter_map(one).collect()
}

/// A property of an element itself: inline style, style sheet, attribute, in this order.
pub(super) fn property(node: Node<'_, '_>, sheets: &Sheets, name: &str) -> Option<String> {
    let inline = node.attribute("style").map(declarations).unwrap_or_default();
    let inline = inline.into_iter().rev().find(|(property, _)| property == name);
    inline
        .map(|(_, value)| value)
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
