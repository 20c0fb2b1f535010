// The aim: where a place on the surface falls in the picture. Put before every other shader of this folder,
// with what else they share.
//
// Space: surface millimetres, counted from the drawing's own origin, to picture pixels (x right, y down, the
// middle of the first pixel at 0.5, 0.5). The matrix is composed in f64 and cast once.
// A lens that bends the picture is in `lifted` and its derivative in `lens_slope`, and nowhere else; lines come cut so
// short that their chords are true to a tenth of a pixel.

struct Aim {
    picture_from_surface: mat3x3<f32>,
    picture_px: vec2<f32>,
    // The lens's centre in px, and the part by which it moves light outwards: a quadratic form of the arm from there
    // (x², 2xy, y²), never more than `lens_most` either way, so that what is far outside can't be folded back.
    lens_centre: vec2<f32>,
    lens_part: vec3<f32>,
    lens_most: f32,
}

@group(0) @binding(0) var<uniform> aim: Aim;

// Homogeneous pixel position under a straight lens: (x·w, y·w, w), w > 0 before the lens.
fn straight(surface_mm: vec2<f32>) -> vec3<f32> {
    return aim.picture_from_surface * vec3<f32>(surface_mm, 1.0);
}

// The lens's quadratic form, as the vector that an arm's product with is the part.
fn lens_form(arm: vec2<f32>) -> vec2<f32> {
    let q = aim.lens_part;
    return vec2<f32>(q.x * arm.x + q.y * arm.y, q.y * arm.x + q.z * arm.y);
}

// Homogeneous pixel position as the lens lights it, w as it was.
fn lifted(surface_mm: vec2<f32>) -> vec3<f32> {
    let place = straight(surface_mm);
    // The arm times w, so that what lies on the horizon and behind it stays a number.
    let arm = place.xy - aim.lens_centre * place.z;
    let part = dot(arm, lens_form(arm)) / max(place.z * place.z, 1e-20);
    return vec3<f32>(place.xy + arm * clamp(part, -aim.lens_most, aim.lens_most), place.z);
}

// How light moves by a pixel across and down that a straight lens would move it.
fn lens_slope(ideal_px: vec2<f32>) -> mat2x2<f32> {
    let arm = ideal_px - aim.lens_centre;
    let form = lens_form(arm);
    let part = dot(arm, form);
    let kept = clamp(part, -aim.lens_most, aim.lens_most);
    let own = mat2x2<f32>(1.0 + kept, 0.0, 0.0, 1.0 + kept);
    let turn = 2.0 * select(0.0, 1.0, abs(part) <= aim.lens_most);
    return own + mat2x2<f32>(arm * (turn * form.x), arm * (turn * form.y));
}

// A homogeneous pixel position as a clip position, w carried.
fn clip_from_lifted(place: vec3<f32>) -> vec4<f32> {
    return vec4<f32>(
        2.0 * place.x / aim.picture_px.x - place.z,
        place.z - 2.0 * place.y / aim.picture_px.y,
        0.0,
        place.z,
    );
}

// Whether the target keeps sRGB numbers without converting by itself; such a target is for looking at only.
override encoded: bool = false;

// A linear colour as the target wants it (IEC 61966-2-1).
fn shown(colour: vec4<f32>) -> vec4<f32> {
    let light = clamp(colour.rgb, vec3<f32>(0.0), vec3<f32>(1.0));
    let bright = 1.055 * pow(light, vec3<f32>(1.0 / 2.4)) - 0.055;
    let curved = select(bright, 12.92 * light, light <= vec3<f32>(0.0031308));
    return select(colour, vec4<f32>(curved, colour.a), encoded);
}
