//! The phase of a print: what two places lack to show the same, along and across, and which bands a centre is to lie on.
//!
//! Space: the print before it was turned to its angle, in mm.

use crate::cloth::{Bars, FoldWay, Lattice, MirrorLines, Motif, MotifWay, Print, Repeat, Unlike};
use crate::geometry::{Affine, Point, Vec2};
use crate::lay::CentreOn;

/// The print as seams see it.
pub(in crate::lay) struct Phases {
    pub(in crate::lay) print_from_sheet: Affine,
    /// What repeats across: a period in mm, and the print that is mirrored.
    pub(super) across: Option<(f64, Print)>,
    along: Along,
    /// The whole repeat, before the print was turned.
    pub(in crate::lay) repeat: Repeat,
    /// The half turn that brings the unturned print upon itself.
    pub(super) half_turn: Option<Affine>,
    /// Where a motif that is alone stands across, and the distance of its columns.
    columns: Option<(f64, f64)>,
}

enum Along {
    Nothing,
    Period(f64),
    Lattice(Lattice),
}

impl Phases {
    pub(in crate::lay) fn of(print: &Print) -> Self {
        let sound = |bars: &Option<Bars>| bars.clone().filter(Bars::is_sound);
        let (lengthwise, crosswise) = (sound(&print.lengthwise), sound(&print.crosswise));
        let motif = print.motif.filter(|motif| motif.lattice().is_sound());
        let unturned =
            Print { lengthwise: lengthwise.clone(), crosswise: crosswise.clone(), motif, ..Print::default() };
        let repeat = unturned.repeat();
        let along = match (&crosswise, motif, repeat) {
            (Some(_), Some(_), Repeat::Lattice(both)) => Along::Lattice(both),
            (Some(bars), ..) => Along::Period(bars.period_mm()),
            (None, Some(motif), _) => Along::Lattice(motif.lattice()),
            (None, None, _) => Along::Nothing,
        };
        // Over a seam the order of bars counts; a motif alone is matched by its places.
        let across = match (lengthwise, motif) {
            (Some(bars), _) => Some((bars.period_mm(), Print { lengthwise: Some(bars), ..Print::default() })),
            (None, Some(motif)) => motif.lattice().column_pitch_mm().map(|pitch| {
                let places = Motif { way: MotifWay::NoWay, mirrors: true, ..motif };
                let motif = Some(places);
                (pitch, Print { motif, ..Print::default() })
            }),
            (None, None) => None,
        };
        let columns = match (&unturned.lengthwise, &unturned.crosswise, motif) {
            (None, None, Some(motif)) => Some(motif.origin.y).zip(motif.lattice().column_pitch_mm()),
            _ => None,
        };
        let centre = unturned.half_turn_centre().ok();
        Self {
            print_from_sheet: print.print_from_sheet(),
            across,
            along,
            repeat,
            columns,
            half_turn: centre.map(|centre| Affine::rotate_about(std::f64::consts::PI, centre)),
        }
    }

    pub(in crate::lay) fn along_error(&self, way: Vec2) -> Option<f64> {
        match &self.along {
            Along::Nothing => None,
            Along::Period(period) => Some(way.x - (way.x / period).round() * period),
            Along::Lattice(lattice) => lattice.level_error_mm(way),
        }
    }

    /// What two places across lack to have the same phase.
    pub(super) fn across_error(&self, way: f64) -> Option<f64> {
        let (period, _) = self.across.as_ref()?;
        Some(way - (way / period).round() * period)
    }

    /// Where between the mirror lines around a place it lies, as twice the way to the nearest.
    pub(super) fn mirror_error(&self, middle: f64) -> Result<Option<f64>, Unlike> {
        let Some((period, print)) = &self.across else {
            return Ok(None);
        };
        let lines = print.mirror_lines(FoldWay::Lengthwise, middle - period, middle + period);
        match lines {
            MirrorLines::Nowhere(unlike) => Err(unlike),
            lines => {
                let error = lines.phase_error(middle);
                // Between the columns of a half-drop it is its own mirror image, moved by half a drop along.
                let columns =
                    |mm: f64| self.columns.map_or(mm, |(_, pitch)| mm - (mm / pitch).round() * pitch);
                Ok(error.map(columns))
            }
        }
    }

    /// The way whose level is that of two places which mirror each other, neither of them known by its centre.
    pub(super) fn mirrored_level(&self, places: [Point; 2]) -> Vec2 {
        let along = places[0].x - places[1].x;
        let columns = self.columns.map_or(0.0, |(origin, _)| places[0].y + places[1].y - 2.0 * origin);
        Vec2::new(along, columns)
    }
}

/// Bands of which one lies on every centre.
pub(in crate::lay) struct CentreBands {
    middle: f64,
    period: f64,
}

impl CentreBands {
    /// How far a point of the unturned print lies off the middle of the nearest band, across the cloth, in mm.
    pub(in crate::lay) fn error(&self, on_print: Point) -> f64 {
        let off = on_print.y - self.middle;
        off - (off / self.period).round() * self.period
    }
}

/// The bands that a choice means; the columns of a motif, or the ground between them, where there are no bars along
/// the cloth.
///
/// # Errors
/// The number chosen, where there are not so many bars.
pub(in crate::lay) fn centre_bands(print: &Print, choice: CentreOn) -> Result<Option<CentreBands>, u32> {
    if choice == CentreOn::Anything {
        return Ok(None);
    }
    if let Some(bars) = print.lengthwise.as_ref().filter(|bars| bars.is_sound()) {
        let band = match choice {
            CentreOn::WidestBar => bars.widest_bar().and_then(|number| bars.bar(number)),
            CentreOn::WidestGap => bars.widest_gap().and_then(|number| bars.gap(number)),
            CentreOn::Bar(number) => Some(bars.bar(number).ok_or(number)?),
            CentreOn::Gap(number) => Some(bars.gap(number).ok_or(number)?),
            CentreOn::Anything => None,
        };
        return Ok(band.map(|band| CentreBands { middle: band.middle_mm, period: bars.period_mm() }));
    }
    let motif = print.motif.as_ref();
    let columns = motif.and_then(|motif| Some((motif.origin.y, motif.lattice().column_pitch_mm()?)));
    Ok(columns.map(|(origin, pitch)| {
        let between = matches!(choice, CentreOn::WidestGap | CentreOn::Gap(_));
        CentreBands { middle: if between { origin + 0.5 * pitch } else { origin }, period: pitch }
    }))
}
