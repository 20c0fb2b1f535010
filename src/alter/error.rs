//! Why an alteration cannot be done, and what to do instead.

use super::HemSideError;
use crate::geometry::{ParallelError, Point};
use crate::pattern::{BalanceLineId, CornerId, DartId, EdgeId, NotchId, PieceId, SeamId, SizeId};

/// Why an alteration cannot be done. Every message names the piece and the place, and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AlterError {
    /// The pattern has no such size.
    #[error("the pattern has no size {size}; choose one of its sizes")]
    UnknownSize {
        /// The size asked for.
        size: SizeId,
    },
    /// The pattern has no such piece.
    #[error("the pattern has no piece “{piece}”; choose a piece from its list")]
    UnknownPiece {
        /// The piece asked for.
        piece: PieceId,
    },
    /// The piece has no such edge.
    #[error("piece “{piece}” has no edge “{edge}”; choose one of its edges")]
    UnknownEdge {
        /// Which piece.
        piece: PieceId,
        /// The edge asked for.
        edge: EdgeId,
    },
    /// The piece has no such corner.
    #[error("piece “{piece}” has no corner “{corner}”; choose one of its corners")]
    UnknownCorner {
        /// Which piece.
        piece: PieceId,
        /// The corner asked for.
        corner: CornerId,
    },
    /// No piece carries the balance line.
    #[error("no piece has a lengthen/shorten line “{line}”; choose a line that is printed on the pattern")]
    UnknownBalanceLine {
        /// The line asked for.
        line: BalanceLineId,
    },
    /// The balance line does not run across the grain.
    #[error(
        "the line “{line}” on piece “{piece}” is {off_degrees:.1}° off square to the grainline; straighten the line or the grainline first"
    )]
    LineNotSquare {
        /// Which piece.
        piece: PieceId,
        /// Which line.
        line: BalanceLineId,
        /// How far from square, in degrees.
        off_degrees: f64,
    },
    /// The band is so narrow that the seam would fold back on itself.
    #[error(
        "shortening by {shorter_by_mm:.1} mm within {half_band_mm:.1} mm on each side of the line “{line}” would fold the seam back on itself; spread it over more than {smallest_mm:.1} mm on each side"
    )]
    BandTooNarrow {
        /// Which line.
        line: BalanceLineId,
        /// Amount taken out, in mm.
        shorter_by_mm: f64,
        /// Half the band asked for, in mm.
        half_band_mm: f64,
        /// Half bands must be larger than this, in mm.
        smallest_mm: f64,
    },
    /// A length that must be larger than nothing.
    #[error("{what} must be more than 0 mm (it is {given_mm:.1} mm)")]
    NotPositive {
        /// Which amount.
        what: &'static str,
        /// What was given, in mm.
        given_mm: f64,
    },
    /// A dart lies in the band of a lengthening.
    #[error(
        "dart “{dart}” of piece “{piece}” lies within {half_band_mm:.1} mm of the line “{line}” and would be bent; lengthen at another line or over a narrower band, or, if the dart goes right across the line, choose to have it drawn again"
    )]
    DartInBand {
        /// Which piece.
        piece: PieceId,
        /// Which dart.
        dart: DartId,
        /// Which line.
        line: BalanceLineId,
        /// Half the band, in mm.
        half_band_mm: f64,
    },
    /// There is no hem to change.
    #[error("piece “{piece}” has no hem edge; say which of its edges is the hem")]
    NoHem {
        /// Which piece.
        piece: PieceId,
    },
    /// None of the pieces has a hem.
    #[error("none of the pieces has a hem edge; say in the pattern which edges are turned up")]
    NoHemAnywhere,
    /// A hem cannot be drawn from centre to side as asked.
    #[error(transparent)]
    HemSide(#[from] HemSideError),
    /// The pattern has no such seam.
    #[error("the pattern has no seam “{seam}”; choose one of its seams")]
    UnknownSeam {
        /// The seam asked for.
        seam: SeamId,
    },
    /// The edge has no parallel at the distance.
    #[error("edge “{edge}” of piece “{piece}” cannot move that far: {cause}")]
    NoParallel {
        /// Which piece.
        piece: PieceId,
        /// Which edge.
        edge: EdgeId,
        /// Why not.
        cause: ParallelError,
    },
    /// Two edges no longer reach each other.
    #[error(
        "piece “{piece}”: “{first}” and “{second}” no longer meet after a change of {by_mm:.1} mm; use a smaller amount"
    )]
    Apart {
        /// Which piece.
        piece: PieceId,
        /// Edge before the corner.
        first: EdgeId,
        /// Edge after it.
        second: EdgeId,
        /// The change, in mm.
        by_mm: f64,
    },
    /// The altered outline crosses itself or does not close.
    #[error(
        "the seam line of piece “{piece}” would cross itself near ({:.0}, {:.0}) mm; use a smaller amount",
        at.x, at.y
    )]
    OutlineCrosses {
        /// Which piece.
        piece: PieceId,
        /// Where.
        at: Point,
    },
    /// The edges of the altered outline do not join.
    #[error("the seam line of piece “{piece}” would not close at corner “{corner}” ({gap_mm:.2} mm apart)")]
    OutlineOpen {
        /// Which piece.
        piece: PieceId,
        /// At which corner.
        corner: CornerId,
        /// The gap, in mm.
        gap_mm: f64,
    },
    /// The cutting line crosses itself.
    #[error(
        "the cutting line of piece “{piece}” would cross itself near ({:.0}, {:.0}) mm; use narrower allowances there",
        at.x, at.y
    )]
    CuttingLineCrosses {
        /// Which piece.
        piece: PieceId,
        /// Where.
        at: Point,
    },
    /// An allowance below nothing.
    #[error("the allowance of edge “{edge}” of piece “{piece}” is {width_mm:.1} mm; it cannot be below 0")]
    NegativeAllowance {
        /// Which piece.
        piece: PieceId,
        /// Which edge.
        edge: EdgeId,
        /// What was given, in mm.
        width_mm: f64,
    },
    /// The piece has no such notch.
    #[error("piece “{piece}” has no notch “{notch}”; choose one of its notches")]
    UnknownNotch {
        /// Which piece.
        piece: PieceId,
        /// The notch asked for.
        notch: NotchId,
    },
    /// A distance along the seam that goes more than once round the piece.
    #[error(
        "piece “{piece}”: {distance_mm:.1} mm from corner “{corner}” is more than the whole seam line; use a shorter distance"
    )]
    PastTheEnd {
        /// Which piece.
        piece: PieceId,
        /// From which corner.
        corner: CornerId,
        /// The distance, in mm.
        distance_mm: f64,
    },
    /// A balance line that does not meet the edge.
    #[error("piece “{piece}”: the line “{line}” does not meet edge “{edge}”; choose an edge that it goes to")]
    LineMissesEdge {
        /// Which piece.
        piece: PieceId,
        /// Which line.
        line: BalanceLineId,
        /// Which edge.
        edge: EdgeId,
    },
    /// A place lies on different edges in two sizes.
    #[error(
        "piece “{piece}”: the place lies on edge “{first}” in one size and on “{second}” in the other; choose a corner, a notch or another distance"
    )]
    SizesDiffer {
        /// Which piece.
        piece: PieceId,
        /// In the one size.
        first: EdgeId,
        /// In the other.
        second: EdgeId,
    },
    /// A blend's zone ends on another seam than it begins on.
    #[error(
        "the zone on piece “{piece}” goes beyond its seam with “{mate}”; blend in two zones, each along one seam"
    )]
    ZoneLeavesSeam {
        /// Which piece.
        piece: PieceId,
        /// The mate that cannot follow.
        mate: PieceId,
    },
    /// There is no edge along which the sizes could be joined again.
    #[error(
        "piece “{piece}” has no edge that lies on one line in both sizes, where size {size} could end; name the last corner of size {size}"
    )]
    NoWayBack {
        /// Which piece.
        piece: PieceId,
        /// The other size.
        size: SizeId,
    },
    /// An earlier step cannot be done in the size that is blended in.
    #[error("in size {size}, an earlier step cannot be done: {cause}")]
    FailsInSize {
        /// The other size.
        size: SizeId,
        /// Why not.
        cause: Box<Self>,
    },
    /// The piece has no such dart.
    #[error("piece “{piece}” has no dart “{dart}”; choose one of its darts")]
    UnknownDart {
        /// Which piece.
        piece: PieceId,
        /// The dart asked for.
        dart: DartId,
    },
    /// No edge is the dart's mouth.
    #[error(
        "dart “{dart}” of piece “{piece}” has no mouth on the seam line; say in the pattern which edge it is"
    )]
    NoMouth {
        /// Which piece.
        piece: PieceId,
        /// Which dart.
        dart: DartId,
    },
    /// The piece has no such drill hole.
    #[error("piece “{piece}” has no mark “{name}”; choose one of its drill holes")]
    UnknownDrillHole {
        /// Which piece.
        piece: PieceId,
        /// The mark asked for.
        name: String,
    },
    /// The legs of a dart differ.
    #[error(
        "the legs of dart “{dart}” of piece “{piece}” are {first_mm:.1} mm and {second_mm:.1} mm long; equalise them first"
    )]
    LegsDiffer {
        /// Which piece.
        piece: PieceId,
        /// Which dart.
        dart: DartId,
        /// One leg, in mm.
        first_mm: f64,
        /// The other, in mm.
        second_mm: f64,
    },
    /// No place on the seam makes the legs equal.
    #[error(
        "the legs of dart “{dart}” of piece “{piece}” ({first_mm:.1} mm and {second_mm:.1} mm) cannot be made equal by sliding the mouth; move the apex towards the middle of the dart first"
    )]
    CannotEqualise {
        /// Which piece.
        piece: PieceId,
        /// Which dart.
        dart: DartId,
        /// One leg, in mm.
        first_mm: f64,
        /// The other, in mm.
        second_mm: f64,
    },
    /// The seam beside a dart does not reach its middle line.
    #[error(
        "the cap of dart “{dart}” of piece “{piece}” cannot be drawn: the seam beside it does not reach under half the wedge; press the dart the other way or move its mouth"
    )]
    NoCap {
        /// Which piece.
        piece: PieceId,
        /// Which dart.
        dart: DartId,
    },
    /// A dart's mouth would lie on a corner.
    #[error(
        "piece “{piece}”: no room for a dart there on edge “{edge}”; choose a place at least {clear_mm:.0} mm from its corners"
    )]
    NoRoomForMouth {
        /// Which piece.
        piece: PieceId,
        /// Which edge.
        edge: EdgeId,
        /// Distance to keep from a corner, in mm.
        clear_mm: f64,
    },
    /// Places that shall lie on one seam do not.
    #[error("piece “{piece}”: the places do not lie on one seam; choose both ends on the same seam")]
    NotOneSeam {
        /// Which piece.
        piece: PieceId,
    },
    /// Edges that shall be neighbours are not.
    #[error("piece “{piece}”: the edges named do not follow each other; name neighbouring edges")]
    NotOneRun {
        /// Which piece.
        piece: PieceId,
    },
    /// Shoulder and armhole do not meet.
    #[error(
        "piece “{piece}”: “{first}” and “{second}” do not meet; name the armhole that begins at the shoulder tip"
    )]
    NotNeighbours {
        /// Which piece.
        piece: PieceId,
        /// One edge.
        first: EdgeId,
        /// The other.
        second: EdgeId,
    },
    /// A shoulder would hang straight down.
    #[error(
        "piece “{piece}”: shoulder “{edge}” is only {length_mm:.1} mm long; lower its tip by less than it would take to hang straight down"
    )]
    TooSteep {
        /// Which piece.
        piece: PieceId,
        /// Which edge.
        edge: EdgeId,
        /// Its length, in mm.
        length_mm: f64,
    },
    /// A facing that is not built as one can be drawn again.
    #[error(
        "facing “{piece}” cannot be drawn again from these edges: it needs one edge for each (or one for all), an end on both sides, and an inner edge with the role of a facing's edge"
    )]
    FacingBuild {
        /// Which facing.
        piece: PieceId,
    },
    /// A facing wider than the edges beside it are long.
    #[error(
        "facing “{piece}”: {width_mm:.1} mm is wider than the edges at its ends are long; make it narrower"
    )]
    FacingTooWide {
        /// Which facing.
        piece: PieceId,
        /// Its width, in mm.
        width_mm: f64,
    },
    /// A piece that a full-bust alteration does not fit.
    #[error("piece “{piece}” cannot be spread for the bust: {why}; choose another hinge or a smaller spread")]
    NoFullBust {
        /// Which piece.
        piece: PieceId,
        /// Why not.
        why: &'static str,
    },
}
