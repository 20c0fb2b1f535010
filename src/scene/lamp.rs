//! Which colours the lamp has: one against the cloth, one for what must not be cut yet.
//!
//! White is the brightest light a projector has, so by luminance alone no colour ever beats it: every other
//! lamp is white with channels taken away. But on a light or printed cloth a white line has the colour of the
//! room's own light, and only brightness tells it from a white stripe of the print. So luminance decides what
//! is admitted, and among the admitted the colour that is furthest from the cloth's own wins.
//!
//! - Light on cloth is lamp × reflectance, channel by channel, in linear light (the cloth's sRGB colour stands
//!   for its reflectance; a camera's or a screen's guess, good enough to choose from six).
//! - Relative luminance and contrast ratio (L₁ + 0.05)/(L₂ + 0.05): WCAG 2.2, W3C Recommendation, "relative
//!   luminance" and "contrast ratio". The 0.05 stands for the ambient light; unlit cloth has L₂ = 0.
//! - Distance of colours: CIE 1976 u′v′ chromaticity (CIE 15, formula from memory), with the sRGB primaries
//!   of IEC 61966-2-1.

use super::{Brightness, Ink};

/// The colours in which a scene is drawn, linear light, each channel from 0 (none) to 1 (all that the
/// projector has).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lamp {
    /// The lamp colour, for everything but cautions.
    pub lamp: [f32; 3],
    /// The second colour: not to be cut yet.
    pub caution: [f32; 3],
    /// Where nothing is drawn. Black is no light; the desk's board may have another ground.
    pub background: [f32; 3],
    /// How many times wider than usual lines are drawn.
    pub line_scale: f64,
    /// Whether faint lines are lit more strongly, for eyes or cloths that need it.
    pub bold: bool,
}

impl Default for Lamp {
    /// White light on darkness, cautions in magenta.
    fn default() -> Self {
        Self::of(WHITE, MAGENTA, [0.0; 3])
    }
}

impl Lamp {
    /// Lines of the usual width and brightness in these colours: the lamp's, the caution's, the background's.
    #[must_use]
    pub const fn of(lamp: [f32; 3], caution: [f32; 3], background: [f32; 3]) -> Self {
        Self { lamp, caution, background, line_scale: 1.0, bold: false }
    }

    /// The colour of an ink at a brightness: the share of the way from the background to the full colour,
    /// linear light.
    #[must_use]
    pub fn colour(&self, ink: Ink, brightness: Brightness) -> [f32; 3] {
        let full = match ink {
            Ink::Lamp => self.lamp,
            Ink::Caution => self.caution,
        };
        // The order of the three steps stays.
        let share = if self.bold { brightness.share().sqrt() } else { brightness.share() };
        std::array::from_fn(|channel| {
            self.background[channel] + share * (full[channel] - self.background[channel])
        })
    }
}

const WHITE: [f32; 3] = [1.0, 1.0, 1.0];
const YELLOW: [f32; 3] = [1.0, 1.0, 0.0];
const CYAN: [f32; 3] = [0.0, 1.0, 1.0];
const GREEN: [f32; 3] = [0.0, 1.0, 0.0];
const MAGENTA: [f32; 3] = [1.0, 0.0, 1.0];
const RED: [f32; 3] = [1.0, 0.0, 0.0];

/// Lamp colours to choose from; earlier ones win a tie. Pure blue is left out: it has a fourteenth of white's
/// luminance, and the eye sees fine lines badly in it.
const CHOICES: [[f32; 3]; 6] = [WHITE, YELLOW, CYAN, GREEN, MAGENTA, RED];

/// A lamp colour must keep this share of the luminance that white light would have on the cloth.
const KEPT_OF_WHITE: f64 = 0.75;

/// A caution may be dimmer, because it is drawn full and wide, but its contrast must be at least this.
const LEAST_CAUTION_CONTRAST: f64 = 1.1;

/// Colours closer than this in u′v′ don't count as different: ten of the steps that can just be told apart.
const PLAINLY_APART: f64 = 0.04;

/// The lamp for a cloth of the given sRGB colour (for a print: the colour of its largest ground, or its mean).
#[must_use]
pub fn lamp_colour_for(cloth: [u8; 3]) -> Lamp {
    let reflectance = cloth.map(linear_from_srgb);
    let white = luminance(on_cloth(WHITE, reflectance));
    let unlit = chromaticity(reflectance);
    let lamp = furthest(reflectance, unlit, KEPT_OF_WHITE * white, WHITE);
    lamp_of_colour(lamp, cloth)
}

/// The colours that a lamp may be set to, with their names.
pub const LAMP_COLOURS: [(&str, [f32; 3]); 6] = [
    ("white", WHITE),
    ("yellow", YELLOW),
    ("cyan", CYAN),
    ("green", GREEN),
    ("magenta", MAGENTA),
    ("red", RED),
];

/// A lamp of a colour, with the caution that is furthest from it on a cloth of the given sRGB colour.
#[must_use]
pub fn lamp_of_colour(lamp: [f32; 3], cloth: [u8; 3]) -> Lamp {
    let reflectance = cloth.map(linear_from_srgb);
    let seen = chromaticity(on_cloth(lamp, reflectance));
    let least = (LEAST_CAUTION_CONTRAST - 1.0) * AMBIENT;
    let caution = furthest(reflectance, seen, least, opposite(lamp));
    Lamp::of(lamp, caution, [0.0; 3])
}

/// Contrast ratio of a line of light on a cloth against the unlit cloth beside it: 1 is invisible, 21 is white
/// on white. `lamp` is linear, `cloth` is sRGB. Source: WCAG 2.2.
#[must_use]
pub fn contrast_on(cloth: [u8; 3], lamp: [f32; 3]) -> f64 {
    (luminance(on_cloth(lamp, cloth.map(linear_from_srgb))) + AMBIENT) / AMBIENT
}

/// WCAG 2.2's allowance for ambient light, as relative luminance.
const AMBIENT: f64 = 0.05;

/// The choice of at least `least` luminance whose light on the cloth is furthest in colour from `from`;
/// `otherwise` when none is plainly apart there (a cloth that reflects one channel only shows no hue).
fn furthest(reflectance: [f64; 3], from: [f64; 2], least: f64, otherwise: [f32; 3]) -> [f32; 3] {
    let mut best = (PLAINLY_APART, otherwise);
    for lamp in CHOICES {
        let lit = on_cloth(lamp, reflectance);
        let [u, v] = chromaticity(lit);
        let distance = (u - from[0]).hypot(v - from[1]);
        if luminance(lit) >= least && distance > best.0 {
            best = (distance, lamp);
        }
    }
    best.1
}

/// A caution for a cloth on which hues vanish: what is not white is at least dimmer.
fn opposite(lamp: [f32; 3]) -> [f32; 3] {
    if lamp == MAGENTA { GREEN } else { MAGENTA }
}

fn on_cloth(lamp: [f32; 3], reflectance: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|channel| f64::from(lamp[channel]) * reflectance[channel])
}

fn luminance([r, g, b]: [f64; 3]) -> f64 {
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// CIE 1976 u′v′ of a linear sRGB colour; that of white when there is no light at all.
fn chromaticity([r, g, b]: [f64; 3]) -> [f64; 2] {
    let x = 0.4124 * r + 0.3576 * g + 0.1805 * b;
    let y = luminance([r, g, b]);
    let z = 0.0193 * r + 0.1192 * g + 0.9505 * b;
    let sum = x + 15.0 * y + 3.0 * z;
    if sum < 1e-9 {
        return [0.1978, 0.4683];
    }
    [4.0 * x / sum, 9.0 * y / sum]
}

/// Linear light of an sRGB byte (IEC 61966-2-1; WCAG 2.2 prints the same formula).
fn linear_from_srgb(byte: u8) -> f64 {
    let share = f64::from(byte) / 255.0;
    if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "a lamp is one of the choices, bit for bit")]
mod tests {
    use super::*;

    const CLOTH_WHITE: [u8; 3] = [250, 250, 248];
    const CLOTH_NAVY: [u8; 3] = [24, 32, 78];
    const CLOTH_RED: [u8; 3] = [190, 30, 40];
    const CLOTH_BUSY: [u8; 3] = [150, 120, 95]; // the mean of a striped print

    #[test]
    fn the_contrast_is_the_one_of_the_recommendation() {
        // WCAG 2.2: white against black is 21:1, and #ff0000 has relative luminance 0.2126.
        assert!((contrast_on([255; 3], WHITE) - 21.0).abs() < 1e-9);
        assert!((contrast_on([255, 0, 0], WHITE) - (0.2126 + 0.05) / 0.05).abs() < 1e-9);
        assert!((contrast_on([255; 3], RED) - (0.2126 + 0.05) / 0.05).abs() < 1e-9);
        assert!((contrast_on([0; 3], WHITE) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn the_lamp_keeps_most_of_the_contrast_that_white_light_would_have() {
        for cloth in [CLOTH_WHITE, CLOTH_NAVY, CLOTH_RED, CLOTH_BUSY] {
            let chosen = contrast_on(cloth, lamp_colour_for(cloth).lamp) - 1.0;
            let white = contrast_on(cloth, WHITE) - 1.0;
            assert!(chosen >= KEPT_OF_WHITE * white, "{cloth:?}: {chosen} of {white}");
        }
    }

    #[test]
    fn the_choice_suits_the_cloth() {
        assert_eq!(lamp_colour_for(CLOTH_WHITE).lamp, YELLOW);
        assert_eq!(lamp_colour_for(CLOTH_BUSY).lamp, YELLOW);
        // On strongly coloured cloth hues vanish, and a light without the cloth's own colour is dark there.
        assert_eq!(lamp_colour_for(CLOTH_RED).lamp, WHITE);
        assert_eq!(lamp_colour_for(CLOTH_NAVY).lamp, WHITE);
        assert_eq!(lamp_colour_for([0, 0, 0]).lamp, WHITE);
        assert_eq!(lamp_colour_for([0, 0, 128]).lamp, WHITE);
    }

    #[test]
    fn the_caution_differs_clearly_from_the_lamp() {
        for cloth in [CLOTH_WHITE, CLOTH_NAVY, CLOTH_RED, CLOTH_BUSY] {
            let lamp = lamp_colour_for(cloth);
            let reflectance = cloth.map(linear_from_srgb);
            let [a, b] = [lamp.lamp, lamp.caution].map(|light| chromaticity(on_cloth(light, reflectance)));
            let distance = (a[0] - b[0]).hypot(a[1] - b[1]);
            assert!(distance > 0.1, "{cloth:?}: {lamp:?} {distance}");
            assert!(contrast_on(cloth, lamp.caution) >= LEAST_CAUTION_CONTRAST, "{cloth:?}: {lamp:?}");
        }
        for grey in 0..=255 {
            let lamp = lamp_colour_for([grey; 3]);
            assert_ne!(lamp.lamp, lamp.caution);
        }
    }

    #[test]
    fn brightness_dims_towards_the_background() {
        let board = Lamp::of([0.0; 3], RED, [1.0; 3]);
        let [faint, ..] = board.colour(Ink::Lamp, Brightness::Faint);
        let [strong, ..] = board.colour(Ink::Lamp, Brightness::Strong);
        assert!(faint > 0.6 && strong == 0.0);
    }
}
