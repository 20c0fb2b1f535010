//! Draws tessellated scenes under an aim: one way for window, picture and test.
//!
//! Two pipelines (fills and strokes) share one uniform, the aim. Both draw with premultiplied colours "over"
//! what is there, in linear light when the target's format is an sRGB one; give the projector such a format,
//! or the light's centre shifts by up to a tenth of a pixel. No multisampling: strokes bring their own
//! coverage, and it costs three times the work in software.

use super::device::Device;
use super::drawing::{Drawing, Run};
use super::fill::Corner;
use super::horizon::Horizon;
use super::stroke::{Stretch, single};
use crate::aim::Homography;
use crate::geometry::Point;
use glam::{DMat3, DVec3};
use wgpu::util::{BufferInitDescriptor, DeviceExt as _};

/// The fill shader, whole.
const FILL_SHADER: &str = concat!(
    include_str!("../../shaders/aim.wgsl"),
    include_str!("../../shaders/fill.wgsl")
);
/// The stroke shader, whole.
const STROKE_SHADER: &str = concat!(
    include_str!("../../shaders/aim.wgsl"),
    include_str!("../../shaders/stroke.wgsl")
);

/// Draws into targets of one format.
#[derive(Debug)]
pub struct Renderer {
    format: wgpu::TextureFormat,
    layout: wgpu::BindGroupLayout,
    fills: wgpu::RenderPipeline,
    strokes: wgpu::RenderPipeline,
}

/// A drawing on the device. It can be drawn by renderers of any format, under any aim.
#[derive(Debug)]
pub struct Uploaded {
    drawing: Drawing,
    corners: Option<[Point; 4]>,
    stretches: Option<wgpu::Buffer>,
    mesh: Option<(wgpu::Buffer, wgpu::Buffer)>,
}

/// Drawings with their aim, ready for a render pass.
#[derive(Debug)]
pub struct Prepared<'a> {
    renderer: &'a Renderer,
    parts: Vec<Part<'a>>,
}

/// One drawing under one aim.
#[derive(Debug)]
struct Part<'a> {
    uploaded: &'a Uploaded,
    aim: wgpu::BindGroup,
    strokes: Strokes,
}

/// Which stretches are drawn.
#[derive(Debug)]
enum Strokes {
    /// The drawing's own.
    Whole,
    /// Clipped ones, with the range of each run.
    Clipped(Option<wgpu::Buffer>, Vec<Run>),
}

/// The uniform as `shaders/aim.wgsl` lays it out (columns of a mat3x3 are padded to 16 bytes).
#[repr(C)]
#[derive(Clone, Copy, bytemuck::Pod, bytemuck::Zeroable)]
struct Aim {
    columns: [[f32; 4]; 3],
    picture_px: [f32; 2],
    padding: [f32; 2],
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
        Self {
            corners: drawing.stroke_corners(),
            drawing,
            stretches,
            mesh,
        }
    }

    /// The drawing as it was made.
    #[must_use]
    pub const fn drawing(&self) -> &Drawing {
        &self.drawing
    }
}

impl Renderer {
    /// A renderer for targets of `format`, which must be one that can be drawn into.
    #[must_use]
    pub fn new(device: &Device, format: wgpu::TextureFormat) -> Self {
        let layout = device
            .device
            .create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
                label: Some("aim"),
                entries: &[wgpu::BindGroupLayoutEntry {
                    binding: 0,
                    visibility: wgpu::ShaderStages::VERTEX,
                    ty: wgpu::BindingType::Buffer {
                        ty: wgpu::BufferBindingType::Uniform,
                        has_dynamic_offset: false,
                        min_binding_size: None,
                    },
                    count: None,
                }],
            });
        let fills = pipeline(
            device,
            &layout,
            format,
            &Kind {
                name: "fill",
                shader: FILL_SHADER,
                stride: size_of::<Corner>(),
                attributes: &wgpu::vertex_attr_array![0 => Float32x2, 1 => Float32x4],
                step: wgpu::VertexStepMode::Vertex,
                topology: wgpu::PrimitiveTopology::TriangleList,
            },
        );
        let strokes = pipeline(
            device,
            &layout,
            format,
            &Kind {
                name: "stroke",
                shader: STROKE_SHADER,
                stride: size_of::<Stretch>(),
                attributes: &wgpu::vertex_attr_array![
                    0 => Float32x4, 1 => Float32x4, 2 => Float32x4, 3 => Float32x4, 4 => Float32x4
                ],
                step: wgpu::VertexStepMode::Instance,
                topology: wgpu::PrimitiveTopology::TriangleStrip,
            },
        );
        Self {
            format,
            layout,
            fills,
            strokes,
        }
    }

    /// The format of the targets.
    #[must_use]
    pub const fn format(&self) -> wgpu::TextureFormat {
        self.format
    }

    /// Readies drawings for a render pass over a target of `picture_px`; earlier ones lie under later ones.
    ///
    /// To draw into a part of a larger target, let `picture_from_surface` lead to the target's pixels, keep
    /// the viewport whole and set the scissor rectangle: the stroke shader reads pixel positions.
    #[must_use]
    pub fn prepare<'a>(
        &'a self,
        device: &Device,
        picture_px: [u32; 2],
        picture_from_surface: &Homography,
        uploads: &[&'a Uploaded],
    ) -> Prepared<'a> {
        let parts = uploads
            .iter()
            .map(|uploaded| self.part(device, picture_px, picture_from_surface, uploaded))
            .collect();
        Prepared {
            renderer: self,
            parts,
        }
    }

    /// Draws onto a fresh `background` (linear light) and hands the work in.
    pub fn draw(
        &self,
        device: &Device,
        target: &wgpu::TextureView,
        picture_px: [u32; 2],
        picture_from_surface: &Homography,
        background: [f32; 3],
        uploads: &[&Uploaded],
    ) {
        let prepared = self.prepare(device, picture_px, picture_from_surface, uploads);
        let mut encoder = device
            .device
            .create_command_encoder(&wgpu::CommandEncoderDescriptor { label: Some("light") });
        {
            let [r, g, b] = background.map(f64::from);
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

    fn part<'a>(
        &self,
        device: &Device,
        [width, height]: [u32; 2],
        picture_from_surface: &Homography,
        uploaded: &'a Uploaded,
    ) -> Part<'a> {
        let origin = uploaded.drawing.origin;
        let to_origin = DMat3::from_cols(DVec3::X, DVec3::Y, DVec3::new(origin.x, origin.y, 1.0));
        let matrix = picture_from_surface.matrix() * to_origin;
        let size = [width, height].map(f64::from);
        let column = |axis: DVec3| [single(axis.x), single(axis.y), single(axis.z), 0.0];
        let uniform = Aim {
            columns: [
                column(matrix.x_axis),
                column(matrix.y_axis),
                column(matrix.z_axis),
            ],
            picture_px: size.map(single),
            padding: [0.0; 2],
        };
        let buffer = device.device.create_buffer_init(&BufferInitDescriptor {
            label: Some("aim"),
            contents: bytemuck::bytes_of(&uniform),
            usage: wgpu::BufferUsages::UNIFORM,
        });
        let aim = device.device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("aim"),
            layout: &self.layout,
            entries: &[wgpu::BindGroupEntry {
                binding: 0,
                resource: buffer.as_entire_binding(),
            }],
        });
        let horizon = Horizon::new(matrix, size[0], size[1]);
        let inside = |corners: [Point; 4]| corners.iter().all(|&corner| horizon.holds(corner));
        Part {
            uploaded,
            aim,
            strokes: if uploaded.corners.is_none_or(inside) {
                Strokes::Whole
            } else {
                clipped(device, &horizon, &uploaded.drawing)
            },
        }
    }
}

impl Prepared<'_> {
    /// Records the drawing into a pass whose target has the renderer's format and the prepared size.
    pub fn paint(&self, pass: &mut wgpu::RenderPass<'_>) {
        for part in &self.parts {
            pass.set_bind_group(0, &part.aim, &[]);
            let (stretches, runs) = match &part.strokes {
                Strokes::Whole => (&part.uploaded.stretches, &part.uploaded.drawing.runs),
                Strokes::Clipped(buffer, runs) => (buffer, runs),
            };
            for run in runs {
                match (run, stretches, &part.uploaded.mesh) {
                    (Run::Strokes(range), Some(stretches), _) if !range.is_empty() => {
                        pass.set_pipeline(&self.renderer.strokes);
                        pass.set_vertex_buffer(0, stretches.slice(..));
                        pass.draw(0..4, range.clone());
                    }
                    (Run::Fills(range), _, Some((corners, indices))) if !range.is_empty() => {
                        pass.set_pipeline(&self.renderer.fills);
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

/// The stretches that remain in front of the horizon, on the device.
fn clipped(device: &Device, horizon: &Horizon, drawing: &Drawing) -> Strokes {
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut runs = Vec::new();
    // The count never exceeds that of the drawing, whose ranges are u32.
    let count = |stretches: &[Stretch]| u32::try_from(stretches.len()).unwrap_or(u32::MAX);
    for run in &drawing.runs {
        runs.push(match run {
            Run::Fills(range) => Run::Fills(range.clone()),
            Run::Strokes(range) => {
                let before = count(&stretches);
                let whole = &drawing.stretches[range.start as usize..range.end as usize];
                stretches.extend(whole.iter().filter_map(|stretch| horizon.clip(stretch)));
                Run::Strokes(before..count(&stretches))
            }
        });
    }
    Strokes::Clipped(vertex_buffer(device, "clipped stretches", &stretches), runs)
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

/// What differs between the two pipelines.
struct Kind<'a> {
    name: &'a str,
    shader: &'static str,
    stride: usize,
    attributes: &'a [wgpu::VertexAttribute],
    step: wgpu::VertexStepMode,
    topology: wgpu::PrimitiveTopology,
}

fn pipeline(
    device: &Device,
    aim: &wgpu::BindGroupLayout,
    format: wgpu::TextureFormat,
    kind: &Kind<'_>,
) -> wgpu::RenderPipeline {
    let module = device.device.create_shader_module(wgpu::ShaderModuleDescriptor {
        label: Some(kind.name),
        source: wgpu::ShaderSource::Wgsl(kind.shader.into()),
    });
    let layout = device
        .device
        .create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
            label: Some(kind.name),
            bind_group_layouts: &[Some(aim)],
            immediate_size: 0,
        });
    let [vertex, fragment] = ["vertex", "fragment"].map(|stage| format!("{}_{stage}", kind.name));
    device
        .device
        .create_render_pipeline(&wgpu::RenderPipelineDescriptor {
            label: Some(kind.name),
            layout: Some(&layout),
            vertex: wgpu::VertexState {
                module: &module,
                entry_point: Some(&vertex),
                compilation_options: Default::default(),
                buffers: &[Some(wgpu::VertexBufferLayout {
                    array_stride: kind.stride as wgpu::BufferAddress,
                    step_mode: kind.step,
                    attributes: kind.attributes,
                })],
            },
            primitive: wgpu::PrimitiveState {
                topology: kind.topology,
                ..Default::default()
            },
            depth_stencil: None,
            multisample: Default::default(),
            fragment: Some(wgpu::FragmentState {
                module: &module,
                entry_point: Some(&fragment),
                compilation_options: Default::default(),
                targets: &[Some(wgpu::ColorTargetState {
                    format,
                    blend: Some(wgpu::BlendState::PREMULTIPLIED_ALPHA_BLENDING),
                    write_mask: wgpu::ColorWrites::ALL,
                })],
            }),
            multiview_mask: None,
            cache: None,
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use wgpu::naga;

    #[test]
    fn the_shaders_are_valid_without_a_device() {
        for (name, source) in [("fill", FILL_SHADER), ("stroke", STROKE_SHADER)] {
            let module = naga::front::wgsl::parse_str(source)
                .unwrap_or_else(|error| panic!("{name}: {}", error.emit_to_string(source)));
            let mut validator =
                naga::valid::Validator::new(naga::valid::ValidationFlags::all(), Default::default());
            validator
                .validate(&module)
                .unwrap_or_else(|error| panic!("{name}: {}", error.emit_to_string(source)));
            assert_eq!(module.entry_points.len(), 2, "{name}");
        }
    }

    #[test]
    fn every_shader_in_the_folder_is_one_that_is_drawn_with() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/shaders");
        for entry in std::fs::read_dir(folder).unwrap() {
            let source = std::fs::read_to_string(entry.unwrap().path()).unwrap();
            assert!(FILL_SHADER.contains(&source) || STROKE_SHADER.contains(&source));
        }
    }

    #[test]
    fn the_layouts_are_those_of_the_shaders() {
        assert_eq!(size_of::<Aim>(), 64);
        assert_eq!(size_of::<Stretch>(), 5 * 16);
        assert_eq!(size_of::<Corner>(), 8 + 16);
    }
}
