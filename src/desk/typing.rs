//! Amounts while they are being typed.

use crate::geometry::{Length, Unit};
use egui::{TextEdit, Ui};
use std::collections::BTreeMap;

/// What stands in fields that are being edited, by field. A field that is not edited shows the garment's value.
#[derive(Debug, Clone, Default)]
pub struct Typing {
    fields: BTreeMap<String, String>,
}

impl Typing {
    /// A field for a length. Answers a new length when one was entered (Enter, or leaving the field); what is no
    /// length stays in the field, with the reason below it.
    pub(super) fn length(
        &mut self,
        ui: &mut Ui,
        field: &str,
        label: egui::Id,
        value: &Length,
    ) -> Option<Length> {
        let entered = self.text(ui, field, label, &value.to_string())?;
        match Length::parse(&entered, Some(value.unit())) {
            Ok(length) => {
                self.fields.remove(field);
                (length != *value).then_some(length)
            }
            Err(_) => None,
        }
    }

    /// A field for a length that may be missing; clearing it answers `Some(None)`.
    pub(super) fn optional_length(
        &mut self,
        ui: &mut Ui,
        field: &str,
        label: egui::Id,
        value: Option<&Length>,
        bare_unit: Unit,
    ) -> Option<Option<Length>> {
        let shown = value.map(ToString::to_string).unwrap_or_default();
        let entered = self.text(ui, field, label, &shown)?;
        if entered.trim().is_empty() {
            self.fields.remove(field);
            return value.is_some().then_some(None);
        }
        match Length::parse(&entered, Some(value.map_or(bare_unit, Length::unit))) {
            Ok(length) => {
                self.fields.remove(field);
                (Some(&length) != value).then_some(Some(length))
            }
            Err(_) => None,
        }
    }

    /// The field itself: its text when it was entered, else `None`.
    fn text(&mut self, ui: &mut Ui, field: &str, label: egui::Id, shown: &str) -> Option<String> {
        let mut text = self
            .fields
            .get(field)
            .cloned()
            .unwrap_or_else(|| shown.to_owned());
        let edit = TextEdit::singleline(&mut text).desired_width(96.0);
        let response = ui.add(edit).labelled_by(label);
        if response.changed() {
            self.fields.insert(field.to_owned(), text.clone());
        }
        let pending = self.fields.contains_key(field);
        if pending
            && let Err(error) = Length::parse(&text, Some(Unit::Mm))
            && !text.trim().is_empty()
        {
            response.clone().on_hover_text(error.to_string());
            ui.colored_label(super::theme::WARNING, "?")
                .on_hover_text(error.to_string());
        }
        (response.lost_focus() && pending).then_some(text)
    }
}
