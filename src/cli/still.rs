//! `chalkbeam still`: the exact projector frame as a picture.

use super::{CliError, check_ending, open_garment, say};
use crate::floor::{FloorView, floor_scene, floor_throw, lamp_of};
use crate::garment::OpenGarment;
use crate::light::{Device, Picture, picture};
use crate::scene::Layer;
use clap::Args;
use std::path::PathBuf;

/// Arguments of `still`.
#[derive(Debug, Args)]
pub(super) struct Still {
    /// Garment to draw.
    garment: PathBuf,
    /// Picture to write.
    #[arg(long, value_name = "F.png")]
    out: PathBuf,
    /// Size in px where it is not the aim's own; the same picture, scaled.
    #[arg(long, value_name = "WxH", value_parser = parse_size)]
    size: Option<(u32, u32)>,
    /// Show the aim's marks too.
    #[arg(long)]
    marks: bool,
}

impl Still {
    pub(super) fn perform(&self) -> Result<(), CliError> {
        check_ending(&self.out, "png")?;
        let open = open_garment(&self.garment)?;
        let mut view = FloorView::default();
        // Keys are of no use on a picture.
        view.show.toggle(Layer::Legend);
        if self.marks {
            view.toggle_aiming();
        }
        let frame = frame(&open, &view, self.size)?;
        frame.write_png(&self.out)?;
        let [width, height] = frame.size();
        say(&format!("{}: {width} × {height} px", self.out.display()));
        Ok(())
    }
}

/// The projector frame of a garment, as the floor window shows it.
pub(super) fn frame(
    open: &OpenGarment,
    view: &FloorView,
    size: Option<(u32, u32)>,
) -> Result<Picture, CliError> {
    let aim = open.aim().good.as_ref().ok_or_else(|| {
        let why = open.aim().finding().map(|finding| format!(": {}; {}", finding.what, finding.remedy));
        CliError::Said(format!(
            "{}: there is no frame without an aim{}",
            open.path().map_or_else(|| open.garment().name.clone(), |path| path.display().to_string()),
            why.unwrap_or_default()
        ))
    })?;
    let size = size.unwrap_or_else(|| open.mount().picture_size(aim.picture_size()));
    let throw = floor_throw(open, size)
        .ok_or_else(|| CliError::Said("the aim gives no picture of this size".to_owned()))?;
    let scene = floor_scene(open, view, size);
    let device = Device::headless()?;
    Ok(picture(&device, [size.0, size.1], throw, &scene, &lamp_of(open))?)
}

fn parse_size(text: &str) -> Result<(u32, u32), String> {
    /// Widest texture that every driver takes.
    const WIDEST: u32 = 8192;
    let bad = || {
        format!("“{text}” is not a size; write width and height in px, such as 1920x1080 (at most {WIDEST})")
    };
    let (width, height) = text.split_once(['x', '×']).ok_or_else(bad)?;
    let side = |text: &str| text.trim().parse().ok().filter(|side| (16..=WIDEST).contains(side));
    Ok((side(width).ok_or_else(bad)?, side(height).ok_or_else(bad)?))
}
