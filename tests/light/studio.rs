//! The one device of this test binary, and short ways to scenes and pictures.

use chalkbeam::aim::Homography;
use chalkbeam::geometry::{BezPath, Point};
use chalkbeam::light::{Depth, Device, Drawing, Picture, Studio, Uploaded};
use chalkbeam::scene::{Item, Lamp, Meaning, Scene, Shape};
use glam::{DMat3, DVec3};
use std::io::Write as _;
use std::sync::OnceLock;

/// The device, or `None` with a loud word where there is none. On a build server (CI set) that is a failure.
pub(crate) fn device() -> Option<&'static Device> {
    static DEVICE: OnceLock<Option<Device>> = OnceLock::new();
    DEVICE
        .get_or_init(|| match Device::headless() {
            Ok(device) => {
                say(&format!("drawing with {}", device.describe()));
                Some(device)
            }
            Err(error) => {
                assert!(std::env::var_os("CI").is_none(), "{error}");
                say(&format!("NOT TESTED, no light was measured: {error}"));
                None
            }
        })
        .as_ref()
}

/// Past the test harness, which swallows what a passing test prints.
#[expect(clippy::explicit_write, reason = "eprintln would be swallowed")]
fn say(words: &str) {
    writeln!(std::io::stderr(), "{words}").unwrap();
}

/// A studio of linear light, kept between tests.
pub(crate) fn linear_studio() -> Option<&'static Studio<'static>> {
    static STUDIO: OnceLock<Option<Studio<'static>>> = OnceLock::new();
    STUDIO.get_or_init(|| Some(Studio::new(device()?, Depth::Linear16))).as_ref()
}

pub(crate) fn item(meaning: Meaning, shape: Shape) -> Item {
    Item { meaning, piece: None, shape }
}

pub(crate) fn stroke(meaning: Meaning, svg: &str) -> Item {
    item(meaning, Shape::Stroke(BezPath::from_svg(svg).unwrap()))
}

pub(crate) fn label(words: &str, at: (f64, f64), height_mm: f64, angle: f64) -> Item {
    item(Meaning::PieceName, Shape::Label { words: words.into(), at: at.into(), height_mm, angle })
}

pub(crate) fn scene(items: impl IntoIterator<Item = Item>) -> Scene {
    Scene { items: items.into_iter().collect() }
}

/// Square down: so many px a mm, surface origin at the given px, y up on the surface and down in the picture.
pub(crate) fn upright(px_per_mm: f64, origin_px: (f64, f64)) -> Homography {
    let matrix = DMat3::from_cols(
        DVec3::new(px_per_mm, 0.0, 0.0),
        DVec3::new(0.0, -px_per_mm, 0.0),
        DVec3::new(origin_px.0, origin_px.1, 1.0),
    );
    Homography::new(matrix, Point::ORIGIN).unwrap()
}

/// A linear picture of a scene under white light.
pub(crate) fn linear(size: [u32; 2], picture_from_surface: &Homography, scene: &Scene) -> Option<Picture> {
    let studio = linear_studio()?;
    let drawing = Drawing::new(scene, &Lamp::default());
    assert_eq!(drawing.left_out(), 0);
    let uploaded = Uploaded::new(device()?, drawing);
    Some(studio.take(size, picture_from_surface, [0.0; 3], &[&uploaded]).unwrap())
}

/// Linear red light of a pixel; the lamp is white.
pub(crate) fn light(picture: &Picture, x: u32, y: u32) -> f64 {
    f64::from(picture.linear(x, y).unwrap()[0])
}

/// All the light of a picture, in pixels of full light.
pub(crate) fn total(picture: &Picture) -> f64 {
    let [width, height] = picture.size();
    (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).map(|(x, y)| light(picture, x, y)).sum()
}
