//! A phone as a remote: the keys of the floor window on a page that the program serves itself.
//!
//! Off until it is asked for, then on this computer alone, or opened to the network. Whoever has the code that is thrown
//! on the cloth is let in, once; after that the browser's own token counts. Every other request gets no answer at all:
//! no page, no error, no word that something is there. A page of somewhere else can't press a key: the host's name, a
//! header of our own and a cookie for this site alone are asked for (OWASP, *Cross-Site Request Forgery Prevention*).
//! Nothing is encrypted: a network whose others one trusts is needed, and nothing but keys is to be had.
//!
//! - [`Remote`]: the server; it hands over the keys that were pressed.
//! - [`code_modules`]: a text as a QR code (ISO/IEC 18004).

mod answer;
mod gate;
mod page;
mod request;
mod serve;

pub use page::press_named;
pub use serve::{Reach, Remote, RemoteError};

/// A text as the modules of a QR code, rows from the top, `true` for dark; `None` when it is too long for any.
#[must_use]
pub fn code_modules(text: &str) -> Option<Vec<Vec<bool>>> {
    let code = qrcode::QrCode::with_error_correction_level(text, qrcode::EcLevel::M).ok()?;
    let modules: Vec<bool> =
        code.to_colors().into_iter().map(|colour| colour == qrcode::Color::Dark).collect();
    Some(modules.chunks(code.width().max(1)).map(<[bool]>::to_vec).collect())
}
