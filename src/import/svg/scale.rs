//! Millimetres of a drawing's unit.

use super::super::Options;
use super::document::place_of;
use super::error::SvgError;
use crate::finding::{Finding, Severity};
use crate::geometry::tolerance::LARGEST_COORDINATE_MM;
use crate::geometry::{Affine, Rect, Vec2};
use roxmltree::Node;
use std::str::FromStr as _;
use svgtypes::{Align, AspectRatio, LengthUnit, ViewBox};

/// Millimetres in a CSS pixel: 96 to the inch (CSS Values and Units Level 3, §6.2).
pub(super) const MM_PER_PX: f64 = 25.4 / 96.0;

/// Scales that differ by more than this from one axis to the other are told.
const ASPECT_SLACK: f64 = 1e-3;

/// Scales that a person may give.
const SCALES: std::ops::RangeInclusive<f64> = 1e-6..=1e3;

/// How the drawing lies on the table.
pub(super) struct Sheet {
    /// Table mm, y up, from the drawing's units, y down.
    pub(super) mm_from_user: Affine,
    /// The page, where it is known.
    pub(super) page: Option<Rect>,
    /// Width and height of the drawing in its own units, which percentages are of.
    pub(super) extent: Vec2,
}

/// A length of the outermost element in millimetres, if it has a unit.
enum Told {
    Nothing,
    Bare(f64),
    Percent,
    Mm(f64, bool),
}

fn told(root: Node<'_, '_>, attribute: &str) -> Result<Told, SvgError> {
    let Some(text) = root.attribute(attribute).map(str::trim).filter(|text| *text != "auto") else {
        return Ok(Told::Nothing);
    };
    let bad = |what: &str| bad_value(root, attribute, text, what);
    let length = match svgtypes::Length::from_str(text) {
        Ok(length) => length,
        Err(_) => return Err(bad("is no length")),
    };
    if !length.number.is_finite() || length.number < 0.0 || length.number > 1e9 {
        return Err(bad("is no size that a drawing could have"));
    }
    let mm = |unit_mm: f64| Told::Mm(length.number * unit_mm, false);
    Ok(match length.unit {
        LengthUnit::Mm => mm(1.0),
        LengthUnit::Cm => mm(10.0),
        LengthUnit::In => mm(25.4),
        LengthUnit::Pt => mm(25.4 / 72.0),
        LengthUnit::Pc => mm(25.4 / 6.0),
        LengthUnit::Px => Told::Mm(length.number * MM_PER_PX, true),
        LengthUnit::None => Told::Bare(length.number),
        LengthUnit::Percent | LengthUnit::Em | LengthUnit::Ex => Told::Percent,
    })
}

/// An error for a value of an element.
pub(super) fn bad_value(node: Node<'_, '_>, attribute: &str, value: &str, what: &str) -> SvgError {
    const SHOWN: usize = 40;
    let mut shown: String = value.chars().take(SHOWN).collect();
    if shown.len() < value.len() {
        shown.push('…');
    }
    SvgError::BadValue {
        at: place_of(node),
        element: node.tag_name().name().to_owned(),
        attribute: attribute.to_owned(),
        value: shown,
        what: what.to_owned(),
    }
}

/// The scale and the page of a drawing.
pub(super) fn sheet_of(
    root: Node<'_, '_>,
    options: &Options,
    findings: &mut Vec<Finding>,
) -> Result<Sheet, SvgError> {
    let view = view_box(root)?;
    let (width, height) = (told(root, "width")?, told(root, "height")?);
    if let Some(mm_per_unit) = options.millimetres_per_unit {
        if !SCALES.contains(&mm_per_unit) {
            return Err(SvgError::BadScale(mm_per_unit));
        }
        // The scale that a person gave is that of the drawing's inner units, whatever its outside says.
        let bare = |told: &Told| match told {
            Told::Bare(units) => *units,
            Told::Mm(mm, _) => mm / MM_PER_PX,
            _ => 0.0,
        };
        let view = view.unwrap_or(ViewBox { x: 0.0, y: 0.0, w: bare(&width), h: bare(&height) });
        let flip = Affine::new([
            mm_per_unit,
            0.0,
            0.0,
            -mm_per_unit,
            -view.x * mm_per_unit,
            (view.y + view.h) * mm_per_unit,
        ]);
        return Ok(sheet(flip, view, view.w * mm_per_unit, view.h * mm_per_unit));
    }
    let no_scale = |what: &str| Err(SvgError::NoScale { what: what.to_owned() });
    let (width, height, px) = match (width, height, view) {
        (Told::Mm(width, a), Told::Mm(height, b), _) => (width, height, a || b),
        (Told::Mm(width, px), Told::Nothing | Told::Percent, Some(view)) => {
            (width, width * view.h / view.w, px)
        }
        (Told::Nothing | Told::Percent, Told::Mm(height, px), Some(view)) => {
            (height * view.w / view.h, height, px)
        }
        (Told::Bare(_), _, _) | (_, Told::Bare(_), _) => {
            return no_scale("its width and height have no unit (mm, cm, in, pt, px)");
        }
        (Told::Percent, _, _) | (_, Told::Percent, _) => {
            return no_scale("its width and height are percentages of the window that shows it");
        }
        _ => return no_scale("it has no width and height"),
    };
    if width <= 0.0 || height <= 0.0 {
        return no_scale("its width or height is 0");
    }
    if width.max(height) > LARGEST_COORDINATE_MM {
        let at = place_of(root);
        let element = "svg".to_owned();
        return Err(SvgError::TooFar { at, element });
    }
    if px {
        findings.push(Finding::new(
            Severity::Warning,
            "The drawing's size is given in pixels, and 96 to the inch was taken, as the standard says",
            "Measure the test square; if it is off, give the millimetres of a unit",
        ));
    }
    let view = view.unwrap_or(ViewBox { x: 0.0, y: 0.0, w: width / MM_PER_PX, h: height / MM_PER_PX });
    let fit = aspect(root)?;
    let down = viewport(view, Vec2::new(width, height), fit);
    let [sx, _, _, sy, ..] = down.as_coeffs();
    if (sx / sy - 1.0).abs() > ASPECT_SLACK {
        findings.push(
            Finding::new(
                Severity::Warning,
                format!(
                    "The drawing is stretched: {sx:.4} mm a unit across and {sy:.4} mm up, as the file says"
                ),
                "Measure the test square both ways before cutting",
            )
            .by_mm((sx - sy).abs() * view.w),
        );
    }
    let flip = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, height]) * down;
    Ok(sheet(flip, view, width, height))
}

fn sheet(mm_from_user: Affine, view: ViewBox, width: f64, height: f64) -> Sheet {
    Sheet {
        mm_from_user,
        page: (width > 0.0 && height > 0.0).then(|| Rect::new(0.0, 0.0, width, height)),
        extent: Vec2::new(view.w, view.h),
    }
}

/// The part of the drawing that is shown.
pub(super) fn view_box(node: Node<'_, '_>) -> Result<Option<ViewBox>, SvgError> {
    let Some(text) = node.attribute("viewBox") else {
        return Ok(None);
    };
    match ViewBox::from_str(text) {
        Ok(view) if [view.x, view.y, view.w, view.h].iter().all(|x| x.is_finite() && x.abs() < 1e9) => {
            Ok(Some(view))
        }
        _ => Err(bad_value(node, "viewBox", text, "is not four numbers, the last two above 0")),
    }
}

/// How a drawing is fitted into its place.
pub(super) fn aspect(node: Node<'_, '_>) -> Result<AspectRatio, SvgError> {
    let Some(text) = node.attribute("preserveAspectRatio") else {
        return Ok(AspectRatio::default());
    };
    match AspectRatio::from_str(text) {
        Ok(aspect) => Ok(aspect),
        Err(_) => Err(bad_value(node, "preserveAspectRatio", text, "is no way to fit a drawing")),
    }
}

/// The transform that fits a view box into a place of the given size (SVG 2, §8.7), y down.
pub(super) fn viewport(view: ViewBox, size: Vec2, fit: AspectRatio) -> Affine {
    let (mut sx, mut sy) = (size.x / view.w, size.y / view.h);
    if fit.align != Align::None {
        let both = if fit.slice { sx.max(sy) } else { sx.min(sy) };
        (sx, sy) = (both, both);
    }
    let spare = Vec2::new(size.x - view.w * sx, size.y - view.h * sy);
    let (x, y) = match fit.align {
        Align::None | Align::XMinYMin => (0.0, 0.0),
        Align::XMidYMin => (0.5, 0.0),
        Align::XMaxYMin => (1.0, 0.0),
        Align::XMinYMid => (0.0, 0.5),
        Align::XMidYMid => (0.5, 0.5),
        Align::XMaxYMid => (1.0, 0.5),
        Align::XMinYMax => (0.0, 1.0),
        Align::XMidYMax => (0.5, 1.0),
        Align::XMaxYMax => (1.0, 1.0),
    };
    Affine::new([sx, 0.0, 0.0, sy, x * spare.x - view.x * sx, y * spare.y - view.y * sy])
}
