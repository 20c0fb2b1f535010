//! One event loop, one graphics device, two windows.
//!
//! Nothing is drawn unless something changed: input, or a change of the garment. The loop waits in between. The
//! projector's window goes fullscreen on the second screen where there is one, by monitor and not by position,
//! which is the only way that every window system keeps.

use super::keyboard::press_of;
use super::screen::{Colours, Screen};
use super::{BoardRequest, Session, Wish, theme};
use crate::floor::{action_for, floor_homography, floor_scene, lamp_of};
use crate::garment::OpenGarment;
use crate::light::{Device, Drawing, LightError, Renderer, Uploaded};
use crate::scene::{Lamp, Scene};
use std::sync::Arc;
use std::time::{Duration, Instant};
use winit::application::ApplicationHandler;
use winit::dpi::{LogicalSize, PhysicalSize};
use winit::event::WindowEvent;
use winit::event_loop::{ActiveEventLoop, ControlFlow, EventLoop};
use winit::keyboard::ModifiersState;
use winit::window::{Fullscreen, Window, WindowId};

/// How long after the last change the garment is saved by itself.
const SAVE_AFTER: Duration = Duration::from_millis(1500);

/// Why there are no windows.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// The window system.
    #[error(
        "no window could be opened ({0}). Start chalkbeam on a desktop, or use its commands in a terminal"
    )]
    System(String),
    /// The graphics driver.
    #[error(transparent)]
    Light(#[from] LightError),
}

/// Whether there is a display to open windows on.
#[must_use]
pub fn has_display() -> bool {
    if cfg!(any(target_os = "windows", target_os = "macos")) {
        return true;
    }
    ["DISPLAY", "WAYLAND_DISPLAY"]
        .iter()
        .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty()))
}

/// Opens both windows and works until the desk is closed.
///
/// # Errors
/// [`WindowError`] when no window can be opened or no driver can draw.
pub fn run(open: OpenGarment) -> Result<(), WindowError> {
    let event_loop = EventLoop::new().map_err(|error| WindowError::System(error.to_string()))?;
    let mut windows = Windows {
        session: Session::new(open),
        shown: None,
        modifiers: ModifiersState::empty(),
        changed_at: None,
        seen_revision: 0,
        failed: None,
    };
    event_loop
        .run_app(&mut windows)
        .map_err(|error| WindowError::System(error.to_string()))?;
    windows.failed.map_or(Ok(()), Err)
}

struct Windows {
    session: Session,
    shown: Option<Shown>,
    modifiers: ModifiersState,
    /// When the garment was last changed without being saved.
    changed_at: Option<Instant>,
    seen_revision: u64,
    failed: Option<WindowError>,
}

/// The windows once they are open.
struct Shown {
    device: Device,
    floor: Screen,
    floor_renderer: Renderer,
    floor_drawn: Option<(Scene, Lamp, Uploaded)>,
    desk: Screen,
    egui: egui_winit::State,
    egui_renderer: egui_wgpu::Renderer,
    board_renderer: Renderer,
    board: Board,
    /// When the desk wants to be drawn again by itself (a blinking caret).
    desk_again: Option<Instant>,
}

/// The texture behind the board.
struct Board {
    texture: egui::TextureId,
    drawn: Option<BoardRequest>,
}

const BOARD_FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Rgba8UnormSrgb;

impl ApplicationHandler for Windows {
    fn resumed(&mut self, event_loop: &ActiveEventLoop) {
        if self.shown.is_none() {
            match Shown::open(event_loop, &self.session) {
                Ok(shown) => self.shown = Some(shown),
                Err(error) => {
                    self.failed = Some(error);
                    event_loop.exit();
                }
            }
        }
    }

    fn window_event(&mut self, event_loop: &ActiveEventLoop, id: WindowId, event: WindowEvent) {
        let Some(shown) = &mut self.shown else { return };
        if id == shown.floor.window.id() {
            match event {
                WindowEvent::CloseRequested => self.session.leaving = true,
                WindowEvent::RedrawRequested => shown.draw_floor(&self.session),
                WindowEvent::Resized(_) => {
                    self.session.floor.window_size =
                        shown.floor.size().unwrap_or(self.session.floor.window_size);
                    shown.ask_for_frames();
                }
                WindowEvent::ModifiersChanged(modifiers) => self.modifiers = modifiers.state(),
                WindowEvent::KeyboardInput { event, .. } => {
                    if let Some(action) = press_of(&event, self.modifiers).and_then(action_for) {
                        self.session.grant(&Wish::Act(action));
                        shown.ask_for_frames();
                    }
                }
                _ => {}
            }
        } else if id == shown.desk.window.id() {
            self.desk_event(&event);
        }
        if self.session.leaving {
            self.save_now();
            event_loop.exit();
        }
    }

    fn about_to_wait(&mut self, event_loop: &ActiveEventLoop) {
        let now = Instant::now();
        if self.session.open.revision() != self.seen_revision {
            self.seen_revision = self.session.open.revision();
            self.changed_at = Some(now);
        }
        let save_at = self.changed_at.map(|changed| changed + SAVE_AFTER);
        if save_at.is_some_and(|at| at <= now) {
            self.save_now();
        }
        let Some(shown) = &mut self.shown else { return };
        if shown.desk_again.is_some_and(|at| at <= now) {
            shown.desk_again = None;
            shown.desk.window.request_redraw();
        }
        let next = [
            shown.desk_again,
            self.changed_at.map(|changed| changed + SAVE_AFTER),
        ];
        event_loop.set_control_flow(match next.into_iter().flatten().min() {
            Some(at) => ControlFlow::WaitUntil(at),
            None => ControlFlow::Wait,
        });
    }
}

impl Windows {
    fn desk_event(&mut self, event: &WindowEvent) {
        let Some(shown) = &mut self.shown else { return };
        match event {
            WindowEvent::CloseRequested => {
                self.session.leaving = true;
                return;
            }
            WindowEvent::RedrawRequested => {
                let wishes = shown.draw_desk(&mut self.session);
                if !wishes.is_empty() {
                    for wish in &wishes {
                        self.session.grant(wish);
                    }
                    shown.ask_for_frames();
                }
                return;
            }
            WindowEvent::ModifiersChanged(modifiers) => self.modifiers = modifiers.state(),
            _ => {}
        }
        let response = shown.egui.on_window_event(&shown.desk.window, event);
        // Keys that no text field wants mean the same as on the floor.
        if let WindowEvent::KeyboardInput { event, .. } = event
            && !shown.egui.egui_ctx().egui_wants_keyboard_input()
            && let Some(action) = press_of(event, self.modifiers).and_then(action_for)
        {
            self.session.grant(&Wish::Act(action));
            shown.ask_for_frames();
        }
        if response.repaint || matches!(event, WindowEvent::Resized(_)) {
            shown.desk.window.request_redraw();
        }
    }

    /// Saves what is not saved, where there is a file.
    fn save_now(&mut self) {
        self.changed_at = None;
        if self.session.open.path().is_some() && !self.session.open.is_saved() {
            self.session.complaint = self.session.save().err().map(|error| error.to_string());
            if let Some(shown) = &self.shown {
                shown.desk.window.request_redraw();
            }
        }
    }
}

impl Shown {
    fn open(event_loop: &ActiveEventLoop, session: &Session) -> Result<Self, WindowError> {
        let system = |error: &dyn std::fmt::Display| WindowError::System(error.to_string());
        let screens: Vec<_> = event_loop.available_monitors().collect();
        let first = event_loop.primary_monitor().or_else(|| screens.first().cloned());
        let second = screens.into_iter().find(|screen| Some(screen) != first.as_ref());

        let mut floor = Window::default_attributes().with_title("chalkbeam floor");
        floor = match second {
            Some(screen) => floor.with_fullscreen(Some(Fullscreen::Borderless(Some(screen)))),
            None => {
                let (width, height) = session
                    .open
                    .measured()
                    .map_or((1920, 1080), |measured| measured.picture_size);
                floor.with_inner_size(PhysicalSize::new(width / 2, height / 2))
            }
        };
        let floor = Arc::new(event_loop.create_window(floor).map_err(|error| system(&error))?);
        let desk = Window::default_attributes()
            .with_title("chalkbeam desk")
            .with_inner_size(LogicalSize::new(1366.0, 768.0));
        let desk = Arc::new(event_loop.create_window(desk).map_err(|error| system(&error))?);

        let display = Box::new(event_loop.owned_display_handle());
        let instance = wgpu::Instance::new(wgpu::InstanceDescriptor::new_with_display_handle_from_env(
            display,
        ));
        let floor_surface = instance
            .create_surface(Arc::clone(&floor))
            .map_err(|error| system(&error))?;
        let device = Device::for_surface(instance, &floor_surface)?;
        let desk_surface = device
            .instance
            .create_surface(Arc::clone(&desk))
            .map_err(|error| system(&error))?;
        let floor = Screen::new(&device, floor, floor_surface, Colours::Linear, true);
        let desk = Screen::new(&device, desk, desk_surface, Colours::Encoded, false);

        let context = egui::Context::default();
        theme::set(&context);
        let scale = f32_of(desk.window.scale_factor());
        let egui = egui_winit::State::new(
            context,
            egui::ViewportId::ROOT,
            &*desk.window,
            Some(scale),
            None,
            None,
        );
        let mut egui_renderer = egui_wgpu::Renderer::new(
            &device.device,
            desk.format(),
            egui_wgpu::RendererOptions::default(),
        );
        let (_, view) = board_texture(&device, (1, 1));
        let texture = egui_renderer.register_native_texture(&device.device, &view, wgpu::FilterMode::Nearest);
        let shown = Self {
            floor_renderer: Renderer::new(&device, floor.format()),
            board_renderer: Renderer::new(&device, BOARD_FORMAT),
            board: Board { texture, drawn: None },
            floor_drawn: None,
            egui,
            egui_renderer,
            floor,
            desk,
            device,
            desk_again: None,
        };
        shown.ask_for_frames();
        Ok(shown)
    }

    fn ask_for_frames(&self) {
        self.floor.window.request_redraw();
        self.desk.window.request_redraw();
    }

    fn draw_floor(&mut self, session: &Session) {
        let Some(size) = self.floor.size() else { return };
        let Some(frame) = self.floor.next_frame(&self.device) else {
            return;
        };
        let view = frame.texture.create_view(&wgpu::TextureViewDescriptor::default());
        let scene = floor_scene(&session.open, &session.floor, size);
        let lamp = lamp_of(&session.open);
        // A new aim changes only the map; the drawing stays on the device.
        if self
            .floor_drawn
            .as_ref()
            .is_none_or(|(drawn, lit, _)| *drawn != scene || *lit != lamp)
        {
            let uploaded = Uploaded::new(&self.device, Drawing::new(&scene, &lamp));
            self.floor_drawn = Some((scene, lamp, uploaded));
        }
        if let (Some((_, lamp, uploaded)), Some(map)) =
            (&self.floor_drawn, floor_homography(&session.open, size))
        {
            let size = [size.0, size.1];
            self.floor_renderer
                .draw(&self.device, &view, size, &map, lamp.background, &[uploaded]);
        }
        self.floor.window.pre_present_notify();
        self.device.queue.present(frame);
    }

    /// Draws the desk and answers what was wished for in this frame.
    fn draw_desk(&mut self, session: &mut Session) -> Vec<Wish> {
        let mut wishes = Vec::new();
        let Some((width, height)) = self.desk.size() else {
            return wishes;
        };
        let Some(frame) = self.desk.next_frame(&self.device) else {
            return wishes;
        };
        let pointed = session.desk.pointed.clone();
        let input = self.egui.take_egui_input(&self.desk.window);
        let context = self.egui.egui_ctx().clone();
        let mut request = None;
        let texture = self.board.texture;
        let output = context.run_ui(input, |ui| {
            request = Some(super::ui(ui, session, texture, &mut wishes))
        });
        self.egui
            .handle_platform_output(&self.desk.window, output.platform_output);
        if let Some(request) = request {
            self.draw_board(request);
        }
        let scale = output.pixels_per_point;
        let meshes = context.tessellate(output.shapes, scale);
        let screen = egui_wgpu::ScreenDescriptor {
            size_in_pixels: [width, height],
            pixels_per_point: scale,
        };
        let (device, queue) = (&self.device.device, &self.device.queue);
        let mut textures = output.textures_delta;
        // Each texture once: their order means nothing.
        textures.set.drain().for_each(|(id, deltas)| {
            deltas
                .iter()
                .for_each(|delta| self.egui_renderer.update_texture(device, queue, id, delta));
        });
        let view = frame.texture.create_view(&wgpu::TextureViewDescriptor::default());
        let mut encoder =
            device.create_command_encoder(&wgpu::CommandEncoderDescriptor { label: Some("desk") });
        let mut work = self
            .egui_renderer
            .update_buffers(device, queue, &mut encoder, &meshes, &screen);
        {
            let pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
                label: Some("desk"),
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
            self.egui_renderer
                .render(&mut pass.forget_lifetime(), &meshes, &screen);
        }
        work.push(encoder.finish());
        queue.submit(work);
        self.desk.window.pre_present_notify();
        queue.present(frame);
        textures
            .free
            .drain()
            .for_each(|id| self.egui_renderer.free_texture(&id));
        let delay = output
            .viewport_output
            .get(&egui::ViewportId::ROOT)
            .map(|viewport| viewport.repaint_delay);
        self.desk_again = delay
            .and_then(|delay| Instant::now().checked_add(delay))
            .filter(|_| delay.is_some_and(|delay| delay < Duration::from_secs(3600)));
        if pointed != session.desk.pointed {
            self.ask_for_frames();
        }
        wishes
    }

    /// Has the renderer fill the board's texture, if what it shows has changed.
    fn draw_board(&mut self, request: BoardRequest) {
        if self.board.drawn.as_ref() == Some(&request) {
            return;
        }
        let Some(map) = request.picture_from_plane else {
            return;
        };
        let most = self.device.largest_picture_px();
        let size = (request.size.0.min(most), request.size.1.min(most));
        let (target, encoded) = board_texture(&self.device, size);
        let id = self.board.texture;
        let nearest = wgpu::FilterMode::Nearest;
        self.egui_renderer
            .update_egui_texture_from_wgpu_texture(&self.device.device, &encoded, nearest, id);
        let lamp = theme::BOARD_LAMP;
        let uploaded = Uploaded::new(&self.device, Drawing::new(&request.scene, &lamp));
        let size = [size.0, size.1];
        self.board_renderer
            .draw(&self.device, &target, size, &map, lamp.background, &[&uploaded]);
        self.board.drawn = Some(request);
    }
}

/// A texture for the board: drawn into as linear light, read by the desk as encoded sRGB.
fn board_texture(device: &Device, (width, height): (u32, u32)) -> (wgpu::TextureView, wgpu::TextureView) {
    let texture = device.device.create_texture(&wgpu::TextureDescriptor {
        label: Some("board"),
        size: wgpu::Extent3d {
            width: width.max(1),
            height: height.max(1),
            depth_or_array_layers: 1,
        },
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format: BOARD_FORMAT,
        usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::TEXTURE_BINDING,
        view_formats: &[BOARD_FORMAT.remove_srgb_suffix()],
    });
    let encoded = wgpu::TextureViewDescriptor {
        format: Some(BOARD_FORMAT.remove_srgb_suffix()),
        ..Default::default()
    };
    (
        texture.create_view(&wgpu::TextureViewDescriptor::default()),
        texture.create_view(&encoded),
    )
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a screen's scale factor is a small number"
)]
fn f32_of(scale: f64) -> f32 {
    scale as f32
}
