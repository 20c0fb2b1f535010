//! One event loop, one graphics device, two windows.
//!
//! Nothing is drawn unless something changed: input, or a change of the garment. The loop waits in between. The
//! projector's window goes fullscreen on the second screen where there is one, by monitor and not by position,
//! which is the only way that every window system keeps.

use super::keyboard::{Holder, is_ours, press_of};
use super::pointer::FloorPointer;
use super::projector::{FloorMove, scaling};
use super::shown::Shown;
use super::{Preferences, ScreenName, Session, Wish};
use crate::floor::action_for;
use crate::garment::OpenGarment;
use crate::light::LightError;
use std::sync::Arc;
use std::time::{Duration, Instant};
use winit::application::ApplicationHandler;
use winit::event::{KeyEvent, WindowEvent};
use winit::event_loop::{ActiveEventLoop, ControlFlow, EventLoop, EventLoopProxy};
use winit::keyboard::ModifiersState;
use winit::monitor::MonitorHandle;
use winit::window::WindowId;

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
    let event_loop = EventLoop::<Told>::with_user_event().build();
    let event_loop = event_loop.map_err(|error| WindowError::System(error.to_string()))?;
    let (proxy, reader) = (event_loop.create_proxy(), event_loop.create_proxy());
    let mut windows = Windows {
        session: Session::new(open),
        shown: None,
        modifiers: ModifiersState::empty(),
        changed_at: None,
        seen_revision: 0,
        pointer: FloorPointer::default(),
        reader,
        failed: None,
    };
    // The loop has ended when nobody is woken any more.
    windows.session.remote.wake_by(Arc::new(move || {
        let _loop_has_ended = proxy.send_event(Told::Phone).is_err();
    }));
    if let Some(path) = Preferences::path() {
        windows.session.prefer(Preferences::read(&path));
    }
    event_loop.run_app(&mut windows).map_err(|error| WindowError::System(error.to_string()))?;
    windows.failed.map_or(Ok(()), Err)
}

struct Windows {
    session: Session,
    shown: Option<Shown>,
    modifiers: ModifiersState,
    /// When the garment was last changed without being saved.
    changed_at: Option<Instant>,
    seen_revision: u64,
    /// Where the pointer is on the floor.
    pointer: FloorPointer,
    /// By which the screen reader reaches the loop.
    reader: EventLoopProxy<Told>,
    failed: Option<WindowError>,
}

/// What other threads tell the loop.
#[derive(Debug)]
pub(super) enum Told {
    /// The phone asked for something.
    Phone,
    /// The system's screen reader did.
    Reader(egui_winit::accesskit_winit::Event),
}

impl From<egui_winit::accesskit_winit::Event> for Told {
    fn from(event: egui_winit::accesskit_winit::Event) -> Self {
        Self::Reader(event)
    }
}

impl ApplicationHandler<Told> for Windows {
    fn resumed(&mut self, event_loop: &ActiveEventLoop) {
        if self.shown.is_none() {
            match Shown::open(event_loop, &self.session, self.reader.clone()) {
                Ok(shown) => {
                    self.session.floor.window_size =
                        shown.floor.size().unwrap_or(self.session.floor.window_size);
                    #[cfg(all(unix, not(target_os = "macos")))]
                    super::x11_screens::follow(&shown.desk.window);
                    self.shown = Some(shown);
                    self.look_at_screens(event_loop);
                }
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
            if event == WindowEvent::Destroyed {
                self.floor_is_gone(event_loop);
            } else {
                self.floor_event(&event);
            }
        } else if id == shown.desk.window.id() {
            let wishes = self.desk_event(&event);
            for wish in &wishes {
                self.session.grant(wish);
                if let (Wish::Prefer(preferred), Some(path)) = (wish, Preferences::path())
                    && let Err(error) = preferred.keep(&path)
                {
                    self.session.complaint = Some(error.to_string());
                }
                if let Wish::ShowFloorOn(screen) = wish
                    && let Some(to) = self.session.projector.send(screen.as_ref())
                {
                    self.move_floor(event_loop, to);
                }
            }
            if let Some(shown) = self.shown.as_ref().filter(|_| !wishes.is_empty()) {
                shown.ask_for_frames();
            }
        }
        if self.session.leaving {
            self.save_now();
            event_loop.exit();
        }
    }

    fn user_event(&mut self, _: &ActiveEventLoop, told: Told) {
        match told {
            Told::Phone => {
                self.session.hear_the_phone();
                if let Some(shown) = &self.shown {
                    shown.ask_for_frames();
                }
            }
            Told::Reader(event) => {
                if let Some(shown) = &mut self.shown {
                    shown.hear_reader(event.window_event);
                }
            }
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
        self.look_at_screens(event_loop);
        let Some(shown) = &mut self.shown else { return };
        if shown.desk_again.is_some_and(|at| at <= now) {
            shown.desk_again = None;
            shown.desk.window.request_redraw();
        }
        let next = [shown.desk_again, self.changed_at.map(|changed| changed + SAVE_AFTER)];
        event_loop.set_control_flow(match next.into_iter().flatten().min() {
            Some(at) => ControlFlow::WaitUntil(at),
            None => ControlFlow::Wait,
        });
    }
}

impl Windows {
    fn floor_event(&mut self, event: &WindowEvent) {
        let Some(shown) = &mut self.shown else { return };
        match event {
            WindowEvent::CloseRequested => {
                self.session.ask_to_leave();
                shown.ask_for_frames();
            }
            WindowEvent::RedrawRequested => shown.draw_floor(&self.session),
            WindowEvent::Resized(_) => {
                let size = shown.floor.size();
                self.session.floor.window_size = size.unwrap_or(self.session.floor.window_size);
                shown.ask_for_frames();
            }
            WindowEvent::ModifiersChanged(modifiers) => self.modifiers = modifiers.state(),
            WindowEvent::KeyboardInput { event, is_synthetic: false, .. } => {
                if let Some(press) = press_of(event, self.modifiers) {
                    self.session.press(press);
                    shown.ask_for_frames();
                }
            }
            // While marks are sought the mouse drags their lights.
            _ if self.session.floor.work.is_some() && self.pointer.event(event, &mut self.session) => {
                shown.ask_for_frames();
            }
            _ => {}
        }
    }

    /// Answers what was wished for.
    fn desk_event(&mut self, event: &WindowEvent) -> Vec<Wish> {
        let Some(shown) = &mut self.shown else {
            return Vec::new();
        };
        match event {
            WindowEvent::CloseRequested => {
                self.session.ask_to_leave();
                shown.ask_for_frames();
                return Vec::new();
            }
            WindowEvent::RedrawRequested => return shown.draw_desk(&mut self.session),
            WindowEvent::ModifiersChanged(modifiers) => self.modifiers = modifiers.state(),
            // Keys that were down when the window got the keyboard are not pressed here.
            WindowEvent::KeyboardInput { event, is_synthetic: false, .. } => {
                if let Some(wish) = self.key_at_desk(event) {
                    return vec![wish];
                }
            }
            _ => {}
        }
        let Some(shown) = &mut self.shown else {
            return Vec::new();
        };
        let response = shown.egui.on_window_event(&shown.desk.window, event);
        if response.repaint || matches!(event, WindowEvent::Resized(_)) {
            shown.desk.window.request_redraw();
        }
        Vec::new()
    }

    /// A key at the desk that means what it means on the floor; the panels don't see it then.
    fn key_at_desk(&self, event: &KeyEvent) -> Option<Wish> {
        let context = self.shown.as_ref()?.egui.egui_ctx();
        let holder = if context.text_edit_focused() {
            Holder::Field
        } else if context.egui_wants_keyboard_input() {
            Holder::Control
        } else {
            Holder::Nobody
        };
        let press = press_of(event, self.modifiers)?;
        let action = action_for(press)?;
        // At the pages of a drawing the arrows move the page that is picked.
        let lit = self.session.marks_are_lit() && !self.session.moves_a_page();
        is_ours(press, holder, lit).then_some(Wish::Act(action))
    }

    /// Takes note of screens that came or went.
    fn look_at_screens(&mut self, event_loop: &ActiveEventLoop) {
        let Some(shown) = &self.shown else { return };
        let screens: Vec<MonitorHandle> = event_loop.available_monitors().collect();
        let first = event_loop.primary_monitor().or_else(|| shown.desk.window.current_monitor());
        let first = screens.iter().position(|screen| Some(screen) == first.as_ref());
        let names = screens.iter().map(screen_name).collect();
        // Until the window system names a screen, nothing is known and nothing is moved.
        if screens.is_empty() && self.session.projector.screens.is_empty() {
            return;
        }
        let projector = &mut self.session.projector;
        let known = (projector.screens.clone(), projector.pixels.take());
        let to = projector.look(names, Some(first.unwrap_or(0)));
        let on = projector.on.as_ref();
        let on = on.and_then(|on| screens.iter().find(|screen| screen_name(screen) == *on));
        projector.pixels = on.and_then(|screen| {
            let modes: Vec<(u32, u32)> = screen.video_modes().map(|mode| mode.size().into()).collect();
            scaling(screen.size().into(), &modes, screen.scale_factor())
        });
        if (&projector.screens, &projector.pixels) != (&known.0, &known.1) {
            // The stop Aim offers the screens by name.
            shown.desk.window.request_redraw();
        }
        if let Some(to) = to {
            self.move_floor(event_loop, to);
        }
    }

    /// Opens the floor window again, and says so: nobody knows what became of the projector meanwhile.
    fn floor_is_gone(&mut self, event_loop: &ActiveEventLoop) {
        let Some(shown) = &mut self.shown else { return };
        if let Err(error) = shown.reopen_floor(event_loop, &self.session) {
            self.session.complaint =
                Some(format!("the floor window went away and can't be opened again: {error}"));
            return;
        }
        let Some(to) = self.session.projector.reopened() else { return };
        self.move_floor(event_loop, to);
    }

    fn move_floor(&self, event_loop: &ActiveEventLoop, to: FloorMove) {
        let Some(shown) = &self.shown else { return };
        let screen = match to {
            FloorMove::Onto(place) => event_loop.available_monitors().nth(place),
            FloorMove::IntoWindow => None,
        };
        shown.move_floor(screen);
        shown.ask_for_frames();
    }

    /// Saves what is not saved, where there is a file.
    fn save_now(&mut self) {
        self.changed_at = None;
        if self.session.open.path().is_some() && !self.session.open.is_saved() {
            // Its failure stands in the session until a save succeeds.
            drop(self.session.save());
            if let Some(shown) = &self.shown {
                shown.desk.window.request_redraw();
            }
        }
    }
}

fn screen_name(screen: &MonitorHandle) -> ScreenName {
    let size = screen.size();
    ScreenName {
        name: screen.name().unwrap_or_else(|| "a screen".to_owned()),
        size: (size.width, size.height),
    }
}
