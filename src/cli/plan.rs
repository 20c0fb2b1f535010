//! `chalkbeam plan`: what a projector will light from where it may hang.

use super::{CliError, print, print_json};
use crate::aim::{Hanging, Prospect, ShiftCount};
use crate::geometry::{Length, Unit};
use clap::{Args, ValueEnum};
use serde::Serialize;

/// Arguments of `plan`.
#[derive(Debug, Args)]
pub(super) struct Plan {
    /// Throw ratio from the data sheet: 1.2, or 1.2-1.5 for a zoom.
    #[arg(long, value_parser = throw)]
    throw: Throw,
    /// From the floor to the ceiling (mm, or with its unit).
    #[arg(long, value_parser = length)]
    height: f64,
    /// Native resolution, such as 1920x1080.
    #[arg(long, value_parser = size)]
    size: (u32, u32),
    /// Angle of the lens from plumb, in degrees.
    #[arg(long, default_value_t = 0.0, allow_negative_numbers = true)]
    tilt: f64,
    /// Lens shift or offset from the data sheet, in per cent; say with --shift-counts what it counts.
    #[arg(long, requires = "shift_counts", value_parser = percent, allow_negative_numbers = true)]
    shift: Option<f64>,
    /// What the maker's per cent counts; data sheets differ, so look or ask.
    #[arg(long, requires = "shift")]
    shift_counts: Option<Counts>,
    /// Light output in ISO lumens.
    #[arg(long)]
    lumens: Option<f64>,
    /// From the floor to the cloth: the table's height (mm, or with its unit); 0 for the floor.
    #[arg(long, default_value = "900", value_parser = length)]
    cloth_height: f64,
    /// From the ceiling down to the lens: mount and body (mm, or with its unit).
    #[arg(long, default_value = "150", value_parser = length)]
    drop: f64,
    /// Print JSON.
    #[arg(long)]
    json: bool,
}

/// What a maker's per cent of shift counts.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Counts {
    /// The part of the picture's height above the lens's axis: 50 is centred, 100 has the axis along the edge.
    AboveAxis,
    /// How far the middle is off the axis in half picture heights: 0 is centred, 100 has the axis along the edge.
    HalfHeights,
}

#[derive(Debug, Clone, Copy)]
struct Throw {
    least: f64,
    most: f64,
}

fn number(text: &str) -> Result<f64, String> {
    let value: f64 = text.trim().parse().map_err(|error| format!("“{text}” is no number: {error}"))?;
    value.is_finite().then_some(value).ok_or_else(|| format!("“{text}” is no number to count with"))
}

fn throw(text: &str) -> Result<Throw, String> {
    let (least, most) = text.split_once(['-', '–']).unwrap_or((text, text));
    let (least, most) = (number(least)?, number(most)?);
    if least > 0.0 && least <= most {
        Ok(Throw { least, most })
    } else {
        Err("write the smaller throw ratio first, as 1.2-1.5".to_owned())
    }
}

fn size(text: &str) -> Result<(u32, u32), String> {
    let sides = text.split_once(['x', '×', 'X']);
    let parsed =
        sides.and_then(|(width, height)| Some((width.trim().parse().ok()?, height.trim().parse().ok()?)));
    parsed.ok_or_else(|| format!("“{text}” is no resolution; write it as 1920x1080"))
}

fn percent(text: &str) -> Result<f64, String> {
    number(text.trim().trim_end_matches('%'))
}

fn length(text: &str) -> Result<f64, String> {
    Length::parse(text, Some(Unit::Mm)).map(|length| length.mm()).map_err(|error| error.to_string())
}

/// What is printed as JSON.
#[derive(Debug, Serialize)]
struct Report {
    prospects: Vec<Prospect>,
    sources: [&'static str; 2],
    cautions: [&'static str; 4],
}

const SOURCES: [&str; 2] = [
    "throw ratio and offset: Texas Instruments application report DLPA044",
    "accuracy: propagated for picks of 0.5 px and tapes of 1 mm (1σ), as an aim's error map is",
];
const CAUTIONS: [&str; 4] = [
    "A projector overhead goes into the building's structure, not into a ceiling tile, with a second safety cable, put up by somebody competent. The maker's manual and local codes come before anything said here; keep the vents clear.",
    "Never look into the lens, and make the picture dark before you reach near it.",
    "IEC 62471-5:2015 puts projectors into risk groups, judged 1 m from the lens; group 2 is the most for consumers and means: do not stare into the lens. With a low ceiling a standing person's eyes are nearer than 1 m.",
    "Warm up before you aim, and look again whether it moved; ask for native resolution, with overscan and digital keystone off.",
];

impl Plan {
    pub(super) fn perform(&self) -> Result<(), CliError> {
        let lens_height_mm = self.height - self.drop - self.cloth_height;
        if lens_height_mm <= 0.0 {
            return Err(CliError::Said(format!(
                "a lens {:.0} mm under a ceiling of {:.0} mm hangs below the cloth at {:.0} mm; measure all three \
                 from the floor in mm",
                self.drop, self.height, self.cloth_height
            )));
        }
        let shift = match (self.shift, self.shift_counts) {
            (Some(percent), Some(Counts::AboveAxis)) => ShiftCount::AboveAxis.heights(percent),
            (Some(percent), Some(Counts::HalfHeights)) => ShiftCount::HalfHeights.heights(percent),
            _ => 0.0,
        };
        let mut throws = vec![self.throw.least];
        if self.throw.most > self.throw.least {
            throws.push(self.throw.most);
        }
        let mut prospects = Vec::new();
        for throw_ratio in throws {
            let hanging = Hanging {
                throw_ratio,
                shift,
                lens_height_mm,
                tilt: self.tilt.to_radians(),
                picture_size: self.size,
                lumens: self.lumens,
            };
            prospects.push(hanging.prospect().map_err(|error| CliError::Said(error.to_string()))?);
        }
        if self.json {
            return print_json(&Report { prospects, sources: SOURCES, cautions: CAUTIONS });
        }
        let mut words = String::new();
        for prospect in &prospects {
            words += &spoken(prospect);
        }
        for line in SOURCES.iter().chain(&CAUTIONS) {
            words += &format!("{line}\n");
        }
        print(&words)
    }
}

/// A prospect in words.
fn spoken(prospect: &Prospect) -> String {
    let mut words = String::new();
    let mut line = |text: String| words.push_str(&(text + "\n"));
    let [width, height] = prospect.rectangle_mm;
    line(format!("throw ratio {}:", prospect.throw_ratio));
    line(format!(
        "  lens {:.0} mm above the cloth, {:.0} mm along its axis",
        prospect.lens_height_mm, prospect.throw_mm
    ));
    line(format!(
        "  picture {:.0} to {:.0} mm wide and {:.0} mm deep (keystone {:.2}); lit all over: {width:.0} × {height:.0} mm",
        prospect.near_side_mm, prospect.far_side_mm, prospect.depth_mm, prospect.keystone
    ));
    line(format!(
        "  one pixel: {:.2} mm in the middle, {:.2} mm in the worst corner",
        prospect.pixel_centre_mm, prospect.pixel_far_corner_mm
    ));
    if let Some(lux) = prospect.lux {
        line(format!("  light on the cloth: about {lux:.0} lx, less in the corners"));
    }
    line(format!(
        "  hang the lens {:.0} mm to the side of the picture's middle, at the side of its {} edge",
        prospect.middle_from_plumb_mm.abs(),
        if prospect.middle_from_plumb_mm >= 0.0 { "lower" } else { "upper" }
    ));
    for accuracy in &prospect.accuracy {
        line(format!(
            "  {}: worst corner ±{:.1} mm (1σ), worst place {:.1} mm at 95 %, lengths ±{:.1} mm in a metre",
            accuracy.measured_with,
            accuracy.worst_corner_sigma_mm,
            accuracy.worst_95_mm,
            accuracy.length_mm_per_m
        ));
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_data_sheets_write_them() {
        let zoom = throw("1.2-1.5").unwrap();
        assert!((zoom.least - 1.2).abs() < 1e-12 && (zoom.most - 1.5).abs() < 1e-12);
        assert!(throw("1.13").is_ok_and(|throw| (throw.most - throw.least).abs() < 1e-12));
        assert_eq!(size("1920×1080"), Ok((1920, 1080)));
        assert_eq!((percent("105 %"), percent("-50%")), (Ok(105.0), Ok(-50.0)));
        assert_eq!((length("2300"), length("90 in")), (Ok(2300.0), Ok(2286.0)));
        for text in ["", "1.5-1.2", "-1", "nan", "1.2-"] {
            assert!(throw(text).is_err(), "{text}");
        }
        assert!(size("1920").is_err() && size("x").is_err());
    }
}
