//! Why measurements make no aim, and what to do about it.

use super::{HomographyError, Suspect};
use std::fmt;

/// Where a fault of a mark was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Plane {
    /// In the projector's picture (px).
    Picture,
    /// On the surface (mm).
    Surface,
}

impl Plane {
    /// The unit of its coordinates.
    const fn unit(self) -> &'static str {
        match self {
            Self::Picture => "px",
            Self::Surface => "mm",
        }
    }
}

impl fmt::Display for Plane {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Picture => "in the picture",
            Self::Surface => "on the surface",
        })
    }
}

/// A corner of the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Corner {
    /// x = 0, y = 0.
    TopLeft,
    /// x = width, y = 0.
    TopRight,
    /// x = width, y = height.
    BottomRight,
    /// x = 0, y = height.
    BottomLeft,
}

impl Corner {
    /// All four, clockwise as the picture is seen, in the order in which reports list them.
    pub const ALL: [Self; 4] = [Self::TopLeft, Self::TopRight, Self::BottomRight, Self::BottomLeft];
}

impl fmt::Display for Corner {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::TopLeft => "top left",
            Self::TopRight => "top right",
            Self::BottomRight => "bottom right",
            Self::BottomLeft => "bottom left",
        })
    }
}

/// Why measurements make no aim. Marks are numbered from 0, as in the list of marks.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AimError {
    /// Fewer than four marks.
    #[error("an aim needs four marks or more, and there are {count}; pick and measure more marks")]
    TooFewMarks {
        /// How many there are.
        count: usize,
    },
    /// Too few marks found again after a bump.
    #[error(
        "{count} marks are on their crosses; place two for a provisional aim, and four for one to cut by"
    )]
    TooFewMarksFound {
        /// How many are.
        count: usize,
    },
    /// Too few marks for a grid of what is left over.
    #[error(
        "a residual grid of {count} marks would fit their noise; pick {least} or more, spread over the picture, or leave \
         it out"
    )]
    TooFewForGrid {
        /// How many marks were picked.
        count: usize,
        /// How many it takes.
        least: usize,
    },
    /// More marks than are taken.
    #[error("{count} marks are more than the {most} an aim takes; leave some out, keeping the outermost")]
    TooManyMarks {
        /// How many there are.
        count: usize,
        /// How many are taken.
        most: usize,
    },
    /// A picture with no area, or wider than any.
    #[error("a picture of {width} × {height} px cannot be; give the projector's native resolution")]
    PictureSize {
        /// Width in px.
        width: u32,
        /// Height in px.
        height: u32,
    },
    /// A standard deviation that can't be.
    #[error(
        "a {what} can't be uncertain by {sigma} {unit}; give a standard deviation between 0.001 and 100 {unit}"
    )]
    Sigma {
        /// Of what.
        what: &'static str,
        /// The number given.
        sigma: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// A coordinate that is not a number or is out of all proportion.
    #[error("mark {mark} {plane}: its place must be two numbers within ±{limit} {}; enter it again", plane.unit())]
    MarkOutOfReach {
        /// The mark.
        mark: usize,
        /// Which of its two places.
        plane: Plane,
        /// Largest size of a coordinate, in px or mm.
        limit: f64,
    },
    /// A tape reading that is no length.
    #[error(
        "the tape from mark {from} to mark {to} reads {mm} mm, which is no length between 0.1 mm and 100 m; \
         read it again, in mm"
    )]
    TapeReading {
        /// One end.
        from: usize,
        /// The other end.
        to: usize,
        /// The reading.
        mm: f64,
    },
    /// A mark that is not in the list.
    #[error("there is no mark {mark}: the {count} marks are numbered from 0 to {}", count.saturating_sub(1))]
    UnknownMark {
        /// The number asked for.
        mark: usize,
        /// How many marks there are.
        count: usize,
    },
    /// A tape from a mark to the same mark.
    #[error("a tape goes from mark {mark} to itself; name the mark at its other end")]
    TapeToItself {
        /// The mark.
        mark: usize,
    },
    /// Neither places nor tapes.
    #[error(
        "nothing says where the marks are on the surface; tape the four sides and both diagonals, or give places"
    )]
    NothingMeasured,
    /// A mark with neither a place nor a tape.
    #[error(
        "mark {mark} has no place on the surface and no tape; give its place, or tape it to two other marks"
    )]
    Unplaced {
        /// The mark.
        mark: usize,
    },
    /// Too few tapes, or all along one line: the shape can give.
    #[error(
        "the tapes leave the marks free to move: mark {mark} is not held; tape also from mark {from} to mark {to}"
    )]
    NotRigid {
        /// The mark that can move most.
        mark: usize,
        /// One end of the tape that would hold it best.
        from: usize,
        /// Its other end.
        to: usize,
    },
    /// Two marks in one place.
    #[error("marks {first} and {second} are in the same place {plane}; pick or measure one of them again")]
    Repeated {
        /// The one mark.
        first: usize,
        /// The other mark.
        second: usize,
        /// Where they coincide.
        plane: Plane,
    },
    /// Too many marks on one line.
    #[error(
        "marks {} lie on one line {plane}; use four marks of which no three are in line, best near the corners \
         of the picture",
        Numbers(marks)
    )]
    Collinear {
        /// Marks on the line.
        marks: Vec<usize>,
        /// Where they do.
        plane: Plane,
    },
    /// The marks go round in different orders in the picture and on the surface.
    #[error("the marks are crossed: {}", offer(order.as_deref(), marks))]
    Crossed {
        /// The marks that fit worst.
        marks: Vec<usize>,
        /// The order that works, if one is found: mark i should take the pick of mark `order[i]`
        /// (`Measured::with_picks_in_order`).
        order: Option<Vec<usize>>,
    },
    /// The marks go round the other way in the picture than on the surface.
    #[error(
        "the picture shows the marks as in a mirror: {}; if the marks are right, switch over the projector's \
         rear-projection (mirror) setting and pick them again", offer(order.as_deref(), &[])
    )]
    Mirrored {
        /// The order that works, if one is found, as in `Crossed`.
        order: Option<Vec<usize>>,
    },
    /// Three tapes that close no triangle.
    #[error(
        "the tapes between marks {}, {} and {} close no triangle: {mm:.1} mm from mark {from} to mark {to} is \
         longer than the other two together ({others_mm:.1} mm); read the three tapes again",
        marks[0], marks[1], marks[2]
    )]
    BrokenTriangle {
        /// The three marks.
        marks: [usize; 3],
        /// One end of the longest tape.
        from: usize,
        /// Its other end.
        to: usize,
        /// Its reading in mm.
        mm: f64,
        /// Sum of the other two readings in mm.
        others_mm: f64,
    },
    /// Readings that fit no shape.
    #[error(
        "the tapes do not fit together: at best the one from mark {from} to mark {to} ({mm:.1} mm) is off by \
         {:.1} mm, and the wrong one may be any of them{}; read every tape a second time", residual_mm.abs(),
        guesses(suspects)
    )]
    TapesDisagree {
        /// One end of the tape that fits worst.
        from: usize,
        /// Its other end.
        to: usize,
        /// Its reading in mm.
        mm: f64,
        /// Fitted distance less reading, in mm.
        residual_mm: f64,
        /// Readings that may be wrong, the likeliest first.
        suspects: Vec<Suspect>,
    },
    /// Two readings of one tape, of which nothing tells the right one.
    #[error(
        "the tape from mark {from} to mark {to} reads {first_mm:.1} mm and then {second_mm:.1} mm; read it a third \
         time and enter the two readings that agree"
    )]
    ReadingsDiffer {
        /// One end.
        from: usize,
        /// The other end.
        to: usize,
        /// The first reading in mm.
        first_mm: f64,
        /// The second reading in mm.
        second_mm: f64,
    },
    /// A reading between marks whose places are given.
    #[error(
        "the tape from mark {from} to mark {to} reads {mm:.1} mm, but the places given for them are \
         {places_mm:.1} mm apart; read the tape again or correct a place"
    )]
    TapeAgainstPlaces {
        /// One end.
        from: usize,
        /// The other end.
        to: usize,
        /// The reading in mm.
        mm: f64,
        /// Distance between the given places, in mm.
        places_mm: f64,
    },
    /// A mark that does not fit the others at all.
    #[error(
        "mark {mark} is {residual_mm:.0} mm off from where the others put it; pick and measure it again first"
    )]
    MarkOff {
        /// The mark that fits worst.
        mark: usize,
        /// How far off it is on the surface, in mm.
        residual_mm: f64,
    },
    /// Cloth or a lens of no usable height.
    #[error(
        "a lens {lens_height_mm} mm above the surface can't light cloth {thickness_mm} mm thick; tape from the \
         surface straight up to the lens, and give both (and the place under the lens, if any) in mm"
    )]
    Cloth {
        /// Thickness given, in mm.
        thickness_mm: f64,
        /// Height given, in mm.
        lens_height_mm: f64,
    },
    /// A lens whose distortion can't be.
    #[error(
        "a lens that displaces light by {radial} of its distance from the centre at {reach_px} px would fold the \
         picture; leave `lens` out, and it is found from nine marks or more"
    )]
    Lens {
        /// The radial coefficient.
        radial: f64,
        /// The distance that it is for, in px.
        reach_px: f64,
    },
    /// Part of the picture would never reach the surface.
    #[error(
        "by these marks the {corner} corner of the picture never lands on the surface; use marks nearer the \
         corners of the picture, and measure them again"
    )]
    BeyondHorizon {
        /// The corner.
        corner: Corner,
    },
    /// The origin of the surface is not in front of the lens.
    #[error(
        "the surface's origin (0, 0) lies where no light can fall; count the places from one of the marks instead"
    )]
    OriginOutOfLight,
    /// A map that flattens the surface.
    #[error(transparent)]
    Homography(#[from] HomographyError),
}

/// Numbers as a person lists them: "0, 1 and 2".
struct Numbers<'a>(&'a [usize]);

impl fmt::Display for Numbers<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, number) in self.0.iter().enumerate() {
            match index {
                0 => {}
                _ if index + 1 == self.0.len() => f.write_str(" and ")?,
                _ => f.write_str(", ")?,
            }
            write!(f, "{number}")?;
        }
        Ok(())
    }
}

/// What to do about marks in the wrong order.
fn offer(order: Option<&[usize]>, worst: &[usize]) -> String {
    match order {
        Some(order) => format!("the picks fit when taken in the order {}", Numbers(order)),
        None if worst.is_empty() => {
            "pick the marks again, in the order in which they were measured".to_owned()
        }
        None => format!("no exchange of picks helps; pick and measure marks {} again", Numbers(worst)),
    }
}

/// The likeliest wrong readings, as a remark.
fn guesses(suspects: &[Suspect]) -> String {
    let guess = |suspect: &Suspect| {
        let Suspect { from, to, should_read_mm } = suspect;
        format!("from mark {from} to mark {to} {should_read_mm:.0} mm")
    };
    let most: Vec<String> = suspects.iter().take(3).map(guess).collect();
    if most.is_empty() {
        return String::new();
    }
    format!(" (if only one is wrong it should read, likeliest first: {})", most.join(", or "))
}
