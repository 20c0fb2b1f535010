//! The desk's board: the same renderer in a part of a window that is not marked as sRGB.

use crate::studio::{device, item, scene, upright};
use chalkbeam::geometry::{Rect, Vec2};
use chalkbeam::light::{Depth, Drawing, Renderer, Studio, Uploaded};
use chalkbeam::scene::{Lamp, Meaning, Shape};
use kurbo::Shape as _;

#[test]
fn the_board_has_the_colours_of_the_projectors_picture_and_keeps_to_its_part() {
    let Some(device) = device() else { return };
    let lamp = Lamp::of([0.2, 0.5, 0.02], [1.0, 0.0, 0.0], [0.0; 3]);
    let square = Rect::new(-30.0, -30.0, 30.0, 30.0).to_path(0.1);
    let scene = scene([item(Meaning::Notch, Shape::Fill(square))]);
    let uploaded = Uploaded::new(device, Drawing::new(&scene, &lamp));
    let aim = upright(1.0, (64.0, 64.0));
    let size = [128, 128];

    let expected =
        Studio::new(device, Depth::Srgb8).take(size, &aim, lamp.background, &[&uploaded]).unwrap().srgb();

    // A window's own pass, as egui would hand it over: cleared, with a small viewport and a scissor.
    let texture = device.device.create_texture(&wgpu::TextureDescriptor {
        label: None,
        size: wgpu::Extent3d { width: 128, height: 128, depth_or_array_layers: 1 },
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format: wgpu::TextureFormat::Rgba8Unorm,
        usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::COPY_SRC,
        view_formats: &[],
    });
    let view = texture.create_view(&Default::default());
    let renderer = Renderer::new(device, wgpu::TextureFormat::Rgba8Unorm);
    let prepared = renderer.prepare(device, size, &aim, &[&uploaded]);
    let mut encoder = device.device.create_command_encoder(&Default::default());
    {
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view: &view,
                depth_slice: None,
                resolve_target: None,
                ops: wgpu::Operations {
                    load: wgpu::LoadOp::Clear(wgpu::Color::BLACK),
                    store: wgpu::StoreOp::Store,
                },
            })],
            ..Default::default()
        });
        pass.set_viewport(64.0, 0.0, 64.0, 128.0, 0.0, 1.0);
        pass.set_scissor_rect(64, 0, 64, 128);
        prepared.paint(&mut pass);
    }
    let buffer = device.device.create_buffer(&wgpu::BufferDescriptor {
        label: None,
        size: 128 * 128 * 4,
        usage: wgpu::BufferUsages::COPY_DST | wgpu::BufferUsages::MAP_READ,
        mapped_at_creation: false,
    });
    encoder.copy_texture_to_buffer(
        texture.as_image_copy(),
        wgpu::TexelCopyBufferInfo {
            buffer: &buffer,
            layout: wgpu::TexelCopyBufferLayout {
                offset: 0,
                bytes_per_row: Some(128 * 4),
                rows_per_image: None,
            },
        },
        texture.size(),
    );
    device.queue.submit([encoder.finish()]);
    buffer.map_async(wgpu::MapMode::Read, .., Result::unwrap);
    device.device.poll(wgpu::PollType::wait_indefinitely()).unwrap();
    let seen = buffer.get_mapped_range(..).unwrap();

    let pixel = |bytes: &[u8], at: Vec2| {
        let start = (at.y as usize * 128 + at.x as usize) * 4;
        [bytes[start], bytes[start + 1], bytes[start + 2]]
    };
    let inside = Vec2::new(80.0, 64.0);
    let (wanted, got) = (pixel(&expected, inside), pixel(&seen, inside));
    let near = wanted.iter().zip(got).all(|(a, b)| a.abs_diff(b) <= 1);
    assert!(near && wanted[1] > 180, "{wanted:?} and {got:?}");
    let outside_the_scissor = Vec2::new(50.0, 64.0);
    assert!(pixel(&expected, outside_the_scissor)[1] > 180);
    assert_eq!(pixel(&seen, outside_the_scissor), [0; 3]);
}
