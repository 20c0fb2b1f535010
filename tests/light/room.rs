//! A simulated room: a projector on a ceiling over a plane, as rotations and a pinhole.
//!
//! It tells where each place of the surface truly falls in the picture and knows nothing of homographies. The
//! projector is a pinhole camera run backwards (Hartley and Zisserman, Multiple View Geometry, 2nd ed.,
//! chapter 6): focal length in px = throw ratio × width in px, since throw ratio is distance by picture width.

use chalkbeam::aim::{Aim, Homography, Measured, MeasuredMark};
use chalkbeam::geometry::Point;
use glam::DVec3;

/// A repeatable stream of numbers (SplitMix64: Steele, Lea, Flood, OOPSLA 2014).
pub(crate) struct Dice(pub u64);

impl Dice {
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        #[expect(clippy::cast_precision_loss, reason = "53 bits are kept")]
        let share = (z >> 11) as f64 / (1_u64 << 53) as f64;
        low + share * (high - low)
    }
}

/// A projector in a place. The surface is the plane z = 0, in mm.
#[derive(Debug, Clone)]
pub(crate) struct Room {
    pub(crate) size: [u32; 2],
    lens: DVec3,
    right: DVec3,
    down: DVec3,
    forward: DVec3,
    focal_px: f64,
    centre_px: [f64; 2],
}

impl Room {
    /// A room by its number: every second one tilts more than 15°, every sixth one projects 4K.
    pub(crate) fn numbered(number: u64) -> Self {
        let mut dice = Dice(number);
        let size = if number % 6 == 5 { [3840, 2160] } else { [1920, 1080] };
        let [width, height] = size.map(f64::from);
        let throw = dice.between(1.2, 2.2);
        let tilt = dice.between(0.0, 30.0_f64.to_radians());
        // Which way it leans, and how it is turned about its own axis.
        let lean = dice.between(0.0, std::f64::consts::TAU);
        let roll = dice.between(-0.3, 0.3);
        let axis = DVec3::new(lean.cos(), lean.sin(), 0.0);
        let turn = |v: DVec3| rotate(rotate(v, DVec3::NEG_Z, roll), axis, tilt);
        Self {
            size,
            lens: DVec3::new(
                dice.between(-300.0, 300.0),
                dice.between(-300.0, 300.0),
                dice.between(1700.0, 2700.0),
            ),
            right: turn(DVec3::X),
            down: turn(DVec3::NEG_Y),
            forward: turn(DVec3::NEG_Z),
            focal_px: throw * width,
            centre_px: [width * (0.5 + dice.between(-0.1, 0.1)), height * (0.5 + dice.between(-0.5, 0.5))],
        }
    }

    /// Where the light for a place of the surface leaves the picture.
    pub(crate) fn picture_from_surface(&self, place: Point) -> Point {
        let ray = DVec3::new(place.x, place.y, 0.0) - self.lens;
        let depth = ray.dot(self.forward);
        assert!(depth > 0.0, "{place} is behind the lens");
        Point::new(
            self.centre_px[0] + self.focal_px * ray.dot(self.right) / depth,
            self.centre_px[1] + self.focal_px * ray.dot(self.down) / depth,
        )
    }

    /// Where a pixel's light falls.
    pub(crate) fn surface_from_picture(&self, pixel: Point) -> Point {
        let ray = self.forward
            + self.right * ((pixel.x - self.centre_px[0]) / self.focal_px)
            + self.down * ((pixel.y - self.centre_px[1]) / self.focal_px);
        assert!(ray.z < 0.0, "{pixel} shines past the surface");
        let place = self.lens - ray * (self.lens.z / ray.z);
        Point::new(place.x, place.y)
    }

    /// The aim that the program makes of four marks, a twentieth in from the picture's corners: their pixels and
    /// their true places. The one place where the marks become an aim.
    pub(crate) fn aim(&self) -> Homography {
        let [width, height] = self.size.map(f64::from);
        let marks = [(0.05, 0.05), (0.95, 0.05), (0.95, 0.95), (0.05, 0.95)].map(|(x, y)| {
            let pixel = Point::new(x * width, y * height);
            let place = self.surface_from_picture(pixel);
            MeasuredMark::new(pixel.into(), Some(place.into()))
        });
        let measured = Measured::new((self.size[0], self.size[1]), marks.to_vec(), Vec::new());
        Aim::solve(&measured).unwrap().picture_from_surface()
    }
}

/// Rodrigues' rotation of `v` about the unit vector `axis`.
fn rotate(v: DVec3, axis: DVec3, angle: f64) -> DVec3 {
    v * angle.cos() + axis.cross(v) * angle.sin() + axis * axis.dot(v) * (1.0 - angle.cos())
}

#[test]
fn the_aim_of_four_marks_is_the_rooms_own_map() {
    for number in 0..50 {
        let room = Room::numbered(number);
        let aim = room.aim();
        let [width, height] = room.size.map(f64::from);
        for (x, y) in [(0.0, 0.0), (0.5, 0.5), (1.0, 0.3), (0.2, 1.0)] {
            let place = room.surface_from_picture(Point::new(x * width, y * height));
            let error = aim.map(place).unwrap() - room.picture_from_surface(place);
            assert!(error.hypot() < 1e-6, "room {number}: {error:?} px");
        }
    }
}

#[test]
fn a_room_is_not_mirrored() {
    // Upright and untilted, the surface's x goes right in the picture and its y goes up.
    for number in 0..50 {
        let room = Room::numbered(number);
        let [width, height] = room.size.map(f64::from);
        let centre = room.surface_from_picture(Point::new(width / 2.0, height / 2.0));
        let [o, x, y] = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)].map(|d| room.picture_from_surface(centre + d));
        assert!((x - o).cross(y - o) < 0.0, "room {number}");
    }
}
