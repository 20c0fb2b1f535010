//! The aim itself: a solved position of the projector.

use super::error::{AimError, Corner};
use super::error_map::ErrorMap;
use super::homography::{Homography, stretch};
use super::lens::Lens;
use super::measured::{Measured, MeasuredMark, Tape, check_picture_size, pick_sigma_px, tape_sigma_mm};
use super::order::centroid;
use super::outliers::Outlier;
use super::parallax::ClothRise;
use super::residual_grid::{GridDoubt, ResidualGrid};
use super::solve::{Solved, solve};
use super::suspects::Suspect;
use crate::geometry::Point;

/// Where the light falls, for one position of the projector.
///
/// Every corner of the picture lands on the surface, the surface's origin is in front of the lens, and the
/// surface is seen the right way round: `solve` and `from_homography` refuse anything else.
#[derive(Debug, Clone, PartialEq)]
pub struct Aim {
    picture_size: (u32, u32),
    marks: Vec<Mark>,
    tapes: Vec<TapeFit>,
    readings: Vec<Tape>,
    suspects: Vec<Suspect>,
    pick_sigma_px: f64,
    tape_sigma_mm: f64,
    error_map: Option<ErrorMap>,
    is_provisional: bool,
    outliers: Vec<Outlier>,
    lens: Option<Lens>,
    grid: Option<ResidualGrid>,
    picture_from_surface: Homography,
    surface_from_picture: Homography,
    cloth: Option<ClothRise>,
    picture_from_cloth: Homography,
}

/// A mark of a solved aim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// Its place on the surface in mm, as given or as adjusted.
    pub surface: Point,
    /// Its pick in the picture, in px.
    pub picture: Point,
    /// Distance between the pick and where the aim puts the mark, in px.
    pub residual_px: f64,
    /// The same on the surface, in mm.
    pub residual_mm: f64,
    /// Whether its place came from tapes, now or in an earlier aim.
    pub from_tapes: bool,
    /// Whether its pick was predicted from the other marks.
    pub is_predicted: bool,
}

/// A tape of a solved aim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TapeFit {
    /// Number of the mark at one end, from 0.
    pub from: usize,
    /// Number of the mark at the other end.
    pub to: usize,
    /// The reading that was used, in mm: of two the mean, or the one that fits when they contradict each other.
    pub mm: f64,
    /// Distance of the marks' places less the reading, in mm.
    pub residual_mm: f64,
}

/// What one pixel covers on the surface, along the direction in which it covers most, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PixelPitch {
    /// In the middle of the picture.
    pub centre_mm: f64,
    /// At the picture's corners, in the order of [`Corner::ALL`].
    pub corners_mm: [f64; 4],
}

impl Aim {
    /// The aim that fits a measurement best.
    ///
    /// # Errors
    /// [`AimError`], naming marks by number, when the measurement gives no usable aim.
    pub fn solve(measured: &Measured) -> Result<Self, AimError> {
        let Solved { survey, guess, suspects, outliers, is_provisional } = solve(measured)?;
        let map = Homography::new(survey.matrix(&guess), centroid(&guess.places))?;
        let mut aim = Self::with_lens(measured.picture_size, map, guess.lens)?;
        aim.outliers = outliers;
        let mut doubt = None;
        if measured.residual_grid && !is_provisional {
            (aim.grid, doubt) = aim.left_over(measured, &guess.places).unzip();
        }
        let marks = guess.places.iter().zip(&measured.marks);
        aim.marks = marks.map(|(&surface, mark)| aim.mark(surface, mark)).collect::<Result<_, _>>()?;
        let fits = survey.tapes.iter().map(|reading| TapeFit {
            from: reading.from,
            to: reading.to,
            mm: reading.mm,
            residual_mm: reading.residual(&guess.places),
        });
        aim.tapes = fits.collect();
        aim.readings.clone_from(&measured.tapes);
        aim.suspects = suspects;
        aim.pick_sigma_px = measured.pick_sigma_px;
        aim.tape_sigma_mm = measured.tape_sigma_mm;
        aim.is_provisional = is_provisional;
        // What a turn predicts has no error of a pick's kind: a shift would not show at all.
        if !is_provisional {
            let grid = aim.grid.as_ref().zip(doubt.as_ref());
            aim.error_map = ErrorMap::of(&survey, &guess, grid, measured.picture_size);
        }
        aim.with_cloth(measured.cloth)
    }

    /// An aim whose map is known, without marks: a plain view for a desk, a made-up projector for a test.
    ///
    /// # Errors
    /// [`AimError::PictureSize`], [`AimError::BeyondHorizon`], [`AimError::OriginOutOfLight`], and
    /// [`AimError::Mirrored`] when y up on the surface does not go with y down in the picture.
    pub fn from_homography(
        picture_size: (u32, u32),
        picture_from_surface: Homography,
    ) -> Result<Self, AimError> {
        Self::with_lens(picture_size, picture_from_surface, None)
    }

    /// The same through a lens that bends.
    fn with_lens(
        picture_size: (u32, u32),
        picture_from_surface: Homography,
        lens: Option<Lens>,
    ) -> Result<Self, AimError> {
        check_picture_size(picture_size)?;
        let picture_from_surface = at_origin(&picture_from_surface)?;
        let back = picture_from_surface.matrix().inverse();
        let centre = centre(picture_size);
        for (corner, place) in Corner::ALL.into_iter().zip(corners(picture_size)) {
            let place = lens.map_or(place, |lens| lens.undistort(place));
            // w of the way back is 1/w of the way out: the same sign says that the corner's light goes forward.
            let lifted = back * glam::DVec3::new(place.x, place.y, 1.0);
            let lands = lifted.z > f64::EPSILON * lifted.truncate().length();
            if !lands {
                return Err(AimError::BeyondHorizon { corner });
            }
        }
        let surface_from_picture = Homography::new(back, centre)?;
        let turns_over =
            surface_from_picture.jacobian(centre).is_some_and(|jacobian| jacobian.determinant() < 0.0);
        if !turns_over {
            return Err(AimError::Mirrored { order: None });
        }
        Ok(Self {
            picture_size,
            marks: Vec::new(),
            tapes: Vec::new(),
            readings: Vec::new(),
            suspects: Vec::new(),
            pick_sigma_px: pick_sigma_px(),
            tape_sigma_mm: tape_sigma_mm(),
            error_map: None,
            is_provisional: false,
            outliers: Vec::new(),
            lens,
            grid: None,
            picture_from_surface,
            surface_from_picture,
            cloth: None,
            picture_from_cloth: picture_from_surface,
        })
    }

    /// The same aim with another cloth on the surface, or none.
    ///
    /// # Errors
    /// [`AimError::Cloth`] when its thickness or the lens's height can't be.
    pub fn with_cloth(&self, cloth: Option<ClothRise>) -> Result<Self, AimError> {
        let surface = self.picture_from_surface;
        let middle = self.surface_from_picture.map(centre(self.picture_size));
        let picture_from_cloth = cloth.map_or(Ok(surface), |cloth| {
            cloth.picture_from_cloth(&surface, middle.unwrap_or(Point::ORIGIN))
        })?;
        Ok(Self { cloth, picture_from_cloth, ..self.clone() })
    }

    fn mark(&self, surface: Point, measured: &MeasuredMark) -> Result<Mark, AimError> {
        let picture = Point::from(measured.picture);
        let out = self.picture_of(surface);
        let back = self.surface_of(picture);
        let (Some(out), Some(back)) = (out, back) else {
            return Err(super::HomographyError::Degenerate.into());
        };
        Ok(Mark {
            surface,
            picture,
            residual_px: out.distance(picture),
            residual_mm: back.distance(surface),
            from_tapes: !measured.is_certain(),
            is_predicted: measured.is_predicted,
        })
    }

    /// The aim after the pick of one mark moved by a few pixels: the marks keep their places on the surface, so
    /// a bumped projector is aimed again without a tape.
    ///
    /// # Errors
    /// [`AimError::UnknownMark`], or what [`Self::solve`] refuses.
    pub fn nudged(&self, mark: usize, dx_px: f64, dy_px: f64) -> Result<Self, AimError> {
        let mut measured = self.measured();
        let count = measured.marks.len();
        let moved = measured.marks.get_mut(mark).ok_or(AimError::UnknownMark { mark, count })?;
        moved.picture.0 += dx_px;
        moved.picture.1 += dy_px;
        moved.is_predicted = false;
        Self::solve(&measured)
    }

    /// The measurement that gives this aim again: every mark with its place, tapes kept as checks.
    #[must_use]
    pub fn measured(&self) -> Measured {
        let mark = |mark: &Mark| MeasuredMark {
            picture: mark.picture.into(),
            surface: Some(mark.surface.into()),
            from_tapes: mark.from_tapes,
            is_predicted: mark.is_predicted,
        };
        Measured {
            picture_size: self.picture_size,
            marks: self.marks.iter().map(mark).collect(),
            tapes: self.readings.clone(),
            pick_sigma_px: self.pick_sigma_px,
            tape_sigma_mm: self.tape_sigma_mm,
            cloth: self.cloth,
            residual_grid: self.grid.is_some(),
            lens: self.lens,
        }
    }

    /// Width and height of the picture in px.
    #[must_use]
    pub const fn picture_size(&self) -> (u32, u32) {
        self.picture_size
    }

    /// The marks, in the order in which they were measured; none for an aim made from a map.
    #[must_use]
    pub fn marks(&self) -> &[Mark] {
        &self.marks
    }

    /// Standard deviation of a pick in x and in y, in px.
    #[must_use]
    pub const fn pick_sigma_px(&self) -> f64 {
        self.pick_sigma_px
    }

    /// The tapes with their residuals, in the order in which they were read.
    #[must_use]
    pub fn tapes(&self) -> &[TapeFit] {
        &self.tapes
    }

    /// Tape readings that may be wrong, the likeliest first; none when all fit as well as chance lets them.
    #[must_use]
    pub fn suspects(&self) -> &[Suspect] {
        &self.suspects
    }

    /// Whether it rests on predicted marks: good for the look of things, not to cut by.
    #[must_use]
    pub const fn is_provisional(&self) -> bool {
        self.is_provisional
    }

    /// How uncertain the aim is; `None` for an aim made from a map, and for a provisional one.
    #[must_use]
    pub const fn error_map(&self) -> Option<&ErrorMap> {
        self.error_map.as_ref()
    }

    /// Marks that fit the others worse than chance lets them, the worst first. They count in the aim all the same.
    #[must_use]
    pub fn outliers(&self) -> &[Outlier] {
        &self.outliers
    }

    /// The lens's distortion, where it bends: drawn is [`Self::picture_from_cloth`], then [`Lens::distort`].
    #[must_use]
    pub const fn lens(&self) -> Option<Lens> {
        self.lens
    }

    /// Where a place of the surface (mm) is lit in the picture (px), lens and all; `None` behind the horizon.
    #[must_use]
    pub fn picture_of(&self, surface: Point) -> Option<Point> {
        Some(self.bent(self.picture_from_surface.map(surface)?))
    }

    /// Which place of the surface (mm) a place of the picture (px) lights, lens and all.
    #[must_use]
    pub fn surface_of(&self, picture: Point) -> Option<Point> {
        self.surface_from_picture.map(self.straightened(picture))
    }

    /// Where the same light would be with a straight lens and nothing left over, in px: what the maps are for.
    #[must_use]
    pub fn straightened(&self, picture: Point) -> Point {
        let lit = self.grid.as_ref().map_or(picture, |grid| grid.replace(picture));
        self.lens.map_or(lit, |lens| lens.undistort(lit))
    }

    /// Where light must go that the maps throw at `ideal`, in px: through the lens, and displaced by the residual grid.
    #[must_use]
    pub fn bent(&self, ideal: Point) -> Point {
        let lit = self.lens.map_or(ideal, |lens| lens.distort(ideal));
        self.grid.as_ref().map_or(lit, |grid| grid.displace(lit))
    }

    /// What map and lens leave over, where a grid of it was asked for.
    #[must_use]
    pub const fn residual_grid(&self) -> Option<&ResidualGrid> {
        self.grid.as_ref()
    }

    /// The grid of what the picked marks are off by.
    fn left_over(&self, measured: &Measured, places: &[Point]) -> Option<(ResidualGrid, GridDoubt)> {
        let picked = measured.marks.iter().zip(places).filter(|(mark, _)| !mark.is_predicted);
        let pairs: Vec<(Point, Point)> = picked
            .map(|(mark, &place)| Some((self.picture_of(place)?, mark.picture.into())))
            .collect::<Option<_>>()?;
        let (lit, picks): (Vec<Point>, Vec<Point>) = pairs.into_iter().unzip();
        ResidualGrid::of(self.picture_size, &lit, &picks)
    }

    /// Surface mm to picture px of a straight lens, scaled so that w = 1 at the surface's origin.
    #[must_use]
    pub const fn picture_from_surface(&self) -> Homography {
        self.picture_from_surface
    }

    /// Top of the cloth (mm) to picture px: what is drawn goes through this. Without a cloth it is the surface's map.
    #[must_use]
    pub const fn picture_from_cloth(&self) -> Homography {
        self.picture_from_cloth
    }

    /// The cloth whose thickness is allowed for.
    #[must_use]
    pub const fn cloth(&self) -> Option<ClothRise> {
        self.cloth
    }

    /// Picture px to surface mm, w > 0 all over the picture.
    #[must_use]
    pub const fn surface_from_picture(&self) -> Homography {
        self.surface_from_picture
    }

    /// The picture's corners on the surface in mm, in the order of [`Corner::ALL`]: the ground that light covers.
    #[must_use]
    pub fn lit_quad(&self) -> [Point; 4] {
        // Corners were proved to land when the aim was made.
        corners(self.picture_size).map(|corner| self.surface_of(corner).unwrap_or(Point::ORIGIN))
    }

    /// What one pixel covers on the surface around a place of the picture (px), along the direction in which it
    /// covers most, in mm; `None` where the light goes past the surface.
    #[must_use]
    pub fn pixel_pitch_at(&self, picture: Point) -> Option<f64> {
        let ideal = self.straightened(picture);
        let jacobian = self.surface_from_picture.jacobian(ideal)?;
        let unbent = self.lens.map_or(jacobian, |lens| jacobian * lens.jacobian(ideal).inverse());
        Some(stretch(unbent).0)
    }

    /// Pixel pitch in the middle and at the corners of the picture.
    #[must_use]
    pub fn pixel_pitch(&self) -> PixelPitch {
        let pitch = |place| self.pixel_pitch_at(place).unwrap_or(0.0);
        PixelPitch {
            centre_mm: pitch(centre(self.picture_size)),
            corners_mm: corners(self.picture_size).map(pitch),
        }
    }
}

fn centre((width, height): (u32, u32)) -> Point {
    Point::new(f64::from(width) / 2.0, f64::from(height) / 2.0)
}

/// Corners of the picture in px, in the order of [`Corner::ALL`].
pub(super) fn corners((width, height): (u32, u32)) -> [Point; 4] {
    let (w, h) = (f64::from(width), f64::from(height));
    [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)].map(Point::from)
}

/// The same map with w = 1 at the surface's origin.
fn at_origin(map: &Homography) -> Result<Homography, AimError> {
    let w = map.lift(Point::ORIGIN).z;
    let mut matrix = map.matrix() * w.recip();
    matrix.z_axis.z = 1.0;
    if w > 0.0 && matrix.is_finite() {
        Ok(Homography::new(matrix, Point::ORIGIN)?)
    } else {
        Err(AimError::OriginOutOfLight)
    }
}
