//! Scene to pixels: one way for window, picture and test.
//!
//! ```text
//! Scene ─► Drawing (f64 → f32, once) ─► Uploaded (on the device) ─► Renderer::draw (every aim, every frame)
//! ```
//!
//! The surface's millimetres go to the graphics processor as they are; the aim (a homography, composed in f64)
//! is one uniform that the vertex shader applies, so moving the light redraws without tessellating anew. Lines
//! are expanded and softened in pixels by the shader: tessellated in mm they come out up to half a pixel off,
//! multisampled still a quarter, as coverage through a tent a two-hundredth (`shaders/stroke.wgsl` tells how).
//!
//! Space: mm on the surface with y up; picture px with y down, the first pixel's middle at (0.5, 0.5). Limits:
//! curves tighter than the half width plus a pixel are lit twice on their inner side; inner edges of
//! a fill that a lens bends stay straight.

mod device;
mod drawing;
mod fill;
mod horizon;
mod label;
mod picture;
mod pipeline;
mod renderer;
mod stroke;
mod throw;

pub use device::{Device, LightError};
pub use drawing::Drawing;
pub use label::label_width_mm;
pub use picture::{Depth, Picture, Studio, picture};
pub use renderer::{Prepared, Renderer, Uploaded};
pub use throw::Throw;
