//! The mouse on the floor: it drags the lights of marks while they are sought.

use super::Session;
use crate::geometry::Point;
use winit::event::{ElementState, MouseButton, WindowEvent};

/// Where the pointer is in the projector's window, and whether it holds a light.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct FloorPointer {
    at: Point,
    holds: bool,
}

impl FloorPointer {
    /// Takes an event of the floor window; whether it changed what is lit.
    pub(super) fn event(&mut self, event: &WindowEvent, session: &mut Session) -> bool {
        match event {
            WindowEvent::CursorMoved { position, .. } => {
                self.at = in_picture(session, (position.x, position.y));
                if self.holds {
                    session.drag_light(self.at);
                }
                self.holds
            }
            WindowEvent::MouseInput { state: ElementState::Pressed, button: MouseButton::Left, .. } => {
                self.holds = session.take_hold(self.at);
                self.holds
            }
            WindowEvent::MouseInput { state: ElementState::Released, button: MouseButton::Left, .. } => {
                let held = std::mem::take(&mut self.holds);
                if held {
                    session.let_go();
                }
                held
            }
            _ => false,
        }
    }
}

/// A place of the floor window, in physical px, as a place of the picture that is aimed.
fn in_picture(session: &Session, window: (f64, f64)) -> Point {
    let size = session.floor.window_size;
    let size = (f64::from(size.0.max(1)), f64::from(size.1.max(1)));
    let picture = session.open.measured().map_or_else(
        || session.open.mount().picture_size(size),
        |measured| (f64::from(measured.picture_size.0), f64::from(measured.picture_size.1)),
    );
    let mount = session.open.mount();
    let size = mount.picture_size(size);
    let (x, y) = mount.in_picture(window, size);
    Point::new(x * picture.0 / size.0, y * picture.1 / size.1)
}
