//! A picture of what the projector shows, without a window: for `still` files, the worksheet and the tests.

use super::device::{Device, LightError};
use super::drawing::Drawing;
use super::renderer::{Renderer, Uploaded};
use super::throw::Throw;
use crate::document::{self, DocumentError};
use crate::scene::{Lamp, Scene};
use std::path::Path;
use std::sync::mpsc;

/// How a picture's light is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Depth {
    /// Eight bits a channel, sRGB: what a projector is sent.
    Srgb8,
    /// Sixteen-bit floats, linear: what a measurement wants.
    Linear16,
}

impl Depth {
    /// The format that keeps it.
    #[must_use]
    pub const fn format(self) -> wgpu::TextureFormat {
        match self {
            Self::Srgb8 => wgpu::TextureFormat::Rgba8UnormSrgb,
            Self::Linear16 => wgpu::TextureFormat::Rgba16Float,
        }
    }

    const fn bytes_per_pixel(self) -> usize {
        match self {
            Self::Srgb8 => 4,
            Self::Linear16 => 8,
        }
    }
}

/// A rendered picture: rows from the top, pixels from the left, four channels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    size: [u32; 2],
    depth: Depth,
    bytes: Vec<u8>,
}

/// The scene as the projector would show it, eight bits sRGB.
///
/// # Errors
/// [`LightError::Size`] or [`LightError::ReadBack`].
pub fn picture(
    device: &Device,
    picture_px: [u32; 2],
    throw: impl Into<Throw>,
    scene: &Scene,
    lamp: &Lamp,
) -> Result<Picture, LightError> {
    let throw = throw.into();
    let longest_mm = throw.longest_mm((picture_px[0], picture_px[1]));
    let uploaded = Uploaded::new(device, Drawing::cut_up(scene, lamp, longest_mm));
    Studio::new(device, Depth::Srgb8).take(picture_px, throw, lamp.background, &[&uploaded])
}

/// Takes pictures of one depth; keep it when there are many to take.
#[derive(Debug)]
pub struct Studio<'a> {
    device: &'a Device,
    depth: Depth,
    renderer: Renderer,
}

impl<'a> Studio<'a> {
    /// A studio on a device.
    #[must_use]
    pub fn new(device: &'a Device, depth: Depth) -> Self {
        Self { device, depth, renderer: Renderer::new(device, depth.format()) }
    }

    /// A picture of drawings on a background of linear light.
    ///
    /// # Errors
    /// [`LightError::Size`] or [`LightError::ReadBack`].
    pub fn take(
        &self,
        picture_px: [u32; 2],
        throw: impl Into<Throw>,
        background: [f32; 3],
        uploads: &[&Uploaded],
    ) -> Result<Picture, LightError> {
        let most = self.device.largest_picture_px();
        let [width, height] = picture_px;
        if !(1..=most).contains(&width) || !(1..=most).contains(&height) {
            return Err(LightError::Size { width, height, most });
        }
        let texture = self.device.device.create_texture(&wgpu::TextureDescriptor {
            label: Some("picture"),
            size: wgpu::Extent3d { width, height, depth_or_array_layers: 1 },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: self.depth.format(),
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::COPY_SRC,
            view_formats: &[],
        });
        let view = texture.create_view(&Default::default());
        self.renderer.draw(self.device, &view, picture_px, throw, background, uploads);
        let bytes = self.read_back(&texture)?;
        Ok(Picture { size: picture_px, depth: self.depth, bytes })
    }

    fn read_back(&self, texture: &wgpu::Texture) -> Result<Vec<u8>, LightError> {
        let failed = |error: &dyn std::fmt::Display| LightError::ReadBack(error.to_string());
        let device = &self.device.device;
        let row = texture.width() as usize * self.depth.bytes_per_pixel();
        let padded = row.next_multiple_of(wgpu::COPY_BYTES_PER_ROW_ALIGNMENT as usize);
        let buffer = device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("picture"),
            size: padded as u64 * u64::from(texture.height()),
            usage: wgpu::BufferUsages::COPY_DST | wgpu::BufferUsages::MAP_READ,
            mapped_at_creation: false,
        });
        let mut encoder = device.create_command_encoder(&Default::default());
        encoder.copy_texture_to_buffer(
            texture.as_image_copy(),
            wgpu::TexelCopyBufferInfo {
                buffer: &buffer,
                layout: wgpu::TexelCopyBufferLayout {
                    offset: 0,
                    bytes_per_row: Some(u32::try_from(padded).map_err(|error| failed(&error))?),
                    rows_per_image: None,
                },
            },
            texture.size(),
        );
        self.device.queue.submit([encoder.finish()]);
        let (sender, receiver) = mpsc::channel();
        buffer.map_async(wgpu::MapMode::Read, .., move |outcome| {
            // The receiver is gone only when this function has already given up.
            sender.send(outcome).unwrap_or_default();
        });
        device.poll(wgpu::PollType::wait_indefinitely()).map_err(|error| failed(&error))?;
        receiver.recv().map_err(|error| failed(&error))?.map_err(|error| failed(&error))?;
        let mapped = buffer.get_mapped_range(..).map_err(|error| failed(&error))?;
        let mut bytes = Vec::with_capacity(row * texture.height() as usize);
        for line in mapped.chunks_exact(padded) {
            bytes.extend_from_slice(&line[..row]);
        }
        Ok(bytes)
    }
}

impl Picture {
    /// Width and height in px.
    #[must_use]
    pub const fn size(&self) -> [u32; 2] {
        self.size
    }

    /// Linear light of a pixel (red, green, blue, coverage), however it is kept; `None` outside.
    #[must_use]
    pub fn linear(&self, x: u32, y: u32) -> Option<[f32; 4]> {
        if x >= self.size[0] || y >= self.size[1] {
            return None;
        }
        let pixel = (y as usize * self.size[0] as usize + x as usize) * self.depth.bytes_per_pixel();
        let bytes = self.bytes.get(pixel..pixel + self.depth.bytes_per_pixel())?;
        Some(match self.depth {
            Depth::Srgb8 => std::array::from_fn(|channel| {
                let share = f32::from(bytes[channel]) / 255.0;
                if channel == 3 { share } else { linear_from_srgb(share) }
            }),
            Depth::Linear16 => std::array::from_fn(|channel| {
                single_from_half(u16::from_le_bytes([bytes[2 * channel], bytes[2 * channel + 1]]))
            }),
        })
    }

    /// The picture as sRGB bytes, four a pixel.
    #[must_use]
    pub fn srgb(&self) -> Vec<u8> {
        match self.depth {
            Depth::Srgb8 => self.bytes.clone(),
            Depth::Linear16 => self
                .bytes
                .chunks_exact(2)
                .enumerate()
                .map(|(index, half)| {
                    let light = single_from_half(u16::from_le_bytes([half[0], half[1]])).clamp(0.0, 1.0);
                    byte(if index % 4 == 3 { light } else { srgb_from_linear(light) })
                })
                .collect(),
        }
    }

    /// Writes a PNG; the file appears whole or not at all.
    ///
    /// # Errors
    /// [`LightError::Write`].
    pub fn write_png(&self, path: &Path) -> Result<(), LightError> {
        let unwritable = |error: png::EncodingError| DocumentError::Unwritable {
            path: path.to_path_buf(),
            source: error.into(),
        };
        let bytes = self.png().map_err(unwritable)?;
        Ok(document::write_atomically(path, &bytes, false)?)
    }

    fn png(&self) -> Result<Vec<u8>, png::EncodingError> {
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, self.size[0], self.size[1]);
        encoder.set_color(png::ColorType::Rgba);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_source_srgb(png::SrgbRenderingIntent::RelativeColorimetric);
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&self.srgb())?;
        writer.finish()?;
        Ok(bytes)
    }
}

/// IEC 61966-2-1, decoding.
fn linear_from_srgb(share: f32) -> f32 {
    if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
}

/// IEC 61966-2-1, encoding.
pub(super) fn srgb_from_linear(light: f32) -> f32 {
    if light <= 0.003_130_8 { light * 12.92 } else { 1.055f32.mul_add(light.powf(1.0 / 2.4), -0.055) }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0 to 255")]
fn byte(share: f32) -> u8 {
    (share.clamp(0.0, 1.0) * 255.0).round() as u8
}

/// IEEE 754 binary16 to binary32, exact.
fn single_from_half(bits: u16) -> f32 {
    let sign = if bits & 0x8000 == 0 { 1.0 } else { -1.0 };
    let exponent = i32::from((bits >> 10) & 0x1f);
    let fraction = f32::from(bits & 0x3ff) / 1024.0;
    sign * match exponent {
        0 => fraction * 2.0_f32.powi(-14),
        31 if fraction > 0.0 => f32::NAN,
        31 => f32::INFINITY,
        _ => (1.0 + fraction) * 2.0_f32.powi(exponent - 15),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[expect(clippy::float_cmp, reason = "the conversion is exact")]
    fn half_floats_are_read_as_ieee_754_writes_them() {
        // Examples of IEEE 754 binary16: 1, -2, largest, smallest normal and subnormal.
        for (bits, value) in [
            (0x3c00, 1.0),
            (0xc000, -2.0),
            (0x7bff, 65504.0),
            (0x0400, 6.103_515_6e-5),
            (0x0001, 5.960_464_5e-8),
            (0x0000, 0.0),
            (0x7c00, f32::INFINITY),
        ] {
            assert_eq!(single_from_half(bits), value, "{bits:#06x}");
        }
        assert!(single_from_half(0x7e00).is_nan());
    }

    #[test]
    fn srgb_goes_there_and_back() {
        for step in 0..=255_u8 {
            let light = linear_from_srgb(f32::from(step) / 255.0);
            assert_eq!(byte(srgb_from_linear(light)), step);
        }
    }
}
