//! What can be wrong with a pattern, said so that a person can mend it.

use super::{BalanceLineId, DartId, EdgeId, MeasureError, MeasureId, NotchId, PieceId, SeamId, SizeId};
use crate::geometry::{CurveError, Point};
use std::fmt;

/// Something about a pattern that keeps it from being used: where, what, and what to do.
#[derive(Debug, Clone, PartialEq)]
pub struct PatternFault {
    /// The piece, where one is concerned.
    pub piece: Option<PieceId>,
    /// The size, where only one is concerned.
    pub size: Option<SizeId>,
    /// The part of the piece or of the pattern.
    pub part: Part,
    /// What is wrong with it.
    pub kind: FaultKind,
}

/// A part of a pattern that a fault points at.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// The piece or the pattern as a whole.
    Whole,
    /// The list of sizes.
    Sizes,
    /// An allowance of the whole pattern.
    Allowance,
    /// The cutting list of a piece.
    Cuttings,
    /// An edge.
    Edge(EdgeId),
    /// A notch.
    Notch(NotchId),
    /// A dart.
    Dart(DartId),
    /// The grainline.
    Grainline,
    /// A balance line.
    BalanceLine(BalanceLineId),
    /// A drill hole, by its name.
    DrillHole(String),
    /// An inner line, by its name.
    InnerLine(String),
    /// A printed text, by its words.
    Text(String),
    /// A seam.
    Seam(SeamId),
    /// A measure.
    Measure(MeasureId),
    /// The body that a size is drafted for.
    Body(SizeId),
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FaultKind {
    /// A list that may not be empty.
    #[error("there is no {0}. Add at least one")]
    None(&'static str),
    /// A name of no letters.
    #[error("a {0} has an empty name. Give it one")]
    NoName(&'static str),
    /// Two of the same name.
    #[error("the {what} “{name}” is there twice. Rename or remove one")]
    Duplicate {
        /// The kind of thing.
        what: &'static str,
        /// Its name.
        name: String,
    },
    /// A name that stands for nothing.
    #[error("there is no {what} “{name}”{}", suggestion(.like.as_deref()))]
    Unknown {
        /// The kind of thing.
        what: &'static str,
        /// The name as written.
        name: String,
        /// The closest name that there is.
        like: Option<String>,
    },
    /// A piece is not drawn in a size of the pattern.
    #[error(
        "the piece is not drawn in size {0}. Draw it in every size of the pattern, or take the size off the list"
    )]
    SizeMissing(SizeId),
    /// A named thing has no shape in one size.
    #[error("the {what} “{name}” has no place in this size. Add it")]
    ShapeMissing {
        /// The kind of thing.
        what: &'static str,
        /// Its name.
        name: String,
    },
    /// A size of a piece is made otherwise than the first.
    #[error(
        "the {0} are not the same as in the first size. Every size needs the same names in the same order"
    )]
    SizesDiffer(&'static str),
    /// A coordinate or length that is NaN or infinite.
    #[error("a number is not finite. Replace it by millimetres")]
    NotFinite,
    /// A coordinate or length beyond 100 m.
    #[error("{0} mm is more than 100 m. Check the number and its unit (millimetres)")]
    TooLarge(f64),
    /// The stretches of an edge make no curve.
    #[error("{0}")]
    Curve(#[from] CurveError),
    /// An arc that does not turn, turns more than once round, or has no radius.
    #[error(
        "an arc sweeps {degrees} degrees about a centre {radius_mm:.2} mm away. Give it a radius and a sweep between 0 and 360 degrees, plus or minus"
    )]
    BadArc {
        /// Its sweep.
        degrees: f64,
        /// Its radius.
        radius_mm: f64,
    },
    /// An allowance below zero or beyond [`super::validate::LARGEST_ALLOWANCE_MM`].
    #[error("an allowance of {0} is not between 0 and 500 mm. Check the number and its unit")]
    BadAllowance(crate::geometry::Length),
    /// An edge ends at another corner than the next begins at.
    #[error(
        "it ends at corner “{to}”, but the next edge, “{next}”, begins at “{next_from}”. Name the same corner in both"
    )]
    CornersDiffer {
        /// Where it ends.
        to: String,
        /// The edge that follows.
        next: EdgeId,
        /// Where that begins.
        next_from: String,
    },
    /// The outline is not closed.
    #[error("the outline is open: the edge ends at ({:.2}, {:.2}), and “{next}” begins {gap_mm:.2} mm away. Move one end onto the other", at.x, at.y)]
    OutlineOpen {
        /// End of the edge.
        at: Point,
        /// The edge that follows.
        next: EdgeId,
        /// Distance between the ends.
        gap_mm: f64,
    },
    /// The outline crosses or touches itself.
    #[error("the outline crosses itself at ({:.1}, {:.1}). Move the lines apart there", .0.x, .0.y)]
    CrossesItself(Point),
    /// The outline runs back along itself.
    #[error("the outline runs back over itself at ({:.1}, {:.1}). Take the spike away", .0.x, .0.y)]
    DoublesBack(Point),
    /// The outline holds no cloth.
    #[error("the outline holds no cloth ({0:.3} mm²). Check its points")]
    NoArea(f64),
    /// The outline runs the wrong way round.
    #[error(
        "the outline runs clockwise (y points up). List the edges, and the points of each, the other way round"
    )]
    Clockwise,
    /// A fold that is not straight.
    #[error("a fold edge must be one straight line; this one leaves the straight by {0:.2} mm")]
    FoldBent(f64),
    /// Something to be cut on a fold without one.
    #[error(
        "it is to be cut on a fold or opened out, but no edge has the role Fold. Give the role to one edge, or cut it otherwise"
    )]
    NoFold,
    /// A number on the cutting list that is 0.
    #[error("{0} must be at least 1")]
    Zero(&'static str),
    /// A notch that lies before or beyond its edge.
    #[error(
        "the notch lies {distance_mm:.2} mm along the edge “{edge}”, which is {length_mm:.2} mm long. Give a distance between the two"
    )]
    NotchBeyondEdge {
        /// The edge.
        edge: EdgeId,
        /// Where the notch is said to be.
        distance_mm: f64,
        /// How long the edge is.
        length_mm: f64,
    },
    /// A notch measured from a corner that is no end of its edge.
    #[error(
        "the notch is measured from corner “{corner}”, which is no end of the edge “{edge}”. Use “{from}” or “{to}”"
    )]
    NotchCorner {
        /// The corner as written.
        corner: String,
        /// The edge.
        edge: EdgeId,
        /// Where that begins.
        from: String,
        /// Where it ends.
        to: String,
    },
    /// A dart that no edge takes up.
    #[error("no edge has the role DartMouth(\"{0}\"). Give it to the edge between the legs of the dart")]
    NoMouth(DartId),
    /// A dart with two mouths.
    #[error("two edges have the role DartMouth(\"{0}\"). A dart has one mouth")]
    TwoMouths(DartId),
    /// A dart pressed toward a corner that is no end of its mouth.
    #[error("the dart is pressed toward “{corner}”, which is no end of its mouth. Use “{from}” or “{to}”")]
    PressedElsewhere {
        /// The corner as written.
        corner: String,
        /// Where the mouth begins.
        from: String,
        /// Where it ends.
        to: String,
    },
    /// A line of no length.
    #[error("both ends are at the same place. Give it two different ends")]
    NoLength,
    /// Edges of a seam that do not follow each other.
    #[error(
        "on the piece “{piece}” the edge “{edge}” does not begin at corner “{corner}”, where the seam has come to. List the edges in the order of sewing"
    )]
    NotConsecutive {
        /// The piece of this side of the seam.
        piece: PieceId,
        /// The edge that does not follow.
        edge: EdgeId,
        /// Where the seam has come to.
        corner: String,
    },
    /// A dart mouth or fold named as part of a seam.
    #[error("the edge “{edge}” of the piece “{piece}” is {what}, which is not sewn to a mate. Leave it out")]
    NotSewn {
        /// The piece of this side of the seam.
        piece: PieceId,
        /// The edge.
        edge: EdgeId,
        /// What it is instead.
        what: &'static str,
    },
    /// Least ease above most.
    #[error("the least ease, {least_mm} mm, is more than the most, {most_mm} mm. Exchange them")]
    EaseOrder {
        /// As written.
        least_mm: f64,
        /// As written.
        most_mm: f64,
    },
    /// A measure that cannot be taken.
    #[error("{0}")]
    Measure(#[from] MeasureError),
    /// A measurement that no body has.
    #[error("a {of} of {length} is none that a body has. Write what the pattern's table of sizes says")]
    NoBody {
        /// Which.
        of: &'static str,
        /// As written.
        length: crate::geometry::Length,
    },
    /// Traces of an alteration in a pattern as bought.
    #[error("the piece carries traces of an alteration. A pattern holds its pieces as bought")]
    Altered,
}

fn suggestion(like: Option<&str>) -> String {
    like.map_or_else(|| ". Check the name".to_owned(), |like| format!(". Did you mean “{like}”?"))
}

impl fmt::Display for Part {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Whole => Ok(()),
            Self::Sizes => formatter.write_str("sizes"),
            Self::Allowance => formatter.write_str("allowances"),
            Self::Cuttings => formatter.write_str("cutting list"),
            Self::Edge(id) => write!(formatter, "edge “{id}”"),
            Self::Notch(id) => write!(formatter, "notch “{id}”"),
            Self::Dart(id) => write!(formatter, "dart “{id}”"),
            Self::Grainline => formatter.write_str("grainline"),
            Self::BalanceLine(id) => write!(formatter, "balance line “{id}”"),
            Self::DrillHole(name) => write!(formatter, "drill hole “{name}”"),
            Self::InnerLine(name) => write!(formatter, "inner line “{name}”"),
            Self::Text(words) => write!(formatter, "text “{words}”"),
            Self::Seam(id) => write!(formatter, "seam “{id}”"),
            Self::Measure(id) => write!(formatter, "measure “{id}”"),
            Self::Body(size) => write!(formatter, "body of size {size}"),
        }
    }
}

impl fmt::Display for PatternFault {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = [
            self.piece.as_ref().map(|id| format!("piece “{id}”")),
            self.size.as_ref().map(|id| format!("size {id}")),
            (self.part != Part::Whole).then(|| self.part.to_string()),
        ];
        let place: Vec<_> = place.into_iter().flatten().collect();
        if !place.is_empty() {
            write!(formatter, "{}: ", place.join(", "))?;
        }
        write!(formatter, "{}", self.kind)
    }
}

impl std::error::Error for PatternFault {}
