//! Where the light falls: from measured marks to a homography, and what is known about its error.
//!
//! The projector's picture and the flat surface under it are two views of one plane, so a projective map takes the
//! one to the other as long as the lens draws straight lines straight. Four marks fix it; more marks and more tapes
//! than needed are adjusted together by least squares, each weighed by how well it can be read.
//!
//! - [`Measured`]: what was picked and taped, as in `MEASURED.ron`.
//! - [`Aim`]: the solved position; [`AimError`]: why there is none, and what to do.
//! - [`Lens`], [`ResidualGrid`]: how the lens bends, where it does; [`Outlier`]: a mark that does not fit the others.
//! - [`ErrorMap`]: how far the light may be off, place by place.
//! - [`Suspect`]: a tape reading that may be wrong.
//! - [`ClothRise`]: the cloth's thickness, allowed for.
//! - [`AimReport`]: its numbers, for JSON.
//! - [`Homography`]: the map.
//! - [`Reaim`], [`FindCrosses`], [`LookAgain`]: marks and crosses sought with keys ([`Seek`], [`Nudger`]).
//! - [`Watch`]: whether it moved; [`Proof`]: whether a tape agrees.
//! - [`Hanging`]: what a projector will light from where it may hang.
//! - [`Stands`], [`Cross`], [`Registration`]: a piece larger than the picture, and the cloth found again after a move.
//!
//! Surface: mm, x right and y up as seen from the lens. Picture: px from the outer corner of the top left pixel,
//! x right and y down. Limits: a flat surface; of a lens's
//! distortion one radial term; a tape's own scale can't be checked.
//!
//! Source of the method: Hartley & Zisserman, Multiple View Geometry, 2nd ed. (2004), chapter 4.

mod bump;
mod cover;
mod crosses;
mod dlt;
mod error;
mod error_map;
mod find_crosses;
mod first_layout;
mod frame;
mod homography;
mod hull;
mod layout;
mod least_squares;
mod lens;
mod lit;
mod measured;
mod motion;
mod nudge;
mod order;
mod outliers;
mod parallax;
mod planner;
mod proof;
mod readings;
mod reaim;
mod refine;
mod register;
mod report;
mod residual_grid;
mod rigid;
mod seek;
mod solution;
mod solve;
mod stand_error;
mod stands;
mod suspects;
mod watch;

pub use bump::HeightGuess;
pub use crosses::APART_MM as CROSSES_APART_MM;
pub use error::{AimError, Corner, Plane};
pub use error_map::{ErrorMap, ErrorPlace};
pub use find_crosses::FindCrosses;
pub use homography::{Homography, HomographyError};
pub use lens::Lens;
pub use measured::{Measured, MeasuredMark, Tape};
pub use motion::Motion;
pub use nudge::Nudger;
pub use outliers::Outlier;
pub use parallax::ClothRise;
pub use planner::{Accuracy, Hanging, PlanError, Prospect, ShiftCount};
pub use proof::{
    AxisProof, Bar, BarWay, PROOF_LENGTH_MM, PROOF_TOLERANCE_MM_PER_M, Proof, ProofError, Verdict,
};
pub use reaim::Reaim;
pub use register::{Cross, Registration, STRETCH_MM, drift_sigma_mm};
pub use report::{AimReport, ErrorReport, MarkReport, OutlierReport, PitchReport, SuspectReport, TapeReport};
pub use residual_grid::ResidualGrid;
pub use seek::Seek;
pub use solution::{Aim, Mark, PixelPitch, TapeFit};
pub use stand_error::StandError;
pub use stands::{Ground, Join, OVERLAP_MM, StandPlace, Stands, positions};
pub use suspects::Suspect;
pub use watch::{LookAgain, Travel, Watch};
