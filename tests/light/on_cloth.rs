//! The overlay on white, on navy and on a busy stripe: what each line says must be told by its rhythm, whatever the
//! cloth, and colour may only help.
//!
//! What the eye gets is cloth × (room light + projector light), channel by channel, in linear light. The pictures
//! are written to the folder for tests under `target/`, to be looked at.

use crate::studio::device;
use chalkbeam::cloth::Colour;
use chalkbeam::floor::{FloorView, floor_scene, floor_throw, lamp_of};
use chalkbeam::garment::{Command, OpenGarment};
use chalkbeam::geometry::{BezPath, Point};
use chalkbeam::light::{Depth, Drawing, Picture, Studio, Uploaded};
use chalkbeam::pattern::ClothKind;
use chalkbeam::scene::{Meaning, Scene, Shape};
use std::path::Path;

/// Light of a dim room, as a share of the projector's white.
const ROOM: f64 = 0.06;
/// A place of a line counts as lit when it is so many times as bright as the cloth beside it, by luminance.
const PLAINLY_BRIGHTER: f64 = 1.5;
/// The cloth beside a line is looked at so far off, in mm: further than any line is wide, nearer than the next.
const BESIDE_MM: f64 = 5.0;

type Ground = fn(&OpenGarment, Point) -> [u8; 3];

fn white(_: &OpenGarment, _: Point) -> [u8; 3] {
    [250, 250, 248]
}

fn navy(_: &OpenGarment, _: Point) -> [u8; 3] {
    [24, 32, 78]
}

/// The demo's own stripes and sprigs; `place` is on the cloth.
fn busy(open: &OpenGarment, place: Point) -> [u8; 3] {
    let cloth = &open.plan().cloths[&ClothKind::Cloth];
    let print = cloth.print.as_ref().unwrap();
    let near = chalkbeam::geometry::Rect::from_center_size(place, (40.0, 40.0));
    let motif = print.motif.as_ref().unwrap();
    if motif.nodes_in(near).iter().any(|node| node.distance(place) < 9.0) {
        return [226, 190, 120];
    }
    let bars = print.lengthwise.as_ref().unwrap();
    let mut off = (place.y - bars.start_mm).rem_euclid(bars.period_mm());
    for bar in &bars.bars {
        if off < bar.width_mm {
            return bar.colour.0;
        }
        off -= bar.width_mm + bar.gap_mm;
    }
    cloth.colour.0
}

fn linear(byte: u8) -> f64 {
    let share = f64::from(byte) / 255.0;
    // IEC 61966-2-1.
    if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
}

/// Relative luminance (WCAG 2.2, from the primaries of IEC 61966-2-1).
fn luminance([r, g, b]: [f64; 3]) -> f64 {
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// The demo on a cloth of one colour, for which the lamp is then chosen.
fn on(colour: [u8; 3]) -> OpenGarment {
    let mut open = chalkbeam::demo::garden_coat().unwrap();
    let mut cloth = open.plan().cloths[&ClothKind::Cloth].clone();
    cloth.colour = Colour(colour);
    open.perform(&Command::SetCloth(ClothKind::Cloth, cloth), None).unwrap();
    // Without the facings, whose lines lie so near to the fronts' that nothing is beside a line but another line.
    let facings: Vec<_> = open.plan().lay.iter().skip(3).cloned().collect();
    for facing in facings {
        open.perform(&Command::RemovePlace(facing.piece, facing.copy), None).unwrap();
    }
    open
}

/// What the eye gets at each pixel.
struct Seen {
    frame: Picture,
    cloth: Vec<[f64; 3]>,
}

impl Seen {
    fn new(open: &OpenGarment, scene: &Scene, ground: Ground) -> Option<Self> {
        let aim = open.aim().good.as_ref().unwrap();
        let (width, height) = aim.picture_size();
        let lamp = lamp_of(open);
        let map = floor_throw(open, (width, height)).unwrap();
        let device = device()?;
        let studio = Studio::new(device, Depth::Linear16);
        let uploaded = Uploaded::new(device, Drawing::new(scene, &lamp));
        let frame = studio.take([width, height], map, lamp.background, &[&uploaded]).unwrap();
        let cloth_from_surface = open.plan().stand.surface_from_cloth().inverse();
        let cloth = (0..height)
            .flat_map(|y| (0..width).map(move |x| (x, y)))
            .map(|(x, y)| {
                let pixel = Point::new(f64::from(x) + 0.5, f64::from(y) + 0.5);
                let place = aim.surface_from_picture().map(pixel).unwrap();
                ground(open, cloth_from_surface * place).map(linear)
            })
            .collect();
        Some(Self { frame, cloth })
    }

    fn at(&self, x: u32, y: u32) -> [f64; 3] {
        let [width, _] = self.frame.size();
        let light = self.frame.linear(x, y).unwrap();
        let cloth = self.cloth[(y * width + x) as usize];
        std::array::from_fn(|channel| cloth[channel] * (ROOM + f64::from(light[channel])))
    }

    /// Luminance around a place of the picture, the brightest of nine pixels: a line may fall between two.
    fn brightest(&self, pixel: Point) -> Option<f64> {
        let [width, height] = self.frame.size();
        if pixel.x < 2.0
            || pixel.y < 2.0
            || pixel.x > f64::from(width) - 3.0
            || pixel.y > f64::from(height) - 3.0
        {
            return None;
        }
        let (x, y) = (pixel.x as u32, pixel.y as u32);
        let around = (y - 1..=y + 1).flat_map(|y| (x - 1..=x + 1).map(move |x| (x, y)));
        around.map(|(x, y)| luminance(self.at(x, y))).reduce(f64::max)
    }

    fn write(&self, name: &str) {
        let [width, height] = self.frame.size();
        // The eye adapts: the brightest light is shown as white.
        let brightest = (0..height)
            .flat_map(|y| (0..width).map(move |x| (x, y)))
            .flat_map(|(x, y)| self.at(x, y))
            .fold(0.0, f64::max);
        let encode = |light: f64| {
            let share = (light / brightest).clamp(0.0, 1.0);
            let encoded =
                if share <= 0.003_130_8 { 12.92 * share } else { 1.055 * share.powf(1.0 / 2.4) - 0.055 };
            (255.0 * encoded).round() as u8
        };
        let bytes: Vec<u8> = (0..height)
            .flat_map(|y| (0..width).map(move |x| (x, y)))
            .flat_map(|(x, y)| self.at(x, y).map(encode))
            .collect();
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        let file = std::fs::File::create(path).unwrap();
        let mut encoder = png::Encoder::new(file, width, height);
        encoder.set_color(png::ColorType::Rgb);
        encoder.write_header().unwrap().write_image_data(&bytes).unwrap();
    }
}

/// Share of a meaning's lines, by length, on which the light is plainly brighter than the cloth beside.
fn lit_share(open: &OpenGarment, scene: &Scene, seen: &Seen, meaning: Meaning) -> f64 {
    let aim = open.aim().good.as_ref().unwrap();
    let (mut lit, mut all) = (0.0, 0.0);
    for item in scene.items.iter().filter(|item| item.meaning == meaning) {
        let Shape::Stroke(path) = &item.shape else {
            continue;
        };
        for (at, along) in samples(path) {
            let side = chalkbeam::geometry::Vec2::new(-along.y, along.x);
            let pixel = |place: Point| aim.picture_from_surface().map(place);
            let (Some(on), Some(left), Some(right)) = (
                pixel(at).and_then(|pixel| seen.brightest(pixel)),
                pixel(at + BESIDE_MM * side).and_then(|pixel| seen.brightest(pixel)),
                pixel(at - BESIDE_MM * side).and_then(|pixel| seen.brightest(pixel)),
            ) else {
                continue;
            };
            all += 1.0;
            // Brighter than the darker side: the other may have another line, or a lighter bar of the print.
            if on > PLAINLY_BRIGHTER * left.min(right) {
                lit += 1.0;
            }
        }
    }
    assert!(all > 200.0, "{meaning:?} is hardly in the picture: {all}");
    lit / all
}

/// Places on a path, 2 mm apart, with its direction.
fn samples(path: &BezPath) -> Vec<(Point, chalkbeam::geometry::Vec2)> {
    let mut found = Vec::new();
    let mut last = Point::ORIGIN;
    kurbo::flatten(path.clone(), 0.1, |element| {
        if let kurbo::PathEl::LineTo(to) = element {
            let length = last.distance(to);
            let along = (to - last) / length.max(1e-9);
            let mut at = 0.0;
            while at < length {
                found.push((last + at * along, along));
                at += 2.0;
            }
        }
        last = element.end_point().unwrap_or(last);
    });
    found
}

#[test]
fn rhythm_tells_the_lines_apart_on_white_on_navy_and_on_a_busy_stripe() {
    let busy_mean = chalkbeam::demo::garden_coat().unwrap().plan().cloths[&ClothKind::Cloth].colour.0;
    let grounds: [(&str, Ground, [u8; 3]); 3] =
        [("white", white, [250, 250, 248]), ("navy", navy, [24, 32, 78]), ("stripe", busy, busy_mean)];
    for (name, ground, colour) in grounds {
        let open = on(colour);
        let view = FloorView::default();
        let scene = floor_scene(&open, &view, (1920, 1080));
        let Some(seen) = Seen::new(&open, &scene, ground) else {
            return;
        };
        seen.write(&format!("overlay-on-{name}.png"));
        let share = |meaning| lit_share(&open, &scene, &seen, meaning);
        let cutting = share(Meaning::CuttingLine);
        let seam = share(Meaning::SeamLine);
        let old_hem = share(Meaning::OldHem);
        // Unbroken; long stitch and short gap (12 on, 4 off); sparse dots (1.5 on, 10 off).
        assert!(cutting > 0.97, "{name}: cutting lines are lit on {cutting:.2} of their length");
        assert!((0.6..0.95).contains(&seam), "{name}: seam lines are lit on {seam:.2} of their length");
        assert!((0.05..0.5).contains(&old_hem), "{name}: the old hem is lit on {old_hem:.2} of its length");
    }
}
