//! What the keys have chosen to show.

use super::{Action, PrintSeek, Work};
use crate::garment::OpenGarment;
use crate::geometry::Units;
use crate::pattern::PieceId;
use crate::scene::{LAMP_COLOURS, Layer, Pointed, Show, View};
use std::f64::consts::{FRAC_PI_2, TAU};

/// What the keys have chosen to show. Not part of the garment, not undone, not saved.
#[derive(Debug, Clone, PartialEq)]
pub struct FloorView {
    /// The layers and the direction of words.
    pub show: Show,
    /// The mark that the arrows move, from 0.
    pub active_mark: usize,
    /// The only copy that is shown: its place in the lay.
    pub only: Option<usize>,
    /// Everything dark but the cutting lines.
    pub only_cutting_lines: bool,
    /// No light at all.
    pub dark: bool,
    /// The cutting is walked through, and nothing is ticked.
    pub rehearsing: bool,
    /// The print is being found on the cloth.
    pub print_seek: Option<Box<PrintSeek>>,
    /// What a finding at the desk points to.
    pub pointed: Option<Pointed>,
    /// What is being done under the light beside cutting.
    pub work: Option<Box<Work>>,
    /// What the check marks said, when the projector moved since it was aimed.
    pub moved: Option<String>,
    /// Whether another aim came into use after the cutting began, and nobody has looked yet whether it still holds.
    pub unlooked: bool,
    /// Whether the cutting goes on although it moved.
    pub lets_move_pass: bool,
    /// What was cut although something spoke against it: said on the cloth until the next piece is shown.
    pub let_pass: Option<String>,
    /// Lines and words are larger and brighter.
    pub bold: bool,
    /// How many steps wider lines are than usual.
    pub wider: i8,
    /// The way in for a phone, while it is open and nobody has used it.
    pub code: Option<WayIn>,
    /// The lamp colour that was chosen, by its place in [`LAMP_COLOURS`]; by the cloth, when `None`.
    pub lamp: Option<usize>,
    /// In which units lengths are said, here and at the desk.
    pub units: Units,
    /// Size of the projector's window in physical px.
    pub window_size: (u32, u32),
}

/// The way in for a phone: an address with a code, and the same as a QR code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WayIn {
    /// The address.
    pub address: String,
    /// The modules of the QR code in rows from the top, `true` for dark.
    pub modules: Vec<Vec<bool>>,
}

/// Steps of a line's width to either side.
const WIDTH_STEPS: i8 = 4;
/// One step of a line's width.
const WIDTH_STEP: f64 = 1.35;
/// How much larger and wider all is that has to be easy to see.
const BOLD: f64 = 1.6;

impl Default for FloorView {
    fn default() -> Self {
        Self {
            show: Show::for_cutting(),
            active_mark: 0,
            only: None,
            only_cutting_lines: false,
            dark: false,
            rehearsing: false,
            print_seek: None,
            pointed: None,
            work: None,
            moved: None,
            unlooked: false,
            lets_move_pass: false,
            let_pass: None,
            bold: false,
            wider: 0,
            code: None,
            lamp: None,
            units: Units::Metric,
            window_size: (1920, 1080),
        }
    }
}

impl FloorView {
    /// The copy that is shown alone.
    #[must_use]
    pub fn only_copy<'a>(&self, open: &'a OpenGarment) -> Option<(&'a PieceId, u32)> {
        let place = open.plan().lay.get(self.only?)?;
        Some((&place.piece, place.copy))
    }

    /// What the overlay is asked to show.
    #[must_use]
    pub fn overlay_view<'a>(&'a self, open: &'a OpenGarment, only_cutting: &'a Show) -> View<'a> {
        View {
            show: if self.only_cutting_lines { only_cutting } else { &self.show },
            only: self.only_copy(open),
            active_mark: self.is_aiming().then_some(self.active_mark),
            whole_cloth: false,
            // Panic means panic: not even what the desk points at.
            pointed: self.pointed.as_ref().filter(|_| !self.only_cutting_lines),
        }
    }

    /// Whether the marks of the aim are shown, so that arrows may move them.
    #[must_use]
    pub fn is_aiming(&self) -> bool {
        self.show.has(Layer::AimMarks) && !self.only_cutting_lines && !self.dark
    }

    /// Whether what a key switches is on; `None` for keys that switch nothing.
    #[must_use]
    pub fn is_on(&self, action: Action) -> Option<bool> {
        match action {
            Action::Toggle(layer) => Some(self.show.has(layer)),
            Action::Aiming => Some(self.show.has(Layer::AimMarks)),
            Action::OnlyCuttingLines => Some(self.only_cutting_lines),
            Action::Dark => Some(self.dark),
            Action::Bold => Some(self.bold),
            Action::Reaim => Some(matches!(self.work.as_deref(), Some(Work::Reaim(_)))),
            Action::Look => Some(matches!(self.work.as_deref(), Some(Work::Look { .. }))),
            _ => None,
        }
    }

    /// Shows the marks of the aim, or hides them.
    pub fn toggle_aiming(&mut self) {
        self.show.toggle(Layer::AimMarks);
    }

    /// Makes the mark `step` further the active one, of `count`.
    pub fn step_mark(&mut self, forward: bool, count: usize) {
        if count > 0 {
            self.active_mark = (self.active_mark + if forward { 1 } else { count - 1 }) % count;
        }
    }

    /// Shows the next or the previous copy alone, of `count`; past the end, all again.
    pub fn step_copy(&mut self, forward: bool, count: usize) {
        self.let_pass = None;
        self.only = match (self.only, forward) {
            _ if count == 0 => None,
            (None, true) => Some(0),
            (None, false) => Some(count - 1),
            (Some(place), true) => (place + 1 < count).then_some(place + 1),
            (Some(place), false) => place.checked_sub(1),
        };
    }

    /// The projector was looked at, or aimed again: the light falls where it is believed to.
    pub fn was_looked_at(&mut self) {
        self.work = None;
        self.moved = None;
        self.unlooked = false;
        self.lets_move_pass = false;
    }

    /// Makes everything larger and brighter, or as it was.
    pub fn toggle_bold(&mut self) {
        self.bold = !self.bold;
        self.show.sign_scale = if self.bold { BOLD } else { 1.0 };
    }

    /// Makes lines one step wider or narrower.
    pub fn widen(&mut self, wider: bool) {
        let step = if wider { 1 } else { -1 };
        self.wider = (self.wider + step).clamp(-WIDTH_STEPS, WIDTH_STEPS);
    }

    /// How many times wider than usual lines are.
    #[must_use]
    pub fn line_scale(&self) -> f64 {
        let bold = if self.bold { BOLD } else { 1.0 };
        bold * WIDTH_STEP.powi(self.wider.into())
    }

    /// Takes the next lamp colour; after the last, the one that suits the cloth again.
    pub fn next_lamp(&mut self) {
        let next = self.lamp.map_or(0, |lamp| lamp + 1);
        self.lamp = (next < LAMP_COLOURS.len()).then_some(next);
    }

    /// Turns all words by a quarter.
    pub fn turn_words(&mut self) {
        self.show.reading_angle = (self.show.reading_angle + FRAC_PI_2) % TAU;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stepping_through_the_copies_ends_with_all_of_them() {
        let mut view = FloorView::default();
        let mut seen = Vec::new();
        for _ in 0..4 {
            view.step_copy(true, 3);
            seen.push(view.only);
        }
        assert_eq!(seen, [Some(0), Some(1), Some(2), None]);
        view.step_copy(false, 3);
        assert_eq!(view.only, Some(2));
    }

    #[test]
    fn the_marks_go_round() {
        let mut view = FloorView::default();
        view.step_mark(false, 4);
        assert_eq!(view.active_mark, 3);
        view.step_mark(true, 4);
        assert_eq!(view.active_mark, 0);
    }
}
