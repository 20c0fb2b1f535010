//! Why a cloth can't be cut in stands, or not from where it lies, and what to do about it.

/// Why there are no stands, or no motion from one to the next. Stands and crosses are numbered from 0, and from 1 in
/// words.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StandError {
    /// Nothing to cut, or no numbers.
    #[error("the outline to cut in stands has no size; choose a piece or a lay first")]
    NoOutline,
    /// No usable light.
    #[error(
        "a picture of {width_mm:.0} × {height_mm:.0} mm with {overlap_mm:.0} mm of overlap leaves nothing for the \
         next stand; use a smaller overlap or a larger picture"
    )]
    PictureTooSmall {
        /// Width of the lit rectangle in mm.
        width_mm: f64,
        /// Its height in mm.
        height_mm: f64,
        /// The overlap asked for, in mm.
        overlap_mm: f64,
    },
    /// More stands than anybody would cut in.
    #[error(
        "that would take {count} stands of the cloth, more than {most}; check the size of the piece and of the picture"
    )]
    TooMany {
        /// How many stands.
        count: usize,
        /// How many are made at most.
        most: usize,
    },
    /// No place for the crosses.
    #[error(
        "stands {} and {} share no room for two crosses {apart_mm:.0} mm apart and clear of the cutting lines; use a \
         greater overlap", first + 1, second + 1
    )]
    NoRoomForCrosses {
        /// The one stand.
        first: usize,
        /// The other.
        second: usize,
        /// How far apart crosses have to be, in mm.
        apart_mm: f64,
    },
    /// Too few crosses.
    #[error("{count} crosses do not hold the cloth; pick two or more, the further apart the better")]
    TooFewCrosses {
        /// How many were picked.
        count: usize,
    },
    /// Too few crosses for a new aim.
    #[error(
        "{count} crosses make no aim; when the projector was moved and the cloth stayed, bring {least} lights onto their \
         crosses"
    )]
    TooFewForAim {
        /// How many were found.
        count: usize,
        /// How many it takes.
        least: usize,
    },
    /// Picks and crosses that do not pair off.
    #[error("there are {crosses} crosses and {picks} picks; pick every cross once, in their order")]
    Unpaired {
        /// How many crosses.
        crosses: usize,
        /// How many picks.
        picks: usize,
    },
    /// Crosses that hold no turn.
    #[error(
        "crosses {} and {} are only {distance_mm:.0} mm apart, and a cloth held by them could turn; pick two that are \
         {apart_mm:.0} mm apart or more", first + 1, second + 1
    )]
    CrossesTooClose {
        /// The one cross.
        first: usize,
        /// The other.
        second: usize,
        /// Their distance on the cloth, in mm.
        distance_mm: f64,
        /// How far apart they have to be, in mm.
        apart_mm: f64,
    },
    /// A pick that is no place of the surface.
    #[error("the pick of cross {} is at no place where light falls; pick it again inside the picture", cross + 1)]
    OutOfLight {
        /// The cross.
        cross: usize,
    },
    /// The crosses' distance changed.
    #[error(
        "crosses {} and {} are {:.1} mm {} than before ({was_mm:.1} mm then, {is_mm:.1} mm now): the cloth is \
         stretched or a cross is picked wrongly; smooth the cloth and pick both again. If every move says the same, \
         the aim bends: aim again with more marks", first + 1, second + 1,
         (is_mm - was_mm).abs(), if is_mm > was_mm { "further apart" } else { "closer together" }
    )]
    Stretched {
        /// The one cross.
        first: usize,
        /// The other.
        second: usize,
        /// Their distance when they were laid, in mm.
        was_mm: f64,
        /// Their distance now, in mm.
        is_mm: f64,
    },
    /// One cross of three or more does not fit the others.
    #[error(
        "cross {} is {off_mm:.1} mm off from where the other crosses put it: it is picked wrongly, or the cloth is \
         creased there; smooth the cloth and pick it again", cross + 1
    )]
    CrossOff {
        /// The cross.
        cross: usize,
        /// How far off it is, in mm.
        off_mm: f64,
    },
}
