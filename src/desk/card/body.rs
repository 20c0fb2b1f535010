//! The card at the stop Body: the wearer's measurements.

use super::part;
use crate::body::BodyMeasurement;
use crate::desk::{Session, Wish};
use crate::garment::Command;
use crate::geometry::Unit;
use egui::{Grid, Ui};

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
}
