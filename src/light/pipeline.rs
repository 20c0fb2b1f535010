//! The ways to draw, fills and two kinds of strokes, as the device wants them described.

use super::device::Device;
use super::fill::Corner;
use super::stroke::Stretch;

/// The fill shader, whole.
const FILL_SHADER: &str =
    concat!(include_str!("../../shaders/aim.wgsl"), include_str!("../../shaders/fill.wgsl"));
/// The stroke shader, whole.
const STROKE_SHADER: &str =
    concat!(include_str!("../../shaders/aim.wgsl"), include_str!("../../shaders/stroke.wgsl"));

/// The pipelines and the layout of their one uniform, the aim.
#[derive(Debug, Clone)]
pub(super) struct Pipelines {
    pub aim: wgpu::BindGroupLayout,
    pub fills: wgpu::RenderPipeline,
    pub unbroken: wgpu::RenderPipeline,
    pub strokes: wgpu::RenderPipeline,
}

impl Pipelines {
    /// For targets of `format`; `encoded` when the target keeps sRGB numbers without saying so.
    pub(super) fn new(device: &Device, format: wgpu::TextureFormat, encoded: bool) -> Self {
        let aim = device.device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
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
        let fills = Kind {
            name: "fill",
            shader: FILL_SHADER,
            stride: size_of::<Corner>(),
            attributes: &wgpu::vertex_attr_array![0 => Float32x2, 1 => Float32x4],
            step: wgpu::VertexStepMode::Vertex,
            topology: wgpu::PrimitiveTopology::TriangleList,
        };
        let stretch = wgpu::vertex_attr_array![
            0 => Float32x4, 1 => Float32x4, 2 => Float32x4, 3 => Float32x4, 4 => Float32x4
        ];
        let stroke = |name| Kind {
            name,
            shader: STROKE_SHADER,
            stride: size_of::<Stretch>(),
            attributes: &stretch,
            step: wgpu::VertexStepMode::Instance,
            topology: wgpu::PrimitiveTopology::TriangleStrip,
        };
        Self {
            fills: fills.pipeline(device, &aim, format, encoded),
            unbroken: stroke("unbroken").pipeline(device, &aim, format, encoded),
            strokes: stroke("stroke").pipeline(device, &aim, format, encoded),
            aim,
        }
    }
}

/// What differs between the pipelines.
struct Kind<'a> {
    name: &'a str,
    shader: &'static str,
    stride: usize,
    attributes: &'a [wgpu::VertexAttribute],
    step: wgpu::VertexStepMode,
    topology: wgpu::PrimitiveTopology,
}

impl Kind<'_> {
    fn pipeline(
        &self,
        device: &Device,
        aim: &wgpu::BindGroupLayout,
        format: wgpu::TextureFormat,
        encoded: bool,
    ) -> wgpu::RenderPipeline {
        let module = device.device.create_shader_module(wgpu::ShaderModuleDescriptor {
            label: Some(self.name),
            source: wgpu::ShaderSource::Wgsl(self.shader.into()),
        });
        let layout = device.device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
            label: Some(self.name),
            bind_group_layouts: &[Some(aim)],
            immediate_size: 0,
        });
        let constants = [("encoded", f64::from(u8::from(encoded)))];
        let options = wgpu::PipelineCompilationOptions { constants: &constants, ..Default::default() };
        let [vertex, fragment] = ["vertex", "fragment"].map(|stage| format!("{}_{stage}", self.name));
        device.device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
            label: Some(self.name),
            layout: Some(&layout),
            vertex: wgpu::VertexState {
                module: &module,
                entry_point: Some(&vertex),
                compilation_options: options.clone(),
                buffers: &[Some(wgpu::VertexBufferLayout {
                    array_stride: self.stride as wgpu::BufferAddress,
                    step_mode: self.step,
                    attributes: self.attributes,
                })],
            },
            primitive: wgpu::PrimitiveState { topology: self.topology, ..Default::default() },
            depth_stencil: None,
            multisample: Default::default(),
            fragment: Some(wgpu::FragmentState {
                module: &module,
                entry_point: Some(&fragment),
                compilation_options: options.clone(),
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
}

#[cfg(test)]
mod tests {
    use super::*;
    use wgpu::naga;

    #[test]
    fn the_shaders_are_valid_without_a_device() {
        for (name, source, entries) in [("fill", FILL_SHADER, 2), ("stroke", STROKE_SHADER, 4)] {
            let module = naga::front::wgsl::parse_str(source)
                .unwrap_or_else(|error| panic!("{name}: {}", error.emit_to_string(source)));
            let mut validator =
                naga::valid::Validator::new(naga::valid::ValidationFlags::all(), Default::default());
            validator
                .validate(&module)
                .unwrap_or_else(|error| panic!("{name}: {}", error.emit_to_string(source)));
            assert_eq!(module.entry_points.len(), entries, "{name}");
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
        assert_eq!(size_of::<Stretch>(), 5 * 16);
        assert_eq!(size_of::<Corner>(), 8 + 16);
    }
}
