//! How the desk looks: a dim room beside a lit table.
//!
//! Dark and quiet, so that the laptop does not outshine the projector; large words, because it is read from two
//! metres away. In a bright room the same in ink on paper.

use crate::scene::Lamp;
use egui::{Color32, FontFamily, FontId, Style, TextStyle, Theme, Ui, Visuals};

/// Chalk, on slate.
const CHALK: Color32 = Color32::from_rgb(0xe9, 0xe6, 0xdc);
/// Slate.
const SLATE: Color32 = Color32::from_rgb(0x23, 0x27, 0x2b);
/// Ink, on paper: for a room that is bright.
const INK: Color32 = Color32::from_rgb(0x1f, 0x22, 0x26);
/// Paper.
const PAPER: Color32 = Color32::from_rgb(0xf3, 0xf1, 0xea);

/// Words and lines.
pub(super) fn ink(ui: &Ui) -> Color32 {
    if ui.visuals().dark_mode { CHALK } else { INK }
}

/// What is not to be cut yet.
pub(super) fn stop(ui: &Ui) -> Color32 {
    if ui.visuals().dark_mode {
        Color32::from_rgb(0xff, 0x9a, 0x76)
    } else {
        Color32::from_rgb(0xa5, 0x2a, 0x0c)
    }
}

/// What may spoil something.
pub(super) fn warning(ui: &Ui) -> Color32 {
    if ui.visuals().dark_mode {
        Color32::from_rgb(0xf2, 0xcf, 0x7e)
    } else {
        Color32::from_rgb(0x7a, 0x54, 0x00)
    }
}

/// The board's ink and ground, linear light: chalk, the stop colour, near black; or ink on paper.
pub(super) const fn board_lamp(theme: Theme) -> Lamp {
    match theme {
        Theme::Dark => Lamp::of([0.81, 0.79, 0.72], [1.0, 0.32, 0.18], [0.008, 0.009, 0.011]),
        Theme::Light => Lamp::of([0.014, 0.016, 0.019], [0.38, 0.023, 0.004], [0.94, 0.92, 0.86]),
    }
}

/// The face that steps in where egui's own lacks a sign: arrows, fractions, ×, −. Its licence stands beside it.
static SIGNS: &[u8] = include_bytes!("../../assets/DejaVuSans-subset.ttf");

/// Sets fonts and colours.
pub fn set(context: &egui::Context) {
    let mut fonts = egui::FontDefinitions::default();
    fonts.font_data.insert("signs".to_owned(), egui::FontData::from_static(SIGNS).into());
    for family in [FontFamily::Proportional, FontFamily::Monospace] {
        // Before the faces of pictures, after the face of letters.
        let faces = fonts.families.entry(family).or_default();
        let second = faces.len().min(1);
        faces.insert(second, "signs".to_owned());
    }
    context.set_fonts(fonts);
    // On a busy machine a frame may take long; a press is a click all the same.
    context.options_mut(|options| options.input_options.max_click_duration = f64::INFINITY);
    context.set_theme(Theme::Dark);
    let mut visuals = Visuals::dark();
    visuals.panel_fill = SLATE;
    visuals.window_fill = SLATE;
    visuals.override_text_color = Some(CHALK);
    visuals.extreme_bg_color = Color32::from_rgb(0x17, 0x1a, 0x1d);
    visuals.selection.bg_fill = Color32::from_rgb(0x4a, 0x5d, 0x66);
    visuals.selection.stroke.color = CHALK;
    context.set_visuals_of(Theme::Dark, visuals);
    let mut visuals = Visuals::light();
    visuals.panel_fill = PAPER;
    visuals.window_fill = PAPER;
    visuals.override_text_color = Some(INK);
    visuals.selection.bg_fill = Color32::from_rgb(0xc2, 0xd3, 0xdb);
    visuals.selection.stroke.color = INK;
    context.set_visuals_of(Theme::Light, visuals);
    context.all_styles_mut(|style: &mut Style| {
        let sizes = [
            (TextStyle::Heading, 20.0),
            (TextStyle::Body, 15.5),
            (TextStyle::Button, 15.5),
            (TextStyle::Small, 13.0),
            (TextStyle::Monospace, 14.5),
        ];
        for (text_style, size) in sizes {
            let family = if text_style == TextStyle::Monospace {
                FontFamily::Monospace
            } else {
                FontFamily::Proportional
            };
            style.text_styles.insert(text_style, FontId::new(size, family));
        }
        style.spacing.item_spacing = egui::vec2(8.0, 6.0);
        style.spacing.button_padding = egui::vec2(10.0, 5.0);
        style.spacing.interact_size.y = 28.0;
    });
}
