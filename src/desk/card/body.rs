//! The card at the stop Body: the wearer's measurements.

use super::part;
use crate::body::BodyMeasurement;
use crate::desk::{Session, Wish, say};
use crate::garment::Command;
use crate::garment::fit::{FitZone, Proposal, proposals, zones};
use crate::geometry::{Unit, Units};
use egui::{Grid, RichText, Ui};

const MEASUREMENTS: [BodyMeasurement; 11] = [
    BodyMeasurement::BustGirth,
    BodyMeasurement::WaistGirth,
    BodyMeasurement::HipGirth,
    BodyMeasurement::UnderbustGirth,
    BodyMeasurement::UpperArmGirth,
    BodyMeasurement::BackWaistLength,
    BodyMeasurement::FrontWaistLength,
    BodyMeasurement::ShoulderLength,
    BodyMeasurement::ShoulderWidth,
    BodyMeasurement::WaistToHip,
    BodyMeasurement::Height,
];

pub(super) fn ui(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let wearer = session.open.plan().wearer.clone();
    if !wearer.name.is_empty() {
        ui.label(format!("Measured: {}", wearer.name));
    }
    part(ui, "As the tape reads");
    Grid::new("body").num_columns(3).show(ui, |ui| {
        for measurement in MEASUREMENTS {
            let label = ui.label(measurement.words()).id;
            let value = wearer.measurements.get(&measurement);
            let field = format!("body {}", measurement.words());
            let typed = session.desk.typing.optional_length(ui, &field, label, value, Unit::Cm);
            if let Some(reading) = typed {
                wishes.push(Wish::of(Command::Measure(measurement, reading)));
            }
            ui.end_row();
        }
    });
    ui.label("A bare number is taken in centimetres. Clear a field to strike it out.");
    fit(ui, session, wishes);
}

/// The table of fit, kept while the garment does not change: proposals are tried out one by one, which takes longer
/// than a frame.
#[derive(Debug, Clone, Default)]
pub struct FitMemory {
    of_revision: Option<u64>,
    zones: Vec<FitZone>,
    proposals: Vec<Proposal>,
}

/// Pattern against body, and what would bring them together.
fn fit(ui: &mut Ui, session: &mut Session, wishes: &mut Vec<Wish>) {
    let revision = session.open.revision();
    if session.desk.fit.of_revision != Some(revision) {
        let (zones, proposals) = (zones(&session.open), proposals(&session.open));
        session.desk.fit = FitMemory { of_revision: Some(revision), zones, proposals };
    }
    let FitMemory { zones, proposals, .. } = &session.desk.fit;
    let units = say::units(ui);
    let (words, unit_mm, decimals) = match units {
        Units::Metric => ("The pattern on this body, in mm", 1.0, 0),
        Units::Inches => ("The pattern on this body, in inches", Unit::Inch.mm(), 1),
    };
    part(ui, words);
    if zones.is_empty() {
        ui.label("The pattern names no measures to compare.");
        return;
    }
    let number = |value: Option<f64>| {
        value.map_or_else(|| "–".to_owned(), |value| format!("{:.decimals$}", value / unit_mm))
    };
    Grid::new("fit").num_columns(5).striped(true).show(ui, |ui| {
        for words in ["", "body", "pattern", "ease", "size"] {
            ui.label(RichText::new(words).small());
        }
        ui.end_row();
        for zone in zones {
            ui.label(zone.measure.as_str());
            ui.label(number(zone.body_mm));
            ui.label(number(zone.pattern_mm));
            let ease = |mm: f64| format!("{:+.decimals$}", mm / unit_mm);
            let ease = ui.label(zone.ease_mm.map_or_else(|| "–".to_owned(), ease));
            ease.on_hover_text(say::words(ui, format!("at least {:.0} mm", zone.minimum_ease_mm)));
            ui.label(zone.nearest_size.as_ref().map_or("–", |size| size.as_str()));
            ui.end_row();
        }
    });
    part(ui, "Proposed");
    if proposals.is_empty() {
        ui.label("nothing");
    }
    for proposal in proposals {
        say::label(ui, &proposal.reason);
        if ui.add(egui::Button::new(say::words(ui, &proposal.words)).wrap()).clicked() {
            wishes.push(Wish::of(proposal.command.clone()));
        }
    }
}
