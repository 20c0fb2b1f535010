//! Both windows on one graphics device, and what is drawn into them.

use super::board::BoardRequest;
use super::screen::{Colours, Screen};
use super::windows::{Told, WindowError};
use super::{Session, Wish, theme};
use crate::floor::{FloorMemory, floor_throw, lamp_for};
use crate::light::{Device, Drawing, Renderer, Uploaded};
use crate::scene::{Lamp, Scene};
use std::sync::Arc;
use std::time::{Duration, Instant};
use winit::dpi::{LogicalSize, PhysicalSize};
use winit::event_loop::{ActiveEventLoop, EventLoopProxy};
use winit::monitor::MonitorHandle;
use winit::window::{Fullscreen, Window};

/// The windows once they are open.
pub(super) struct Shown {
    device: Device,
    pub(super) floor: Screen,
    floor_renderer: Renderer,
    floor_memory: FloorMemory,
    /// What is on the device: the scene, the lamp, and how long its lines' stretches may be.
    floor_drawn: Option<(Arc<Scene>, Lamp, Option<f64>, Uploaded)>,
    pub(super) desk: Screen,
    pub(super) egui: egui_winit::State,
    egui_renderer: egui_wgpu::Renderer,
    board_renderer: Renderer,
    board: Board,
    /// When the desk wants to be drawn again by itself (a blinking caret).
    pub(super) desk_again: Option<Instant>,
}

/// The texture behind the board.
struct Board {
    texture: egui::TextureId,
    drawn: Option<BoardRequest>,
}

const BOARD_FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Rgba8UnormSrgb;

impl Shown {
    pub(super) fn open(
        event_loop: &ActiveEventLoop,
        session: &Session,
        reader: EventLoopProxy<Told>,
    ) -> Result<Self, WindowError> {
        let system = |error: &dyn std::fmt::Display| WindowError::System(error.to_string());
        let floor = floor_window(event_loop, session)?;
        let desk = Window::default_attributes()
            .with_title("chalkbeam desk")
            // A screen reader has to know it before it is seen.
            .with_visible(false)
            .with_inner_size(LogicalSize::new(1366.0, 768.0));
        let desk = Arc::new(event_loop.create_window(desk).map_err(|error| system(&error))?);

        let display = Box::new(event_loop.owned_display_handle());
        let instance =
            wgpu::Instance::new(wgpu::InstanceDescriptor::new_with_display_handle_from_env(display));
        let floor_surface = instance.create_surface(Arc::clone(&floor)).map_err(|error| system(&error))?;
        let device = Device::for_surface(instance, &floor_surface)?;
        let desk_surface =
            device.instance.create_surface(Arc::clone(&desk)).map_err(|error| system(&error))?;
        let floor = Screen::new(&device, floor, floor_surface, Colours::Linear, true);
        let desk = Screen::new(&device, desk, desk_surface, Colours::Encoded, false);

        let context = egui::Context::default();
        theme::set(&context);
        let scale = f32_of(desk.window.scale_factor());
        let mut egui =
            egui_winit::State::new(context, egui::ViewportId::ROOT, &*desk.window, Some(scale), None, None);
        egui.init_accesskit(event_loop, &desk.window, reader);
        desk.window.set_visible(true);
        let mut egui_renderer =
            egui_wgpu::Renderer::new(&device.device, desk.format(), egui_wgpu::RendererOptions::default());
        let (_, view) = board_texture(&device, (1, 1));
        let texture = egui_renderer.register_native_texture(&device.device, &view, wgpu::FilterMode::Nearest);
        let shown = Self {
            floor_renderer: Renderer::new(&device, floor.format()),
            board_renderer: Renderer::new(&device, BOARD_FORMAT),
            board: Board { texture, drawn: None },
            floor_memory: FloorMemory::default(),
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

    /// Opens the floor window anew: a screen that goes may take its windows along. The drawing is still on the device.
    pub(super) fn reopen_floor(
        &mut self,
        event_loop: &ActiveEventLoop,
        session: &Session,
    ) -> Result<(), WindowError> {
        let window = floor_window(event_loop, session)?;
        let surface = self.device.instance.create_surface(Arc::clone(&window));
        let surface = surface.map_err(|error| WindowError::System(error.to_string()))?;
        self.floor = Screen::new(&self.device, window, surface, Colours::Linear, true);
        if self.floor_renderer.format() != self.floor.format() {
            self.floor_renderer = Renderer::new(&self.device, self.floor.format());
        }
        self.ask_for_frames();
        Ok(())
    }

    /// Puts the floor window on the whole of a screen, or makes it an ordinary window. By screen and not by place:
    /// the only way that every window system keeps.
    pub(super) fn move_floor(&self, screen: Option<MonitorHandle>) {
        let window = &self.floor.window;
        // A pointer in the light is taken for a mark.
        window.set_cursor_visible(screen.is_none());
        window.set_fullscreen(screen.map(|screen| Fullscreen::Borderless(Some(screen))));
    }

    /// Does what the system's screen reader asks for.
    pub(super) fn hear_reader(&mut self, event: egui_winit::accesskit_winit::WindowEvent) {
        use egui_winit::accesskit_winit::WindowEvent;
        match event {
            WindowEvent::InitialTreeRequested => self.egui.egui_ctx().enable_accesskit(),
            WindowEvent::ActionRequested(request) => self.egui.on_accesskit_action_request(request),
            WindowEvent::AccessibilityDeactivated => self.egui.egui_ctx().disable_accesskit(),
        }
        self.desk.window.request_redraw();
    }

    pub(super) fn ask_for_frames(&self) {
        self.floor.window.request_redraw();
        self.desk.window.request_redraw();
    }

    pub(super) fn draw_floor(&mut self, session: &Session) {
        let Some(size) = self.floor.size() else { return };
        let Some(frame) = self.floor.next_frame(&self.device) else {
            return;
        };
        let view = frame.texture.create_view(&wgpu::TextureViewDescriptor::default());
        let scene = self.floor_memory.scene(&session.open, &session.floor, size);
        let lamp = lamp_for(&session.open, &session.floor);
        // A new aim changes only the map and the marks; what lies on the cloth stays on the device.
        let throw = floor_throw(&session.open, size);
        let longest_mm = throw.and_then(|throw| throw.longest_mm(size));
        let holds = |(drawn, lit, longest, _): &(Arc<Scene>, Lamp, Option<f64>, Uploaded)| {
            *lit == lamp
                && *longest == longest_mm
                && (Arc::ptr_eq(drawn, &scene.cloth) || *drawn == scene.cloth)
        };
        if !self.floor_drawn.as_ref().is_some_and(holds) {
            let uploaded = Uploaded::new(&self.device, Drawing::cut_up(&scene.cloth, &lamp, longest_mm));
            self.floor_drawn = Some((scene.cloth, lamp, longest_mm, uploaded));
        }
        if let (Some((_, lamp, _, cloth)), Some(throw)) = (&self.floor_drawn, &throw) {
            let aimed = Uploaded::new(&self.device, Drawing::cut_up(&scene.aimed, lamp, longest_mm));
            let size = [size.0, size.1];
            self.floor_renderer.draw(&self.device, &view, size, throw, lamp.background, &[cloth, &aimed]);
        }
        self.floor.window.pre_present_notify();
        self.device.queue.present(frame);
    }

    /// Draws the desk and answers what was wished for in this frame.
    pub(super) fn draw_desk(&mut self, session: &mut Session) -> Vec<Wish> {
        let mut wishes = Vec::new();
        let Some((width, height)) = self.desk.size() else {
            return wishes;
        };
        let Some(frame) = self.desk.next_frame(&self.device) else {
            return wishes;
        };
        let floor_before = session.floor.clone();
        let input = self.egui.take_egui_input(&self.desk.window);
        let context = self.egui.egui_ctx().clone();
        let mut request = None;
        let texture = self.board.texture;
        let output = context.run_ui(input, |ui| request = Some(super::ui(ui, session, texture, &mut wishes)));
        self.egui.handle_platform_output(&self.desk.window, output.platform_output);
        if let Some(request) = request {
            self.draw_board(request);
        }
        let scale = output.pixels_per_point;
        let meshes = context.tessellate(output.shapes, scale);
        let screen = egui_wgpu::ScreenDescriptor { size_in_pixels: [width, height], pixels_per_point: scale };
        let (device, queue) = (&self.device.device, &self.device.queue);
        let mut textures = output.textures_delta;
        // Each texture once: their order means nothing.
        textures.set.drain().for_each(|(id, deltas)| {
            deltas.iter().for_each(|delta| self.egui_renderer.update_texture(device, queue, id, delta));
        });
        let view = frame.texture.create_view(&wgpu::TextureViewDescriptor::default());
        let mut encoder =
            device.create_command_encoder(&wgpu::CommandEncoderDescriptor { label: Some("desk") });
        let mut work = self.egui_renderer.update_buffers(device, queue, &mut encoder, &meshes, &screen);
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
            self.egui_renderer.render(&mut pass.forget_lifetime(), &meshes, &screen);
        }
        work.push(encoder.finish());
        queue.submit(work);
        self.desk.window.pre_present_notify();
        queue.present(frame);
        textures.free.drain().for_each(|id| self.egui_renderer.free_texture(&id));
        let delay =
            output.viewport_output.get(&egui::ViewportId::ROOT).map(|viewport| viewport.repaint_delay);
        self.desk_again = delay
            .and_then(|delay| Instant::now().checked_add(delay))
            .filter(|_| delay.is_some_and(|delay| delay < Duration::from_secs(3600)));
        if floor_before != session.floor {
            self.floor.window.request_redraw();
        }
        wishes
    }

    /// Has the renderer fill the board's texture, if what it shows has changed.
    fn draw_board(&mut self, request: BoardRequest) {
        let drawn = self.board.drawn.as_ref();
        if drawn.is_some_and(|drawn| drawn.is_same_as(&request)) {
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
        self.egui_renderer.update_egui_texture_from_wgpu_texture(&self.device.device, &encoded, nearest, id);
        let lamp = theme::board_lamp(self.egui.egui_ctx().theme());
        let uploaded = Uploaded::new(&self.device, Drawing::new(&request.scene, &lamp));
        let size = [size.0, size.1];
        self.board_renderer.draw(&self.device, &target, size, &map, lamp.background, &[&uploaded]);
        self.board.drawn = Some(request);
    }
}

/// The floor window as an ordinary one: whether it goes onto a screen of its own is decided once it is there.
fn floor_window(event_loop: &ActiveEventLoop, session: &Session) -> Result<Arc<Window>, WindowError> {
    let (width, height) = window_size(session);
    let attributes = Window::default_attributes()
        .with_title("chalkbeam floor")
        .with_inner_size(PhysicalSize::new(width, height));
    let window = event_loop.create_window(attributes);
    window.map(Arc::new).map_err(|error| WindowError::System(error.to_string()))
}

/// Size in px of a floor window that has no screen of its own: half the aimed picture's sides.
fn window_size(session: &Session) -> (u32, u32) {
    let aimed = session.open.measured().map(|measured| measured.picture_size);
    let aimed = aimed.map(|size| session.open.mount().picture_size(size));
    let (width, height) = aimed.unwrap_or(session.floor.window_size);
    ((width / 2).clamp(320, 1920), (height / 2).clamp(180, 1080))
}

/// A texture for the board: drawn into as linear light, read by the desk as encoded sRGB.
fn board_texture(device: &Device, (width, height): (u32, u32)) -> (wgpu::TextureView, wgpu::TextureView) {
    let texture = device.device.create_texture(&wgpu::TextureDescriptor {
        label: Some("board"),
        size: wgpu::Extent3d { width: width.max(1), height: height.max(1), depth_or_array_layers: 1 },
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format: BOARD_FORMAT,
        usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::TEXTURE_BINDING,
        view_formats: &[BOARD_FORMAT.remove_srgb_suffix()],
    });
    let encoded =
        wgpu::TextureViewDescriptor { format: Some(BOARD_FORMAT.remove_srgb_suffix()), ..Default::default() };
    (texture.create_view(&wgpu::TextureViewDescriptor::default()), texture.create_view(&encoded))
}

#[expect(clippy::cast_possible_truncation, reason = "a screen's scale factor is a small number")]
fn f32_of(scale: f64) -> f32 {
    scale as f32
}
