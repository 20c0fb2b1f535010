//! Curves on a plane, in millimetres (f64).
//!
//! The plane has x to the right and y up, as a pattern lies on the table. Everything
//! here knows about length, direction and shape, and nothing about sewing.
//!
//! - [`Segment`]: a straight line, a cubic Bézier or a circular arc. Arcs are kept as arcs, because a
//!   curved hem drafted with the compass stays exact under a parallel change.
//! - [`Curve`]: segments joined end to end, travelled by arc length.
//! - [`map_curve`]: a curve under a smooth map of the plane, refitted to few cubics.
//! - [`parallel`]: the curve at a constant distance.
//! - [`crossings`]: where two curves meet, and where an outline crosses itself.
//! - [`inner_place`]: room for words inside an outline.
//! - [`Length`]: an amount as a person typed it, with its unit.
//! - [`tolerance`]: every tolerance of the project, in one place.

mod arc;
mod crossing;
mod curve;
mod fit;
mod inner_place;
mod length;
mod parallel;
mod segment;
pub mod tolerance;

pub use arc::CircularArc;
pub use crossing::{Crossing, crossings, self_crossing};
pub use curve::{Curve, CurveError};
pub use fit::{fit_curve, map_curve};
pub use inner_place::inner_place;
pub use length::{Length, LengthError, Unit};
pub use parallel::{ParallelError, parallel};
pub use segment::Segment;

pub use kurbo::{Affine, BezPath, CubicBez, Line, Point, Rect, Vec2};
