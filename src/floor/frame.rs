//! The scene and the map of the floor window's next frame.

use super::bend::bent;
use super::call::add_call;
use super::code::add_code;
use super::rehearsed::add_rehearsed;
use super::standing::add_standing;
use super::{FloorView, add_legend};
use crate::aim::{Aim, Homography};
use crate::garment::{Mount, OpenGarment};
use crate::geometry::{Affine, Point};
use crate::light::Throw;
use crate::scene::{
    LAMP_COLOURS, Lamp, Layer, Scene, Show, add_marks, aim_overlay, cloth_overlay, lamp_colour_for,
    lamp_of_colour, steady, steady_light,
};
use glam::{DMat3, DVec3};
use std::sync::Arc;

/// What is lit, in two parts that are drawn one after the other: most of it stays while a mark is nudged.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FloorScene {
    /// Pieces, print and legend.
    pub cloth: Arc<Scene>,
    /// What moves with the light: the marks and the proof.
    pub aimed: Scene,
}

/// The part of the floor's scene that was made last, kept while nothing changes that it shows.
#[derive(Debug, Clone, Default)]
pub struct FloorMemory {
    made: Option<(MadeFor, Arc<Scene>)>,
}

/// What the part on the cloth depends on.
#[derive(Debug, Clone, PartialEq)]
struct MadeFor {
    revision: u64,
    view: FloorView,
    light: SteadyLight,
    /// An aim with a residual grid displaces every line, each time anew; a lens does it when the scene is drawn.
    bend: Option<Aim>,
}

/// Where the light falls, but for what a nudge changes.
#[derive(Debug, Clone, PartialEq)]
struct SteadyLight {
    lit: [Point; 4],
    /// What the marks and the proof take up, roughly.
    aiming: Vec<Point>,
}

impl FloorMemory {
    /// What is lit now. Without an aim only the marks are: they are moved, and taped, to make one.
    pub fn scene(&mut self, open: &OpenGarment, view: &FloorView, window_size: (u32, u32)) -> FloorScene {
        if view.dark {
            return FloorScene::default();
        }
        let Some(aim) = &open.aim().good else {
            let picture_size = open.mount().picture_size(window_size);
            return FloorScene { aimed: unaimed(open, view, picture_size), ..FloorScene::default() };
        };
        if let Some(way_in) = &view.code {
            let mut scene = Scene::default();
            add_code(&mut scene, way_in, aim.lit_rectangle().center(), &view.show);
            return FloorScene { aimed: lit(view, scene, aim), ..FloorScene::default() };
        }
        if let Some(work) = &view.work {
            return FloorScene {
                aimed: lit(view, work.scene(aim, &view.show), aim),
                ..FloorScene::default()
            };
        }
        if let Some(seek) = &view.print_seek {
            let scene = seek.scene(open, aim, &view.show);
            return FloorScene { aimed: lit(view, scene, aim), ..FloorScene::default() };
        }
        let only_cutting = Show { reading_angle: view.show.reading_angle, ..Show::only_cutting_lines() };
        let overlay_view = view.overlay_view(open, &only_cutting);
        let aimed = aim_overlay(open, &overlay_view);
        let made_for = MadeFor {
            revision: open.plan_revision(),
            view: FloorView { active_mark: 0, window_size: (0, 0), work: None, code: None, ..view.clone() },
            light: SteadyLight::of(aim, &aimed),
            bend: aim.residual_grid().is_some().then(|| aim.clone()),
        };
        let cloth = match &self.made {
            Some((known, cloth)) if *known == made_for => Arc::clone(cloth),
            _ => {
                let mut cloth = cloth_overlay(open, &overlay_view);
                if !view.only_cutting_lines {
                    add_call(&mut cloth, open, view, &made_for.light.lit);
                    add_standing(&mut cloth, open, aim, view, &made_for.light.lit);
                    add_rehearsed(&mut cloth, open, view, &made_for.light.lit);
                }
                if view.show.has(Layer::Legend) && !view.only_cutting_lines {
                    add_legend(&mut cloth, &made_for.light.aiming, &made_for.light.lit, view);
                }
                let cloth = Arc::new(lit(view, cloth, aim));
                self.made = Some((made_for, Arc::clone(&cloth)));
                cloth
            }
        };
        FloorScene { cloth, aimed: lit(view, aimed, aim) }
    }
}

/// A scene as it is lit: lengths in the units that she reads, lines displaced by a residual grid.
fn lit(view: &FloorView, scene: Scene, aim: &Aim) -> Scene {
    bent(scene.said_in(view.units), aim)
}

impl SteadyLight {
    fn of(aim: &Aim, aimed: &Scene) -> Self {
        let mut aiming: Vec<Point> =
            aimed.items.iter().flat_map(|item| item.shape.corners()).map(steady).collect();
        aiming.dedup();
        Self { lit: steady_light(aim), aiming }
    }
}

/// What is lit now, in one: see [`FloorMemory::scene`].
#[must_use]
pub fn floor_scene(open: &OpenGarment, view: &FloorView, window_size: (u32, u32)) -> Scene {
    let FloorScene { cloth, aimed } = FloorMemory::default().scene(open, view, window_size);
    let mut scene = Arc::unwrap_or_clone(cloth);
    scene.items.extend(aimed.items);
    scene
}

/// Without an aim nothing has a place on the cloth but the marks.
fn unaimed(open: &OpenGarment, view: &FloorView, picture_size: (u32, u32)) -> Scene {
    let mut scene = Scene::default();
    if view.only_cutting_lines {
        return scene;
    }
    let picks = open.measured().map(|measured| {
        measured.marks.iter().map(|mark| in_picture_view(mark.picture, picture_size)).collect::<Vec<_>>()
    });
    add_marks(&mut scene, &picks.unwrap_or_default(), Some(view.active_mark), &Show::for_cutting());
    scene
}

/// How the light is thrown: the map from the surface to the window's pixels, and the aim's lens. Without an aim, one px
/// is one mm and y is turned over, so that marks can be shown where they were picked.
#[must_use]
pub fn floor_throw(open: &OpenGarment, window_size: (u32, u32)) -> Option<Throw> {
    let (width, height) = open.mount().picture_size((f64::from(window_size.0), f64::from(window_size.1)));
    match &open.aim().good {
        Some(aim) => {
            let shown = mounted(open.mount(), aim.picture_size(), (width, height));
            let (across, down) = aim.picture_size();
            let centre = Point::new(0.5 * f64::from(across), 0.5 * f64::from(down));
            let matrix = matrix(shown) * aim.picture_from_cloth().matrix();
            let map = Homography::new(matrix, aim.surface_from_picture().map(centre)?).ok()?;
            Some(aim.lens().map_or_else(|| Throw::from(&map), |lens| Throw::through(map, &lens, shown)))
        }
        None => {
            let flip = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, height]);
            let shown = mounted(open.mount(), (width, height), (width, height));
            Some(Throw::from(&Homography::new(matrix(shown * flip), Point::ORIGIN).ok()?))
        }
    }
}

/// From a picture's pixels to the window's: as large as the window lets the picture be (on the projector both are the
/// same), and turned for a projector that hangs the other way. `size` is the window's before it is turned.
fn mounted(
    mount: Mount,
    (of_width, of_height): (impl Into<f64>, impl Into<f64>),
    size: (f64, f64),
) -> Affine {
    let scale = (size.0 / of_width.into(), size.1 / of_height.into());
    let at = mount.in_window((0.0, 0.0), size);
    let step = |to: (f64, f64)| {
        let (x, y) = mount.in_window(to, size);
        (x - at.0, y - at.1)
    };
    let (right, down) = (step((scale.0, 0.0)), step((0.0, scale.1)));
    Affine::new([right.0, right.1, down.0, down.1, at.0, at.1])
}

fn matrix(affine: Affine) -> DMat3 {
    let [a, b, c, d, e, f] = affine.as_coeffs();
    DMat3::from_cols(DVec3::new(a, b, 0.0), DVec3::new(c, d, 0.0), DVec3::new(e, f, 1.0))
}

fn in_picture_view(picture: (f64, f64), picture_size: (u32, u32)) -> Point {
    Point::new(picture.0, f64::from(picture_size.1) - picture.1)
}

/// The lamp as the keys set it: its colour, how wide and how bright lines are.
#[must_use]
pub fn lamp_for(open: &OpenGarment, view: &FloorView) -> Lamp {
    let cloth = open.plan().cloth();
    let chosen = view.lamp.and_then(|lamp| LAMP_COLOURS.get(lamp));
    let lamp = match chosen {
        Some((_, colour)) => lamp_of_colour(*colour, cloth.map_or([255; 3], |cloth| cloth.colour.0)),
        None => lamp_of(open),
    };
    Lamp { line_scale: view.line_scale(), bold: view.bold, ..lamp }
}

/// The lamp colours against the garment's cloth.
#[must_use]
pub fn lamp_of(open: &OpenGarment) -> Lamp {
    let cloth = open.plan().cloth();
    cloth.map_or_else(Lamp::default, |cloth| lamp_colour_for(cloth.colour.0))
}
