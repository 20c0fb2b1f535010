//! The graphics device that windows, pictures and tests share.

use crate::document::DocumentError;

/// What went wrong on the way to light.
#[derive(Debug, thiserror::Error)]
pub enum LightError {
    /// No driver that can draw.
    #[error(
        "no graphics driver was found that chalkbeam can draw with. On Debian or Ubuntu install the package \
         mesa-vulkan-drivers (it also draws without a graphics card, slowly); for a graphics card install its \
         maker's driver. Then start chalkbeam again"
    )]
    NoAdapter(#[source] wgpu::RequestAdapterError),
    /// A driver that refuses to work.
    #[error(
        "the graphics driver {adapter} refuses to draw; update the driver, or unplug other programs from it"
    )]
    NoDevice {
        /// Its name.
        adapter: String,
        /// What it said.
        #[source]
        source: wgpu::RequestDeviceError,
    },
    /// A picture of no size, or larger than the device can make.
    #[error("a picture of {width} × {height} px can't be made: each side must be from 1 to {most} px")]
    Size {
        /// Asked for, in px.
        width: u32,
        /// Asked for, in px.
        height: u32,
        /// The most that the device makes, in px.
        most: u32,
    },
    /// The picture didn't come back from the device.
    #[error("the picture could not be read back from the graphics device ({0}); start chalkbeam again")]
    ReadBack(String),
    /// The picture can't be written; the file on disk is as it was.
    #[error(transparent)]
    Write(#[from] DocumentError),
}

/// One graphics device for everything: both windows, pictures and tests.
#[derive(Debug, Clone)]
pub struct Device {
    /// The way to the drivers; surfaces of windows are made with it.
    pub instance: wgpu::Instance,
    /// The driver in use.
    pub adapter: wgpu::Adapter,
    /// The device.
    pub device: wgpu::Device,
    /// Where work is handed in.
    pub queue: wgpu::Queue,
}

impl Device {
    /// A device without any window.
    ///
    /// # Errors
    /// [`LightError::NoAdapter`] or [`LightError::NoDevice`].
    pub fn headless() -> Result<Self, LightError> {
        let descriptor = wgpu::InstanceDescriptor::new_without_display_handle_from_env();
        Self::request(wgpu::Instance::new(descriptor), None)
    }

    /// A device that can show on a window's surface. Ask with the projector's surface; surfaces of further
    /// windows are then made on the same [`Device::instance`].
    ///
    /// # Errors
    /// [`LightError::NoAdapter`] or [`LightError::NoDevice`].
    pub fn for_surface(instance: wgpu::Instance, surface: &wgpu::Surface<'_>) -> Result<Self, LightError> {
        Self::request(instance, Some(surface))
    }

    fn request(instance: wgpu::Instance, surface: Option<&wgpu::Surface<'_>>) -> Result<Self, LightError> {
        let options = wgpu::RequestAdapterOptions { compatible_surface: surface, ..Default::default() };
        let adapter =
            pollster::block_on(instance.request_adapter(&options)).map_err(LightError::NoAdapter)?;
        let descriptor = wgpu::DeviceDescriptor {
            label: Some("chalkbeam"),
            // The least that any driver offers, but pictures as large as this one can make.
            required_limits: wgpu::Limits::downlevel_defaults().using_resolution(adapter.limits()),
            ..Default::default()
        };
        match pollster::block_on(adapter.request_device(&descriptor)) {
            Ok((device, queue)) => Ok(Self { instance, adapter, device, queue }),
            Err(source) => Err(LightError::NoDevice { adapter: adapter.get_info().name, source }),
        }
    }

    /// The driver in one line: its name, the interface, and whether it draws without a graphics card.
    #[must_use]
    pub fn describe(&self) -> String {
        let info = self.adapter.get_info();
        let software = if self.is_software() { ", in software" } else { "" };
        format!("{} ({}{software})", info.name, info.backend)
    }

    /// Whether the processor draws, there being no graphics card: right, but slow.
    #[must_use]
    pub fn is_software(&self) -> bool {
        self.adapter.get_info().device_type == wgpu::DeviceType::Cpu
    }

    /// Largest side of a picture or window that the device can make, in px.
    #[must_use]
    pub fn largest_picture_px(&self) -> u32 {
        self.device.limits().max_texture_dimension_2d
    }
}
