//! What the pages of a file share: layers, the budget, fonts and forms that were read already.

use super::draw::Budget;
use super::font::Font;
use super::layers::Layers;
use hayro_syntax::object::{Dict, ObjectIdentifier, Stream};
use std::collections::HashMap;
use std::rc::Rc;

/// Most bytes of forms that are kept to be drawn again.
const MOST_KEPT: usize = 64 * 1024 * 1024;

/// What the pages of a file share.
pub(super) struct Shared {
    pub(super) layers: Layers,
    pub(super) budget: Budget,
    fonts: HashMap<ObjectIdentifier, Rc<Font>>,
    forms: HashMap<ObjectIdentifier, Rc<[u8]>>,
    kept: usize,
}

impl Shared {
    pub(super) fn new(layers: Layers) -> Self {
        Self { layers, budget: Budget::default(), fonts: HashMap::new(), forms: HashMap::new(), kept: 0 }
    }

    pub(super) fn font(&mut self, dict: &Dict<'_>) -> Rc<Font> {
        let Some(id) = dict.obj_id() else { return Rc::new(Font::of(dict)) };
        Rc::clone(self.fonts.entry(id).or_insert_with(|| Rc::new(Font::of(dict))))
    }

    pub(super) fn form(&mut self, stream: &Stream<'_>) -> Option<Rc<[u8]>> {
        let id = stream.obj_id();
        if let Some(known) = self.forms.get(&id) {
            return Some(Rc::clone(known));
        }
        let bytes: Rc<[u8]> = Rc::from(&*stream.decoded_data().ok()?);
        self.kept += bytes.len();
        if self.kept <= MOST_KEPT {
            self.forms.insert(id, Rc::clone(&bytes));
        }
        Some(bytes)
    }
}
