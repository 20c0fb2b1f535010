//! What is done under the light beside cutting: aiming again, looking whether it moved, finding crosses again.
//!
//! All three are marks that are sought: arrows move the light of one, Tab says that it is on its cross and goes on,
//! Enter takes the result, Escape leaves everything as it was.

use super::notice::{Notice, Place};
use super::{Direction, Step};
use crate::aim::{Aim, FindCrosses, LookAgain, Reaim, STRETCH_MM, Seek};
use crate::geometry::{Point, Vec2};
use crate::scene::{Scene, Show, add_numbered_marks};

/// What is being done under the light.
#[derive(Debug, Clone, PartialEq)]
pub enum Work {
    /// Aiming again after a bump.
    Reaim(Reaim),
    /// Looking at two marks, to see whether the projector moved.
    Look {
        /// The marks.
        look: LookAgain,
        /// How far a mark may be off, in px; `None` for what chance allows.
        limit_px: Option<f64>,
        /// Whether the crosses of the next stand are sought afterwards.
        then_next: bool,
    },
    /// Finding the crosses again after the cloth was moved.
    Crosses {
        /// The crosses.
        find: FindCrosses,
        /// The number of the first of them, as they were chalked.
        first: usize,
    },
}

impl Work {
    /// The marks that are sought.
    #[must_use]
    pub const fn seek(&self) -> &Seek {
        match self {
            Self::Reaim(reaim) => reaim.seek(),
            Self::Look { look, .. } => look.seek(),
            Self::Crosses { find, .. } => find.seek(),
        }
    }

    /// The same, to move one.
    pub const fn seek_mut(&mut self) -> &mut Seek {
        match self {
            Self::Reaim(reaim) => reaim.seek_mut(),
            Self::Look { look, .. } => look.seek_mut(),
            Self::Crosses { find, .. } => find.seek_mut(),
        }
    }

    /// Moves the light of the active mark: by a step that finds its own size, with Shift or Ctrl by a fixed one.
    pub fn nudge(&mut self, direction: Direction, step: Step) {
        let (x, y) = direction.pixel();
        match step {
            Step::Plain => self.seek_mut().press((x, y)),
            Step::Coarse | Step::Fine => self.seek_mut().shift(step.px() * Vec2::new(x, y)),
        }
    }

    /// The active mark's light is on its cross: goes on to the next.
    pub fn place(&mut self) {
        match self {
            Self::Reaim(reaim) => reaim.place(),
            Self::Look { look, .. } => look.place(),
            Self::Crosses { find, .. } => find.place(),
        }
    }

    /// What a mark is called: the aim's marks have their numbers, crosses are counted.
    fn number(&self, mark: usize) -> usize {
        match self {
            Self::Look { look, .. } => look.marks().get(mark).map_or(mark, |mark| *mark) + 1,
            Self::Crosses { first, .. } => mark + first,
            Self::Reaim(_) => mark + 1,
        }
    }

    /// What to do next, and how it stands, in sentences.
    #[must_use]
    pub fn words(&self) -> Vec<String> {
        let seek = self.seek();
        let active = self.number(seek.active());
        let found: Vec<String> = seek.placed().map(|mark| self.number(mark).to_string()).collect();
        let found = match found.as_slice() {
            [] => String::new(),
            found => format!(" Found: {}.", found.join(", ")),
        };
        let keys = "Arrows move the light, Tab: it is on its cross.";
        match self {
            Self::Reaim(reaim) => vec![
                format!("Aiming again. Bring light {active} onto its cross.{found}"),
                keys.to_owned(),
                reaim_words(reaim),
            ],
            Self::Look { look, limit_px, .. } => {
                let [a, b] = look.marks().map(|mark| mark + 1);
                let said =
                    look.watch(*limit_px).map_or_else(|error| error.to_string(), |watch| watch.to_string());
                vec![
                    format!("Do lights {a} and {b} lie on their crosses? Then press Enter."),
                    format!("If not, the arrows bring light {active} there, and Tab the other."),
                    if seek.is_touched() || seek.count_placed() > 0 {
                        sentence(&said)
                    } else {
                        String::new()
                    },
                ]
            }
            Self::Crosses { find, .. } => vec![
                format!(
                    "Lay the cloth so that its crosses lie under the lights. Bring light {active} onto its cross.{found}"
                ),
                keys.to_owned(),
                crosses_words(find),
            ],
        }
    }

    /// The marks as they are lit, and the words in the middle.
    pub(super) fn scene(&self, aim: &Aim, show: &Show) -> Scene {
        let mut scene = Scene::default();
        let lit = |(mark, &pick): (usize, &Point)| Some((self.number(mark), aim.cloth_of(pick)?));
        let marks: Vec<(usize, Point)> = self.seek().picks().iter().enumerate().filter_map(lit).collect();
        let active = self.number(self.seek().active());
        add_numbered_marks(&mut scene, &marks, Some(active), show);
        Notice::new(self.words(), Place::Middle).add_to(&mut scene, &aim.lit_quad(), show);
        scene
    }
}

/// How the aiming again stands.
fn reaim_words(reaim: &Reaim) -> String {
    let moved = |mark: usize| {
        let before = reaim.before();
        let lies = before.surface_of(*reaim.picks().get(mark)?)?;
        Some(lies.distance(before.marks().get(mark)?.surface))
    };
    let first = reaim.seek().placed().next().and_then(|mark| Some((mark, moved(mark)?)));
    match (reaim.count_placed(), first) {
        (0, _) | (_, None) => "Esc leaves the aim as it was.".to_owned(),
        (1, Some((mark, mm))) => format!("The light had moved by {mm:.0} mm at mark {}.", mark + 1),
        (_, Some(_)) => match reaim.aim() {
            Err(error) => sentence(&error.to_string()),
            Ok(aim) if aim.is_provisional() => {
                "Provisional: a turn is met so, a shift is not. Enter takes it to look at, not to cut by."
                    .to_owned()
            }
            Ok(aim) => {
                let worst = aim.marks().iter().enumerate().filter(|(_, mark)| !mark.is_predicted);
                let worst = worst.max_by(|a, b| a.1.residual_mm.total_cmp(&b.1.residual_mm));
                let fits = worst.map_or_else(String::new, |(mark, at)| {
                    format!("The marks fit within {:.1} mm (worst: {}). ", at.residual_mm, mark + 1)
                });
                let error = aim.error_map().map_or_else(String::new, |map| {
                    format!("Lines fall within ±{:.1} mm. ", map.worst_corner_mm())
                });
                format!("{fits}{error}Enter takes the aim, Esc leaves it as it was.")
            }
        },
    }
}

/// How the search for crosses stands.
fn crosses_words(crosses: &FindCrosses) -> String {
    if crosses.seek().count_placed() < 2 {
        return "Two crosses hold the cloth, four hold it better. Esc leaves the stand as it was.".to_owned();
    }
    match crosses.registration(STRETCH_MM) {
        Ok(found) => {
            let worst = found.residuals_mm.iter().copied().fold(0.0, f64::max);
            format!(
                "The crosses fit within {worst:.1} mm. Enter takes the stand, Esc leaves it. If the projector was moved and the cloth \
                 stayed: I, with four."
            )
        }
        Err(error) => sentence(&error.to_string()),
    }
}

/// Words that begin small, to stand by themselves.
pub(super) fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        let end = if words.ends_with('.') { "" } else { "." };
        first.to_uppercase().chain(letters).collect::<String>() + end
    })
}
