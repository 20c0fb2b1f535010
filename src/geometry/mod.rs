//! Curves on a plane, in millimetres (f64).
//!
//! The plane has x to the right and y up, as a pattern lies on the table. Everything
//! here knows about length, direction and shape, and nothing about sewing.
//!
//! - [`Segment`]: a straight line, a cubic Bézier or a circular arc. Arcs are kept as arcs, because a
//!   curved hem drafted with the compass stays exact under a parallel change.
//! - [`Curve`]: segments joined end to end, travelled by arc length.
//! - [`map_curve`]: a curve under a smooth map of the plane, refitted to few cubics.
//! - [`displaced`]: a curve whose points are shifted by an amount that varies along it.
//! - [`parallel`]: the curve at a constant distance.
//! - [`cleared_parallel`]: the same without the loops of sharp bends, as a blade can follow it.
//! - [`brought_together`]: two curves trimmed, or carried on, to a common end.
//! - [`split_at_levels`]: a curve cut where it passes given heights.
//! - [`crossings`]: where two curves meet, and where an outline crosses itself.
//! - [`Length`]: an amount as a person typed it, with its unit.
//! - [`Units`]: in which units lengths are said.
//! - [`tolerance`]: every tolerance of the project, in one place.

mod arc;
mod cleared;
mod crossing;
mod curve;
mod displaced;
mod fit;
mod length;
mod level;
mod meet;
pub mod pair;
pub mod pairs;
mod parallel;
mod segment;
pub mod tolerance;
mod units;

pub use arc::CircularArc;
pub use cleared::{Cleared, cleared_parallel};
pub use crossing::{Crossing, crossings, self_crossing};
pub use curve::{Curve, CurveError};
pub use displaced::{Along, displaced};
pub use fit::{fit_curve, map_curve};
pub use length::{Length, LengthError, Unit};
pub use level::split_at_levels;
pub use meet::brought_together;
pub use parallel::{ParallelError, parallel};
pub use segment::Segment;
pub use units::Units;

pub use kurbo::{Affine, BezPath, CubicBez, Line, Point, Rect, Shape, Vec2};
