//! Layers: optional-content groups, and which of them marked content belongs to.
//!
//! Source: ISO 32000-1, §8.11. A group is known by its object, because names repeat. What a viewer would hide is read
//! too: a size that is switched off is still part of the pattern. Content that belongs to several groups
//! (a membership) is drawn in each of them.

use super::encoding::document_text;
use super::error::PdfError;
use hayro_syntax::Pdf;
use hayro_syntax::object::{Array, Dict, Name, Object, String as Text};
use std::collections::BTreeMap;

/// Most layers that a file may have.
pub(super) const MOST_LAYERS: usize = 10_000;

/// Most layers that one line may be drawn in.
const MOST_AT_ONCE: usize = 64;

/// Expressions inside each other deeper than this are passed over.
const DEEPEST: usize = 16;

/// A layer of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Layer {
    pub(super) name: String,
    /// Whether a viewer opens the file without it.
    pub(super) hidden: bool,
}

/// The layers of a file by the number of their object.
#[derive(Debug, Default)]
pub(super) struct Layers {
    by_object: BTreeMap<u32, Layer>,
}

fn name_of(group: &Dict<'_>) -> String {
    group.get::<Text<'_>>("Name").map(|name| document_text(&name).trim().to_owned()).unwrap_or_default()
}

impl Layers {
    pub(super) fn of(pdf: &Pdf) -> Result<Self, PdfError> {
        let root = pdf.xref().get::<Dict<'_>>(pdf.xref().root_id());
        let Some(properties) = root.and_then(|root| root.get::<Dict<'_>>("OCProperties")) else {
            return Ok(Self::default());
        };
        let mut layers = Self::default();
        let settings = properties.get::<Dict<'_>>("D").unwrap_or_default();
        let all_off = settings.get::<Name<'_>>("BaseState").is_some_and(|state| &*state == b"OFF");
        let groups = properties.get::<Array<'_>>("OCGs").unwrap_or_default();
        if groups.raw_iter().take(MOST_LAYERS + 1).count() > MOST_LAYERS {
            return Err(PdfError::TooMany { what: "layers", most: MOST_LAYERS });
        }
        for group in groups.iter::<Dict<'_>>() {
            if let Some(id) = group.obj_id() {
                layers.by_object.insert(id.obj_number, Layer { name: name_of(&group), hidden: all_off });
            }
        }
        for (key, hidden) in [("OFF", true), ("ON", false)] {
            for reference in settings
                .get::<Array<'_>>(key)
                .unwrap_or_default()
                .raw_iter()
                .filter_map(|group| group.as_obj_ref())
            {
                if let Some(layer) = layers.by_object.get_mut(&reference.obj_number) {
                    layer.hidden = hidden;
                }
            }
        }
        Ok(layers)
    }

    pub(super) fn get(&self, object: u32) -> Option<&Layer> {
        self.by_object.get(&object)
    }

    /// The layers of content that is marked with a group or a membership; none for what belongs to no layer.
    pub(super) fn marked_by(&mut self, dict: &Dict<'_>) -> Vec<u32> {
        let mut found = Vec::new();
        if dict.get::<Name<'_>>("Type").is_some_and(|name| &*name == b"OCMD") {
            match dict.get::<Array<'_>>("VE") {
                Some(expression) => self.wanted_by(&expression, &mut found, 0),
                None => match dict.get::<Object<'_>>("OCGs") {
                    Some(Object::Dict(group)) => self.add(&group, &mut found),
                    Some(Object::Array(groups)) => {
                        for group in groups.iter::<Dict<'_>>().take(MOST_AT_ONCE) {
                            self.add(&group, &mut found);
                        }
                    }
                    _ => {}
                },
            }
            // Shown where others are not: that is no layer's own.
            let policy = dict.get::<Name<'_>>("P");
            if policy.is_some_and(|policy| matches!(&*policy, b"AllOff" | b"AnyOff")) {
                found.clear();
            }
        } else {
            self.add(dict, &mut found);
        }
        found
    }

    fn add(&mut self, group: &Dict<'_>, found: &mut Vec<u32>) {
        let Some(id) = group.obj_id() else { return };
        let number = id.obj_number;
        if !self.by_object.contains_key(&number) {
            // A group that the catalogue forgot still has its name.
            let named = group.get::<Name<'_>>("Type").is_some_and(|name| &*name == b"OCG");
            if !named || self.by_object.len() >= MOST_LAYERS {
                return;
            }
            self.by_object.insert(number, Layer { name: name_of(group), hidden: false });
        }
        if found.len() < MOST_AT_ONCE && !found.contains(&number) {
            found.push(number);
        }
    }

    /// The groups that a visibility expression asks to be shown (§8.11.2.2); those under `Not` are not.
    fn wanted_by(&mut self, expression: &Array<'_>, found: &mut Vec<u32>, depth: usize) {
        if depth > DEEPEST {
            return;
        }
        let mut parts = expression.iter::<Object<'_>>();
        match parts.next() {
            Some(Object::Name(operator)) if matches!(&*operator, b"And" | b"Or") => {}
            _ => return,
        }
        for part in parts.take(MOST_AT_ONCE) {
            match part {
                Object::Dict(group) => self.add(&group, found),
                Object::Array(inner) => self.wanted_by(&inner, found, depth + 1),
                _ => {}
            }
        }
    }
}
