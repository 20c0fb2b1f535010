//! Which screen the floor window belongs on.
//!
//! Screens are remembered by name and size, never by number or place: window systems renumber them when one is
//! plugged in or goes to sleep. A projector that goes leaves the desk as it is; one that comes back gets the floor
//! window again, and the aim has to be checked, for nobody knows whether it was touched.

/// A screen as it is remembered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScreenName {
    /// Its name, that of its socket.
    pub name: String,
    /// Width and height in physical px.
    pub size: (u32, u32),
}

impl ScreenName {
    /// The screen in a few words.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{}, {} × {} px", self.name, self.size.0, self.size.1)
    }
}

/// What has to be done about the floor window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FloorMove {
    /// Fullscreen, on the screen at this place of the list.
    Onto(usize),
    /// An ordinary window.
    IntoWindow,
}

/// The screens, and which of them is the projector's.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Projector {
    /// All screens, as they were seen last.
    pub screens: Vec<ScreenName>,
    /// The screen that the floor window is on; `None` while it is an ordinary window.
    pub on: Option<ScreenName>,
    /// The screen that it was on last, or was sent to.
    remembered: Option<ScreenName>,
    /// Whether she wants an ordinary window although there is a second screen.
    wants_window: bool,
    /// What has to be said about it.
    pub notice: Option<String>,
    /// Why its pixels may not be the projector's own.
    pub pixels: Option<String>,
}

impl Projector {
    /// Takes note of the screens there are; `first` is the one that the desk is on. Answers what to do about the
    /// floor window, if anything.
    pub(super) fn look(&mut self, screens: Vec<ScreenName>, first: Option<usize>) -> Option<FloorMove> {
        if screens == self.screens {
            return None;
        }
        self.screens = screens;
        let wanted = self.wanted(first);
        let target = wanted.and_then(|place| self.screens.get(place)).cloned();
        if target == self.on {
            // Going fullscreen is the window system's to undo when other screens come and go: asked for again.
            return wanted.map(FloorMove::Onto);
        }
        let (was, remembered) = (self.on.take(), self.remembered.is_some());
        self.on = target;
        match (&self.on, was) {
            (Some(screen), _) => {
                self.notice = remembered.then(|| {
                    format!(
                        "The projector is back ({}). Check the aim: light the marks (M) and see whether they fall on \
                         their crosses.",
                        screen.words()
                    )
                });
                self.remembered = Some(screen.clone());
                wanted.map(FloorMove::Onto)
            }
            (None, Some(gone)) => {
                self.notice = Some(format!(
                    "The projector's screen is gone ({}). Nothing is lost; when it comes back, check the aim.",
                    gone.words()
                ));
                Some(FloorMove::IntoWindow)
            }
            (None, None) => None,
        }
    }

    /// Sends the floor window to a screen, or makes it an ordinary window.
    pub(super) fn send(&mut self, screen: Option<&ScreenName>) -> Option<FloorMove> {
        self.notice = None;
        self.wants_window = screen.is_none();
        self.on = screen.cloned();
        match screen {
            None => Some(FloorMove::IntoWindow),
            Some(screen) => {
                self.remembered = Some(screen.clone());
                let place = self.screens.iter().position(|known| known == screen)?;
                Some(FloorMove::Onto(place))
            }
        }
    }

    /// Takes note that the floor window had to be opened anew. Answers where it belongs, if not where it opens.
    pub(super) fn reopened(&mut self) -> Option<FloorMove> {
        self.notice = Some(
            "The floor window went away and was opened again. Check the aim: light the marks (M) and see whether \
             they fall on their crosses."
                .to_owned(),
        );
        let on = self.on.as_ref()?;
        self.screens.iter().position(|screen| screen == on).map(FloorMove::Onto)
    }

    fn wanted(&self, first: Option<usize>) -> Option<usize> {
        if self.wants_window {
            return None;
        }
        let find = |is: &dyn Fn(&ScreenName) -> bool| self.screens.iter().position(is);
        match &self.remembered {
            Some(known) => {
                find(&|screen| screen == known).or_else(|| find(&|screen| screen.name == known.name))
            }
            None => (0..self.screens.len()).find(|place| Some(*place) != first),
        }
    }
}

/// Why what is lit may be scaled on its way: pixels of a window are the projector's own only when neither the system
/// nor the projector enlarges the picture. `modes` are the sizes that the screen offers, `scale` the system's factor.
pub(super) fn scaling(size: (u32, u32), modes: &[(u32, u32)], scale: f64) -> Option<String> {
    let area = |(width, height): &(u32, u32)| u64::from(*width) * u64::from(*height);
    let largest = modes.iter().max_by_key(|mode| area(mode));
    if let Some(largest) = largest.filter(|largest| area(largest) > area(&size)) {
        return Some(format!(
            "This screen offers {} × {} px and is set to {} × {}: set it to the projector's native resolution, or each \
             line is smeared over several of its pixels.",
            largest.0, largest.1, size.0, size.1
        ));
    }
    (scale.fract().abs() > 1e-6).then(|| {
        format!(
            "The system enlarges this screen by {:.0} %. The floor window counts its real pixels; should lines look \
             soft, set the screen to 100 %.",
            100.0 * scale
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn screen(name: &str, width: u32) -> ScreenName {
        ScreenName { name: name.into(), size: (width, 1080) }
    }

    #[test]
    fn a_picture_that_is_scaled_on_its_way_is_told() {
        let modes = [(1280, 720), (1920, 1080)];
        assert_eq!(scaling((1920, 1080), &modes, 1.0), None);
        assert!(scaling((1280, 720), &modes, 1.0).unwrap().contains("1920 × 1080"));
        assert!(scaling((1920, 1080), &modes, 1.25).unwrap().contains("125 %"));
        assert_eq!(scaling((1920, 1080), &[], 2.0), None, "whole pixels stay whole");
    }

    #[test]
    fn with_one_screen_the_floor_is_an_ordinary_window() {
        let mut projector = Projector::default();
        assert_eq!(projector.look(vec![screen("eDP-1", 1366)], Some(0)), None);
        assert_eq!((&projector.on, &projector.notice), (&None, &None));
    }

    #[test]
    fn the_floor_goes_to_the_second_screen_and_says_nothing_the_first_time() {
        let mut projector = Projector::default();
        let screens = vec![screen("HDMI-1", 1920), screen("eDP-1", 1366)];
        assert_eq!(projector.look(screens, Some(1)), Some(FloorMove::Onto(0)));
        assert_eq!(projector.on, Some(screen("HDMI-1", 1920)));
        assert_eq!(projector.notice, None);
    }

    #[test]
    fn a_projector_that_sleeps_and_wakes_gets_the_floor_back_with_a_warning() {
        let mut projector = Projector::default();
        let (laptop, beamer) = (screen("eDP-1", 1366), screen("HDMI-1", 1920));
        projector.look(vec![laptop.clone(), beamer.clone()], Some(0));
        assert_eq!(projector.look(vec![laptop.clone()], Some(0)), Some(FloorMove::IntoWindow));
        assert!(projector.notice.as_ref().unwrap().contains("gone"));
        // Another screen is not taken for the projector; the projector is found whatever its number.
        let other = screen("DP-2", 2560);
        assert_eq!(projector.look(vec![laptop.clone(), other.clone()], Some(0)), None);
        assert_eq!(projector.look(vec![beamer.clone(), laptop, other], Some(1)), Some(FloorMove::Onto(0)));
        assert!(projector.notice.as_ref().unwrap().contains("Check the aim"));
        assert_eq!(projector.on, Some(beamer));
    }

    #[test]
    fn a_floor_window_that_was_destroyed_goes_back_to_its_screen_and_the_aim_is_doubted() {
        let mut projector = Projector::default();
        projector.look(vec![screen("eDP-1", 1366), screen("HDMI-1", 1920)], Some(0));
        assert_eq!(projector.reopened(), Some(FloorMove::Onto(1)));
        assert!(projector.notice.as_ref().unwrap().contains("Check the aim"));
        projector.send(None);
        assert_eq!(projector.reopened(), None);
    }

    #[test]
    fn what_she_chose_holds() {
        let mut projector = Projector::default();
        let screens = vec![screen("eDP-1", 1366), screen("HDMI-1", 1920), screen("DP-2", 2560)];
        projector.look(screens.clone(), Some(0));
        assert_eq!(projector.send(Some(&screens[2])), Some(FloorMove::Onto(2)));
        assert_eq!(projector.send(None), Some(FloorMove::IntoWindow));
        assert_eq!(projector.look(vec![screens[1].clone(), screens[0].clone()], Some(1)), None);
    }
}
