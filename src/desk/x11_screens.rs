//! Under X11: has winit notice screens that come and go.
//!
//! winit 0.30 reads the list of screens once and keeps it. It asks the server to be told of changes, but reads its
//! events through Xlib, which drops those of an extension that it was not told of: the list would stay as it was for
//! ever. So a connection of our own listens, and then whispers to winit what makes it read the list anew: that the
//! server's resources changed (it looks for another size of letters on every screen). Everything else goes the same way
//! as under the other window systems: by the monitors that winit names.

use std::error::Error;
use std::thread;
use std::time::Duration;
use winit::raw_window_handle::{HasWindowHandle as _, RawWindowHandle};
use winit::window::Window;
use x11rb::connection::Connection as _;
use x11rb::protocol::Event;
use x11rb::protocol::randr::{ConnectionExt as _, NotifyMask};
use x11rb::protocol::xproto::{
    AtomEnum, ConnectionExt as _, EventMask, PROPERTY_NOTIFY_EVENT, Property, PropertyNotifyEvent,
};
use x11rb::rust_connection::RustConnection;

/// How long nothing must have happened before the screens are looked at. One change comes in several steps (all off,
/// another size of the whole, on again), and a screen that is off for a moment isn't gone.
const QUIET: Duration = Duration::from_millis(250);

/// Lets winit know of screens that come and go, as long as the program runs. `window` is one that stays open. Does
/// nothing where windows aren't those of X11, or where its server can't tell (no RandR extension): then the screens
/// stay those that there were at the start.
pub(super) fn follow(window: &Window) {
    let Some(id) = x11_id(window) else { return };
    let listener = thread::Builder::new().name("screens".to_owned());
    // Without the thread the screens stay as they were; the error has no more to say.
    drop(listener.spawn(move || {
        // It ends with the server's connection, with the window or with the program; nothing has to be said then.
        drop(listen(id));
    }));
}

/// The window's number at the X server.
fn x11_id(window: &Window) -> Option<u32> {
    match window.window_handle().ok()?.as_raw() {
        RawWindowHandle::Xlib(handle) => u32::try_from(handle.window).ok(),
        RawWindowHandle::Xcb(handle) => Some(handle.window.get()),
        _ => None,
    }
}

/// Waits for changes and passes them on, until the connection ends or the window does.
fn listen(window: u32) -> Result<(), Box<dyn Error>> {
    let (connection, screen) = RustConnection::connect(None)?;
    let root = connection.setup().roots.get(screen).ok_or("no such screen")?.root;
    connection.randr_query_version(1, 3)?.reply()?;
    let changes = NotifyMask::SCREEN_CHANGE | NotifyMask::CRTC_CHANGE | NotifyMask::OUTPUT_CHANGE;
    connection.randr_select_input(root, changes)?.check()?;
    loop {
        // At first too: a screen may have come since winit looked.
        whisper(&connection, window, root)?;
        while !is_of_screens(&connection.wait_for_event()?) {}
        until_quiet(&connection)?;
    }
}

/// Some events come unasked: another keyboard, say.
const fn is_of_screens(event: &Event) -> bool {
    matches!(event, Event::RandrNotify(_) | Event::RandrScreenChangeNotify(_))
}

fn until_quiet(connection: &RustConnection) -> Result<(), Box<dyn Error>> {
    let mut is_quiet = false;
    while !is_quiet {
        thread::sleep(QUIET);
        is_quiet = true;
        while let Some(event) = connection.poll_for_event()? {
            is_quiet &= !is_of_screens(&event);
        }
    }
    Ok(())
}

/// Tells winit alone that the server's resources changed: an event that is sent with an empty mask goes to the program
/// that made the window, and to no other (X Window System Protocol, version 11, request SendEvent).
fn whisper(connection: &RustConnection, window: u32, root: u32) -> Result<(), Box<dyn Error>> {
    let event = PropertyNotifyEvent {
        response_type: PROPERTY_NOTIFY_EVENT,
        sequence: 0,
        window: root,
        atom: AtomEnum::RESOURCE_MANAGER.into(),
        time: x11rb::CURRENT_TIME,
        state: Property::NEW_VALUE,
    };
    connection.send_event(false, window, EventMask::NO_EVENT, event)?.check()?;
    Ok(())
}
