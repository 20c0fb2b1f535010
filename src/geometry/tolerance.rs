//! Every tolerance of the project. Each says what it trades away.

/// Two ends closer than this are the same point, in mm. A tenth of what a cutter could ever follow; above
/// the rounding of coordinates written with three decimals.
pub const JOIN_MM: f64 = 0.01;

/// Accuracy of an arc length, in mm. Lengths are compared at a hundredth of a millimetre; this leaves four
/// digits of room for sums.
pub const ARC_LENGTH_MM: f64 = 1e-6;

/// Furthest that a refitted curve may lie from the exact one, in mm. Small enough for the length of a
/// metre-long seam to stay within a hundredth of a millimetre.
pub const FIT_MM: f64 = 1e-4;

/// Chord error when a curve becomes a polyline to be drawn, in mm. A projector's pixel is some 0.9 mm and the
/// renderer places lines within a hundredth of one.
pub const FLATTEN_MM: f64 = 0.005;

/// Chord error when a curve becomes a polyline to be compared or tested for crossings, in mm.
pub const FLATTEN_COARSE_MM: f64 = 0.05;

/// Largest coordinate that a pattern, a cloth or a surface may have, in mm. No cloth is 100 m long; a larger
/// number is a mistake in a file.
pub const LARGEST_COORDINATE_MM: f64 = 100_000.0;

/// A sine (or cosine) below this counts as parallel (or square).
pub const PARALLEL_SINE: f64 = 1e-9;
