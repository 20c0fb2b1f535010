//! Amounts while they are being typed.

use crate::geometry::{Length, LengthError, Unit};
use egui::{Id, TextEdit, Ui};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// What stands in fields that are being edited, by field. A field that is not edited shows the garment's value.
#[derive(Debug, Clone, Default)]
pub struct Typing {
    fields: BTreeMap<String, String>,
}

/// Width of a field, in points: `−12 3/8 in` fits.
const WIDTH: f32 = 92.0;

impl Typing {
    /// A field for a length. Answers a new length when one was entered (Enter, or leaving the field); what is no
    /// length stays in the field, with the reason beside it.
    pub(super) fn length(&mut self, ui: &mut Ui, field: &str, label: Id, value: &Length) -> Option<Length> {
        let unit = value.unit();
        let entered = self
            .text(ui, field, label, &value.to_string(), |text| Length::parse(text, Some(unit)).map(drop))?;
        let length = Length::parse(&entered, Some(unit)).ok()?;
        self.fields.remove(field);
        (length != *value).then_some(length)
    }

    /// A field for a length that a thing must have: more than nothing.
    pub(super) fn size(&mut self, ui: &mut Ui, field: &str, label: Id, value: &Length) -> Option<Length> {
        let unit = value.unit();
        let read = |text: &str| {
            let length = Length::parse(text, Some(unit)).map_err(|error| error.to_string())?;
            if length.mm() > 0.0 {
                Ok(length)
            } else {
                Err(format!("{length} can't be: it must be more than nothing"))
            }
        };
        self.reading(ui, field, label, &value.to_string(), read).filter(|length| length != value)
    }

    /// A field for anything that is read from words. What can't be read stays in the field, with the reason beside it.
    pub(super) fn reading<T>(
        &mut self,
        ui: &mut Ui,
        field: &str,
        label: Id,
        shown: &str,
        read: impl Fn(&str) -> Result<T, String>,
    ) -> Option<T> {
        let entered = self.text(ui, field, label, shown, |text| read(text).map(drop))?;
        let value = read(&entered).ok()?;
        self.fields.remove(field);
        Some(value)
    }

    /// A wide field for words; clearing it is no answer.
    pub(super) fn wide_words(&mut self, ui: &mut Ui, field: &str, label: Id, value: &str) -> Option<String> {
        let width = ui.available_width().max(WIDTH);
        let entered = self.text_as_wide(ui, field, label, value, width, |_| Ok::<_, String>(()))?;
        self.fields.remove(field);
        let entered = entered.trim().to_owned();
        (entered != value && !entered.is_empty()).then_some(entered)
    }

    /// A field for a length that may be missing; clearing it answers `Some(None)`.
    pub(super) fn optional_length(
        &mut self,
        ui: &mut Ui,
        field: &str,
        label: Id,
        value: Option<&Length>,
        bare_unit: Unit,
    ) -> Option<Option<Length>> {
        let unit = value.map_or(bare_unit, Length::unit);
        let shown = value.map(ToString::to_string).unwrap_or_default();
        let entered = self.text(ui, field, label, &shown, |text| {
            if text.trim().is_empty() {
                return Ok::<(), LengthError>(());
            }
            Length::parse(text, Some(unit)).map(drop)
        })?;
        if entered.trim().is_empty() {
            self.fields.remove(field);
            return value.is_some().then_some(None);
        }
        let length = Length::parse(&entered, Some(unit)).ok()?;
        self.fields.remove(field);
        (Some(&length) != value).then_some(Some(length))
    }

    /// A field for words, such as a name.
    pub(super) fn words(&mut self, ui: &mut Ui, field: &str, label: Id, value: &str) -> Option<String> {
        let entered = self.text(ui, field, label, value, |_| Ok::<_, String>(()))?;
        self.fields.remove(field);
        let entered = entered.trim().to_owned();
        (entered != value && !entered.is_empty()).then_some(entered)
    }

    /// A field for a count, from 1.
    pub(super) fn count(&mut self, ui: &mut Ui, field: &str, label: Id, value: &str) -> Option<usize> {
        let read = |text: &str| text.trim().parse::<usize>().ok().filter(|count| *count > 0);
        let why = |text: &str| format!("“{}” is no count. Write a whole number, from 1", text.trim());
        let entered =
            self.text(ui, field, label, value, |text| read(text).map(drop).ok_or_else(|| why(text)))?;
        let count = read(&entered)?;
        self.fields.remove(field);
        (count.to_string() != value).then_some(count)
    }

    /// A field for a number above nothing, with point or comma, that nobody has given yet.
    pub(super) fn number(&mut self, ui: &mut Ui, field: &str, label: Id) -> Option<f64> {
        let read = |text: &str| {
            let number = text.trim().replace(',', ".").parse::<f64>().ok();
            number.filter(|number| number.is_finite() && *number > 0.0)
        };
        let why = |text: &str| format!("“{}” is no number above 0", text.trim());
        let entered =
            self.text(ui, field, label, "", |text| read(text).map(drop).ok_or_else(|| why(text)))?;
        let number = read(&entered)?;
        self.fields.remove(field);
        Some(number)
    }

    /// A wide field for the path of a file.
    pub(super) fn path(&mut self, ui: &mut Ui, field: &str, label: Id) -> Option<PathBuf> {
        let entered =
            self.text_as_wide(ui, field, label, "", ui.available_width(), |_| Ok::<_, String>(()))?;
        self.fields.remove(field);
        let entered = entered.trim().trim_matches(['"', '\'']);
        (!entered.is_empty()).then(|| PathBuf::from(entered))
    }

    /// A field for an angle in degrees.
    pub(super) fn degrees(&mut self, ui: &mut Ui, field: &str, label: Id, value: f64) -> Option<f64> {
        let read = |text: &str| {
            let number = text.trim().trim_end_matches('°').trim().replace('−', "-").replace(',', ".");
            let degrees: Option<f64> = number.parse().ok();
            degrees
                .filter(|degrees| degrees.is_finite() && degrees.abs() <= 360.0)
                .ok_or_else(|| LengthError::NotANumber(text.trim().to_owned()))
        };
        let entered = self.text(ui, field, label, &format!("{value}°"), |text| read(text).map(drop))?;
        let degrees = read(&entered).ok()?;
        self.fields.remove(field);
        ((degrees - value).abs() > 1e-9).then_some(degrees)
    }

    /// Forgets what was typed into fields that are gone: those whose name begins so.
    pub(super) fn forget_all(&mut self, begins: &str) {
        self.fields.retain(|field, _| !field.starts_with(begins));
    }

    /// Forgets what was typed into a field that is gone.
    pub(super) fn forget(&mut self, field: &str) {
        self.fields.remove(field);
    }

    /// The field itself: its text when it was entered, else `None`. The reason why what was typed can't be taken
    /// stands beside the field while it is typed and after it was left.
    fn text<E: ToString>(
        &mut self,
        ui: &mut Ui,
        field: &str,
        label: Id,
        shown: &str,
        check: impl Fn(&str) -> Result<(), E>,
    ) -> Option<String> {
        self.text_as_wide(ui, field, label, shown, WIDTH, check)
    }

    /// The same in a field so many points wide.
    fn text_as_wide<E: ToString>(
        &mut self,
        ui: &mut Ui,
        field: &str,
        label: Id,
        shown: &str,
        width: f32,
        check: impl Fn(&str) -> Result<(), E>,
    ) -> Option<String> {
        let mut text = self.fields.get(field).cloned().unwrap_or_else(|| shown.to_owned());
        // Inside a grid a field would shrink to what the column leaves.
        let size = egui::vec2(width, ui.spacing().interact_size.y);
        let edit = TextEdit::singleline(&mut text).align(egui::Align2::LEFT_CENTER);
        let response = ui.add_sized(size, edit).labelled_by(label);
        if response.changed() {
            self.fields.insert(field.to_owned(), text.clone());
        }
        let pending = self.fields.contains_key(field);
        if response.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Escape)) {
            // Escape leaves the field as it was.
            self.fields.remove(field);
            return None;
        }
        if pending && let Err(reason) = check(&text) {
            ui.add(
                egui::Label::new(
                    egui::RichText::new(reason.to_string()).small().color(super::theme::warning(ui)),
                )
                .wrap(),
            );
        }
        (response.lost_focus() && pending).then_some(text)
    }
}
