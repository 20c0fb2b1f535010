//! Draws tessellated scenes under an aim: one way for window, picture and test.
//!
//! Three pipelines (fills, unbroken lines and all other strokes) share one uniform, the aim. All draw with
//! premultiplied colours "over" what is there, in linear light when the target's format is an sRGB one; give the
//! projector such a format, or the light's centre shifts by up to a tenth of a pixel. No multisampling: strokes bring
//! their own coverage, and it costs three times the work in software.

use super::device::Device;
use super::drawing::{Drawing, Run};
use super::horizon::Horizon;
use super::picture::srgb_from_linear;
use super::pipeline::Pipelines;
use super::stroke::{Stretch, pair, single};
use super::throw::Throw;
use crate::aim::Lens;
use crate::geometry::Point;
use glam::{DMat3, DVec3};
use std::ops::Range;
use wgpu::util::{BufferInitDescriptor, DeviceExt as _};

/// Draws into targets of one format.
#[derive(Debug)]
pub struct Renderer {
    format: wgpu::TextureFormat,
    encoded: bool,
    pipelines: Pipelines,
}

/// A drawing on the device. It can be drawn by renderers of any format, under any aim.
#[derive(Debug)]
pub struct Uploaded {
    drawing: Drawing,
    corners: Option<[Point; 4]>,
    stretches: Option<wgpu::Buffer>,
    mesh: Option<(wgpu::Buffer, wgpu::Buffer)>,
}

/// Drawings with their aim, ready for a render pass. It keeps what it needs alive by itself.
#[derive(Debug)]
pub struct Prepared {
    pipelines: Pipelines,
    picture_px: [f32; 2],
    parts: Vec<Part>,
}

/// One drawing under one aim.
#[derive(Debug)]
struct Part {
    aim: wgpu::BindGroup,
    stretches: Option<wgpu::Buffer>,
    mesh: Option<(wgpu::Buffer, wgpu::Buffer)>,
    runs: Vec<Run>,
}

/// The uniform as `shaders/aim.wgsl` lays it out (columns of a mat3x3 are padded to 16 bytes).
#[repr(C)]
#[derive(Clone, Copy, bytemuck::Pod, bytemuck::Zeroable)]
struct Aim {
    columns: [[f32; 4]; 3],
    picture_px: [f32; 2],
    lens_centre: [f32; 2],
    lens_part: [f32; 3],
    lens_most: f32,
}

impl Uploaded {
    /// Takes a drawing to the device.
    #[must_use]
    pub fn new(device: &Device, drawing: Drawing) -> Self {
        let stretches = vertex_buffer(device, "stretches", &drawing.stretches);
        let mesh = vertex_buffer(device, "corners", &drawing.mesh.vertices).map(|corners| {
            let indices = device.device.create_buffer_init(&BufferInitDescriptor {
                label: Some("triangles"),
                contents: bytemuck::cast_slice(&drawing.mesh.indices),
                usage: wgpu::BufferUsages::INDEX,
            });
            (corners, indices)
        });
        Self { corners: drawing.stroke_corners(), drawing, stretches, mesh }
    }

    /// The drawing as it was made.
    #[must_use]
    pub const fn drawing(&self) -> &Drawing {
        &self.drawing
    }
}

impl Renderer {
    /// A renderer for targets of `format`, which must be one that can be drawn into. On an eight-bit format
    /// that is not marked as sRGB (egui's choice for the desk) colours are encoded before blending.
    #[must_use]
    pub fn new(device: &Device, format: wgpu::TextureFormat) -> Self {
        let encoded = matches!(format, wgpu::TextureFormat::Rgba8Unorm | wgpu::TextureFormat::Bgra8Unorm);
        Self { format, encoded, pipelines: Pipelines::new(device, format, encoded) }
    }

    /// The format of the targets.
    #[must_use]
    pub const fn format(&self) -> wgpu::TextureFormat {
        self.format
    }

    /// Readies drawings for a render pass over a target of `picture_px`; earlier ones lie under later ones.
    ///
    /// A lens bends what is drawn, provided its lines were cut short for it ([`Drawing::cut_up`]).
    ///
    /// To draw into a part of a larger target (the desk's board), give the whole target's size, let
    /// `throw` lead to the whole target's pixels, and set the scissor rectangle.
    #[must_use]
    pub fn prepare(
        &self,
        device: &Device,
        picture_px: [u32; 2],
        throw: impl Into<Throw>,
        uploads: &[&Uploaded],
    ) -> Prepared {
        let throw = throw.into();
        let parts = uploads.iter().map(|uploaded| self.part(device, picture_px, &throw, uploaded)).collect();
        Prepared {
            pipelines: self.pipelines.clone(),
            picture_px: picture_px.map(|side| single(f64::from(side))),
            parts,
        }
    }

    /// Draws onto a fresh `background` (linear light) and hands the work in.
    pub fn draw(
        &self,
        device: &Device,
        target: &wgpu::TextureView,
        picture_px: [u32; 2],
        throw: impl Into<Throw>,
        background: [f32; 3],
        uploads: &[&Uploaded],
    ) {
        let prepared = self.prepare(device, picture_px, throw, uploads);
        let mut encoder =
            device.device.create_command_encoder(&wgpu::CommandEncoderDescriptor { label: Some("light") });
        {
            let [r, g, b] = background
                .map(|light| if self.encoded { srgb_from_linear(light) } else { light })
                .map(f64::from);
            let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
                label: Some("light"),
                color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                    view: target,
                    depth_slice: None,
                    resolve_target: None,
                    ops: wgpu::Operations {
                        load: wgpu::LoadOp::Clear(wgpu::Color { r, g, b, a: 1.0 }),
                        store: wgpu::StoreOp::Store,
                    },
                })],
                ..Default::default()
            });
            prepared.paint(&mut pass);
        }
        device.queue.submit([encoder.finish()]);
    }

    fn part(&self, device: &Device, [width, height]: [u32; 2], throw: &Throw, uploaded: &Uploaded) -> Part {
        let origin = uploaded.drawing.origin;
        let to_origin = DMat3::from_cols(DVec3::X, DVec3::Y, DVec3::new(origin.x, origin.y, 1.0));
        let matrix = throw.straight().matrix() * to_origin;
        let size = [width, height].map(f64::from);
        let column = |axis: DVec3| [single(axis.x), single(axis.y), single(axis.z), 0.0];
        let bend = throw.bend();
        let uniform = Aim {
            columns: [column(matrix.x_axis), column(matrix.y_axis), column(matrix.z_axis)],
            picture_px: size.map(single),
            lens_centre: bend.map_or([0.0; 2], |bend| pair(bend.centre)),
            lens_part: bend.map_or([0.0; 3], |bend| bend.part.map(single)),
            lens_most: single(Lens::MOST_PART),
        };
        let buffer = device.device.create_buffer_init(&BufferInitDescriptor {
            label: Some("aim"),
            contents: bytemuck::bytes_of(&uniform),
            usage: wgpu::BufferUsages::UNIFORM,
        });
        let aim = device.device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("aim"),
            layout: &self.pipelines.aim,
            entries: &[wgpu::BindGroupEntry { binding: 0, resource: buffer.as_entire_binding() }],
        });
        let horizon = Horizon::new(matrix, size[0], size[1]);
        let inside = |corners: [Point; 4]| corners.iter().all(|&corner| horizon.holds(corner));
        let (stretches, runs) = if uploaded.corners.is_none_or(inside) {
            (uploaded.stretches.clone(), uploaded.drawing.runs.clone())
        } else {
            clipped(device, &horizon, &uploaded.drawing)
        };
        Part { aim, stretches, mesh: uploaded.mesh.clone(), runs }
    }
}

impl Prepared {
    /// Records the drawing into a pass whose target has the renderer's format and the prepared size. Sets the
    /// viewport to all of it, because the stroke shader reads pixel positions.
    pub fn paint(&self, pass: &mut wgpu::RenderPass<'_>) {
        let [width, height] = self.picture_px;
        pass.set_viewport(0.0, 0.0, width, height, 0.0, 1.0);
        for part in &self.parts {
            pass.set_bind_group(0, &part.aim, &[]);
            for run in &part.runs {
                match (run, &part.stretches, &part.mesh) {
                    (Run::Strokes(range) | Run::Unbroken(range), Some(stretches), _) if !range.is_empty() => {
                        let is_unbroken = matches!(run, Run::Unbroken(_));
                        let pipelines = &self.pipelines;
                        pass.set_pipeline(if is_unbroken { &pipelines.unbroken } else { &pipelines.strokes });
                        pass.set_vertex_buffer(0, stretches.slice(..));
                        pass.draw(0..4, range.clone());
                    }
                    (Run::Fills(range), _, Some((corners, indices))) if !range.is_empty() => {
                        pass.set_pipeline(&self.pipelines.fills);
                        pass.set_vertex_buffer(0, corners.slice(..));
                        pass.set_index_buffer(indices.slice(..), wgpu::IndexFormat::Uint32);
                        pass.draw_indexed(range.clone(), 0, 0..1);
                    }
                    _ => {}
                }
            }
        }
    }
}

/// The stretches that remain in front of the horizon, on the device, and their runs.
fn clipped(device: &Device, horizon: &Horizon, drawing: &Drawing) -> (Option<wgpu::Buffer>, Vec<Run>) {
    let mut stretches: Vec<Stretch> = Vec::new();
    // The count never exceeds that of the drawing, whose ranges are u32.
    let count = |stretches: &[Stretch]| u32::try_from(stretches.len()).unwrap_or(u32::MAX);
    let mut kept = |range: &Range<u32>| {
        let before = count(&stretches);
        let whole = &drawing.stretches[range.start as usize..range.end as usize];
        stretches.extend(whole.iter().filter_map(|stretch| horizon.clip(stretch)));
        before..count(&stretches)
    };
    let runs = drawing.runs.iter().map(|run| match run {
        Run::Fills(range) => Run::Fills(range.clone()),
        Run::Strokes(range) => Run::Strokes(kept(range)),
        Run::Unbroken(range) => Run::Unbroken(kept(range)),
    });
    let runs = runs.collect();
    (vertex_buffer(device, "clipped stretches", &stretches), runs)
}

/// A vertex buffer, or none for no content (a device refuses empty ones).
fn vertex_buffer<T: bytemuck::Pod>(device: &Device, label: &str, content: &[T]) -> Option<wgpu::Buffer> {
    (!content.is_empty()).then(|| {
        device.device.create_buffer_init(&BufferInitDescriptor {
            label: Some(label),
            contents: bytemuck::cast_slice(content),
            usage: wgpu::BufferUsages::VERTEX,
        })
    })
}
