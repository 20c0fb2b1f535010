//! A ruler in the picture.

use crate::geometry::{Length, Point, Unit};
use std::str::FromStr;

/// Two places in a picture whose distance is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Ruler {
    /// One place, in pixels from the upper left corner, y down.
    pub from_px: Point,
    /// The other.
    pub to_px: Point,
    /// How far they are apart.
    pub apart: Length,
}

impl Ruler {
    /// Millimetres in a pixel; nothing when the places are one.
    #[must_use]
    pub fn mm_per_pixel(&self) -> Option<f64> {
        let px = self.from_px.distance(self.to_px);
        (px >= 1.0 && self.apart.mm() > 0.0).then(|| self.apart.mm() / px)
    }
}

impl FromStr for Ruler {
    type Err = String;

    /// `120,300 1320,300 = 100 mm`.
    fn from_str(text: &str) -> Result<Self, String> {
        let how = || format!("“{text}” is no ruler. Say it as “x,y x,y = 100 mm”, places in pixels");
        let (places, apart) = text.split_once('=').ok_or_else(how)?;
        let place = |text: &str| -> Option<Point> {
            let (x, y) = text.split_once(',')?;
            let point = Point::new(x.trim().parse().ok()?, y.trim().parse().ok()?);
            point.is_finite().then_some(point)
        };
        let mut found = places.split_whitespace().map(place);
        let (Some(Some(from_px)), Some(Some(to_px)), None) = (found.next(), found.next(), found.next())
        else {
            return Err(how());
        };
        let apart = Length::parse(apart.trim(), Some(Unit::Mm)).map_err(|error| error.to_string())?;
        Ok(Self { from_px, to_px, apart })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ruler_is_two_places_and_a_distance_in_any_unit() {
        let ruler: Ruler = "100,50 400,450 = 100 mm".parse().unwrap();
        assert!((ruler.mm_per_pixel().unwrap() - 0.2).abs() < 1e-12);
        let inches: Ruler = "0,0 300,0=1 in".parse().unwrap();
        assert!((inches.mm_per_pixel().unwrap() - 25.4 / 300.0).abs() < 1e-12);
        for bad in ["", "1,1 2,2", "1 2 = 3 mm", "1,1 2,2 3,3 = 4 mm", "1,1 2,2 = far", "1,nan 2,2 = 3 mm"] {
            assert!(bad.parse::<Ruler>().is_err(), "{bad}");
        }
        let nothing: Ruler = "1,1 1,1 = 3 mm".parse().unwrap();
        assert_eq!(nothing.mm_per_pixel(), None);
    }
}
