//! The print as it lies on the real cloth, found under the light: three lights of the lattice are brought onto their
//! places by arrows, and the whole lattice follows until it coincides.

use super::notice::{Notice, Place};
use super::{Direction, Step};
use crate::aim::Aim;
use crate::cloth::{Cloth, MeasuredPrint, MeasuredPrintError, PrintPlace};
use crate::garment::{Command, OpenGarment};
use crate::geometry::{Affine, Point, Rect};
use crate::scene::{Layer, Scene, Show, add_marks, add_print, print_places};

/// Three places of the print that are being found.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintSeek {
    /// Where they are by the print in use, on the sheet.
    written: [Point; 3],
    /// Where their light is, on the surface.
    lights: [Point; 3],
    active: usize,
}

/// Why the print can't be measured now.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PrintSeekError {
    /// No cloth or no print.
    #[error("there is no print to measure; write down its repeat at the stop Cloth")]
    NoPrint,
    /// No aim.
    #[error("there is no aim yet, so the print can't be measured by light; see the stop Aim")]
    NoAim,
    /// Too little of the print in the light.
    #[error(
        "the light shows too little of the print: three places at least 100 mm apart are wanted on the cloth. Move the \
         cloth under the light"
    )]
    TooSmall,
    /// What was found is no print.
    #[error(transparent)]
    Measured(#[from] MeasuredPrintError),
}

impl PrintSeek {
    /// Begins with the places where the print in use has them, as far apart as the light allows.
    ///
    /// # Errors
    /// [`PrintSeekError`] without a print, an aim or room.
    pub fn begin(open: &OpenGarment) -> Result<Self, PrintSeekError> {
        let cloth = cloth_of(open)?;
        let aim = open.aim().good.as_ref().ok_or(PrintSeekError::NoAim)?;
        let surface_from_cloth = open.stand().surface_from_cloth();
        let written =
            print_places(cloth, surface_from_cloth, &aim.lit_quad()).ok_or(PrintSeekError::TooSmall)?;
        let surface_from_sheet = surface_from_sheet(open, cloth)?;
        Ok(Self { written, lights: written.map(|place| surface_from_sheet * place), active: 0 })
    }

    /// The light that the arrows move, from 0.
    #[must_use]
    pub const fn active(&self) -> usize {
        self.active
    }

    /// Where the lights are, on the surface in mm.
    #[must_use]
    pub const fn lights(&self) -> &[Point; 3] {
        &self.lights
    }

    /// Goes on to the next light, or back.
    pub fn step(&mut self, forward: bool) {
        self.active = (self.active + if forward { 1 } else { 2 }) % 3;
    }

    /// Moves the active light in the picture. Behind the lens it stays.
    pub fn nudge(&mut self, aim: &Aim, direction: Direction, step: Step) {
        let picture_from_cloth = aim.picture_from_cloth();
        let Some(light) = self.lights.get_mut(self.active) else { return };
        let Ok(back) = picture_from_cloth.inverse(Point::ORIGIN) else { return };
        let (x, y) = direction.pixel();
        let moved = picture_from_cloth
            .map(*light)
            .and_then(|at| back.map(Point::new(at.x + x * step.px(), at.y + y * step.px())));
        if let Some(moved) = moved {
            *light = moved;
        }
    }

    /// The print as the lights have it.
    ///
    /// # Errors
    /// [`PrintSeekError`] when they can't be of this print.
    pub fn measured(&self, open: &OpenGarment) -> Result<MeasuredPrint, PrintSeekError> {
        let cloth = cloth_of(open)?;
        let sheet_from_surface = surface_from_sheet(open, cloth)?.inverse();
        let ([a, b, c], [p, q, r]) = (self.written, self.lights);
        let places = [(a, p), (b, q), (c, r)]
            .map(|(written, light)| PrintPlace { written, found: sheet_from_surface * light });
        Ok(cloth.measured_at(places)?)
    }

    /// What takes the print as it was found: one step, that can be taken back.
    ///
    /// # Errors
    /// [`PrintSeekError`] when it can't be this print.
    pub fn taken(&self, open: &OpenGarment) -> Result<Command, PrintSeekError> {
        let measured = self.measured(open)?;
        let cloth = Cloth { measured_print: Some(measured.print), ..cloth_of(open)?.clone() };
        Ok(Command::SetCloth(open.plan().on_table, cloth))
    }

    /// What to do next, and what was found so far, in sentences; the last is a refusal where there is one.
    #[must_use]
    pub fn words(&self, open: &OpenGarment) -> (Vec<String>, Option<String>) {
        let where_to = match self.active {
            0 => "onto its place of the print".to_owned(),
            1 => format!("onto the print{} along from light 1", self.repeats(open, 1)),
            _ => format!("onto the print{} across from light 1", self.repeats(open, 2)),
        };
        let mut words = vec![
            format!("Bring light {} {where_to}.", self.active + 1),
            "Arrows move it, Tab goes on, Enter takes the print, Esc leaves it as it was.".to_owned(),
        ];
        match self.measured(open) {
            Ok(found) => {
                words.push(found_words(open, &found));
                (words, None)
            }
            Err(error) => (words, Some(format!("{error}."))),
        }
    }

    /// “, 7 repeats”, from the first light to another.
    fn repeats(&self, open: &OpenGarment, light: usize) -> String {
        let Some(print) = cloth_of(open).ok().and_then(Cloth::print_in_use) else { return String::new() };
        let on_print = self.written.map(|place| print.print_from_sheet() * place);
        let (along, across) = print.repeats_mm();
        let way = on_print.get(light).map(|place| *place - on_print[0]).unwrap_or_default();
        let (repeat, way) = if light == 1 { (along, way.x) } else { (across, way.y) };
        let Some(repeat) = repeat else { return String::new() };
        match (way / repeat).round() {
            1.0 => ", 1 repeat".to_owned(),
            count => format!(", {count:.0} repeats"),
        }
    }

    /// The lattice as the lights have it, the lights, and the words.
    pub(super) fn scene(&self, open: &OpenGarment, aim: &Aim, show: &Show) -> Scene {
        let mut scene = Scene::default();
        let mut print_only = Show { sign_scale: show.sign_scale, ..Show::only_cutting_lines() };
        print_only.layers.insert(Layer::Print);
        print_only.reading_angle = show.reading_angle;
        let surface_from_cloth = open.stand().surface_from_cloth();
        if let Ok(cloth) = cloth_of(open) {
            let measured = self.measured(open).ok().map(|found| found.print);
            let cloth =
                Cloth { measured_print: measured.or_else(|| cloth.measured_print.clone()), ..cloth.clone() };
            let [first, rest @ ..] = aim.lit_quad();
            let lit = rest.iter().fold(Rect::from_points(first, first), |all, at| all.union_pt(*at));
            let seen = surface_from_cloth.inverse().transform_rect_bbox(lit);
            add_print(&mut scene, &cloth, surface_from_cloth, seen, &print_only, &|_place| false);
        }
        add_marks(&mut scene, &self.lights, Some(self.active), &print_only);
        let (words, refused) = self.words(open);
        let mut notice = Notice::new(words, Place::Free);
        if let Some(why) = refused {
            notice.warn(why);
        }
        notice.add_to(&mut scene, &aim.lit_quad(), &print_only);
        scene
    }
}

fn cloth_of(open: &OpenGarment) -> Result<&Cloth, PrintSeekError> {
    let cloth = open.plan().cloth();
    cloth.filter(|cloth| cloth.sound_print().is_some()).ok_or(PrintSeekError::NoPrint)
}

fn surface_from_sheet(open: &OpenGarment, cloth: &Cloth) -> Result<Affine, PrintSeekError> {
    let ply = cloth.seen_ply().ok_or(PrintSeekError::NoPrint)?;
    Ok(open.stand().surface_from_cloth() * ply.sheet_from_table.inverse())
}

/// “Repeat along 139.2 mm (written down: 140.0), across 95.6 mm (96.0); turned by 0.3°.”
fn found_words(open: &OpenGarment, found: &MeasuredPrint) -> String {
    let written = cloth_of(open).ok().and_then(|cloth| cloth.print.as_ref());
    let before = written.map(crate::cloth::Print::repeats_mm).unwrap_or_default();
    let now = found.print.repeats_mm();
    let mut parts = Vec::new();
    for (way, now, before) in [("along", now.0, before.0), ("across", now.1, before.1)] {
        if let (Some(now), Some(before)) = (now, before) {
            parts.push(format!("the repeat {way} is {now:.1} mm (written down: {before:.1})"));
        }
    }
    let askew = found.print.angle_degrees;
    parts.push(format!("the print runs {askew:.1}° off the warp"));
    format!("By the lights {}.", parts.join(", "))
}
