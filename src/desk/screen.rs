//! A window with its surface on the shared device.

use crate::light::Device;
use std::sync::Arc;
use winit::window::Window;

/// A window with its surface on the shared device.
pub(super) struct Screen {
    pub(super) window: Arc<Window>,
    pub(super) surface: wgpu::Surface<'static>,
    format: wgpu::TextureFormat,
    present_mode: wgpu::PresentMode,
    configured: (u32, u32),
}

/// Light is composed linearly and stored as sRGB; the desk's toolkit composes in sRGB itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Colours {
    Linear,
    Encoded,
}

impl Screen {
    pub(super) fn new(
        device: &Device,
        window: Arc<Window>,
        surface: wgpu::Surface<'static>,
        colours: Colours,
        wait_for_refresh: bool,
    ) -> Self {
        let offered = surface.get_capabilities(&device.adapter);
        let wants_srgb = colours == Colours::Linear;
        let format = offered.formats.iter().copied().find(|format| format.is_srgb() == wants_srgb);
        let format = format
            .or_else(|| offered.formats.first().copied())
            .unwrap_or(wgpu::TextureFormat::Bgra8UnormSrgb);
        // Two windows that both wait for their refresh on one thread may hold each other up; the desk
        // need not wait.
        let mailbox = offered.present_modes.contains(&wgpu::PresentMode::Mailbox);
        let present_mode =
            if !wait_for_refresh && mailbox { wgpu::PresentMode::Mailbox } else { wgpu::PresentMode::Fifo };
        Self { window, surface, format, present_mode, configured: (0, 0) }
    }

    pub(super) const fn format(&self) -> wgpu::TextureFormat {
        self.format
    }

    /// Size in physical px; `None` while the window is minimised.
    pub(super) fn size(&self) -> Option<(u32, u32)> {
        let size = self.window.inner_size();
        (size.width > 0 && size.height > 0).then_some((size.width, size.height))
    }

    /// The next frame to draw into; `None` when this one has to be skipped. A surface that no longer fits is
    /// configured again and asked once more.
    pub(super) fn next_frame(&mut self, device: &Device) -> Option<wgpu::SurfaceTexture> {
        use wgpu::CurrentSurfaceTexture as Next;
        let size = self.size()?;
        if size != self.configured {
            self.configure(device, size);
        }
        for _ in 0..2 {
            match self.surface.get_current_texture() {
                Next::Success(frame) => return Some(frame),
                Next::Suboptimal(frame) => {
                    // Usable now; the next frame is configured anew.
                    self.configured = (0, 0);
                    return Some(frame);
                }
                Next::Outdated => self.configure(device, size),
                Next::Lost => {
                    self.surface = device.instance.create_surface(Arc::clone(&self.window)).ok()?;
                    self.configure(device, size);
                }
                Next::Timeout | Next::Occluded | Next::Validation => return None,
            }
        }
        None
    }

    fn configure(&mut self, device: &Device, (width, height): (u32, u32)) {
        let Some(mut config) = self.surface.get_default_config(&device.adapter, width, height) else {
            return;
        };
        config.format = self.format;
        config.present_mode = self.present_mode;
        config.desired_maximum_frame_latency = 1;
        self.surface.configure(&device.device, &config);
        self.configured = (width, height);
    }
}
