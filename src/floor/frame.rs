//! The scene and the map of the floor window's next frame.

use super::bend::bent;
use super::{FloorView, add_legend};
use crate::aim::{Aim, Homography};
use crate::garment::OpenGarment;
use crate::geometry::Point;
use crate::pattern::ClothKind;
use crate::scene::{Lamp, Layer, Scene, Show, add_marks, lamp_colour_for, overlay};
use glam::{DMat3, DVec3};

/// What is lit now. Without an aim only the marks are: they are moved, and taped, to make one.
#[must_use]
pub fn floor_scene(open: &OpenGarment, view: &FloorView, window_size: (u32, u32)) -> Scene {
    if view.dark {
        return Scene::default();
    }
    let only_cutting = Show { reading_angle: view.show.reading_angle, ..Show::only_cutting_lines() };
    let Some(aim) = &open.aim().good else {
        // Without an aim nothing has a place on the cloth but the marks.
        let mut scene = Scene::default();
        if view.only_cutting_lines {
            return scene;
        }
        let picks = open.measured().map(|measured| {
            measured.marks.iter().map(|mark| in_picture_view(mark.picture, window_size)).collect::<Vec<_>>()
        });
        add_marks(&mut scene, &picks.unwrap_or_default(), Some(view.active_mark), &Show::for_cutting());
        return scene;
    };
    let mut scene = overlay(open, &view.overlay_view(open, &only_cutting));
    if view.show.has(Layer::Legend) && !view.only_cutting_lines {
        add_legend(&mut scene, &aim.lit_quad(), view);
    }
    bent(scene, aim)
}

/// The map from the surface to the window's pixels. Without an aim, one px is one mm and y is turned over, so
/// that marks can be shown where they were picked.
#[must_use]
pub fn floor_homography(open: &OpenGarment, window_size: (u32, u32)) -> Option<Homography> {
    let (width, height) = (f64::from(window_size.0), f64::from(window_size.1));
    match &open.aim().good {
        Some(aim) => scaled_to(aim, width, height),
        None => {
            let flip = DMat3::from_cols(
                DVec3::new(1.0, 0.0, 0.0),
                DVec3::new(0.0, -1.0, 0.0),
                DVec3::new(0.0, height, 1.0),
            );
            Homography::new(flip, Point::ORIGIN).ok()
        }
    }
}

fn in_picture_view(picture: (f64, f64), window_size: (u32, u32)) -> Point {
    Point::new(picture.0, f64::from(window_size.1) - picture.1)
}

/// The aim for a window that is not as large as the picture it was made for: the picture is scaled with it. On
/// the projector both are the same and the scale is 1.
fn scaled_to(aim: &Aim, width: f64, height: f64) -> Option<Homography> {
    let (of_width, of_height) = aim.picture_size();
    let centre =
        aim.surface_from_picture().map(Point::new(0.5 * f64::from(of_width), 0.5 * f64::from(of_height)))?;
    let scale = DVec3::new(width / f64::from(of_width), height / f64::from(of_height), 1.0);
    Homography::new(DMat3::from_diagonal(scale) * aim.picture_from_cloth().matrix(), centre).ok()
}

/// The lamp colours against the garment's cloth.
#[must_use]
pub fn lamp_of(open: &OpenGarment) -> Lamp {
    let cloth = open.plan().cloths.get(&ClothKind::Cloth);
    cloth.map_or_else(Lamp::default, |cloth| lamp_colour_for(cloth.colour.0))
}
