//! Pictures as greys.

use super::error::ScanError;
use std::io::Cursor;

/// Largest picture, in pixels: A0 at 300 dots per inch has 140 million.
const MOST_PIXELS: u64 = 160_000_000;

/// Greys from 0, black, to 255, row by row from the top.
pub(super) struct Picture {
    pub(super) width: u32,
    pub(super) height: u32,
    greys: Vec<u8>,
    /// Dots per inch across and down, where the picture tells.
    pub(super) dpi: Option<[f64; 2]>,
}

impl Picture {
    fn new(width: u32, height: u32, greys: Vec<u8>, dpi: Option<[f64; 2]>) -> Result<Self, ScanError> {
        let pixels = u64::from(width) * u64::from(height);
        if pixels == 0 || u64::try_from(greys.len()) != Ok(pixels) {
            return Err(ScanError::Unreadable("it ends too early".to_owned()));
        }
        Ok(Self { width, height, greys, dpi })
    }

    /// A row of greys.
    pub(super) fn row(&self, y: u32) -> &[u8] {
        let width = self.width as usize;
        let from = y as usize * width;
        self.greys.get(from..from + width).unwrap_or_default()
    }

    /// The grey between ink and paper (Otsu): it parts the greys into two kinds that differ most; nothing where
    /// they hardly differ.
    pub(super) fn level(&self) -> Option<f64> {
        /// Ink and paper are at least so many greys apart.
        const LEAST_CONTRAST: f64 = 30.0;
        let mut counts = [0_u64; 256];
        for grey in &self.greys {
            counts[usize::from(*grey)] += 1;
        }
        #[expect(clippy::cast_precision_loss, reason = "fewer pixels than an f64 counts exactly")]
        let counts: Vec<f64> = counts.iter().map(|count| *count as f64).collect();
        let all: f64 = counts.iter().sum();
        let sum: f64 = counts.iter().zip(0_u32..).map(|(count, grey)| count * f64::from(grey)).sum();
        let (mut dark, mut dark_sum) = (0.0, 0.0);
        let mut best: Option<(f64, f64)> = None;
        for (count, grey) in counts.iter().zip(0_u32..) {
            dark += count;
            dark_sum += count * f64::from(grey);
            let light = all - dark;
            if dark <= 0.0 || light <= 0.0 {
                continue;
            }
            let (ink, paper) = (dark_sum / dark, (sum - dark_sum) / light);
            let between = dark * light * (paper - ink) * (paper - ink);
            if paper - ink >= LEAST_CONTRAST && best.is_none_or(|(known, _)| between > known) {
                // Midway between the two kinds, where the border of a line lies whatever its width.
                best = Some((between, 0.5 * (ink + paper)));
            }
        }
        best.map(|(_, level)| level)
    }
}

const PNG: &[u8] = b"\x89PNG\r\n\x1a\n";

/// Whether bytes begin as a picture does that can be read.
pub(in super::super) fn is_picture(bytes: &[u8]) -> bool {
    let jpeg = bytes.starts_with(&[0xff, 0xd8, 0xff]);
    let tiff = bytes.starts_with(b"II*\0") || bytes.starts_with(b"MM\0*");
    bytes.starts_with(PNG) || jpeg || tiff
}

fn unreadable(error: impl ToString) -> ScanError {
    ScanError::Unreadable(error.to_string())
}

fn check_size(width: u32, height: u32) -> Result<(), ScanError> {
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(ScanError::TooLarge(MOST_PIXELS / 1_000_000));
    }
    Ok(())
}

pub(super) fn decode(bytes: &[u8]) -> Result<Picture, ScanError> {
    // Decoders written by others: a fault of theirs is no fault of ours.
    let decoded = std::panic::catch_unwind(|| {
        if bytes.starts_with(PNG) {
            png(bytes)
        } else if bytes.starts_with(&[0xff, 0xd8, 0xff]) {
            jpeg(bytes)
        } else {
            tiff(bytes)
        }
    });
    decoded.unwrap_or_else(|_| Err(unreadable("its decoder gave up")))
}

/// How light a colour is (Rec. 709), on white where it is transparent.
fn grey(colour: [u8; 3], alpha: u8) -> u8 {
    let [r, g, b] = colour.map(f64::from);
    let light = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    let covered = f64::from(alpha) / 255.0;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 0 and 255")]
    let grey = (light * covered + 255.0 * (1.0 - covered)).round() as u8;
    grey
}

/// Greys of pixels with so many channels of 8 bits.
fn greys(pixels: &[u8], channels: usize) -> Vec<u8> {
    let grey_of = |pixel: &[u8]| match *pixel {
        [light] => light,
        [light, alpha] => grey([light; 3], alpha),
        [r, g, b] => grey([r, g, b], 255),
        [r, g, b, alpha, ..] => grey([r, g, b], alpha),
        [] => 255,
    };
    pixels.chunks_exact(channels.max(1)).map(grey_of).collect()
}

fn png(bytes: &[u8]) -> Result<Picture, ScanError> {
    let most = usize::try_from(MOST_PIXELS * 4).unwrap_or(usize::MAX);
    let mut decoder = png::Decoder::new_with_limits(Cursor::new(bytes), png::Limits { bytes: most });
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(unreadable)?;
    let info = reader.info();
    let (width, height) = (info.width, info.height);
    check_size(width, height)?;
    let dpi = info.pixel_dims.and_then(|dims| match dims.unit {
        png::Unit::Meter => Some([dims.xppu, dims.yppu].map(|per_metre| f64::from(per_metre) * 0.0254)),
        png::Unit::Unspecified => None,
    });
    let size = reader.output_buffer_size().ok_or(ScanError::TooLarge(MOST_PIXELS / 1_000_000))?;
    let mut pixels = vec![0; size];
    let frame = reader.next_frame(&mut pixels).map_err(unreadable)?;
    let channels = frame.color_type.samples();
    pixels.truncate(frame.buffer_size());
    Picture::new(width, height, greys(&pixels, channels), dpi)
}

fn jpeg(bytes: &[u8]) -> Result<Picture, ScanError> {
    use zune_jpeg::zune_core::bytestream::ZCursor;
    use zune_jpeg::zune_core::colorspace::ColorSpace;
    use zune_jpeg::zune_core::options::DecoderOptions;
    let options = DecoderOptions::default().jpeg_set_out_colorspace(ColorSpace::Luma);
    let mut decoder = zune_jpeg::JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    decoder.decode_headers().map_err(unreadable)?;
    let info = decoder.info().ok_or_else(|| unreadable("it has no size"))?;
    let (width, height) = (u32::from(info.width), u32::from(info.height));
    check_size(width, height)?;
    let dpi = jfif_dpi(bytes);
    Picture::new(width, height, decoder.decode().map_err(unreadable)?, dpi)
}

/// The density of a JFIF picture (JPEG File Interchange Format 1.02): after the start mark, a segment APP0 that begins
/// with `JFIF`, two bytes of version, the unit (1: dots per inch, 2: dots per cm), and the densities.
fn jfif_dpi(bytes: &[u8]) -> Option<[f64; 2]> {
    let at = bytes.get(..64.min(bytes.len()))?.windows(5).position(|window| window == b"JFIF\0")?;
    let rest = bytes.get(at + 7..at + 12)?;
    let [unit, x0, x1, y0, y1] = <[u8; 5]>::try_from(rest).ok()?;
    let density = [u16::from_be_bytes([x0, x1]), u16::from_be_bytes([y0, y1])].map(f64::from);
    match unit {
        1 => Some(density),
        2 => Some(density.map(|per_cm| per_cm * 2.54)),
        _ => None,
    }
}

fn tiff(bytes: &[u8]) -> Result<Picture, ScanError> {
    use tiff::decoder::{Decoder, DecodingResult, Limits};
    use tiff::tags::Tag;
    let mut limits = Limits::default();
    limits.decoding_buffer_size = usize::try_from(MOST_PIXELS * 4).unwrap_or(usize::MAX);
    let mut decoder = Decoder::new(Cursor::new(bytes)).map_err(unreadable)?.with_limits(limits);
    let (width, height) = decoder.dimensions().map_err(unreadable)?;
    check_size(width, height)?;
    let mut resolution = |tag| {
        let value = decoder.find_tag(tag).ok().flatten()?;
        match value {
            tiff::decoder::ifd::Value::Rational(over, under) if under > 0 => {
                Some(f64::from(over) / f64::from(under))
            }
            _ => None,
        }
    };
    let density = resolution(Tag::XResolution).zip(resolution(Tag::YResolution));
    // 2: inch, also where it is not told; 3: centimetre (TIFF 6.0, ResolutionUnit).
    let unit = decoder.find_tag_unsigned::<u16>(Tag::ResolutionUnit).ok().flatten().unwrap_or(2);
    let dpi = density.and_then(|(x, y)| match unit {
        2 => Some([x, y]),
        3 => Some([x, y].map(|per_cm| per_cm * 2.54)),
        _ => None,
    });
    let (channels, bits) = match decoder.colortype().map_err(unreadable)? {
        tiff::ColorType::Gray(bits) => (1, bits),
        tiff::ColorType::GrayA(bits) => (2, bits),
        tiff::ColorType::RGB(bits) => (3, bits),
        tiff::ColorType::RGBA(bits) => (4, bits),
        other => return Err(unreadable(format!("its colours are of the kind {other:?}"))),
    };
    let pixels = match decoder.read_image().map_err(unreadable)? {
        DecodingResult::U8(packed) if bits == 1 => unpacked(&packed, width, height),
        DecodingResult::U8(pixels) if bits == 8 => pixels,
        DecodingResult::U16(pixels) => pixels.into_iter().map(|value| value.to_be_bytes()[0]).collect(),
        _ => return Err(unreadable(format!("it has {bits} bits a colour"))),
    };
    Picture::new(width, height, greys(&pixels, channels), dpi)
}

/// Greys of a picture of one bit a pixel, rows padded to whole bytes.
fn unpacked(packed: &[u8], width: u32, height: u32) -> Vec<u8> {
    let (width, height) = (width as usize, height as usize);
    let row_bytes = width.div_ceil(8);
    let mut greys = Vec::with_capacity(width * height);
    for row in packed.chunks_exact(row_bytes.max(1)).take(height) {
        greys.extend((0..width).map(|x| if row[x / 8] >> (7 - x % 8) & 1 == 1 { 255 } else { 0 }));
    }
    greys
}
