//! `chalkbeam aim`: an aim from what was measured.

use super::{CliError, print, print_json};
use crate::aim::{Aim, Measured};
use crate::document;
use crate::geometry::Point;
use clap::Args;
use std::path::PathBuf;

/// Arguments of `aim`.
#[derive(Debug, Args)]
pub(super) struct AimTask {
    /// What was measured: picture size, marks, tapes.
    measured: PathBuf,
    /// Print JSON.
    #[arg(long)]
    json: bool,
}

impl AimTask {
    pub(super) fn perform(&self) -> Result<(), CliError> {
        let text = document::read_text(&self.measured)?;
        let measured: Measured = document::parse(&text, &self.measured)?;
        let aim =
            Aim::solve(&measured).map_err(|source| CliError::Aim { path: self.measured.clone(), source })?;
        let report = aim.report();
        if self.json {
            return print_json(&report);
        }
        let mut words = String::new();
        let mut line = |text: String| words.push_str(&(text + "\n"));
        line("homography, surface mm to picture px:".to_owned());
        for row in report.homography {
            line(format!("  {:>14.6} {:>14.6} {:>14.6}", row[0], row[1], row[2]));
        }
        line("marks, numbered from 0 as in the file:".to_owned());
        for (number, mark) in report.marks.iter().enumerate() {
            let [x, y] = mark.surface;
            let (px, mm) = (mark.residual_px, mark.residual_mm);
            line(format!("mark {number}: at ({x:.1}, {y:.1}) mm, off by {px:.2} px, {mm:.2} mm"));
        }
        for tape in &report.tapes {
            let (from, to) = (tape.from, tape.to);
            line(format!("tape {from}–{to}: {:.1} mm, off by {:+.2} mm", tape.mm, tape.residual_mm));
        }
        for suspect in &report.suspects {
            line(format!(
                "tape {}–{} may be wrong; if it alone is, it should read {:.1} mm",
                suspect.from, suspect.to, suspect.should_read_mm
            ));
        }
        for outlier in aim.outliers() {
            line(outlier.to_string());
        }
        let cover = aim.cover(None);
        if cover < Aim::COVER_LEAST {
            line(format!(
                "the marks hold {:.0} % of the picture; beyond them the light is a guess: lay marks nearer to the corners",
                100.0 * cover
            ));
        }
        if let Some(lens) = &report.lens {
            let ((x, y), percent) = (lens.centre_px, 100.0 * lens.radial);
            line(format!(
                "the lens bends by {percent:+.2} % at {:.0} px from ({x:.0}, {y:.0})",
                lens.reach_px
            ));
        }
        if let Some(cloth) = &report.cloth {
            let (thick, height) = (cloth.thickness_mm, cloth.lens_height_mm);
            let off = off_without_cloth(&aim);
            line(format!(
                "cloth {thick:.1} mm thick under a lens {height:.0} mm high is allowed for: unallowed for, light would fall up to {off:.1} mm off"
            ));
            if let Some(guess) = aim.lens_height_guess() {
                line(format!(
                    "by the map alone the lens hangs {:.0} mm high, give or take {:.0} mm: a rough check of the tape and nothing more",
                    guess.height_mm, guess.sigma_mm
                ));
            }
        }
        if report.provisional {
            line("provisional: it rests on predicted marks and is not to be cut by".to_owned());
        }
        let pitch = &report.pixel_pitch_mm;
        let corners: Vec<_> = pitch.corners.iter().map(|pitch| format!("{pitch:.3}")).collect();
        line(format!(
            "one pixel: {:.3} mm in the centre; {} mm in the corners",
            pitch.centre,
            corners.join(", ")
        ));
        if let Some(error) = &report.error {
            line(format!(
                "likely error (1 σ): {:.2} mm in the worst corner, {:.2} mm in the centre, {:.2} mm in a metre",
                error.worst_corner_mm, error.centre_mm, error.length_mm_per_m
            ));
        }
        print(&words)
    }
}

/// How far off light would fall in the worst corner, in mm, if the cloth's thickness were not allowed for.
fn off_without_cloth(aim: &Aim) -> f64 {
    let (width, height) = aim.picture_size();
    let (width, height) = (f64::from(width), f64::from(height));
    let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)].map(Point::from);
    let off = corners
        .into_iter()
        .filter_map(|corner| Some(aim.surface_of(corner)?.distance(aim.cloth_of(corner)?)));
    off.fold(0.0, f64::max)
}
